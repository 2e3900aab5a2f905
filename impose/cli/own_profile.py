"""A printer's profile kept with the user's own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from impose.errors import ImposeError
from impose.model.profilefolders import Kind, user_folder
from impose.model.profiles import Library
from impose.pdf.files import ensure_folder, write_atomically


def keep(library: Library, name: str, keep_as: str | None, change: Callable[[str], str]) -> Path:
    """The printer's file, changed, in the user's folder; its path.

    Raises ImposeError for a name that is none, OutputError when it cannot be written.
    """
    stem = keep_as or library.path(Kind.PRINTERS, name).stem
    if not stem.strip() or Path(stem).name != stem or stem.startswith("."):
        raise ImposeError(
            f"'{stem}' cannot be the name of a profile", hint="use letters and digits"
        )
    target = user_folder() / Kind.PRINTERS.value / f"{stem}.toml"
    text = change(library.text(Kind.PRINTERS, name))
    ensure_folder(target.parent)
    write_atomically(target, text.encode())
    return target


def hidden_by(library: Library, target: Path) -> str:
    """A sentence where another file of that name wins over the one kept; empty where none does."""
    found = library.path(Kind.PRINTERS, target.stem)
    if found.resolve() == target.resolve():
        return ""
    return f"{found} wins over it: keep the correction under another name (--keep-as)"
