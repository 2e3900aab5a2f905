"""Mixed directions: an upright grid of leaves, and beside it one whose leaves lie a quarter
turn round.

One cut through the whole sheet parts the two, so that a guillotine can make it; each
part is then cut like a sheet of its own.  The upright part lies at the left of the
cut or above it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from impose.geometry.box import Box, Size
from impose.model.job import Binding
from impose.model.sheetway import SheetWay
from impose.plan.parts import Cut, Line, LineKind, When
from impose.schemes.cells import Cell
from impose.schemes.draft import Asked
from impose.schemes.leafgrid import LeafBlock, block_cell, grid_lines, leaf_block, most_of
from impose.schemes.parting import SPLIT
from impose.schemes.rooms import Room
from impose.schemes.turnedcells import TurnedCell, line_onto_sheet, off_sheet
from impose.units import ZERO, Length

_TURNED: Final = "turned-"


def best_mixed(block: LeafBlock, room: Room) -> SheetWay | None:
    """The mixed layout with the most leaves; None where no two parts have any."""
    ways = list(_mixed_ways(block, room))
    return max(ways, key=leaves_of, default=None)


def leaves_of(way: SheetWay) -> int:
    """Leaves on a sheet."""
    return way.columns * way.rows + way.turned_columns * way.turned_rows


def _mixed_ways(block: LeafBlock, room: Room) -> Iterator[SheetWay]:
    """Every number of upright columns (or rows), with what fits beside (or below) them."""
    across, up, gap = block.size.width, block.size.height, block.gutter
    wide, high = (side - block.outside * 2 for side in (room.hold.width, room.hold.height))
    landscape = room.sheet.landscape
    columns, rows = most_of(across, gap, wide), most_of(up, gap, high)
    turned_columns, turned_rows = most_of(up, gap, wide), most_of(across, gap, high)
    for some in range(1, columns + 1 if rows else 1):
        left = wide - block.grid(some, rows).width - gap
        beside = most_of(up, gap, left)
        if beside and turned_rows:
            yield SheetWay(
                landscape=landscape, columns=some, rows=rows,
                turned_columns=beside, turned_rows=turned_rows,
            )  # fmt: skip
    for some in range(1, rows + 1 if columns else 1):
        left = high - block.grid(columns, some).height - gap
        below = most_of(across, gap, left)
        if below and turned_columns:
            yield SheetWay(
                landscape=landscape, columns=columns, rows=some, split_across=True,
                turned_columns=turned_columns, turned_rows=below,
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class MixedCells:
    """Both parts, each row by row from the upper left, and where the cut between them is."""

    upright: tuple[Cell, ...]
    turned: tuple[TurnedCell, ...]
    across: bool
    at: Length

    @property
    def all(self) -> tuple[Cell | TurnedCell, ...]:
        """The upright ones first."""
        return (*self.upright, *self.turned)


def mixed_cells(asked: Asked, room: Room, way: SheetWay) -> MixedCells | None:
    """The cells seen from the front; None when they do not fit."""
    block = leaf_block(asked)
    first = block.grid(way.columns, way.rows)
    second = block.grid(way.turned_rows, way.turned_columns).turned
    boxes = _boxes(block, room, (first, second), way.split_across)
    if boxes is None:
        return None
    upright, turned = boxes
    local = off_sheet(turned, room.sheet)
    inner = _filled(asked, block, local, (way.turned_rows, way.turned_columns))
    lying = [TurnedCell(cell, room.sheet) for cell in inner]
    lying.sort(key=lambda cell: (-cell.trim.y0.grains, cell.trim.x0.grains))
    return MixedCells(
        upright=tuple(_filled(asked, block, upright, (way.columns, way.rows))),
        turned=tuple(lying),
        across=way.split_across,
        at=upright.y0 if way.split_across else upright.x1,
    )


def _boxes(
    block: LeafBlock, room: Room, sizes: tuple[Size, Size], across: bool
) -> tuple[Box, Box] | None:
    """Where the two parts lie: together in the middle along, each in the middle across."""
    around, gap = block.outside * 2, block.gutter
    first, second = sizes
    long = [size.height if across else size.width for size in sizes]
    start = room.start(long[0] + gap + long[1] + around, across=not across)
    sides = [
        room.start((size.width if across else size.height) + around, across=across)
        for size in sizes
    ]
    if start is None or sides[0] is None or sides[1] is None:
        return None
    begin, one, other = (at + block.outside for at in (start, sides[0], sides[1]))
    if across:
        return (
            Box.at(one, begin + long[1] + gap, first),
            Box.at(other, begin, second),
        )
    return Box.at(begin, one, first), Box.at(begin + long[0] + gap, other, second)


def _filled(asked: Asked, block: LeafBlock, box: Box, grid: tuple[int, int]) -> list[Cell]:
    """A box filled with columns and rows, row by row from the upper left; right-bound leaves
    are mirrored within it."""
    loose = asked.job.binding is Binding.LOOSE
    step_x, step_y = block.size.width + block.gutter, block.size.height + block.gutter
    cells = [
        block_cell(block, box.x0 + step_x * column, box.y0 + step_y * row, loose)
        for row in reversed(range(grid[1]))
        for column in range(grid[0])
    ]
    if asked.job.bound_at.mirrored:
        frame = Size(box.x0 + box.x1, box.y0 + box.y1)
        cells = [cell.mirrored(frame) for cell in cells]
        cells.sort(key=lambda cell: (-cell.trim.y0.grains, cell.trim.x0.grains))
    return cells


def mixed_lines(
    asked: Asked, room: Room, cells: MixedCells
) -> tuple[tuple[Line, ...], tuple[Cut, ...]]:
    """The cut between the parts, the cuts of each, and for bound leaves their last cuts."""
    block, loose, sheet = leaf_block(asked), asked.job.binding is Binding.LOOSE, room.sheet
    lines, cuts = grid_lines(cells.upright, block, sheet, loose)
    inner = [cell.cell for cell in cells.turned]
    turned_lines, turned_cuts = grid_lines(inner, block, sheet.turned, loose)
    early = {cut.id for cut in turned_cuts if cut.when is not When.AFTER_BINDING}
    for line in turned_lines:
        of = f"{_TURNED}{line.of}" if line.of in early else line.of
        lines.append(replace(line_onto_sheet(line, sheet), of=of))
    for cut in turned_cuts:
        cuts.append(replace(cut, id=f"{_TURNED}{cut.id}") if cut.id in early else cut)
    lines = [line for line in lines if not _at_split(line, cells)]
    left = {line.of for line in lines}
    unique = {cut.id: cut for cut in cuts if cut.id in left}
    split = _split_line(cells, sheet)
    title = "part the leaves that lie one way from those that lie the other"
    first = Cut(id=SPLIT, when=When.BEFORE_BINDING, title=title)
    early_first = sorted(unique.values(), key=lambda cut: cut.when is When.AFTER_BINDING)
    return (split, *lines), (first, *early_first)


def _at_split(line: Line, cells: MixedCells) -> bool:
    at = line.y0 if not line.upright else line.x0
    return line.upright != cells.across and at == cells.at


def _split_line(cells: MixedCells, sheet: Size) -> Line:
    if cells.across:
        return Line(LineKind.CUT, SPLIT, ZERO, cells.at, sheet.width, cells.at)
    return Line(LineKind.CUT, SPLIT, cells.at, ZERO, cells.at, sheet.height)
