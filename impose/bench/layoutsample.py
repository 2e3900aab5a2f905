"""A sample of a layout: so few sheets, planned by the schemes themselves, that the whole book
can be counted from them: one sheet of leaves, a section of each size, a whole saddle book.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from impose.bench.sheetgrid import guts_sheets
from impose.model.job import BlanksAt, Job, Order
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.schemes.coverplan import add_cover
from impose.schemes.draft import Asked, Draft
from impose.schemes.planning import draft_of
from impose.schemes.pressroom import as_printed, laid_draft, press_facts, press_findings
from impose.schemes.ways import Way, WayKind, usual_section


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """`bench` has the sampled sheets as they are cut apart or folded, and is said to have all
    faces of the book; `plan` has the fullest of them as it is printed: whole, where `bench` has
    halves because one forme prints both sides.

    `times`: how often each sheet of `bench` stands in the book; `per`: copies out of one set of
    sheets; `job` is bound to the way.
    """

    plan: Plan
    bench: Plan
    times: tuple[int, ...]
    per: int
    job: Job

    @property
    def number(self) -> int:
        """Sheets of one set."""
        return sum(self.times)

    @property
    def often(self) -> int:
        """How often each sheet is printed for the copies."""
        return -(-self.job.copies // self.per)

    @property
    def printed(self) -> int:
        """Sheets through the printer, copies and overs counted."""
        return self.number * (self.often + self.job.guts.overs)

    @property
    def halves(self) -> int:
        """Parts that a sheet is cut into before it is folded or cut apart."""
        return 2 if self.plan.halved else 1

    @property
    def made(self) -> Job:
        """The job with the copies that come of it (see `halving.whole_sets`)."""
        if self.plan.per_sheet == 1:
            return self.job
        return replace(self.job, copies=self.often * self.per)

    @property
    def first(self) -> Sheet:
        """As it is printed."""
        return self.plan.sheets[0]


def faces_of(asked: Asked, way: Way) -> int:
    """Faces of the book with the blanks that the way adds."""
    multiple = 2
    if way.kind is WayKind.SECTION:
        multiple = 2 * (way.guts.up or 2)
    elif way.kind is WayKind.SECTIONS:
        multiple = 4 if way.guts.last_section == "short" else usual_section(way.guts)
    return -(-len(asked.faces) // multiple) * multiple


def repeats(way: Way) -> bool:
    """One leaf over and over on a sheet."""
    flat = way.kind in (WayKind.REPEAT, WayKind.FRENCH)
    return flat and way.leaves > 1 and way.guts.order is Order.REPEAT


def sample_of(asked: Asked, way: Way) -> Sample:
    """Raises JobError when the way cannot be planned."""
    faces = faces_of(asked, way)
    # Where blanks go is of no matter to a sample.
    job = replace(asked.job, guts=way.guts, blanks_at=BlanksAt())
    small, long = _sampled(way, faces)
    small_asked = replace(
        asked, job=job, faces=(1,) * small, wishes=(), front_only=not _one_forme(job)
    )
    laid = laid_draft(small_asked, draft_of)
    if _one_forme(job):
        laid = replace(laid, sheets=tuple(replace(sheet, half=1) for sheet in laid.sheets))
    bench = _with_cover(_plan_of(small_asked, laid, faces), job)
    # A shortened section may stand before the only whole one.
    fullest = max(laid.sheets, key=lambda sheet: len(sheet.front.placements))
    printed = as_printed(small_asked, replace(laid, sheets=(fullest,)))
    plan, per = _plan_of(small_asked, printed, faces), _copies(way, job)
    findings = (*laid.findings, *press_findings(job, printed, per))
    return Sample(
        plan=replace(plan, findings=findings),
        bench=bench,
        times=_times(way, bench, faces, long),
        per=per,
        job=job,
    )


def _one_forme(job: Job) -> bool:
    return job.guts.work is not None and job.guts.work.one_forme


def _copies(way: Way, job: Job) -> int:
    """Out of one set of sheets."""
    several = way.leaves if repeats(way) and not job.guts.french_fold else 1
    return several * (2 if _one_forme(job) else 1) * (2 if job.guts.two_up else 1)


def _sampled(way: Way, faces: int) -> tuple[int, int]:
    """Faces of the sample, and how often a whole section or sheet of it stands in the book."""
    if way.kind is WayKind.SECTION:
        return faces, 1
    if way.kind is WayKind.SECTIONS:
        full, rest = divmod(faces, usual_section(way.guts))
        return (usual_section(way.guts) if full else 0) + rest, full
    leaves = faces // 2
    if repeats(way):
        return 2, leaves
    number = -(-leaves // way.leaves)
    # Cut and stacked, the first places are filled on every sheet, the last may be on none.
    return 2 * -(-leaves // number), number


def _times(way: Way, plan: Plan, faces: int, often: int) -> tuple[int, ...]:
    if way.kind is not WayKind.SECTIONS:
        return (often,) * len(guts_sheets(plan))
    # A shortened section goes before the last: with one whole section it is the first.
    whole = len(plan.gathering) if often else 0
    return tuple((often or 1) if sheet.section == whole else 1 for sheet in guts_sheets(plan))


def _with_cover(bench: Plan, job: Job) -> Plan:
    """With a bare cover, which decides about the last cuts, too."""
    cover = job.cover
    if cover is None:
        return bench
    bare = replace(job, cover=replace(cover, art=None, inside=None))
    return add_cover(bench, bare, [])


def _plan_of(asked: Asked, draft: Draft, faces: int) -> Plan:
    """Said to have all `faces`: thickness counts them."""
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
        two_up=job.guts.two_up.value if job.guts.two_up else "",
        press=press_facts(job, draft),
    )
