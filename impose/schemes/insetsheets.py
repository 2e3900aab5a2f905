"""Sheets of flat leaves put into the guts: cut out all round, fold-outs with their folds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge, PageSides
from impose.model.leafkinds import LeafKind, LeafWish
from impose.plan.parts import Cut, Line, LineKind, Sheet, Side
from impose.plan.plan import Plan
from impose.schemes.cells import Cell
from impose.schemes.draft import Asked, cuts_after_binding, too_small
from impose.schemes.foldouts import fold_out_panels, fold_places
from impose.schemes.parting import parting_cuts
from impose.schemes.rooms import Room, rooms
from impose.units import ZERO, Length

#: The line along which a fold-out is folded.
FOLD: Final = "fold-out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """Sheets of one group; `order` is sheet and cell of each leaf in reading order."""

    sheets: tuple[Sheet, ...]
    cuts: tuple[Cut, ...]
    order: tuple[tuple[int, int], ...]
    folds: tuple[Length, ...] = ()


@dataclass(frozen=True, slots=True)
class _Paper:
    """The paper of one leaf: beyond the trim at each side, and `air` between and round papers
    for bleed that ends on no paper of the leaf."""

    leaf: Size
    round: PageSides
    air: Length

    @property
    def size(self) -> Size:
        return Size(
            self.round.spine + self.leaf.width + self.round.fore_edge,
            self.round.foot + self.leaf.height + self.round.head,
        )


def flat_leaves(part: Asked, plan: Plan, wish: LeafWish) -> Made:
    """As many leaves on a sheet as fit and are wanted, cut out of it."""
    head, foot = part.margins or (ZERO, ZERO)
    trimmed = not wish.kind.own_width and any(cut.id == "fore-edge" for cut in plan.cuts)
    beyond = part.trim_off if trimmed else ZERO
    around = PageSides(head=head, foot=foot, spine=part.grind, fore_edge=beyond)
    paper = _Paper(part.leaf, around, ZERO if trimmed else part.bleed)
    room, columns, rows = _grid(part, paper)
    seen = room.mirrored if part.job.bound_at.mirrored else room
    wide = _wide(paper, columns), _high(paper, rows)
    x0, y0 = seen.start(wide[0], across=True), seen.start(wide[1], across=False)
    assert x0 is not None and y0 is not None  # the grid was found to fit
    step = paper.size.width + paper.air, paper.size.height
    cells = []
    for row in reversed(range(rows)):
        for column in range(columns):
            left = x0 + step[0] * column + (paper.air if columns > 1 else ZERO)
            cells.append(_cell(paper, left, y0 + step[1] * row))
    if part.job.bound_at.mirrored:
        cells = [cell.mirrored(room.sheet) for cell in cells]
        cells = [c for at in range(0, len(cells), columns) for c in cells[at : at + columns][::-1]]
    folds = _folds(part, plan, wish)
    lines, cuts = _lines(cells, paper, room.sheet, folds)
    sheets, order = _sheets(part, room, cells, tuple(lines))
    return Made(sheets=sheets, cuts=tuple(cuts), order=order, folds=folds)


def _wide(paper: _Paper, columns: int) -> Length:
    """With the air between the leaves, and beside the outermost when there are several."""
    return paper.size.width * columns + paper.air * (columns + 1 if columns > 1 else 0)


def _high(paper: _Paper, rows: int) -> Length:
    return paper.size.height * rows


def _grid(part: Asked, paper: _Paper) -> tuple[Room, int, int]:
    """The fewest sheets, then the fewest places, on the first sheet that takes a leaf."""
    leaves = len(part.faces) // 2
    for named in part.job.guts.sheets:
        found = []
        for room in rooms(part.job.guts):
            if room.name != named.name:
                continue
            hold = room.hold
            for columns in range(1, 1 + hold.width // paper.size.width):
                for rows in range(1, 1 + hold.height // paper.size.height):
                    if _wide(paper, columns) <= hold.width:
                        found.append((room, columns, rows))
        if found:
            return min(
                found,
                key=lambda g: (-(-leaves // (g[1] * g[2])), g[1] * g[2], g[0].sheet.landscape),
            )
    raise too_small(part, paper.size, "a leaf that is put in, with what is cut off")


def _rank(grid: tuple[Room, int, int], leaves: int) -> tuple[int, int, bool]:
    """Sheets that are needed, then places on one, then upright before landscape."""
    places = grid[1] * grid[2]
    return -(-leaves // places), places, grid[0].sheet.landscape


def _cell(paper: _Paper, left: Length, bottom: Length) -> Cell:
    spine = left + paper.round.spine
    sides = paper.round
    return Cell(
        spine=spine,
        stop=left,
        spine_at=Edge.LEFT,
        bottom=bottom + paper.round.foot,
        size=paper.leaf,
        room=replace(sides, fore_edge=sides.fore_edge or paper.air),
    )


def _folds(part: Asked, plan: Plan, wish: LeafWish) -> tuple[Length, ...]:
    if wish.kind is not LeafKind.FOLD_OUT:
        return ()
    clear, unit = part.job.guts.fold_out_clear, part.job.unit
    try:
        return fold_places(fold_out_panels(part.leaf.width, plan.leaf.width, clear))
    except ValueError as fault:
        raise JobError(
            [
                Finding.error(
                    "fold-out-room",
                    f"a fold-out {part.leaf.width.text(unit)} wide cannot be folded into leaves of "
                    f"{plan.leaf.width.text(unit)} with {clear.text(unit)} clear at fore-edge and "
                    f"spine: {fault}",
                    hint="make fold_out_clear in [guts] smaller, or the page wider",
                )
            ]
        ) from fault


def _lines(
    cells: Sequence[Cell], paper: _Paper, sheet: Size, folds: Sequence[Length]
) -> tuple[list[Line], list[Cut]]:
    """Cuts round the papers, the last cuts inside them, and the folds."""
    papers = [_paper_of(cell, paper) for cell in cells]
    lines, cuts = parting_cuts(sheet, papers)
    lines = _along_trims(lines, cells)  # so that their marks stand in the waste beyond
    last: list[Line] = []
    for cell, whole in zip(cells, papers, strict=True):
        trim, left = cell.trim, cell.spine_at is Edge.LEFT
        fore = trim.x1 if left else trim.x0
        for side, at, inside in (
            ("head", trim.y1, trim.y1 < whole.y1),
            ("foot", trim.y0, trim.y0 > whole.y0),
        ):
            if inside:
                last.append(Line(LineKind.CUT, side, trim.x0, at, trim.x1, at))
        if whole.x0 < fore < whole.x1:
            last.append(Line(LineKind.CUT, "fore-edge", fore, trim.y0, fore, trim.y1))
        for fold in folds:
            x = trim.x0 + fold if left else trim.x1 - fold
            lines.append(Line(LineKind.FOLD, FOLD, x, trim.y0, x, trim.y1))
    cuts.extend(cuts_after_binding(sorted({line.of for line in last})))
    return [*lines, *last], cuts


def _along_trims(lines: Sequence[Line], cells: Sequence[Cell]) -> list[Line]:
    """Lines that end where the trims do."""
    whole = cells[0].trim
    for cell in cells[1:]:
        whole = whole.join(cell.trim)
    return [
        replace(line, y0=whole.y0, y1=whole.y1)
        if line.upright
        else replace(line, x0=whole.x0, x1=whole.x1)
        for line in lines
    ]


def _paper_of(cell: Cell, paper: _Paper) -> Box:
    trim, at = cell.trim, paper.round
    return trim.grown(at.edges(cell.spine_at, cell.upside_down))


def _sheets(
    part: Asked, room: Room, cells: Sequence[Cell], lines: tuple[Line, ...]
) -> tuple[tuple[Sheet, ...], tuple[tuple[int, int], ...]]:
    """Leaves shared out so that the cut piles laid on each other read through."""
    count, leaves = len(cells), len(part.faces) // 2
    number = -(-leaves // count)
    backs = [cell.back(room.sheet, room.turned) for cell in cells]
    place, faces = part.placer().place, part.faces
    sheets = []
    for sheet in range(number):
        fronts, behind = [], []
        for index, cell in enumerate(cells):
            leaf = index * number + sheet
            if leaf < leaves:
                first = 2 * leaf + 1
                fronts.append(place(cell, faces[first - 1], first))
                behind.append(place(backs[index], faces[first], first + 1))
        sheets.append(
            Sheet(
                number=sheet + 1,
                size=room.sheet,
                turned=room.turned,
                front=Side(tuple(fronts)),
                back=Side(tuple(behind)),
                lines=lines,
            )
        )
    order = tuple((leaf % number + 1, leaf // number) for leaf in range(leaves))
    return tuple(sheets), order
