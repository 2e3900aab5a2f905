"""One function per command, usable without the command line.

Three gates before any work: can the output be written; is the job sound; do
the sources fit it.  Then the plan, the looks, the files, the reading back.
Every file of a run is made in a working folder and gets its name when all are
whole and proved; `plan.json` comes last and holds the hashes of the others.
What only some runs need is imported in the function that needs it, so that
`--only guts` starts quickly.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from impose.bench.clicks import add_clicks
from impose.bench.handcutter import cutter_of
from impose.bench.program import add_cuts
from impose.findings import Finding, Severity, worst_first
from impose.marks.drawing import add_marks
from impose.model.facts import BookPage
from impose.model.job import Job, MakeBleed
from impose.pdf.calm import collector_at_rest
from impose.pdf.files import (
    refuse_input,
    refuse_link,
    sha256_of,
    write_atomically,
)
from impose.pdf.intents import intent_findings, not_looked_at, press_of
from impose.pdf.prepare import art_items, files_read, input_files, opened
from impose.pdf.publishing import made_folder, only_run, publish, staging, sweep_leftovers
from impose.pdf.read import Sources
from impose.pdf.verify import verify_sheets
from impose.pdf.write import write_sheets
from impose.plan.coverview import piece_view
from impose.plan.insets import file_name, role_of
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.reports.papers import STAGES, papers
from impose.schemes.leaves import expand_book, expand_pages, face_counts
from impose.schemes.madebleed import NOTHING, ToMake, make_bleed
from impose.schemes.oneside import parts_of
from impose.schemes.planning import plan_flat_work, plan_sheets
from impose.schemes.pressroom import other_copies
from impose.schemes.registering import add_register
from impose.wishes import EVERYTHING, PRODUCTS, Progress, Silent, Wish, files_of, parted

if TYPE_CHECKING:
    from impose.bench.layoutrow import Comparison


@dataclass(frozen=True, slots=True)
class Made:
    """What a run made: the plan with all findings, and the files written."""

    plan: Plan
    files: tuple[Path, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        return worst_first(self.plan.findings)

    def spoiled(self, strict: bool = False) -> bool:
        """Findings say that the book would be spoiled (`strict`: warnings count too)."""
        bad = {Severity.ERROR, Severity.WARNING} if strict else {Severity.ERROR}
        return any(finding.severity in bad for finding in self.plan.findings)


def plan_job(job: Job, sources: Sources, to_make: ToMake = NOTHING) -> Plan:
    """The finished plan of a job whose sources are open; `to_make`: where bleed is made.

    Raises JobError for faults of job against machines or sources against job.
    """
    files = [str(path) for path in input_files(job)]
    book = expand_book(job.pages, files, sources.facts)
    names = [Path(name).name for name in files]
    if job.items:
        runs = face_counts(job.pages, files, sources.facts)
        plan = plan_flat_work(job, book, runs, names, to_make)
    else:
        plan = plan_sheets(job, book.pages, book.faces, names, to_make, book.wishes)
    plan = make_bleed(plan, to_make, job.guts.make_bleed)
    plan = add_marks(plan, job)
    if job.cover is not None:
        from impose.bench.scores import add_scores
        from impose.marks.coversup import step_covers
        from impose.marks.scoremarks import add_cover_marks
        from impose.schemes.coverplan import add_cover

        plan = add_cover_marks(add_cover(plan, job, _art_pages(job, files, sources)), job)
        plan = step_covers(add_scores(plan, job), job)
    if job.holes is not None:
        from impose.bench.holes import add_holes

        plan = add_holes(plan, job)
    plan = add_clicks(add_register(add_cuts(plan, job), job), job)
    if parted(job):
        from impose.schemes.oneside import trial_missing

        if not plan.one_sided("guts"):
            plan = replace(plan, findings=(*plan.findings, *trial_missing(job.guts.printer)))
    said = tuple(finding for facts in sources.facts for finding in facts.findings)
    intents = intent_findings(sources, job.conditions)
    return replace(plan, findings=(*said, *intents, *plan.findings))


def _art_pages(job: Job, files: Sequence[str], sources: Sources) -> list[BookPage]:
    """One page for each item of the cover's art; JobError when an item has more or none."""
    found: list[BookPage] = []
    for item in art_items(job.cover):
        pages, _ = expand_pages([item], files, sources.facts)
        found.append(pages[0])
    return found


def look_over(
    plan: Plan, job: Job, sources: Sources, progress: Progress, wish: Wish | None = None
) -> Plan:
    """The plan after a look at the pages: bleed made where the job wants it, and (unless the
    wish is not to look) what they give to say: live matter, pictures, fonts."""
    wish = wish or EVERYTHING
    makes = job.guts.make_bleed is not MakeBleed.AS_SUPPLIED
    if not wish.look and not makes:
        from impose.marks.inksused import bar_not_looked

        return replace(plan, findings=(*plan.findings, *bar_not_looked(plan, job)))
    from impose.checks.holes import whole_pages
    from impose.checks.run import check_all, sides_to_make
    from impose.checks.unprintable import BY_GEOMETRY, all_looked
    from impose.checks.words import cover_pages
    from impose.marks.inksused import with_inks
    from impose.pdf.look import look_at

    wanted = [(fit.file, fit.number) for fit in plan.pages]
    words = "looking at the pages"
    looks = look_at(
        sources.readable,
        wanted,
        job.passwords,
        lambda done: progress.stage(words, done, len(wanted)),
        processes=wish.processes,
        trims=[fit.box for fit in plan.pages],
        whole={page - 1 for page in (*cover_pages(plan), *whole_pages(plan))},
    )
    to_make = sides_to_make(plan, job, sources.facts, looks) if makes else {}
    printed = with_inks(job, plan, looks)
    if to_make or printed is not job:
        plan = plan_job(printed, sources, to_make)
    if not wish.look:
        return plan
    found = check_all(piece_view(plan), job, sources.facts, looks, made=to_make)
    kept = plan.findings
    if all_looked(plan, looks):  # what is there is known, and need not be supposed
        kept = tuple(finding for finding in kept if finding.code != BY_GEOMETRY)
    return replace(plan, findings=(*kept, *found))


def _settled(job: Job, sources: Sources) -> tuple[Job, Comparison | None]:
    """Bound to the layout that the job names, with those that it was chosen from."""
    if job.layout is None:
        return job, None
    from impose.comparing import settled

    return settled(job, sources)


def check(job: Job, progress: Progress | None = None) -> Made:
    """Findings only; nothing is written."""
    progress = progress or Silent()
    progress.stage("reading the pages")
    with collector_at_rest(), opened(job) as (ready, sources):
        job, _ = _settled(ready.job, sources)
        sources.press = press_of(job.conditions)
        progress.stage("planning")
        plan = look_over(plan_job(job, sources), job, sources, progress)
        return Made(replace(plan, findings=(*plan.findings, *not_looked_at(job.conditions))), ())


def make(job: Job, out: Path, wish: Wish = EVERYTHING, progress: Progress | None = None) -> Made:
    """The job's files into the folder `out`.

    Raises ImposeError; files of earlier runs stay until all of their successors
    are whole and proved.
    """
    progress = progress or Silent()
    products = wish.products(job)
    names = [name for product in products for name in files_of(product, job, wish)]
    for name in names:
        refuse_input(out / name, files_read(job))
        refuse_link(out / name)
    progress.stage("reading the pages")
    with collector_at_rest(), ExitStack() as stack:
        ready, sources = stack.enter_context(opened(job))
        job, layouts = _settled(ready.job, sources)
        for name in names:
            refuse_input(out / name, ready.inputs)
        sources.press = press_of(job.conditions)
        progress.stage("planning")
        plan = plan_job(job, sources)
        put_in = _inset_files(plan, products, job)
        for name in put_in:
            refuse_input(out / name, [*files_read(job), *ready.inputs])
            refuse_link(out / name)
        names = _with_insets(names, put_in)
        plan = look_over(plan, job, sources, progress, wish)
        if plan.one_sided("guts") and parted(job):  # known only now: whether there are backs
            job = replace(job, guts=replace(job.guts, one_side=False))
            made = [name for product in products for name in files_of(product, job, wish)]
            names = _with_insets(made, put_in)
        stack.enter_context(made_folder(out))
        sweep_leftovers(out, alone=stack.enter_context(only_run(out)))
        plan = _compared(plan, out / "plan.json")
        folder = stack.enter_context(staging(out))
        plan = _Maker(job, wish, plan, sources, folder, progress, layouts).make(products)
        publish(folder, out, names)
        return Made(plan, tuple(out / name for name in names))


def _inset_files(plan: Plan, products: Sequence[str], job: Job) -> list[str]:
    """The files of the insets; they go with the guts, and are parted as those are."""
    if "guts" not in products:
        return []
    names: list[str] = []
    for inset in plan.insets:
        names.append(file_name(inset.number))
        if job.guts.one_side and not plan.one_sided(role_of(inset.number)):
            names.extend(parts_of(names[-1]))
    return names


def _with_insets(names: Sequence[str], put_in: Sequence[str]) -> list[str]:
    """Right after the guts; `plan.json` stays last."""
    guts = PRODUCTS["guts"][0]
    first = names.index(guts) + 1 if put_in else 0
    while put_in and first < len(names) and names[first] in parts_of(guts):
        first += 1
    return [*names[:first], *put_in, *names[first:]]


def _compared(plan: Plan, earlier: Path) -> Plan:
    """With notes on what has moved since the last run into this folder, on the cover.

    An earlier plan that is not there or of another version says nothing.
    """
    if plan.cover is None or not earlier.is_file():
        return plan
    from impose.schemes.covermoves import moved

    try:
        before = from_text(earlier.read_text("utf-8"))
    except (ValueError, KeyError, TypeError, OSError):
        return plan
    return replace(plan, findings=(*plan.findings, *moved(before, plan)))


def _file_of(role: str) -> str:
    """The sheets of an inset, by their role."""
    return file_name(int(role.removeprefix("inset ")))


@dataclass(slots=True)
class _Maker:
    """Writes one product after another into the working folder; findings gather on the plan."""

    job: Job
    wish: Wish
    plan: Plan
    sources: Sources
    folder: Path
    progress: Progress
    layouts: Comparison | None  #: when the job named one of them

    def make(self, products: Sequence[str]) -> Plan:
        """Every product wanted; reports after the sheets, `plan.json` last."""
        if "guts" in products or "proof" in products:
            self._sheets("guts")
            for inset in self.plan.insets:
                self._sheets(role_of(inset.number))
        if "guts" in products and self.job.guts.one_side:
            self._one_side()
        if self.job.cover and ("cover" in products or "proof" in products):
            self._sheets("cover")
        if "proof" in products:
            self._proof()
        self._reports(products)
        if "plan" in products:
            wanted = [product for product in products if product != "plan"]
            others = [n for p in wanted for n in files_of(p, self.job, self.wish)]
            others = _with_insets(others, _inset_files(self.plan, products, self.job))
            made = [(name, sha256_of(self.folder / name)) for name in others]
            self._write("plan.json", to_text(self.plan, made, self.wish.digest))
        return self.plan

    def _sheets(self, role: str) -> None:
        """Written, then read back and compared: a difference is no delivery."""
        target = self.folder / (PRODUCTS[role][0] if role in PRODUCTS else _file_of(role))
        self.progress.stage(f"writing {target.name}")
        self._say(write_sheets(self.plan, self.sources, target, role))
        self.progress.stage(f"reading {target.name} back")
        verify_sheets(self.plan, self.sources, target, role)
        if self.job.conditions.ready is not None:
            from impose.pdf.readiness import ready_findings

            self._say(ready_findings(target, self.job.conditions.ready, self.plan.unit))

    def _one_side(self) -> None:
        from impose.pdf.oneside import write_one_side
        from impose.schemes.oneside import one_side

        self.progress.stage("parting fronts and backs")
        for role in ("guts", *(role_of(inset.number) for inset in self.plan.insets)):
            if self.plan.one_sided(role):
                continue
            wish = one_side(self.plan, self.job.guts.printer, role)
            sheets = self.folder / (PRODUCTS[role][0] if role in PRODUCTS else _file_of(role))
            fronts, backs = (self.folder / name for name in parts_of(sheets.name))
            write_one_side(
                sheets, fronts, backs, last_first=wish.last_first, half_turn=wish.half_turn
            )

    def _proof(self) -> None:
        # Imported when wanted, so that --only guts is quicker.
        from impose.pdf.proof import CoverFaces, ProofLook, write_proof
        from impose.schemes.boundcover import bind_cover

        self.progress.stage("folding and cutting the proof")
        cover = None
        if self.job.cover:
            cover = CoverFaces(pdf=self.folder / "cover.pdf", faces=bind_cover(self.plan))
        put_in = tuple(self.folder / file_name(inset.number) for inset in self.plan.insets)
        look = ProofLook(cover=cover, insets=put_in)
        guts, spreads = self.folder / "guts.pdf", self.job.spreads
        true = self.folder / PRODUCTS["proof"][0]
        self._say(write_proof(self.plan, guts, true, spreads=spreads, look=look))
        for copy, name in enumerate(other_copies(self.job), start=2):
            again = replace(look, copy=copy)
            self._say(write_proof(self.plan, guts, self.folder / name, spreads=spreads, look=again))
        if self.wish.drift:
            off, target = cutter_of(self.job).tolerance, self.folder / "proof-drift.pdf"
            write_proof(self.plan, guts, target, drift=off, spreads=spreads, look=look)

    def _reports(self, products: Sequence[str]) -> None:
        for product, words in STAGES.items():
            if product in products:
                self.progress.stage(words)
                for name, data in papers(product, self.plan, self.job):
                    self._write(name, data)
        if "report" in products:
            self.progress.stage("drawing the report")
            self._write("report.html", self._report(products))

    def _report(self, products: Sequence[str]) -> str:
        """With the pictures of the pages concerned, and what else is made in this run."""
        from impose.comparing import compared
        from impose.reports.report_html import Given, report_html
        from impose.reports.report_pictures import report_pictures
        from impose.reports.ticket_facts import guts_spine

        plan, job = self.plan, self.job
        others = [name for name in products if name != "report"]
        given = Given(
            pictures=report_pictures(plan, job, self.sources.facts, self.sources.readable),
            files=tuple(
                _with_insets(
                    [name for p in others for name in files_of(p, job, self.wish)],
                    _inset_files(plan, others, job),
                )
            ),
            spine=None if plan.cover else guts_spine(plan, job),
            looked=self.wish.look,
            layouts=self.layouts or compared(job, self.sources),
        )
        return report_html(plan, given)

    def _write(self, name: str, data: bytes | str) -> None:
        write_atomically(self.folder / name, data.encode() if isinstance(data, str) else data)

    def _say(self, findings: Sequence[Finding]) -> None:
        self.plan = replace(self.plan, findings=(*self.plan.findings, *findings))
