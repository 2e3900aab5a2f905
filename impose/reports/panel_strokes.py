"""Strokes that all drawings of folded panels are made of: scale, page numbers, arrows, captions."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.pdf.pages import Align, Pen, Point
from impose.reports.drawing import Drawing
from impose.units import ZERO, Length

LETTERS: Final = Length.points(10)
SMALL: Final = Length.points(8)
PAPER: Final = Pen(weight=Length.points("1.2"), fill=Fraction(0))
OTHER: Final = Pen(weight=Length.points("0.6"), grey=Fraction(1, 2), dashed=True)
FOLD: Final = Pen(weight=Length.points("2"), dashed=True)
CUT: Final = Pen(weight=Length.points("2.4"))
HATCH: Final = Pen(weight=Length.points("0.5"), grey=Fraction(3, 5))
EDGE: Final = Pen(weight=Length.points("1.6"))
THIN: Final = Pen(weight=Length.points("0.8"))
SOLID: Final = Pen(weight=ZERO, fill=Fraction(1))
GAP: Final = Length.mm(3)
HATCH_STEP: Final = Length.mm("1.5")


def caption(page: Drawing, room: Box, foot: Length, words: str) -> None:
    """Words below what ends at `foot`."""
    base = foot - SMALL - Length.points(3)
    page.text((room.x0 + room.x1).half, base, words, SMALL, False, Align.CENTRE)


class Scaled:
    """From the sheet, seen from its front, to a drawing in `room`."""

    def __init__(self, room: Box, whole: Box) -> None:
        high = room.height - SMALL * 4
        self.scale = min(room.width.ratio(whole.width), high.ratio(whole.height))
        self.whole = whole
        self.left = room.x0 + (room.width - whole.width * self.scale).half
        self.bottom = room.y1 - whole.height * self.scale

    def point(self, x: Length, y: Length) -> Point:
        whole = self.whole
        return self.left + (x - whole.x0) * self.scale, self.bottom + (y - whole.y0) * self.scale

    def box(self, box: Box) -> Box:
        (ax, ay), (bx, by) = self.point(box.x0, box.y0), self.point(box.x1, box.y1)
        return Box(ax, ay, bx, by)


def number(page: Drawing, box: Box, figure: str, upside_down: bool) -> None:
    """A page's number in its panel, with an arrow to its head."""
    middle = (box.x0 + box.x1).half
    base = (box.y0 + box.y1).half - LETTERS * Fraction(1, 3)
    page.text(middle, base, figure, LETTERS, True, Align.CENTRE)
    half, high = Length.points(3), Length.points(5)
    tip = base - high - half if upside_down else base + LETTERS + high
    back = tip + high if upside_down else tip - high
    page.polygon([(middle, tip), (middle - half, back), (middle + half, back)], SOLID)


def arrow(page: Drawing, start: Point, tip: Point) -> None:
    """From side to side, its head at the tip."""
    page.line(start, tip, THIN)
    back = Length.points(4) if tip[0] > start[0] else -Length.points(4)
    half = Length.points("2.5")
    page.polygon([tip, (tip[0] - back, tip[1] - half), (tip[0] - back, tip[1] + half)], SOLID)
