"""`impose print-ready`: written sheets held to rules of a part of ISO 15930."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

if TYPE_CHECKING:
    from impose.findings import Finding
    from impose.model.conditions import Part

#: As in a job file; `--help` does not wait for the model.
_PARTS: Final = ("X-1a", "X-3", "X-4")


@click.command()
@click.argument(
    "files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="SHEETS.pdf..."
)
@click.option(
    "--ready",
    type=click.Choice(_PARTS, case_sensitive=False),
    default=_PARTS[-1],
    show_default=True,
    help="The part whose rules are taken.",
)
@click.option("--units", type=click.Choice(["mm", "in"]), default="mm", show_default=True)
@click.option("--json", "as_json", is_flag=True, help="Findings as JSON on stdout.")
@click.option("--quiet", is_flag=True, help="Broken rules only.")
def print_ready(files: tuple[Path, ...], ready: str, units: str, as_json: bool, quiet: bool) -> int:
    """Hold written sheets to the rules of ISO 15930 that can be told without its text.

    This is no certification.  Page numbers are those of the file.
    """
    from impose.checks.ready import check_ready, not_a_claim
    from impose.cli.speaking import say_json
    from impose.errors import ExitCode
    from impose.findings import Severity
    from impose.model.conditions import Part
    from impose.pdf.sheetreading import read_sheets

    part = Part(ready)
    found: list[Finding] = []
    for path in files:
        file = read_sheets(path)
        broken = check_ready(file, part, units)
        told = (*broken, not_a_claim(file, part))
        found += told
        if not as_json:
            _say(path, part, told, quiet)
    if as_json:
        say_json(found)
    warned = any(finding.severity is not Severity.NOTE for finding in found)
    return int(ExitCode.SPOILED if warned else ExitCode.FINE)


def _say(path: Path, part: Part, told: Sequence[Finding], quiet: bool) -> None:
    """The file's line to stdout, then its findings to stderr."""
    from impose.cli.speaking import say_findings
    from impose.findings import Severity, plain

    rules = {finding.code for finding in told if finding.severity is not Severity.NOTE}
    words = (
        f"{len(rules)} rule{'s' if len(rules) != 1 else ''} broken" if rules else "no rule broken"
    )
    if not quiet:
        click.echo(plain(f"{path}: {words} of those of {part.title} that can be told"))
    say_findings(f for f in told if not quiet or f.severity is not Severity.NOTE)
