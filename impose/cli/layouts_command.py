"""`impose layouts`: every way the pages fit the sheets at hand, ranked."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from impose.cli.options import job_from, job_options
from impose.errors import ExitCode

if TYPE_CHECKING:
    from impose.bench.layoutrow import Comparison
    from impose.model.job import Job


@click.command()
@job_options
@click.option("--all", "everything", is_flag=True, help="All rows, and what falls out with why.")
@click.option("--json", "as_json", is_flag=True, help="All rows and what falls out as JSON.")
def layouts(inputs: tuple[str, ...], everything: bool, as_json: bool, **options: Any) -> int:
    """List every layout of a job on the sheets at hand, with sheets, waste, cuts and grain."""
    from impose.comparing import layouts as compare

    job = job_from(inputs, options)
    found = compare(job)
    if as_json:
        click.echo(json.dumps(_data(found), ensure_ascii=False, indent=2))
    else:
        _speak(found, job, everything)
    return int(ExitCode.FINE if found.rows else ExitCode.SPOILED)


def _data(found: Comparison) -> dict[str, Any]:
    from impose.reports.layout_table import row_data

    return {
        "rule": found.rule,
        "currency": found.currency,
        "units": "pt",
        "layouts": [row_data(row) for row in found.rows],
        "out": [{"name": one.name, "reason": one.reason} for one in found.unfit],
    }


def _speak(found: Comparison, job: Job, everything: bool) -> None:
    """The table to stdout, words about it to stderr."""
    from impose.reports.layout_table import SHOWN, columns, notes, row_notes, table_lines

    for line in notes(job):
        click.echo(line, err=True)
    rows = found.rows if everything else found.rows[:SHOWN]
    if rows:
        for line in table_lines(found, rows):
            click.echo(line)
        for column in columns(found):
            click.echo(f"  {column.heading}: {column.meaning}", err=True)
        click.echo(found.rule, err=True)
        for line in row_notes(rows):
            click.echo(line, err=True)
    else:
        click.echo("No layout of this job can be made on these sheets.", err=True)
    if len(rows) < len(found.rows):
        click.echo(f"{len(found.rows) - len(rows)} more: --all lists them.", err=True)
    if everything or not rows:
        for one in found.unfit:
            click.echo(f"out: {one.name}: {one.reason}")
    elif found.unfit:
        click.echo(f"{len(found.unfit)} ways fall out: --all says why.", err=True)
    if rows:
        click.echo("Take one: impose make ... --layout NUMBER", err=True)
