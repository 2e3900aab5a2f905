"""A bad day at the cutter: which way each cut does the more harm when it is off.

A cut that falls too far in takes art away; one that falls too far out shows
what lies beyond the trim, and that is ugly where art ends there.  Which of the
two is worse is seen on the written sheet: where something is inked right up to
the cut and the paper beyond is white, outward; everywhere else, inward.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

import pypdfium2
from PIL import Image, ImageChops

from impose.geometry.box import Box, Edges
from impose.geometry.sides import Edge
from impose.schemes.boundbook import Face
from impose.units import ZERO, Length

#: Pixels that the drift is made wide, within the limits (per inch) of what is worth rendering.
_PIXELS: Final = 4
_COARSEST: Final = 60
_FINEST: Final = 300
#: Lighter than this is paper; of 255.
_PAPER: Final = 245
#: A white edge shorter than this is not seen as one.
_SEEN: Final = Length.mm(1)


def worst_drifts(
    sheets: Path, pages: Mapping[tuple[int, str], int], faces: Sequence[Face], drift: Length
) -> list[Edges]:
    """For each face, how far each edge of the page as read moves: outward, or inward when
    negative; edges that no knife makes stay.

    `pages` gives the index of the PDF page of a side of a sheet.
    """
    by_page: dict[int, list[int]] = {}
    for index, face in enumerate(faces):
        by_page.setdefault(pages[face.sheet, face.side], []).append(index)
    dots = min(max(_COARSEST, _PIXELS / float(drift.as_inches)), _FINEST)
    found = [Edges()] * len(faces)
    with pypdfium2.PdfDocument(sheets) as pdf:
        for page, indices in sorted(by_page.items()):
            if any(faces[index].cut for index in indices):
                look = _Look(_rendered(pdf, page, dots), dots)
                for index in indices:
                    found[index] = _worst(look, faces[index], drift)
    return found


def _rendered(pdf: pypdfium2.PdfDocument, index: int, dots: float) -> Image.Image:
    page = pdf[index]
    bitmap = page.render(scale=dots / 72, grayscale=True)
    image: Image.Image = bitmap.to_pil()
    bitmap.close()
    page.close()
    return image


class _Look:
    """One rendered side; lengths are those of its own frame."""

    def __init__(self, image: Image.Image, dots: float) -> None:
        self._image = image
        self._dots = dots

    def white_beyond(self, region: Box, edge: Edge, drift: Length) -> bool:
        """Ink right inside the edge with white paper right outside it, for a visible length."""
        inside = self._line(region, edge, -1)
        outside = self._line(region, edge, round(self._pixels(drift)) - 1)
        if inside is None or outside is None:
            return False
        inked = inside.point(lambda level: 0 if level >= _PAPER else 255)
        white = outside.point(lambda level: 255 if level >= _PAPER else 0)
        both = ImageChops.darker(inked, white).histogram()[255]
        return both >= self._pixels(_SEEN)

    def _pixels(self, length: Length) -> float:
        return float(length.as_inches) * self._dots

    def _line(self, region: Box, edge: Edge, out: int) -> Image.Image | None:
        """One row of pixels along an edge, `out` of them outside it; None off the sheet."""
        image = self._image
        x0, x1 = (round(self._pixels(x)) for x in (region.x0, region.x1))
        y0, y1 = (image.height - round(self._pixels(y)) for y in (region.y1, region.y0))
        boxes = {
            Edge.LEFT: (x0 - 1 - out, y0, x0 - out, y1),
            Edge.RIGHT: (x1 + out, y0, x1 + out + 1, y1),
            Edge.TOP: (x0, y0 - 1 - out, x1, y0 - out),
            Edge.BOTTOM: (x0, y1 + out, x1, y1 + out + 1),
        }
        left, top, right, bottom = box = boxes[edge]
        if left < 0 or top < 0 or right > image.width or bottom > image.height:
            return None
        return image.crop(box) if right > left and bottom > top else None


def _worst(look: _Look, face: Face, drift: Length) -> Edges:
    def moved(edge: Edge) -> Length:
        if edge not in face.cut:
            return ZERO
        outward = look.white_beyond(face.region, edge.turned(-face.turn), drift)
        return drift if outward else -drift

    return Edges(
        left=moved(Edge.LEFT),
        right=moved(Edge.RIGHT),
        bottom=moved(Edge.BOTTOM),
        top=moved(Edge.TOP),
    )


def turned_edges(edges: Edges, turn: int) -> Edges:
    """Lengths at the edges of a box after it is turned counter-clockwise."""
    at = {Edge.LEFT: edges.left, Edge.RIGHT: edges.right}
    at |= {Edge.BOTTOM: edges.bottom, Edge.TOP: edges.top}
    now = {edge.turned(turn): length for edge, length in at.items()}
    return Edges(
        left=now[Edge.LEFT], right=now[Edge.RIGHT], bottom=now[Edge.BOTTOM], top=now[Edge.TOP]
    )
