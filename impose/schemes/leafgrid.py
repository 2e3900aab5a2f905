"""Leaves side by side on a flat sheet: the paper of one leaf, and the grids that fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import Edge, PageSides
from impose.model.job import Binding
from impose.model.sheetway import SheetWay
from impose.plan.parts import Cut, Line, LineKind
from impose.schemes.cells import Cell
from impose.schemes.draft import Asked, cuts_after_binding, refuse
from impose.schemes.parting import parting_cuts
from impose.schemes.rooms import Room
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class LeafBlock:
    """The paper of one leaf on an n-up sheet: the trim and what is left round it."""

    leaf: Size
    round: PageSides
    gutter: Length
    room: PageSides  #: for bleed
    outside: Length = ZERO  #: room for bleed round the whole grid

    @property
    def size(self) -> Size:
        return Size(
            self.round.spine + self.leaf.width + self.round.fore_edge,
            self.round.foot + self.leaf.height + self.round.head,
        )

    def grid(self, columns: int, rows: int) -> Size:
        """The paper of columns x rows blocks with gutters between."""
        return Size(
            self.size.width * columns + self.gutter * (columns - 1),
            self.size.height * rows + self.gutter * (rows - 1),
        )


def leaf_block(asked: Asked) -> LeafBlock:
    """As the job's binding and allowances have it.  Raises JobError where bleed lacks room."""
    guts = asked.job.guts
    if asked.job.binding is Binding.LOOSE:
        gutter = asked.bleed * 2 if guts.gutter is None else guts.gutter
        if guts.gutter is not None and guts.bleed is not None and gutter < guts.bleed * 2:
            unit = asked.job.unit
            raise refuse(
                "bleed-gutter",
                f"a bleed of {guts.bleed.text(unit)} on both sides needs a gutter of "
                f"{(guts.bleed * 2).text(unit)}; the gutter is {gutter.text(unit)}",
                "make the gutter wider or the bleed smaller",
            )
        outside = asked.bleed if guts.gutter is None else min(asked.bleed, gutter.half)
        room = PageSides.all(asked.bleed if guts.gutter is None else gutter.half)
        return LeafBlock(asked.leaf, PageSides(), gutter, room, outside)
    off = asked.trim_off
    if off < asked.bleed:
        unit = asked.job.unit
        raise refuse(
            "bleed-trim-off",
            f"a bleed of {asked.bleed.text(unit)} needs at least as much to trim off; "
            f"trim_off is {off.text(unit)}",
            "make trim_off larger or the bleed smaller",
        )
    sides = PageSides(head=off, foot=off, fore_edge=off, spine=asked.grind)
    return LeafBlock(asked.leaf, sides, guts.gutter or ZERO, sides)


@dataclass(frozen=True, slots=True)
class LeafGrid:
    """Leaves in columns and rows on one sheet."""

    room: Room
    columns: int
    rows: int


def leaf_grids(
    block: LeafBlock, room: Room, up: int | None, way: SheetWay | None = None
) -> list[LeafGrid]:
    """Grids on one sheet; with `up`, every factor pair that fits, the fuller first; with a
    `way`, its own alone."""
    around = block.outside * 2
    columns = most_of(block.size.width, block.gutter, room.hold.width - around)
    rows = most_of(block.size.height, block.gutter, room.hold.height - around)
    if up is None:
        return [LeafGrid(room, columns, rows)] if columns and rows else []
    pairs = [(c, up // c) for c in range(1, up + 1) if up % c == 0]
    if way is not None and way.columns:
        pairs = [pair for pair in pairs if pair == (way.columns, way.rows)]
    return [LeafGrid(room, c, r) for c, r in pairs if c <= columns and r <= rows]


def most_of(size: Length, gutter: Length, whole: Length) -> int:
    """How many of this size fit side by side with gutters between."""
    return max(0, (whole + gutter) // (size + gutter))


def block_cell(block: LeafBlock, left: Length, bottom: Length, loose: bool) -> Cell:
    """A cell in a left-bound block whose paper begins at left, bottom."""
    spine = left + block.round.spine
    return Cell(
        spine=spine,
        stop=left if not loose else spine - block.gutter.half,
        spine_at=Edge.LEFT,
        bottom=bottom + block.round.foot,
        size=block.leaf,
        room=block.room,
    )


def grid_lines(
    cells: Sequence[Cell], block: LeafBlock, sheet: Size, loose: bool
) -> tuple[list[Line], list[Cut]]:
    """Cuts that part the leaves, and for bound leaves the trims made after binding."""
    lines, cuts = parting_cuts(sheet, grid_papers(cells, block))
    if not loose:
        trims = [line for cell in cells for line in trim_lines(cell, sheet, spine=False)]
        cuts.extend(cuts_after_binding([line.of for line in trims]))
        lines.extend(trims)
    return lines, cuts


def grid_papers(cells: Sequence[Cell], block: LeafBlock) -> list[Box]:
    """The papers of the first row and the first column, which have all edges of the grid."""
    first = cells[0]
    edge = (c for c in cells if c.bottom == first.bottom or c.spine == first.spine)
    return [block_paper(cell, block) for cell in edge]


def block_paper(cell: Cell, block: LeafBlock) -> Box:
    """The paper of one leaf."""
    trim, around = cell.trim, block.round
    left, right = (
        (around.spine, around.fore_edge)
        if cell.spine_at is Edge.LEFT
        else (around.fore_edge, around.spine)
    )
    return trim.grown(Edges(left=left, right=right, bottom=around.foot, top=around.head))


def trim_lines(cell: Cell, sheet: Size, *, spine: bool) -> list[Line]:
    """Head, foot, fore-edge (and spine) lines along a trim, where paper lies beyond."""
    trim = cell.trim
    at_left = cell.spine_at is Edge.LEFT
    fore_x, spine_x = (trim.x1, cell.stop) if at_left else (trim.x0, cell.stop)
    above, below = ("foot", "head") if cell.upside_down else ("head", "foot")
    lines = [
        Line(LineKind.CUT, above, trim.x0, trim.y1, trim.x1, trim.y1),
        Line(LineKind.CUT, below, trim.x0, trim.y0, trim.x1, trim.y0),
        Line(LineKind.CUT, "fore-edge", fore_x, trim.y0, fore_x, trim.y1),
    ]
    if spine:
        lines.append(Line(LineKind.CUT, "spine", spine_x, trim.y0, spine_x, trim.y1))
    return [line for line in lines if _off_the_edge(line, sheet)]


def _off_the_edge(line: Line, sheet: Size) -> bool:
    at, whole = (line.x0, sheet.width) if line.upright else (line.y0, sheet.height)
    return ZERO < at < whole
