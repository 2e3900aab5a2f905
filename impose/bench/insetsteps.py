"""Steps for leaves that are put into the guts: cut out of their sheets, folded, laid ready."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from impose.bench.frenchsteps import LEAVES, french_steps
from impose.bench.grid import best_order
from impose.bench.paper import folded_pile, sheet_pile
from impose.bench.proving import prove_folded, prove_piles
from impose.bench.replay import replay_sheets
from impose.bench.sheetgrid import sheet_cuts
from impose.bench.sheetsteps import SheetSteps
from impose.bench.words import Notes
from impose.model.job import Job
from impose.model.leafkinds import LeafKind
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.insetfacts import Inset
from impose.plan.insets import id_in_group, inset_views
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.schemes.insetpages import inset_name
from impose.units import Length, both_units


def sheets_of(number: int) -> str:
    """What the pile of a group's sheets is called."""
    return f"sheets of inset {number}"


def leaves_of(number: int) -> str:
    """What the pile of its folded leaves is called."""
    return f"{LEAVES} of inset {number}"


def inset_steps(plan: Plan, job: Job, notes: Notes) -> tuple[CutStep, ...]:
    """All groups in order.

    Raises PlanMismatchError when a replay of their steps does not leave the leaves.
    """
    views = zip(plan.insets, inset_views(plan), strict=True)
    return tuple(step for inset, view in views for step in _steps(inset, view, job, notes))


def _steps(inset: Inset, view: Plan, job: Job, notes: Notes) -> Iterator[CutStep]:
    stock = replace(job.guts.stock, caliper=inset.caliper)
    job = replace(job, guts=replace(job.guts, stock=stock))
    steps = [*_cut_out(inset, view, job, notes), *_folded(inset, view, job, notes)]
    own = {cut.id for cut in view.cuts if cut.when is not When.AFTER_BINDING}
    for step in steps:
        ids = tuple(id_in_group(cut, inset.number) if cut in own else cut for cut in step.cuts)
        yield replace(step, cuts=ids, title=f"Inset {inset.number}: {_lower(step.title)}")
    if inset.folds:
        yield _fold_out(inset, view, job.unit)


def _cut_out(inset: Inset, view: Plan, job: Job, notes: Notes) -> Sequence[CutStep]:
    cuts = sheet_cuts(view, job)
    if cuts is None:
        return ()
    order, _ = best_order(cuts.grid, notes.cutter)
    things = sheets_of(inset.number)
    pile = sheet_pile(view, job)
    maker = SheetSteps(plan=view, job=job, cuts=cuts, pile=pile, notes=notes, things=things)
    steps = (maker.jog(), *maker.steps(order))
    piles, _ = replay_sheets(steps, cuts.size, things)
    prove_piles(view, cuts, piles, things)
    stack = maker.stack()
    return (*steps, stack) if stack else steps


def _folded(inset: Inset, view: Plan, job: Job, notes: Notes) -> Sequence[CutStep]:
    steps = tuple(french_steps(view, folded_pile(view, job), notes))
    prove_folded(view, steps)
    return [_renamed(step, leaves_of(inset.number)) for step in steps]


def _renamed(step: CutStep, things: str) -> CutStep:
    table, stays = step.table, step.stays
    return replace(
        step,
        table=replace(table, piles=(things,), things=things) if table else None,
        stays=replace(stays, piles=(things,)) if stays else None,
    )


def _fold_out(inset: Inset, view: Plan, unit: str) -> CutStep:
    """Every fold from the spine edge of the paper, seen with the recto up."""
    ways = ("over the recto", "back, away from you")
    grind = view.grind
    said = [
        f"Fold {number}: {both_units(fold + grind, unit)} from the spine edge, "
        f"the outer part {ways[(number - 1) % 2]}."
        for number, fold in enumerate(inset.folds, start=1)
    ]
    clear = view.bound_at.leaf_size(inset.size).width - inset.folds[-1]
    ends = _panels(inset, clear)
    return CutStep(
        number=0,
        kind=StepKind.JOG,
        when=When.BEFORE_BINDING,
        title=f"Inset {inset.number}: fold {inset_name(inset)} at the fold marks, the recto up",
        notes=(
            *said,
            f"Panels from the spine outward: {', '.join(end.text(unit) for end in ends)}"
            + (f" and {grind.text(unit)} that is ground off." if grind else "."),
            "Folded, it ends short of the fore-edge: the knife must not reach its folds.",
        ),
    )


def _panels(inset: Inset, last: Length) -> list[Length]:
    places = [Length(), *inset.folds]
    return [*(b - a for a, b in pairwise(places)), last]


def put_in_words(plan: Plan) -> Iterator[str]:
    """Where each leaf goes in the gathered guts."""
    for inset in plan.insets:
        how = " with a narrow line of paste along its spine edge" if _pasted(inset, plan) else ""
        for after, leaves in inset.places:
            many = "the next leaf" if leaves == 1 else f"the next {leaves} leaves"
            where = f"after page {after}" if after else "before page 1"
            yield f"Put in {many} of inset {inset.number}{how}: {where}."


def _pasted(inset: Inset, plan: Plan) -> bool:
    """Single leaves among folded sheets are tipped in; glued and stabbed books hold them."""
    folded = any(sheet.folds for sheet in plan.sheets)
    return folded and not plan.grind and inset.kind is not LeafKind.FRENCH


def _lower(title: str) -> str:
    return f"{title[0].lower()}{title[1:]}"
