"""Findings written beside the job they are about, for whoever put the job into the folder."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

from impose.findings import Severity, plain
from impose.pdf.files import write_atomically
from impose.plan.wire import finding_data
from impose.printroom.task import Outcome

_WORDS = {Severity.ERROR: "ERROR", Severity.WARNING: "Warning", Severity.NOTE: "Note"}


def tell_beside(source: Path, outcome: Outcome) -> None:
    """`zine.toml.findings.txt` and `.json` where there is more to say than notes; else those of
    an earlier run go away.

    Raises `OutputError` when they cannot be written.
    """
    worth = any(finding.severity is not Severity.NOTE for finding in outcome.findings)
    if not worth and outcome.result.there:
        take_away(source)
        return
    text, data = _targets(source)
    write_atomically(text, _text(source, outcome).encode())
    told = json.dumps(_data(outcome), ensure_ascii=False, indent=2) + "\n"
    write_atomically(data, told.encode())


def take_away(source: Path) -> None:
    """What was told beside a job that is fine now, or has gone."""
    for path in _targets(source):
        with suppress(OSError):
            path.unlink(missing_ok=True)


def _targets(source: Path) -> tuple[Path, Path]:
    return (
        source.with_name(f"{source.name}.findings.txt"),
        source.with_name(f"{source.name}.findings.json"),
    )


def _text(source: Path, outcome: Outcome) -> str:
    head = "look at this before printing"
    if not outcome.result.there:
        head = "not made"
    elif outcome.spoiled():
        head = "DO NOT PRINT, the book would be spoiled"
    lines = [f"{plain(source.name)}: {head}", ""]
    for finding in outcome.findings:
        lines.append(f"{_WORDS[finding.severity]}: {finding.sentence}")
        if finding.hint:
            lines.append(f"    {finding.hint}")
    return "\n".join(lines) + "\n"


def _data(outcome: Outcome) -> dict[str, Any]:
    return {
        "job": plain(outcome.name),
        "result": outcome.result.value,
        "exit_code": int(outcome.exit_code()),
        "findings": [finding_data(finding) for finding in outcome.findings],
    }
