"""`impose cover`: the cover alone, or an empty one drawn to size to design on."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from impose.cli.options import job_from, job_options
from impose.errors import ExitCode
from impose.findings import Severity, worst_first

if TYPE_CHECKING:
    from impose.model.job import Job
    from impose.plan.plan import Plan

BLANK_PDF: Final = "cover-blank.pdf"
BLANK_PNG: Final = "cover-blank.png"


@click.command()
@job_options
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("print"),
    show_default=True,
    help="Folder for the results.",
)
@click.option("--blank", is_flag=True, help="Write an empty cover to design on, as PDF and PNG.")
@click.option(
    "--dots",
    type=click.IntRange(36, 1200),
    default=300,
    show_default=True,
    help="Pixels of the PNG to the inch.",
)
@click.option("--no-check", is_flag=True, help="Do not look at what is on the pages.")
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON on stdout.")
@click.option("--quiet", is_flag=True, help="No progress and no list of files.")
def cover(inputs: tuple[str, ...], blank: bool, dots: int, out: Path, **options: Any) -> int:
    """Make the cover alone, from a job file or from pages and options."""
    speak = {name: options.pop(name) for name in ("strict", "as_json", "quiet", "no_check")}
    job = _with_cover(job_from(inputs, options))
    if blank:
        return write_blank(job, out, dots, speak)
    from impose.cli.making import run_make

    return run_make(job, out, "cover", speak)


def _with_cover(job: Job) -> Job:
    """A cover is asked for by the command itself: one without art when the job has none."""
    from impose.errors import ImposeError
    from impose.model.job import Cover

    if job.items:
        raise ImposeError(
            "flat work has no cover", hint="a cover without folds can be an item itself"
        )
    return job if job.cover is not None else replace(job, cover=Cover())


def write_blank(job: Job, out: Path, dots: int, speak: dict[str, Any]) -> int:
    """The empty cover into the folder `out`; the exit code.  The job's art is left aside."""
    from impose.comparing import settled
    from impose.pdf.files import ensure_folder, refuse_input, write_atomically
    from impose.pdf.prepare import input_files, opened
    from impose.pipeline import plan_job

    assert job.cover is not None
    job = replace(job, cover=replace(job.cover, art=None, inside=None))
    targets = out / BLANK_PDF, out / BLANK_PNG
    for target in targets:
        refuse_input(target, input_files(job))
    with opened(job) as (ready, sources):
        plan = plan_job(settled(ready.job, sources)[0], sources)
    drawn = _draw(job, plan, dots)
    ensure_folder(out)
    for target, data in zip(targets, drawn, strict=True):
        write_atomically(target, data)
    return _speak(plan, targets, speak)


def _draw(job: Job, plan: Plan, dots: int) -> tuple[bytes, bytes]:
    """PDF and PNG."""
    from impose.pdf.coverblank import BLEED, BlankCover, blank_pdf, blank_png
    from impose.schemes.coverrules import cover_rules

    assert plan.cover is not None
    blank = BlankCover(
        title=plan.title,
        unit=plan.unit,
        cover=plan.cover,
        bound_at=plan.bound_at,
        bleed=job.guts.bleed if job.guts.bleed is not None else BLEED[plan.unit],
        spine_clear=cover_rules(job.cover).spine_text_clear,
    )
    pdf = blank_pdf(blank)
    return pdf, blank_png(pdf, dots)


def _speak(plan: Plan, targets: tuple[Path, ...], speak: dict[str, Any]) -> int:
    from impose.cli.speaking import say_findings, say_json

    found = worst_first(plan.findings)
    bad = {Severity.ERROR, Severity.WARNING} if speak["strict"] else {Severity.ERROR}
    if speak["as_json"]:
        say_json(found)
    else:
        say_findings(f for f in found if not speak["quiet"] or f.severity is not Severity.NOTE)
        if not speak["quiet"]:
            for target in targets:
                click.echo(str(target))
    spoiled = any(finding.severity in bad for finding in found)
    return int(ExitCode.SPOILED if spoiled else ExitCode.FINE)
