"""The program for scripts: `from impose import ...`.

Everything here is what the command line does, as values and functions.  Every
mistake that a user can mend raises an `ImposeError`; what is wrong with a book is
no exception but a finding.  `plan.json` is the contract with other programs.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from impose import pipeline
from impose.errors import ImposeError, InputError, JobError, OutputError, UnitError
from impose.findings import Finding, Severity
from impose.geometry.box import Box, Size
from impose.model.conditions import Part
from impose.model.job import Job
from impose.model.jobfile import as_toml
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file, job_from_options, job_from_values
from impose.pipeline import Made
from impose.plan import wire
from impose.plan.plan import Plan
from impose.printroom import many
from impose.printroom.many import ManyProgress
from impose.printroom.task import Outcome, Result, Stage, Task
from impose.units import Length
from impose.wishes import PRODUCTS, Progress, Wish

__all__ = [
    "Box",
    "Finding",
    "ImposeError",
    "InputError",
    "Job",
    "JobError",
    "Length",
    "Made",
    "ManyProgress",
    "Outcome",
    "OutputError",
    "Part",
    "Plan",
    "Progress",
    "Result",
    "Severity",
    "Size",
    "Stage",
    "UnitError",
    "check",
    "check_sheets",
    "job_of_pages",
    "job_of_values",
    "make",
    "make_many",
    "plan_data",
    "read_job",
    "read_plan",
]

AnyPath = str | os.PathLike[str]


def read_job(file: AnyPath, **options: Any) -> Job:
    """The job of a job file; paths in it start at its folder.

    `options` are those of the command line with underscores (`sheet="a3"`,
    `bound_at="right"`), and win over the file.  Raises InputError when the file
    cannot be read, JobError with all of its faults, each with its line.
    """
    return job_from_file(Path(file), _overrides(options))


def job_of_values(values: Mapping[str, object], folder: AnyPath = ".") -> Job:
    """The job of the tables of a job file as values: `{"book": {...}, "guts": {...}}`.

    Values are those of the file, and besides `Length`, `Size` and `Path`.  Paths
    start at `folder` and stay in it unless `outside` is true in `book`.  Raises
    JobError with all faults, each with its key.
    """
    return job_from_values(values, Path(folder))


def job_of_pages(*pages: AnyPath, folder: AnyPath = ".", **options: Any) -> Job:
    """The job of files of pages with options, as `impose make PAGES.pdf --binding ...` reads it.

    Raises JobError with all faults.
    """
    named = tuple(os.fspath(page) for page in pages)
    return job_from_options(replace(_overrides(options), pages=named), Path(folder))


def _overrides(options: Mapping[str, Any]) -> Overrides:
    """Text as on the command line; lengths and sizes as values."""
    try:
        return Overrides(**{name: _written(value) for name, value in options.items()})
    except TypeError as fault:
        known = ", ".join(sorted(name for name in Overrides.__slots__ if name != "pages"))
        strange = sorted(set(options) - set(Overrides.__slots__))
        raise ImposeError(
            f"there is no option {', '.join(strange)}", hint=f"the options are {known}"
        ) from fault


def _written(value: object) -> Any:
    return tuple(value) if isinstance(value, list) else as_toml(value)


def check(job: Job, progress: Progress | None = None) -> Made:
    """The plan of the job and all findings; nothing is written, `files` is empty.

    Raises ImposeError when there can be no plan.
    """
    return pipeline.check(job, progress)


def make(
    job: Job,
    out: AnyPath,
    *,
    only: Sequence[str] = (),
    look: bool = True,
    progress: Progress | None = None,
) -> Made:
    """The job's files into the folder `out`: the plan, its findings, the paths of the files.

    `only` names products (guts, cover, cuts, ticket, proof, report, plan), empty:
    all.  `look`: pages are looked at for what the knife would take.  Raises
    ImposeError; the folder is then as it was.
    """
    return pipeline.make(job, Path(out), Wish(only=_products(only), look=look), progress)


def check_sheets(
    file: AnyPath, part: Part | str = Part.X4, unit: str = "mm"
) -> tuple[Finding, ...]:
    """What written sheets break of the rules of ISO 15930 that can be told without its text, with
    the pages of the file; empty when nothing.  No certification.

    `part` is "X-1a", "X-3" or "X-4", `unit` "mm" or "in".  Raises ImposeError for
    another part, InputError when the file cannot be read.
    """
    from impose.checks.ready import check_ready  # wanted by few
    from impose.pdf.sheetreading import read_sheets

    try:
        rules = Part(part)
    except ValueError as fault:
        known = ", ".join(each.value for each in Part)
        raise ImposeError(f"there is no part {part}", hint=f"there are {known}") from fault
    return check_ready(read_sheets(Path(file)), rules, unit)


def make_many(
    jobs: Mapping[str, Job] | Sequence[AnyPath],
    out: AnyPath,
    *,
    workers: int | None = None,
    again: bool = False,
    only: Sequence[str] = (),
    look: bool = True,
    progress: ManyProgress | None = None,
) -> tuple[Outcome, ...]:
    """Several jobs side by side, each into the folder of its name below `out`.

    `jobs` are job files, named after their files, or jobs by name.  `workers`:
    processes, None: one for each core.  A job that fails stops no other: what
    became of each is told in the order given.  Unchanged jobs are not made again
    unless `again`.  Raises ImposeError before anything is made when two jobs
    share a folder.
    """
    wish = Wish(only=_products(only), look=look)
    named: list[tuple[str, Path | Job]]
    if isinstance(jobs, Mapping):
        named = [(_folder_name(name), job) for name, job in jobs.items()]
    else:
        named = [(path.stem, path) for path in map(Path, jobs)]
    tasks = [
        Task(name=name, source=source, folder=Path(out) / name, wish=wish, again=again)
        for name, source in named
    ]
    return many.make_many(tasks, workers, progress)


def _folder_name(name: str) -> str:
    if not name or Path(name).name != name or name.startswith("."):
        raise ImposeError(
            f"'{name}' cannot be the name of a job's folder", hint="one plain name, without slashes"
        )
    return name


def _products(only: Sequence[str]) -> tuple[str, ...]:
    named = (only,) if isinstance(only, str) else tuple(only)
    unknown = [name for name in named if name not in PRODUCTS]
    if unknown:
        raise ImposeError(
            f"there is no product {', '.join(unknown)}", hint=f"there are {', '.join(PRODUCTS)}"
        )
    return named


def read_plan(file: AnyPath) -> Plan:
    """The plan of a `plan.json`.

    Raises InputError when it cannot be read or is of another version.
    """
    try:
        return wire.from_text(Path(file).read_text("utf-8"))
    except OSError as fault:
        raise InputError(f"{file} cannot be read: {fault.strerror or fault}") from fault
    except (ValueError, LookupError, TypeError, AttributeError, ArithmeticError) as fault:
        raise InputError(
            f"{file} is not a plan of this version: {fault}", hint="make the job again"
        ) from fault


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as the JSON data of `plan.json`, lengths in points."""
    return wire.to_data(plan)
