"""Sheets cut apart into rows and columns: the order that needs the least handling.

Both directions are settled by themselves (bench.axis); here they are woven
together.  Cutting the far and the near waste off while the pile is whole (the
way a pile is squared in four cuts: Niel Gray Jr., Paper-Cutting Machines, 1918)
saves turning each strip; so all ways of weaving the runs are tried, the plain
way among them: rows first, then each strip by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from impose.bench.axis import Axis, Chop, Known, Way, runs, ways
from impose.bench.ordercount import (
    GridCount,
    Told,
    Weave,
    WeaveCount,
    chops_of,
    count_weave,
    weaves,
    whole_count,
)
from impose.model.machines import Cutter
from impose.plan.cutsteps import CutCount
from impose.units import Length

#: More ways of one direction than these are not worth trying.
_WAYS = 2


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of the sheet between points of both axes."""

    x0: int
    x1: int
    y0: int
    y1: int

    def parted(self, at: int, across: bool) -> tuple[Piece, Piece]:
        """The low and the high part; `across`: the knife runs across (y constant)."""
        if across:
            return Piece(self.x0, self.x1, self.y0, at), Piece(self.x0, self.x1, at, self.y1)
        return Piece(self.x0, at, self.y0, self.y1), Piece(at, self.x1, self.y0, self.y1)

    def holds(self, at: int, across: bool) -> bool:
        """The point lies inside, not at an edge."""
        return self.y0 < at < self.y1 if across else self.x0 < at < self.x1


@dataclass(frozen=True, slots=True)
class Grid:
    """A sheet seen from the front: `x` has the upright cuts, `y` those that run across."""

    x: Axis
    y: Axis

    @property
    def whole(self) -> Piece:
        return Piece(0, len(self.x.cuts) + 1, 0, len(self.y.cuts) + 1)

    def cells(self, piece: Piece) -> tuple[int, ...]:
        """The places of good work in a piece, counted from 1, row by row from the upper left."""
        columns = [i for i, kept in enumerate(self.x.kept) if kept]
        rows = [j for j, kept in reversed(list(enumerate(self.y.kept))) if kept]
        return tuple(
            number
            for number, (j, i) in enumerate(product(rows, columns), start=1)
            if piece.x0 <= i < piece.x1 and piece.y0 <= j < piece.y1
        )

    def has_good(self, piece: Piece) -> bool:
        """There is good work in the piece."""
        return any(self.x.kept[piece.x0 : piece.x1]) and any(self.y.kept[piece.y0 : piece.y1])

    def along(self, piece: Piece, across: bool) -> Length:
        """How long the knife's line through the piece is."""
        low, high = (piece.x0, piece.x1) if across else (piece.y0, piece.y1)
        points = (self.x if across else self.y).points
        return points[high] - points[low]


@dataclass(frozen=True, slots=True)
class GridCut:
    """One setting of the gauge: `chop` made in each of these pieces."""

    chop: Chop
    across: bool
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True)
class GridOrder:
    """The cuts in order, with what they cost.

    `too_wide` counts cuts the knife cannot span; `half_turns` are among the turns.
    """

    cuts: tuple[GridCut, ...]
    count: CutCount
    too_wide: int = 0
    half_turns: int = 0


def best_order(grid: Grid, cutter: Cutter) -> tuple[GridOrder, CutCount]:
    """The order with the least handling, and what the plain way would cost.

    Never more turns nor more settings than the plain way.
    """
    best, chops, plain = least_handling(grid, cutter)
    order = _carried_out(grid, chops, cutter)
    if (order.count, order.too_wide, order.half_turns) != (
        best.count,
        best.too_wide,
        best.half_turns,
    ):
        raise AssertionError("an order of cuts is counted otherwise than it is carried out")
    return order, plain


#: Cuts in their order, each with whether the knife runs across.
Chops = tuple[tuple[Chop, bool], ...]


def least_handling(
    grid: Grid, cutter: Cutter, known: Known | None = None
) -> tuple[GridCount, Chops, CutCount]:
    """What the best order costs, its cuts, and what the plain way would cost; `known` holds what
    was found for other sheets and this cutter."""
    x_ways, y_ways = (ways(axis, cutter, known)[:_WAYS] for axis in (grid.x, grid.y))
    plain = _plain_count(grid, x_ways[0], y_ways[0])
    told = product(
        [Told(grid.x, way, cutter) for way in x_ways], [Told(grid.y, way, cutter) for way in y_ways]
    )
    best: tuple[WeaveCount, Told, Told, Weave] | None = None
    for x, y in told:
        for weave in weaves(x, y):
            counted = count_weave(x, y, weave)
            if counted.turns > plain.turns or counted.settings > plain.settings:
                continue
            if best is None or _cost(counted) < _cost(best[0]):
                best = (counted, x, y, weave)
    if best is None:  # cannot be: rows first with each setting used for all strips is among them
        raise AssertionError("no order of cuts is as good as the plain one")
    counted, x, y, weave = best
    return whole_count(x, y, weave, counted), tuple(chops_of(x, y, weave)), plain


def _cost(counted: WeaveCount) -> tuple[int, ...]:
    """Of equal orders the one that goes round the sheet by quarter turns."""
    handling = counted.turns + counted.settings
    return (counted.too_wide, handling, counted.turns, counted.strokes, counted.half_turns)


def _carried_out(grid: Grid, chops: Chops, cutter: Cutter) -> GridOrder:
    """Each cut made in every piece it goes through, with turns and settings counted."""
    lying: dict[Piece, tuple[bool, bool] | None] = {grid.whole: None}
    cuts: list[GridCut] = []
    strokes = turns = settings = too_wide = half_turns = 0
    last: Length | None = None
    for chop, across in chops:
        pieces = tuple(piece for piece in lying if piece.holds(chop.at, across))
        if not pieces:  # it would only part waste
            continue
        for piece in pieces:
            want = (across, chop.low_at_gauge)
            before = lying.pop(piece)
            turns += before is not None and before != want
            half_turns += before == (across, not chop.low_at_gauge)
            too_wide += grid.along(piece, across) > cutter.widest
            for part in piece.parted(chop.at, across):
                if grid.has_good(part):
                    lying[part] = want
        strokes += len(pieces)
        settings += chop.gauge != last
        last = chop.gauge
        cuts.append(GridCut(chop, across, pieces))
    count = CutCount(strokes=strokes, turns=turns, settings=settings)
    return GridOrder(tuple(cuts), count, too_wide, half_turns)


def _plain_count(grid: Grid, x_way: Way, y_way: Way) -> CutCount:
    """Rows first, then every strip by itself from its first cut to its last."""
    strips = sum(grid.y.kept)
    y_turns, x_turns = max(0, len(runs(y_way)) - 1), max(0, len(runs(x_way)) - 1)
    if not x_way:
        return CutCount(strokes=len(y_way), turns=y_turns, settings=len(y_way))
    into_strips = strips if y_way else 0
    return CutCount(
        strokes=len(y_way) + strips * len(x_way),
        turns=y_turns + into_strips + strips * x_turns,
        settings=len(y_way) + strips * len(x_way),
    )
