"""Steps for sheets of flat work: pile after pile is parted until every pile is one item.

A part of the sheet whose items stand in rows and columns is cut like any sheet
(bench.grid); parts that are cut alike are cut with the same setting of the gauge.
The outer parts come before the inner ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise, product

from impose.bench.axis import Axis, Chop
from impose.bench.grid import Grid, GridCut, GridOrder, Piece, best_order
from impose.bench.pile import Pile
from impose.bench.sheetsteps import turns_between
from impose.bench.words import Notes, edge_words, listed
from impose.findings import page_ranges
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.cutsteps import (
    CutCount,
    CutStep,
    EdgeState,
    OnTable,
    Present,
    Setting,
    StepKind,
    Turn,
)
from impose.plan.cutsteps import (
    Part as Lump,
)
from impose.plan.parts import When
from impose.schemes.guillotine import Part, Span
from impose.units import Length, reading_text

Edges4 = Mapping[Edge, EdgeState]


def piles_words(numbers: Sequence[int], whole: int, things: str) -> str:
    """What a pile is called after the items that are still in it."""
    if len(numbers) == whole:
        return things
    return f"pile{'s' if len(numbers) > 1 else ''} {page_ranges(numbers)}"


@dataclass(frozen=True, slots=True)
class _Lot:
    """A pile: the part of the sheet it is, what its edges are worth, which lay at the stop last."""

    part: Part
    edges: Edges4
    lying: Edge | None

    @property
    def grid(self) -> Grid:
        """Rows and columns of this pile, measured from its own lower left."""
        paper = self.part.paper
        return Grid(
            x=_axis(
                paper.x0,
                paper.x1,
                self.part.xs,
                self.part.columns,
                (self.edges[Edge.LEFT], self.edges[Edge.RIGHT]),
            ),
            y=_axis(
                paper.y0,
                paper.y1,
                self.part.ys,
                self.part.rows,
                (self.edges[Edge.BOTTOM], self.edges[Edge.TOP]),
            ),
        )


def _axis(
    low: Length,
    high: Length,
    cuts: Sequence[Length],
    spans: Sequence[Span],
    states: tuple[EdgeState, EdgeState],
) -> Axis:
    ends = (low, *cuts, high)
    kept = tuple(
        any(start < at_end and at < end for start, end in spans) for at, at_end in pairwise(ends)
    )
    inner = tuple(at - low for at in cuts)
    return Axis(length=high - low, cuts=inner, kept=kept, low=states[0], high=states[1])


@dataclass(slots=True, kw_only=True)
class FlatSteps:
    """Cuts one layout apart.  `first` is the number of its first pile; `ids` name the plan's
    cuts by (runs across, place).  `count` and `plain` are reckoned while the steps are made."""

    things: str
    root: Part
    lay: tuple[Edge, Edge]
    ids: Mapping[tuple[bool, Length], str]
    pile: Pile
    notes: Notes
    first: int
    count: CutCount = field(default_factory=CutCount)
    plain: CutCount = field(default_factory=CutCount)
    _orders: dict[Grid, tuple[GridOrder, CutCount]] = field(default_factory=dict)
    _numbers: dict[Box, int] = field(default_factory=dict)
    _inside: dict[Box, tuple[int, ...]] = field(default_factory=dict)
    _places: list[tuple[int, int, int, int, int]] = field(default_factory=list)
    _sizes: set[Size] = field(default_factory=set)
    _gauge: Length | None = None

    def __post_init__(self) -> None:
        trims = sorted(self.root.trims, key=lambda t: (-t.y1.grains, t.x0.grains))
        self._numbers = {trim: self.first + n for n, trim in enumerate(trims)}
        self._places = [
            (t.x0.grains, t.y0.grains, t.x1.grains, t.y1.grains, n)
            for t, n in self._numbers.items()
        ]
        self._sizes = {trim.size for trim in trims}

    @property
    def piles(self) -> dict[str, Box]:
        """The pile that each trim of the sheet becomes, by its name."""
        return {self._name([number]): trim for trim, number in self._numbers.items()}

    def steps(self) -> Iterator[CutStep]:
        """All cuts, from the whole sheets to the single items."""
        raw = {edge: EdgeState.RAW for edge in Edge}
        edges = raw | {edge: EdgeState.LAY for edge in self.lay}
        lots = [_Lot(self.root, edges, None)]
        while lots:
            alike: dict[Grid, list[_Lot]] = {}
            for lot in lots:
                if lot.part.parts:
                    alike.setdefault(lot.grid, []).append(lot)
            lots = []
            for grid, group in alike.items():
                cutting = _Cutting(self, grid, group)
                yield from cutting.steps()
                lots += cutting.left

    def order(self, grid: Grid, times: int) -> GridOrder:
        """The handiest order for a grid; what the plain one would cost is added up."""
        if grid not in self._orders:
            self._orders[grid] = best_order(grid, self.notes.cutter)
        order, plain = self._orders[grid]
        self.plain = CutCount(
            strokes=self.plain.strokes + plain.strokes * times,
            turns=self.plain.turns + plain.turns * times,
            settings=self.plain.settings + plain.settings * times,
        )
        return order

    def step(
        self, cut: GridCut, edge: Edge, turns: tuple[Turn, ...], taken: Sequence[_Taken]
    ) -> CutStep:
        """One setting of the gauge, the same cut in every pile of `taken`."""
        chop, unit = cut.chop, self.notes.unit
        lifts = self.pile.lifts(self.notes.cutter)
        self._add(len(taken), len(taken) if turns else 0, chop.gauge)
        first = taken[0]
        stays, falls = (self._lump([t.part(chop, front) for t in taken], cut.across)
                        for front in (False, True))  # fmt: skip
        names = tuple(self._name(self._in(t.box)) for t in taken)
        return CutStep(
            number=0,
            kind=StepKind.CUT,
            when=When.BEFORE_BINDING,
            title=_title(chop, first, falls, cut.across),
            cuts=tuple(dict.fromkeys(self.ids[cut.across, t.at(cut)] for t in taken)),
            table=OnTable(
                piles=names,
                count=self.pile.count,
                things=self.things,
                height=self.pile.height,
                lifts=lifts,
                size=_lying(first.box.size, cut.across),
            ),
            present=Present(at_gauge=edge.value, state=chop.state, turns=turns),
            setting=Setting(
                gauge=chop.gauge,
                reading=reading_text(chop.gauge, unit),
                reckoned_from=edge_words(edge, chop.state),
                on_marks=chop.state is EdgeState.RAW,
            ),
            stays=stays,
            falls=falls,
            notes=self._notes(chop, taken, lifts, (stays, falls)),
        )

    def _notes(
        self, chop: Chop, taken: Sequence[_Taken], lifts: int, lumps: Sequence[Lump]
    ) -> tuple[str, ...]:
        said = self.notes.before_binding(chop, len(taken), lifts)
        done = next((lump.size for lump in lumps if not lump.waste and
                     {lump.size, lump.size.turned} & self._sizes), None)  # fmt: skip
        return said if done is None else (*said, self.notes.finishing(done))

    def _add(self, strokes: int, turns: int, gauge: Length) -> None:
        self.count = CutCount(
            strokes=self.count.strokes + strokes,
            turns=self.count.turns + turns,
            settings=self.count.settings + (gauge != self._gauge),
        )
        self._gauge = gauge

    def _lump(self, boxes: Sequence[Box], across: bool) -> Lump:
        inside = [self._in(box) for box in boxes]
        waste = not inside[0]
        names = () if waste else tuple(map(self._name, inside))
        return Lump(piles=names, size=_lying(boxes[0].size, across), waste=waste)

    def _in(self, box: Box) -> tuple[int, ...]:
        """The numbers of the items in a piece of the sheet; known pieces are asked for often."""
        found = self._inside.get(box)
        if found is None:
            left, low = box.x0.grains, box.y0.grains
            right, high = box.x1.grains, box.y1.grains
            found = self._inside[box] = tuple(
                n
                for x0, y0, x1, y1, n in self._places
                if left <= x0 and low <= y0 and x1 <= right and y1 <= high
            )
        return found

    def _name(self, numbers: Sequence[int]) -> str:
        return piles_words(numbers, len(self._numbers), self.things)


@dataclass(frozen=True, slots=True)
class _Taken:
    """A piece of one pile that is about to be cut."""

    lot: _Lot
    grid: Grid
    piece: Piece
    across: bool

    @property
    def box(self) -> Box:
        """On the sheet."""
        return _box_of(self.lot, self.grid, self.piece)

    def at(self, cut: GridCut) -> Length:
        """Where the cut lies on the sheet."""
        paper = self.lot.part.paper
        if cut.across:
            return paper.y0 + self.grid.y.points[cut.chop.at]
        return paper.x0 + self.grid.x.points[cut.chop.at]

    def part(self, chop: Chop, front: bool) -> Box:
        """What stays at the stop, or lies in front of the knife."""
        low, high = self.piece.parted(chop.at, self.across)
        return _box_of(self.lot, self.grid, high if front == chop.low_at_gauge else low)


def _box_of(lot: _Lot, grid: Grid, piece: Piece) -> Box:
    paper, x, y = lot.part.paper, grid.x.points, grid.y.points
    return Box(
        paper.x0 + x[piece.x0],
        paper.y0 + y[piece.y0],
        paper.x0 + x[piece.x1],
        paper.y0 + y[piece.y1],
    )


class _Cutting:
    """Piles that are cut alike, worked through together; `left` is what is cut on afterwards."""

    def __init__(self, maker: FlatSteps, grid: Grid, lots: Sequence[_Lot]) -> None:
        self._maker, self._grid, self._lots = maker, grid, lots
        self.left: list[_Lot] = []

    def steps(self) -> Iterator[CutStep]:
        """A step for each setting; piles that lie differently or are of another size are steps of
        their own."""
        order = self._maker.order(self._grid, len(self._lots))
        lying = {(n, self._grid.whole): lot.lying for n, lot in enumerate(self._lots)}
        for cut in order.cuts:
            edge = _edge_at_gauge(cut)
            alike: dict[tuple[tuple[Turn, ...], Size], list[_Taken]] = {}
            for n, piece in product(range(len(self._lots)), cut.pieces):
                before = lying.pop((n, piece))
                turns = () if before is None else turns_between(before, edge)
                taken = _Taken(self._lots[n], self._grid, piece, cut.across)
                alike.setdefault((turns, taken.box.size), []).append(taken)
                for part in piece.parted(cut.chop.at, cut.across):
                    lying[n, part] = edge
            for (turns, _), group in alike.items():
                yield self._maker.step(cut, edge, turns, group)
        for n, lot in enumerate(self._lots):
            self.left += self._inner(lot, {p: at for (m, p), at in lying.items() if m == n})

    def _inner(self, lot: _Lot, lying: Mapping[Piece, Edge | None]) -> Iterator[_Lot]:
        """The parts of a pile, with what their edges are worth now."""
        paper = lot.part.paper
        at = {_box_of(lot, self._grid, piece): edge for piece, edge in lying.items()}
        for part in lot.part.parts:
            own = part.paper
            uncut = {
                Edge.LEFT: own.x0 == paper.x0,
                Edge.RIGHT: own.x1 == paper.x1,
                Edge.BOTTOM: own.y0 == paper.y0,
                Edge.TOP: own.y1 == paper.y1,
            }
            edges = {
                edge: lot.edges[edge] if same else EdgeState.TRUE for edge, same in uncut.items()
            }
            yield _Lot(part, edges, at[own])


def _edge_at_gauge(cut: GridCut) -> Edge:
    if cut.across:
        return Edge.BOTTOM if cut.chop.low_at_gauge else Edge.TOP
    return Edge.LEFT if cut.chop.low_at_gauge else Edge.RIGHT


def _lying(size: Size, across: bool) -> Size:
    return size if across else size.turned


def _title(chop: Chop, taken: _Taken, falls: Lump, across: bool) -> str:
    if not falls.waste:
        whole = not falls.piles[0].startswith("pile")
        return "Cut the sheets free" if whole else f"Cut off {listed(falls.piles)}"
    axis = taken.grid.y if across else taken.grid.x
    strip = chop.at if chop.low_at_gauge else chop.at - 1
    if 0 < strip < len(axis.kept) - 1:
        return "Double cut: the strip between two items falls"
    side = (
        ("top" if chop.low_at_gauge else "bottom")
        if across
        else ("right" if chop.low_at_gauge else "left")
    )
    return f"Cut the waste off at the {side}"


def renumbered(steps: Sequence[CutStep], start: int) -> tuple[CutStep, ...]:
    """Numbered on from `start`."""
    return tuple(replace(step, number=number) for number, step in enumerate(steps, start=start))
