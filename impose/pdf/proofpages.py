"""One opening of the proof as operators: pages, what is lacking or swallowed, outline, labels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from impose.geometry.box import Box, Edges, Size
from impose.geometry.placing import box_onto
from impose.geometry.sides import Edge
from impose.pdf.drifting import turned_edges
from impose.pdf.lettering import Lettering
from impose.pdf.operators import FONT, Numbers
from impose.schemes.openings import SPINE, Opening, Shown
from impose.units import ZERO, Length

#: Round the pages of the proof, for outline and labels.
ROOM: Final = Length.points(24)
#: Names in the resources: the shade of the swallowed strip, the hatching of missing paper.
SHADE: Final = b"G"
HATCH: Final = b"H"
_LABEL: Final = Length.points(6)
#: Of a character of a label, at most.
_ADVANCE: Final = Length.points(4)
#: The outline keeps clear of the trim, so that nothing is drawn on a page.
_CLEAR: Final = Length.points(2)
_HATCH_STEP: Final = Length.points(3)
_TURNS: Final = {0: b"1 0 0 1", 90: b"0 1 -1 0", 180: b"-1 0 0 -1", 270: b"0 -1 1 0"}
_NUMBERS: Final = Numbers()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """Draws the openings of one proof.

    `folds`, by the role of a face's sheet, are distances from the spine edge of
    a fold-out laid open.  `labels` and `moves` go by the identity of a face: its words, and how far
    drift moves each edge of the page as it is read.  `drift` is zero when all
    cuts are true; `swallowed` is the strip at the spine that is shaded.
    """

    trim: Size
    unit: str
    swallowed: Length
    drift: Length
    labels: Mapping[int, str]
    folds: Mapping[str, tuple[Length, ...]]
    moves: Mapping[int, Edges]

    def draw(self, opening: Opening, lettering: Lettering) -> bytes:
        """The opening; the side that the first page shown is cut from is drawn as /S1."""
        out: list[bytes] = []
        for count, shown in enumerate(opening.shown, start=1):
            out += self._page(shown, b"S%d" % count)
        out.append(self._outline(opening))
        out += (self._labelled(shown, lettering) for shown in opening.shown)
        return b"\n".join(out) + b"\n"

    def hatch(self) -> bytes:
        """Slanting hairlines over a page of trim size."""
        width, height = self.trim.width, self.trim.height
        lines = [b"0.7 G 0.25 w"]
        for count in range(1, (width + height) // _HATCH_STEP + 1):
            at = _n(_HATCH_STEP * count)
            lines.append(b"0 %b m %b 0 l" % (at, at))
        return b"\n".join(lines) + b"\nS\n"

    def label(self, shown: Shown) -> str:
        """The page, and where it comes from if there is room for that."""
        face = shown.face
        short = self.labels[id(face)]
        long = f"{short}   (sheet {face.sheet}, {face.side})"
        if self.drift:
            long += f"   cuts off by {self.drift.text(self.unit)}"
        return long if _ADVANCE * len(long) <= shown.seen.width else short

    def _page(self, shown: Shown, name: bytes) -> list[bytes]:
        """What the knife leaves of the side, where it lies on the page."""
        face, page = shown.face, shown.page
        moves = self.moves[id(face)]
        region = face.region.grown(turned_edges(moves, -face.turn % 360))
        begun = Box.at(ZERO, ZERO, face.place.size) if face.name == SPINE else face.place
        place = begun.moved(page.x0, page.y0).grown(moves)
        out = self._lacking(page, place)
        if region.empty:
            return out
        placing = box_onto(region, place, face.turn)
        matrix = b"%b %b %b" % (_TURNS[placing.turn], _n(placing.dx), _n(placing.dy))
        out.append(b"q %b W n %b cm /%b Do Q" % (_re(place), matrix, name))
        if self.drift:  # white paper beyond the art ends somewhere, too
            out.append(b"q 0.4 G 0.35 w %b S Q" % _re(place))
        strip = _strip(page, face.spine_at, self.swallowed).meet(place)
        if not strip.empty and not face.name:
            out.append(b"q /%b gs 0 g %b f Q" % (SHADE, _re(strip)))
        out += (_fold(page, face.spine_at, at) for at in self.folds.get(face.role, ()))
        if shown.open is None:
            return out
        return [b"q %b W n" % _re(_let_through(shown, page)), *out, b"Q"]

    def _lacking(self, page: Box, place: Box) -> list[bytes]:
        """Hatching where the page has no paper."""
        there = page.meet(place)
        if there.empty:
            there = Box(page.x0, page.y0, page.x0, page.y0)
        strips = (
            Box(page.x0, page.y0, there.x0, page.y1),
            Box(there.x1, page.y0, page.x1, page.y1),
            Box(there.x0, page.y0, there.x1, there.y0),
            Box(there.x0, there.y1, there.x1, page.y1),
        )
        found = [_re(strip) for strip in strips if not strip.empty]
        if not found:
            return []
        corner = b"1 0 0 1 %b %b cm" % (_n(page.x0), _n(page.y0))
        return [b"q %b W n %b /%b Do Q" % (b" ".join(found), corner, HATCH)]

    def _outline(self, opening: Opening) -> bytes:
        """Outside the trim; with a drift, the true trim itself."""
        if self.drift:
            return b"q 0.85 0 0.2 RG 0.35 w [3 2] 0 d %b S Q" % _re(opening.outline)
        return b"q 0.6 G 0.25 w %b S Q" % _re(opening.outline.grown(Edges.all(_CLEAR)))

    def _labelled(self, shown: Shown, lettering: Lettering) -> bytes:
        """Above the upper page of a head-bound spread, else below the page."""
        page = shown.seen
        off = _CLEAR * 2 + self.drift
        upper = shown.face.spine_at is Edge.BOTTOM
        y = page.y1 + off if upper else page.y0 - off - _LABEL
        string = lettering.string(self.label(shown))
        return b"q 0.35 g BT/%b %b Tf %b %b Td%bTj ET Q" % (
            FONT,
            _n(_LABEL),
            _n(page.x0),
            _n(y),
            string,
        )


def _let_through(shown: Shown, page: Box) -> Box:
    """The open part of a page, and beyond the page itself where nothing covers it."""
    part = shown.seen
    return Box(
        part.x0 - (ROOM if part.x0 == page.x0 else ZERO),
        part.y0 - (ROOM if part.y0 == page.y0 else ZERO),
        part.x1 + (ROOM if part.x1 == page.x1 else ZERO),
        part.y1 + (ROOM if part.y1 == page.y1 else ZERO),
    )


def _fold(page: Box, spine_at: Edge, at: Length) -> bytes:
    """A dashed hairline across a page laid open, `at` from its bound edge."""
    if spine_at in (Edge.LEFT, Edge.RIGHT):
        x = _n(page.x0 + at if spine_at is Edge.LEFT else page.x1 - at)
        ends = b"%b %b m %b %b l" % (x, _n(page.y0), x, _n(page.y1))
    else:
        y = _n(page.y0 + at if spine_at is Edge.BOTTOM else page.y1 - at)
        ends = b"%b %b m %b %b l" % (_n(page.x0), y, _n(page.x1), y)
    return b"q 0.5 G 0.35 w [4 3] 0 d %b S Q" % ends


def _n(length: Length) -> bytes:
    return _NUMBERS[length.grains]


def _re(box: Box) -> bytes:
    return b"%b %b %b %b re" % (_n(box.x0), _n(box.y0), _n(box.width), _n(box.height))


def _strip(page: Box, spine_at: Edge, width: Length) -> Box:
    """The part of a page along its bound edge."""
    if spine_at is Edge.LEFT:
        return Box(page.x0, page.y0, page.x0 + width, page.y1)
    if spine_at is Edge.RIGHT:
        return Box(page.x1 - width, page.y0, page.x1, page.y1)
    if spine_at is Edge.BOTTOM:
        return Box(page.x0, page.y0, page.x1, page.y0 + width)
    return Box(page.x0, page.y1 - width, page.x1, page.y1)
