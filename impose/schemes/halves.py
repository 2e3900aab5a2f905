"""Sheets that one forme prints on both sides: laid out as halves, joined to the whole sheet.

The forme has the front of a half at one end, and the back of it at the other:
turned over about the line between them, each falls on the back of the other, so
each half is a copy.  The halves are cut apart and the second is turned over;
both are then the same paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from impose.geometry.box import Box, Size
from impose.geometry.turning import Turnover
from impose.model.job import NamedSize
from impose.model.presswork import Work, first_half, half_of
from impose.plan.parts import HALVES, Cut, FoldStep, Line, LineKind, Placement, Sheet, Side, When
from impose.plan.plan import Plan
from impose.schemes.draft import Draft
from impose.units import Length

_Known = dict[int, tuple[Line, ...]]


def joined(draft: Draft, work: Work, named: Sequence[NamedSize], right_bound: bool) -> Draft:
    """The draft of halves as one of whole sheets, with the cut between the halves."""
    known: _Known = {}
    sheets = []
    for half in draft.sheets:
        size = _size_of(half, named)
        sheets.append(_whole(half, size, first_half(size, half.turned, right_bound), known))
    cut = Cut(
        id=HALVES, when=When.BEFORE_FOLDING, title="cut the sheets in two: each half is a copy"
    )
    return replace(
        draft,
        sheets=tuple(replace(sheet, work=work.value) for sheet in sheets),
        cuts=(cut, *draft.cuts),
    )


def half_plan(plan: Plan, copy: int = 1) -> Plan:
    """The plan as it is after the halves are cut apart: the sheets of copy 1 or 2, each as it
    lies with its own first page up; the plan itself where no sheet is cut in two."""
    if not plan.halved:
        return plan
    known: _Known = {}
    mirrored = plan.bound_at.mirrored
    sheets = tuple(_half(s, copy, mirrored, known) if s.one_forme else s for s in plan.sheets)
    cuts = tuple(cut for cut in plan.cuts if cut.id != HALVES)
    return replace(plan, sheets=sheets, cuts=cuts)


def half_folds(plan: Plan, sheet: Sheet) -> tuple[FoldStep, ...]:
    """The folds of a sheet as it is folded: of a half in its own frame, once it is cut off."""
    if not sheet.one_forme:
        return sheet.folds
    first = first_half(sheet.size, sheet.turned, plan.bound_at.mirrored)
    return tuple(_fold_moved(fold, -first.x0, -first.y0) for fold in sheet.folds)


def on_whole(plan: Plan, sheet: Sheet, copy: int, side: str, region: Box) -> tuple[str, Box]:
    """A region on a side of a half, on the whole sheet: its side, and the region there."""
    first = first_half(sheet.size, sheet.turned, plan.bound_at.mirrored)
    here = first if side == "front" else sheet.turned.over(first, sheet.size)
    region = region.moved(here.x0, here.y0)
    if copy == 1:
        return side, region
    return ("back" if side == "front" else "front"), region


def halves_line(sheet: Sheet) -> Line:
    """The cut between the halves, seen from the front, along all pages."""
    return _halves_line(sheet.size, sheet.turned, [p.trim for p in sheet.front.placements])


def _halves_line(size: Size, turned: Turnover, trims: Sequence[Box]) -> Line:
    half = half_of(size, turned)
    around = trims[0]
    for trim in trims[1:]:
        around = around.join(trim)
    if turned is Turnover.ABOUT_VERTICAL:
        return Line(LineKind.CUT, HALVES, half.width, around.y0, half.width, around.y1)
    return Line(LineKind.CUT, HALVES, around.x0, half.height, around.x1, half.height)


def _whole(sheet: Sheet, size: Size, first: Box, known: _Known) -> Sheet:
    turned = sheet.turned
    behind = turned.over(first, size)
    fronts = tuple(_moved(p, first.x0, first.y0) for p in sheet.front.placements)
    backs = tuple(_moved(p, behind.x0, behind.y0) for p in sheet.back.placements)
    lines = known.get(id(sheet.lines))
    if lines is None:
        parted = _halves_line(size, turned, [p.trim for p in (*fronts, *backs)])
        lines = (parted, *_both(sheet.lines, first, size, turned))
        known[id(sheet.lines)] = lines
    return replace(
        sheet,
        size=size,
        front=Side((*fronts, *backs)),
        back=Side((*backs, *fronts)),
        lines=lines,
        creep_lines=tuple(_both(sheet.creep_lines, first, size, turned)),
        folds=tuple(_fold_moved(fold, first.x0, first.y0) for fold in sheet.folds),
        half=0,
    )


def _size_of(sheet: Sheet, named: Sequence[NamedSize]) -> Size:
    """The whole sheet of a half."""
    for one in named:
        for size in (one.size, one.size.turned):
            if half_of(size, sheet.turned) == sheet.size:
                return size
    raise ValueError("the half is that of no sheet of the job")


def _both(lines: Iterable[Line], first: Box, size: Size, turned: Turnover) -> list[Line]:
    """The lines of both halves, seen from the front."""
    here = [_line_moved(line, first.x0, first.y0) for line in lines]
    return here + [_over(line, size, turned) for line in here]


def _over(line: Line, size: Size, turned: Turnover) -> Line:
    box = turned.over(Box(line.x0, line.y0, line.x1, line.y1), size)
    return Line(line.kind, line.of, box.x0, box.y0, box.x1, box.y1)


def _line_moved(line: Line, dx: Length, dy: Length) -> Line:
    return Line(line.kind, line.of, line.x0 + dx, line.y0 + dy, line.x1 + dx, line.y1 + dy)


def _moved(placement: Placement, dx: Length, dy: Length) -> Placement:
    return replace(placement, trim=placement.trim.moved(dx, dy), art=placement.art.moved(dx, dy))


def _fold_moved(fold: FoldStep, dx: Length, dy: Length) -> FoldStep:
    return replace(fold, at=fold.at + (dy if fold.across else dx))


def _half(sheet: Sheet, copy: int, right_bound: bool, known: _Known) -> Sheet:
    size, turned = sheet.size, sheet.turned
    first = first_half(size, turned, right_bound)
    behind = turned.over(first, size)
    dx, dy = first.x0, first.y0
    up, down = (sheet.front, sheet.back) if copy == 1 else (sheet.back, sheet.front)

    def seen(lines: Iterable[Line]) -> tuple[Line, ...]:
        """In the half that lies where the first one does, seen with this copy's front up."""
        here = lines if copy == 1 else [_over(line, size, turned) for line in lines]
        return tuple(
            _line_moved(line, -dx, -dy)
            for line in here
            if line.of != HALVES and first.contains(Box(line.x0, line.y0, line.x1, line.y1))
        )

    lines = known.get(id(sheet.lines))
    if lines is None:
        lines = known[id(sheet.lines)] = seen(sheet.lines)
    fronts = (_moved(p, -dx, -dy) for p in up.placements if first.contains(p.trim))
    backs = (_moved(p, -behind.x0, -behind.y0) for p in down.placements if behind.contains(p.trim))
    return replace(
        sheet,
        size=first.size,
        front=Side(tuple(fronts)),
        back=Side(tuple(backs)),
        lines=lines,
        creep_lines=seen(sheet.creep_lines),
        folds=tuple(_fold_moved(fold, -dx, -dy) for fold in sheet.folds),
        work="",
        half=copy,
    )
