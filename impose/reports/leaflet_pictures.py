"""A leaflet drawn as it lies before each of its folds, seen from above, and edge on when closed.

All comes from folding the sheet (bench.leafletsteps): nothing is drawn that does
not lie there.  Numbers are pages, the arrow beside each points to its head.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.bench.leafletsteps import Fold, folding_of, folds_of
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.pdf.pages import Align, Pen, Point
from impose.plan.cutsteps import CutStep
from impose.plan.plan import FLAT, Plan
from impose.reports.drawing import Drawing
from impose.reports.panel_strokes import EDGE, FOLD, GAP, PAPER, SMALL, THIN, arrow, caption, number
from impose.schemes.panelbook import Paper, paper_of
from impose.schemes.panelstrip import Pile, hinge_at, open_parts, seen
from impose.units import Length, reading_text

#: Between panels that lie on each other, seen edge on.
_APART: Final = Length.mm(5)
#: The fold stands out beyond the paper by this, where it is marked.
_BEYOND: Final = Length.mm("1.5")
#: Above the paper for the arrow, below it for the measure and two lines of words.
_ARROW: Final = Length.mm(5)
_WORDS: Final = SMALL * 5 + Length.mm(2)
_UNDER: Final = Pen(weight=THIN.weight, dashed=True)


def draw_fold(page: Drawing, room: Box, plan: Plan, step: CutStep) -> None:
    """The paper before the fold that the step names: what lies up, where it is folded, from
    which edge that is measured, and which way the part goes."""
    folding = folding_of(plan)
    index, fold = next(
        (at, fold) for at, fold in enumerate(folds_of(folding)) if fold.step.id in step.shows
    )
    pile, paper = folding.states[index], paper_of(plan, plan.sheets[0])
    there = _Table.of(room, pile, paper.ys[-1] - paper.ys[0])
    faces = _faces(plan, paper)
    for level, layer in enumerate(pile):
        page.box(there.panel(layer.x0, layer.x1), PAPER)
        parts = open_parts(layer, pile[level + 1 :])
        if parts:
            low, high = max(parts, key=lambda part: part[1] - part[0])
            figure, upside_down = faces.get((layer.panel, not layer.flipped), ("", False))
            if figure and (high - low) * 3 > layer.x1 - layer.x0:
                number(page, there.panel(low, high), figure, upside_down)
    at = there.x(fold.step.at)
    page.line((at, there.foot - _BEYOND), (at, there.head + _BEYOND), FOLD)
    _way(page, there, fold, pile)
    base = _measure(page, there, fold, pile, plan.unit)
    words = "as it lies now" if index else f"seen from its {_side(folding.inside_up)}"
    caption(page, room, base, words)
    if figures := _figures(plan):
        caption(page, room, base - SMALL - Length.points(3), figures)


def _side(inside_up: bool) -> str:
    return "inside" if inside_up else "front"


def _figures(plan: Plan) -> str:
    if plan.scheme in FLAT:
        return "figures: the page that this side is"
    return "the arrows point to the page's head"


@dataclass(frozen=True, slots=True)
class _Table:
    """From the pile to the drawing."""

    scale: Fraction
    left: Length
    low: Length
    foot: Length
    head: Length

    @classmethod
    def of(cls, room: Box, pile: Pile, high: Length) -> _Table:
        low, end = min(one.x0 for one in pile), max(one.x1 for one in pile)
        tall = room.height - _ARROW - _WORDS
        scale = min(room.width.ratio(end - low), tall.ratio(high))
        left = room.x0 + (room.width - (end - low) * scale).half
        head = room.y1 - _ARROW
        return cls(scale, left, low, head - high * scale, head)

    def x(self, at: Length) -> Length:
        return self.left + (at - self.low) * self.scale

    def panel(self, low: Length, high: Length) -> Box:
        return Box(self.x(low), self.foot, self.x(high), self.head)


def _faces(plan: Plan, paper: Paper) -> dict[tuple[int, bool], tuple[str, bool]]:
    """By panel and side (True: the sheet's front): the page there, and whether its head is
    down as the sheet lies with its front's head up and is turned about the upright."""
    found: dict[tuple[int, bool], tuple[str, bool]] = {}
    sheet = paper.sheet
    for front, side in ((True, sheet.front), (False, sheet.back)):
        for placement in side.placements:
            box, upside_down = placement.trim, placement.upside_down
            if not front:
                box = sheet.turned.over(box, sheet.size)
                upside_down ^= sheet.turned is Turnover.ABOUT_HORIZONTAL
            for panel in range(len(paper.xs) - 1):
                middle = (paper.xs[panel] + paper.xs[panel + 1]).half
                if box.x0 < middle < box.x1:
                    found[panel, front] = (str(placement.position), upside_down)
    return found


def _way(page: Drawing, there: _Table, fold: Fold, pile: Pile) -> None:
    """An arrow above the head, from the part that is turned across the fold; dashed: under."""
    left = fold.step.moving is Edge.LEFT
    end = min(one.x0 for one in pile) if left else max(one.x1 for one in pile)
    reach = (fold.step.at - end) * Fraction(1, 2)
    start, tip = there.x(fold.step.at - reach), there.x(fold.step.at + reach)
    low, high = there.left, there.x(max(one.x1 for one in pile))
    y = there.head + _ARROW - Length.mm(1)
    tip = min(max(tip, low), high)
    if fold.step.under:
        page.line((start, y), (tip, y), _UNDER)
        short = tip - Length.points(8) if tip > start else tip + Length.points(8)
        arrow(page, (short, y), (tip, y))
    else:
        arrow(page, (start, y), (tip, y))


def _measure(page: Drawing, there: _Table, fold: Fold, pile: Pile, unit: str) -> Length:
    """Below the foot: from which edge the fold is measured; where the words below it begin."""
    from_left = fold.from_edge is Edge.LEFT
    end = min(one.x0 for one in pile) if from_left else max(one.x1 for one in pile)
    y, tick = there.foot - Length.mm(3), Length.mm(1)
    a, b = there.x(end), there.x(fold.step.at)
    page.line((a, y), (b, y), THIN)
    for x in (a, b):
        page.line((x, y - tick), (x, y + tick), THIN)
    base = y - SMALL - Length.points(1)
    page.text((a + b).half, base, reading_text(fold.reach, unit), SMALL, True, Align.CENTRE)
    return base


# -- edge on ------------------------------------------------------------------------------


def draw_edge_on(page: Drawing, room: Box, plan: Plan) -> None:
    """The closed leaflet from its foot, lying as it was folded, its panels apart."""
    pile = folding_of(plan).states[-1]
    low, high = min(one.x0 for one in pile), max(one.x1 for one in pile)
    scale = (room.width - _APART * 3).ratio(high - low)
    left = room.x0 + (room.width - (high - low) * scale).half
    levels = _levels(pile)
    tall = _APART * (max(levels.values()) + 1)
    base = room.y1 - tall - GAP

    def at(x: Length, panel: int) -> Point:
        return left + (x - low) * scale, base + _APART * levels[panel]

    for one in pile:
        page.line(at(one.x0, one.panel), at(one.x1, one.panel), EDGE)
    for panel in range(1, len(pile)):
        _bend(page, at, pile, panel)
    caption(page, room, base - GAP, f"edge on, from its foot; {_above(plan, pile)} above")


def _above(plan: Plan, pile: Pile) -> str:
    """What lies on top."""
    if plan.scheme in FLAT:
        return "its front"
    faces = _faces(plan, paper_of(plan, plan.sheets[0]))
    shown = [faces[one.key][0] for one in seen(pile, False) if one.key in faces]
    return f"{'page' if len(shown) == 1 else 'pages'} {' and '.join(shown)}"


def _levels(pile: Pile) -> dict[int, int]:
    """How high each panel lies: as low as those beneath it let it."""
    levels: dict[int, int] = {}
    below: list[tuple[Length, Length, int]] = []
    for one in pile:
        level = max((at + 1 for a, b, at in below if a < one.x1 and one.x0 < b), default=0)
        levels[one.panel] = level
        below.append((one.x0, one.x1, level))
    return levels


def _bend(page: Drawing, place: Callable[[Length, int], Point], pile: Pile, panel: int) -> None:
    """Round a hinge, a little beyond it."""
    x = hinge_at(pile, panel)
    layer = next(one for one in pile if one.panel == panel)
    out = Length.mm(2) if x == layer.x1 else -Length.mm(2)
    (ax, ay), (_, by) = place(x, panel - 1), place(x, panel)
    page.polygon([(ax, ay), (ax + out, (ay + by).half), (ax, by)], EDGE, closed=False)
