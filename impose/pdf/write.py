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
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, ObjectStreamMode, Stream, StreamDecodeLevel

from impose.errors import OutputError
from impose.findings import Finding
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
from impose.pdf.operators import ALL_INKS, FONT, Numbers, Pen, factor_text
from impose.pdf.placed import Grains4, Linear, Placed, Places, box_grains, joined
from impose.pdf.read import Document, Sources
from impose.plan.parts import Mark, MarkGroup, Shape, Sheet, Side
from impose.plan.plan import Plan

#: Kids of one node of the page tree: short paths without long arrays.
_KIDS: Final = 64
#: From this many uses on, the operators of a side are worth a stream of their own.
_WORTH_SHARING: Final = 3


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


@dataclass(frozen=True, slots=True)
class _Drawn:
    """One side as it will be written: operators, and what they name, in order."""

    shared: bytes
    own: bytes
    pages: tuple[int, ...]
    groups: tuple[MarkGroup, ...]
    boxes: tuple[Grains4, Grains4, Grains4]
    has_text: bool


class _Writer:
    """One run of `write_sheets`."""

    def __init__(self, plan: Plan, sources: Sources, sheets: Sequence[Sheet]) -> None:
        self._plan = plan
        self._sources = sources
        self._sides = [(side, sheet) for sheet in sheets for _, side in sheet.sides]
        self._numbers = Numbers()
        self._places = Places(plan, sources.facts)
        self._fragments: dict[Placed, tuple[bytes, bytes]] = {}
        self._factors: dict[Linear, bytes] = {}
        texts = _texts(self._sides)
        self._lettering = Lettering(texts) if texts else None
        self._pen = Pen(self._numbers, self._lettering, plan.mark_ink)

    def write(self, target: Path) -> tuple[Finding, ...]:
        drawn = [self._draw(side, sheet) for side, sheet in self._sides]
        used = sorted({page for one in drawn for page in one.pages})
        documents = self._documents(used)
        host, forms = self._forms(used)
        entries, findings = carried_entries(host, documents)
        book = _Book(host, forms, self._pen, self._lettering, self._plan.mark_ink)
        entries.Pages = book.pages(drawn)
        with fresh_catalogue(host, entries, self._plan.title):
            _save(host, documents, target)
        note = self._lettering.finding() if self._lettering else None
        return (*findings, note) if note else findings

    def _draw(self, side: Side, sheet: Sheet) -> _Drawn:
        operators: list[bytes] = []
        pages: list[int] = []
        clips: list[Grains4] = []
        trims: list[Grains4] = []
        for placement in side.placements:
            trims.append(box_grains(placement.trim))
            if placement.page is None:
                clips.append(self._places.clip(placement))
                continue
            placed = self._places.of(placement, placement.page)
            clips.append(placed.clip)
            pages.append(placement.page)
            before, after = self._fragments.get(placed) or self._fragment(placed)
            operators.append(b"%b%d%b" % (before, len(pages), after))
        groups = tuple(group for group in side.marks if group.marks)
        operators += [b"/M%d Do\n" % count for count in range(1, len(groups) + 1)]
        media = (0, 0, sheet.size.width.grains, sheet.size.height.grains)
        return _Drawn(
            b"".join(operators),
            self._pen.draw(side.own_marks),
            tuple(pages),
            groups,
            (media, joined(trims, media), _within(joined(clips, media), media)),
            _has_text(side.own_marks),
        )

    def _fragment(self, placed: Placed) -> tuple[bytes, bytes]:
        """The operators before and after the number of the page's name."""
        n = self._numbers
        x0, y0, x1, y1 = placed.clip
        clip = b"%b %b %b %b re W n" % (n[x0], n[y0], n[x1 - x0], n[y1 - y0])
        factors = self._factors.get(placed.linear)
        if factors is None:
            factors = b" ".join(factor_text(factor) for factor in placed.linear)
            self._factors[placed.linear] = factors
        before = b"q %b %b %b %b cm/P" % (clip, factors, n[placed.e], n[placed.f])
        self._fragments[placed] = before, b" Do Q\n"
        return before, b" Do Q\n"

    def _documents(self, used: Iterable[int]) -> list[Document]:
        files = {self._plan.pages[page - 1].file for page in used}
        return [self._sources.documents[file] for file in sorted(files)]

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


class _Book:
    """Page objects of the host, and what they share."""

    def __init__(
        self,
        host: pikepdf.Pdf,
        forms: dict[int, Object],
        pen: Pen,
        lettering: Lettering | None,
        ink: str,
    ) -> None:
        self._host = host
        self._forms = forms
        self._pen = pen
        self._numbers = Numbers()
        self._boxes: dict[Grains4, Object] = {}
        self._streams: dict[bytes, Object] = {}
        self._groups: dict[tuple[MarkGroup, Grains4], Object] = {}
        self._group_of: dict[tuple[int, Grains4], Object] = {}
        self._fonts: Object | None = None
        self._inks: Object | None = None
        if lettering:
            self._fonts = host.make_indirect(
                Dictionary({"/" + FONT.decode(): lettering.embed(host)})
            )
        if ink == "registration":
            self._inks = host.make_indirect(Dictionary({"/" + ALL_INKS.decode(): _all_inks()}))

    def pages(self, sides: Sequence[_Drawn]) -> Object:
        """The page tree: a root over nodes of 64 pages, or over the pages if they are few."""
        host = self._host
        uses = Counter(side.shared for side in sides)
        root = host.make_indirect(Dictionary(Type=Name.Pages, Count=len(sides)))
        if len(sides) <= _KIDS:
            root.Kids = Array([self._page(side, root, uses) for side in sides])
            return root
        nodes = []
        for start in range(0, len(sides), _KIDS):
            part = sides[start : start + _KIDS]
            node = host.make_indirect(Dictionary(Type=Name.Pages, Parent=root, Count=len(part)))
            node.Kids = Array([self._page(side, node, uses) for side in part])
            nodes.append(node)
        root.Kids = Array(nodes)
        return root

    def _page(self, side: _Drawn, parent: Object, uses: Counter[bytes]) -> Object:
        media, trim, bleed = side.boxes
        drawn = {f"/P{i}": self._forms[page] for i, page in enumerate(side.pages, start=1)}
        for i, group in enumerate(side.groups, start=1):
            drawn[f"/M{i}"] = self._group(group, media)
        resources: dict[str, object] = {"/XObject": drawn}
        if side.own:
            self._add_ink_and_font(resources, side.has_text)
        return self._host.make_indirect(
            Dictionary(
                {
                    "/Type": Name.Page,
                    "/Parent": parent,
                    "/MediaBox": self._box(media),
                    "/TrimBox": self._box(trim),
                    "/BleedBox": self._box(bleed),
                    "/Contents": self._contents(side, uses),
                    "/Resources": resources,
                }
            )
        )

    def _contents(self, side: _Drawn, uses: Counter[bytes]) -> Object:
        if side.own and side.shared and uses[side.shared] >= _WORTH_SHARING:
            return Array([self._stream(side.shared), self._stream(side.own)])
        return self._stream(side.shared + side.own)

    def _stream(self, operators: bytes) -> Object:
        stream = self._streams.get(operators)
        if stream is None:
            stream = self._streams[operators] = Stream(self._host, operators)
        return stream

    def _group(self, group: MarkGroup, media: Grains4) -> Object:
        """By identity first: comparing all the marks of a group costs more than drawing them."""
        key = (id(group), media)
        form = self._group_of.get(key)
        if form is None:
            form = self._groups.get((group, media))
            if form is None:
                form = self._groups[group, media] = self._new_group(group, media)
            self._group_of[key] = form
        return form

    def _new_group(self, group: MarkGroup, media: Grains4) -> Object:
        resources: dict[str, object] = {}
        self._add_ink_and_font(resources, _has_text(group.marks))
        form = Stream(self._host, self._pen.draw(group.marks))
        form.update(
            {
                "/Type": Name.XObject,
                "/Subtype": Name.Form,
                "/BBox": self._box(media),
                "/Resources": Dictionary(resources),
            }
        )
        return form

    def _add_ink_and_font(self, resources: dict[str, object], has_text: bool) -> None:
        if self._inks is not None:
            resources["/ColorSpace"] = self._inks
        if has_text and self._fonts is not None:
            resources["/Font"] = self._fonts

    def _box(self, grains: Grains4) -> Object:
        box = self._boxes.get(grains)
        if box is None:
            text = b"[ %b %b %b %b ]" % tuple(self._numbers[value] for value in grains)
            box = self._boxes[grains] = self._host.make_indirect(Object.parse(text))
        return box


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
    return (
        max(box[0], media[0]),
        max(box[1], media[1]),
        min(box[2], media[2]),
        min(box[3], media[3]),
    )


def _texts(sides: Iterable[tuple[Side, Sheet]]) -> set[str]:
    """Every text of a mark, groups looked into once."""
    groups = {id(group): group for side, _ in sides for group in side.marks}
    texts = {m.text for group in groups.values() for m in group.marks if m.shape is Shape.TEXT}
    texts.update(m.text for side, _ in sides for m in side.own_marks if m.shape is Shape.TEXT)
    return texts


def _has_text(marks: Iterable[Mark]) -> bool:
    return any(mark.shape is Shape.TEXT for mark in marks)


def _all_inks() -> Object:
    """Registration colour: the same tint of every ink (ISO 32000-1 8.6.6.4)."""
    tint = Dictionary(
        FunctionType=2,
        Domain=Array([0, 1]),
        C0=Array([0, 0, 0, 0]),
        C1=Array([1, 1, 1, 1]),
        N=1,
    )
    return Array([Name.Separation, Name.All, Name.DeviceCMYK, tint])
