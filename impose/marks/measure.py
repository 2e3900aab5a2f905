"""The check line: a known length on every sheet, so that a print dialog that fits pages to the
paper is found out with a ruler before the pile is cut (common practice)."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from impose.geometry.box import Box
from impose.marks.around import HEIGHT, words_width
from impose.marks.strips import free_strip
from impose.marks.ticks import Ground
from impose.plan.parts import Mark, Shape
from impose.units import Length

KIND: Final = "measure"
#: How long the line is, by the unit for people.
LENGTH: Final = {"mm": Length.mm(50), "in": Length.inches(2)}
_TICK: Final = Length.mm(2)
_CLEAR: Final = Length.mm(2)


def measure_marks(
    ground: Ground, taken: Iterable[Mark], unit: str, weight: Length
) -> tuple[Mark, ...]:
    """The line with a tick at each end and its length in words; empty where there is no room."""
    long, words = LENGTH[unit], f"{LENGTH[unit].text(unit)} at actual size"
    whole = long + _CLEAR + words_width(words)
    found = free_strip(ground, taken, whole, max(_TICK, HEIGHT))
    if found is None:
        return ()
    box, upright = found
    return _upright(box, long, weight, words) if upright else _across(box, long, weight, words)


def _across(box: Box, long: Length, weight: Length, words: str) -> tuple[Mark, ...]:
    middle = (box.y0 + box.y1).half
    low, high = middle - _TICK.half, middle + _TICK.half
    end = box.x0 + long
    return (
        Mark(KIND, Shape.LINE, box.x0, middle, end, middle, weight),
        Mark(KIND, Shape.LINE, box.x0, low, box.x0, high, weight),
        Mark(KIND, Shape.LINE, end, low, end, high, weight),
        Mark(KIND, Shape.TEXT, end + _CLEAR, box.y0, end + _CLEAR, box.y0, HEIGHT, words),
    )


def _upright(box: Box, long: Length, weight: Length, words: str) -> tuple[Mark, ...]:
    middle = (box.x0 + box.x1).half
    low, high = middle - _TICK.half, middle + _TICK.half
    end = box.y0 + long
    return (
        Mark(KIND, Shape.LINE, middle, box.y0, middle, end, weight),
        Mark(KIND, Shape.LINE, low, box.y0, high, box.y0, weight),
        Mark(KIND, Shape.LINE, low, end, high, end, weight),
        Mark(KIND, Shape.TEXT, box.x1, end + _CLEAR, box.x1, end + _CLEAR, HEIGHT, words, 90),
    )
