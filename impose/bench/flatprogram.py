"""The cut program of flat work: every layout cut down to its items, and proved by a replay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from impose.bench.flatsteps import FlatSteps, renumbered
from impose.bench.handcutter import assumed, cutter_of
from impose.bench.limits import Limits
from impose.bench.paper import overs_of, sheet_pile, waste, weight
from impose.bench.parent import parent_cut, parent_findings, parent_program, parent_sheet_cuts
from impose.bench.pile import Pile
from impose.bench.proving import prove_parents
from impose.bench.replay import replay_sheets
from impose.bench.sheetgrid import guts_sheets
from impose.bench.words import Notes
from impose.errors import PlanMismatchError
from impose.findings import Finding, page_ranges
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.model.job import Job
from impose.model.papernames import paper_name
from impose.plan.cutsteps import CutCount, CutFacts, CutStep, OnTable, StepKind
from impose.plan.flatfacts import FlatItem
from impose.plan.parts import LineKind, Sheet, When
from impose.plan.plan import Plan
from impose.schemes.flat import narrow_waste
from impose.schemes.guillotine import cut_apart
from impose.units import ZERO


@dataclass(frozen=True, slots=True)
class _Cut:
    """One layout with its maker of steps, and the steps."""

    sheet: Sheet
    maker: FlatSteps
    steps: tuple[CutStep, ...]


def add_flat_cuts(plan: Plan, job: Job) -> Plan:
    """The plan with its cut program, what is said above it, and what the cutter cannot do.

    Raises PlanMismatchError when a replay does not leave exactly the items.
    """
    notes = Notes(cutter_of(job), plan.unit, marked=plan.marked("crop"))
    first, parent = parent_program(plan, job, notes)
    layouts = [_cut(plan, job, sheet, notes) for sheet in guts_sheets(plan)]
    cutting = [step for one in layouts for step in one.steps]
    steps = renumbered([*first, *cutting, _sort(plan)], 1)
    for one in layouts:
        _prove(one, steps, plan.unit)
    way = parent_cut(plan, job)
    if way is not None:
        prove_parents(plan, parent_sheet_cuts(way), steps)
    facts = replace(_facts(plan, job, layouts), parent=parent)
    found = tuple(_findings(plan, job, layouts, steps))
    return replace(plan, cut_steps=steps, cut_facts=facts, findings=(*plan.findings, *found))


def things_of(plan: Plan, sheet: Sheet) -> str:
    """What the prints of one layout are called in the list."""
    return "sheets" if len(guts_sheets(plan)) == 1 else f"copies of sheet {sheet.number}"


def first_pile(plan: Plan, sheet: Sheet) -> int:
    """The number of a layout's first pile: piles are counted through all layouts."""
    before = [one for one in guts_sheets(plan) if one.number < sheet.number]
    return 1 + sum(len(one.front.placements) for one in before)


def _cut(plan: Plan, job: Job, sheet: Sheet, notes: Notes) -> _Cut:
    trims = [placement.trim for placement in sheet.front.placements]
    paper = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
    maker = FlatSteps(
        things=things_of(plan, sheet),
        root=cut_apart(paper, trims, narrow_waste(job)),
        lay=_lay(job),
        ids={
            (not line.upright, line.x0 if line.upright else line.y0): line.of
            for line in sheet.lines
            if line.kind is LineKind.CUT
        },
        pile=Pile(count=sheet.copies, each=job.guts.stock.caliper),
        notes=notes,
        first=first_pile(plan, sheet),
    )
    cuts = tuple(maker.steps())
    return _Cut(sheet, maker, (_jog(plan, job, sheet, maker), *cuts) if cuts else ())


def _lay(job: Job) -> tuple[Edge, Edge]:
    """The edges the press fed the sheets by; without a press the head and the left edge."""
    printer = job.guts.printer
    if printer is not None and printer.plates:
        return Edge.BOTTOM, Edge.LEFT
    return Edge.TOP, Edge.LEFT


def _jog(plan: Plan, job: Job, sheet: Sheet, maker: FlatSteps) -> CutStep:
    across, upright = (edge.value for edge in maker.lay)
    printer = job.guts.printer
    press = printer is not None and printer.plates
    why = ", the edges the press fed the sheets by" if press else ""
    return CutStep(
        number=0,
        kind=StepKind.JOG,
        when=When.BEFORE_BINDING,
        title=f"Jog the {maker.things} to the {across} and the {upright} edge",
        table=OnTable(
            piles=(maker.things,),
            count=maker.pile.count,
            things=maker.things,
            height=maker.pile.height,
            lifts=maker.pile.lifts(maker.notes.cutter),
            size=sheet.size,
        ),
        notes=(
            "Their front up; left, right, top and bottom are those of the printed front.",
            f"The lay edges are the {across} and the {upright} edge{why}: mark both with crayon "
            "and start from them.",
            "Piles are numbered row by row from the upper left; what is in which stands at the "
            "end of the list.",
        ),
    )


def _sort(plan: Plan) -> CutStep:
    """What the piles are, and how many of each item there are."""
    return CutStep(
        number=0,
        kind=StepKind.STACK,
        when=When.BEFORE_BINDING,
        title="Put the piles of each item together and count",
        notes=tuple(
            f"{item.title}: {_piles_of(plan, number)}, {item.made} in all, {_wanted(item)}"
            for number, item in enumerate(plan.items, start=1)
        ),
    )


def _wanted(item: FlatItem) -> str:
    over = f", {item.over} over" if item.over else ""
    return f"{item.amount} wanted{over}."


def _piles_of(plan: Plan, number: int) -> str:
    found = piles_of(plan, number)
    return f"pile{'s' if len(found) > 1 else ''} {page_ranges(found)}"


def piles_of(plan: Plan, number: int) -> tuple[int, ...]:
    """The piles of an item (counted from 1), through all layouts."""
    return tuple(at for at, gather in enumerate(plan.gathering, start=1) if gather.item == number)


def _prove(one: _Cut, steps: Sequence[CutStep], unit: str) -> None:
    """Cut by the list, a sheet leaves exactly the items, each under its own name."""
    left, _ = replay_sheets(steps, one.sheet.size, one.maker.things)
    if left == one.maker.piles:
        return
    wrong = [name for name in left if left[name] != one.maker.piles.get(name)]
    found = ", ".join(f"{name}: {left[name].text(unit)}" for name in wrong[:3])
    raise PlanMismatchError(f"the cut list does not leave the items of a sheet ({found})")


def _facts(plan: Plan, job: Job, layouts: Sequence[_Cut]) -> CutFacts:
    cutter, sheets = cutter_of(job), guts_sheets(plan)
    pile = sheet_pile(plan, job)
    return CutFacts(
        cutter=cutter.name,
        hand=cutter.hand,
        assumed=job.bench.cutter is None,
        tolerance=cutter.tolerance,
        lay="",
        lay_edges=tuple(edge.value for edge in layouts[0].maker.lay) if plan.cuts else (),
        trim_order=(),
        order_from="",
        sheets=pile.count,
        sheet=sheets[0].size,
        sheet_name=paper_name(job, sheets[0].size),
        pile=pile.height,
        waste=waste(plan),
        weight=weight(plan, job),
        overs=overs_of(plan, job),
        before=_sum([one.maker.count for one in layouts]),
        plain=_plain(layouts),
        notes=tuple(_notes(plan, job)),
    )


def _plain(layouts: Sequence[_Cut]) -> CutCount:
    """The plain way of sheets that are one grid; others have none to be held against."""
    nested = any(part.parts for one in layouts for part in one.maker.root.parts)
    return CutCount() if nested else _sum([one.maker.plain for one in layouts])


def _sum(counts: Sequence[CutCount]) -> CutCount:
    return CutCount(
        strokes=sum(one.strokes for one in counts),
        turns=sum(one.turns for one in counts),
        settings=sum(one.settings for one in counts),
    )


def _notes(plan: Plan, job: Job) -> Iterator[str]:
    sheets = guts_sheets(plan)
    if len(sheets) > 1:
        runs = ", ".join(f"sheet {sheet.number}: {sheet.copies}" for sheet in sheets)
        yield f"{len(sheets)} different sheets, cut one after the other ({runs})."
    if not job.guts.overs:
        yield "No sheets are reckoned for spoilage: the job names none."
    if job.guts.stock.estimated:
        yield f"Heights rest on a table estimate of the caliper of {job.guts.stock.name}."
    if not plan.cuts:
        yield "Nothing is cut: the paper is at size."


def _findings(
    plan: Plan, job: Job, layouts: Sequence[_Cut], steps: Sequence[CutStep]
) -> Iterator[Finding]:
    limits = Limits(cutter_of(job), job.bench.cutter is None, plan.unit)
    yield from assumed(job)
    yield from limits.of_steps(steps)
    yield from parent_findings(plan, job)
    if plan.cuts:
        yield from limits.of_pile(layouts[0].maker.pile, "one sheet")
