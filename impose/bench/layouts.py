"""Layouts compared: every way that can really be made, counted and ranked.

Each way is planned by the schemes themselves on a sample: one sheet of leaves, one
section of each size, a whole saddle book.  Cuts, turns, folds and what cannot be done are
counted on that plan (`layoutcounts`); the number of sheets and the waste of the whole
book follow from the sample's sheets.  A plan made
with the way has the same numbers: the tests hold the two together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

from impose.bench.handcutter import cutter_of
from impose.bench.layoutcounts import Handling, HandlingCounter
from impose.bench.layoutrow import Comparison, LayoutRow, Paper, Press
from impose.bench.layoutsample import Sample, faces_of, repeats, sample_of
from impose.bench.paper import book_pile, folded_pile
from impose.bench.parent import grain_on_sheet
from impose.bench.pile import Pile
from impose.bench.sheetgrid import guts_sheets
from impose.errors import JobError
from impose.findings import Finding, Severity
from impose.marks.drawing import add_marks
from impose.model.job import Binding, Job
from impose.model.stock import Grain
from impose.plan.cutsteps import ParentFacts
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.schemes.draft import Asked
from impose.schemes.ways import Unfit, Way, WayKind, find_ways

#: How rows are ranked, as it is said above the table.
RULE: Final = (
    "Ranked: grain along the spine, or not known, before grain across it; then the lowest "
    "cost where prices are given, else the least area of paper, overs and parent sheets "
    "counted; then the least handling (cuts, turns and folds); then the fewest sheets."
)


#: What a plan says of a layout that is said with its row.
_SAID: Final = ("no-cut", "bar-no-room", "copies-made", "paper-squared")


#: So many rows, the best, say which marks have no room: that is drawn to be known.
_MARKED: Final = 12
#: What further rules find in a plan and its job.
Judge = Callable[[Plan, Job], Iterable[Finding]]


def compare(
    asked: Asked, one_copy_a_sheet: bool = False, judge: Judge = lambda plan, job: ()
) -> Comparison:
    """Every way in its rank, and those that fall out with why.

    `one_copy_a_sheet`: leaves are put in from sheets of their own (see `printings`).
    `judge` is asked of every way that can be laid out; its errors spoil the book.
    """
    made: list[tuple[LayoutRow, Sample]] = []
    unfit: list[Unfit] = []
    # What differs between pages is only how far their bleed reaches: one page of each will do.
    fits = tuple({fit.supplied: fit for fit in asked.fits}.values())
    slim = replace(asked, fits=fits)
    counter = HandlingCounter(asked.job)
    for way in find_ways(slim, one_copy_a_sheet):
        if isinstance(way, Unfit):
            unfit.append(way)
            continue
        try:
            found = _row_or_why(slim, way, counter, judge)
        except JobError as error:
            unfit.append(Unfit(name=way.name, reason=error.faults[0].message, way=way))
            continue
        if isinstance(found, Unfit):
            unfit.append(found)
        else:
            made.append(found)
    loose = asked.job.binding is Binding.LOOSE
    made.sort(key=lambda one: _rank(one[0], loose))
    for at, (row, sample) in enumerate(made[:_MARKED]):
        notes = (*row.notes, *_without_room(sample.plan, sample.job))
        made[at] = (replace(row, notes=notes), sample)
    numbered = (replace(row, number=number) for number, (row, _) in enumerate(made, start=1))
    return Comparison(rows=tuple(numbered), unfit=tuple(unfit), rule=RULE)


def _rank(row: LayoutRow, loose: bool) -> tuple[object, ...]:
    """Equal rows stay in the order of the sheets at hand."""
    across = row.grain in ("across", "both ways") and not loose
    paid = row.cost if row.cost is not None else row.paper.area
    handling = row.strokes + row.turns + row.folds
    return (across, row.cost is None, paid, handling, row.printed)


def _row_or_why(
    asked: Asked, way: Way, counter: HandlingCounter, judge: Judge
) -> tuple[LayoutRow, Sample] | Unfit:
    """Unfit when what the plan says would spoil the book."""
    idle = _idle(way, faces_of(asked, way))
    if idle is not None:
        return idle
    sample = sample_of(asked, way)
    machine = judge(sample.bench, sample.job)
    spoiled = _worst((*sample.plan.findings, *sample.bench.findings, *machine))
    if spoiled is not None:
        return Unfit(name=way.name, reason=spoiled.message, way=way)
    handling = counter.of(sample)
    if handling.refused:
        return Unfit(name=way.name, reason=handling.refused, way=way)
    row = _row(way, sample, handling)
    row = replace(row, blanks=row.faces - len(asked.faces))
    return replace(row, cost=cost_of(row, sample.job)), sample


def _idle(way: Way, faces: int) -> Unfit | None:
    """A mixed layout whose turned leaves would all stay empty is no layout of its own."""
    lies = way.guts.way
    if lies is None or not lies.mixed or repeats(way):
        return None
    leaves, upright = faces // 2, way.columns * way.rows
    number = -(-leaves // way.leaves)
    if -(-leaves // number) > upright:
        return None
    reason = f"no leaf would lie turned: the {upright} upright places are enough"
    return Unfit(name=way.name, reason=reason)


# -- the count ---------------------------------------------------------------------------


def _row(way: Way, sample: Sample, handling: Handling) -> LayoutRow:
    plan, job = sample.plan, sample.job
    first, sheets = sample.first, guts_sheets(sample.bench)
    sides = 1 if plan.french else 2
    folds = plan.faces // 2 if plan.french else _folds(sheets, sample.times) * sample.halves
    return LayoutRow(
        way=way,
        first=first,
        up=len(first.front.placements),
        faces=plan.faces,
        blanks=0,
        sheets=sample.number,
        printed=sample.printed,
        paper=_paper(way, sample, handling.parent),
        parent=handling.parent,
        before=handling.halved + handling.before,
        folded=handling.folded,
        after=handling.parted + handling.after,
        lifted=_lifted(sample, handling),
        folds=folds * sample.often,
        grain=_grain(way, plan, job),
        notes=(
            *(f.message for f in plan.findings if f.code in _SAID),
            *handling.notes,
        ),
        press=Press(
            press=bool(job.guts.printer and job.guts.printer.plates),
            sides=sample.number * (1 if plan.halved else sides),
            clicks=sample.printed * sides,
        ),
    )


def _without_room(plan: Plan, job: Job) -> Iterator[str]:
    """Marks that a layout leaves out; their names are told when it is made."""
    codes = {finding.code for finding in add_marks(plan, job).findings}
    if "mark-no-room" in codes:
        yield "some crop or fold marks have no room"
    if "press-mark-no-room" in codes:
        yield "some marks for the press have no room"


def _lifted(sample: Sample, handling: Handling) -> int:
    """Strokes of the knife with every lift counted; overs do not reach the cutter."""
    job, cutter, parent = sample.job, cutter_of(sample.job), handling.parent
    caliper = job.guts.stock.caliper
    total = 0
    if parent is not None:
        lifts = Pile(count=parent.count, each=caliper).lifts(cutter)
        total += parent.handling.strokes * lifts
    used = sample.number * sample.often
    bound = book_pile(sample.bench, sample.made)
    # Two copies bound as one are parted, and each pile is trimmed by its own figures.
    half = Pile(count=-(-bound.count // 2), each=bound.each)
    for count, pile in (
        (handling.halved, Pile(count=used, each=caliper)),
        (handling.before, Pile(count=used * sample.halves, each=caliper)),
        (handling.folded, folded_pile(sample.bench, job)),
        (handling.parted, half),
        (handling.after, half if sample.plan.two_up else bound),
    ):
        total += count.strokes * pile.lifts(cutter) if count.strokes else 0
    return total


def _paper(way: Way, sample: Sample, parent: ParentFacts | None) -> Paper:
    size = sample.first.size
    one = size.width.grains * size.height.grains  # in square grains
    parts = zip(guts_sheets(sample.bench), sample.times, strict=True)
    used = sample.halves * sum(often * _trimmed(sheet) for sheet, often in parts)
    if way.kind not in (WayKind.SECTION, WayKind.SECTIONS) and not repeats(way):
        used = _leaves_used(sample.plan)
    whole = one * sample.number
    bought = one * sample.printed
    if parent is not None:
        bought = parent.size.width.grains * parent.size.height.grains * parent.count
    return Paper(waste=Fraction(round(Fraction(whole - used, whole) * 10_000), 100), area=bought)


def _leaves_used(plan: Plan) -> int:
    """All leaves of the book are of one size, the last sheet may hold fewer."""
    leaf = plan.leaf.width.grains * plan.leaf.height.grains * plan.per_sheet
    return leaf * (plan.faces if plan.french else plan.faces // 2)


def _grain(way: Way, plan: Plan, job: Job) -> str:
    """`along` or `across` the spine, `both ways` on mixed sheets, empty: not known."""
    grain, lies = grain_on_sheet(plan, job), way.guts.way
    if grain is None:
        return ""
    if lies is not None and lies.mixed:
        return "both ways"
    return "along" if (grain is Grain.LONG) != plan.sheets[0].size.landscape else "across"


def cost_of(row: LayoutRow, job: Job) -> Fraction | None:
    """All that has a price; None without prices, or without one for this paper."""
    prices = job.prices
    if not prices.given:
        return None
    by_parent = row.parent is not None and prices.parent is not None
    paper = prices.parent if by_parent else prices.of_sheet(row.way.lying)
    if paper is None and (prices.sheets or prices.parent is not None):
        return None
    pieces = row.parent.count if by_parent and row.parent is not None else row.printed
    return sum(
        (
            (amount or Fraction(0)) * count
            for amount, count in (
                (paper, pieces),
                (prices.click, row.press.clicks),
                (prices.plate, _plates(row, job)),
                (prices.cut, row.lifted),
                (prices.fold, row.folds),
            )
        ),
        Fraction(0),
    )


def _plates(row: LayoutRow, job: Job) -> int:
    """Plates that are paid for; none where the printer is known to have none."""
    printer = job.guts.printer
    if printer is not None and not printer.plates:
        return 0
    return row.press.sides * job.prices.plates_a_side


def _worst(findings: Iterable[Finding]) -> Finding | None:
    """The first that spoils the book."""
    return next((one for one in findings if one.severity is Severity.ERROR), None)


def _trimmed(sheet: Sheet) -> int:
    """Square grains of the trims on a sheet."""
    return sum(p.trim.width.grains * p.trim.height.grains for p in sheet.front.placements)


def _folds(sheets: Sequence[Sheet], times: Sequence[int]) -> int:
    """Each sheet folded by itself."""
    return sum(len(sheet.folds) * often for sheet, often in zip(sheets, times, strict=True))
