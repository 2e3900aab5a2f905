"""Layouts compared: every way that can really be made, counted and ranked.

Each way is planned by the schemes themselves on a sample: one sheet of leaves, one
section of each size, a whole saddle book.  Cuts, turns, folds and what cannot be done are
counted on that plan (`layoutcounts`); the number of sheets and the waste of the whole
book follow from the sample's sheets.  A plan made
with the way has the same numbers: the tests hold the two together.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from impose.bench.handcutter import cutter_of
from impose.bench.layoutcounts import Handling, HandlingCounter
from impose.bench.layoutrow import Comparison, LayoutRow, Paper, Press
from impose.bench.paper import book_pile, folded_pile, prints
from impose.bench.parent import grain_on_sheet
from impose.bench.pile import Pile
from impose.bench.sheetgrid import guts_sheets
from impose.errors import JobError
from impose.findings import Finding, Severity
from impose.model.job import Binding, BlanksAt, Job, Order
from impose.model.stock import Grain
from impose.plan.cutsteps import ParentFacts
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.schemes.coverplan import add_cover
from impose.schemes.draft import Asked, Draft
from impose.schemes.planning import draft_of
from impose.schemes.pressroom import press_facts
from impose.schemes.ways import Unfit, Way, WayKind, find_ways, usual_section

#: How rows are ranked, as it is said above the table.
RULE: Final = (
    "Ranked: grain along the spine, or not known, before grain across it; then the lowest "
    "cost where prices are given, else the least area of paper, overs and parent sheets "
    "counted; then the least handling (cuts, turns and folds); then the fewest sheets."
)


def compare(asked: Asked) -> Comparison:
    """Every way in its rank, and those that fall out with why."""
    rows: list[LayoutRow] = []
    unfit: list[Unfit] = []
    # What differs between pages is only how far their bleed reaches: one page of each will do.
    fits = tuple({fit.supplied: fit for fit in asked.fits}.values())
    slim = replace(asked, fits=fits)
    counter = HandlingCounter(asked.job)
    for way in find_ways(slim):
        if isinstance(way, Unfit):
            unfit.append(way)
            continue
        try:
            found = _Sampler(slim, way, counter).row()
        except JobError as error:
            unfit.append(Unfit(name=way.name, reason=error.faults[0].message, way=way))
            continue
        (rows if isinstance(found, LayoutRow) else unfit).append(found)  # type: ignore[arg-type]
    loose = asked.job.binding is Binding.LOOSE
    rows.sort(key=lambda row: _rank(row, loose))
    numbered = (replace(row, number=number) for number, row in enumerate(rows, start=1))
    return Comparison(rows=tuple(numbered), unfit=tuple(unfit), rule=RULE)


def _rank(row: LayoutRow, loose: bool) -> tuple[object, ...]:
    """Equal rows stay in the order of the sheets at hand."""
    across = row.grain in ("across", "both ways") and not loose
    paid = row.cost if row.cost is not None else row.paper.area
    handling = row.strokes + row.turns + row.folds
    return (across, row.cost is None, paid, handling, row.printed)


@dataclass(frozen=True, slots=True)
class _Sampler:
    """Plans a sample of one way and counts the book from it."""

    asked: Asked
    way: Way
    counter: HandlingCounter

    @property
    def job(self) -> Job:
        """Bound to the way; where blanks go is of no matter to a sample."""
        return replace(self.asked.job, guts=self.way.guts, blanks_at=BlanksAt())

    def row(self) -> LayoutRow | Unfit:
        """Unfit when what the plan says would spoil the book."""
        faces = self._faces()
        idle = self._idle(faces)
        if idle is not None:
            return idle
        sample, times = self._sample(faces)
        sample = self._with_cover(sample)
        spoiled = _worst(sample.findings)
        if spoiled is not None:
            return Unfit(name=self.way.name, reason=spoiled.message, way=self.way)
        often = prints(sample, self.job)
        printed = sum(times) * (often + self.job.guts.overs)
        handling = self.counter.of(sample, self.job, printed)
        if handling.refused:
            return Unfit(name=self.way.name, reason=handling.refused, way=self.way)
        return self._row(sample, times, faces, handling)

    def _idle(self, faces: int) -> Unfit | None:
        """A mixed layout whose turned leaves would all stay empty is no layout of its own."""
        way = self.way.guts.way
        if way is None or not way.mixed or self._repeats:
            return None
        leaves, upright = faces // 2, way.columns * way.rows
        number = -(-leaves // self.way.leaves)
        if -(-leaves // number) > upright:
            return None
        reason = f"no leaf would lie turned: the {upright} upright places are enough"
        return Unfit(name=self.way.name, reason=reason)

    # -- the sample --------------------------------------------------------------------

    def _faces(self) -> int:
        """Faces of the book with the blanks that the way adds."""
        count, guts = len(self.asked.faces), self.way.guts
        multiple = 2
        if self.way.kind is WayKind.SECTION:
            multiple = 2 * (guts.up or 2)
        elif self.way.kind is WayKind.SECTIONS:
            multiple = 4 if guts.last_section == "short" else usual_section(guts)
        return -(-count // multiple) * multiple

    def _sample(self, faces: int) -> tuple[Plan, tuple[int, ...]]:
        """The plan of a sample, and how often each of its sheets stands in the book."""
        kind, guts = self.way.kind, self.way.guts
        if kind is WayKind.SECTION:
            plan = self._plan(faces, faces)
            return plan, (1,) * len(plan.sheets)
        if kind is WayKind.SECTIONS:
            full, rest = divmod(faces, usual_section(guts))
            plan = self._plan((usual_section(guts) if full else 0) + rest, faces)
            whole = full if full else 1
            # A shortened section goes before the last: with one whole section it is the first.
            long = len(plan.gathering) if full else 0
            return plan, tuple(whole if sheet.section == long else 1 for sheet in plan.sheets)
        count = self.way.leaves
        leaves = faces // 2
        number = leaves if self._repeats else -(-leaves // count)
        # Cut and stacked, the first places are filled on every sheet, the last may be on none.
        filled = 1 if self._repeats else -(-leaves // number)
        return self._plan(2 * filled, faces), (number,)

    @property
    def _repeats(self) -> bool:
        flat = self.way.kind in (WayKind.REPEAT, WayKind.FRENCH)
        several = self.way.leaves > 1
        return flat and several and self.way.guts.order is Order.REPEAT

    def _plan(self, sampled: int, faces: int) -> Plan:
        """Planned from `sampled` faces, said to have all `faces`: thickness counts them."""
        asked = replace(self.asked, job=self.job, faces=(1,) * sampled, wishes=())
        return _plan_of(asked, draft_of(asked), faces)

    def _with_cover(self, sample: Plan) -> Plan:
        """With a bare cover, which decides about the last cuts, too."""
        cover = self.job.cover
        if cover is None:
            return sample
        bare = replace(self.job, cover=replace(cover, art=None, inside=None))
        planned = add_cover(sample, bare, [])
        return replace(planned, findings=sample.findings)

    # -- the count ---------------------------------------------------------------------

    def _row(self, plan: Plan, times: Sequence[int], faces: int, handling: Handling) -> LayoutRow:
        job = self.job
        sheets = guts_sheets(plan)
        # A shortened section may stand before the only whole one.
        first = max(sheets, key=lambda sheet: len(sheet.front.placements))
        number, often = sum(times), prints(plan, job)
        printed = number * (often + job.guts.overs)
        sides = 1 if plan.one_sided("guts") else 2
        folds = faces // 2 if plan.french else _folds(sheets, times)
        row = LayoutRow(
            way=self.way,
            first=first,
            up=len(first.front.placements),
            faces=faces,
            blanks=faces - len(self.asked.faces),
            sheets=number,
            printed=printed,
            paper=self._paper(plan, times, printed, handling.parent),
            parent=handling.parent,
            before=handling.before,
            folded=handling.folded,
            after=handling.after,
            lifted=self._lifted(plan, number * often, handling),
            folds=folds * often,
            grain=self._grain(plan),
            notes=(*(f.message for f in plan.findings if f.code == "no-cut"), *handling.notes),
            press=Press(
                press=bool(job.guts.printer and job.guts.printer.plates),
                sides=number * sides,
                clicks=printed * sides,
            ),
        )
        return replace(row, cost=cost_of(row, job))

    def _lifted(self, plan: Plan, made: int, handling: Handling) -> int:
        """Strokes of the knife with every lift counted; overs do not reach the cutter."""
        job, cutter, parent = self.job, cutter_of(self.job), handling.parent
        caliper = job.guts.stock.caliper
        total = 0
        if parent is not None:
            lifts = Pile(count=parent.count, each=caliper).lifts(cutter)
            total += parent.handling.strokes * lifts
        for count, pile in (
            (handling.before, Pile(count=made, each=caliper)),
            (handling.folded, folded_pile(plan, job)),
            (handling.after, book_pile(plan, job)),
        ):
            total += count.strokes * pile.lifts(cutter) if count.strokes else 0
        return total

    def _paper(
        self, plan: Plan, times: Sequence[int], printed: int, parent: ParentFacts | None
    ) -> Paper:
        one = used = 0  # square grains: of one sheet, and of all trims of the book
        for sheet, often in zip(guts_sheets(plan), times, strict=True):
            one = sheet.size.width.grains * sheet.size.height.grains
            used += often * _trimmed(sheet)
        if self.way.kind not in (WayKind.SECTION, WayKind.SECTIONS) and not self._repeats:
            used = self._leaves_used(plan)
        whole = one * sum(times)
        bought = one * printed
        if parent is not None:
            bought = parent.size.width.grains * parent.size.height.grains * parent.count
        return Paper(
            waste=Fraction(round(Fraction(whole - used, whole) * 10_000), 100), area=bought
        )

    def _leaves_used(self, plan: Plan) -> int:
        """All leaves of the book are of one size, the last sheet may hold fewer."""
        leaf = plan.leaf.width.grains * plan.leaf.height.grains
        return leaf * (plan.faces if plan.french else plan.faces // 2)

    def _grain(self, plan: Plan) -> str:
        """`along` or `across` the spine, `both ways` on mixed sheets, empty: not known."""
        grain, way = grain_on_sheet(plan, self.job), self.way.guts.way
        if grain is None:
            return ""
        if way is not None and way.mixed:
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


def _plan_of(asked: Asked, draft: Draft, faces: int) -> Plan:
    job = asked.job
    return Plan(
        title="",
        unit=job.unit,
        scheme=draft.scheme,
        binding=job.binding.value,
        bound_at=job.bound_at,
        trim=asked.trim,
        pages=asked.fits,
        files=(),
        faces=faces,
        sheets=draft.sheets,
        cuts=draft.cuts,
        gathering=draft.gathering,
        creep=draft.creep,
        grind=asked.grind,
        press=press_facts(job, draft),
        findings=draft.findings,
    )


def _worst(findings: Iterable[Finding]) -> Finding | None:
    """The first that spoils the book."""
    return next((one for one in findings if one.severity is Severity.ERROR), None)


def _trimmed(sheet: Sheet) -> int:
    """Square grains of the trims on a sheet."""
    return sum(p.trim.width.grains * p.trim.height.grains for p in sheet.front.placements)


def _folds(sheets: Sequence[Sheet], times: Sequence[int]) -> int:
    """Each sheet folded by itself."""
    return sum(len(sheet.folds) * often for sheet, often in zip(sheets, times, strict=True))
