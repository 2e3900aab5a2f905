"""An empty cover drawn to size: to design on (PDF), or to put under a layout (PNG).

The page is the open cover with its bleed, as it is read; its TrimBox is the
open cover.  Panels, spine, hinges, live areas and the room for words on the
spine are drawn, with their measures.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import pikepdf
import pypdfium2

from impose.geometry.box import Box, Edges, Size, box_inside
from impose.geometry.sides import BoundAt
from impose.pdf.pages import LEADING, Align, PageMaker, Pen
from impose.plan.coverfacts import CoverFacts
from impose.units import ZERO, Length

#: Nearer to an edge than this things may be cut off (3 mm, 1/8 in: common practice).
SAFE: Final = Length.inches("1/8")
#: Bleed to design with when the job says none (3 mm: printteam.co.uk; 1/8 in: captainprint.com).
BLEED: Final = {"mm": Length.mm(3), "in": Length.inches("1/8")}
_TRIM: Final = Pen(weight=Length.points(1))
_SPINE: Final = Pen(weight=Length.points("0.75"))
_HINGE: Final = Pen(weight=Length.points("0.5"), dashed=True)
_BLEED: Final = Pen(weight=Length.points("0.5"), grey=Fraction(1, 2), dashed=True)
_LIVE: Final = Pen(weight=ZERO, fill=Fraction(1, 12))
_WORDS: Final = Length.points(10)


@dataclass(frozen=True, slots=True, kw_only=True)
class BlankCover:
    """What is drawn; `spine_clear` is kept free at each side of words on the spine."""

    title: str
    unit: str
    cover: CoverFacts
    bound_at: BoundAt
    bleed: Length
    spine_clear: Length
    safe: Length = SAFE


def blank_pdf(blank: BlankCover) -> bytes:
    """One page, the outside of the cover."""
    size = blank.cover.trim.size
    whole = Size(size.width + blank.bleed * 2, size.height + blank.bleed * 2)
    maker = PageMaker(whole, f"{blank.title}: empty cover")
    _Blank(maker, blank).draw()
    return _with_boxes(maker.to_bytes(), blank, whole)


def blank_png(pdf: bytes, dots_per_inch: int = 300) -> bytes:
    """The page in pixels, at its size when printed at `dots_per_inch`."""
    with pypdfium2.PdfDocument(pdf) as document:
        page = document[0]
        bitmap = page.render(scale=dots_per_inch / 72, grayscale=True)
        image = bitmap.to_pil()
        out = io.BytesIO()
        image.save(out, "PNG", dpi=(dots_per_inch, dots_per_inch))
        page.close()
    return out.getvalue()


def _with_boxes(data: bytes, blank: BlankCover, whole: Size) -> bytes:
    """TrimBox and BleedBox; a head-bound cover is turned so that it reads upright."""
    bleed = float(blank.bleed.as_points)
    width, height = float(whole.width.as_points), float(whole.height.as_points)
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(data)) as pdf:
        page = pdf.pages[0]
        page.trimbox = pikepdf.Array([bleed, bleed, width - bleed, height - bleed])
        page.obj.BleedBox = pikepdf.Array([0, 0, width, height])
        if blank.bound_at.art_turn:
            page.obj.Rotate = blank.bound_at.art_turn
        pdf.save(out, deterministic_id=True)
    return out.getvalue()


class _Blank:
    """Draws in the book frame, the lower left corner of the bleed at 0, 0."""

    def __init__(self, maker: PageMaker, blank: BlankCover) -> None:
        self.maker, self.blank, self.cover = maker, blank, blank.cover
        size, bleed = self.cover.trim.size, blank.bleed
        self.trim = Box.at(bleed, bleed, size)

    def draw(self) -> None:
        maker, bleed = self.maker, self.blank.bleed
        parts = self._parts()
        for name, box in parts:
            if name != "spine":
                live = box_inside(box, self._safe(name))
                if not live.empty:
                    maker.box(live, _LIVE)
        if bleed:
            maker.box(self.trim.grown(Edges.all(bleed)), _BLEED)
        maker.box(self.trim, _TRIM)
        for name, box in parts:
            if name == "spine":
                self._spine(box)
            else:
                self._panel(name, box)

    def _parts(self) -> list[tuple[str, Box]]:
        """From the left of the outside; a spine of no width is left out."""
        cover = self.cover
        widths = [
            ("back flap", cover.flap_back),
            ("back", cover.panel.width),
            ("spine", cover.spine.width),
            ("front", cover.panel.width),
            ("front flap", cover.flap_front),
        ]
        if not cover.front_at_right:
            widths.reverse()
        x, found = self.trim.x0, []
        for name, width in widths:
            if width:
                found.append((name, Box(x, self.trim.y0, x + width, self.trim.y1)))
            x = x + width
        return found

    def _safe(self, name: str) -> Edges:
        """Live areas keep clear of the trim and of the hinge."""
        safe, hinge = self.blank.safe, self.cover.hinge
        spine_at_right = name.startswith("back") == self.cover.front_at_right
        if name.endswith("flap"):
            return Edges.all(safe)
        left, right = (safe, hinge + safe) if spine_at_right else (hinge + safe, safe)
        return Edges(left=left, right=right, top=safe, bottom=safe)

    def _panel(self, name: str, box: Box) -> None:
        maker, unit, safe = self.maker, self.blank.unit, self.blank.safe
        spine_at_right = name.startswith("back") == self.cover.front_at_right
        edge = box.x1 if spine_at_right else box.x0
        maker.line((edge, box.y0), (edge, box.y1), _SPINE)
        middle, y = (box.x0 + box.x1).half, (box.y0 + box.y1).half
        lines = [
            (name.upper(), True),
            (f"{self._read(box.size).text(unit)} trimmed", False),
            (f"live area (grey) {safe.text(unit)} inside", False),
            (f"bleed {self.blank.bleed.text(unit)} beyond the trim", False),
            (f"open cover {self._read(self.cover.trim.size).text(unit)}", False),
        ]
        if not name.endswith("flap") and self.cover.hinge:
            hinge = edge - self.cover.hinge if spine_at_right else edge + self.cover.hinge
            maker.line((hinge, box.y0), (hinge, box.y1), _HINGE)
            lines.append((f"hinge {self.cover.hinge.text(unit)} from the spine", False))
        for number, (words, bold) in enumerate(lines):
            width, down = maker.width(words, _WORDS, bold), _WORDS * LEADING * number
            if width >= self._read(box.size).width:
                continue
            if self.blank.bound_at.art_turn:
                maker.text_up(middle + down, y, words, _WORDS, bold)
            else:
                maker.text(middle, y - down, words, _WORDS, bold, Align.CENTRE)

    def _read(self, size: Size) -> Size:
        """As the cover is read: that of a head-bound book lies on its side here."""
        return size.turned if self.blank.bound_at.art_turn else size

    def _spine(self, box: Box) -> None:
        """The room for words, and the width in words over it where they fit on the panel."""
        maker, clear, unit = self.maker, self.blank.spine_clear, self.blank.unit
        room = box_inside(box, Edges(left=clear, right=clear, top=self.blank.safe,
                                     bottom=self.blank.safe))  # fmt: skip
        if not room.empty:
            maker.box(room, _LIVE)
        for x in (box.x0, box.x1):
            maker.line((x, box.y0), (x, box.y1), _SPINE)
        words = f"spine {self.cover.spine.width.text(unit)}"
        y = box.y1 - self.blank.safe - _WORDS * 2
        side = box.x1 + self.cover.hinge + self.blank.safe
        maker.line((box.x1, y), (side, y), _HINGE)
        if self.blank.bound_at.art_turn:
            middle = y - maker.width(words, _WORDS, True).half
            maker.text_up(side + _WORDS, middle, words, _WORDS, True)
        else:
            maker.text(side, y, words, _WORDS, True)
