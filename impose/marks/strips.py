"""Free strips along the edges of what can be printed, for lines of words and the like."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from impose.geometry.box import Box
from impose.marks.around import around
from impose.marks.ticks import Ground
from impose.plan.parts import Mark
from impose.units import Length

_CLEAR: Final = Length.mm(1)
#: What office printers leave blank at the edges, so that words are printed even where nobody
#: said which printer it is (4 to 5 mm: from memory).
_EASY: Final = Length.mm(5)


def free_strip(
    ground: Ground, taken: Iterable[Mark], width: Length, height: Length
) -> tuple[Box, bool] | None:
    """A free box of that width and height: along the foot, the head, then the sides; well
    inside the edges where that is possible.

    True with it: it stands at a side, and what is put there runs up.  None when
    there is no room outside the trims and off the marks.
    """
    boxes = [*ground.keep_out, *(around(mark) for mark in taken)]
    for inset in (_EASY, _CLEAR):
        found = _within(ground.area, boxes, (width, height), inset)
        if found is not None:
            return found
    return None


def _within(
    area: Box, boxes: Sequence[Box], size: tuple[Length, Length], inset: Length
) -> tuple[Box, bool] | None:
    """The first free strip that keeps `inset` off the edges of the area."""
    width, height = size
    low_y, high_y = area.y0 + inset, area.y1 - inset - height
    for y in (low_y, high_y):
        row = Box(area.x0 + inset, y, area.x1 - inset, y + height)
        x = _first_free(boxes, row, width, across=True)
        if x is not None and low_y <= y <= high_y:
            return Box(x, y, x + width, y + height), False
    low_x, high_x = area.x0 + inset, area.x1 - inset - height
    for x in (low_x, high_x):
        column = Box(x, area.y0 + inset, x + height, area.y1 - inset)
        y_free = _first_free(boxes, column, width, across=False)
        if y_free is not None and low_x <= x <= high_x:
            return Box(x, y_free, x + height, y_free + width), True
    return None


def _first_free(boxes: Sequence[Box], strip: Box, width: Length, across: bool) -> Length | None:
    """The first place along a strip where `width` is free."""
    here = strip.x0 if across else strip.y0
    last = (strip.x1 if across else strip.y1) - width
    while here <= last:
        spot = (
            Box(here, strip.y0, here + width, strip.y1)
            if across
            else Box(strip.x0, here, strip.x1, here + width)
        )
        hit = [box for box in boxes if box.overlaps(spot)]
        if not hit:
            return here
        here = max((box.x1 if across else box.y1) for box in hit) + _CLEAR
    return None
