"""The cuts of a pile in one direction: in which order, and which edge lies at the gauge.

A finished size is set from a cut (true) or a jogged (lay) edge, never from a
raw one; where only a raw edge is left, the crop marks decide.  Each cut takes
one strip off the end away from the back stop, so that what stays is held there
and the pile is not pulled out from behind the knife.  (Setting one strip width
and cutting again and again is as accurate, but nearly three times the handling:
Niel Gray Jr., Paper-Cutting Machines, 1918.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.model.machines import Cutter
from impose.plan.cutsteps import EdgeState
from impose.units import ZERO, Length

#: More turns than this in one direction never help.
_MOST_RUNS: Final = 3
#: In parts of so many strips every place is tried where a pile may be parted.
_ALL_TRIED: Final = 14


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One direction of a pile `length` long, measured from its low edge (left or bottom).

    `cuts` rise; `kept` says of each strip between them, ends included, whether
    it is good work.
    """

    length: Length
    cuts: tuple[Length, ...]
    kept: tuple[bool, ...]
    low: EdgeState
    high: EdgeState

    @property
    def points(self) -> tuple[Length, ...]:
        """Both ends and the cuts between."""
        return (ZERO, *self.cuts, self.length)


@dataclass(frozen=True, slots=True, kw_only=True)
class Chop:
    """One cut: what lay between points `first` and `last` is parted at point `at`.

    `low_at_gauge`: the low edge lies at the back stop.
    """

    first: int
    last: int
    at: int
    low_at_gauge: bool
    gauge: Length
    state: EdgeState
    front: Length
    front_kept: bool

    def in_reach(self, cutter: Cutter) -> bool:
        """The machine can set this gauge."""
        return cutter.gauge_min <= self.gauge <= cutter.gauge_max

    def too_narrow(self, cutter: Cutter) -> bool:
        """Waste in front of the knife that is narrower than can be cut off."""
        return not self.front_kept and self.front < cutter.waste_min


Way = tuple[Chop, ...]
#: Out of reach, set on marks, waste too narrow, reckoned from the lay: the fewer the better.
_Faults = tuple[int, int, int, int]
_Found = dict[int, tuple[_Faults, Way]]


def ways(axis: Axis, cutter: Cutter) -> tuple[Way, ...]:
    """The best orders, with the fewest half turns first; one for each number of turns.

    All have as few faults as this cutter allows.  Where strips cannot come off
    the ends without a fault, the pile is parted in the middle first.
    """
    if not axis.cuts:
        return ((),)
    found = _best(axis, cutter, parting=False)
    if _least(found)[:2] != (0, 0):
        parted = _best(axis, cutter, parting=True)
        found = parted if _least(parted) < _least(found) else found
    least = _least(found)
    return tuple(way for _, (faults, way) in sorted(found.items()) if faults[:3] == least)


def _best(axis: Axis, cutter: Cutter, parting: bool) -> _Found:
    finder, found = _Finder(axis, cutter, parting), _Found()
    for low in (True, False):
        _keep_best(found, finder.rest(0, len(axis.cuts) + 1, low))
    return found


def _least(found: _Found) -> tuple[int, int, int]:
    return min(faults[:3] for faults, _ in found.values())


def runs(way: Sequence[Chop]) -> list[list[Chop]]:
    """Parted where the pile is turned half round."""
    parts: list[list[Chop]] = []
    for chop in way:
        if parts and parts[-1][-1].low_at_gauge == chop.low_at_gauge:
            parts[-1].append(chop)
        else:
            parts.append([chop])
    return parts


class _Finder:
    """Searches all orders in which strips come off one end or the other.

    `parting`: also those that part the pile anywhere and go on with both parts.
    """

    def __init__(self, axis: Axis, cutter: Cutter, parting: bool) -> None:
        self._axis, self._cutter, self._points = axis, cutter, axis.points
        #: Where strips come off the ends of a part without a fault, it is not parted further.
        self._ends = _Finder(axis, cutter, parting=False) if parting else None
        self._known: dict[tuple[int, int, bool], _Found] = {}

    def rest(self, first: int, last: int, low: bool) -> _Found:
        """The best ways on for what lies between two points, this edge at the gauge first."""
        if last - first == 1:
            return {0: ((0, 0, 0, 0), ())}
        known = self._known.get((first, last, low))
        if known is not None:
            return known
        if self._ends is not None:
            found = self._ends.rest(first, last, low)
            if _least(found)[:2] == (0, 0):
                self._known[first, last, low] = found
                return found
        found = {}
        for at in self._places(first, last, low):
            chop = self._chop(first, last, at, low)
            stays, front = ((first, at), (at, last)) if low else ((at, last), (first, at))
            after = self._joined(self._next(*stays, low), self._next(*front, low))
            for total, (others, way) in after.items():
                faults = _sum(self._faults(chop), others)
                _keep_best(found, {max(total, 1): (faults, (chop, *way))})
        self._known[first, last, low] = found
        return found

    def _places(self, first: int, last: int, low: bool) -> Sequence[int]:
        """Where this part may be cut next.

        Of many places only those are tried that can matter: both ends, the middle, and
        where the gauge comes into reach and goes out of it.
        """
        if self._ends is None:
            return (last - 1 if low else first + 1,)
        if last - first <= _ALL_TRIED:
            return range(first + 1, last)
        points, cutter = self._points, self._cutter
        start = points[first] if low else points[last]
        inside = [
            at
            for at in range(first + 1, last)
            if cutter.gauge_min <= abs(points[at] - start) <= cutter.gauge_max
        ]
        middle = (first + last) // 2
        near = {first + 1, first + 2, middle - 1, middle, middle + 1, last - 2, last - 1}
        return sorted({*near, *inside[:2], *inside[-2:]})

    def _next(self, first: int, last: int, low: bool) -> _Found:
        """Ways on, counted with the turn that is needed to begin them."""
        found: _Found = {}
        for next_low in (low, not low):
            for count, (faults, way) in self.rest(first, last, next_low).items():
                total = count + 1 if way and next_low != low else count
                if total <= _MOST_RUNS:
                    _keep_best(found, {total: (faults, way)})
        return found

    def _joined(self, stays: _Found, front: _Found) -> _Found:
        """First what stays is cut on, then what fell in front."""
        found: _Found = {}
        for count, (faults, way) in stays.items():
            for more, (others, then) in front.items():
                total = count + more if way and then else max(count, more)
                _keep_best(found, {total: (_sum(faults, others), (*way, *then))})
        return found

    def _chop(self, first: int, last: int, at: int, low: bool) -> Chop:
        axis, points = self._axis, self._points
        if low:
            gauge, front = points[at] - points[first], points[last] - points[at]
            state = EdgeState.TRUE if first else axis.low
        else:
            gauge, front = points[last] - points[at], points[at] - points[first]
            state = EdgeState.TRUE if last < len(points) - 1 else axis.high
        strips = axis.kept[at:last] if low else axis.kept[first:at]
        return Chop(
            first=first,
            last=last,
            at=at,
            low_at_gauge=low,
            gauge=gauge,
            state=state,
            front=front,
            front_kept=any(strips),
        )

    def _faults(self, chop: Chop) -> _Faults:
        return (
            int(not chop.in_reach(self._cutter)),
            int(chop.state is EdgeState.RAW),
            int(chop.too_narrow(self._cutter)),
            int(chop.state is not EdgeState.TRUE),
        )


def _sum(one: _Faults, other: _Faults) -> _Faults:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2], one[3] + other[3])


def _keep_best(found: _Found, more: _Found) -> None:
    for count, (faults, way) in more.items():
        if count not in found or faults < found[count][0]:
            found[count] = (faults, way)
