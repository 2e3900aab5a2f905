"""The cover that was laid out and marked on one piece, repeated on its sheet; the cuts apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.model.job import Job
from impose.plan.coverpieces import APART, CoverPieces
from impose.plan.coverview import (
    fill_moved,
    fold_moved,
    line_moved,
    mark_moved,
    placement_moved,
)
from impose.plan.parts import Cut, Line, LineKind, MarkGroup, Sheet, Side, When
from impose.plan.plan import Plan
from impose.schemes.coverpieces import Stepped
from impose.schemes.pressroom import passes_of
from impose.units import ZERO


def cover_pieces(stepped: Stepped, plan: Plan, job: Job) -> CoverPieces:
    """For the plan: with the sheets that the copies of the job need."""
    per = plan.per_sheet
    copies = -(-job.copies // per) * per
    up = len(stepped.boxes)
    return CoverPieces(
        columns=stepped.columns,
        rows=stepped.rows,
        sheet=stepped.sheet,
        boxes=stepped.boxes,
        gutter=job.cover.gutter if job.cover else ZERO,
        sheets=-(-copies // up),
        overs=-(-job.guts.overs // up),
    )


def repeat_cover(plan: Plan, job: Job) -> Plan:
    """The plan with its cover, laid out and marked on one piece, on every piece of the sheet,
    and with the cuts that part them; a plan with one cover on a sheet is given back."""
    if plan.cover is None or plan.cover.pieces is None:
        return plan
    pieces, number = plan.cover.pieces, plan.cover.sheet
    lines, cuts = _apart(pieces, plan.cover.before_next)
    sheet = next(sheet for sheet in plan.sheets if sheet.number == number)
    pieces = replace(pieces, lay=_lay(plan, job, replace(sheet, size=pieces.sheet)))
    return replace(
        plan,
        cover=replace(plan.cover, pieces=pieces),
        sheets=tuple(
            _repeated(sheet, pieces, lines) if sheet.number == number else sheet
            for sheet in plan.sheets
        ),
        cuts=(*plan.cuts, *cuts),
    )


def printed_here(plan: Plan) -> bool:
    """The cover's sheet goes through the job's own printer."""
    return not any(finding.code == "cover-printer" for finding in plan.findings)


def _lay(plan: Plan, job: Job, sheet: Sheet) -> tuple[Edge, Edge]:
    """The edges that the press feeds the sheets by, else the lay edge of the book and the left."""
    printer, binder = job.guts.printer, job.bench.binder
    if printer is None or not printer.plates or not printed_here(plan):
        lay = job.guts.lay or (binder.lay if binder else "head")
        return (Edge.TOP if lay == "head" else Edge.BOTTOM), Edge.LEFT
    front = passes_of(sheet, job)[0]
    across = front.gripper is Edge.BOTTOM
    side = front.lay or (Edge.LEFT if across else Edge.TOP)
    return (front.gripper, side) if across else (side, front.gripper)


def _apart(pieces: CoverPieces, when: str) -> tuple[tuple[Line, ...], tuple[Cut, ...]]:
    """A cut along every edge of the pieces that is not the sheet's own."""
    whole, sheet = pieces.block, pieces.sheet
    xs = {x for box in pieces.boxes for x in (box.x0, box.x1) if ZERO < x < sheet.width}
    ys = {y for box in pieces.boxes for y in (box.y0, box.y1) if ZERO < y < sheet.height}
    lines: list[Line] = []
    cuts: list[Cut] = []
    for upright, places in ((True, xs), (False, ys)):
        for at in sorted(places, key=lambda n: n.grains):
            cut = Cut(
                id=f"{APART}{len(cuts) + 1}",
                when=When.BEFORE_BINDING,
                title=f"cut the covers apart, {when}",
            )
            cuts.append(cut)
            ends = (at, whole.y0, at, whole.y1) if upright else (whole.x0, at, whole.x1, at)
            lines.append(Line(LineKind.CUT, cut.id, *ends))
    return tuple(lines), tuple(cuts)


def _repeated(sheet: Sheet, pieces: CoverPieces, apart: Sequence[Line]) -> Sheet:
    first = pieces.boxes[0]
    behind = [sheet.turned.over(box, pieces.sheet) for box in pieces.boxes]
    return replace(
        sheet,
        size=pieces.sheet,
        front=_stepped_side(sheet.front, pieces.boxes),
        back=_stepped_side(sheet.back, behind),
        lines=(
            *apart,
            *(line_moved(line, box.x0, box.y0) for box in pieces.boxes for line in sheet.lines),
        ),
        folds=tuple(fold_moved(fold, first.x0, first.y0) for fold in sheet.folds),
    )


def _stepped_side(side: Side, boxes: Sequence[Box]) -> Side:
    """Everything on the side of a piece, at each of the boxes."""
    marks = tuple(
        mark_moved(mark, b.x0, b.y0) for b in boxes for group in side.marks for mark in group.marks
    )
    return replace(
        side,
        placements=tuple(placement_moved(p, b.x0, b.y0) for b in boxes for p in side.placements),
        marks=(MarkGroup(marks),) if marks else (),
        own_marks=tuple(mark_moved(mark, b.x0, b.y0) for b in boxes for mark in side.own_marks),
        fills=tuple(fill_moved(fill, b.x0, b.y0) for b in boxes for fill in side.fills),
    )
