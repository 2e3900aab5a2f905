"""Layouts of flat work and of folded panels compared.

Their sheets are few, so each way is planned and its cut program written whole, exactly as it
is made; the figures of a row are those of its plan.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Final

from impose.bench.layoutrow import Comparison, LayoutRow, Paper, Press
from impose.bench.layouts import cost_of
from impose.bench.paper import overs_of, prints
from impose.bench.parent import grain_on_sheet
from impose.bench.sheetgrid import guts_sheets
from impose.errors import JobError
from impose.findings import Severity
from impose.geometry.sides import Edge
from impose.model.job import Binding, Job
from impose.model.stock import Grain
from impose.plan.cutsteps import CutCount, StepKind
from impose.plan.parts import LineKind, Sheet
from impose.plan.plan import Plan
from impose.schemes.ways import Unfit, Way
from impose.schemes.wholeways import find_whole_ways

#: How rows are ranked, as it is said above the table.
RULE: Final = (
    "Ranked: the lowest cost where prices are given, else the least area of paper, overs and "
    "parent sheets counted; then the least handling (cuts, turns and folds); then the fewest "
    "sheets."
)
#: Of items without an amount every sheet gives another number.
EACH: Final = (
    "Ranked for each piece, because no amount is said: the lowest cost where prices are given, "
    "else the least area of paper; then the least handling (cuts, turns and folds)."
)
#: Faults that another sheet, or another way round, may always mend.
_OF_THE_SHEET: Final = frozenset(
    {"sheet-too-small", "item-too-large", "items-no-room", "too-many-up"}
)
#: A plan with its cut program, of a job bound to one way; raises JobError.
Planned = Callable[[Job], Plan]
#: What a plan says of a layout that is said with its row.
_SAID: Final = ("no-cut", "bar-no-room", "unprintable-margin", "one-cut-no-bleed")


def compare_whole(job: Job, planned: Planned) -> Comparison:
    """Every way in its rank, and those that fall out with why.

    Raises JobError for a fault that no sheet can mend.
    """
    rows: list[tuple[LayoutRow, int]] = []
    unfit: list[Unfit] = []
    for way in find_whole_ways(job):
        if isinstance(way, Unfit):
            unfit.append(way)
            continue
        bound = replace(job, guts=way.guts)
        try:
            plan = planned(bound)
        except JobError as error:
            if not _of_the_sheet(job, error.faults[0].code):
                raise
            unfit.append(Unfit(name=way.name, reason=error.faults[0].message, way=way))
            continue
        spoiled = next((f for f in plan.findings if f.severity is Severity.ERROR), None)
        if spoiled is not None:
            unfit.append(Unfit(name=way.name, reason=spoiled.message, way=way))
            continue
        row = _row(way, plan, bound)
        if not _only_turned(row, rows, bound):
            rows.append((row, _pieces(plan, job)))
    rows.sort(key=lambda one: _rank(*one))
    numbered = (replace(row, number=number) for number, (row, _) in enumerate(rows, start=1))
    open_amount = any(item.amount is None for item in job.items)
    return Comparison(rows=tuple(numbered), unfit=tuple(unfit), rule=EACH if open_amount else RULE)


def _of_the_sheet(job: Job, code: str) -> bool:
    """Another sheet, or another way round, may mend it: a booklet of one sheet has the trim that
    its sheet gives, where the job names none."""
    by_sheet = job.binding is Binding.ONE_SHEET and job.trim is None
    return code in _OF_THE_SHEET or (by_sheet and code == "page-size")


def _only_turned(row: LayoutRow, rows: list[tuple[LayoutRow, int]], job: Job) -> bool:
    """The row before on the same sheet, turned with all that is on it: without a printer the
    sheet has no edge that differs."""
    if not job.items or job.guts.printer is not None or not rows:
        return False
    before = rows[-1][0]
    return before.way.sheet == row.way.sheet and _figures(before) == _figures(row)


def _figures(row: LayoutRow) -> tuple[object, ...]:
    return (row.up, row.sheets, row.printed, row.strokes, row.turns, row.paper, row.grain)


def _pieces(plan: Plan, job: Job) -> int:
    """Pieces that are made, where the job does not say how many are wanted; else 1."""
    if all(item.amount is not None for item in job.items):
        return 1
    return sum(item.made for item in plan.items)


def _rank(row: LayoutRow, pieces: int) -> tuple[object, ...]:
    """Equal rows stay in the order of the sheets at hand."""
    paid = row.cost if row.cost is not None else Fraction(row.paper.area)
    handling = row.strokes + row.turns + row.folds
    return (row.cost is None, paid / pieces, handling, row.printed)


def _row(way: Way, plan: Plan, job: Job) -> LayoutRow:
    sheets, facts = guts_sheets(plan), plan.cut_facts
    assert facts is not None
    first = max(sheets, key=lambda sheet: (sheet.copies, len(sheet.front.placements)))
    often = prints(plan, job)
    printed = sum(sheet.copies for sheet in sheets) * often + overs_of(plan, job)
    sides = 1 if plan.one_sided("guts") else 2
    one = first.size.width.grains * first.size.height.grains
    parent = facts.parent
    bought = one * printed
    if parent is not None:
        bought = parent.size.width.grains * parent.size.height.grains * parent.count
    row = LayoutRow(
        way=way,
        first=first,
        up=len(first.front.placements),
        faces=plan.faces,
        blanks=0 if plan.items else plan.reading_order().count(None),
        sheets=len(sheets),
        printed=printed,
        paper=Paper(waste=facts.waste, area=bought),
        parent=parent,
        before=facts.before,
        folded=CutCount(),
        after=facts.after,
        lifted=_lifted(plan),
        folds=sum(_fold_lines(sheet) for sheet in sheets) * often,
        grain=_grain(plan, job),
        notes=tuple(f.message for f in plan.findings if f.code in _SAID),
        press=Press(
            press=bool(job.guts.printer and job.guts.printer.plates),
            sides=len(sheets) * sides,
            clicks=printed * sides,
        ),
    )
    return replace(row, cost=cost_of(row, job))


def _fold_lines(sheet: Sheet) -> int:
    """Folds of a sheet of panels: one along each line, in however many stretches it shows."""
    return len({line.of for line in sheet.lines if line.kind is LineKind.FOLD})


def _lifted(plan: Plan) -> int:
    """Strokes of the knife with every lift counted."""
    cuts = (s.table for s in plan.cut_steps if s.kind is StepKind.CUT and s.setting and s.table)
    return sum(len(table.piles) * table.lifts for table in cuts)


def _grain(plan: Plan, job: Job) -> str:
    """`along` or `across` the spine, of items their long side; `both ways`; empty: not known."""
    grain, sheet = grain_on_sheet(plan, job), plan.sheets[0]
    if grain is None:
        return ""
    runs_up = (grain is Grain.LONG) != sheet.size.landscape
    upright = set()
    for placement in sheet.front.placements:
        trim = placement.trim
        if not plan.items:
            upright.add(placement.spine_at in (Edge.LEFT, Edge.RIGHT))
        elif trim.width != trim.height:
            upright.add(trim.height > trim.width)
    if len(upright) != 1:
        return "both ways" if upright else ""
    return "along" if upright == {runs_up} else "across"
