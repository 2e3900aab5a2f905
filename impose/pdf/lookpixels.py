"""What a picture really shows near its edges, from pixels.

A page that is one big scan has its background (the tone most of it has) and
ink, clearly darker.  A grey or black strip along an edge of the scan, where the
lid or the next page was caught, is not ink; a speck is not either.  A picture
with white round it counts only as far as it is not white.  Thresholds: own
measurements on the scans of the tests.
"""

from __future__ import annotations

import ctypes
from array import array
from dataclasses import dataclass
from typing import Any, Final

import pypdfium2.raw as pdfium
from PIL import Image, ImageFilter

from impose.pdf.lookthings import Rect

#: Dots to the inch that pages are looked at with: a pixel is a quarter of a millimetre.
_DPI: Final = 100
_MOST_PIXELS: Final = 3000
#: Lighter than this is paper.
_PAPER: Final = 244
#: Ink is this much darker than the paper it stands on.
_INK: Final = 80
#: A scan's background is at least this light and has at least this share of the pixels.
_LIGHT, _SHARE = 180, 0.5
#: How many grey levels about the commonest are the background.
_ABOUT: Final = 16
#: A strip along an edge: this share of its length is dark; it is no wider than this share.
_STRIP_DARK, _STRIP_WIDE = 0.3, 0.12
#: A strip begins this near to the edge, and has no wider gaps (pixels).
_RAGGED: Final = 4
#: Ink counts from so many pixels within so many rows or columns.
_COUNTS, _WITHIN = 6, 6
#: Rank in a square of nine: a pixel with fewer than two dark neighbours is dust.
_LONELY: Final = 6


@dataclass(frozen=True, slots=True)
class Seen:
    """What pixels say of a picture: where there is something, and on what.

    `box` is None where there is nothing to see.  `scan`: dark print on a light
    ground; then `tinted` says whether the ground itself is visible.
    """

    box: Rect | None
    scan: bool = False
    tinted: bool = False


class Pixels:
    """A page rendered once in grey."""

    def __init__(self, page: Any) -> None:
        width, height = pdfium.FPDF_GetPageWidthF(page), pdfium.FPDF_GetPageHeightF(page)
        scale = min(_DPI / 72, _MOST_PIXELS / max(width, height, 1.0))
        self.size = (max(1, round(width * scale)), max(1, round(height * scale)))
        self._page = page
        self._image: Image.Image | None = None

    def see(self, box: Rect, *, whole_page: bool) -> Seen:
        """Looks at the part of the page in `box` (the page's own coordinates)."""
        area = self._to_pixels(box)
        if area is None:
            return Seen(box)
        part = self._grey().crop(area)
        if whole_page:
            ground = _ground(part)
            if ground is not None:
                found = _ink_box(part, ground - _INK)
                return Seen(self._to_page(found, area), scan=True, tinted=ground < _PAPER - 8)
        found = _bounds(part.point(lambda level: 255 if level < _PAPER else 0))
        if found is None:
            return Seen(None)
        return Seen(_not_more(self._to_page(found, area), box, found, part.size))

    def _grey(self) -> Image.Image:
        if self._image is None:
            width, height = self.size
            bitmap = pdfium.FPDFBitmap_CreateEx(width, height, pdfium.FPDFBitmap_Gray, None, 0)
            try:
                pdfium.FPDFBitmap_FillRect(bitmap, 0, 0, width, height, 0xFFFFFFFF)
                pdfium.FPDF_RenderPageBitmap(
                    bitmap, self._page, 0, 0, width, height, 0, pdfium.FPDF_PRINTING
                )
                stride = pdfium.FPDFBitmap_GetStride(bitmap)
                raw = ctypes.string_at(pdfium.FPDFBitmap_GetBuffer(bitmap), stride * height)
            finally:
                pdfium.FPDFBitmap_Destroy(bitmap)
            self._image = Image.frombytes("L", self.size, raw, "raw", "L", stride)
        return self._image

    def _to_pixels(self, box: Rect) -> tuple[int, int, int, int] | None:
        """Left, upper, right, lower within the rendered page; None when outside it."""
        xs, ys = [], []
        x, y = ctypes.c_int(), ctypes.c_int()
        for corner in ((box.x0, box.y0), (box.x1, box.y1)):
            pdfium.FPDF_PageToDevice(self._page, 0, 0, *self.size, 0, *corner, x, y)
            xs.append(x.value)
            ys.append(y.value)
        width, height = self.size
        area = (
            max(0, min(xs)),
            max(0, min(ys)),
            min(width, max(xs)),
            min(height, max(ys)),
        )
        return area if area[2] - area[0] > _WITHIN and area[3] - area[1] > _WITHIN else None

    def _to_page(
        self, found: tuple[int, int, int, int] | None, area: tuple[int, int, int, int]
    ) -> Rect | None:
        if found is None:
            return None
        xs, ys = [], []
        x, y = ctypes.c_double(), ctypes.c_double()
        left, top = area[0], area[1]
        for px, py in ((left + found[0], top + found[1]), (left + found[2], top + found[3])):
            pdfium.FPDF_DeviceToPage(self._page, 0, 0, *self.size, 0, px, py, x, y)
            xs.append(x.value)
            ys.append(y.value)
        return Rect(min(xs), min(ys), max(xs), max(ys))


def _not_more(seen: Rect | None, box: Rect, found: tuple[int, int, int, int], size: Any) -> Rect:
    """The picture's own edge where pixels reach it, so that no pixel's width is lost."""
    if seen is None or found == (0, 0, *size):
        return box
    pixel = 72 / _DPI
    return Rect(
        box.x0 if seen.x0 < box.x0 + 2 * pixel else seen.x0,
        box.y0 if seen.y0 < box.y0 + 2 * pixel else seen.y0,
        box.x1 if seen.x1 > box.x1 - 2 * pixel else seen.x1,
        box.y1 if seen.y1 > box.y1 - 2 * pixel else seen.y1,
    )


def _ground(part: Image.Image) -> int | None:
    """The grey level of the background; None for a picture that has none."""
    counts = part.histogram()
    total = sum(counts)
    peak = max(range(128, 256), key=lambda level: counts[level])
    about = sum(counts[max(0, peak - _ABOUT) : peak + _ABOUT + 1])
    if peak < _LIGHT or about < _SHARE * total:
        return None
    return peak


def _ink_box(part: Image.Image, darkest: int) -> tuple[int, int, int, int] | None:
    """The box of print, strips along the edges taken off."""
    mask = part.point(lambda level: 255 if level < darkest else 0)
    mask = mask.filter(ImageFilter.RankFilter(3, _LONELY))
    width, height = mask.size
    columns, rows = _profile(mask, 0), _profile(mask, 1)
    left, right = _strip(columns, height), _strip(columns[::-1], height)
    top, bottom = _strip(rows, width), _strip(rows[::-1], width)
    inner = mask.crop((left, top, width - right, height - bottom))
    found = _bounds(inner)
    if found is None:
        return None
    return found[0] + left, found[1] + top, found[2] + left, found[3] + top


def _profile(mask: Image.Image, axis: int) -> list[float]:
    """Dark pixels in each column (0) or row (1)."""
    width, height = mask.size
    size, each = ((width, 1), height) if axis == 0 else ((1, height), width)
    means = mask.convert("F").resize(size, Image.Resampling.BOX)
    return [mean / 255 * each for mean in array("f", means.tobytes())]


def _strip(profile: list[float], across: int) -> int:
    """How wide a dark strip along the start of a profile is, with its ragged inner edge."""
    most = int(len(profile) * _STRIP_WIDE)
    end = 0
    for index, count in enumerate(profile[:most]):
        if count > _STRIP_DARK * across:
            end = index + 1
        elif index - end > _RAGGED:
            break
    return min(end + _RAGGED, most) if end else 0


def _bounds(mask: Image.Image) -> tuple[int, int, int, int] | None:
    """The box of what is more than a speck."""
    columns, rows = _profile(mask, 0), _profile(mask, 1)
    x = _first(columns), _first(columns[::-1])
    y = _first(rows), _first(rows[::-1])
    if x[0] is None or x[1] is None or y[0] is None or y[1] is None:
        return None
    return x[0], y[0], len(columns) - x[1], len(rows) - y[1]


def _first(profile: list[float]) -> int | None:
    """The first place from which on there is enough within reach."""
    window = sum(profile[:_WITHIN])
    for index in range(len(profile)):
        if window >= _COUNTS and profile[index] >= 0.5:
            return index
        window -= profile[index]
        if index + _WITHIN < len(profile):
            window += profile[index + _WITHIN]
    return None
