"""Files written whole or not at all, and never over an input.

Each file is written under a temporary name beside its target and renamed when
it is whole, so a killed run leaves either the old file or the new one.  The
temporary name is always the same for the same target: the next run writes over
what a killed one left, and `sweep_leftovers` removes the rest.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from impose.errors import OutputError

_PREFIX: Final = ".impose-"
_SUFFIX: Final = ".part"


def ensure_folder(folder: Path) -> None:
    """Makes the folder and those above it; raises `OutputError` when that cannot be done."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as fault:
        raise OutputError(
            f"{folder} is a file, not a folder", hint="name another folder with --out"
        ) from fault
    except OSError as fault:
        raise _unwritable(folder, fault) from fault


def refuse_input(target: Path, inputs: Iterable[Path]) -> None:
    """Raises `OutputError` when `target` is one of the inputs, by whatever name it is reached."""
    resolved = target.resolve()
    for path in inputs:
        if resolved == path.resolve() or _same_file(target, path):
            raise OutputError(
                f"{target} is an input of this job and would be written over",
                hint="name another folder with --out, or move the input",
            )


@contextmanager
def replacing(target: Path) -> Iterator[Path]:
    """Gives the temporary path to write to; it becomes `target` when the block ends well.

    On any exception the temporary file is removed and `target` stays as it
    was.  Operating-system faults become `OutputError`.
    """
    part = target.with_name(f"{_PREFIX}{target.name}{_SUFFIX}")
    try:
        yield part
        os.replace(part, target)
    except OSError as fault:
        raise _unwritable(target, fault) from fault
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def write_atomically(target: Path, data: bytes) -> None:
    """Writes the whole file; raises `OutputError`."""
    with replacing(target) as part:
        part.write_bytes(data)


@contextmanager
def staging(folder: Path) -> Iterator[Path]:
    """A working folder inside `folder` that is gone afterwards, whatever happens.

    Its name carries this process's number, so that another run into the same
    folder keeps its own and the next run can tell what a killed one left.
    """
    here = folder / f"{_PREFIX}{os.getpid()}{_SUFFIX}"
    try:
        shutil.rmtree(here, ignore_errors=True)
        here.mkdir()
        yield here
    except OSError as fault:
        raise _unwritable(folder, fault) from fault
    finally:
        shutil.rmtree(here, ignore_errors=True)


def publish(files: Sequence[tuple[Path, Path]]) -> None:
    """Gives finished files their names, in this order; raises `OutputError`."""
    for made, target in files:
        try:
            os.replace(made, target)
        except OSError as fault:
            raise _unwritable(target, fault) from fault


def _runs(number: str) -> bool:
    """Whether a process of that number is alive."""
    if not number.isdigit():
        return False
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def sweep_leftovers(folder: Path) -> None:
    """Removes the temporary files that a killed run left in the folder."""
    with suppress(OSError):
        for part in folder.glob(f"{_PREFIX}*{_SUFFIX}"):
            if not part.is_dir():
                part.unlink(missing_ok=True)
            elif not _runs(part.name.removeprefix(_PREFIX).removesuffix(_SUFFIX)):
                shutil.rmtree(part, ignore_errors=True)


def sha256_of(path: Path) -> str:
    """The file's hash in hexadecimal; raises `OutputError` when it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as fault:
        raise OutputError(f"{path} cannot be read back: {fault.strerror}") from fault


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def _unwritable(path: Path, fault: OSError) -> OutputError:
    return OutputError(
        f"{path} cannot be written: {fault.strerror or fault}",
        hint="check that the folder exists, has room and may be written to",
    )
