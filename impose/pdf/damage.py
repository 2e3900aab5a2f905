"""What is wrong with an input that can be used all the same."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

import pikepdf

from impose.findings import Finding, page_ranges
from impose.pdf.annotations import generate_missing, has_lost
from impose.pdf.sources import Document

#: In words, what qpdf and other readers take where the MediaBox is missing.
_SIZE_TAKEN: Final = "612 x 792 pt"


def findings_of(document: Document) -> tuple[Finding, ...]:
    """Lost annotations, entries that were ignored, and what was repaired."""
    file = str(document.path)
    found = _lost_annotations(document)
    ignored: dict[str, list[int]] = {}
    for number, kind in enumerate(document.kinds, start=1):
        for name in kind.told.ignored:
            ignored.setdefault(name, []).append(number)
    for name, pages in ignored.items():
        found.append(
            Finding.warning(
                "box-ignored",
                f"{file}, {_on(pages)}: the {name} says nothing usable and is ignored",
                hint="check the size and the position of these pages",
                file=file,
                pages=pages,
                entry=name,
            )
        )
    faults = document.faults = len(document.pdf.get_warnings())
    if faults:
        found.extend(_repaired(document, faults))
    return tuple(found)


def damaged_contents(path: Path, pages: Mapping[int, bool]) -> tuple[Finding, ...]:
    """Findings for pages whose content could not be decoded to its end, and whether what was
    read before the damage is drawn."""
    found = []
    for drawn, how in (
        (True, "what can be read of it is drawn, the rest is lost"),
        (False, "nothing of it can be read; it is carried as it is"),
    ):
        numbers = [page for page, mended in pages.items() if mended is drawn]
        if numbers:
            say = Finding.warning if drawn else Finding.error
            found.append(
                say(
                    "content-damaged",
                    f"{path}, {_on(numbers)}: the content is damaged: {how}",
                    hint="look at these pages in the proof, or export the file again",
                    file=str(path),
                    pages=numbers,
                )
            )
    return tuple(found)


def _lost_annotations(document: Document) -> list[Finding]:
    """Also makes the appearances that a form leaves to its reader: it changes what is lost."""
    if not any(b"Annots" in kind.own for kind in set(document.kinds)):
        return []
    generate_missing(document.pdf)
    lost = [
        number
        for number, kind in enumerate(document.kinds, start=1)
        if b"Annots" in kind.own and _loses(document.pages[number - 1])
    ]
    if not lost:
        return []
    return [
        Finding.warning(
            "annotation-lost",
            f"{document.path}, {_on(lost)}: annotations without an appearance "
            "of their own are not printed",
            hint="print the file to PDF from a reader that shows them, and use that",
            file=str(document.path),
            pages=lost,
        )
    ]


def _loses(page: pikepdf.Object) -> bool:
    """What is too broken to be looked at is not counted: readers do not show it either."""
    try:
        return has_lost(page)
    except (pikepdf.PdfError, RuntimeError, TypeError):
        return False


def _repaired(document: Document, faults: int) -> list[Finding]:
    file = str(document.path)
    found = [
        Finding.warning(
            "repaired",
            f"{file} is damaged and was repaired while it was read "
            f"({faults} fault{'s' if faults > 1 else ''})",
            hint="look through the proof, or export the file again",
            file=file,
            faults=faults,
        )
    ]
    lacking = _pages_without_media(document)
    if lacking:
        found.append(
            Finding.warning(
                "media-box-missing",
                f"{file}, {_on(lacking)}: no MediaBox, {_SIZE_TAKEN} taken",
                hint="check the size of these pages, or export the file again",
                file=file,
                pages=lacking,
                taken=_SIZE_TAKEN,
            )
        )
    return found


def _on(pages: Sequence[int]) -> str:
    """`page 2`, `pages 2, 5-7`."""
    return f"page{'s' if len(pages) > 1 else ''} {page_ranges(pages)}"


def _pages_without_media(document: Document) -> list[int]:
    """Page numbers whose MediaBox qpdf had to invent; it says so only in words.

    Reads the file a second time, without the page list that mends it; a file
    that is locked or broken in other ways gives nothing here.
    """
    try:
        with pikepdf.Pdf.open(document.copy or document.path, inherit_page_attributes=False) as raw:
            lacking: list[int] = []
            count = 0
            stack = [(raw.Root.get("/Pages"), False)]
            seen: set[tuple[int, int]] = set()
            while stack:
                node, has_box = stack.pop()
                if not isinstance(node, pikepdf.Dictionary) or node.objgen in seen:
                    continue
                if node.is_indirect:
                    seen.add(node.objgen)
                has_box = has_box or "/MediaBox" in node
                kids = node.get("/Kids")
                if isinstance(kids, pikepdf.Array):
                    stack.extend((kid, has_box) for kid in reversed(list(kids)))
                    continue
                count += 1
                if not has_box:
                    lacking.append(count)
            return lacking if count == len(document.pages) else []
    except (pikepdf.PikepdfError, RuntimeError):
        return []
