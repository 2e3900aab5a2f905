"""The cuts of a pile in one direction: in which order, and which edge lies at the gauge.

A finished size is set from a cut (true) or a jogged (lay) edge, never from a
raw one; where only a raw edge is left, the crop marks decide.  Each cut takes
one strip off the end away from the back stop, so that what stays is held there
and the pile is not pulled out from behind the knife.  (Setting one strip width
and cutting again and again is as accurate, but nearly three times the handling:
Niel Gray Jr., Paper-Cutting Machines, 1918.)

Cards stand on a sheet in equal steps, so most parts of a pile look alike: what is found for one
part holds for every part with the same strips and edges, wherever it lies.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, pairwise
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
#: How often out of reach, set on marks, waste too narrow, reckoned from the lay: the fewer the
#: better, in this order.  Each has a place of so many bits in one number.
_Faults = int
_PLACE: Final = 16
_UNREACHED, _ON_MARKS, _NARROW, _UNTRUE = (1 << _PLACE * place for place in (3, 2, 1, 0))


@dataclass(frozen=True, slots=True)
class _Course:
    """An order of cuts wherever its part of the pile lies: parted `at` so many strips from its low
    end, then what stays is cut on, then what fell in front; None: nothing is left to cut."""

    at: int
    low: bool
    stays: _Course | None
    front: _Course | None


#: The best course for each number of turns.
_Found = dict[int, tuple[_Faults, _Course | None]]
#: By the kind of a part, which edge lies at the gauge, and whether a turn to begin with counts.
_Table = dict[tuple[int, bool, bool], _Found]


@dataclass(slots=True)
class Known:
    """What was found for parts of piles, with one cutter; the next pile asks here first."""

    orders: dict[Axis, tuple[Way, ...]] = field(default_factory=dict)
    kinds: dict[tuple[object, ...], int] = field(default_factory=dict)
    ends: _Table = field(default_factory=dict)
    parted: _Table = field(default_factory=dict)


def ways(axis: Axis, cutter: Cutter, known: Known | None = None) -> tuple[Way, ...]:
    """The best orders, with the fewest half turns first; one for each number of turns.

    All have as few faults as this cutter allows.  Where strips cannot come off
    the ends without a fault, the pile is parted in the middle first.
    """
    if not axis.cuts:
        return ((),)
    known = known or Known()
    if axis not in known.orders:
        known.orders[axis] = _best_ways(axis, cutter, known)
    return known.orders[axis]


def _best_ways(axis: Axis, cutter: Cutter, known: Known) -> tuple[Way, ...]:
    kinds = _kinds_of(axis, known.kinds)
    finder = _Finder(axis, cutter, kinds, known.ends)
    found = finder.whole()
    if _hindered(_least(found)):
        parted = _Finder(axis, cutter, kinds, known.parted, finder)
        others = parted.whole()
        if _least(others) >> _PLACE < _least(found) >> _PLACE:
            finder, found = parted, others
    least = _least(found)
    return tuple(
        tuple(finder.chops(course))
        for _, (faults, course) in sorted(found.items(), key=lambda one: one[0])
        if faults >> _PLACE == least >> _PLACE
    )


def _least(found: _Found) -> _Faults:
    return min(faults for faults, _ in found.values())


def _hindered(faults: _Faults) -> bool:
    """Something is out of reach, or must be set on marks."""
    return faults >= _ON_MARKS


def runs(way: Sequence[Chop]) -> list[list[Chop]]:
    """Parted where the pile is turned half round."""
    parts: list[list[Chop]] = []
    for chop in way:
        if parts and parts[-1][-1].low_at_gauge == chop.low_at_gauge:
            parts[-1].append(chop)
        else:
            parts.append([chop])
    return parts


#: By the first and the last point of a part.
_Kinds = list[list[int]]


class _Finder:
    """Searches all orders in which strips come off one end or the other.

    With `ends`, that finder, also those that part the pile anywhere and go on with both parts:
    where strips come off the ends of a part without a fault, it is not parted further.
    """

    def __init__(
        self, axis: Axis, cutter: Cutter, kinds: _Kinds, known: _Table, ends: _Finder | None = None
    ) -> None:
        self._axis, self._points = axis, axis.points
        self._last = len(axis.cuts) + 1
        self._at = [point.grains for point in self._points]
        self._good = [0, *accumulate(axis.kept)]
        self._gauges = (cutter.gauge_min.grains, cutter.gauge_max.grains)
        self._waste = cutter.waste_min.grains
        self._kinds, self._known, self._ends = kinds, known, ends

    def whole(self) -> _Found:
        """The best of the whole pile, either edge at the gauge first."""
        found = dict(self.rest(0, self._last, True))
        _keep_best(found, self.rest(0, self._last, False))
        return found

    def rest(self, first: int, last: int, low: bool) -> _Found:
        """The best ways on for what lies between two points, this edge at the gauge first."""
        if last - first == 1:
            return {0: (0, None)}
        key = (self._kinds[first][last], low, False)
        known = self._known.get(key)
        if known is not None:
            return known
        if self._ends is not None:
            found = self._ends.rest(first, last, low)
            if not _hindered(_least(found)):
                self._known[key] = found
                return found
        found = {}
        for at in self._places(first, last, low):
            stays, front = ((first, at), (at, last)) if low else ((at, last), (first, at))
            chop = (at - first, low, self._faults(first, last, at, low))
            _join(found, chop, self._next(*stays, low), self._next(*front, low))
        self._known[key] = found
        return found

    def chops(self, course: _Course | None) -> Iterator[Chop]:
        """The cuts of a course of the whole pile, in their order."""
        ahead = [(course, 0, self._last)]
        while ahead:
            course, first, last = ahead.pop()
            if course is None:
                continue
            at, low = first + course.at, course.low
            yield self._chop(first, last, at, low)
            stays, front = ((first, at), (at, last)) if low else ((at, last), (first, at))
            ahead.append((course.front, *front))
            ahead.append((course.stays, *stays))

    def _places(self, first: int, last: int, low: bool) -> Sequence[int]:
        """Where this part may be cut next.

        Of many places only those are tried that can matter: both ends, the middle, and
        where the gauge comes into reach and goes out of it.
        """
        if self._ends is None:
            return (last - 1 if low else first + 1,)
        if last - first <= _ALL_TRIED:
            return range(first + 1, last)
        inside = self._in_reach(first, last, low)
        middle = (first + last) // 2
        near = {first + 1, first + 2, middle - 1, middle, middle + 1, last - 2, last - 1}
        return sorted({*near, *inside[:2], *inside[-2:]})

    def _in_reach(self, first: int, last: int, low: bool) -> range:
        """The points of a part whose gauge the machine can set."""
        at, (least, most) = self._at, self._gauges
        if low:
            nearest = bisect_left(at, at[first] + least, first + 1, last)
            return range(nearest, bisect_right(at, at[first] + most, nearest, last))
        farthest = bisect_left(at, at[last] - most, first + 1, last)
        return range(farthest, bisect_right(at, at[last] - least, farthest, last))

    def _next(self, first: int, last: int, low: bool) -> _Found:
        """Ways on, counted with the turn that is needed to begin them."""
        key = (self._kinds[first][last], low, True)
        known = self._known.get(key)
        if known is not None:
            return known
        found: _Found = {}
        for next_low in (low, not low):
            for count, (faults, course) in self.rest(first, last, next_low).items():
                total = count + 1 if course is not None and next_low != low else count
                if total <= _MOST_RUNS:
                    _keep_best(found, {total: (faults, course)})
        self._known[key] = found
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

    def _faults(self, first: int, last: int, at: int, low: bool) -> _Faults:
        places, good = self._at, self._good
        if low:
            gauge, front = places[at] - places[first], places[last] - places[at]
            state = EdgeState.TRUE if first else self._axis.low
            kept = good[last] - good[at]
        else:
            gauge, front = places[last] - places[at], places[at] - places[first]
            state = EdgeState.TRUE if last < self._last else self._axis.high
            kept = good[at] - good[first]
        faults = 0 if self._gauges[0] <= gauge <= self._gauges[1] else _UNREACHED
        if state is not EdgeState.TRUE:
            faults += _UNTRUE + (_ON_MARKS if state is EdgeState.RAW else 0)
        if not kept and front < self._waste:
            faults += _NARROW
        return faults


def _kinds_of(axis: Axis, numbers: dict[tuple[object, ...], int]) -> _Kinds:
    """A number for every part between two points, the same for parts with the same strips (how
    wide, good work or not) and the same edges: what is best for one is best for the other."""
    points, whole = axis.points, len(axis.cuts) + 1
    strips = [
        numbers.setdefault((high.grains - low.grains, kept), len(numbers))
        for (low, high), kept in zip(pairwise(points), axis.kept, strict=True)
    ]
    found = []
    for first in range(whole):
        edge = "true" if first else axis.low.value
        kind = numbers.setdefault(("from", edge), len(numbers))
        row = [0] * (first + 1)
        for last in range(first + 1, whole):
            kind = numbers.setdefault((kind, strips[last - 1], ""), len(numbers))
            row.append(kind)
        row.append(numbers.setdefault((kind, strips[-1], axis.high.value), len(numbers)))
        found.append(row)
    return found


def _join(found: _Found, chop: tuple[int, bool, _Faults], stays: _Found, front: _Found) -> None:
    """A cut, and after it first what stays is cut on, then what fell in front."""
    at, low, own = chop
    for count, (faults, course) in stays.items():
        some = own + faults
        for more, (others, then) in front.items():
            both = course is not None and then is not None
            total = max(1, count + more if both else max(count, more))
            all_of = some + others
            if total not in found or all_of < found[total][0]:
                found[total] = (all_of, _Course(at, low, course, then))


def _keep_best(found: _Found, more: _Found) -> None:
    for count, (faults, course) in more.items():
        if count not in found or faults < found[count][0]:
            found[count] = (faults, course)
