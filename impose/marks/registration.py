"""Registration marks: a ring with a cross at the middle of each side, off every bleed.

Both sides carry them at the same places of the paper, so that held to the
light they show how far the back is off (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from impose.geometry.box import Box
from impose.marks.ticks import Ground
from impose.plan.parts import Mark, Shape
from impose.units import Length

#: The cross is this long, the ring two thirds of it (from memory: 5 to 8 mm is usual).
ACROSS: Final = Length.mm(6)
_CLEAR: Final = Length.mm(1)


def registration_marks(ground: Ground, taken: Iterable[Mark], weight: Length) -> tuple[Mark, ...]:
    """One mark at each side that has room, next to the middle of the side.

    `taken` are marks already placed, which are kept clear.
    """
    boxes = [*ground.keep_out, *(_around(mark) for mark in taken)]
    area = ground.area
    inner = ground.keep_out[0] if ground.keep_out else area
    for box in ground.keep_out[1:]:
        inner = inner.join(box)
    marks: list[Mark] = []
    half = ACROSS.half
    for upright_side, low_end in ((True, True), (True, False), (False, True), (False, False)):
        if upright_side:
            x = ((area.x0 + inner.x0) if low_end else (inner.x1 + area.x1)).half
            places = [(x, y) for y in _tries(area.y0, area.y1)]
        else:
            y = ((area.y0 + inner.y0) if low_end else (inner.y1 + area.y1)).half
            places = [(x, y) for x in _tries(area.x0, area.x1)]
        for x, y in places:
            spot = Box(x - half, y - half, x + half, y + half)
            if area.contains(spot) and not any(spot.overlaps(box) for box in boxes):
                marks.extend(_target(x, y, weight))
                boxes.append(spot)
                break
    return tuple(marks)


def _tries(low: Length, high: Length) -> list[Length]:
    """The middle first, then places farther off, the same from both ends."""
    middle, step = (low + high).half, ACROSS + _CLEAR
    return [middle + step * n for n in (0, 1, -1, 2, -2, 3, -3)]


def _around(mark: Mark) -> Box:
    return Box(
        min(mark.x0, mark.x1) - _CLEAR,
        min(mark.y0, mark.y1) - _CLEAR,
        max(mark.x0, mark.x1) + _CLEAR,
        max(mark.y0, mark.y1) + _CLEAR,
    )


def _target(x: Length, y: Length, weight: Length) -> tuple[Mark, Mark, Mark]:
    half, ring = ACROSS.half, ACROSS.split(3)[0]
    kind = "registration"
    return (
        Mark(kind, Shape.LINE, x - half, y, x + half, y, weight),
        Mark(kind, Shape.LINE, x, y - half, x, y + half, weight),
        Mark(kind, Shape.CIRCLE, x - ring, y - ring, x + ring, y + ring, weight),
    )
