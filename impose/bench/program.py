"""The cut program of a plan: from cut lines, pile and cutter to numbered steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from impose.bench.booksteps import SIDES, BookSteps, trim_order
from impose.bench.copysteps import ORDER_FROM, copies_program
from impose.bench.coverapart import apart_cuts, apart_steps, cover_pile
from impose.bench.doublebooks import double_of, jog_end, odd_copies
from impose.bench.flatprogram import add_flat_cuts
from impose.bench.frenchsteps import french_steps
from impose.bench.grid import best_order, least_handling
from impose.bench.halving import halving, whole_sets
from impose.bench.handcutter import assumed, cutter_of
from impose.bench.holesteps import hole_steps
from impose.bench.insetsteps import inset_steps
from impose.bench.limits import Limits, ragged, uncut
from impose.bench.mixedgrid import MixedCuts, mixed_count, mixed_cuts, mixed_steps, plain_count
from impose.bench.outline import Outline, outline_of
from impose.bench.panelsteps import panel_steps
from impose.bench.paper import book_pile, folded_pile, overs_of, sheet_pile, waste, weight
from impose.bench.parent import parent_cut, parent_findings, parent_program, parent_sheet_cuts
from impose.bench.proving import Proof, prove
from impose.bench.sheetgrid import SheetCuts, cover_cuts, guts_sheets, lay_side, sheet_cuts
from impose.bench.sheetsteps import SheetSteps
from impose.bench.words import Notes
from impose.findings import Finding
from impose.model.job import Job
from impose.model.papernames import paper_name
from impose.plan.coverview import piece_view
from impose.plan.cutsteps import CutCount, CutFacts, CutStep, StepKind
from impose.plan.parts import COPIES, When
from impose.plan.plan import Plan
from impose.schemes.halves import half_plan


@dataclass(frozen=True, slots=True)
class _Sheets:
    """The program before binding."""

    steps: tuple[CutStep, ...] = ()
    count: CutCount = field(default_factory=CutCount)
    plain: CutCount = field(default_factory=CutCount)
    lay_edges: tuple[str, ...] = ()


def add_cuts(plan: Plan, job: Job) -> Plan:
    """The plan with its cut program, what is said above it, and what the cutter cannot do.

    Raises PlanMismatchError when a replay of the program does not leave the trims.
    """
    if not guts_sheets(plan):
        return plan
    if plan.flat:
        return add_flat_cuts(plan, job)
    notes = Notes(cutter_of(job), plan.unit, marked=plan.marked("crop"))
    first, parent = parent_program(plan, job, notes)
    halves = halving(plan, job, notes)
    bench, made = half_plan(plan), whole_sets(plan, job)
    mixed = mixed_cuts(bench, made)
    cuts = sheet_cuts(bench, made) if mixed is None else None
    sheets = (
        _sheet_program(bench, made, cuts, notes)
        if mixed is None
        else _mixed_program(bench, made, mixed, notes)
    )
    outline = outline_of(bench)
    book = book_program(bench, made, notes, outline)
    folded = tuple(french_steps(plan, folded_pile(plan, job), notes))
    put_in = inset_steps(plan, job, notes)
    if plan.panelled:
        folded = tuple(panel_steps(plan, job))
    apart = apart_steps(plan, job, notes)
    alone = piece_view(plan)
    cover = _cover_program(alone, made, notes)
    early = halves.steps if halves else ()
    steps = _numbered((*first, *early, *sheets.steps, *folded, *put_in, *apart, *cover, *book))
    way = parent_cut(plan, job)
    parents = parent_sheet_cuts(way) if way else None
    whole = halves.cuts if halves else None
    double = double_of(bench, lay_side(job))
    proof = Proof(
        cuts,
        cover_cuts(alone, job),
        outline,
        parents,
        mixed=mixed,
        whole=whole,
        double=double,
        apart=apart_cuts(plan),
    )
    prove(bench, proof, steps)
    facts = replace(_facts(plan, job, sheets, book), parent=parent)
    if halves:
        lay = tuple(edge.value for edge in halves.cuts.lay)
        before, plain = facts.before + halves.count, facts.plain + halves.plain
        facts = replace(facts, lay_edges=lay, before=before, plain=plain)
    return replace(
        plan,
        cut_steps=steps,
        cut_facts=facts,
        findings=(
            *plan.findings,
            *odd_copies(plan, job.copies),
            *_findings(bench, made, outline, steps),
        ),
    )


def _sheet_program(plan: Plan, job: Job, cuts: SheetCuts | None, notes: Notes) -> _Sheets:
    if cuts is None:
        return _Sheets()
    order, plain = best_order(cuts.grid, notes.cutter)
    when = When.BEFORE_FOLDING if plan.panelled else When.BEFORE_BINDING
    maker = SheetSteps(
        plan=plan, job=job, cuts=cuts, pile=sheet_pile(plan, job), notes=notes, when=when
    )
    stack = maker.stack()
    steps = (maker.jog(), *maker.steps(order), *((stack,) if stack else ()))
    return _Sheets(steps, order.count, plain, tuple(edge.value for edge in cuts.lay))


def _mixed_program(plan: Plan, job: Job, cuts: MixedCuts, notes: Notes) -> _Sheets:
    """Of sheets whose leaves lie both ways."""
    steps = tuple(mixed_steps(plan, job, cuts, sheet_pile(plan, job), notes))
    count, _ = mixed_count(cuts, lambda grid: least_handling(grid, notes.cutter)[:2])
    lay = tuple(edge.value for edge in cuts.split.lay)
    return _Sheets(steps, count, plain_count(cuts, notes.cutter), lay)


def _cover_program(plan: Plan, job: Job, notes: Notes) -> tuple[CutStep, ...]:
    """The ends of a cover with flaps."""
    cuts = cover_cuts(plan, job)
    if cuts is None or plan.cover is None:
        return ()
    order, _ = best_order(cuts.grid, notes.cutter)
    pile = cover_pile(plan)
    maker = SheetSteps(plan=plan, job=job, cuts=cuts, pile=pile, notes=notes, things="cover")
    return (maker.jog(), *maker.steps(order))


def book_program(plan: Plan, job: Job, notes: Notes, outline: Outline) -> tuple[CutStep, ...]:
    """Binding and the last cuts.

    A cover with flaps goes on after the fore-edge is cut, or the flaps would be cut off.
    """
    lay = lay_side(job)
    order = trim_order(notes.cutter, lay)[0]
    order = tuple(side for side in order if side in _last_sides(plan))
    flaps = plan.cover is not None and plan.cover.cut_first
    early = flaps and any(cut.id == "fore-edge" for cut in plan.cuts)
    if not order and not early and plan.holes is None and not plan.two_up:
        return ()
    pile = book_pile(plan, job)
    maker = BookSteps(
        plan=plan, outline=outline, lay=lay, pile=pile, notes=notes, jog=jog_end(plan, lay)
    )
    folded = any(sheet.folds for sheet in guts_sheets(plan))
    first: tuple[CutStep, ...] = ()
    done: set[str] = set()
    if early:
        order = tuple(side for side in order if side != "fore-edge")
        first, done = (maker.before_cover(folded),), {"fore-edge"}
    if plan.holes is not None:
        return (*first, *hole_steps(maker, order, done, folded))
    double = double_of(plan, lay)
    if double is not None:  # has no cover, and no holes
        return (maker.bind(folded, early), *copies_program(plan, double, pile, notes, lay))
    return (*first, maker.bind(folded, early), *maker.cuts(order, done))


def _last_sides(plan: Plan) -> list[str]:
    return [cut.side for cut in plan.cuts if cut.when is When.AFTER_BINDING and cut.side]


def _missing(plan: Plan, job: Job) -> list[str]:
    """Sides of a bound book with nothing to trim."""
    if job.binding.unbound:
        return []
    ids = {cut.id for cut in plan.cuts} | ({"fore-edge"} if plan.french else set())
    return [side for side in SIDES if side not in ids]


def _findings(
    plan: Plan, job: Job, outline: Outline, steps: Sequence[CutStep]
) -> Iterator[Finding]:
    limits = Limits(cutter_of(job), job.bench.cutter is None, plan.unit)
    yield from assumed(job)
    yield from limits.of_steps(steps)
    yield from parent_findings(plan, job)
    yield from uncut(plan, _missing(plan, job))
    if any(step.table and step.table.things == "sheets" for step in steps):
        yield from limits.of_pile(sheet_pile(plan, job), "one sheet")
    if _last_sides(plan):
        yield from limits.of_pile(book_pile(plan, job), "the book")
        double = double_of(plan, lay_side(job))
        if double is not None:
            yield from ragged(plan, double.end, double.near.outline)
        else:
            yield from ragged(plan, lay_side(job), outline)


def _facts(plan: Plan, job: Job, sheets: _Sheets, book: Sequence[CutStep]) -> CutFacts:
    cutter, lay = cutter_of(job), lay_side(job)
    order = [
        step.cuts[0]
        for step in book
        if step.kind is StepKind.CUT and step.cuts and step.cuts[0] != COPIES
    ]
    _, order_from = trim_order(cutter, lay)
    if plan.two_up and not cutter.trim_order:
        order_from = ORDER_FROM
    if plan.holes is not None and plan.holes.makes.trim_first:
        order_from += ", before the holes are made"
    elif any(step.when is When.BEFORE_BINDING for step in book if step.kind is StepKind.CUT):
        order_from += ", the fore-edge before the cover goes on because of its flaps"
    pile = sheet_pile(plan, job)
    return CutFacts(
        cutter=cutter.name,
        hand=cutter.hand,
        assumed=job.bench.cutter is None,
        tolerance=cutter.tolerance,
        lay=lay,
        lay_edges=sheets.lay_edges,
        trim_order=tuple(dict.fromkeys(order)),
        order_from=order_from if order else "",
        sheets=pile.count,
        sheet=guts_sheets(plan)[0].size,
        sheet_name=paper_name(job, guts_sheets(plan)[0].size),
        pile=pile.height,
        waste=waste(plan),
        weight=weight(plan, job),
        overs=overs_of(plan, job),
        before=sheets.count,
        plain=sheets.plain,
        after=count_steps(book),
        notes=tuple(_facts_notes(plan, job)),
    )


def _numbered(steps: Sequence[CutStep]) -> tuple[CutStep, ...]:
    return tuple(replace(step, number=number) for number, step in enumerate(steps, start=1))


def count_steps(steps: Sequence[CutStep]) -> CutCount:
    """Strokes and turns of every pile; a setting serves all the piles that are cut with it."""
    cuts = [step for step in steps if step.kind is StepKind.CUT and step.setting]
    piles = [step.table.piles if step.table else () for step in cuts]
    turns = [len(step.present.turns) if step.present else 0 for step in cuts]
    gauges = [step.setting.gauge if step.setting else None for step in cuts]
    kept = sum(
        gauge == before and not set(pile) & set(other)
        for (gauge, pile), (before, other) in pairwise(zip(gauges, piles, strict=True))
    )
    return CutCount(
        strokes=sum(map(len, piles)),
        turns=sum(len(pile) * each for pile, each in zip(piles, turns, strict=True)),
        settings=len(cuts) - kept,
    )


def _facts_notes(plan: Plan, job: Job) -> list[str]:
    said = [] if job.guts.overs else ["No sheets are reckoned for spoilage: the job names none."]
    stock = job.guts.stock
    if stock.estimated:
        said.append(f"Heights rest on a table estimate of the caliper of {stock.name}.")
    said.extend(
        f"Nothing to cut at the {side}: the paper ends at the trim." for side in _missing(plan, job)
    )
    if plan.french:
        said.append("The fore-edge is a fold: it is never cut.")
    if not plan.cuts:
        said.append("Nothing is cut: the paper is at size.")
    return said
