"""The one root of expected mistakes, and the exit codes they lead to.

Anything a user can cause is an `ImposeError` (or a subclass) and ends in a
message without a traceback.  Anything else is a defect of the program.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import IntEnum
from typing import Final

from impose.findings import Finding


class ExitCode(IntEnum):
    """What the process tells its caller; fixed, because scripts depend on it."""

    FINE = 0
    SPOILED = 1  #: the files are written, but findings say the book would be spoiled
    USAGE = 2  #: the command or the job file is wrong
    INPUT = 3  #: an input cannot be read
    OUTPUT = 4  #: output cannot be written
    INTERRUPTED = 130


class ImposeError(Exception):
    """A mistake that the user can mend.

    `hint` says what to change.  `exit_code` is the process's exit code.
    """

    exit_code = ExitCode.USAGE

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def finding(self) -> Finding:
        """The same fault as a finding, for `--json`."""
        return Finding.error("refused", self.message, hint=self.hint)


class UnitError(ImposeError):
    """A length or size that cannot be understood."""


class JobError(ImposeError):
    """One or more faults of a job; all of them are carried at once."""

    def __init__(self, faults: Sequence[Finding]) -> None:
        super().__init__("\n".join(fault.message for fault in faults))
        self.faults = tuple(faults)


class InputError(ImposeError):
    """An input file that cannot be used; the message names file and page."""

    exit_code = ExitCode.INPUT


class OutputError(ImposeError):
    """Output that cannot be written."""

    exit_code = ExitCode.OUTPUT


class PlanMismatchError(Exception):
    """The written PDF differs from the plan: a defect of this program, never a user's."""


_NO_MEMORY: Final = Finding.error(
    "refused",
    "the job needs more memory than there is for it",
    hint="make it in parts, or on a larger machine",
)


def told(fault: BaseException) -> tuple[tuple[Finding, ...], ExitCode] | None:
    """An exception as findings and exit code; None for a defect of the program."""
    if isinstance(fault, JobError):
        return fault.faults, fault.exit_code
    if isinstance(fault, ImposeError):
        return (fault.finding(),), fault.exit_code
    if isinstance(fault, MemoryError):
        return (_NO_MEMORY,), ExitCode.INPUT
    if isinstance(fault, OSError):
        return (_no_system(fault),), ExitCode.OUTPUT
    return None


def _no_system(fault: OSError) -> Finding:
    """A fault of the system under the program: a full disk behind stdout, no more processes."""
    where = f"{fault.filename}: " if fault.filename else ""
    return Finding.error(
        "refused",
        f"the system says: {where}{fault.strerror or fault}",
        hint="check that there is room where the results go",
    )
