"""Opening inputs, and the facts about every page.

Boxes are inherited, put in order and scaled by UserUnit here, once; nobody
after this module reads a page's dictionary again except the pdf layer itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import pikepdf

from impose.errors import InputError
from impose.model.facts import SourceFacts
from impose.pdf.calm import collector_at_rest
from impose.pdf.damage import findings_of
from impose.pdf.facts import TOLD, Told, tell
from impose.pdf.pagetext import entries, fold, settled, split_contents, without_passing
from impose.pdf.sources import Document, Kind, Sources

__all__ = ["Document", "Kind", "Sources", "open_sources"]

_HEADER: Final = b"%PDF-"
_HEADER_WITHIN: Final = 1024


def open_sources(paths: Sequence[Path], passwords: Sequence[str] = ()) -> Sources:
    """Opens every input and reads the facts of every page.

    Each password is tried on each file, the empty one first.  Raises
    `InputError` naming the file (and the page) for the first input that is
    missing, not a PDF, damaged beyond repair, locked, without pages, or that
    has a page without area.
    """
    documents: list[Document] = []
    facts: list[SourceFacts] = []
    with collector_at_rest():
        try:
            for path in paths:
                document = Document(path, _open(path, passwords))
                documents.append(document)
                facts.append(_read(document))
        except BaseException:
            Sources(documents, ()).close()
            raise
    return Sources(documents, tuple(facts))


def _open(path: Path, passwords: Sequence[str]) -> pikepdf.Pdf:
    _check_is_pdf(path)
    for password in ("", *passwords):
        try:
            return pikepdf.Pdf.open(path, password=password)
        except pikepdf.PasswordError:
            continue
        except pikepdf.PdfError as fault:
            raise InputError(
                f"{path} is damaged beyond repair",
                hint="export or print the file to PDF again, or restore it from a copy",
            ) from fault
        except OSError as fault:
            raise _unreadable(path, fault) from fault
    if passwords:
        raise InputError(
            f"{path} is locked and no given password opens it",
            hint="give the right one with --password",
        )
    raise InputError(f"{path} is locked with a password", hint="give it with --password")


def _check_is_pdf(path: Path) -> None:
    """The header may stand anywhere in the first 1024 bytes, as readers accept it."""
    try:
        with path.open("rb") as file:
            start = file.read(_HEADER_WITHIN + len(_HEADER))
    except OSError as fault:
        raise _unreadable(path, fault) from fault
    if _HEADER not in start:
        what = "is empty" if not start else "is not a PDF"
        raise InputError(f"{path} {what}", hint="give a PDF file with finished pages")


def _unreadable(path: Path, fault: OSError) -> InputError:
    if isinstance(fault, FileNotFoundError):
        return InputError(f"{path} does not exist", hint="check the name and the folder")
    return InputError(
        f"{path} cannot be read: {fault.strerror or fault}", hint="check the file's permissions"
    )


def _read(document: Document) -> SourceFacts:
    """Fills the document's lists and tells its facts."""
    path = document.path
    try:
        _read_pages(document)
    except pikepdf.PdfError as fault:
        raise InputError(
            f"{path}: the list of pages is damaged beyond repair",
            hint="export or print the file to PDF again",
        ) from fault
    if not document.pages:
        raise InputError(f"{path} has no pages", hint="give a PDF file with finished pages")
    return SourceFacts(
        file=str(path),
        pages=tuple(kind.facts for kind in document.kinds),
        findings=findings_of(document),
    )


def _read_pages(document: Document) -> None:
    kinds: dict[bytes, Kind] = {}
    reader = _KindReader(document)
    pages, add_kind = document.pages, document.kinds.append
    add_contents = document.contents.append
    for page in document.pdf.pages:
        obj = page.obj
        number, rest = split_contents(obj.unparse(True))
        kind = kinds.get(rest)
        if kind is None:
            kind = kinds[rest] = reader.read(rest if number else rest[3:], len(pages))
        pages.append(obj)
        add_kind(kind)
        add_contents(number)


class _KindReader:
    """Reads kinds of pages of one document; equal boxes give the same facts object."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._entries: dict[bytes, tuple[Told, dict[bytes, bytes]]] = {}
        self._told: dict[tuple[bytes, ...], Told] = {}

    def read(self, text: bytes, index: int) -> Kind:
        """`text` ends with the `>>` of the page's dictionary."""
        folded = fold(text)
        key = without_passing(folded)
        found = self._entries.get(key)
        if found is None:
            own = entries(folded)
            found = self._entries[key] = self._tell(own), own
        told, own = found
        if told.facts is None:
            raise InputError(
                f"{self._document.path}, page {index + 1}: the page has no area "
                f"(MediaBox {told.media.decode('ascii', 'replace')})",
                hint="remove the page or export the file again",
            )
        return Kind(told, told.facts, own, index)

    def _tell(self, own: dict[bytes, bytes]) -> Told:
        resolve = self._document.resolve
        settled_own: dict[bytes, bytes] = {
            name: settled(own[name], resolve) for name in TOLD if name in own
        }
        key = tuple(settled_own.get(name, b"") for name in TOLD)
        told = self._told.get(key)
        if told is None:
            told = self._told[key] = tell(settled_own)
        return told
