"""Sheets with leaves lying both ways: parted by one cut, then two sheets of their own.

The cut between the two directions comes first and leaves a true edge to both parts;
each is then cut as a grid, its places counted on after those of the part before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from impose.bench.grid import Chops, Grid, GridCut, best_order
from impose.bench.ordercount import GridCount
from impose.bench.pile import Pile
from impose.bench.sheetgrid import SheetCuts, cuts_on, guts_sheets, lay_edges
from impose.bench.sheetsteps import SheetSteps, edge_at_gauge
from impose.bench.words import Notes
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.model.job import Job
from impose.model.machines import Cutter
from impose.plan.cutsteps import CutCount, CutStep, EdgeState
from impose.plan.parts import Line, Sheet
from impose.plan.plan import Plan
from impose.schemes.gutspaper import sheet_cut_ids
from impose.schemes.parting import SPLIT
from impose.units import ZERO

#: What the cuts of a grid cost, and the cuts.
Counted = Callable[[Grid], tuple[GridCount, Chops]]


@dataclass(frozen=True, slots=True)
class PartCuts:
    """A part of the sheet: `box` on it, its cuts in its own frame, and the number of its first
    place, from 1."""

    box: Box
    cuts: SheetCuts
    first: int

    @property
    def places(self) -> tuple[int, ...]:
        """The numbers of its places."""
        count = len(self.cuts.grid.cells(self.cuts.grid.whole))
        return tuple(range(self.first, self.first + count))


@dataclass(frozen=True, slots=True)
class MixedCuts:
    """`split` parts the sheet in two; `parts` are those with leaves, the upright one first."""

    split: SheetCuts
    parts: tuple[PartCuts, ...]

    @property
    def total(self) -> int:
        """All places for leaves."""
        return sum(len(part.places) for part in self.parts)


def mixed_cuts(plan: Plan, job: Job) -> MixedCuts | None:
    """How sheets with leaves lying both ways are cut; None for all others."""
    sheets = guts_sheets(plan)
    split = next((line for line in sheets[0].lines if line.of == SPLIT), None)
    if split is None:
        return None
    lay = lay_edges(plan, job, sheets[0], [])
    trims = tuple(dict.fromkeys(p.trim for one in sheets for p in one.front.placements))
    early = sheet_cut_ids(plan) - {SPLIT}
    parts: list[PartCuts] = []
    for box in _halves(sheets[0].size, split):
        inside = tuple(trim for trim in trims if box.contains(trim))
        if inside:
            lines = [line for line in sheets[0].lines if line.of in early and _in(line, box)]
            first = 1 + sum(len(part.places) for part in parts)
            parts.append(PartCuts(box, _part_cuts(sheets[0], box, lines, inside, lay), first))
    return MixedCuts(_split_cuts(sheets[0], split, trims, lay), tuple(parts))


def _halves(size: Size, split: Line) -> tuple[Box, Box]:
    """The part with upright leaves first: at the left of the cut, or above it."""
    if split.upright:
        left = Box(ZERO, ZERO, split.x0, size.height)
        return left, Box(split.x0, ZERO, size.width, size.height)
    return Box(ZERO, split.y0, size.width, size.height), Box(ZERO, ZERO, size.width, split.y0)


def _in(line: Line, box: Box) -> bool:
    """The line runs through the inside of the part."""
    if line.upright:
        return box.x0 < line.x0 < box.x1 and line.y0 < box.y1 and box.y0 < line.y1
    return box.y0 < line.y0 < box.y1 and line.x0 < box.x1 and box.x0 < line.x1


def _part_cuts(
    sheet: Sheet, box: Box, lines: list[Line], trims: tuple[Box, ...], lay: tuple[Edge, Edge]
) -> SheetCuts:
    moved = [
        Line(ln.kind, ln.of, ln.x0 - box.x0, ln.y0 - box.y0, ln.x1 - box.x0, ln.y1 - box.y0)
        for ln in lines
    ]
    states = {
        Edge.LEFT: _state(Edge.LEFT, box.x0 == ZERO, lay),
        Edge.RIGHT: _state(Edge.RIGHT, box.x1 == sheet.size.width, lay),
        Edge.BOTTOM: _state(Edge.BOTTOM, box.y0 == ZERO, lay),
        Edge.TOP: _state(Edge.TOP, box.y1 == sheet.size.height, lay),
    }
    inside = tuple(trim.moved(-box.x0, -box.y0) for trim in trims)
    return cuts_on(box.size, moved, inside, lay, states)


def _state(edge: Edge, own: bool, lay: tuple[Edge, Edge]) -> EdgeState:
    """An edge of a part: the sheet's `own`, or made by the cut between the parts."""
    if not own:
        return EdgeState.TRUE
    return EdgeState.LAY if edge in lay else EdgeState.RAW


def _split_cuts(
    sheet: Sheet, split: Line, trims: tuple[Box, ...], lay: tuple[Edge, Edge]
) -> SheetCuts:
    """The sheet with nothing but the cut between the parts."""
    return cuts_on(sheet.size, [split], trims, lay, {})


def mixed_count(cuts: MixedCuts, counted: Counted) -> tuple[CutCount, tuple[GridCount, ...]]:
    """What the cuts of such sheets cost: in all, and grid by grid."""
    split, chops = counted(cuts.split.grid)
    parts = [counted(part.cuts.grid) for part in cuts.parts]
    counts = (split, *(count for count, _ in parts))
    turns = sum(_turned(chops, part) for _, part in parts)
    return _sum([count.count for count in counts], turns), counts


def _sum(counts: list[CutCount], turns: int) -> CutCount:
    return CutCount(
        strokes=sum(count.strokes for count in counts),
        turns=sum(count.turns for count in counts) + turns,
        settings=sum(count.settings for count in counts),
    )


def _turned(split: Chops, part: Chops) -> bool:
    """The part is turned between the cut that parted it off and its own first cut."""
    if not part:
        return False
    before, first = (edge_at_gauge(GridCut(*chops[0], ())) for chops in (split, part))
    return before is not first


def mixed_steps(
    plan: Plan, job: Job, cuts: MixedCuts, pile: Pile, notes: Notes
) -> Iterator[CutStep]:
    """Jog, part, cut each part, lay the piles on each other."""
    cutter = notes.cutter
    numbers = tuple(part.places for part in cuts.parts)
    split = SheetSteps(
        plan=plan, job=job, cuts=cuts.split, pile=pile, notes=notes,
        numbers=numbers, total=cuts.total,
    )  # fmt: skip
    yield split.jog()
    order, _ = best_order(cuts.split.grid, cutter)
    yield from split.steps(order)
    for part in cuts.parts:
        steps = SheetSteps(
            plan=plan, job=job, cuts=part.cuts, pile=pile, notes=notes,
            numbers=tuple((place,) for place in part.places), total=cuts.total,
            start=edge_at_gauge(order.cuts[0]),
        )  # fmt: skip
        yield from steps.steps(best_order(part.cuts.grid, cutter)[0])
    stack = split.stack()
    if stack is not None:
        yield stack


def plain_count(cuts: MixedCuts, cutter: Cutter) -> CutCount:
    """Each grid the plain way: rows first, then each strip by itself."""
    plains = [
        best_order(grid, cutter)[1]
        for grid in (cuts.split.grid, *(part.cuts.grid for part in cuts.parts))
    ]
    return _sum(plains, 0)
