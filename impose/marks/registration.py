"""Registration marks: a ring with a cross at the middle of each side, off every bleed.

Both sides carry them at the same places of the paper, so that held to the
light they show how far the back is off (common practice).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from impose.geometry.box import Box
from impose.marks.around import around
from impose.marks.ticks import Ground
from impose.model.job import MarkSettings
from impose.plan.parts import Mark, Shape
from impose.units import Length

_CLEAR: Final = Length.mm(1)
#: Where a box of one forme lies on the other side of the paper.
Twin = Callable[[Box], Box]


def registration_marks(
    ground: Ground, taken: Iterable[Mark], settings: MarkSettings, twin: Twin | None = None
) -> tuple[Mark, ...]:
    """One mark at each side that has room, next to the middle of the side.

    `taken` are marks already placed, which are kept clear.  With `twin`, for a
    forme that prints both sides, every mark has its like where the other side's
    falls, so that the two lie on each other.
    """
    boxes = [*ground.keep_out, *(around(mark) for mark in taken)]
    area = ground.area
    inner = ground.keep_out[0] if ground.keep_out else area
    for box in ground.keep_out[1:]:
        inner = inner.join(box)
    marks: list[Mark] = []
    half, step = settings.target.half, settings.target + _CLEAR
    for upright_side, low_end in ((True, True), (True, False), (False, True), (False, False)):
        if upright_side:
            x = ((area.x0 + inner.x0) if low_end else (inner.x1 + area.x1)).half
            places = [(x, y) for y in _tries(area.y0, area.y1, step)]
        else:
            y = ((area.y0 + inner.y0) if low_end else (inner.y1 + area.y1)).half
            places = [(x, y) for x in _tries(area.x0, area.x1, step)]
        if twin is not None and any(_beyond(m, inner, upright_side, low_end) for m in marks):
            continue  # the like of a mark at the opposite side stands there
        for x, y in places:
            spots = [Box(x - half, y - half, x + half, y + half)]
            if twin is not None:
                spots = list(dict.fromkeys((*spots, twin(spots[0]))))
            apart = len(spots) == 1 or not spots[0].overlaps(spots[1])
            if apart and all(_free(spot, area, boxes) for spot in spots):
                for spot in spots:
                    marks.extend(_target(spot, settings))
                boxes.extend(spots)
                break
    return tuple(marks)


def _beyond(mark: Mark, inner: Box, upright_side: bool, low_end: bool) -> bool:
    """The mark stands at that side of all pages."""
    if upright_side:
        return mark.x1 <= inner.x0 if low_end else mark.x0 >= inner.x1
    return mark.y1 <= inner.y0 if low_end else mark.y0 >= inner.y1


def _free(spot: Box, area: Box, boxes: Iterable[Box]) -> bool:
    return area.contains(spot) and not any(spot.overlaps(box) for box in boxes)


def _tries(low: Length, high: Length, step: Length) -> list[Length]:
    """The middle first, then places farther off, the same from both ends."""
    middle = (low + high).half
    return [middle + step * n for n in (0, 1, -1, 2, -2, 3, -3)]


def _target(spot: Box, settings: MarkSettings) -> tuple[Mark, Mark, Mark]:
    """The ring is two thirds of the cross."""
    x, y = spot.x0 + settings.target.half, spot.y0 + settings.target.half
    ring, weight = settings.target.split(3)[0], settings.weight
    kind = "registration"
    return (
        Mark(kind, Shape.LINE, spot.x0, y, spot.x1, y, weight),
        Mark(kind, Shape.LINE, x, spot.y0, x, spot.y1, weight),
        Mark(kind, Shape.CIRCLE, x - ring, y - ring, x + ring, y + ring, weight),
    )
