"""Written sheets held to a part of ISO 15930: read here, judged in `impose.checks.ready`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from impose.checks.ready import check_ready, not_a_claim
from impose.findings import Finding
from impose.model.conditions import Part
from impose.pdf.sheetreading import read_sheets


def ready_findings(target: Path, part: Part, unit: str) -> tuple[Finding, ...]:
    """Of sheets that a job has written: pages in the words only, since those of a plan's findings
    are pages of the source."""
    file = read_sheets(target)
    found = (*check_ready(file, part, unit), not_a_claim(file, part))
    return tuple(replace(finding, pages=()) for finding in found)
