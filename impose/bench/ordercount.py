"""What an order of cuts costs, counted without making the pieces one by one.

Pieces on the table are every strip of one direction crossed with every strip of the other,
waste left out.  How the strips of a direction come to be does not depend on the other
direction, so it is told once (`Told`); an order is then only the sequence of the runs of both.
A piece lies as the later of its two strips was cut: within a run nothing is turned, and at its
beginning only pieces whose strip was made by an earlier run.
"""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from impose.bench.axis import Axis, Chop, Way, runs
from impose.model.machines import Cutter
from impose.plan.cutsteps import CutCount
from impose.units import Length

#: The runs of both directions in an order: whether the knife runs across, and the run's number.
Weave = tuple[tuple[bool, int], ...]
#: What made the whole pile: no run.
_UNCUT = -1


@dataclass(frozen=True, slots=True)
class GridCount:
    """What an order costs; `too_wide` counts cuts the knife cannot span, `half_turns` are among
    the turns; `knives` are gauge and width of each cut that differs, `narrow` strips of waste
    that the cutter does not cut clean."""

    count: CutCount
    too_wide: int
    half_turns: int
    knives: tuple[tuple[Length, Length], ...]
    narrow: tuple[Length, ...]


@dataclass(frozen=True, slots=True)
class WeaveCount:
    """The same without the cuts themselves."""

    strokes: int
    turns: int
    settings: int
    too_wide: int
    half_turns: int

    @property
    def count(self) -> CutCount:
        """Strokes, turns and settings."""
        return CutCount(strokes=self.strokes, turns=self.turns, settings=self.settings)


@dataclass(frozen=True, slots=True)
class _Run:
    """Cuts made with one edge at the stop.  `chops` without those that only part waste;
    `older`: the runs that made the strips that this one parts first; `settings` of the gauge
    after the first."""

    low: bool
    chops: Way
    older: tuple[int, ...]
    settings: int


@dataclass(frozen=True, slots=True)
class _Stage:
    """The strips after so many runs: how many each run made, their widths."""

    made: tuple[tuple[int, int], ...]
    count: int
    too_wide: int
    widths: tuple[Length, ...]


class Told:
    """One direction, cut in one way: its runs, and the strips before the first and after each."""

    def __init__(self, axis: Axis, way: Way, cutter: Cutter) -> None:
        self._axis, self._points, self._cutter = axis, axis.points, cutter
        self._strips: list[tuple[int, int, int]] = [(0, len(axis.cuts) + 1, _UNCUT)]
        self.stages = [self._stage()]
        self.runs: list[_Run] = []
        for number, chops in enumerate(runs(way)):
            self.runs.append(self._run(number, chops))
            self.stages.append(self._stage())

    @property
    def narrow(self) -> Iterator[Length]:
        """Waste that is cut off and that the cutter does not cut clean."""
        for run in self.runs:
            for chop in run.chops:
                if chop.too_narrow(self._cutter):
                    yield chop.front

    def _run(self, number: int, chops: Sequence[Chop]) -> _Run:
        made: list[Chop] = []
        older: list[int] = []
        settings = 0
        for chop in chops:
            by = self._part(chop.at, number)
            if by is None:  # it would only part waste
                continue
            if by != number:
                older.append(by)
            settings += bool(made) and made[-1].gauge != chop.gauge
            made.append(chop)
        return _Run(chops[0].low_at_gauge, tuple(made), tuple(older), settings)

    def _part(self, at: int, number: int) -> int | None:
        """The run that made the strip; None where the point lies in waste or at an edge."""
        strips, kept = self._strips, self._axis.kept
        place = bisect_left(strips, at, key=lambda strip: strip[1])
        if place == len(strips) or not strips[place][0] < at < strips[place][1]:
            return None
        first, last, by = strips[place]
        parts = ((first, at, number), (at, last, number))
        strips[place : place + 1] = [part for part in parts if any(kept[part[0] : part[1]])]
        return by

    def _stage(self) -> _Stage:
        points, widest = self._points, self._cutter.widest
        wide = [points[last] - points[first] for first, last, _ in self._strips]
        return _Stage(
            made=tuple(Counter(by for _, _, by in self._strips).items()),
            count=len(wide),
            too_wide=sum(one > widest for one in wide),
            widths=tuple({one.grains: one for one in wide}.values()),
        )


def weaves(x: Told, y: Told) -> Iterator[Weave]:
    """Every way of weaving the runs together that keeps the order of each direction."""
    whole = len(x.runs) + len(y.runs)
    for places in combinations(range(whole), len(y.runs)):
        done = {True: 0, False: 0}
        order = []
        for place in range(whole):
            across = place in places
            order.append((across, done[across]))
            done[across] += 1
        yield tuple(order)


def chops_of(x: Told, y: Told, weave: Weave) -> Iterator[tuple[Chop, bool]]:
    """The cuts of an order, each with whether the knife runs across."""
    for across, number in weave:
        for chop in (y if across else x).runs[number].chops:
            yield chop, across


def count_weave(x: Told, y: Told, weave: Weave) -> WeaveCount:
    """The cost of an order, as carrying it out counts it."""
    place = {run: number for number, run in enumerate(weave)}
    done = {True: 0, False: 0}
    strokes = turns = settings = too_wide = half_turns = 0
    last: Length | None = None
    for across, number in weave:
        mine, crossing = (y, x) if across else (x, y)
        run, stage = mine.runs[number], crossing.stages[done[not across]]
        done[across] += 1
        if not run.chops:
            continue
        strokes += len(run.chops) * stage.count
        too_wide += len(run.chops) * stage.too_wide
        settings += run.settings + (run.chops[0].gauge != last)
        last = run.chops[-1].gauge
        for by in run.older:
            since = place.get((across, by), _UNCUT)
            turned = by != _UNCUT and mine.runs[by].low != run.low
            for other, many in stage.made:
                if place.get((not across, other), _UNCUT) > since:
                    turns += many  # it lies as it was cut in the other direction
                elif turned:
                    turns += many
                    half_turns += many
    return WeaveCount(strokes, turns, settings, too_wide, half_turns)


def whole_count(x: Told, y: Told, weave: Weave, counted: WeaveCount) -> GridCount:
    """With the cuts that are asked of the knife."""
    done = {True: 0, False: 0}
    knives: dict[tuple[int, int], tuple[Length, Length]] = {}
    for across, number in weave:
        mine, crossing = (y, x) if across else (x, y)
        for chop in mine.runs[number].chops:
            for wide in crossing.stages[done[not across]].widths:
                knives[chop.gauge.grains, wide.grains] = (chop.gauge, wide)
        done[across] += 1
    narrow = tuple(dict.fromkeys((*x.narrow, *y.narrow)))
    return GridCount(
        counted.count, counted.too_wide, counted.half_turns, tuple(knives.values()), narrow
    )
