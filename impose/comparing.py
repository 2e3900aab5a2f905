"""Layouts of a job compared, and the one taken that the job names."""

from __future__ import annotations

from dataclasses import dataclass, replace
from difflib import get_close_matches

from impose.bench.layoutrow import Comparison, LayoutRow
from impose.bench.layouts import compare
from impose.bench.program import add_cuts
from impose.bench.wholelayouts import compare_whole
from impose.checks.machines import check_machine
from impose.errors import ImposeError
from impose.findings import Finding
from impose.model.job import Job
from impose.model.leafkinds import AS_THE_REST
from impose.model.readers import fold
from impose.pdf.prepare import input_files, opened
from impose.pdf.read import Sources
from impose.plan.plan import Plan
from impose.schemes.leaves import Book, expand_book, face_counts
from impose.schemes.planning import comparable, plan_flat_work, plan_sheets, with_room_for_bleed
from impose.schemes.wholeways import whole_kind


def layouts(job: Job) -> Comparison:
    """Every layout of the job, ranked.  Raises ImposeError when its inputs cannot be read."""
    with opened(job) as (ready, sources):
        return compared(ready.job, sources)


def compared(job: Job, sources: Sources) -> Comparison:
    """The same for a job whose sources are open."""
    files = [str(path) for path in input_files(job)]
    book = expand_book(job.pages, files, sources.facts)
    if whole_kind(job) is not None:
        runs = face_counts(job.pages, files, sources.facts) if job.items else []
        found = compare_whole(job, _Planner(book, tuple(runs), tuple(files)).planned)
        return replace(found, currency=job.prices.currency)
    put_in = any(wish != AS_THE_REST for wish in book.wishes)
    found = compare(comparable(job, book.pages, book.faces, book.wishes), put_in, check_machine)
    rule = found.rule
    if put_in:
        rule += " Leaves that are put in on sheets of their own are not counted."
    return replace(found, currency=job.prices.currency, rule=rule)


@dataclass(frozen=True, slots=True)
class _Planner:
    """Plans flat work and folded panels with their cuts, as `make` does."""

    book: Book
    runs: tuple[int, ...]
    files: tuple[str, ...]

    def planned(self, job: Job) -> Plan:
        """Raises JobError when the job cannot be made on its sheet."""
        book, job = self.book, with_room_for_bleed(job)
        if job.items:
            plan = plan_flat_work(job, book, self.runs, self.files)
        else:
            plan = plan_sheets(job, book.pages, book.faces, self.files)
        return add_cuts(plan, job)


def settled(job: Job, sources: Sources) -> tuple[Job, Comparison | None]:
    """The job bound to the layout that it names, and what that was chosen from; the job
    as it is, and None, when it names none.

    Raises ImposeError when there is no such layout.
    """
    if job.layout is None:
        return job, None
    found = compared(job, sources)
    row = taken(job.layout, found)
    note = Finding.note(
        "layout-taken",
        f"layout {row.number} is taken: {row.way.name}",
        hint=f'to keep it when the book changes, write layout = "{row.way.name}" in [guts]',
        layout=row.number,
    )
    said = tuple(one for one in job.findings if one.code != "sheet-assumed")
    return replace(job, guts=row.way.guts, layout=None, findings=(*said, note)), found


def taken(wish: int | str, found: Comparison) -> LayoutRow:
    """The row of that number or name.  Raises ImposeError with what is there."""
    if not found.rows:
        raise ImposeError("no layout of this job can be made", hint=_why(found))
    if isinstance(wish, int):
        if wish <= len(found.rows):
            return found.rows[wish - 1]
        raise ImposeError(
            f"there is no layout {wish}: the layouts of this job are 1 to {len(found.rows)}",
            hint="impose layouts lists them",
        )
    names = {fold(row.way.name): row for row in found.rows}
    if fold(wish) in names:
        return names[fold(wish)]
    out = next((one for one in found.unfit if fold(one.name) == fold(wish)), None)
    if out is not None:
        raise ImposeError(f"the layout '{wish}' cannot be made: {out.reason}")
    near = get_close_matches(fold(wish), names, 1)
    raise ImposeError(
        f"no layout of this job is called '{wish}'",
        hint=f"did you mean '{names[near[0]].way.name}'?" if near else "impose layouts lists them",
    )


def _why(found: Comparison) -> str:
    return "; ".join(f"{one.name}: {one.reason}" for one in found.unfit[:3])
