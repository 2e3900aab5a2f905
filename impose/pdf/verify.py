"""The written sheets compared with the plan, number for number.

Lengths are read as decimals and must be the same grains; a page is known by the
checksums of what its form holds, not by its name.  Any difference is a defect
of this program and stops the delivery.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

import pikepdf

from impose.errors import PlanMismatchError
from impose.geometry.box import Box
from impose.geometry.moving import Move
from impose.model.facts import PageFacts
from impose.pdf.calm import collector_at_rest
from impose.pdf.formprints import FormPrints
from impose.pdf.intents import verify_intent
from impose.pdf.operators import Numbers, fill_field
from impose.pdf.placed import Grains4, Placed, side_boxes
from impose.pdf.read import Sources
from impose.pdf.readback import ReadBack
from impose.pdf.spotspaces import named_space, spot_names, spot_resources
from impose.pdf.verifymarks import Grains, Stroke, ink_once, read_marks, told_marks
from impose.pdf.verifymoves import unwrapped
from impose.pdf.verifypieces import check_alike, piece_boxes
from impose.plan.insets import is_cover
from impose.plan.parts import Mark, Sheet, Side
from impose.plan.plan import Plan
from impose.units import Length

_PAGE: Final = re.compile(
    rb"<</Type/Page/Parent \d+ 0 R/MediaBox (\d+ 0 R|\[[^\]]*\])/TrimBox (\d+ 0 R|\[[^\]]*\])"
    rb"/BleedBox (\d+ 0 R|\[[^\]]*\])/Contents *(\d+ 0 R|\[[^\]]*\])"
    rb"/Resources<</XObject<<([^>]*)>>([^>]*)>>>>"
)
_INK_AND_FONT: Final = re.compile(rb"(?:/ColorSpace (\d+) 0 R)?(?:/Font (\d+) 0 R)?")
_ALL_INKS: Final = b"<</K [/Separation/All"
_BOXES: Final = ("MediaBox", "TrimBox", "BleedBox")
_NAMED: Final = re.compile(rb"/([PM]\d+) (\d+) 0 R")
_PLACED: Final = re.compile(
    rb"q (\S+) (\S+) (\S+) (\S+) re W n (\S+ \S+ \S+ \S+) (\S+) (\S+) cm/(P\d+) Do Q\n"
)
#: A field of flat colour beneath the pages.
_FIELD: Final = re.compile(rb"q (?:/S\d+ cs )?(?:\S+ ){1,4}(?:g|k|rg|scn) \S+ \S+ \S+ \S+ re f Q\n")
_GROUP_FORM: Final = re.compile(
    rb"/Subtype/Form/BBox (\d+ 0 R|\[[^\]]*\])"
    rb"/Resources<<([^>]*)>>(?:/Filter/FlateDecode)?"
)
_GROUP: Final = re.compile(rb"/(M\d+) Do\n")
#: Half a unit of the last decimal a factor is written with.
_FACTOR_OFF: Final = Fraction(1, 2 * 10**10)


def verify_sheets(plan: Plan, sources: Sources, target: Path, role: str = "guts") -> None:
    """Reads `target` again after `write_sheets` with the same arguments.

    Raises `PlanMismatchError`, naming sheet and side and both values, for the
    first difference: pages, boxes, clips, matrices, which page is drawn, marks.
    """
    sheets = [sheet for sheet in plan.sheets if sheet.role == role]
    try:
        with collector_at_rest(), ReadBack(target) as written:
            _check_opens(target, sum(len(plan.printed(sheet)) for sheet in sheets))
            _Verifier(plan, sources, written).check(sheets)
        verify_intent(target, sources.press)
    except (ValueError, LookupError, ArithmeticError, zlib.error) as fault:
        raise PlanMismatchError(f"{target} is not as it was written: {fault}") from fault


def _check_opens(target: Path, count: int) -> None:
    """Another reader's word that the file is whole."""
    try:
        with pikepdf.Pdf.open(target, inherit_page_attributes=False) as pdf:
            pages = pdf.Root.Pages.Count
            faults = pdf.get_warnings()
    except pikepdf.PdfError as fault:
        raise PlanMismatchError(f"{target} cannot be opened again") from fault
    if faults or pages != count:
        raise PlanMismatchError(f"{target} has {pages} pages and {len(faults)} faults, not {count}")


class _Content(NamedTuple):
    """What a content stream draws, in order.

    `placed` are clip, factors, and move; `pages` and `groups` names of forms;
    `strokes` the marks that are drawn in it, as `read_marks` gives them; `moves`
    the corrections that its parts are drawn through; `fields` those of flat
    colour, as they are written.
    """

    placed: tuple[tuple[Grains4, bytes, int, int], ...]
    pages: tuple[bytes, ...]
    groups: tuple[bytes, ...]
    strokes: list[Stroke]
    moves: tuple[Move, ...]
    fields: tuple[bytes, ...]


class _Verifier:
    """One run of `verify_sheets`; what is equal is read and compared once."""

    def __init__(self, plan: Plan, sources: Sources, written: ReadBack) -> None:
        self._plan = plan
        self._sources = sources
        self._written = written
        self._forms = FormPrints(written)
        self._places = sources.places_of(plan)
        self._grains = Grains()
        self._spots = spot_resources(())
        self._texts = Numbers()
        self._boxes: dict[bytes, Grains4] = {}
        self._contents: dict[bytes, _Content] = {}
        self._factors: set[tuple[bytes, int]] = set()
        self._groups: set[tuple[int, int]] = set()
        self._inks_and_fonts: set[bytes] = set()
        self._form_boxes: set[tuple[int, int]] = set()
        self._agreed: set[tuple[object, ...]] = set()
        self._where = ""

    def check(self, sheets: Sequence[Sheet]) -> None:
        pages = self._written.pages()
        sides = [
            (sheet, name, side) for sheet in sheets for name, side in self._plan.printed(sheet)
        ]
        self._compare("pages of the file", len(pages), len(sides))
        self._spots = spot_resources(spot_names([side for _, _, side in sides]))
        for number, (sheet, name, side) in zip(pages, sides, strict=True):
            self._where = f"sheet {sheet.number}, {name}"
            self._check_side(self._written.text(number), sheet, side)

    def _check_side(self, text: bytes, sheet: Sheet, side: Side) -> None:
        page = _PAGE.fullmatch(text)
        if page is None:
            raise self._mismatch("page", text, "a page as it is written")
        *boxes, contents, xobjects, ink_and_font = page.groups()
        if ink_and_font not in self._inks_and_fonts:
            self._check_ink_and_font(ink_and_font)
        first, *more = contents.strip(b"[]").split()[::3]
        content = self._contents.get(first) or self._read(first)
        placed = self._places.on(side)
        layout = (first, *boxes, id(sheet.size), tuple([one[1:] for one in placed]))
        if layout not in self._agreed:
            self._check_boxes(boxes, sheet, placed)
            self._check_placements(placed, content)
            self._agreed.add(layout)
        fields = tuple(fill_field(fill, self._texts, self._spots) for fill in side.fills)
        if content.fields != fields:
            raise self._mismatch("fields of colour", content.fields, side.fills)
        named = dict(_NAMED.findall(xobjects))
        pieces = self._plan.cover.pieces if self._plan.cover else None
        if pieces is not None and is_cover(sheet.role):
            name = "front" if side is sheet.front else "back"
            forms = [named.get(page, page) for page in content.pages]
            drawn = list(zip(forms, content.placed, strict=True))
            check_alike(drawn, piece_boxes(sheet, pieces, name), self._where)
        self._check_forms([one.page for one in placed if one.page], content.pages, named)
        for number in more:
            words = self._contents.get(number) or self._read(number)
            strokes = sorted(content.strokes + words.strokes)
            content = content._replace(strokes=strokes, moves=content.moves + words.moves)
        if any(move != side.move for move in content.moves):
            raise self._mismatch("correction for the printer", content.moves, side.move)
        media = (0, 0, sheet.size.width.grains, sheet.size.height.grains)
        self._check_marks(side, media, content, named)

    def _check_boxes(self, texts: Sequence[bytes], sheet: Sheet, placed: Sequence[Placed]) -> None:
        media = (0, 0, sheet.size.width.grains, sheet.size.height.grains)
        wanted = (media, *side_boxes(placed, media))
        for name, text, box in zip(_BOXES, texts, wanted, strict=True):
            self._compare_box(name, self._box(text), box)

    def _check_placements(self, placed: Sequence[Placed], content: _Content) -> None:
        wanted = [one for one in placed if one.page is not None]
        self._compare("placements", len(content.placed), len(wanted))
        for one, found in zip(wanted, content.placed, strict=True):
            page, _, clip, linear, e, f = one
            found_clip, factors, found_e, found_f = found
            self._compare_box(f"clip of page {page}", found_clip, clip)
            if found_e != e or found_f != f:
                raise self._mismatch(
                    f"place of page {page}",
                    [_points(found_e), _points(found_f)],
                    [_points(e), _points(f)],
                )
            if (factors, linear) not in self._factors:
                self._check_factors(page, factors, linear)

    def _check_forms(
        self, pages: Sequence[int], names: Sequence[bytes], named: dict[bytes, bytes]
    ) -> None:
        prints, fits = self._sources.prints, self._plan.pages
        for page, name in zip(pages, names, strict=True):
            box, found = self._forms.of(int(named.get(name, b"0")))
            fit = fits[page - 1]
            facts = self._sources.facts[fit.file].pages[fit.number - 1]
            if (box, id(facts)) not in self._form_boxes:
                self._check_form_box(page, box, facts)
            if found != prints.get((fit.file, fit.number)):
                raise self._mismatch(f"form drawn as page {page}", "another", "that of the page")

    def _check_form_box(self, page: int, number: int, facts: PageFacts) -> None:
        """The form's BBox is the page's MediaBox, in the page's own units."""
        own = self._box(b"%d 0 R" % number)
        in_points = Box(*(Length(value) * facts.user_unit for value in own))
        if in_points != facts.media:
            raise self._mismatch(
                f"BBox of page {page}", in_points.text("pt"), facts.media.text("pt")
            )
        self._form_boxes.add((number, id(facts)))

    def _check_factors(self, page: int | None, factors: bytes, linear: int) -> None:
        found = [Fraction(Decimal(word.decode("ascii"))) for word in factors.split()]
        wanted = self._places.linears[linear]
        if any(abs(f - w) > _FACTOR_OFF for f, w in zip(found, wanted, strict=True)):
            raise self._mismatch(
                f"scale and turn of page {page}", factors.decode(), [str(w) for w in wanted]
            )
        self._factors.add((factors, linear))

    def _check_marks(
        self, side: Side, media: Grains4, content: _Content, named: dict[bytes, bytes]
    ) -> None:
        names = content.groups
        groups = [group for group in side.marks if group.marks]
        self._compare("groups of marks", len(names), len(groups))
        for name, group in zip(names, groups, strict=True):
            number = int(named.get(name, b"0"))
            if (number, id(group)) not in self._groups:
                entries, _ = self._written.stream(number)
                box = _GROUP_FORM.fullmatch(entries)
                if box is None:
                    raise self._mismatch("group of marks", entries, "a form as it is written")
                self._compare_box("box of a group of marks", self._box(box[1]), media)
                self._check_ink_and_font(box[2])
                found = read_marks(self._written.content(number), self._grains)
                self._compare_marks("group of marks", found, group.marks)
                self._groups.add((number, id(group)))
        if content.strokes or side.own_marks:
            found = content.strokes
            if not side.move.idle:  # words go through the correction apart, with their ink
                found = sorted(ink_once(found))
            self._compare_marks("own marks", found, side.own_marks)

    def _check_ink_and_font(self, entries: bytes) -> None:
        """What the names in the operators of marks stand for."""
        found = _INK_AND_FONT.fullmatch(entries)
        if found is None:
            raise self._mismatch("resources of marks", entries, "ink and font")
        ink, font = (self._written.text(int(n)) if n else b"" for n in found.groups())
        if ink and not ink.startswith(_ALL_INKS):
            raise self._mismatch("ink of marks", ink, _ALL_INKS)
        for spot, name in self._spots.items():
            if not named_space(self._written, ink, name, spot):
                raise self._mismatch("ink of a patch", ink, spot)
        if font:
            self._check_font(font)
        self._inks_and_fonts.add(entries)

    def _check_font(self, text: bytes) -> None:
        """Down to the font program, which Flate's own checksum covers."""
        for name in (rb"/F", rb"/FontDescriptor", rb"/FontFile2"):
            found = re.search(name + rb" (\d+) 0 R", text)
            if found is None:
                raise self._mismatch("font of marks", text, name)
            number = int(found[1])
            text = b"" if name == rb"/FontFile2" else self._written.text(number)
        entries, _ = self._written.stream(number)
        length = b"/Length1 %d" % len(self._written.content(number))
        if entries not in (length, length + b"/Filter/FlateDecode"):
            raise self._mismatch("font of marks", entries, length)

    def _compare_marks(self, what: str, found: list[Stroke], marks: Iterable[Mark]) -> None:
        wanted = told_marks(marks, self._plan.mark_ink)
        if found != wanted:
            raise self._mismatch(what, found, wanted)

    def _read(self, number: bytes) -> _Content:
        grains = self._grains
        data, moves = unwrapped(self._written.content(int(number)), grains)
        placed, pages, groups, fields = [], [], [], []
        at = 0
        while found := _FIELD.match(data, at):
            fields.append(found[0])
            at = found.end()
        while found := _PLACED.match(data, at):
            x, y, width, height, factors, e, f, name = found.groups()
            x0, y0 = grains[x], grains[y]
            clip = (x0, y0, x0 + grains[width], y0 + grains[height])
            placed.append((clip, factors, grains[e], grains[f]))
            pages.append(name)
            at = found.end()
        while found := _GROUP.match(data, at):
            groups.append(found[1])
            at = found.end()
        strokes = read_marks(data[at:], grains)
        content = _Content(
            tuple(placed), tuple(pages), tuple(groups), strokes, moves, tuple(fields)
        )
        self._contents[number] = content
        return content

    def _box(self, text: bytes) -> Grains4:
        box = self._boxes.get(text)
        if box is None:
            whole = text if text.startswith(b"[") else self._written.text(int(text.split()[0]))
            x0, y0, x1, y1 = (self._grains[word] for word in whole.strip(b"[]").split())
            box = self._boxes[text] = (x0, y0, x1, y1)
        return box

    def _compare(self, what: str, found: int, wanted: int) -> None:
        if found != wanted:
            raise self._mismatch(what, found, wanted)

    def _compare_box(self, what: str, found: Grains4, wanted: Grains4) -> None:
        if found != wanted:
            raise self._mismatch(
                what, [_points(value) for value in found], [_points(value) for value in wanted]
            )

    def _mismatch(self, what: str, found: object, wanted: object) -> PlanMismatchError:
        where = f"{self._where}: " if self._where else ""
        return PlanMismatchError(f"{where}{what}: {found} in the file, {wanted} in the plan")


def _points(grains: int) -> str:
    return Length(grains).text("pt")
