"""Many jobs as the terminal sees them: one line of progress, findings by job, one table."""

from __future__ import annotations

import shutil
import sys
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import click

from impose.cli.making import TerminalProgress, products_named
from impose.cli.speaking import say_findings, say_json_data
from impose.errors import ExitCode, ImposeError
from impose.findings import Severity, plain
from impose.model.overrides import Overrides
from impose.plan.wire import finding_data
from impose.printroom.many import make_many
from impose.printroom.one import is_job_file
from impose.printroom.task import Outcome, Result, Stage, Task, worst_code
from impose.wishes import Wish

_HEADS: Final = ("job", "sheets", "findings", "result", "where")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the command line names; `jobs` is how many are made at once."""

    files: tuple[str, ...]
    out: Path
    only: str | None
    jobs: int | None
    again: bool


class _View(TerminalProgress):
    """How many jobs are over, and what is done with the others."""

    def view(self, done: int, of: int, running: Mapping[str, Stage]) -> None:
        """One line, never wider than the terminal."""
        parts = [f"{name}: {_stage(stage)}" for name, stage in running.items()]
        room = shutil.get_terminal_size().columns - 45
        words = plain("; ".join(parts))
        self.stage(words if len(words) <= room else words[: max(0, room - 1)] + "…", done, of)


def _stage(stage: Stage) -> str:
    return f"{stage.words} {stage.done}/{stage.of}" if stage.of else stage.words


def run_many(asked: Asked, overrides: Overrides, speak: dict[str, Any]) -> int:
    """Makes the jobs, says what became of each; the worst of their exit codes."""
    pages = [name for name in asked.files if not is_job_file(Path(name))]
    if pages:
        raise ImposeError(
            f"{pages[0]} is no job file; several jobs are named by their job files alone",
            hint="name the pages in a job file, or make them in a run of their own",
        )
    only = tuple(products_named(asked.only))
    wish = Wish(only=only, look=not speak["no_check"], drift=bool(speak.get("drift")))
    tasks = [
        Task(
            name=path.stem,
            source=path,
            folder=asked.out / path.stem,
            overrides=overrides,
            wish=wish,
            again=asked.again,
        )
        for path in map(Path, asked.files)
    ]
    view = _View() if sys.stderr.isatty() and not speak["quiet"] else None
    outcomes = make_many(tasks, asked.jobs, view)
    if view:
        view.clear()
    say_outcomes(outcomes, speak)
    return int(worst_code(outcomes, speak["strict"]))


def say_outcomes(outcomes: Sequence[Outcome], speak: dict[str, Any]) -> None:
    """Findings of each job to stderr, the table to stdout; or both as JSON."""
    for outcome in outcomes:
        if outcome.trouble:
            click.echo(outcome.trouble, err=True)
    if speak["as_json"]:
        findings = [
            {**finding_data(f), "job": outcome.name}
            for outcome in outcomes
            for f in outcome.findings
        ]
        jobs = [outcome_data(outcome, speak["strict"]) for outcome in outcomes]
        say_json_data({"findings": findings, "jobs": jobs})
        return
    for outcome in outcomes:
        say_outcome(outcome, speak["strict"])
    for line in table(outcomes, speak["strict"]):
        click.echo(line)
    if not speak["quiet"]:
        click.echo(totals(outcomes), err=True)


def say_outcome(outcome: Outcome, strict: bool) -> None:
    """The findings of one job but its notes, under its name; nothing where there are none."""
    told = [f for f in outcome.findings if f.severity is not Severity.NOTE]
    if not told:
        return
    click.secho(f"{plain(outcome.name)}:", bold=True, err=True)
    if outcome.spoiled(strict):
        click.secho("DO NOT PRINT: the book would be spoiled.", fg="red", bold=True, err=True)
    say_findings(told)


def outcome_data(outcome: Outcome, strict: bool) -> dict[str, Any]:
    """One job for `--json`."""
    return {
        "job": outcome.name,
        "result": outcome.result.value,
        "exit_code": int(outcome.exit_code(strict)),
        "sheets": outcome.sheets,
        "folder": str(outcome.folder),
        "files": [str(path) for path in outcome.files],
    }


def table(outcomes: Sequence[Outcome], strict: bool) -> list[str]:
    """A line a job, in the order given; columns as wide as they must be."""
    rows = [_HEADS, *(_row(outcome, strict) for outcome in outcomes)]
    widths = [max(len(row[i]) for row in rows) for i in range(len(_HEADS) - 1)]
    lines = []
    for row in rows:
        cells = [cell.ljust(width) for cell, width in zip(row, widths, strict=False)]
        cells[1] = row[1].rjust(widths[1])
        lines.append("  ".join([*cells, row[-1]]).rstrip())
    return lines


def _row(outcome: Outcome, strict: bool) -> tuple[str, ...]:
    there = outcome.result.there
    result = outcome.result.value
    if outcome.spoiled(strict):
        result += ", DO NOT PRINT"
    elif not there:
        result += f" ({int(outcome.refused)})"
    return (
        plain(outcome.name),
        str(outcome.sheets) if there else "-",
        counted(outcome),
        result,
        plain(str(outcome.folder)) if there else "-",
    )


def counted(outcome: Outcome) -> str:
    """`1 error, 2 warnings`; a dash for none."""
    counts = Counter(finding.severity for finding in outcome.findings)
    parts = [
        f"{counts[severity]} {severity.value}{'s' if counts[severity] != 1 else ''}"
        for severity in Severity
        if counts[severity]
    ]
    return ", ".join(parts) or "-"


def totals(outcomes: Sequence[Outcome]) -> str:
    """One line: how many jobs, and what became of them."""
    counts = Counter(outcome.result for outcome in outcomes)
    parts = [f"{counts[result]} {result.value}" for result in Result if counts[result]]
    spoiled = sum(outcome.exit_code() is ExitCode.SPOILED for outcome in outcomes)
    if spoiled:
        parts.append(f"{spoiled} not to print")
    return f"{len(outcomes)} job{'s' if len(outcomes) != 1 else ''}: {', '.join(parts)}"
