"""The proof: the book as it will come out, made from the sheets that were written.

Each side of the sheets' PDF becomes one form; each page of the proof draws the
parts that the knife leaves (schemes.boundbook), clipped and turned, in reading
order.  Every page is laid out at trim size and outlined outside the trim.  An
inner leaf of a section is narrower than the trim: its fore-edge is where the
knife is, and the strip at the spine that lies in the fold, where there is no
paper, is hatched.  The strip that glue or thread takes from the reader is shaded.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Object, Stream

from impose.bench.flatproof import cut_items, flat_openings
from impose.errors import OutputError, PlanMismatchError
from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.geometry.moving import Move
from impose.model.job import Binding
from impose.pdf.calm import collector_at_rest
from impose.pdf.carry import Carrier
from impose.pdf.catalogue import catalogue, information, takes_object_streams, version_for
from impose.pdf.drifting import worst_drifts
from impose.pdf.files import refuse_input, replacing
from impose.pdf.lettering import Lettering
from impose.pdf.operators import FONT, Numbers, factor_text
from impose.pdf.out import PdfOut
from impose.pdf.proofpages import HATCH, ROOM, SHADE, Sketch
from impose.pdf.read import Document
from impose.plan.insets import role_of
from impose.plan.plan import Plan
from impose.schemes.boundbook import BoundBook, Face, bind_book
from impose.schemes.openings import SPINE, Desk, Opening
from impose.units import ZERO, Length

#: What the reader does not see of a page beside the spine, from memory: glued leaves do not
#: open to the very edge; leaves sewn through the side open no farther than the thread.
SWALLOWED: Final[Mapping[str, Length]] = {
    Binding.PERFECT.value: Length.inches("1/8"),
    Binding.STAB.value: Length.inches("1/2"),
}
#: How dark the swallowed strip lies over the page.
_SHADE: Final = b"<</ca 0.15>>"
_BEFORE: Final = ("front", "inside front")
_AFTER: Final = ("inside back", "back", SPINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverFaces:
    """The cover as bound, from its own written sheets.

    `faces` are named "front", "inside front", "inside back", "back" and
    "spine", in any order; those that are not there are left out.  `pdf` holds
    the plan's sheets of the role "cover", which the faces name by number.
    """

    pdf: Path
    faces: tuple[Face, ...]

    def named(self, names: Sequence[str]) -> list[Face]:
        """The faces of these names, in the order of the names."""
        return [face for name in names for face in self.faces if face.name == name]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofLook:
    """What is shown besides the pages of the guts.

    `swallowed` is the strip at the spine that is shaded; None: as the binding
    has it (`SWALLOWED`); with a length of 0 nothing is shaded.  `insets` are the
    written sheets of the plan's insets, group by group.  `copy` is which of the
    copies that a set of sheets gives, from 1.
    """

    swallowed: Length | None = None
    cover: CoverFaces | None = None
    copy: int = 1
    insets: tuple[Path, ...] = ()


def write_proof(
    plan: Plan,
    sheets_pdf: Path,
    target: Path,
    *,
    drift: Length | None = None,
    spreads: bool = True,
    look: ProofLook | None = None,
) -> tuple[Finding, ...]:
    """Writes the proof of the guts in `sheets_pdf`, as spreads or page by page.

    With `drift` every cut is off by that much in the worst direction for each
    page, and the true trim is drawn.  Returns what is wrong with the bound book.
    Raises PlanMismatchError when the sheets make no book, `OutputError` when the
    target is one of the sheets' files or a file cannot be read or written.
    """
    look = look or ProofLook()
    cover = look.cover
    refuse_input(target, [sheets_pdf, *look.insets, *([cover.pdf] if cover else [])])
    book = BoundBook(cut_items(plan)) if plan.flat else bind_book(plan, look.copy)
    drift = drift or ZERO
    with collector_at_rest(), ExitStack() as stack:
        written = [("guts", sheets_pdf), *_named(look.insets)]
        files = [
            (role, path, [face for face in book.faces if face.role == role])
            for role, path in written
        ]
        if cover:
            files.append(("cover", cover.pdf, list(cover.faces)))
        parts = []
        for role, path, faces in files:
            parts.append(_Printed(plan, role, path, faces, drift))
            stack.callback(parts[-1].document.pdf.close)
        desk = Desk(trim=plan.trim, bound_at=plan.bound_at, room=ROOM + drift, spreads=spreads)
        before, after = (cover.named(names) if cover else [] for names in (_BEFORE, _AFTER))
        if plan.flat:
            openings = flat_openings(book.faces, ROOM + drift)
        elif book.views:
            openings = desk.lay(book.views) if spreads else desk.lay_alone(book.faces)
        else:
            openings = desk.open([*before, *book.faces, *after])
        labels = {id(face): str(number) for number, face in enumerate(book.faces, start=1)}
        _Proof(parts, openings, _sketch(plan, parts, look, drift, labels)).write(plan.title, target)
    return book.findings


def _named(insets: Sequence[Path]) -> list[tuple[str, Path]]:
    return [(role_of(number), path) for number, path in enumerate(insets, start=1)]


class _Printed:
    """The written sheets of one role, and the faces that are made of them."""

    def __init__(
        self, plan: Plan, role: str, path: Path, faces: Sequence[Face], drift: Length
    ) -> None:
        self.faces = tuple(faces)
        sheets = [sheet for sheet in plan.sheets if sheet.role == role]
        printed = [
            (sheet.number, name, side) for sheet in sheets for name, side in plan.printed(sheet)
        ]
        self._pages = {(number, name): at for at, (number, name, _) in enumerate(printed)}
        one_forme = [sheet.number for sheet in sheets if sheet.one_forme]
        self._pages.update({(n, "back"): self._pages[n, "front"] for n in one_forme})
        self._printers = [side.move.inverse for _, _, side in printed]
        self.document = Document(path, _opened(path, len(printed)))
        moves = [Edges()] * len(self.faces)
        if drift:
            moves = worst_drifts(path, self._pages, self.faces, drift)
        self.moves = {id(face): move for face, move in zip(self.faces, moves, strict=True)}

    def page(self, face: Face) -> int:
        """The index of the PDF page that the face is cut from."""
        return self._pages[face.sheet, face.side]

    def write_forms(self, carrier: Carrier, out: PdfOut) -> dict[int, int]:
        """Each side that is needed as one form (ISO 32000-1 8.10), by face; its operators
        are few, what they draw is carried over as it is."""
        used = {self.page(face) for face in self.faces}
        written = {
            index: _write_form(page.obj, carrier, out, self._printers[index])
            for index, page in enumerate(self.document.pdf.pages)
            if index in used
        }
        return {id(face): written[self.page(face)] for face in self.faces}


def _opened(path: Path, sides: int) -> pikepdf.Pdf:
    try:
        pdf = pikepdf.Pdf.open(path)
    except (pikepdf.PdfError, OSError) as fault:
        raise OutputError(f"{path} cannot be read back: {fault}") from fault
    if len(pdf.pages) != sides:
        count = len(pdf.pages)
        pdf.close()
        raise PlanMismatchError(f"{path} has {count} pages, the plan {sides} sides")
    return pdf


def _write_form(page: Object, carrier: Carrier, out: PdfOut, printer: Move) -> int:
    """The side as it comes out: a `printer` that is not true undoes the file's correction."""
    contents = page.get("/Contents", Array())
    parts = [contents] if isinstance(contents, Stream) else list(contents)
    entries = b"/Type/XObject/Subtype/Form/BBox %b/Resources %b" % (
        carrier.value(page.MediaBox),
        carrier.value(page.get("/Resources", Dictionary())),
    )
    if not printer.idle:
        n, four = Numbers(), (printer.a, printer.b, printer.c, printer.d)
        factors = b" ".join(map(factor_text, four))
        entries += b"/Matrix[%b %b %b]" % (factors, n[printer.e.grains], n[printer.f.grains])
    return out.add_own_stream(entries, b"\n".join(part.read_bytes() for part in parts))


def _sketch(
    plan: Plan,
    parts: Sequence[_Printed],
    look: ProofLook,
    drift: Length,
    labels: Mapping[int, str],
) -> Sketch:
    swallowed = look.swallowed
    return Sketch(
        trim=_widest(plan),
        unit=plan.unit,
        folds={role_of(inset.number): inset.folds for inset in plan.insets},
        swallowed=SWALLOWED.get(plan.binding, ZERO) if swallowed is None else swallowed,
        drift=drift,
        labels={id(face): face.name or labels[id(face)] for part in parts for face in part.faces},
        moves={face: move for part in parts for face, move in part.moves.items()},
    )


def _widest(plan: Plan) -> Size:
    """What holds every page."""
    sizes = [plan.trim, *(inset.size for inset in plan.insets), *(i.trim for i in plan.items)]
    return Size(max(size.width for size in sizes), max(size.height for size in sizes))


class _Proof:
    """The file of one proof."""

    def __init__(
        self, parts: Sequence[_Printed], openings: Sequence[Opening], sketch: Sketch
    ) -> None:
        self._parts = parts
        self._openings = openings
        self._sketch = sketch
        self._numbers = Numbers()
        words = {sketch.label(shown) for opening in openings for shown in opening.shown}
        self._lettering = Lettering(words)

    def write(self, title: str, target: Path) -> None:
        documents = [part.document for part in self._parts]
        packed = takes_object_streams(documents)
        with replacing(target) as part, part.open("wb") as file:
            out = PdfOut(file, version_for(documents, packed), packed)
            try:
                self._fill(out, title)
            except pikepdf.PdfError as fault:
                names = ", ".join(str(document.path) for document in documents)
                raise OutputError(f"{names} cannot be read back: {fault}") from fault

    def _fill(self, out: PdfOut, title: str) -> None:
        carried = [(part.document, Carrier(part.document, out)) for part in self._parts]
        forms: dict[int, int] = {}
        for part, (_, carrier) in zip(self._parts, carried, strict=True):
            forms |= part.write_forms(carrier, out)
        tree = self._tree(out, forms)
        text, _ = catalogue(carried, tree)
        root, info = out.add_new(text), out.add_new(information(title))
        for _, carrier in carried:
            carrier.finish()
        out.finish(root, info)

    def _tree(self, out: PdfOut, forms: Mapping[int, int]) -> int:
        """The page tree, and what all pages share."""
        hatch = out.add_own_stream(
            b"/Type/XObject/Subtype/Form/BBox %b"
            % self._box(Box.at(ZERO, ZERO, self._sketch.trim)),
            self._sketch.hatch(),
        )
        font = self._lettering.embed(out)
        shared = b"/Font %d 0 R/ExtGState %d 0 R" % (
            out.add_new(b"<</%b %d 0 R>>" % (FONT, font)),
            out.add_new(b"<</%b %b>>" % (SHADE, _SHADE)),
        )
        root = out.number()
        kids = []
        for opening in self._openings:
            drawn = b"".join(
                b"/S%d %d 0 R" % (count, forms[id(shown.face)])
                for count, shown in enumerate(opening.shown, start=1)
            )
            resources = b"/XObject<<%b/%b %d 0 R>>%b" % (drawn, HATCH, hatch, shared)
            kids.append(b"%d 0 R" % self._page(out, opening, resources, root))
        out.add(root, b"<</Type/Pages/Count %d/Kids[%b]>>" % (len(kids), b" ".join(kids)))
        return root

    def _page(self, out: PdfOut, opening: Opening, resources: bytes, root: int) -> int:
        contents = out.add_own_stream(b"", self._sketch.draw(opening, self._lettering))
        media, trim = self._box(Box.at(ZERO, ZERO, opening.size)), self._box(opening.outline)
        return out.add_new(
            b"<</Type/Page/Parent %d 0 R/MediaBox %b/TrimBox %b/Contents %d 0 R/Resources<<%b>>>>"
            % (root, media, trim, contents, resources)
        )

    def _box(self, box: Box) -> bytes:
        n = self._numbers
        four = (box.x0, box.y0, box.x1, box.y1)
        return b"[%b]" % b" ".join(n[value.grains] for value in four)
