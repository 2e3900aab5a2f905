"""The slug: one small line of words outside every trim that says what the sheet is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.marks.ticks import Ground
from impose.plan.parts import Mark, Shape
from impose.units import Length

HEIGHT: Final = Length.points(7)
#: Wider than any line of the shipped typeface per character, as a share of the height.
_ADVANCE: Final = Fraction(66, 100)
_CLEAR: Final = Length.mm(1)


@dataclass(frozen=True, slots=True)
class SlugPlace:
    """Where the line starts and which way it runs."""

    x: Length
    y: Length
    turn: int

    def mark(self, text: str) -> Mark:
        """The line of words at this place."""
        return Mark("slug", Shape.TEXT, self.x, self.y, self.x, self.y, HEIGHT, text, self.turn)


def slug_place(ground: Ground, taken: Iterable[Mark], longest: str) -> SlugPlace | None:
    """A free strip for the longest text: along the foot, the head, then the sides.

    None when there is no room outside the trims and off the marks.
    """
    width = HEIGHT * (_ADVANCE * len(longest))
    boxes = [*ground.keep_out, *(_around(mark) for mark in taken)]
    area = ground.area
    low_y, high_y = area.y0 + _CLEAR, area.y1 - _CLEAR - HEIGHT
    for y in (low_y, high_y):
        x = _first_free(boxes, area.x0 + _CLEAR, area.x1 - _CLEAR - width, width, y, True)
        if x is not None:
            return SlugPlace(x, y, 0)
    for x in (area.x0 + _CLEAR, area.x1 - _CLEAR - HEIGHT):
        y_free = _first_free(boxes, area.y0 + _CLEAR, area.y1 - _CLEAR - width, width, x, False)
        if y_free is not None:
            return SlugPlace(x + HEIGHT, y_free, 90)
    return None


def _first_free(
    boxes: Sequence[Box], start: Length, last: Length, width: Length, at: Length, across: bool
) -> Length | None:
    """The first place along a strip of text height where `width` is free."""
    here = start
    while here <= last:
        spot = (
            Box(here, at, here + width, at + HEIGHT)
            if across
            else Box(at, here, at + HEIGHT, here + width)
        )
        hit = [box for box in boxes if box.overlaps(spot)]
        if not hit:
            return here
        here = max((box.x1 if across else box.y1) for box in hit) + _CLEAR
    return None


def _around(mark: Mark) -> Box:
    return Box(
        min(mark.x0, mark.x1) - _CLEAR,
        min(mark.y0, mark.y1) - _CLEAR,
        max(mark.x0, mark.x1) + _CLEAR,
        max(mark.y0, mark.y1) + _CLEAR,
    )


def slug_text(parts: Iterable[str]) -> str:
    """The words of a slug, empty ones left out."""
    return "  |  ".join(part for part in parts if part)
