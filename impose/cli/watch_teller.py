"""What happens in a drop folder, as the terminal and other programs are told."""

from __future__ import annotations

import json
from typing import Any

import click

from impose.cli.many import counted, outcome_data, say_outcome
from impose.cli.speaking import printable
from impose.errors import ExitCode
from impose.findings import plain
from impose.plan.wire import finding_data
from impose.printroom.task import Outcome, worst_code


class WatchTeller:
    """A line a job to stdout, findings and what is waited for to stderr."""

    def __init__(self, speak: dict[str, Any]) -> None:
        self._speak = speak
        self._outcomes: dict[str, Outcome] = {}

    @property
    def exit_code(self) -> ExitCode:
        """The worst of what each job came to last."""
        return worst_code(self._outcomes.values(), self._speak["strict"])

    def over(self, outcome: Outcome) -> None:
        self._outcomes[outcome.name] = outcome
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
