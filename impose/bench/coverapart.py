"""Sheets with several covers, cut apart before anything is scored.

Each cover then is the paper that creaser and binder expect: their distances run
from its own edges.  The sheets are jogged to the edges the press fed them by
(Niel Gray Jr., Paper-Cutting Machines, 1918), else to the lay edge of the book
and the left edge.
"""

from __future__ import annotations

from typing import Final

from impose.bench.grid import best_order
from impose.bench.pile import Pile
from impose.bench.sheetgrid import SheetCuts, cuts_on
from impose.bench.sheetsteps import COVER_SHEETS, SheetSteps
from impose.bench.words import Notes
from impose.model.job import Job
from impose.plan.coverpieces import APART
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan

#: How the step begins that ends the cutting apart.
_DONE: Final = "The covers are apart"


def parts_covers(step: CutStep) -> bool:
    """One of the steps from the printed sheets to single covers."""
    return step.title.startswith(_DONE) or (
        step.table is not None and step.table.things == COVER_SHEETS
    )


def apart_cuts(plan: Plan) -> SheetCuts | None:
    """How the covers are cut apart; None where a cover has its sheet for itself."""
    if plan.cover is None or plan.cover.pieces is None:
        return None
    pieces, number = plan.cover.pieces, plan.cover.sheet
    sheet = next(sheet for sheet in plan.sheets if sheet.number == number)
    lines = [line for line in sheet.lines if line.of.startswith(APART)]
    if not lines:
        return None
    return cuts_on(pieces.sheet, lines, pieces.boxes, pieces.lay, {})


def apart_steps(plan: Plan, job: Job, notes: Notes) -> tuple[CutStep, ...]:
    """Jog, cut apart, and what comes next; nothing where a cover has its sheet for itself."""
    cuts = apart_cuts(plan)
    if cuts is None or plan.cover is None or plan.cover.pieces is None:
        return ()
    pieces, unit = plan.cover.pieces, plan.unit
    order, _ = best_order(cuts.grid, notes.cutter)
    pile = Pile(count=pieces.sheets, each=plan.cover.stock.caliper)
    maker = SheetSteps(plan=plan, job=job, cuts=cuts, pile=pile, notes=notes, things=COVER_SHEETS)
    size = plan.cover.paper.text(unit)
    done = CutStep(
        number=0,
        kind=StepKind.STACK,
        when=When.BEFORE_BINDING,
        title=f"{_DONE}, each {size}: lay them on one pile, heads together",
        notes=(
            "All are the same cover. Measure one before you go on: every distance on the ticket "
            "runs from the edges of this paper.",
            f"Only now are they {plan.cover.next}; then bound, then trimmed with the guts.",
        ),
    )
    return (maker.jog(), *maker.steps(order), done)


def cover_pile(plan: Plan) -> Pile:
    """The covers as they are cut at their ends: one, or all that were cut apart."""
    assert plan.cover is not None
    pieces, each = plan.cover.pieces, plan.cover.stock.caliper
    return Pile(count=1 if pieces is None else pieces.sheets * pieces.up, each=each)
