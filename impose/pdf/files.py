"""Files written whole or not at all, and never over an input or through a link.

Each file is written under a temporary name beside its target and renamed when
it is whole, so a killed run leaves either the old file or the new one.  The
temporary name is always the same for the same target: the next run writes over
what a killed one left.  Sets of files: `impose.pdf.publishing`.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from impose.errors import OutputError

#: Of every temporary name.
PREFIX: Final = ".impose-"
SUFFIX: Final = ".part"


def ensure_folder(folder: Path) -> None:
    """Makes the folder and those above it; raises `OutputError` when that cannot be done."""
    if not is_text(folder):
        raise OutputError(
            f"the name of the folder {folder} is no text (it is not UTF-8)",
            hint="name another folder with --out",
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError as fault:
        raise OutputError(
            f"{folder} is a file, not a folder", hint="name another folder with --out"
        ) from fault
    except OSError as fault:
        raise unwritable(folder, fault) from fault


def is_text(path: Path) -> bool:
    """Whether the name can be written down; the system allows any bytes."""
    try:
        str(path).encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def refuse_input(target: Path, inputs: Iterable[Path]) -> None:
    """Raises `OutputError` when `target` is one of the inputs, by whatever name it is reached."""
    resolved = target.resolve()
    for path in inputs:
        if resolved == path.resolve() or _same_file(target, path):
            raise OutputError(
                f"{target} is an input of this job and would be written over",
                hint="name another folder with --out, or move the input",
            )


def refuse_link(target: Path) -> None:
    """Raises `OutputError` when `target` is a symbolic link: writing through it would change a
    file elsewhere, writing over it would cut the link, and neither was asked for."""
    if target.is_symlink():
        raise OutputError(
            f"{target} is a link to {os.readlink(target)}; nothing is written through a link",
            hint="remove the link, or name another folder with --out",
        )


@contextmanager
def replacing(target: Path) -> Iterator[Path]:
    """Gives the temporary path to write to; it becomes `target` when the block ends well.

    On any exception the temporary file is removed and `target` stays as it
    was.  Operating-system faults become `OutputError`, and so does a target
    that is a link.
    """
    refuse_link(target)
    part = target.with_name(f"{PREFIX}{target.name}{SUFFIX}")
    try:
        part.unlink(missing_ok=True)  # a link that somebody put there is not written through
        yield part
        os.replace(part, target)
    except OSError as fault:
        raise unwritable(target, fault) from fault
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def write_atomically(target: Path, data: bytes) -> None:
    """Writes the whole file; raises `OutputError`."""
    with replacing(target) as part:
        part.write_bytes(data)


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


def unwritable(path: Path, fault: OSError) -> OutputError:
    """The error for a file or folder that the system does not let us write."""
    return OutputError(
        f"{path} cannot be written: {fault.strerror or fault}",
        hint="check that the folder exists, has room and may be written to",
    )
