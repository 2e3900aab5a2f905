"""One job among many: what is to be made, and what became of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path

from impose.errors import ExitCode
from impose.findings import Finding, Severity
from impose.model.job import Job
from impose.model.overrides import Overrides
from impose.wishes import EVERYTHING, Wish


class Result(Enum):
    """What became of a job; the value is its word in tables and in JSON."""

    MADE = "made"
    UNCHANGED = "unchanged"  #: made by an earlier run, and nothing has changed since
    NOT_MADE = "not made"  #: the user can mend why
    DEFECT = "defect"  #: of the program

    @property
    def there(self) -> bool:
        """The files of the job lie in its folder."""
        return self in (Result.MADE, Result.UNCHANGED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """A job to make into `folder`.

    `source` is a job file (`.toml`), a file of pages that `overrides` make a job
    of, or a finished job, on which `overrides` say nothing.  `again`: made also
    when nothing has changed.
    """

    name: str
    source: Path | Job
    folder: Path
    overrides: Overrides = field(default_factory=Overrides)
    wish: Wish = EVERYTHING
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """How far a job is: `done` of `of` parts, both 0 where nothing is counted."""

    words: str
    done: int = 0
    of: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a job.

    `sheets` counts those of one copy, guts and cover.  `refused` is the exit
    code of a job that was not made.  `trouble` is the traceback of a defect.
    """

    name: str
    folder: Path
    result: Result
    findings: tuple[Finding, ...] = ()
    files: tuple[Path, ...] = ()
    sheets: int = 0
    refused: ExitCode = ExitCode.FINE
    trouble: str = ""

    def spoiled(self, strict: bool = False) -> bool:
        """It was made, and findings say that the book would be spoiled (`strict`: or warn)."""
        bad = {Severity.ERROR, Severity.WARNING} if strict else {Severity.ERROR}
        return self.result.there and any(f.severity in bad for f in self.findings)

    def exit_code(self, strict: bool = False) -> ExitCode:
        """As if the job had been made alone."""
        if not self.result.there:
            return self.refused
        return ExitCode.SPOILED if self.spoiled(strict) else ExitCode.FINE


def worst_code(outcomes: Iterable[Outcome], strict: bool = False) -> ExitCode:
    """The highest exit code of all: what cannot be written is worse than what cannot be read,
    that worse than a faulty job, that worse than a spoiled book."""
    return max((outcome.exit_code(strict) for outcome in outcomes), default=ExitCode.FINE)
