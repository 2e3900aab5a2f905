"""What a layout costs at the cutter, counted without writing its steps out.

The orders are those of the cut program itself (`grid.least_handling`, the last cuts' own
steps); what many layouts share is counted once.  The tests hold the counts to the cut
program of whole plans.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from impose.bench.axis import Known
from impose.bench.doublebooks import Double, double_of
from impose.bench.frenchsteps import french_steps
from impose.bench.grid import Chops, Grid, least_handling
from impose.bench.halving import halving
from impose.bench.handcutter import cutter_of
from impose.bench.layoutsample import Sample
from impose.bench.limits import Limits
from impose.bench.mixedgrid import mixed_count, mixed_cuts
from impose.bench.ordercount import GridCount
from impose.bench.outline import Outline, outline_of
from impose.bench.paper import book_pile, folded_pile
from impose.bench.parent import parent_cut, parent_findings, parent_program
from impose.bench.pile import Pile
from impose.bench.program import book_program, count_steps
from impose.bench.sheetgrid import lay_side, sheet_cuts
from impose.bench.words import Notes
from impose.findings import Finding, Severity
from impose.geometry.box import Size
from impose.geometry.turning import Turnover
from impose.model.job import Job
from impose.plan.cutsteps import CutCount, CutStep, ParentFacts, StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.units import Length

#: Gauge and width along the knife of a cut.
Knives = tuple[tuple[Length, Length], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """Counts for one lift: of parents (in `parent`), of sheets that are `halved`, sheets,
    French-folded leaves, two copies bound as one that are `parted`, the book.

    `refused` says in one line what the cutter cannot do, empty when it can do all.
    `notes` say what is not as usual.
    """

    parent: ParentFacts | None
    halved: CutCount
    before: CutCount
    folded: CutCount
    parted: CutCount
    after: CutCount
    notes: tuple[str, ...]
    refused: str


@dataclass(frozen=True, slots=True)
class _Part:
    """What one pile costs, and the cuts it asks of the knife."""

    count: CutCount = field(default_factory=CutCount)
    knives: Knives = ()
    narrow: tuple[Length, ...] = ()


_LastKey = tuple[Outline | Double | None, tuple[str, ...], bool]


class HandlingCounter:
    """Counts the layouts of one comparison; what is equal is counted once."""

    def __init__(self, job: Job) -> None:
        self._cutter = cutter_of(job)
        self._assumed = job.bench.cutter is None
        self._unit = job.unit
        self._known = Known()
        self._grids: dict[Grid, tuple[GridCount, Chops]] = {}
        self._halves: dict[tuple[Size, Turnover], _Part] = {}
        self._last: dict[_LastKey, _Part] = {}
        self._parents: dict[Size, tuple[_Part, ParentFacts | None, tuple[Finding, ...]]] = {}

    def of(self, sample: Sample) -> Handling:
        """Of a layout; its printed sheets are cut from parents.

        Raises JobError when no sheet comes out of the parent.
        """
        plan, job, bench, made = sample.plan, sample.job, sample.bench, sample.made
        parent_part, parent, said = self._of_parents(plan, job)
        way = parent_cut(plan, job)
        if parent is not None and way is not None:
            parent = replace(parent, count=-(-sample.printed // way.out))
        halved, folded = self._halved(plan, job), self._folded(bench, job)
        before, last = self._before(bench, made), self._after(bench, made)
        # The stroke that parts two copies; its turns and settings are among the last cuts'.
        parted = CutCount(strokes=1) if plan.two_up else CutCount()
        parts = (parent_part, halved, before, folded, last)
        return Handling(
            parent=parent,
            halved=halved.count,
            before=before.count,
            folded=folded.count,
            parted=parted,
            after=replace(last.count, strokes=last.count.strokes - parted.strokes),
            notes=(
                *(note.message for note in said),
                *self._narrow(narrow for part in parts for narrow in part.narrow),
            ),
            refused=next(self._refused(bench, made, parts), ""),
        )

    # -- the piles ---------------------------------------------------------------------

    def _of_parents(
        self, plan: Plan, job: Job
    ) -> tuple[_Part, ParentFacts | None, tuple[Finding, ...]]:
        size = plan.sheets[0].size
        if size not in self._parents:
            notes = Notes(self._cutter, plan.unit)
            steps, facts = parent_program(plan, job, notes)
            count = facts.handling if facts is not None else CutCount()
            said = tuple(parent_findings(plan, job))
            self._parents[size] = (_part(steps, count), facts, said)
        return self._parents[size]

    def _halved(self, plan: Plan, job: Job) -> _Part:
        """The cut between the halves of sheets that one forme prints."""
        if not plan.halved:
            return _Part()
        sheet = plan.sheets[0]
        key = (sheet.size, sheet.turned)
        if key not in self._halves:
            halves = halving(plan, job, Notes(self._cutter, plan.unit))
            assert halves is not None
            self._halves[key] = _part(halves.steps, halves.count)
        return self._halves[key]

    def _before(self, plan: Plan, job: Job) -> _Part:
        mixed = mixed_cuts(plan, job)
        if mixed is not None:
            whole, counts = mixed_count(mixed, self._grid)
            knives = tuple(knife for one in counts for knife in one.knives)
            return _Part(whole, knives, tuple(strip for one in counts for strip in one.narrow))
        cuts = sheet_cuts(plan, job)
        if cuts is None:
            return _Part()
        counted, _ = self._grid(cuts.grid)
        return _Part(counted.count, counted.knives, counted.narrow)

    def _grid(self, grid: Grid) -> tuple[GridCount, Chops]:
        """What the cuts of a grid cost, and the cuts."""
        if grid not in self._grids:
            counted, chops, _ = least_handling(grid, self._cutter, self._known)
            self._grids[grid] = (counted, chops)
        return self._grids[grid]

    def _folded(self, plan: Plan, job: Job) -> _Part:
        if not plan.french:
            return _Part()
        steps = tuple(french_steps(plan, folded_pile(plan, job), Notes(self._cutter, plan.unit)))
        return _part(steps, count_steps(steps))

    def _after(self, plan: Plan, job: Job) -> _Part:
        if all(cut.when is not When.AFTER_BINDING for cut in plan.cuts):
            return _Part()
        outline = outline_of(plan)
        flaps = plan.cover is not None and plan.cover.cut_first
        ids = tuple(sorted(cut.id for cut in plan.cuts))
        # Where the paper ends decides only about gauges, which no assumed cutter refuses.
        paper = double_of(plan, lay_side(job)) or (None if self._assumed else outline)
        key = (paper, ids, flaps)
        if key not in self._last:
            steps = book_program(plan, job, Notes(self._cutter, plan.unit), outline)
            self._last[key] = _part(steps, count_steps(steps))
        return self._last[key]

    # -- what cannot be done -----------------------------------------------------------

    def _refused(self, plan: Plan, job: Job, parts: Iterable[_Part]) -> Iterator[str]:
        yield from self._refusals(knife for part in parts for knife in part.knives)
        yield from self._clamp(plan, job)

    def _refusals(self, knives: Iterable[tuple[Length, Length]]) -> Iterator[str]:
        """Nothing is known of the reach of an assumed cutter."""
        cutter, unit = self._cutter, self._unit
        if self._assumed:
            return
        for gauge, width in knives:
            if gauge < cutter.gauge_min or gauge > cutter.gauge_max:
                low = gauge < cutter.gauge_min
                word, limit = (
                    ("smallest", cutter.gauge_min) if low else ("largest", cutter.gauge_max)
                )
                yield (
                    f"a gauge of {gauge.text(unit)} is needed, the {word} on {cutter.name} is "
                    f"{limit.text(unit)}"
                )
            if width > cutter.widest:
                yield (
                    f"a cut is {width.text(unit)} wide, {cutter.name} cuts at most "
                    f"{cutter.widest.text(unit)}"
                )

    def _clamp(self, plan: Plan, job: Job) -> Iterator[str]:
        """A sheet or a book that does not go under the clamp."""
        limits = Limits(self._cutter, self._assumed, self._unit)
        early = [cut for cut in plan.cuts if cut.when is not When.AFTER_BINDING]
        piles = [(Pile(count=1, each=job.guts.stock.caliper), "one sheet")] if early else []
        if len(early) < len(plan.cuts):
            piles.append((book_pile(plan, job), "the book"))
        for pile, what in piles:
            for found in limits.of_pile(pile, what):
                if found.severity is Severity.ERROR:
                    yield found.message

    def _narrow(self, strips: Iterable[Length]) -> Iterator[str]:
        cutter, unit = self._cutter, self._unit
        for strip in dict.fromkeys(strips):
            yield (
                f"a strip of {strip.text(unit)} is cut off; {cutter.name} needs at least "
                f"{cutter.waste_min.text(unit)} to cut clean"
            )


def _part(steps: Iterable[CutStep], count: CutCount) -> _Part:
    cuts = [step for step in steps if step.kind is StepKind.CUT and step.setting and step.table]
    return _Part(
        count,
        tuple((s.setting.gauge, s.table.size.width) for s in cuts if s.setting and s.table),
    )
