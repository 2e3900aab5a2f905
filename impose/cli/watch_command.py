"""`impose watch`: a drop folder, jobs in, results out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from impose.cli.making import products_named
from impose.cli.many import counted, outcome_data, say_outcome
from impose.cli.options import choice_options, overrides_from
from impose.cli.speaking import printable
from impose.errors import ExitCode
from impose.findings import plain
from impose.pipeline import Wish
from impose.plan.wire import finding_data
from impose.printroom.arrivals import DropFolder
from impose.printroom.task import Outcome, worst_code
from impose.printroom.watching import WatchSettings, watch_folder


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@choice_options
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("print"),
    show_default=True,
    help="Folder for the results, one below it for each job.",
)
@click.option("--jobs", type=click.IntRange(1, 256), help="So many at once (as many as cores).")
@click.option("--pdfs", is_flag=True, help="PDFs that no job names are jobs of the options given.")
@click.option("--once", is_flag=True, help="End when all that is there is done.")
@click.option(
    "--settle",
    type=click.FloatRange(0, 3600),
    default=2.0,
    show_default=True,
    help="Seconds for which a job's files must not have changed.",
)
@click.option(
    "--patience",
    type=click.FloatRange(0, 86400),
    default=60.0,
    show_default=True,
    help="Seconds after which a missing file is waited for no longer.",
)
@click.option("--only", help="Only these products, as with make; unchanged jobs are told by plan.")
@click.option("--no-check", is_flag=True, help="Do not look at what is on the pages.")
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--json", "as_json", is_flag=True, help="A line of JSON a job on stdout.")
@click.option("--quiet", is_flag=True, help="No findings and no waiting on stderr.")
def watch(folder: Path, out: Path, **options: Any) -> int:
    """Make every job that is put into a folder, until interrupted.

    Findings are written beside the job they are about.
    """
    speak = {name: options.pop(name) for name in ("strict", "as_json", "quiet")}
    settings = WatchSettings(
        workers=options.pop("jobs"),
        once=options.pop("once"),
        wish=Wish(
            only=tuple(products_named(options.pop("only"))), look=not options.pop("no_check")
        ),
    )
    settle, patience = options.pop("settle"), options.pop("patience")
    drop = DropFolder(
        folder=folder,
        out=out,
        settle=settle,
        patience=max(settle, patience),
        pdfs=options.pop("pdfs"),
        overrides=overrides_from(options),
    )
    teller = _Teller(speak)
    if not speak["quiet"]:
        click.echo(f"watching {folder}; results go to {out}; interrupt to stop", err=True)
    watch_folder(drop, settings, teller)
    return int(worst_code(teller.outcomes.values(), speak["strict"]))


class _Teller:
    """A line a job to stdout, findings and what is waited for to stderr."""

    def __init__(self, speak: dict[str, Any]) -> None:
        self._speak = speak
        self.outcomes: dict[str, Outcome] = {}

    def over(self, outcome: Outcome) -> None:
        self.outcomes[outcome.name] = outcome
        strict = self._speak["strict"]
        if outcome.trouble:
            click.echo(outcome.trouble, err=True)
        if self._speak["as_json"]:
            findings = [finding_data(finding) for finding in outcome.findings]
            data = {**outcome_data(outcome, strict), "findings": findings}
            click.echo(printable(json.dumps(data, ensure_ascii=False)))
            return
        if not self._speak["quiet"]:
            say_outcome(outcome, strict)
        word = outcome.result.value
        if outcome.exit_code(strict) is ExitCode.SPOILED and outcome.result.there:
            word += ", DO NOT PRINT"
        where = f" in {outcome.folder}" if outcome.result.there else ""
        click.echo(plain(f"{outcome.name}: {word}{where} ({counted(outcome)})"))

    def said(self, name: str, words: str) -> None:
        if not self._speak["quiet"]:
            click.echo(plain(f"{name}: {words}"), err=True)
