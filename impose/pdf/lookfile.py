"""One opened file to look at: pdfium for what is on its pages, pikepdf for the rest.

Runs in a child process: pdfium may crash on a damaged file, and takes no threads.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from types import TracebackType
from typing import Any, Final

import pikepdf
import pypdfium2 as pdfium2
import pypdfium2.raw as pdfium

from impose.model.inks import PROCESS
from impose.pdf.lookcolours import PageDictionaries
from impose.pdf.lookinks import old_workflow
from impose.pdf.looklayers import without_hidden_layers
from impose.pdf.lookpage import FEW_TEXTS, FontBook, PageReader, lines_of
from impose.pdf.lookpixels import Pixels
from impose.pdf.lookthings import INK, PICTURE, TEXT, RawLook, RawPicture, Rect, Thing

#: A picture over this share of the page is the page.
_WHOLE: Final = 0.7
#: Pixels of a picture are looked at this near to an edge (pt, 7 mm).
_NEAR: Final = 20.0
#: Page numbers stand this near to head or foot (pt, 20 mm).
_NUMBERS: Final = 57.0
#: One line of text of no more letters is a scanty page.
_SCANTY: Final = 40
#: More things than this near the edges are told as one of each kind.
_MOST: Final = 400
_LINKS: Final = (pdfium.FPDF_ANNOT_LINK, pdfium.FPDF_ANNOT_POPUP)


class LookFile:
    """A file open for looking; a context manager.  Raises what pikepdf and pdfium raise."""

    def __init__(self, path: Path, passwords: tuple[str, ...]) -> None:
        self._pdf, password = _open(path, passwords)
        self._pages = PageDictionaries(self._pdf)
        self._old_workflow = old_workflow(self._pdf)
        self._fonts = FontBook()
        layered = without_hidden_layers(self._pdf)
        self._layers = layered is not None
        self._document = pdfium2.PdfDocument(layered or path, password=password or None)
        #: As pikepdf and as pdfium count them.
        self.counts = len(self._pdf.pages), len(self._document)

    def __enter__(self) -> LookFile:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._document.close()
        self._pdf.close()

    def look(
        self,
        index: int,
        number: int,
        region: Rect | None,
        band: float,
        numbered: bool = True,
    ) -> RawLook:
        """Page `number` (from 1).  `region` is the trim in points, UserUnit applied;
        `numbered`: page numbers are read."""
        unit = self._pages.unit(number)
        own = self._pages.shown(number) if region is None else _scaled(region, 1 / unit)
        page = self._page(number)
        try:
            inner = own.grown(-band / unit)
            quarter = pdfium.FPDFPage_GetRotation(page) % 2 == 1
            plain = _unnumbered(own, band / unit, quarter) if numbered else inner
            raw = self._read(page, index, number, own, (inner, plain))
        finally:
            pdfium.FPDF_ClosePage(page)
        return raw if unit == 1 else _in_points(raw, unit)

    def _page(self, number: int) -> Any:
        page = pdfium.FPDF_LoadPage(self._document.raw, number - 1)
        if not page:
            raise ValueError("the page cannot be opened")
        if _draws_annotations(page) and pdfium.FPDFPage_Flatten(page, pdfium.FLAT_PRINT) == 1:
            pdfium.FPDF_ClosePage(page)
            page = pdfium.FPDF_LoadPage(self._document.raw, number - 1)
        return page

    def _read(
        self, page: Any, index: int, number: int, region: Rect, deep: tuple[Rect, Rect]
    ) -> RawLook:
        reader = PageReader(
            page,
            self._fonts,
            *deep,
            layers=self._layers,
            soft=lambda: self._pages.soft(number),
        )
        reader.read()
        things, lines = lines_of(reader, region)
        try:
            raw = RawLook(index)
            raw.outlines = self._outlines(page, things, reader, region, raw)
        finally:
            lines.close()
        raw.pictures = [p for p in reader.pictures if p.wide > 0 and p.high > 0]
        raw.fonts_missing = tuple(sorted(reader.missing))
        raw.spots = tuple(sorted(self._pages.spots(number)))
        raw.thinnest, raw.thinnest_box = reader.thinnest, reader.thinnest_box
        raw.blank = not raw.outlines
        raw.scanty = _is_scanty(raw)
        raw.fingerprint = self._fingerprint(reader, number, raw)
        inks = self._pages.inks(number)
        raw.most_ink, raw.rgb = inks.most, inks.rgb
        raw.process = tuple(ink for ink in PROCESS if ink in inks.plates)
        raw.white_overprint, raw.transparent = inks.white_overprint, inks.transparent
        raw.old_workflow = self._old_workflow
        return raw

    def _fingerprint(self, reader: PageReader, number: int, raw: RawLook) -> bytes:
        """Where things lie, and what little text says; much text is told by its bytes."""
        digest = hashlib.blake2b(reader.print.digest(), digest_size=12)
        if reader.texts > FEW_TEXTS:
            digest.update(self._pages.content_print(number))
        else:
            for _, _, words in raw.outlines:
                digest.update(words.encode())
        return digest.digest()

    def _outlines(
        self, page: Any, things: list[Thing], reader: PageReader, region: Rect, raw: RawLook
    ) -> list[tuple[str, Rect, str]]:
        pixels = Pixels(page)
        made: list[tuple[str, Rect, str]] = []
        inner = region.grown(-_NEAR)
        for thing in things:
            if thing.kind != PICTURE or inner.holds(thing.box):
                made.append((thing.kind, thing.box, thing.words.strip()))
                continue
            whole = thing.box.meet(region).area >= _WHOLE * region.area
            seen = pixels.see(thing.box, whole_page=whole)
            raw.scan = raw.scan or seen.scan
            if seen.scan and seen.tinted:
                made.append((PICTURE, thing.box, ""))
            if seen.box is not None:
                made.append((INK if seen.scan else PICTURE, seen.box, ""))
        return made if len(made) <= _MOST else _merged(made, region)


def _open(path: Path, passwords: tuple[str, ...]) -> tuple[pikepdf.Pdf, str]:
    for password in ("", *passwords):
        try:
            return pikepdf.Pdf.open(path, password=password), password
        except pikepdf.PasswordError:
            continue
    raise ValueError("no password opens it")


def _unnumbered(region: Rect, band: float, quarter: bool) -> Rect:
    """Where no page number stands: not near head and foot, which are the left and right of the
    page as it is stored when it is shown with a `quarter` turn."""
    far = max(band, min(_NUMBERS, 0.12 * min(region.x1 - region.x0, region.y1 - region.y0)))
    across, up = (far, band) if quarter else (band, far)
    return Rect(region.x0 + across, region.y0 + up, region.x1 - across, region.y1 - up)


def _draws_annotations(page: Any) -> bool:
    """Any but links and pop-ups, which leave nothing on paper."""
    for index in range(pdfium.FPDFPage_GetAnnotCount(page)):
        annotation = pdfium.FPDFPage_GetAnnot(page, index)
        kind = pdfium.FPDFAnnot_GetSubtype(annotation)
        pdfium.FPDFPage_CloseAnnot(annotation)
        if kind not in _LINKS:
            return True
    return False


def _is_scanty(raw: RawLook) -> bool:
    """Nothing but one short line of text."""
    if len(raw.outlines) != 1:
        return False
    kind, _, words = raw.outlines[0]
    return kind == TEXT and 0 < len(words) <= _SCANTY


def _merged(made: list[tuple[str, Rect, str]], region: Rect) -> list[tuple[str, Rect, str]]:
    """Text as it is; of the others, what reaches beyond the region and the rest as one each."""
    kept: list[tuple[str, Rect, str]] = []
    joined: dict[tuple[str, bool, bool, bool, bool], Rect] = {}
    for kind, box, words in made:
        if kind == TEXT:
            kept.append((kind, box, words))
            continue
        key = (
            kind,
            box.x0 < region.x0,
            box.x1 > region.x1,
            box.y0 < region.y0,
            box.y1 > region.y1,
        )
        joined[key] = joined[key].join(box) if key in joined else box
    return kept + [(key[0], box, "") for key, box in joined.items()]


def _scaled(box: Rect, by: float) -> Rect:
    return Rect(*(n * by for n in box))


def _in_points(raw: RawLook, unit: float) -> RawLook:
    raw.outlines = [(kind, _scaled(box, unit), words) for kind, box, words in raw.outlines]
    raw.pictures = [
        RawPicture(
            _scaled(p.box, unit), p.wide * unit, p.high * unit, p.across, p.down, p.space,
            p.line_art,
        )
        for p in raw.pictures
    ]  # fmt: skip
    raw.thinnest *= unit
    raw.thinnest_box = _scaled(raw.thinnest_box, unit) if raw.thinnest_box else None
    return raw
