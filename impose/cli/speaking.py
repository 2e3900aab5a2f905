"""Terminal text: findings and results in words, worst first; JSON from the same values."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

import click

from impose.findings import Finding, Severity, worst_first
from impose.plan.wire import finding_data

_LOOK = {
    Severity.ERROR: ("ERROR", "red"),
    Severity.WARNING: ("Warning", "yellow"),
    Severity.NOTE: ("Note", "cyan"),
}


def say_findings(findings: Iterable[Finding]) -> None:
    """To stderr, worst first, each with its hint."""
    for finding in worst_first(findings):
        word, colour = _LOOK[finding.severity]
        head = click.style(f"{word}:", fg=colour, bold=finding.severity is Severity.ERROR)
        click.echo(f"{head} {finding.sentence}", err=True)
        if finding.hint:
            click.echo(f"    {finding.hint}", err=True)


def say_json(findings: Iterable[Finding], **more: object) -> None:
    """One JSON object to stdout."""
    say_json_data(
        {"findings": [finding_data(finding) for finding in worst_first(findings)], **more}
    )


def say_json_data(data: dict[str, Any]) -> None:
    """JSON data to stdout."""
    click.echo(printable(json.dumps(data, ensure_ascii=False, indent=2)))


def printable(text: str) -> str:
    """Control characters, direction overrides and what is no text as JSON's own escapes: the
    value stays the same, and a terminal is not told to do anything."""
    return "".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1] for c in text)
