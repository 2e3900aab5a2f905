"""A folded sheet in lengths: where columns, rows, gaps and folds lie.

Gaps between cells: at a spine fold twice the grind (nothing when unground); at
heads, feet and fore-edges that face each other twice the allowance, because
the allowance is per page (design of folded sections, common practice: trim must
be left round each pair of leaves, S. J. Vaughn, Printing and Bookbinding for
Schools).  The layout is centred on the sheet, because sheets are folded edge
to edge; a lip moves it by half its width.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from impose.geometry.box import Size
from impose.geometry.sides import Edge, PageSides
from impose.plan.parts import FoldStep, Line, LineKind
from impose.schemes.cells import Cell
from impose.schemes.folding import FoldedCell, FoldScheme, fold_sheet
from impose.schemes.rooms import Room
from impose.schemes.twoup import Joint, Part, copies_lines, parts_of
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldRules:
    """Leaf size in the book frame, and the paper between pages (lengths per page).

    Where two copies are bound as one the leaf is that of both, and `joint` says
    how they meet.
    """

    leaf: Size
    grind: Length = ZERO
    head: Length = ZERO
    foot: Length = ZERO
    fore_edge: Length = ZERO
    lip: Length = ZERO
    lip_on_front: bool = True
    bleed: PageSides
    joint: Joint | None = None


@dataclass(frozen=True, slots=True)
class FoldLayout:
    """One scheme on one sheet, left-bound, seen from the front.

    `fronts` and `backs` are in leaf order of the sheet folded alone; `backs`
    are in the frame of the back, and the parts of both in the same order are
    the cells of the copies.  `lines` do not move with creep; the
    fore-edge lines do and are made sheet by sheet.
    """

    room: Room
    scheme: FoldScheme
    leaves: tuple[FoldedCell, ...]
    fronts: tuple[Cell, ...]
    backs: tuple[Cell, ...]
    lines: tuple[Line, ...]
    folds: tuple[FoldStep, ...]
    cut_sides: frozenset[str]
    spine_folds: tuple[Length, ...]
    front_parts: tuple[tuple[Part, ...], ...]
    back_parts: tuple[tuple[Part, ...], ...]


@dataclass(frozen=True, slots=True)
class _Axis:
    """Starts of the cells along one axis, and the middles of the gaps between them."""

    starts: tuple[Length, ...]
    boundaries: tuple[Length, ...]
    used: Length


def group_size(scheme: FoldScheme, rules: FoldRules) -> Size:
    """All trims and the gaps between them."""
    leaves = fold_sheet(scheme)
    across = _axis(rules.leaf.width, _column_gaps(scheme, leaves, rules), ZERO)
    up = _axis(rules.leaf.height, _row_gaps(scheme, leaves, rules), ZERO)
    return Size(across.used, up.used)


def lay_out(
    scheme: FoldScheme, rules: FoldRules, room: Room, right_bound: bool
) -> FoldLayout | None:
    """The layout on one sheet as it lies, or None when it does not fit."""
    leaves = fold_sheet(scheme)
    size = group_size(scheme, rules)
    seen = room.mirrored if right_bound else room  # a gripper at the side is not mirrored
    x0 = _start(seen, size, scheme, rules)
    y0 = seen.start(size.height, across=False, held=any(fold.across for fold in scheme.folds))
    if x0 is None or y0 is None:
        return None
    columns = _axis(rules.leaf.width, _column_gaps(scheme, leaves, rules), x0)
    rows = _axis(rules.leaf.height, _row_gaps(scheme, leaves, rules), y0)
    fronts = [_cell(leaf, columns, rows, rules, seen) for leaf in leaves]
    folds = _fold_steps(scheme, columns, rows)
    if right_bound:
        fronts = [cell.mirrored(room.sheet) for cell in fronts]
        folds = [_mirrored_fold(fold, room.sheet) for fold in folds]
    lines = _fold_lines(folds, room.sheet)
    backs = [cell.back(room.sheet, room.turned) for cell in fronts]
    front_parts, back_parts = (
        tuple(parts_of(rules.joint, cell) for cell in cells) for cells in (fronts, backs)
    )
    single = [part.cell for parts in front_parts for part in parts]
    fixed_cuts, cut_sides = _head_and_foot(single, room.sheet)
    fixed_cuts = [*copies_lines(rules.joint, fronts), *fixed_cuts]
    if any(_fore_edge_paper(cell, room.sheet) > ZERO for cell in fronts):
        cut_sides.add("fore-edge")
    return FoldLayout(
        room,
        scheme,
        leaves,
        tuple(fronts),
        tuple(backs),
        (*lines, *fixed_cuts),
        tuple(folds),
        frozenset(cut_sides),
        tuple(sorted({cell.stop for cell in fronts}, key=lambda n: n.grains)),
        front_parts,
        back_parts,
    )


def _spine_at(leaf: FoldedCell) -> Edge:
    return Edge.LEFT if leaf.front_recto != leaf.upside_down else Edge.RIGHT


def _column_gaps(
    scheme: FoldScheme, leaves: Sequence[FoldedCell], rules: FoldRules
) -> list[Length]:
    spine = {leaf.column: _spine_at(leaf) for leaf in leaves}
    return [
        rules.grind * 2 if spine[c] is Edge.RIGHT else rules.fore_edge * 2
        for c in range(scheme.columns - 1)
    ]


def _row_gaps(scheme: FoldScheme, leaves: Sequence[FoldedCell], rules: FoldRules) -> list[Length]:
    upside_down = {leaf.row: leaf.upside_down for leaf in leaves}
    return [rules.foot * 2 if upside_down[r] else rules.head * 2 for r in range(scheme.rows - 1)]


def _axis(cell: Length, gaps: Sequence[Length], start: Length) -> _Axis:
    starts, boundaries, here = [start], [], start
    for gap in gaps:
        here = here + cell
        boundaries.append(here + gap.half)
        here = here + gap
        starts.append(here)
    return _Axis(tuple(starts), tuple(boundaries), here + cell - start)


def _start(room: Room, size: Size, scheme: FoldScheme, rules: FoldRules) -> Length | None:
    """The left of the group: centred, or off by half the lip where both halves are open."""
    if not rules.lip:
        upright = any(not fold.across for fold in scheme.folds)
        return room.start(size.width, across=True, held=upright)
    if scheme.columns > 2:  # the open half is the front one: its margin holds the lip
        need = rules.fore_edge + rules.lip
        fits = room.sheet.width >= size.width + need * 2
        return (
            room.start(size.width, across=True, held=True) if fits and rules.lip_on_front else None
        )
    low = (room.sheet.width - size.width - rules.lip).half
    start = low if rules.lip_on_front else low + rules.lip
    inside = low >= ZERO and start >= room.hold.x0 and start + size.width <= room.hold.x1
    return start if inside else None


def _cell(leaf: FoldedCell, columns: _Axis, rows: _Axis, rules: FoldRules, room: Room) -> Cell:
    x, y = columns.starts[leaf.column], rows.starts[leaf.row]
    spine_at = _spine_at(leaf)
    spine = x if spine_at is Edge.LEFT else x + rules.leaf.width
    stop = spine - rules.grind if spine_at is Edge.LEFT else spine + rules.grind
    cell = Cell(
        spine=spine,
        stop=stop,
        spine_at=spine_at,
        bottom=y,
        size=rules.leaf,
        upside_down=leaf.upside_down,
    )
    return replace(cell, room=_bleed_room(cell, columns, rows, rules.grind, room))


def _bleed_room(cell: Cell, columns: _Axis, rows: _Axis, grind: Length, room: Room) -> PageSides:
    """Bleed: to the middle of the gap where the fold is trimmed away, to the grind at a
    ground spine, nowhere at an unground one; at the outside what the sheet has."""
    trim, limit = cell.trim, room.hold
    left, right = _neighbours(columns, trim.x0, trim.x1, limit.x0, limit.x1)
    below, above = _neighbours(rows, trim.y0, trim.y1, limit.y0, limit.y1)
    fore = right - trim.x1 if cell.spine_at is Edge.LEFT else trim.x0 - left
    head, foot = above - trim.y1, trim.y0 - below
    if cell.upside_down:
        head, foot = foot, head
    return PageSides(head=head, foot=foot, spine=grind, fore_edge=fore)


def _neighbours(
    axis: _Axis, low: Length, high: Length, least: Length, most: Length
) -> tuple[Length, Length]:
    """The nearest gap middles below `low` and above `high`, or the sheet's own limits."""
    below = [b for b in axis.boundaries if b <= low]
    above = [b for b in axis.boundaries if b >= high]
    return max(below, default=least), min(above, default=most)


def _fold_steps(scheme: FoldScheme, columns: _Axis, rows: _Axis) -> list[FoldStep]:
    steps, first_column = [], 0
    for number, fold in enumerate(scheme.folds, start=1):
        if fold.across:
            at = rows.boundaries[fold.at - 1]
        else:
            first_column += fold.at
            at = columns.boundaries[first_column - 1]
        steps.append(
            FoldStep(
                id=f"fold{number}",
                across=fold.across,
                at=at,
                moving=fold.moving,
                under=fold.under,
            )
        )
    return steps


def _mirrored_fold(fold: FoldStep, sheet: Size) -> FoldStep:
    if fold.across:
        return fold
    return FoldStep(
        id=fold.id,
        across=False,
        at=sheet.width - fold.at,
        moving=fold.moving.opposite,
        under=fold.under,
    )


def _fold_lines(folds: Sequence[FoldStep], sheet: Size) -> list[Line]:
    """Each fold as the lines it leaves on the flat sheet: a later fold crosses every
    layer, so it shows mirrored in the earlier folds of its own direction."""
    lines = []
    for index, fold in enumerate(folds):
        places = {fold.at}
        for earlier in reversed(folds[:index]):
            if earlier.across == fold.across:
                places |= {earlier.at * 2 - place for place in places}
        for at in sorted(places, key=lambda n: n.grains):
            if fold.across:
                lines.append(Line(LineKind.FOLD, fold.id, ZERO, at, sheet.width, at))
            else:
                lines.append(Line(LineKind.FOLD, fold.id, at, ZERO, at, sheet.height))
    return lines


def _head_and_foot(cells: Sequence[Cell], sheet: Size) -> tuple[list[Line], set[str]]:
    """Head and foot cuts, one line a row, wherever there is paper to cut off."""
    left = min(cell.trim.x0 for cell in cells)
    right = max(cell.trim.x1 for cell in cells)
    lines: dict[tuple[str, Length], Line] = {}
    for cell in cells:
        for y, paper in ((cell.top, sheet.height - cell.top), (cell.bottom, cell.bottom)):
            side = "head" if (y == cell.top) != cell.upside_down else "foot"
            if paper > ZERO:
                lines[side, y] = Line(LineKind.CUT, side, left, y, right, y)
    return list(lines.values()), {side for side, _ in lines}


def _fore_edge_paper(cell: Cell, sheet: Size) -> Length:
    trim = cell.trim
    return sheet.width - trim.x1 if cell.spine_at is Edge.LEFT else trim.x0
