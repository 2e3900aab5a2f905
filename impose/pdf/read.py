"""Opening inputs, and the facts about every page.

Boxes are inherited, put in order and scaled by UserUnit here, once; nobody
after this module reads a page's dictionary again except the pdf layer itself.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Final

import pikepdf

from impose.errors import InputError
from impose.findings import Finding, page_ranges
from impose.model.facts import PageFacts, SourceFacts
from impose.pdf.annotations import generate_missing, has_lost
from impose.pdf.calm import collector_at_rest
from impose.pdf.facts import LETTER, TOLD, Told, tell
from impose.pdf.pagetext import entries, fold, settled, split_contents, without_passing
from impose.pdf.placed import Places
from impose.plan.plan import Plan

_HEADER: Final = b"%PDF-"
_HEADER_WITHIN: Final = 1024


class Kind:
    """What pages whose dictionaries differ in nothing but their content have in common.

    `own` are the top-level entries as text, nested dictionaries folded away;
    `example` is the index of one such page.
    """

    __slots__ = ("example", "facts", "own", "told")

    def __init__(self, told: Told, facts: PageFacts, own: dict[bytes, bytes], example: int) -> None:
        self.told = told
        self.facts = facts
        self.own = own
        self.example = example


class Document:
    """One opened input: page objects, and beside them what their text says.

    `contents` holds object and generation number (`12 0`) where a page's
    content is one reference, else nothing.
    """

    __slots__ = ("contents", "kinds", "pages", "path", "pdf")

    def __init__(self, path: Path, pdf: pikepdf.Pdf) -> None:
        self.path = path
        self.pdf = pdf
        self.pages: list[pikepdf.Object] = []
        self.contents: list[bytes] = []
        self.kinds: list[Kind] = []

    def resolve(self, reference: bytes) -> bytes:
        """The text of the object that `12 0 R` names."""
        number, generation, _ = reference.split()
        return self.pdf.get_object((int(number), int(generation))).unparse(True)


class Sources:
    """The opened inputs.  Only the pdf layer looks inside; everybody may read `facts`.

    A context manager; pages cannot be placed once it is closed.  `places` and
    `prints` are kept from writing a plan to reading it back: where placements
    lie, and by file and page number the checksums of a page's content and of
    the XObjects that it can draw, in the order of their names.
    """

    __slots__ = ("documents", "facts", "places", "prints")

    def __init__(self, documents: list[Document], facts: tuple[SourceFacts, ...]) -> None:
        self.documents = documents
        self.facts = facts
        self.places: Places | None = None
        self.prints: dict[tuple[int, int], tuple[int, ...]] = {}

    @property
    def paths(self) -> tuple[Path, ...]:
        """The input files in order."""
        return tuple(document.path for document in self.documents)

    def places_of(self, plan: Plan) -> Places:
        """Where the plan's placements lie; kept for plans with the same sheets and pages."""
        places = self.places
        if (
            places is None
            or places.plan.sheets is not plan.sheets
            or places.plan.pages is not plan.pages
        ):
            places = self.places = Places(plan, self.facts)
        return places

    def close(self) -> None:
        """Lets the files go; harmless when done twice."""
        self.places = None
        for document in self.documents:
            document.pages.clear()
            document.pdf.close()
        self.documents.clear()

    def __enter__(self) -> Sources:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


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
        findings=_findings(document),
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


def _findings(document: Document) -> tuple[Finding, ...]:
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
                f"{file}, pages {page_ranges(pages)}: the {name} says nothing usable "
                "and is ignored",
                hint="check the size and the position of these pages",
                file=file,
                pages=pages,
                entry=name,
            )
        )
    faults = document.pdf.get_warnings()
    if faults:
        found.extend(_repaired(document, len(faults)))
    return tuple(found)


def _lost_annotations(document: Document) -> list[Finding]:
    """Also makes the appearances that a form leaves to its reader: it changes what is lost."""
    if not any(b"Annots" in kind.own for kind in set(document.kinds)):
        return []
    generate_missing(document.pdf)
    lost = [
        number
        for number, kind in enumerate(document.kinds, start=1)
        if b"Annots" in kind.own and has_lost(document.pages[number - 1])
    ]
    if not lost:
        return []
    return [
        Finding.warning(
            "annotation-lost",
            f"{document.path}, pages {page_ranges(lost)}: annotations without an appearance "
            "of their own are not printed",
            hint="print the file to PDF from a reader that shows them, and use that",
            file=str(document.path),
            pages=lost,
        )
    ]


def _repaired(document: Document, faults: int) -> list[Finding]:
    file = str(document.path)
    found = [
        Finding.warning(
            "repaired",
            f"{file} is damaged and was repaired while it was read ({faults} faults)",
            hint="look through the proof, or export the file again",
            file=file,
            faults=faults,
        )
    ]
    lacking = _pages_without_media(document)
    if lacking:
        size = numbers_text(LETTER)
        found.append(
            Finding.warning(
                "media-box-missing",
                f"{file}, pages {page_ranges(lacking)}: no MediaBox, {size} pt taken",
                hint="check the size of these pages, or export the file again",
                file=file,
                pages=lacking,
                taken=f"{size} pt",
            )
        )
    return found


def numbers_text(box: bytes) -> str:
    """`612 x 792` of `[ 0 0 612 792 ]`."""
    words = box.decode().split()
    return f"{words[3]} x {words[4]}"


_KIDS = re.compile(rb"/Kids\b")


def _pages_without_media(document: Document) -> list[int]:
    """Page numbers whose MediaBox qpdf had to invent; it says so only in words.

    Reads the file a second time, without the page list that mends it; a file
    that is locked or broken in other ways gives nothing here.
    """
    try:
        with pikepdf.Pdf.open(document.path, inherit_page_attributes=False) as raw:
            lacking: list[int] = []
            count = 0
            stack = [(raw.Root.get("/Pages"), False)]
            seen: set[tuple[int, int]] = set()
            while stack:
                node, has_box = stack.pop()
                if not isinstance(node, pikepdf.Dictionary) or node.objgen in seen:
                    continue
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
    except pikepdf.PikepdfError:
        return []
