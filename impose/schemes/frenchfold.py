"""French-folded leaves: both pages of a leaf on one face of the paper, folded at the fore-edge.

The open edges lie in the spine; the other face of the paper ends up inside the
fold and stays blank.  The leaves are cut apart flat, folded with the print
out, jogged to the folds, and cut at the spine side to the trim and the grind
before they are bound.  The fold is never cut: after binding only head and foot
are trimmed (common practice).  No bleed reaches into the fold.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge, PageSides
from impose.model.job import Order
from impose.plan.parts import Cut, Gather, Line, LineKind, Placement, Sheet, Side, When
from impose.plan.plan import FRENCH
from impose.schemes.cells import Cell
from impose.schemes.draft import Asked, Draft, refuse, too_small
from impose.schemes.leaves import fill_up
from impose.schemes.parting import parting_cuts
from impose.schemes.rooms import Room, rooms
from impose.units import ZERO, Length

#: The line along which each leaf is folded.
FOLD: Final = "french-fold"
#: What gathers leaves that are folded so.
FOLDED: Final = "folded"


@dataclass(frozen=True, slots=True)
class _Leaf:
    """One leaf on the flat sheet: `paper` is all of it, `fold` the x of its fold."""

    paper: Box
    fold: Length
    recto: Cell
    verso: Cell


@dataclass(frozen=True, slots=True)
class _Layout:
    """The leaves of a sheet row by row from the upper left, seen from the printed face."""

    room: Room
    leaves: tuple[_Leaf, ...]
    lines: tuple[Line, ...]
    cuts: tuple[Cut, ...]


def plan_french(asked: Asked) -> Draft:
    """Sheets printed on one face.  Raises JobError when no sheet takes a leaf laid open."""
    faces, notes = fill_up(asked.faces, 2, asked.job.blanks_at)
    layout = _choose(asked)
    sheets, gathering = _sheets(asked, layout, faces)
    return Draft(
        scheme=FRENCH,
        faces=len(faces),
        sheets=sheets,
        cuts=layout.cuts,
        gathering=gathering,
        findings=notes,
    )


def _choose(asked: Asked) -> _Layout:
    """The most leaves on the first sheet that takes any; exactly half of `up` when that is said."""
    up, count = asked.job.guts.up, None
    if up is not None:
        if up % 2:
            raise refuse(
                "up-french",
                f"up = {up}: a French-folded leaf has both its pages on one side of the sheet",
                "give an even number of pages on a side",
            )
        count = up // 2
    for named in asked.job.guts.sheets:
        found = [
            grid
            for room in rooms(asked.job.guts)
            if room.name == named.name
            for grid in french_grids(asked, room, count)
        ]
        if found:
            room, columns, rows = max(found, key=lambda g: (g[1] * g[2], not g[0].sheet.landscape))
            return _lay_out(asked, room, columns, rows)
    what = f"{count} French-folded leaves laid open" if count else "a French-folded leaf laid open"
    raise too_small(asked, french_need(asked, count or 1), what)


def french_need(asked: Asked, count: int) -> Size:
    """What is needed: one leaf needs no more than itself, several their allowances."""
    leaf, off = asked.leaf, asked.trim_off
    wide = (leaf.width + asked.grind) * 2
    if asked.margins is not None:
        return _block(asked)[0]
    if count == 1:
        return Size(wide, leaf.height)
    return Size(wide + off * 2, (leaf.height + off * 2) * count)


def french_grids(asked: Asked, room: Room, count: int | None) -> list[tuple[Room, int, int]]:
    """The fullest grid of leaves laid open, or those of `count`; a `way` keeps its own."""
    leaf, hold = asked.leaf, room.hold
    block, _ = _block(asked)
    columns, rows = hold.width // block.width, hold.height // block.height
    pairs = [(c, r) for c in range(1, columns + 1) for r in range(1, rows + 1)]
    pairs = pairs[-1:] if count is None else [(c, r) for c, r in pairs if c * r == count]
    if asked.margins is None and (not pairs or (1, 1) in pairs):
        middle = room.sheet.width.half
        inside = hold.x0 <= middle - leaf.width and middle + leaf.width <= hold.x1
        wide = room.sheet.width >= (leaf.width + asked.grind) * 2
        one = inside and wide and room.start(leaf.height, across=False) is not None
        pairs = [pair for pair in pairs if pair != (1, 1)]
        if one and count in (None, 1):
            pairs.append((1, 1))
    way = asked.job.guts.way
    if way is not None and way.columns:
        pairs = [pair for pair in pairs if pair == (way.columns, way.rows)]
    return [(room, c, r) for c, r in pairs]


def _block(asked: Asked) -> tuple[Size, Length]:
    """The paper of one leaf laid open, when it is cut out of the sheet, and what of it lies
    beyond the foot."""
    leaf, off = asked.leaf, asked.trim_off
    head, foot = asked.margins or (off, off)
    return Size((leaf.width + asked.grind + off) * 2, foot + leaf.height + head), foot


def _lay_out(asked: Asked, room: Room, columns: int, rows: int) -> _Layout:
    """One leaf takes the whole sheet, folded in its middle; several are cut out of it, and
    those that are put into other guts."""
    if columns * rows == 1 and asked.margins is None:
        bottom = room.start(asked.leaf.height, across=False)
        assert bottom is not None  # it was asked before
        whole = Box(ZERO, ZERO, room.sheet.width, room.sheet.height)
        leaves = [_leaf(asked, room, whole, bottom)]
    else:
        block, foot = _block(asked)
        x0 = room.start(block.width * columns, across=True) or ZERO
        y0 = room.start(block.height * rows, across=False) or ZERO
        leaves = []
        for row in reversed(range(rows)):
            for column in range(columns):
                corner = (x0 + block.width * column, y0 + block.height * row)
                paper = Box.at(*corner, block)
                leaves.append(_leaf(asked, room, paper, corner[1] + foot))
    lines, cuts = _lines(asked, room.sheet, leaves)
    return _Layout(room, tuple(leaves), tuple(lines), tuple(cuts))


def _leaf(asked: Asked, room: Room, paper: Box, bottom: Length) -> _Leaf:
    """Laid open, the recto's fold at the verso's: left-bound the recto lies at the left."""
    size, grind, bleed = asked.leaf, asked.grind, asked.bleed
    fold = (paper.x0 + paper.x1).half
    ink = room.hold
    room_at = PageSides(
        head=max(ZERO, min(bleed, ink.y1 - bottom - size.height, paper.y1 - bottom - size.height)),
        foot=max(ZERO, min(bleed, bottom - ink.y0, bottom - paper.y0)),
        spine=min(grind, bleed) if grind else max(ZERO, min(bleed, fold - size.width - paper.x0)),
        fore_edge=ZERO,
    )
    left = Cell(
        spine=fold - size.width,
        stop=fold - size.width - grind,
        spine_at=Edge.LEFT,
        bottom=bottom,
        size=size,
        room=room_at,
    )
    right = replace(
        left, spine=fold + size.width, stop=fold + size.width + grind, spine_at=Edge.RIGHT
    )
    if asked.job.bound_at.mirrored:
        return _Leaf(paper, fold, right, left)
    return _Leaf(paper, fold, left, right)


def _lines(asked: Asked, sheet: Size, leaves: Sequence[_Leaf]) -> tuple[list[Line], list[Cut]]:
    """Cuts that part the leaves, folds, the spine cut of the folded leaves, head and foot."""
    lines, cuts = parting_cuts(sheet, [leaf.paper for leaf in leaves])
    spine: list[Line] = []
    last: list[Line] = []
    for leaf in leaves:
        paper, trim = leaf.paper, leaf.recto.trim
        lines.append(Line(LineKind.FOLD, FOLD, leaf.fold, paper.y0, leaf.fold, paper.y1))
        reach = asked.leaf.width + asked.grind
        for x in (leaf.fold - reach, leaf.fold + reach):
            if paper.x0 < x < paper.x1:
                spine.append(Line(LineKind.CUT, "spine", x, trim.y0, x, trim.y1))
        left, right = leaf.fold - asked.leaf.width, leaf.fold + asked.leaf.width
        for side, y in (("head", trim.y1), ("foot", trim.y0)):
            if paper.y0 < y < paper.y1:
                last.append(Line(LineKind.CUT, side, left, y, right, y))
    if spine:
        title = "cut the spine side of the folded leaves, the folds at the gauge"
        cuts.append(Cut(id="spine", when=When.BEFORE_BINDING, side="spine", title=title))
    for side in ("head", "foot"):
        if any(line.of == side for line in last):
            title = f"trim the {side}"
            cuts.append(Cut(id=side, when=When.AFTER_BINDING, side=side, title=title))
    return [*lines, *spine, *last], cuts


def _sheets(
    asked: Asked, layout: _Layout, faces: Sequence[int | None]
) -> tuple[tuple[Sheet, ...], tuple[Gather, ...]]:
    """Leaves shared out so that the cut piles laid on each other read through."""
    count, leaves = len(layout.leaves), len(faces) // 2
    repeat = asked.job.guts.order is Order.REPEAT and count > 1
    number = leaves if repeat else -(-leaves // count)
    place = asked.placer().place
    sheets = []
    for sheet in range(number):
        made: list[Placement] = []
        for index, cell in enumerate(layout.leaves):
            leaf = sheet if repeat else index * number + sheet
            if leaf < leaves:
                first = 2 * leaf + 1
                made.append(place(cell.recto, faces[first - 1], first))
                made.append(place(cell.verso, faces[first], first + 1))
        sheets.append(
            Sheet(
                number=sheet + 1,
                size=layout.room.sheet,
                turned=layout.room.turned,
                front=Side(tuple(made)),
                back=Side(()),
                lines=layout.lines,
            )
        )
    piles = [0] if repeat else range(count)
    gathering = [
        Gather(FOLDED, tuple(range(1, min(number, leaves - pile * number) + 1)), pile)
        for pile in piles
        if pile * number < leaves
    ]
    return tuple(sheets), tuple(gathering)
