"""Sheets to PDF: the plan's placements and marks, nothing decided here.

Each source page is one form XObject in the file, each side one page that draws
forms between q and Q, clipped to what may be inked.  What is equal is written
once: forms, boxes, marks of a layout, and the operators of sides that differ in
nothing but the pages on them.
"""

from __future__ import annotations

import warnings
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path

import pikepdf
from pikepdf import Object, ObjectStreamMode, StreamDecodeLevel

from impose.errors import OutputError
from impose.findings import Finding
from impose.pdf.book import Book, SidePage
from impose.pdf.calm import collector_at_rest
from impose.pdf.catalogue import (
    carried_entries,
    fresh_catalogue,
    least_version,
    takes_object_streams,
)
from impose.pdf.content import maker_of
from impose.pdf.files import refuse_input, replacing
from impose.pdf.lettering import Lettering
from impose.pdf.operators import Numbers, Pen, factor_text
from impose.pdf.placed import Grains4, Placed, Places, box_grains, joined
from impose.pdf.read import Document, Sources
from impose.plan.parts import Shape, Sheet, Side
from impose.plan.plan import Plan


def write_sheets(
    plan: Plan, sources: Sources, target: Path, role: str = "guts"
) -> tuple[Finding, ...]:
    """Writes both sides of every sheet of that role, front before back.

    `sources` are the files of the plan, in the same order.  It may be called
    again on the same sources for another role.  Raises `OutputError` when the
    target is an input or cannot be written, `InputError` when a page cannot be
    read; the target is then as it was.
    """
    refuse_input(target, sources.paths)
    sheets = [sheet for sheet in plan.sheets if sheet.role == role]
    if not sheets:
        raise ValueError(f"the plan has no sheets for {role}")
    with collector_at_rest():
        return _Writer(plan, sources, sheets).write(target)


class _Writer:
    """One run of `write_sheets`."""

    def __init__(self, plan: Plan, sources: Sources, sheets: Sequence[Sheet]) -> None:
        self._plan = plan
        self._sources = sources
        self._sides = [(side, sheet) for sheet in sheets for _, side in sheet.sides]
        self._numbers = Numbers()
        self._places = Places(plan, sources.facts)
        self._fragments: dict[Placed, bytes] = {}
        self._factors: dict[int, bytes] = {}
        texts = _texts(self._sides)
        self._lettering = Lettering(texts) if texts else None
        self._pen = Pen(self._numbers, self._lettering, plan.mark_ink)

    def write(self, target: Path) -> tuple[Finding, ...]:
        pages = [self._draw(side, sheet) for side, sheet in self._sides]
        used = sorted({page for side in pages for page in side.pages})
        files = sorted({self._plan.pages[page - 1].file for page in used})
        documents = [self._sources.documents[file] for file in files]
        host, forms = self._forms(used)
        entries, findings = carried_entries(host, documents)
        font = self._lettering.embed(host) if self._lettering else None
        entries.Pages = Book(host, forms, self._pen, font).pages(pages)
        with fresh_catalogue(host, entries, self._plan.title):
            _save(host, documents, target)
        note = self._lettering.finding() if self._lettering else None
        return (*findings, note) if note else findings

    def _draw(self, side: Side, sheet: Sheet) -> SidePage:
        operators: list[bytes] = []
        pages: list[int] = []
        clips: list[Grains4] = []
        for placement in side.placements:
            if placement.page is None:
                clips.append(self._places.clip(placement))
                continue
            placed = self._places.of(placement, placement.page)
            clips.append(placed[:4])
            pages.append(placement.page)
            before = self._fragments.get(placed) or self._fragment(placed)
            operators.append(b"%b%d Do Q\n" % (before, len(pages)))
        groups = tuple(group for group in side.marks if group.marks)
        operators += [b"/M%d Do\n" % count for count in range(1, len(groups) + 1)]
        if side.own_marks:
            operators.append(self._pen.choose_ink())
        media = (0, 0, sheet.size.width.grains, sheet.size.height.grains)
        trim = joined([box_grains(placement.trim) for placement in side.placements], media)
        bleed = _within(joined(clips, media), media)
        own = self._pen.draw(side.own_marks)
        return SidePage(b"".join(operators), own, tuple(pages), groups, (media, trim, bleed))

    def _fragment(self, placed: Placed) -> bytes:
        """The operators before the number in the page's name."""
        n = self._numbers
        clip = b"%b %b %b %b re W n" % (
            n[placed.x0],
            n[placed.y0],
            n[placed.x1 - placed.x0],
            n[placed.y1 - placed.y0],
        )
        factors = self._factors.get(placed.linear)
        if factors is None:
            linear = self._places.linears[placed.linear]
            factors = b" ".join(factor_text(factor) for factor in linear)
            self._factors[placed.linear] = factors
        before = b"q %b %b %b %b cm/P" % (clip, factors, n[placed.e], n[placed.f])
        self._fragments[placed] = before
        return before

    def _forms(self, used: Sequence[int]) -> tuple[pikepdf.Pdf, dict[int, Object]]:
        """The forms by page of the plan, all in the document that has most of them."""
        fits = self._plan.pages
        counted = Counter(fits[page - 1].file for page in used)
        if not counted:
            return pikepdf.Pdf.new(), {}
        most = max(counted, key=lambda file: (counted[file], -file))
        host = self._sources.documents[most].pdf
        forms: dict[int, Object] = {}
        for file in sorted(counted):
            pages = {page: fits[page - 1].number for page in used if fits[page - 1].file == file}
            maker = maker_of(self._sources.documents[file])
            maker.make(pages.values())
            for page, number in pages.items():
                stream = maker.forms[number].stream
                forms[page] = stream if file == most else host.copy_foreign(stream)
        return host, forms


def _save(host: pikepdf.Pdf, documents: Sequence[Document], target: Path) -> None:
    mode = ObjectStreamMode.generate
    if not takes_object_streams(documents):
        mode = ObjectStreamMode.disable
    try:
        with replacing(target) as part, part.open("wb") as stream, warnings.catch_warnings():
            # Form fields of the inputs are part of the pages by now and not in the catalogue.
            warnings.simplefilter("ignore", pikepdf.PageCopyWarning)
            host.save(
                stream,
                min_version=least_version(documents),
                fix_metadata_version=False,
                stream_decode_level=StreamDecodeLevel.none,
                object_stream_mode=mode,
                encryption=False,
                deterministic_id=True,
            )
    except pikepdf.PdfError as fault:
        names = ", ".join(str(document.path) for document in documents)
        raise OutputError(
            f"{target} cannot be written: an object of {names} cannot be read",
            hint="export or print the input to PDF again",
        ) from fault


def _within(box: Grains4, media: Grains4) -> Grains4:
    """Other boxes count only within the MediaBox (ISO 32000-1 14.11.2)."""
    if box[0] >= 0 and box[1] >= 0 and box[2] <= media[2] and box[3] <= media[3]:
        return box
    return max(box[0], 0), max(box[1], 0), min(box[2], media[2]), min(box[3], media[3])


def _texts(sides: Iterable[tuple[Side, Sheet]]) -> set[str]:
    """Every text of a mark, groups looked into once."""
    groups = {id(group): group for side, _ in sides for group in side.marks}
    texts = {m.text for group in groups.values() for m in group.marks if m.shape is Shape.TEXT}
    texts.update(m.text for side, _ in sides for m in side.own_marks if m.shape is Shape.TEXT)
    return texts
