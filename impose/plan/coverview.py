"""The covers of a sheet one by one: each as the sheet of a cover that lies there alone.

Creaser, binder, checks and proof know one cover on its paper; where several lie
on a sheet they are shown one piece of it as that paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from impose.geometry.box import Box, Size
from impose.geometry.moving import STAY
from impose.plan.coverpieces import APART, CoverPieces
from impose.plan.parts import (
    Fill,
    FoldStep,
    Line,
    Mark,
    MarkGroup,
    Placement,
    Sheet,
    Side,
)
from impose.plan.plan import Plan
from impose.units import Length


def piece_view(plan: Plan, piece: int = 0) -> Plan:
    """The plan with one piece (0-based) in the place of its cover's sheet; the plan itself
    where the cover has a sheet of its own."""
    if plan.cover is None or plan.cover.pieces is None:
        return plan
    pieces, number = plan.cover.pieces, plan.cover.sheet
    return replace(
        plan,
        sheets=tuple(
            piece_of(sheet, pieces, piece) if sheet.number == number else sheet
            for sheet in plan.sheets
        ),
        cuts=tuple(cut for cut in plan.cuts if not cut.id.startswith(APART)),
    )


def piece_of(sheet: Sheet, pieces: CoverPieces, piece: int = 0) -> Sheet:
    """What lies on one piece, in the piece's own frame, seen from either side; a sheet that is
    a piece already is given back."""
    if sheet.size != pieces.sheet:
        return sheet
    box, first = pieces.boxes[piece], pieces.boxes[0]
    behind = sheet.turned.over(box, sheet.size)
    lines = (line for line in sheet.lines if not line.of.startswith(APART))
    return replace(
        sheet,
        size=box.size,
        front=_cut_out(sheet.front, box),
        back=_cut_out(sheet.back, behind),
        lines=tuple(
            line_moved(line, -box.x0, -box.y0)
            for line in lines
            if box.contains(Box(line.x0, line.y0, line.x1, line.y1))
        ),
        folds=tuple(fold_moved(fold, -first.x0, -first.y0) for fold in sheet.folds),
    )


def on_sheet(sheet: Sheet, pieces: CoverPieces, piece: int, side: str, region: Box) -> Box:
    """A region on a side of a piece, on that side of the whole sheet."""
    box = pieces.boxes[piece]
    if side == "back":
        box = sheet.turned.over(box, sheet.size)
    return region.moved(box.x0, box.y0)


def _cut_out(side: Side, box: Box) -> Side:
    dx, dy = -box.x0, -box.y0
    groups = (
        tuple(mark_moved(mark, dx, dy) for mark in _inside(group.marks, box))
        for group in side.marks
    )
    return Side(
        tuple(placement_moved(p, dx, dy) for p in side.placements if box.contains(p.trim)),
        marks=tuple(MarkGroup(marks) for marks in groups if marks),
        own_marks=tuple(mark_moved(mark, dx, dy) for mark in _inside(side.own_marks, box)),
        move=STAY,
        fills=tuple(fill_moved(fill, dx, dy) for fill in side.fills if box.contains(fill.box)),
    )


def _inside(marks: Iterable[Mark], box: Box) -> Iterator[Mark]:
    return (mark for mark in marks if box.contains(Box(mark.x0, mark.y0, mark.x1, mark.y1)))


# -- moved on the sheet ------------------------------------------------------------------


def placement_moved(placement: Placement, dx: Length, dy: Length) -> Placement:
    """Right by dx and up by dy, as are the others here."""
    return replace(placement, trim=placement.trim.moved(dx, dy), art=placement.art.moved(dx, dy))


def line_moved(line: Line, dx: Length, dy: Length) -> Line:
    """See `placement_moved`."""
    return Line(line.kind, line.of, line.x0 + dx, line.y0 + dy, line.x1 + dx, line.y1 + dy)


def mark_moved(mark: Mark, dx: Length, dy: Length) -> Mark:
    """See `placement_moved`."""
    return replace(mark, x0=mark.x0 + dx, y0=mark.y0 + dy, x1=mark.x1 + dx, y1=mark.y1 + dy)


def fill_moved(fill: Fill, dx: Length, dy: Length) -> Fill:
    """See `placement_moved`."""
    return replace(fill, box=fill.box.moved(dx, dy))


def fold_moved(fold: FoldStep, dx: Length, dy: Length) -> FoldStep:
    """See `placement_moved`."""
    return replace(fold, at=fold.at + (dy if fold.across else dx))


def whole_box(size: Size) -> Box:
    """The sheet itself."""
    return Box(Length(), Length(), size.width, size.height)
