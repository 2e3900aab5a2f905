"""One job of many, made or left as it is; whatever goes wrong is told, not raised."""

from __future__ import annotations

import traceback
from dataclasses import replace
from pathlib import Path

from impose.errors import ExitCode, told
from impose.findings import Finding, worst_first
from impose.model.job import Job
from impose.model.resolve import job_from_file, job_from_options
from impose.pipeline import make
from impose.printroom.contents import digest_of, unchanged
from impose.printroom.task import Outcome, Result, Task
from impose.wishes import Progress


def do(task: Task, progress: Progress | None = None) -> Outcome:
    """What became of the job.  Only an interrupt is raised."""
    try:
        return _do(task, progress)
    except Exception as fault:
        said = told(fault)
        if said is None:
            return _defect(task, fault)
        findings, code = said
        return Outcome(
            name=task.name,
            folder=task.folder,
            result=Result.NOT_MADE,
            findings=findings,
            refused=code,
        )


def job_of(task: Task) -> Job:
    """The job of a task.  Raises ImposeError."""
    source = task.source
    if isinstance(source, Job):
        return source
    if is_job_file(source):
        return job_from_file(source, task.overrides)
    return job_from_options(replace(task.overrides, pages=(str(source),)), Path())


def is_job_file(path: Path) -> bool:
    """By its name."""
    return path.suffix.lower() == ".toml"


def _do(task: Task, progress: Progress | None) -> Outcome:
    job = job_of(task)
    digest = digest_of(job, task.wish)
    earlier = None if task.again else unchanged(task.folder, digest)
    if earlier is not None:
        return Outcome(
            name=task.name,
            folder=task.folder,
            result=Result.UNCHANGED,
            findings=worst_first(earlier.findings),
            files=earlier.files,
            sheets=earlier.sheets,
        )
    made = make(job, task.folder, replace(task.wish, digest=digest), progress)
    return Outcome(
        name=task.name,
        folder=task.folder,
        result=Result.MADE,
        findings=made.findings,
        files=made.files,
        sheets=len(made.plan.sheets),
    )


def _defect(task: Task, fault: Exception) -> Outcome:
    said = Finding.error(
        "defect",
        f"the program itself failed: {type(fault).__name__}: {fault}",
        hint="make the job alone and tell the program's makers what it says",
    )
    return Outcome(
        name=task.name,
        folder=task.folder,
        result=Result.DEFECT,
        findings=(said,),
        refused=ExitCode.SPOILED,
        trouble="".join(traceback.format_exception(fault)),
    )
