"""Inputs that one reader cannot read, or reads otherwise than the second one.

A census of public test files gave the rule: pikepdf refuses some that pdfium
opens, and now and then the two count pages differently.  A copy that pdfium
makes is used and said; two counts are a matter for the person.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path

import pikepdf

from impose.errors import InputError
from impose.findings import Finding
from impose.pdf.secondreader import count_pages, save_anew
from impose.pdf.sources import Document


def repaired_copy(path: Path, passwords: Sequence[str]) -> Document | None:
    """The second reader's copy of the file, in a folder that goes when it is closed; None when
    it cannot open the file either."""
    folder = Path(tempfile.mkdtemp(prefix="impose-repair-"))
    copy = folder / "copy.pdf"
    try:
        for pages_only in (False, True):
            if save_anew(path, copy, passwords, pages_only) is not None:
                pdf = _opened(copy)
                if pdf is not None:
                    return Document(path, pdf, copy)
    except BaseException:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    shutil.rmtree(folder, ignore_errors=True)
    return None


def _opened(copy: Path) -> pikepdf.Pdf | None:
    """The copy, if its pages can be told."""
    try:
        pdf = pikepdf.Pdf.open(copy)
    except (pikepdf.PikepdfError, RuntimeError):
        return None
    try:
        if len(pdf.pages):
            return pdf
    except (pikepdf.PikepdfError, RuntimeError):
        pass
    pdf.close()
    return None


def said_repaired(document: Document) -> Finding:
    """The finding for a file that is used in the second reader's copy."""
    count = len(document.pages)
    return Finding.warning(
        "repaired-copy",
        f"{document.path} is so damaged that only a second reader could open it; its repaired "
        f"copy is used, of {count} page{'s' if count > 1 else ''}",
        hint="look through the proof whether all pages are there and whole, or export the file "
        "again",
        file=str(document.path),
        count=count,
    )


def refuse_other_count(document: Document, passwords: Sequence[str]) -> None:
    """Raises `InputError` when a damaged file has other pages for the second reader.

    A sound file is not read twice for this; looking at the pages counts again.
    """
    if not document.faults:
        return
    count = count_pages(document.path, passwords)
    if count is not None and count != len(document.pages):
        raise other_count(document.path, len(document.pages), count)


def other_count(path: Path, first: int, second: int) -> InputError:
    """The error with both numbers."""
    return InputError(
        f"{path}: one reader counts {first} pages in it, another {second}; nobody can say which "
        "pages would be printed",
        hint="print the file to PDF again from a program that shows all pages",
    )
