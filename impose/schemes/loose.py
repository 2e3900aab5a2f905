"""Loose leaves: for adhesive binding, stab sewing and punching, or to stay loose.

One leaf a sheet: the binder glues the sheet's own edge, so the spine side of
the trim lies on the sheet's binding edge (plus grind), alternating left and
right for front and back; head, foot and fore-edge are cut after binding.
`centred` leaves have marks on four sides and a spine cut before binding.
Several leaves a sheet: the cuts before binding leave trim + grind at the spine
and the trim-off at the other sides; leaves that stay loose are cut to size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.sides import Edge, PageSides
from impose.model.job import Binding, Order
from impose.model.sheetway import SheetWay
from impose.plan.parts import Cut, Gather, Line, Placement, Sheet, Side, When
from impose.schemes.cells import Cell, Placer
from impose.schemes.draft import Asked, Draft, cuts_after_binding, refuse, too_small
from impose.schemes.layoutfindings import nothing_to_cut
from impose.schemes.leafgrid import (
    LeafBlock,
    LeafGrid,
    block_cell,
    grid_lines,
    grid_papers,
    leaf_block,
    leaf_grids,
    trim_lines,
)
from impose.schemes.leaves import fill_up
from impose.schemes.mixed import mixed_cells, mixed_lines
from impose.schemes.parting import parting_cuts
from impose.schemes.rooms import Room, rooms
from impose.schemes.turnedcells import TurnedCell, place_any
from impose.schemes.twoup import Joint, Part, copies_cut, copies_lines, parts_of, place_parts
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class _Layout:
    """The cells of the front, seen from the front, row by row from the upper left."""

    room: Room
    cells: tuple[Cell | TurnedCell, ...]
    lines: tuple[Line, ...]
    cuts: tuple[Cut, ...]
    findings: tuple[Finding, ...] = ()


def plan_loose(asked: Asked) -> Draft:
    """Sheets of single leaves.  Raises JobError when no sheet takes the layout."""
    _check_grind(asked)
    faces, notes = fill_up(asked.faces, 2, asked.job.blanks_at)
    up = asked.job.guts.up
    layout = None
    if up in (None, 1) and asked.job.binding is not Binding.LOOSE:
        one_up = _centred if asked.job.guts.centred else _spine_on_edge
        many = None if up == 1 or asked.job.guts.centred else _many(asked, None)
        layout = many if many and len(many.cells) > 1 else one_up(asked)
    else:
        layout = _many(asked, up)
    if layout is None:
        raise _no_room(asked, up or 1)
    sheets, gathering = _sheets(asked, layout, faces)
    return Draft(
        scheme="leaves",
        faces=len(faces),
        sheets=sheets,
        cuts=layout.cuts,
        gathering=gathering,
        findings=(*notes, *layout.findings),
    )


def _no_room(asked: Asked, up: int) -> JobError:
    """The paper that is needed, of several leaves in the grid that comes nearest a square."""
    if up == 1 and asked.job.binding is not Binding.LOOSE:
        leaf, both = asked.leaf, 2 if asked.job.guts.centred else 1
        off = asked.trim_off if asked.job.guts.lay else ZERO
        need = Size(leaf.width + asked.grind * both, leaf.height + off)
        return too_small(asked, need, "a leaf with its grind" if asked.grind else "a leaf")
    block = leaf_block(asked)
    around = block.outside * 2
    grids = [block.grid(c, up // c) for c in range(1, up + 1) if up % c == 0]
    paper = min(grids, key=lambda size: max(size.width, size.height).grains)
    need = Size(paper.width + around, paper.height + around)
    return too_small(asked, need, f"{up} leaves with what is cut off" if up > 1 else "a leaf")


def _check_grind(asked: Asked) -> None:
    said, job = asked.job.guts.grind, asked.job
    if said and job.binding is not Binding.PERFECT:
        raise refuse(
            "grind-binding",
            f"grind is {said.text(job.unit)}, but the spine of a {job.binding.value} book is "
            "not ground",
            'leave grind out, or choose binding = "perfect"',
        )


def _ways_round(asked: Asked) -> list[Room]:
    """Sheets in the order named, lying as the leaf does first."""
    names = [sheet.name for sheet in asked.job.guts.sheets]
    return sorted(
        rooms(asked.job.guts, asked.job.bound_at.mirrored),
        key=lambda room: (names.index(room.name), room.sheet.landscape != asked.leaf.landscape),
    )


def _spine_on_edge(asked: Asked) -> _Layout | None:
    leaf, grind = asked.leaf, asked.grind
    for room in _ways_round(asked):
        if room.sheet.width < leaf.width + grind or room.sheet.height < leaf.height:
            continue
        bottom, seen = _height_at(asked, room), _seen(asked, room)
        if bottom is None or seen.hold.x0 > grind or seen.hold.x1 < leaf.width + grind:
            continue
        cell = Cell(spine=grind, stop=ZERO, spine_at=Edge.LEFT, bottom=bottom, size=leaf)
        cell = _with_room(cell, seen, spine=grind)
        if asked.job.bound_at.mirrored:
            cell = cell.mirrored(room.sheet)
        lines = _trims(asked, cell, room.sheet, spine=False)
        sides = [line.of for line in lines]
        findings = nothing_to_cut(asked, sides, room.sheet)
        cuts = (*copies_cut(asked.joint), *cuts_after_binding(sides))
        return _Layout(room, (cell,), tuple(lines), cuts, findings)
    return None


def _centred(asked: Asked) -> _Layout | None:
    leaf, grind = asked.leaf, asked.grind
    for room in _ways_round(asked):
        seen = _seen(asked, room)
        x = seen.start(leaf.width, across=True)
        bottom = _height_at(asked, room)
        if x is None or bottom is None or x < grind:
            continue
        cell = Cell(spine=x, stop=x - grind, spine_at=Edge.LEFT, bottom=bottom, size=leaf)
        cell = _with_room(cell, seen, spine=grind)
        if asked.job.bound_at.mirrored:
            cell = cell.mirrored(room.sheet)
        lines = _trims(asked, cell, room.sheet, spine=True)
        cuts: list[Cut] = []
        if any(line.of == "spine" for line in lines):
            title = "cut the spine side, trim less grind" if grind else "cut the spine side"
            cuts.append(Cut(id="spine", when=When.BEFORE_BINDING, side="spine", title=title))
        cuts.extend(copies_cut(asked.joint))
        sides = [line.of for line in lines]
        findings = nothing_to_cut(asked, sides, room.sheet)
        return _Layout(room, (cell,), tuple(lines), (*cuts, *cuts_after_binding(sides)), findings)
    return None


def _seen(asked: Asked, room: Room) -> Room:
    """The room for a left-bound layout that is mirrored afterwards for a right-bound book."""
    return room.mirrored if asked.job.bound_at.mirrored else room


def _height_at(asked: Asked, room: Room) -> Length | None:
    """Where the trim's foot lies: centred unless the job names a lay edge."""
    height, lay = asked.leaf.height, asked.job.guts.lay
    if lay is None:
        return room.start(height, across=False)
    off = asked.trim_off
    bottom = off if lay == "foot" else room.sheet.height - off - height
    inside = bottom >= room.hold.y0 and bottom + height <= room.hold.y1
    return bottom if inside else None


def _with_room(cell: Cell, room: Room, spine: Length) -> Cell:
    """The cell with bleed as far as the sheet goes; toward the spine up to `spine`."""
    trim, hold = cell.trim, room.hold
    sides = PageSides(
        head=max(ZERO, hold.y1 - trim.y1),
        foot=max(ZERO, trim.y0 - hold.y0),
        spine=spine,
        fore_edge=max(ZERO, hold.x1 - trim.x1),
    )
    return replace(cell, room=sides)


def _trims(asked: Asked, cell: Cell, sheet: Size, *, spine: bool) -> list[Line]:
    """The lines of a leaf, or of both copies and of the cut between them."""
    found = copies_lines(asked.joint, [cell])
    for part in parts_of(asked.joint, cell):
        found.extend(trim_lines(part.cell, sheet, spine=spine))
    return found


# -- several leaves a sheet ------------------------------------------------------------


def _many(asked: Asked, up: int | None) -> _Layout | None:
    """The grid with the most leaves (or exactly `up`) on the first sheet that takes any."""
    block, way = leaf_block(asked), asked.job.guts.way
    best: tuple[int, LeafGrid] | None = None
    for room in rooms(asked.job.guts, asked.job.bound_at.mirrored):
        if way is not None and way.mixed:
            return _mixed_layout(asked, room, way)
        for grid in leaf_grids(block, room, up, way):
            count = grid.columns * grid.rows
            if best is None or (count > best[0] and grid.room.name == best[1].room.name):
                best = (count, grid)
    return _grid_layout(asked, block, best[1]) if best else None


def _mixed_layout(asked: Asked, room: Room, way: SheetWay) -> _Layout | None:
    cells = mixed_cells(asked, room, way)
    if cells is None:
        return None
    lines, cuts = mixed_lines(asked, room, cells)
    return _Layout(room, cells.all, lines, cuts)


def _grid_layout(asked: Asked, block: LeafBlock, grid: LeafGrid) -> _Layout | None:
    room = grid.room
    whole, around = block.grid(grid.columns, grid.rows), block.outside * 2
    seen = _seen(asked, room)
    left_end = seen.start(whole.width + around, across=True)
    low_end = seen.start(whole.height + around, across=False)
    if left_end is None or low_end is None:
        return None
    x0, y0 = left_end + block.outside, low_end + block.outside
    step_x, step_y = block.size.width + block.gutter, block.size.height + block.gutter
    loose = asked.job.binding is Binding.LOOSE
    cells = []
    for row in reversed(range(grid.rows)):
        for column in range(grid.columns):
            left, bottom = x0 + step_x * column, y0 + step_y * row
            cells.append(block_cell(block, left, bottom, loose))
    if asked.job.bound_at.mirrored:
        cells = _mirrored_rows([cell.mirrored(room.sheet) for cell in cells], grid.columns)
    lines, cuts = _grid_lines(asked, cells, block, room.sheet)
    return _Layout(room, tuple(cells), tuple(lines), tuple(cuts))


def _mirrored_rows(cells: list[Cell], columns: int) -> list[Cell]:
    """Row by row from the left again."""
    rows = [cells[i : i + columns] for i in range(0, len(cells), columns)]
    return [cell for row in rows for cell in reversed(row)]


def _grid_lines(
    asked: Asked, cells: Sequence[Cell], block: LeafBlock, sheet: Size
) -> tuple[list[Line], list[Cut]]:
    """Cuts that part the leaves, and for bound leaves the trims made after binding."""
    loose = asked.job.binding is Binding.LOOSE
    if asked.joint is None or loose:
        return grid_lines(cells, block, sheet, loose)
    lines, cuts = parting_cuts(sheet, grid_papers(cells, block))
    trims = [line for cell in cells for line in _trims(asked, cell, sheet, spine=False)]
    cuts.extend(copies_cut(asked.joint))
    cuts.extend(cuts_after_binding([line.of for line in trims]))
    return [*lines, *trims], cuts


def _parts(joint: Joint | None, cell: Cell | TurnedCell) -> TurnedCell | tuple[Part, ...]:
    return cell if isinstance(cell, TurnedCell) else parts_of(joint, cell)


def _put(
    placer: Placer,
    cell: TurnedCell | tuple[Part, ...],
    faces: Sequence[int | None],
    position: int,
) -> list[Placement]:
    """The face in a cell, or in those of both copies."""
    if isinstance(cell, TurnedCell):
        return [place_any(placer, cell, faces[position - 1], position)]
    return place_parts(placer, cell, faces, position)


def _sheets(
    asked: Asked, layout: _Layout, faces: Sequence[int | None]
) -> tuple[tuple[Sheet, ...], tuple[Gather, ...]]:
    room, count = layout.room, len(layout.cells)
    leaves = len(faces) // 2
    repeat = asked.job.guts.order is Order.REPEAT and count > 1
    number = leaves if repeat else -(-leaves // count)
    joint, placer = asked.joint, asked.placer()
    seen = () if asked.front_only else layout.cells
    backs = [cell.back(room.sheet, room.turned) for cell in seen]
    behind = [_parts(joint, cell) for cell in backs]
    fronts = [_parts(joint, cell) for cell in layout.cells]
    sheets = []
    for sheet in range(number):
        fronts_made, backs_made = [], []
        for index in range(count):
            leaf = sheet if repeat else index * number + sheet
            if leaf < leaves:
                first = 2 * leaf + 1
                fronts_made += _put(placer, fronts[index], faces, first)
                if behind:
                    backs_made += _put(placer, behind[index], faces, first + 1)
        sheets.append(
            Sheet(
                number=sheet + 1,
                size=room.sheet,
                turned=room.turned,
                front=Side(tuple(fronts_made)),
                back=Side(tuple(backs_made)),
                lines=layout.lines,
            )
        )
    piles = range(count) if not repeat else [0]
    gathering = [
        Gather(
            "pile",
            tuple(range(1, min(number, leaves - pile * number) + 1)),
            pile,
            # Turned a quarter clockwise, as it lay before it was turned on the sheet.
            turn=270 if isinstance(layout.cells[pile], TurnedCell) else 0,
        )
        for pile in piles
        if pile * number < leaves
    ]
    return tuple(sheets), tuple(gathering)
