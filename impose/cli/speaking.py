"""Terminal text: findings and results in words, worst first; JSON from the same values."""

from __future__ import annotations

import json
from collections.abc import Iterable

import click

from impose.findings import Finding, Severity, page_ranges, worst_first
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
        where = f"line {finding.line}: " if finding.line else ""
        click.echo(f"{head} {where}{finding.message}{_pages(finding)}", err=True)
        if finding.hint:
            click.echo(f"    {finding.hint}", err=True)


def say_json(findings: Iterable[Finding], **more: object) -> None:
    """One JSON object to stdout."""
    data = {"findings": [finding_data(finding) for finding in worst_first(findings)], **more}
    click.echo(_printable(json.dumps(data, ensure_ascii=False, indent=2)))


def _printable(text: str) -> str:
    """Control characters, direction overrides and what is no text as JSON's own escapes: the
    value stays the same, and a terminal is not told to do anything."""
    return "".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1] for c in text)


def _pages(finding: Finding) -> str:
    if not finding.pages or "page" in finding.message:
        return ""
    word = "page" if len(finding.pages) == 1 else "pages"
    return f" ({word} {page_ranges(finding.pages)})"
