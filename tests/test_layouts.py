"""Layouts compared: what is promised is what is made, and the figures of the handbooks.

The law: every row, made, has the sheets, pages on a side, waste, cuts, turns, folds and
grain that the row says, and its first sheet is the one that is drawn.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import Asked as Wanted
from strategies import asked_for, lengths, mm

from impose.bench.layoutrow import Comparison, LayoutRow
from impose.bench.layouts import compare
from impose.bench.paper import prints
from impose.bench.parent import grain_on_sheet
from impose.bench.program import add_cuts
from impose.bench.sheetgrid import guts_sheets
from impose.errors import JobError
from impose.findings import Severity
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.model.job import Binding, Cover, Job, NamedSize, Order
from impose.model.machines import LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work
from impose.model.stock import Grain
from impose.plan.cutsteps import StepKind
from impose.plan.plan import Plan
from impose.schemes.coverplan import add_cover
from impose.schemes.planning import comparable, plan_sheets
from impose.units import ZERO, Length

A4, A3, A5, A6 = (
    Size(mm(210), mm(297)),
    Size(mm(297), mm(420)),
    Size(mm(148), mm(210)),
    Size(mm(105), mm(148)),
)
SRA3, SRA2 = Size(mm(320), mm(450)), Size(mm(450), mm(640))


def inches(width: str, height: str) -> Size:
    return Size(Length.inches(width), Length.inches(height))


def at_hand(wanted: Wanted, *sizes: Size, **changes: Any) -> Wanted:
    """The same book with these sheets to choose from."""
    named = tuple(NamedSize(size=size, name=f"sheet {i}") for i, size in enumerate(sizes))
    guts = replace(wanted.job.guts, sheets=named, **changes.pop("guts", {}))
    return replace(wanted, job=replace(wanted.job, guts=guts, at_hand=named, **changes))


def compared(wanted: Wanted) -> Comparison:
    return compare(comparable(wanted.job, wanted.pages, wanted.faces))


def made(row: LayoutRow, wanted: Wanted) -> tuple[Plan, Job]:
    """The whole plan of a row, by the way of every plan."""
    job = replace(wanted.job, guts=row.way.guts)
    plan = plan_sheets(job, wanted.pages, wanted.faces, ["pages.pdf"])
    if job.cover is not None:
        plan = add_cover(plan, job, [])
    return add_cuts(plan, job), job


def hold_to_plan(row: LayoutRow, wanted: Wanted) -> None:
    """Every promise of a row against its plan."""
    plan, job = made(row, wanted)
    facts, sheets = plan.cut_facts, guts_sheets(plan)
    assert facts is not None
    assert len(sheets) == row.sheets
    assert row.printed == len(sheets) * (prints(plan, job) + job.guts.overs)
    assert row.faces == plan.faces
    assert row.blanks == plan.faces - len(wanted.faces)
    assert row.paper.waste == facts.waste
    assert (row.before, row.after) == (facts.before, facts.after)
    cuts = [step for step in plan.cut_steps if step.kind is StepKind.CUT and step.table]
    cover = [step for step in cuts if step.table and step.table.things == "cover"]
    strokes = sum(len(step.table.piles) for step in cuts if step.table)
    ends = sum(len(step.table.piles) for step in cover if step.table)
    assert row.strokes == strokes - ends
    lifted = sum(len(s.table.piles) * s.table.lifts for s in cuts if s.table and s not in cover)
    assert row.lifted == lifted
    if facts.parent is None:
        assert row.parent is None
    else:
        assert row.parent == facts.parent
    if not plan.french:  # each half of a sheet that is cut in two is folded
        folded = sum(len(sheet.folds) * (2 if sheet.one_forme else 1) for sheet in sheets)
        assert row.folds == folded * prints(plan, job)
    else:
        assert row.folds == plan.faces // 2 * prints(plan, job)
    assert sheets[0].size == row.way.lying == row.first.size
    fullest = max(sheets, key=lambda sheet: len(sheet.front.placements))
    assert fullest.lines == row.first.lines
    assert len(fullest.front.placements) == row.up
    assert row.press.clicks == row.printed * (1 if plan.french else 2)
    if plan.press is not None:
        assert row.press.sides == plan.press.formes
        assert row.sheets * prints(plan, job) == plan.press.sheets
    grain = grain_on_sheet(plan, job)
    runs_up = None if grain is None else (grain is Grain.LONG) != sheets[0].size.landscape
    mixed = {p.turn % 180 for p in fullest.front.placements} == {0, 90}
    known = "both ways" if mixed else {True: "along", False: "across"}.get(runs_up is True, "")
    assert row.grain == ("" if grain is None else known)
    assert not [f for f in plan.findings if f.severity is Severity.ERROR]


PRESSES = [
    Printer(
        name="a large press", press=True, leads=LeadingEdge.LONG, lead=mm(12), tail=mm(5),
        left=mm(5), right=mm(5), side_lay="left", bar=mm(8), flip=Flip.SHORT_EDGE,
    ),
    Printer(
        name="a small press", press=True, leads=LeadingEdge.SHORT, lead=mm(8), tail=mm(3),
        left=mm(3), right=mm(3), side_lay="right", flip=Flip.LONG_EDGE,
    ),
    Printer(
        name="a perfecting press", press=True, leads=LeadingEdge.LONG, lead=mm(9), tail=mm(4),
        left=mm(4), right=mm(4), side_lay="left", perfects=True, flip=Flip.LONG_EDGE,
    ),
]  # fmt: skip
PRINTERS = st.sampled_from(
    [
        None,
        None,
        *PRESSES,
        Printer(name="a press", press=True, leads=LeadingEdge.LONG, lead=mm(10), tail=mm(4)),
        Printer(name="a copier", lead=mm(4), tail=mm(4), left=mm(4), right=mm(4)),
    ]
)
SHEETS = st.lists(
    st.sampled_from([A4, A3, SRA3]) | st.builds(Size, lengths(150, 320), lengths(200, 450)),
    min_size=1,
    max_size=2,
)


#: Flat work and folded panels have no layouts to compare.
COMPARED = [one for one in Binding if not one.panelled and one is not Binding.FLAT]


@st.composite
def jobs(draw: st.DrawFn) -> Wanted:
    """A job that leaves much open, on one or two sheets."""
    binding = draw(st.sampled_from(COMPARED))
    french = binding in (Binding.PERFECT, Binding.STAB) and draw(st.integers(0, 3)) == 0
    grind = draw(st.sampled_from([None, mm(1), mm(3)])) if binding is Binding.PERFECT else None
    said: dict[str, Any] = {
        "binding": binding,
        "bound_at": draw(st.sampled_from(BoundAt)),
        "copies": draw(st.sampled_from([1, 1, 7, 60])),
        "overs": draw(st.sampled_from([0, 4])),
        "supplied": draw(st.sampled_from([ZERO, mm(3)])),
        "printer": draw(PRINTERS),
        "grind": grind,
        "french_fold": french,
        "last_section": draw(st.sampled_from(["fill", "short"])),
        "caliper": draw(st.sampled_from([mm("0.1"), mm("0.13")])),
        "trim": draw(st.sampled_from([A5, A6, Size(mm(105), mm(74))])),
        "parent": draw(
            st.sampled_from([None, None, NamedSize(size=Size(mm(640), mm(900)), name="mill")])
        ),
        "lay": draw(st.sampled_from([None, None, "head"])),
        "order_said": draw(st.booleans()),
        "order": draw(st.sampled_from(Order)),
        "up": draw(st.sampled_from([None, None, None, 1, 2, 4])),
        "centred": draw(st.sampled_from([False, False, False, True])),
    }
    if binding in (Binding.PERFECT, Binding.SADDLE) and draw(st.integers(0, 3)) == 0:
        said["cover"] = Cover(sheets=(NamedSize(size=SRA2, name="cover sheet"),))
    if said["printer"] in PRESSES:
        _draw_press_work(draw, said)
    sheets = draw(SHEETS)
    wanted = asked_for(draw(st.integers(1, 150)), sheet=sheets[0], **said)
    stock = replace(wanted.job.guts.stock, grain=draw(st.sampled_from([None, *Grain])))
    return at_hand(wanted, *sheets, guts={"stock": stock})


def _draw_press_work(draw: st.DrawFn, said: dict[str, Any]) -> None:
    """What a job may say itself of how it is printed, where that goes together."""
    placed = said["lay"] is not None or said["centred"]
    if said["french_fold"]:
        return
    said["work"] = draw(st.sampled_from([None, None, None, *Work]))
    if said["binding"] is not Binding.LOOSE and not placed and "cover" not in said:
        said["two_up"] = draw(st.sampled_from([None, None, None, *TwoUp]))


@given(jobs(), st.data())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_every_row_is_made_as_it_is_promised(wanted: Wanted, data: st.DataObject) -> None:
    found = compared(wanted)
    assert [row.number for row in found.rows] == list(range(1, len(found.rows) + 1))
    assert len({row.way.name for row in found.rows}) == len(found.rows)
    if not found.rows:
        assert found.unfit
        return
    first, last = found.rows[0], found.rows[-1]
    some = data.draw(st.sampled_from(found.rows))
    for row in {row.number: row for row in (first, some, last)}.values():
        hold_to_plan(row, wanted)


@given(jobs())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_what_falls_out_by_size_cannot_be_made(wanted: Wanted) -> None:
    """A job that has just the one sheet is refused when everything on it falls out."""
    sheet = wanted.job.guts.sheets[0]
    alone = at_hand(wanted, sheet.size)
    found = compared(alone)
    if found.rows:
        return
    try:
        plan = plan_sheets(alone.job, alone.pages, alone.faces, ["pages.pdf"])
        planned = add_cuts(plan, alone.job)
    except JobError:
        return
    assert [one for one in planned.findings if one.severity is Severity.ERROR]
