"""A sample of a layout: so few sheets, planned by the schemes themselves, that the whole book
can be counted from them: one sheet of leaves, a section of each size, a whole saddle book.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from impose.bench.halving import whole_sets
from impose.bench.paper import prints
from impose.bench.sheetgrid import guts_sheets
from impose.findings import Finding
from impose.model.job import BlanksAt, Job, Order
from impose.plan.plan import Plan
from impose.schemes.coverplan import add_cover
from impose.schemes.draft import Asked, Draft
from impose.schemes.halves import half_plan
from impose.schemes.planning import draft_of
from impose.schemes.pressroom import press_facts, press_findings, printed_draft
from impose.schemes.ways import Way, WayKind, usual_section


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """`plan` is said to have all faces of the book, and `bench` is the same with its sheets cut
    in two where one forme prints both sides.

    `times`: how often each of its sheets stands in the book; `often`: how often each is printed
    for the copies, and `cut_often` how often it lies in the piles that are then cut apart or
    folded; `job` is bound to the way, `made` the same with the copies that come of it.
    """

    plan: Plan
    bench: Plan
    times: tuple[int, ...]
    often: int
    cut_often: int
    job: Job
    made: Job

    @property
    def number(self) -> int:
        """Sheets of one set."""
        return sum(self.times)

    @property
    def printed(self) -> int:
        """Sheets through the printer, copies and overs counted."""
        return self.number * (self.often + self.job.guts.overs)

    @property
    def halves(self) -> int:
        """Parts that a sheet is cut into before it is folded or cut apart."""
        return 2 if self.plan.halved else 1


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
    several = job.guts.two_up is not None or (job.guts.work is not None and job.guts.work.one_forme)
    small_asked = replace(asked, job=job, faces=(1,) * small, wishes=(), front_only=not several)
    draft = printed_draft(small_asked, draft_of)
    plan = _with_cover(_plan_of(small_asked, draft, faces), job)
    alone = replace(plan, faces=draft.faces)  # how many copies it has is told by what is on it
    made = whole_sets(alone, job)
    return Sample(
        plan=plan,
        bench=half_plan(plan),
        times=_times(way, plan, faces, long),
        often=prints(alone, job),
        cut_often=prints(half_plan(alone), made),
        job=job,
        made=made,
    )


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


def _with_cover(sample: Plan, job: Job) -> Plan:
    """With a bare cover, which decides about the last cuts, too."""
    cover = job.cover
    if cover is None:
        return sample
    bare = replace(job, cover=replace(cover, art=None, inside=None))
    return replace(add_cover(sample, bare, []), findings=sample.findings)


def _plan_of(asked: Asked, draft: Draft, faces: int) -> Plan:
    """Said to have all `faces`: thickness counts them."""
    job = asked.job
    findings: tuple[Finding, ...] = (*draft.findings, *press_findings(job, draft))
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
        findings=findings,
    )
