"""One function per command, usable without the command line.

Three gates before any work: can the output be written; is the job sound; do
the sources fit it.  Then the plan, the files, the reading back.  Every file is
written under a temporary name and renamed when it is whole and proved;
`plan.json` comes last and holds the hashes of the others.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Protocol

from impose.findings import Finding, Severity, worst_first
from impose.marks.drawing import add_marks
from impose.model.job import Job
from impose.pdf.calm import collector_at_rest
from impose.pdf.files import (
    ensure_folder,
    publish,
    refuse_input,
    sha256_of,
    staging,
    sweep_leftovers,
    write_atomically,
)
from impose.pdf.proof import write_proof
from impose.pdf.read import Sources, open_sources
from impose.pdf.verify import verify_sheets
from impose.pdf.write import write_sheets
from impose.plan.plan import Plan
from impose.plan.wire import to_text
from impose.reports.report_html import report_html
from impose.schemes.leaves import expand_pages
from impose.schemes.planning import plan_sheets

#: What `--only` may name, and the file each becomes.
PRODUCTS: Final = {
    "guts": "guts.pdf",
    "proof": "proof.pdf",
    "report": "report.html",
    "plan": "plan.json",
}


class Progress(Protocol):
    """Told how far the work is; the default is silent."""

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        """A stage begins, or `done` of `of` parts of the work are over."""


class Silent:
    """Says nothing."""

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        return None


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


def input_files(job: Job) -> tuple[Path, ...]:
    """The job's files, each once, in the order of first use."""
    return tuple(dict.fromkeys(item.file for item in job.pages if item.file is not None))


def plan_job(job: Job, sources: Sources) -> Plan:
    """The finished plan of a job whose sources are open.

    Raises JobError for faults of job against machines or sources against job.
    """
    files = [str(path) for path in input_files(job)]
    pages, faces = expand_pages(job.pages, files, sources.facts)
    plan = plan_sheets(job, pages, faces, [Path(name).name for name in files])
    plan = add_marks(plan, job)
    said = tuple(finding for facts in sources.facts for finding in facts.findings)
    return replace(plan, findings=(*said, *plan.findings))


def check(job: Job, progress: Progress | None = None) -> Made:
    """Findings only; nothing is written."""
    progress = progress or Silent()
    progress.stage("reading the pages")
    with collector_at_rest(), open_sources(input_files(job), job.passwords) as sources:
        progress.stage("planning")
        return Made(plan_job(job, sources), ())


def make(job: Job, out: Path, only: Sequence[str] = (), progress: Progress | None = None) -> Made:
    """The job's files into the folder `out`, all or only those named in `only`.

    Raises ImposeError; files of earlier runs stay until all of their successors
    are whole and proved.
    """
    progress = progress or Silent()
    wanted = [name for name in PRODUCTS if not only or name in only]
    inputs = input_files(job)
    for name in wanted:
        refuse_input(out / PRODUCTS[name], inputs)
    progress.stage("reading the pages")
    with collector_at_rest(), ExitStack() as stack:
        sources = stack.enter_context(open_sources(inputs, job.passwords))
        progress.stage("planning")
        plan = plan_job(job, sources)
        ensure_folder(out)
        sweep_leftovers(out)
        folder = stack.enter_context(staging(out))
        maker = _Maker(job, plan, sources, folder, progress)
        plan = maker.make(wanted)
        names = [PRODUCTS[name] for name in wanted if (folder / PRODUCTS[name]).exists()]
        publish([(folder / name, out / name) for name in names])
        return Made(plan, tuple(out / name for name in names))


@dataclass(slots=True)
class _Maker:
    """Writes one product after another into the working folder; findings gather on the plan."""

    job: Job
    plan: Plan
    sources: Sources
    folder: Path
    progress: Progress

    def make(self, wanted: Sequence[str]) -> Plan:
        """Every product wanted; `plan.json` last, with the hashes of the others."""
        if "guts" in wanted or "proof" in wanted:
            self._sheets("guts")
        if "proof" in wanted:
            self._proof()
        if "report" in wanted:
            self._write("report", report_html(self.plan).encode())
        if "plan" in wanted:
            others = [PRODUCTS[name] for name in wanted if name != "plan"]
            made = [
                (name, sha256_of(self.folder / name))
                for name in others
                if (self.folder / name).exists()
            ]
            self._write("plan", to_text(self.plan, made).encode())
        return self.plan

    def _sheets(self, role: str) -> None:
        """Written, then read back and compared: a difference is no delivery."""
        target = self.folder / PRODUCTS[role]
        self.progress.stage(f"writing {target.name}")
        self._say(write_sheets(self.plan, self.sources, target, role))
        self.progress.stage(f"reading {target.name} back")
        verify_sheets(self.plan, self.sources, target, role)

    def _proof(self) -> None:
        self.progress.stage("folding and cutting the proof")
        target = self.folder / PRODUCTS["proof"]
        self._say(write_proof(self.plan, self.folder / PRODUCTS["guts"], target))

    def _write(self, product: str, data: bytes) -> None:
        write_atomically(self.folder / PRODUCTS[product], data)

    def _say(self, findings: Sequence[Finding]) -> None:
        self.plan = replace(self.plan, findings=(*self.plan.findings, *findings))
