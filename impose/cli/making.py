"""`make` and `check` as the terminal sees them: progress, results, exit code."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

import click

from impose.cli.speaking import say_findings, say_json
from impose.errors import ExitCode, ImposeError
from impose.findings import Severity
from impose.geometry.turning import Flip
from impose.model.job import Job
from impose.model.papernames import paper_words
from impose.pipeline import Made, check, make
from impose.plan.plan import Plan
from impose.wishes import PRODUCTS, Wish

#: Work that takes longer than this gets a line of progress.
_PATIENCE_SECONDS = 1.0
_BAR = 24


class TerminalProgress:
    """A bar on stderr, only on a terminal and only when the work takes a while."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self._said = False

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        """A stage begins, or `done` of `of` parts of it are over."""
        if time.monotonic() - self._began < _PATIENCE_SECONDS:
            return
        bar = ""
        if of:
            full = _BAR * done // of
            bar = f"[{'=' * full}{' ' * (_BAR - full)}] {done} of {of} "
        click.echo(f"\r\033[K{bar}{words}", nl=False, err=True)
        self._said = True

    def clear(self) -> None:
        """Takes the line away."""
        if self._said:
            click.echo("\r\033[K", nl=False, err=True)


def run_make(job: Job, out: Path, only: str | None, speak: dict[str, Any]) -> int:
    """Makes the job, says what was made and found; the exit code."""
    names = products_named(only)
    progress = TerminalProgress() if sys.stderr.isatty() and not speak["quiet"] else None
    wish = Wish(only=tuple(names), look=not speak["no_check"], drift=bool(speak.get("drift")))
    made = make(job, out, wish, progress)
    if progress:
        progress.clear()
    code = _speak(made, speak)
    if not speak["quiet"] and not speak["as_json"]:
        steps = how_to_print(made.plan, job)
        click.echo(summary(made.plan, parted=bool(steps)), err=True)
        for step in steps:
            click.echo(step, err=True)
        for path in made.files:
            click.echo(str(path))
    return code


def run_check(job: Job, speak: dict[str, Any]) -> int:
    """Findings only."""
    progress = TerminalProgress() if sys.stderr.isatty() and not speak["quiet"] else None
    made = check(job, progress)
    if progress:
        progress.clear()
    code = _speak(made, speak)
    if not speak["quiet"] and not speak["as_json"]:
        click.echo(summary(made.plan), err=True)
    return code


def _speak(made: Made, speak: dict[str, Any]) -> int:
    spoiled = made.spoiled(speak["strict"])
    if speak["as_json"]:
        say_json(made.findings)
    else:
        if spoiled:
            what = "work" if made.plan.flat else "book"
            words = f"DO NOT PRINT: the {what} would be spoiled."
            click.secho(words, fg="red", bold=True, err=True)
        shown = [f for f in made.findings if not speak["quiet"] or f.severity is not Severity.NOTE]
        say_findings(shown)
    return int(ExitCode.SPOILED if spoiled else ExitCode.FINE)


def products_named(text: str | None) -> list[str]:
    """What `--only` names; empty means everything.  Raises ImposeError for a strange name."""
    if text is None:
        return []
    names = [name.strip() for name in text.split(",") if name.strip()]
    unknown = [name for name in names if name not in PRODUCTS]
    if unknown or not names:
        raise ImposeError(
            f"--only does not know {', '.join(unknown) or 'nothing'}",
            hint=f"it knows {', '.join(PRODUCTS)}",
        )
    return names


def how_to_print(plan: Plan, job: Job) -> tuple[str, ...]:
    """What to do at a printer that prints one side at a time; nothing for any other."""
    if not job.guts.one_side or plan.one_sided("guts"):
        return ()
    from impose.schemes.onesidewords import one_side_steps

    return one_side_steps(plan, job.guts.printer).steps


def summary(plan: Plan, parted: bool = False) -> str:
    """One line: what the sheets are and how to print them; `parted`: fronts, then backs."""
    if plan.flat:
        from impose.reports.flat_rows import flat_summary

        return flat_summary(plan)
    guts = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    sheet = guts[0]
    flip = Flip.that_gives(sheet.turned, sheet.size).value
    cover = ", and a cover" if plan.cover is not None else ""
    if plan.insets:
        cover = f", {sum(inset.leaves for inset in plan.insets)} leaves put in{cover}"
    name = plan.cut_facts.sheet_name if plan.cut_facts else ""
    size = paper_words(name, sheet.size.text(plan.unit))
    how = f"both sides at actual size, turned over on the {flip}"
    if plan.one_sided("guts"):
        how = "one side at actual size"
    elif parted:
        how = "one side at a time at actual size, the first sheet alone before the others"
    elif sheet.one_forme:
        how = f"one forme on both sides ({sheet.work}), turned over on the {flip}"
    return (
        f"{plan.faces} pages of {plan.trim.text(plan.unit)} on {len(guts)} "
        f"sheet{'s' if len(guts) != 1 else ''} of {size}{cover}: print {how}"
    )
