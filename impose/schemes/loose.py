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
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import Edge, PageSides
from impose.model.job import Binding, Order
from impose.plan.parts import Cut, Gather, Line, LineKind, Sheet, Side, When
from impose.schemes.cells import Cell
from impose.schemes.draft import Asked, Draft, cuts_after_binding, refuse, too_small
from impose.schemes.layoutfindings import nothing_to_cut
from impose.schemes.leaves import fill_up
from impose.schemes.parting import parting_cuts
from impose.schemes.rooms import Room, rooms
from impose.schemes.twoup import copies_cut, copies_lines, parts_of, place_parts
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class _Block:
    """The paper of one leaf on an n-up sheet: the trim and what is left round it."""

    leaf: Size
    round: PageSides
    gutter: Length
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


@dataclass(frozen=True, slots=True)
class _Layout:
    """The cells of the front, seen from the front, row by row from the upper left."""

    room: Room
    cells: tuple[Cell, ...]
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
    block = _block(asked)
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
        found.extend(_trim_lines(part.cell, sheet, spine=spine))
    return found


def _trim_lines(cell: Cell, sheet: Size, *, spine: bool) -> list[Line]:
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


# -- several leaves a sheet ------------------------------------------------------------


def _block(asked: Asked) -> _Block:
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
        return _Block(asked.leaf, PageSides(), gutter, outside)
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
    return _Block(asked.leaf, sides, guts.gutter or ZERO)


def _many(asked: Asked, up: int | None) -> _Layout | None:
    """The grid with the most leaves (or exactly `up`) on the first sheet that takes any."""
    block = _block(asked)
    best: tuple[int, _Grid] | None = None
    for room in rooms(asked.job.guts, asked.job.bound_at.mirrored):
        for grid in _grids(block, room, up):
            count = grid.columns * grid.rows
            if best is None or (count > best[0] and grid.room.name == best[1].room.name):
                best = (count, grid)
    return _grid_layout(asked, block, best[1]) if best else None


@dataclass(frozen=True, slots=True)
class _Grid:
    room: Room
    columns: int
    rows: int


def _grids(block: _Block, room: Room, up: int | None) -> list[_Grid]:
    """Grids on one sheet; with `up`, every factor pair that fits, the fuller first."""
    around = block.outside * 2
    columns = _most(block.size.width, block.gutter, room.hold.width - around)
    rows = _most(block.size.height, block.gutter, room.hold.height - around)
    if up is None:
        return [_Grid(room, columns, rows)] if columns and rows else []
    pairs = [(c, up // c) for c in range(1, up + 1) if up % c == 0]
    return [_Grid(room, c, r) for c, r in pairs if c <= columns and r <= rows]


def _most(size: Length, gutter: Length, whole: Length) -> int:
    return max(0, (whole + gutter) // (size + gutter))


def _grid_layout(asked: Asked, block: _Block, grid: _Grid) -> _Layout | None:
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
            cells.append(_grid_cell(asked, block, left, bottom, loose))
    if asked.job.bound_at.mirrored:
        cells = _mirrored_rows([cell.mirrored(room.sheet) for cell in cells], grid.columns)
    lines, cuts = _grid_lines(asked, cells, block, room.sheet)
    return _Layout(room, tuple(cells), tuple(lines), tuple(cuts))


def _mirrored_rows(cells: list[Cell], columns: int) -> list[Cell]:
    """Row by row from the left again."""
    rows = [cells[i : i + columns] for i in range(0, len(cells), columns)]
    return [cell for row in rows for cell in reversed(row)]


def _grid_cell(asked: Asked, block: _Block, left: Length, bottom: Length, loose: bool) -> Cell:
    """A cell in a left-bound block whose paper begins at left, bottom."""
    spine = left + block.round.spine
    half_gutter = block.gutter.half
    sides = (
        PageSides.all(half_gutter if asked.job.guts.gutter is not None else asked.bleed)
        if loose
        else block.round
    )
    return Cell(
        spine=spine,
        stop=left if not loose else spine - half_gutter,
        spine_at=Edge.LEFT,
        bottom=bottom + block.round.foot,
        size=block.leaf,
        room=sides,
    )


def _grid_lines(
    asked: Asked, cells: Sequence[Cell], block: _Block, sheet: Size
) -> tuple[list[Line], list[Cut]]:
    """Cuts that part the leaves, and for bound leaves the trims made after binding."""
    lines, cuts = parting_cuts(sheet, [_paper(cell, block) for cell in cells])
    if asked.job.binding is not Binding.LOOSE:
        trims = [line for cell in cells for line in _trims(asked, cell, sheet, spine=False)]
        cuts.extend(copies_cut(asked.joint))
        cuts.extend(cuts_after_binding([line.of for line in trims]))
        lines.extend(trims)
    return lines, cuts


def _paper(cell: Cell, block: _Block) -> Box:
    """The paper of one leaf."""
    trim, around = cell.trim, block.round
    left, right = (
        (around.spine, around.fore_edge)
        if cell.spine_at is Edge.LEFT
        else (around.fore_edge, around.spine)
    )
    return trim.grown(Edges(left=left, right=right, bottom=around.foot, top=around.head))


def _sheets(
    asked: Asked, layout: _Layout, faces: Sequence[int | None]
) -> tuple[tuple[Sheet, ...], tuple[Gather, ...]]:
    room, count = layout.room, len(layout.cells)
    leaves = len(faces) // 2
    repeat = asked.job.guts.order is Order.REPEAT and count > 1
    number = leaves if repeat else -(-leaves // count)
    joint, placer = asked.joint, asked.placer()
    fronts = [parts_of(joint, cell) for cell in layout.cells]
    backs = [parts_of(joint, cell.back(room.sheet, room.turned)) for cell in layout.cells]
    sheets = []
    for sheet in range(number):
        fronts_made, backs_made = [], []
        for index in range(count):
            leaf = sheet if repeat else index * number + sheet
            if leaf < leaves:
                first = 2 * leaf + 1
                fronts_made += place_parts(placer, fronts[index], faces, first)
                backs_made += place_parts(placer, backs[index], faces, first + 1)
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
        Gather("pile", tuple(range(1, min(number, leaves - pile * number) + 1)), pile)
        for pile in piles
        if pile * number < leaves
    ]
    return tuple(sheets), tuple(gathering)
