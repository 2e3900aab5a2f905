"""Sheets to PDF: the plan's placements and marks, nothing decided here.

Each source page is one form XObject in the file, each side one page that draws
forms between q and Q, clipped to what may be inked.  What is equal is written
once: forms, boxes, marks of a layout, and the operators of sides that differ in
nothing but the pages on them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final

from impose.findings import Finding
from impose.pdf.book import Book, Layout, SidePage
from impose.pdf.calm import collector_at_rest
from impose.pdf.carry import Carrier
from impose.pdf.catalogue import (
    catalogue,
    information,
    intents_of_book,
    takes_object_streams,
    version_for,
)
from impose.pdf.content import Form, FormMaker
from impose.pdf.files import refuse_input, replacing
from impose.pdf.intents import write_intent
from impose.pdf.lettering import Lettering
from impose.pdf.operators import Numbers, Pen, factor_text, fill_field, moved
from impose.pdf.out import PdfOut
from impose.pdf.placed import Placed, side_boxes
from impose.pdf.read import Sources
from impose.pdf.spotspaces import spot_names, spot_resources, spot_spaces
from impose.plan.parts import MarkGroup, Shape, Sheet, Side
from impose.plan.plan import Plan

_BUFFER: Final = 1 << 20


def write_sheets(
    plan: Plan, sources: Sources, target: Path, role: str = "guts"
) -> tuple[Finding, ...]:
    """Writes both sides of every sheet of that role, front before back; the fronts alone where
    nothing is on any back.

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
        self._sides = [(side, sheet) for sheet in sheets for _, side in plan.printed(sheet)]
        self._numbers = Numbers()
        self._spots = spot_resources(spot_names([side for side, _ in self._sides]))
        self._places = sources.places_of(plan)
        self._fragments: dict[tuple[object, ...], bytes] = {}
        self._factors: dict[int, bytes] = {}
        self._layouts: dict[tuple[object, ...], Layout] = {}
        self._groups: dict[int, MarkGroup] = {}
        self._equal_groups: dict[MarkGroup, MarkGroup] = {}
        texts = _texts(self._sides)
        self._lettering = Lettering(texts) if texts else None
        self._pen = Pen(self._numbers, self._lettering, plan.mark_ink)

    def write(self, target: Path) -> tuple[Finding, ...]:
        pages = [self._draw(side, sheet) for side, sheet in self._sides]
        used = sorted({page for side in pages for page in side.pages})
        files = sorted({self._plan.pages[page - 1].file for page in used})
        documents = [self._sources.documents[file] for file in files]
        part_of = self._sources.press.part if self._sources.press else None
        packed = takes_object_streams(documents, part_of)
        with replacing(target) as part, part.open("wb", buffering=_BUFFER) as file:
            out = PdfOut(file, version_for(documents, packed, part_of), packed)
            findings = self._fill(out, pages, used, files)
        note = self._lettering.finding() if self._lettering else None
        return (*findings, note) if note else findings

    def _fill(
        self, out: PdfOut, pages: Sequence[SidePage], used: Sequence[int], files: Sequence[int]
    ) -> tuple[Finding, ...]:
        """Everything between the header and the end of the file."""
        documents = self._sources.documents
        carriers = {file: Carrier(documents[file], out) for file in files}
        makers = {file: FormMaker(documents[file], carriers[file], out) for file in files}
        fits = self._plan.pages
        forms: dict[int, Form] = {}
        for file, maker in makers.items():
            of_file = {page: fits[page - 1].number for page in used if fits[page - 1].file == file}
            made = maker.make(of_file.values())
            forms.update(zip(of_file, made, strict=True))
        font = self._lettering.embed(out) if self._lettering else 0
        numbers = {page: form.number for page, form in forms.items()}
        spaces = spot_spaces(list(self._spots), documents, carriers)
        resources = dict(zip(self._spots.values(), spaces, strict=True))
        tree = Book(out, numbers, self._pen, font, resources).write(pages)
        own = write_intent(out, self._sources.press)
        if not own and not files:
            own = intents_of_book(documents, out)
        carried = [(documents[file], carriers[file]) for file in files]
        text, findings = catalogue(carried, tree, own)
        root, info = out.add_new(text), out.add_new(information(self._plan.title))
        for carrier in carriers.values():
            carrier.finish()
        findings += tuple(found for maker in makers.values() for found in maker.findings())
        out.finish(root, info)
        for page, form in forms.items():
            fit = fits[page - 1]
            self._sources.prints[fit.file, fit.number] = _prints(form, carriers[fit.file])
        return findings

    def _draw(self, side: Side, sheet: Sheet) -> SidePage:
        placed = self._places.on(side)
        strokes = words = b""
        if side.own_marks:
            ink = self._pen.choose_ink()
            strokes = ink + self._pen.strokes(side.own_marks)
            words = self._pen.words(side.own_marks)
            if words and not side.move.idle:
                words = moved(side.move, ink + words, self._numbers)
        media = (0, 0, sheet.size.width.grains, sheet.size.height.grains)
        groups = tuple([self._one_of(group) for group in side.marks if group.marks])
        key = (
            tuple([one[1:] for one in placed]),
            tuple([id(group) for group in groups]),
            strokes,
            not words,
            media,
            None if side.move.idle else side.move,
            side.fills,
        )
        layout = self._layouts.get(key)
        if layout is None:
            fields = b"".join(fill_field(fill, self._numbers, self._spots) for fill in side.fills)
            drawn = fields + self._operators(placed, len(groups)) + strokes
            operators = moved(side.move, drawn, self._numbers)
            boxes = (media, *side_boxes(placed, media))
            layout = self._layouts[key] = Layout(operators, groups, boxes)
        layout.uses += 1
        return SidePage(layout, words, tuple([one.page for one in placed if one.page is not None]))

    def _one_of(self, group: MarkGroup) -> MarkGroup:
        """One object for equal groups, known by identity: comparing all their marks is slow."""
        found = self._groups.get(id(group))
        if found is None:
            found = self._groups[id(group)] = self._equal_groups.setdefault(group, group)
        return found

    def _operators(self, placed: Sequence[Placed], groups: int) -> bytes:
        operators: list[bytes] = []
        for one in placed:
            if one.page is not None:
                before = self._fragments.get(one[2:]) or self._fragment(one)
                operators.append(b"%b%d Do Q\n" % (before, len(operators) + 1))
        operators += [b"/M%d Do\n" % count for count in range(1, groups + 1)]
        return b"".join(operators)

    def _fragment(self, placed: Placed) -> bytes:
        """The operators before the number in the page's name."""
        n = self._numbers
        x0, y0, x1, y1 = placed.clip
        clip = b"%b %b %b %b re W n" % (n[x0], n[y0], n[x1 - x0], n[y1 - y0])
        factors = self._factors.get(placed.linear)
        if factors is None:
            linear = self._places.linears[placed.linear]
            factors = b" ".join(factor_text(factor) for factor in linear)
            self._factors[placed.linear] = factors
        before = b"q %b %b %b %b cm/P" % (clip, factors, n[placed.e], n[placed.f])
        self._fragments[placed[2:]] = before
        return before


def _prints(form: Form, carrier: Carrier) -> tuple[int, ...]:
    """By the inputs' numbers, so that a mistake in exchanging numbers is found out."""
    if not form.drawn:
        return (form.checksum, form.shape)
    drawn = [
        item if isinstance(item, int) else carrier.checksums[item]
        for item in form.drawn
        if isinstance(item, int) or item in carrier.checksums
    ]
    return (form.checksum, form.shape, *drawn)


def _texts(sides: Iterable[tuple[Side, Sheet]]) -> set[str]:
    """Every text of a mark, groups looked into once."""
    groups = {id(group): group for side, _ in sides for group in side.marks}
    texts = {m.text for group in groups.values() for m in group.marks if m.shape is Shape.TEXT}
    texts.update(m.text for side, _ in sides for m in side.own_marks if m.shape is Shape.TEXT)
    return texts
