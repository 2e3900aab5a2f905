"""Opening inputs, and the facts about every page.

Boxes are inherited, put in order and scaled by UserUnit here, once; nobody
after this module reads a page's dictionary again except the pdf layer itself.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

import pikepdf

from impose.errors import InputError
from impose.model.facts import SourceFacts
from impose.pdf.calm import collector_at_rest
from impose.pdf.damage import findings_of
from impose.pdf.facts import TOLD, Told, tell
from impose.pdf.files import is_text
from impose.pdf.limits import memory_to_read
from impose.pdf.pagetext import entries, fold, settled, split_contents, without_passing
from impose.pdf.repair import refuse_other_count, repaired_copy, said_repaired
from impose.pdf.sources import Document, Kind, Sources

__all__ = ["Document", "Kind", "Sources", "open_sources"]

_HEADER: Final = b"%PDF-"
_HEADER_WITHIN: Final = 1024
#: What the library raises for files that it cannot make sense of.
_BROKEN: Final = (pikepdf.PdfError, RuntimeError)


def open_sources(paths: Sequence[Path], passwords: Sequence[str] = ()) -> Sources:
    """Opens every input and reads the facts of every page.

    Each password is tried on each file, the empty one first.  A file that is
    damaged beyond repair is opened in the copy that the second reader makes of
    it, which is a finding.  Raises `InputError` naming the file (and the page)
    for the first input that is missing, not a PDF, damaged beyond that too,
    locked, without pages, too large to be read, or that has a page without
    area; and for a damaged one of which two readers count other pages.
    """
    documents: list[Document] = []
    facts: list[SourceFacts] = []
    with collector_at_rest():
        try:
            for path in paths:
                document, told = _open_and_read(path, passwords)
                documents.append(document)
                facts.append(told)
        except BaseException:
            Sources(documents, ()).close()
            raise
    return Sources(documents, tuple(facts))


def _open_and_read(path: Path, passwords: Sequence[str]) -> tuple[Document, SourceFacts]:
    size = _check_is_pdf(path)
    try:
        with memory_to_read(size):
            document = Document(path, _open(path, passwords))
            try:
                facts = _read(document)
                refuse_other_count(document, passwords)
            except BaseException:
                document.close()
                raise
            return document, facts
    except _DamagedError as fault:
        repaired = repaired_copy(path, passwords)
        if repaired is None:
            raise InputError(fault.message, fault.hint) from fault
    except MemoryError as fault:
        raise InputError(
            f"{path} would take more memory than there is for it: something in it inflates "
            "to a multiple of its size",
            hint="export or print the file to PDF again",
        ) from fault
    try:
        facts = _read(repaired)
    except BaseException:
        repaired.close()
        raise
    return repaired, replace(facts, findings=(said_repaired(repaired), *facts.findings))


class _DamagedError(InputError):
    """Damage that another reader may get over."""


def _open(path: Path, passwords: Sequence[str]) -> pikepdf.Pdf:
    for password in ("", *passwords):
        try:
            return pikepdf.Pdf.open(path, password=password)
        except pikepdf.PasswordError:
            continue
        except _BROKEN as fault:
            raise _DamagedError(
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


def _check_is_pdf(path: Path) -> int:
    """The file's size; the header may stand anywhere in the first 1024 bytes, as readers
    accept it."""
    if not is_text(path):
        raise InputError(f"the name of {path} is no text (it is not UTF-8)", hint="rename the file")
    try:
        with path.open("rb") as file:
            start = file.read(_HEADER_WITHIN + len(_HEADER))
            size = os.fstat(file.fileno()).st_size
    except OSError as fault:
        raise _unreadable(path, fault) from fault
    if _HEADER not in start:
        what = "is empty" if not start else "is not a PDF"
        raise InputError(
            f"{path} {what}",
            hint="give a PDF file with finished pages: save or export it as PDF from the program "
            "that it was made with",
        )
    return size


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
    except _BROKEN as fault:
        raise _DamagedError(
            f"{path}: the list of pages is damaged beyond repair",
            hint="export or print the file to PDF again",
        ) from fault
    if not document.pages:
        raise _DamagedError(f"{path} has no pages", hint="give a PDF file with finished pages")
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
