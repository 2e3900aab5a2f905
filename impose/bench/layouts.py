"""Layouts compared: every way that can really be made, counted and ranked.

Each way is planned by the schemes and the bench themselves on a sample: one sheet of
leaves, one section of each size, a whole saddle book.  Cuts, turns, folds and what
cannot be done come from that plan and its proved cut program; the number of sheets and
the waste of the whole book follow from the sample's sheets by counting.  A plan made
with the way has the same numbers: the tests hold the two together.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from impose.bench.frenchsteps import LEAVES
from impose.bench.handcutter import cutter_of
from impose.bench.layoutrow import Comparison, LayoutRow, Paper, Press
from impose.bench.paper import prints
from impose.bench.parent import PARENTS, grain_on_sheet, parent_cut
from impose.bench.pile import Pile
from impose.bench.program import add_cuts
from impose.bench.sheetgrid import guts_sheets
from impose.errors import JobError
from impose.findings import Finding, Severity
from impose.model.job import Binding, BlanksAt, Job, Order
from impose.model.stock import Grain
from impose.plan.cutsteps import CutCount, CutStep, ParentFacts, StepKind
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.schemes.coverplan import add_cover
from impose.schemes.draft import Asked, Draft
from impose.schemes.planning import draft_of
from impose.schemes.ways import Unfit, Way, WayKind, find_ways, usual_section

#: How rows are ranked, as it is said above the table.
RULE: Final = (
    "Ranked: grain along the spine, or not known, before grain across it; then the lowest "
    "cost where prices are given, else the least area of paper, overs and parent sheets "
    "counted; then the least handling (cuts, turns and folds); then the fewest sheets."
)

#: Findings that belong to one layout and not to the job.
_TOLD: Final = frozenset(
    {"no-cut", "lay-differs", "waste-too-narrow", "gauge-out-of-reach", "parent-grain-costs"}
)


def compare(asked: Asked) -> Comparison:
    """Every way in its rank, and those that fall out with why."""
    rows: list[LayoutRow] = []
    unfit: list[Unfit] = []
    # What differs between pages is only how far their bleed reaches: one page of each will do.
    fits = tuple({fit.supplied: fit for fit in asked.fits}.values())
    slim = replace(asked, fits=fits)
    for way in find_ways(slim):
        if isinstance(way, Unfit):
            unfit.append(way)
            continue
        try:
            found = _Sampler(slim, way).row()
        except JobError as error:
            unfit.append(Unfit(name=way.name, reason=error.faults[0].message))
            continue
        (rows if isinstance(found, LayoutRow) else unfit).append(found)  # type: ignore[arg-type]
    loose = asked.job.binding is Binding.LOOSE
    rows.sort(key=lambda row: _rank(row, loose))
    numbered = (replace(row, number=number) for number, row in enumerate(rows, start=1))
    return Comparison(rows=tuple(numbered), unfit=tuple(unfit), rule=RULE)


def _rank(row: LayoutRow, loose: bool) -> tuple[object, ...]:
    """Equal rows stay in the order of the sheets at hand."""
    across = row.grain == "across" and not loose
    paid = row.cost if row.cost is not None else row.paper.area
    handling = row.strokes + row.turns + row.folds
    return (across, row.cost is None, paid, handling, row.printed)


@dataclass(frozen=True, slots=True)
class _Sampler:
    """Plans a sample of one way and counts the book from it."""

    asked: Asked
    way: Way

    @property
    def job(self) -> Job:
        """Bound to the way; where blanks go is of no matter to a sample."""
        return replace(self.asked.job, guts=self.way.guts, blanks_at=BlanksAt())

    def row(self) -> LayoutRow | Unfit:
        """Unfit when what the plan says would spoil the book."""
        faces = self._faces()
        sample, times = self._sample(faces)
        planned = add_cuts(self._with_cover(sample), self.job)
        spoiled = _worst(planned.findings)
        if spoiled is not None:
            return Unfit(name=self.way.name, reason=spoiled.message)
        return self._row(planned, times, faces)

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
        count = self.way.columns * self.way.rows
        leaves = faces // 2
        number = leaves if self._repeats else -(-leaves // count)
        # Cut and stacked, the first places are filled on every sheet, the last may be on none.
        filled = 1 if self._repeats else -(-leaves // number)
        return self._plan(2 * filled, faces), (number,)

    @property
    def _repeats(self) -> bool:
        flat = self.way.kind in (WayKind.REPEAT, WayKind.FRENCH)
        several = self.way.columns * self.way.rows > 1
        return flat and several and self.way.guts.order is Order.REPEAT

    def _plan(self, sampled: int, faces: int) -> Plan:
        """Planned from `sampled` faces, said to have all `faces`: thickness counts them."""
        asked = replace(self.asked, job=self.job, faces=(1,) * sampled)
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

    def _row(self, plan: Plan, times: Sequence[int], faces: int) -> LayoutRow:
        job, way = self.job, self.way
        sheets = guts_sheets(plan)
        # A shortened section may stand before the only whole one.
        first = max(sheets, key=lambda sheet: len(sheet.front.placements))
        facts = plan.cut_facts
        assert facts is not None  # the guts have sheets
        number = sum(times)
        often = prints(plan, job)
        printed = number * often + number * job.guts.overs
        parent = self._parent(plan, printed)
        paper = self._paper(plan, times, printed, parent)
        made = Pile(count=number * often, each=job.guts.stock.caliper)
        folded = CutCount(
            strokes=sum(1 for step in _cuts(plan.cut_steps) if _things(step) == LEAVES)
        )
        strokes = self._strokes(plan, made, parent)
        folds = _folds(sheets, times) if not plan.french else faces // 2
        one_sided = plan.one_sided("guts")
        row = LayoutRow(
            way=way,
            first=first,
            up=len(first.front.placements),
            faces=faces,
            blanks=faces - len(self.asked.faces),
            sheets=number,
            printed=printed,
            paper=paper,
            parent=parent,
            before=facts.before,
            folded=folded,
            after=facts.after,
            lifted=strokes,
            folds=folds * often,
            grain=self._grain(plan),
            notes=tuple(f.message for f in plan.findings if f.code in _TOLD),
            press=Press(
                press=bool(job.guts.printer and job.guts.printer.press),
                sides=number * (1 if one_sided else 2),
                clicks=printed * (1 if one_sided else 2),
            ),
        )
        return replace(row, cost=cost_of(row, job))

    def _parent(self, plan: Plan, printed: int) -> ParentFacts | None:
        """As the bench has it, but for the count, which is that of the whole book."""
        facts, way = plan.cut_facts, parent_cut(plan, self.job)
        if facts is None or facts.parent is None or way is None:
            return None
        return replace(facts.parent, count=-(-printed // way.out))

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

    def _strokes(self, plan: Plan, made: Pile, parent: ParentFacts | None) -> int:
        """Strokes of the knife with every lift counted."""
        cutter, total = cutter_of(self.job), 0
        lifts = {"sheets": made.lifts(cutter)}
        if parent is not None:
            pile = Pile(count=parent.count, each=self.job.guts.stock.caliper)
            lifts[PARENTS] = pile.lifts(cutter)
        for step in _cuts(plan.cut_steps):
            assert step.table is not None
            total += len(step.table.piles) * lifts.get(_things(step), step.table.lifts)
        return total

    def _grain(self, plan: Plan) -> str:
        """`along` or `across` the spine, empty when it is not known."""
        grain = grain_on_sheet(plan, self.job)
        if grain is None:
            return ""
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
                (prices.plate, row.press.sides * prices.plates_a_side),
                (prices.cut, row.lifted),
                (prices.fold, row.folds),
            )
        ),
        Fraction(0),
    )


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


def _cuts(steps: Iterable[CutStep]) -> list[CutStep]:
    return [step for step in steps if step.kind is StepKind.CUT]


def _things(step: CutStep) -> str:
    return step.table.things if step.table is not None else ""
