"""The written sheets compared with the plan, number for number.

Lengths are read as decimals and must be the same grains; a page is known by the
checksums of what its form holds, not by its name.  Any difference is a defect
of this program and stops the delivery.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Final, NamedTuple

import pikepdf

from impose.errors import PlanMismatchError
from impose.pdf.calm import collector_at_rest
from impose.pdf.placed import Grains4, Places, box_grains, joined
from impose.pdf.read import Sources
from impose.pdf.readback import ReadBack
from impose.pdf.verifymarks import Grains, read_marks, told_marks
from impose.plan.parts import Mark, Sheet, Side
from impose.plan.plan import Plan
from impose.units import Length

_PAGE: Final = re.compile(
    rb"<</Type/Page/Parent \d+ 0 R/MediaBox (\d+ 0 R|\[[^\]]*\])/TrimBox (\d+ 0 R|\[[^\]]*\])"
    rb"/BleedBox (\d+ 0 R|\[[^\]]*\])/Contents *(\d+ 0 R|\[[^\]]*\])"
    rb"/Resources<</XObject<<([^>]*)>>.*>>",
    re.DOTALL,
)
_NAMED: Final = re.compile(rb"/([PM]\d+) (\d+) 0 R")
_PLACED: Final = re.compile(
    rb"q (\S+) (\S+) (\S+) (\S+) re W n (\S+ \S+ \S+ \S+) (\S+) (\S+) cm/(P\d+) Do Q\n"
)
_GROUP: Final = re.compile(rb"/(M\d+) Do\n")
_RESOURCES: Final = re.compile(rb"/Resources (\d+) 0 R|/Resources<<.*?/XObject<<([^>]*)>>")
_XOBJECTS: Final = re.compile(rb"/XObject *(?:<<([^>]*)>>|(\d+) 0 R)")
_REFERENCE: Final = re.compile(rb"/[^\s/]+ (\d+) 0 R")
#: Half a unit of the last decimal a factor is written with.
_FACTOR_OFF: Final = Fraction(1, 2 * 10**10)


def verify_sheets(plan: Plan, sources: Sources, target: Path, role: str = "guts") -> None:
    """Reads `target` again after `write_sheets` with the same arguments.

    Raises `PlanMismatchError`, naming sheet and side and both values, for the
    first difference: pages, boxes, clips, matrices, which page is drawn, marks.
    """
    sheets = [sheet for sheet in plan.sheets if sheet.role == role]
    with collector_at_rest(), ReadBack(target) as written:
        _check_opens(target, 2 * len(sheets))
        _Verifier(plan, sources, written).check(sheets)


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
    """What the operators of a side draw, in order."""

    placed: tuple[tuple[Grains4, bytes, int, int], ...]
    names: tuple[bytes, ...]
    groups: tuple[bytes, ...]
    own: bytes


class _Verifier:
    def __init__(self, plan: Plan, sources: Sources, written: ReadBack) -> None:
        self._plan = plan
        self._sources = sources
        self._written = written
        self._places = Places(plan, sources.facts)
        self._grains = Grains()
        self._boxes: dict[bytes, Grains4] = {}
        self._contents: dict[bytes, _Content] = {}
        self._prints: dict[int, tuple[int, ...]] = {}
        self._drawn: dict[bytes, tuple[int, ...]] = {}
        self._factors: set[tuple[bytes, int]] = set()
        self._groups: set[tuple[int, int]] = set()
        self._where = ""

    def check(self, sheets: Sequence[Sheet]) -> None:
        pages = self._written.pages()
        self._compare("pages of the file", len(pages), 2 * len(sheets))
        sides = ((sheet, name, side) for sheet in sheets for name, side in sheet.sides)
        for number, (sheet, name, side) in zip(pages, sides, strict=True):
            self._where = f"sheet {sheet.number}, {name}"
            self._check_side(self._written.text(number), sheet, side)

    def _check_side(self, text: bytes, sheet: Sheet, side: Side) -> None:
        page = _PAGE.fullmatch(text)
        if page is None:
            raise self._mismatch("page", text, "a page as it is written")
        media_text, trim_text, bleed_text, contents, xobjects = page.groups()
        media = (0, 0, sheet.size.width.grains, sheet.size.height.grains)
        trims = [box_grains(placement.trim) for placement in side.placements]
        clips = [self._places.clip(p, t) for p, t in zip(side.placements, trims, strict=True)]
        self._compare_box("MediaBox", self._box(media_text), media)
        self._compare_box("TrimBox", self._box(trim_text), joined(trims, media))
        self._compare_box("BleedBox", self._box(bleed_text), _common(joined(clips, media), media))
        content = self._content(contents)
        named = {name: int(number) for name, number in _NAMED.findall(xobjects)}
        self._check_placements(side, clips, content, named)
        self._check_marks(side, content, named)

    def _check_placements(
        self, side: Side, clips: Sequence[Grains4], content: _Content, named: dict[bytes, int]
    ) -> None:
        wanted = [(p, c) for p, c in zip(side.placements, clips, strict=True) if p.page is not None]
        self._compare("placements", len(content.placed), len(wanted))
        for (placement, plan_clip), found, name in zip(
            wanted, content.placed, content.names, strict=True
        ):
            page = placement.page or 0
            place = self._places.of(placement, page, plan_clip)
            clip, factors, e, f = found
            if clip != plan_clip:
                self._compare_box(f"clip of page {page}", clip, plan_clip)
            if e != place.e or f != place.f:
                found_move, wanted_move = (_points(e), _points(f)), (_points(place.e), _points(place.f))
                raise self._mismatch(f"place of page {page}", found_move, wanted_move)
            if (factors, place.linear) not in self._factors:
                self._check_factors(page, factors, place.linear)
            fit = self._plan.pages[page - 1]
            prints = self._sources.prints[fit.file, fit.number]
            if self._prints_of(named.get(name, 0)) != prints:
                raise self._mismatch(f"form drawn as page {page}", name.decode(), "that page")

    def _check_factors(self, page: int, factors: bytes, linear: int) -> None:
        found = [Fraction(Decimal(word.decode("ascii"))) for word in factors.split()]
        wanted = self._places.linears[linear]
        if any(abs(f - w) > _FACTOR_OFF for f, w in zip(found, wanted, strict=True)):
            raise self._mismatch(
                f"scale and turn of page {page}", factors.decode(), [str(w) for w in wanted]
            )
        self._factors.add((factors, linear))

    def _check_marks(self, side: Side, content: _Content, named: dict[bytes, int]) -> None:
        groups = [group for group in side.marks if group.marks]
        self._compare("groups of marks", len(content.groups), len(groups))
        for name, group in zip(content.groups, groups, strict=True):
            number = named.get(name, 0)
            if (number, id(group)) not in self._groups:
                self._compare_marks("group of marks", self._written.content(number), group.marks)
                self._groups.add((number, id(group)))
        if side.own_marks or content.own:
            self._compare_marks("own marks", content.own, side.own_marks)

    def _compare_marks(self, what: str, operators: bytes, marks: Iterable[Mark]) -> None:
        found = read_marks(operators, self._grains)
        wanted = told_marks(marks, self._plan.mark_ink)
        if found != wanted:
            raise self._mismatch(what, found, wanted)

    def _content(self, contents: bytes) -> _Content:
        """`contents` is a reference or an array of them; equal ones are read once."""
        content = self._contents.get(contents)
        if content is None:
            numbers = contents.strip(b"[]").split()[::3]
            data = b"".join([self._written.content(int(number)) for number in numbers])
            content = self._contents[contents] = self._read_content(data)
        return content

    def _read_content(self, data: bytes) -> _Content:
        grains = self._grains
        placed, names, groups = [], [], []
        at = 0
        while found := _PLACED.match(data, at):
            x, y, width, height, factors, e, f, name = found.groups()
            x0, y0 = grains[x], grains[y]
            clip = (x0, y0, x0 + grains[width], y0 + grains[height])
            placed.append((clip, factors, grains[e], grains[f]))
            names.append(name)
            at = found.end()
        while found := _GROUP.match(data, at):
            groups.append(found[1])
            at = found.end()
        return _Content(tuple(placed), tuple(names), tuple(groups), data[at:])

    def _box(self, text: bytes) -> Grains4:
        box = self._boxes.get(text)
        if box is None:
            whole = text if text.startswith(b"[") else self._written.text(int(text.split()[0]))
            x0, y0, x1, y1 = (self._grains[word] for word in whole.strip(b"[]").split())
            box = self._boxes[text] = (x0, y0, x1, y1)
        return box

    def _prints_of(self, form: int) -> tuple[int, ...]:
        """Checksums of a form's data and of the XObjects in its resources."""
        prints = self._prints.get(form)
        if prints is None:
            entries, data = self._written.stream(form)
            data.release()
            checksum = self._written.checksum(form)
            prints = self._prints[form] = (checksum, *self._drawn_by(entries))
        return prints

    def _drawn_by(self, entries: bytes) -> tuple[int, ...]:
        """Of the XObjects that the resources in a form's dictionary name."""
        at = entries.find(b"/Resources")
        resources = entries[at : entries.find(b" R", at)] if at >= 0 else b""
        drawn = self._drawn.get(resources)
        if drawn is None:
            found = _RESOURCES.search(entries)
            listed = b""
            if found and found[1]:
                listed = self._xobjects(self._written.text(int(found[1])))
            elif found and found[2]:
                listed = found[2]
            numbers = [int(number) for number in _REFERENCE.findall(listed)]
            drawn = tuple(
                self._written.checksum(n) for n in numbers if self._written.is_stream(n)
            )
            self._drawn[resources] = drawn
        return drawn

    def _xobjects(self, resources: bytes) -> bytes:
        found = _XOBJECTS.search(resources)
        if found is None:
            return b""
        return found[1] if found[1] is not None else self._written.text(int(found[2]))

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


def _common(box: Grains4, media: Grains4) -> Grains4:
    return tuple(map(max, box[:2], media[:2])) + tuple(map(min, box[2:], media[2:]))  # type: ignore[return-value]
