"""Registration marks: a ring with a cross at each side of the sheet, off every bleed.

Both sides carry them at the same places of the paper, so that held to the
light they show how far the back is off (common practice).  The middle of a
side, outside all pages, is taken where it is free; else the free place that is
nearest to it and to the edge, in any paper of that half of the sheet that is
cut away.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.marks.around import around
from impose.marks.ticks import Ground
from impose.model.job import MarkSettings
from impose.plan.parts import Mark, Shape
from impose.units import Length

#: What a mark is called where it is left out.
TARGET: Final = "the registration mark"
_KIND: Final = "registration"
_CLEAR: Final = Length.mm(1)
#: A place this much farther along the edge is as good as one this much nearer to the edge.
_INWARD: Final = 2
_SIDES: Final = (Edge.LEFT, Edge.RIGHT, Edge.BOTTOM, Edge.TOP)
#: Where a box of one forme lies on the other side of the paper.
Twin = Callable[[Box], Box]


@dataclass(frozen=True, slots=True)
class Targets:
    """The marks, and the edges of the front that have none for want of room."""

    marks: tuple[Mark, ...]
    missing: tuple[Edge, ...] = ()

    @property
    def words(self) -> tuple[str, ...]:
        """The marks that are left out, by their edges; nothing where there are all."""
        *more, last = (edge.value for edge in self.missing) if self.missing else ("",)
        edges = f"{', '.join(more)} and {last} edges" if more else f"{last} edge"
        return (f"{TARGET} at the {edges} of the front",) if last else ()


def registration_marks(
    ground: Ground, taken: Iterable[Mark], settings: MarkSettings, twin: Twin | None = None
) -> Targets:
    """One mark at each side that has room, next to the middle of the side.

    `taken` are marks already placed, which are kept clear.  With `twin`, for a
    forme that prints both sides, every mark has its like where the other side's
    falls, so that the two lie on each other.
    """
    finder = _Finder(ground, tuple(around(mark) for mark in taken), settings, twin)
    missing = tuple(edge for edge in _SIDES if not finder.mark(edge))
    marks = tuple(mark for spot in finder.spots for mark in _target(spot, settings))
    return Targets(marks, missing)


class _Finder:
    """Finds a place at one side after the other, and takes it."""

    def __init__(
        self, ground: Ground, taken: Sequence[Box], settings: MarkSettings, twin: Twin | None
    ) -> None:
        self._area = ground.area
        self._boxes = [*ground.keep_out, *taken]
        self._inner = ground.keep_out[0] if ground.keep_out else ground.area
        for box in ground.keep_out[1:]:
            self._inner = self._inner.join(box)
        self._target = settings.target
        self._twin = twin
        self._sides: set[Edge] = set()
        self.spots: list[Box] = []

    def mark(self, edge: Edge) -> bool:
        """Whether that side has a mark now; the like of one at the opposite side will do."""
        if edge in self._sides:
            return True
        for spot in (*self._beside(edge), *self._within(edge)):
            spots = self._pair(spot)
            if spots is None:
                continue
            self.spots.extend(spots)
            self._boxes.extend(spots)
            self._sides.add(edge)
            if len(spots) == 2 and self._half(edge.opposite).contains(spots[1]):
                self._sides.add(edge.opposite)
            return True
        return False

    def _pair(self, spot: Box) -> list[Box] | None:
        """The place with that of its like; None where either is not free."""
        spots = [spot]
        if self._twin is not None:
            spots = list(dict.fromkeys((spot, self._twin(spot))))
        apart = len(spots) == 1 or not spots[0].overlaps(spots[1])
        return spots if apart and all(self._free(one) for one in spots) else None

    def _free(self, spot: Box) -> bool:
        return self._area.contains(spot) and not any(spot.overlaps(box) for box in self._boxes)

    # -- places ------------------------------------------------------------------------

    def _beside(self, edge: Edge) -> Iterator[Box]:
        """In the middle between all pages and what can be printed: the middle of the side first,
        then places farther off, the same from both ends."""
        area, inner, half = self._area, self._inner, self._target.half
        step = self._target + _CLEAR
        for n in (0, 1, -1, 2, -2, 3, -3):
            if edge in (Edge.LEFT, Edge.RIGHT):
                low = edge is Edge.LEFT
                x = ((area.x0 + inner.x0) if low else (inner.x1 + area.x1)).half
                y = (area.y0 + area.y1).half + step * n
            else:
                low = edge is Edge.BOTTOM
                y = ((area.y0 + inner.y0) if low else (inner.y1 + area.y1)).half
                x = (area.x0 + area.x1).half + step * n
            yield Box(x - half, y - half, x + half, y + half)

    def _half(self, edge: Edge) -> Box:
        """The half of what can be printed that lies at the edge."""
        area = self._area
        x, y = (area.x0 + area.x1).half, (area.y0 + area.y1).half
        if edge is Edge.LEFT:
            return replace(area, x1=x)
        if edge is Edge.RIGHT:
            return replace(area, x0=x)
        return replace(area, y1=y) if edge is Edge.BOTTOM else replace(area, y0=y)

    def _within(self, edge: Edge) -> list[Box]:
        """Every place of that half of the sheet where a mark stands against something, or at the
        middle; the nearest to the edge and to its middle first."""
        upright, low = edge in (Edge.LEFT, Edge.RIGHT), edge in (Edge.LEFT, Edge.BOTTOM)
        half, target = self._half(edge), self._target
        boxes = [*self._boxes]
        if self._twin is not None:
            boxes.extend(self._twin(box) for box in self._boxes)
        flat = [_turned(box, upright, low) for box in boxes]
        span = _turned(half, upright, low)
        first, middle = span[0], (span[2] + span[3]) // 2
        size = target.grains
        found: list[tuple[int, int, int]] = []
        for deep in sorted({first, *(box[1] for box in flat)}):
            if not first <= deep <= span[1] - size:
                continue
            across = [box for box in flat if box[0] < deep + size and deep < box[1]]
            for at in _gaps(across, (span[2], span[3]), middle, size):
                cost = _INWARD * (deep - first) + abs(at + size // 2 - middle)
                found.append((cost, deep, at))
        return [_back(deep, at, size, upright, low) for _, deep, at in sorted(found)]


def _turned(box: Box, upright: bool, low: bool) -> tuple[int, int, int, int]:
    """A box as grains from the edge inward (near, far), and along the edge (start, end)."""
    x, y = (box.x0.grains, box.x1.grains), (box.y0.grains, box.y1.grains)
    inward, along = (x, y) if upright else (y, x)
    if not low:
        inward = (-inward[1], -inward[0])
    return (*inward, *along)


def _back(deep: int, at: int, size: int, upright: bool, low: bool) -> Box:
    """The inverse, for a place `size` large."""
    start = deep if low else -deep - size
    x, y = (start, at) if upright else (at, start)
    return Box(Length(x), Length(y), Length(x + size), Length(y + size))


def _gaps(
    taken: Sequence[tuple[int, int, int, int]], span: tuple[int, int], middle: int, size: int
) -> Iterator[int]:
    """For each stretch of the edge that is free, where a mark starts that is as near to the
    middle as it can be there."""
    here, end = span
    for start, stop in (*sorted((box[2], box[3]) for box in taken), (end, end)):
        last = min(start, end) - size
        if here <= last:
            yield min(max(middle - size // 2, here), last)
        here = max(here, stop)


def _target(spot: Box, settings: MarkSettings) -> tuple[Mark, Mark, Mark]:
    """The ring is two thirds of the cross."""
    x, y = spot.x0 + settings.target.half, spot.y0 + settings.target.half
    ring, weight = settings.target.split(3)[0], settings.weight
    return (
        Mark(_KIND, Shape.LINE, spot.x0, y, spot.x1, y, weight),
        Mark(_KIND, Shape.LINE, x, spot.y0, x, spot.y1, weight),
        Mark(_KIND, Shape.CIRCLE, x - ring, y - ring, x + ring, y + ring, weight),
    )
