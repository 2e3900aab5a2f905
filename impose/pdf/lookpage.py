"""Looking at one page: its objects' outlines, nested forms included, clipped by their clips.

Found by trying and by reading back known files: pdfium gives the bounds of an
object inside a form in the form's own frame and unclipped, an object's clip in
the same frame as its bounds (the form's BBox included), and no clip at all
where it would cut nothing.  Bounds of text are the glyphs' own upwards, and
their advances across, spaces included.
"""

from __future__ import annotations

import ctypes
import hashlib
import zlib
from collections.abc import Callable
from typing import Any, Final

import pypdfium2.raw as pdfium

from impose.pdf.looklayers import HIDDEN_KEY
from impose.pdf.looklines import Lines
from impose.pdf.lookthings import (
    LINE,
    PICTURE,
    SHAPE,
    TEXT,
    Affine,
    Canvas,
    RawPicture,
    Rect,
    Thing,
)

#: From this level on a colour is paper: 2 % of black is not seen to end at a trim.
_WHITE: Final = 250
_INVISIBLE_MODES: Final = (3, 7)
_STROKED_MODES: Final = (1, 5)
#: A line is no thicker than this (pt) and at least four times as long.
_LINE: Final = 3.0
#: A page number is no longer than this (pt).
_SHORT: Final = 36.0
#: A filled strip thinner than this (pt) is a slip of the drawing program, not a line.
_NO_STRIP: Final = 0.005
_DEEPEST: Final = 24
#: Pages with at most this many pieces of text are read whole.
FEW_TEXTS: Final = 30
_SPACES: Final = {
    pdfium.FPDF_COLORSPACE_DEVICEGRAY: "grey",
    pdfium.FPDF_COLORSPACE_CALGRAY: "grey",
    pdfium.FPDF_COLORSPACE_DEVICERGB: "RGB",
    pdfium.FPDF_COLORSPACE_CALRGB: "RGB",
    pdfium.FPDF_COLORSPACE_DEVICECMYK: "CMYK",
    pdfium.FPDF_COLORSPACE_SEPARATION: "spot colour",
    pdfium.FPDF_COLORSPACE_DEVICEN: "spot colour",
}
_BY_BITS: Final = {8: "grey", 24: "RGB", 32: "CMYK"}


class FontBook:
    """Which fonts of a document are not embedded; asked once for each font."""

    __slots__ = ("_missing",)

    def __init__(self) -> None:
        self._missing: dict[int, str] = {}

    def missing(self, text: Any) -> str:
        """The font's name, empty when it is embedded."""
        font = pdfium.FPDFTextObj_GetFont(text)
        if not font:
            return ""
        key = ctypes.addressof(font.contents)
        name = self._missing.get(key)
        if name is None:
            name = self._missing[key] = self._look(font)
        return name

    def _look(self, font: Any) -> str:
        if pdfium.FPDFFont_GetIsEmbedded(font) != 0:
            return ""
        buffer = ctypes.create_string_buffer(128)
        pdfium.FPDFFont_GetBaseFontName(font, buffer, len(buffer))
        return buffer.value.decode("utf-8", "replace")  # a Type 3 font has no name


class PageReader:
    """Reads the objects of one page into a canvas."""

    def __init__(
        self,
        page: Any,
        fonts: FontBook,
        inner: Rect,
        unnumbered: Rect,
        *,
        layers: bool,
        soft: Callable[[], bool],
    ) -> None:
        self.page = page
        self.inner = inner  #: text in here is far from every edge
        self.unnumbered = unnumbered  #: and in here no page number
        self.canvas = Canvas()
        self.deep_text: Rect | None = None
        self.deep: list[Any] = []
        self.pictures: list[RawPicture] = []
        self.missing: set[str] = set()
        self.thinnest = 0.0
        self.thinnest_box: Rect | None = None
        self.texts = 0
        self.print = hashlib.blake2b(digest_size=12)
        self._fonts = fonts
        self._layers = layers
        self._soft = soft  #: pictures of this page may be see-through; asked only when it matters
        self._f = (ctypes.c_float * 4)()
        self._at = tuple(ctypes.c_float.from_buffer(self._f, 4 * i) for i in range(4))
        self._u = (ctypes.c_uint * 4)()
        self._into = tuple(ctypes.c_uint.from_buffer(self._u, 4 * i) for i in range(4))
        self._m = pdfium.FS_MATRIX()
        self._read = {
            pdfium.FPDF_PAGEOBJ_TEXT: self._text,
            pdfium.FPDF_PAGEOBJ_PATH: self._path,
            pdfium.FPDF_PAGEOBJ_IMAGE: self._picture,
            pdfium.FPDF_PAGEOBJ_SHADING: self._shading,
        }

    def read(self) -> None:
        """Walks everything on the page."""
        page, get = self.page, pdfium.FPDFPage_GetObject
        for index in range(pdfium.FPDFPage_CountObjects(page)):
            self._object(get(page, index), None, None, 0)

    def _object(self, obj: Any, frame: Affine | None, clip: Rect | None, depth: int) -> None:
        if self._layers and self._hidden(obj):
            return
        pdfium.FPDFPageObj_GetBounds(obj, *self._at)
        box = Rect._make(self._f)
        if frame is not None:
            box = box.turned(frame)
        kind = pdfium.FPDFPageObj_GetType(obj)
        if kind == pdfium.FPDF_PAGEOBJ_TEXT and self.inner.holds(box):
            short = box.x1 - box.x0 < _SHORT and box.y1 - box.y0 < _SHORT
            if not short or self.unnumbered.holds(box):
                self._far_text(obj, box, frame)
                return
        paths = pdfium.FPDFClipPath_CountPaths(pdfium.FPDFPageObj_GetClipPath(obj))
        if paths > 0:
            own = self._clip(obj, paths).turned(frame)
            clip = own if clip is None else clip.meet(own)
        if clip is not None:
            box = box.meet(clip)
            if box.gone:
                return
        if kind == pdfium.FPDF_PAGEOBJ_FORM:
            if depth < _DEEPEST:
                self._form(obj, frame, clip, depth)
            return
        reader = self._read.get(kind)
        if reader is not None:
            reader(obj, box, frame)

    def _form(self, obj: Any, frame: Affine | None, clip: Rect | None, depth: int) -> None:
        inner = self._matrix(obj).then(frame)
        for index in range(pdfium.FPDFFormObj_CountObjects(obj)):
            self._object(pdfium.FPDFFormObj_GetObject(obj, index), inner, clip, depth + 1)

    def _hidden(self, obj: Any) -> bool:
        """In marked content of a layer that is not printed (marked so beforehand)."""
        value = ctypes.c_int()
        for index in range(pdfium.FPDFPageObj_CountMarks(obj)):
            mark = pdfium.FPDFPageObj_GetMark(obj, index)
            if pdfium.FPDFPageObjMark_GetParamIntValue(mark, HIDDEN_KEY, value):
                return True
        return False

    def _clip(self, obj: Any, paths: int) -> Rect:
        """The box round the common part of an object's clip paths, in the object's frame."""
        handle = pdfium.FPDFPageObj_GetClipPath(obj)
        whole: Rect | None = None
        x, y = self._at[0], self._at[1]
        for path in range(paths):
            xs, ys = [], []
            for index in range(pdfium.FPDFClipPath_CountPathSegments(handle, path)):
                segment = pdfium.FPDFClipPath_GetPathSegment(handle, path, index)
                if pdfium.FPDFPathSegment_GetPoint(segment, x, y):
                    xs.append(self._f[0])
                    ys.append(self._f[1])
            if xs:
                box = Rect(min(xs), min(ys), max(xs), max(ys))
                whole = box if whole is None else whole.meet(box)
        return whole or Rect(0, 0, -1, -1)

    def _matrix(self, obj: Any) -> Affine:
        m = self._m
        pdfium.FPDFPageObj_GetMatrix(obj, m)
        return Affine(m.a, m.b, m.c, m.d, m.e, m.f)

    def _note(self, kind: bytes, box: Rect) -> None:
        self.print.update(b"%b%.1f %.1f %.1f %.1f" % (kind, *box))

    # -- kinds of objects ------------------------------------------------------------

    def _far_text(self, obj: Any, box: Rect, frame: Affine | None) -> None:
        """Text that no knife comes near: colour and clip do not matter."""
        if pdfium.FPDFTextObj_GetTextRenderMode(obj) in _INVISIBLE_MODES or box.y1 == box.y0:
            return
        missing = self._fonts.missing(obj)
        if missing:
            self.missing.add(missing)
        self.texts += 1
        self._note(b"t", box)
        known = self.deep_text
        self.deep_text = box if known is None else known.join(box)
        if self.texts <= FEW_TEXTS:
            self.deep.append(Thing(TEXT, box, obj, frame))

    def _text(self, obj: Any, box: Rect, frame: Affine | None) -> None:
        mode = pdfium.FPDFTextObj_GetTextRenderMode(obj)
        if mode in _INVISIBLE_MODES or box.y1 - box.y0 < 0.01 or box.x1 - box.x0 < 0.01:
            return
        white, alpha = self._colour(obj, stroke=mode in _STROKED_MODES)
        if not alpha:
            return
        missing = self._fonts.missing(obj)
        if missing:
            self.missing.add(missing)
        self.texts += 1
        self._note(b"t", box)
        self.canvas.paint(Thing(TEXT, box, obj, frame), white=white)

    def _path(self, obj: Any, box: Rect, frame: Affine | None) -> None:
        fill, stroke = ctypes.c_int(), ctypes.c_int()
        pdfium.FPDFPath_GetDrawMode(obj, fill, stroke)
        shown, white = [], True
        for wanted, is_stroke in ((fill.value, False), (stroke.value, True)):
            if wanted:
                is_white, alpha = self._colour(obj, stroke=is_stroke)
                if alpha:
                    shown.append((is_stroke, alpha))
                    white = white and is_white
        if not shown:
            return
        thin, long = sorted((box.x1 - box.x0, box.y1 - box.y0))
        kind = LINE if thin <= _LINE and long >= 4 * thin else SHAPE
        if not white:
            self._note(b"s", box)
            if all(is_stroke for is_stroke, _ in shown):
                pdfium.FPDFPageObj_GetStrokeWidth(obj, self._at[0])
                self._fine(self._f[0] * self._matrix(obj).then(frame).growth, box)
            elif kind == LINE and len(shown) == 1 and thin > _NO_STRIP:
                self._fine(thin, box)
        if (False, 255) in shown and self._fills_box(obj, box, frame):
            self.canvas.cover(box, white=white)
        self.canvas.paint(Thing(kind, box), white=white)

    def _fine(self, weight: float, box: Rect) -> None:
        """The finest line so far; a stroke of 0 is the thinnest that a device can draw."""
        weight = max(weight, _NO_STRIP)
        if self.thinnest_box is None or weight < self.thinnest:
            self.thinnest, self.thinnest_box = weight, box

    def _fills_box(self, obj: Any, box: Rect, frame: Affine | None) -> bool:
        """Opaque, and an upright rectangle."""
        if box.area < 1800 or pdfium.FPDFPageObj_HasTransparency(obj):
            return False
        if not 4 <= pdfium.FPDFPath_CountSegments(obj) <= 6:
            return False
        matrix = self._matrix(obj).then(frame)
        if (matrix.b or matrix.c) and (matrix.a or matrix.d):
            return False
        x, y = self._at[0], self._at[1]
        xs, ys = set(), set()
        for index in range(pdfium.FPDFPath_CountSegments(obj)):
            segment = pdfium.FPDFPath_GetPathSegment(obj, index)
            if pdfium.FPDFPathSegment_GetType(segment) == pdfium.FPDF_SEGMENT_BEZIERTO:
                return False
            pdfium.FPDFPathSegment_GetPoint(segment, x, y)
            xs.add(round(self._f[0], 2))
            ys.add(round(self._f[1], 2))
        return len(xs) == 2 and len(ys) == 2

    def _shading(self, _obj: Any, box: Rect, _frame: Affine | None) -> None:
        self._note(b"g", box)
        self.canvas.paint(Thing(SHAPE, box))

    def _picture(self, obj: Any, box: Rect, frame: Affine | None) -> None:
        matrix = self._matrix(obj).then(frame)
        told = pdfium.FPDF_IMAGEOBJ_METADATA()
        pdfium.FPDFImageObj_GetImageMetadata(obj, self.page, told)
        wide = (matrix.a**2 + matrix.b**2) ** 0.5
        high = (matrix.c**2 + matrix.d**2) ** 0.5
        space = _SPACES.get(told.colorspace) or _BY_BITS.get(told.bits_per_pixel, "other")
        self.pictures.append(
            RawPicture(box, wide, high, told.width, told.height, space, told.bits_per_pixel == 1)
        )
        size = pdfium.FPDFImageObj_GetImageDataRaw(obj, None, 0)
        data = (ctypes.c_ubyte * size)()
        pdfium.FPDFImageObj_GetImageDataRaw(obj, data, size)
        self._note(b"p%d" % zlib.crc32(data), box)
        upright = not ((matrix.b or matrix.c) and (matrix.a or matrix.d))
        if upright and not pdfium.FPDFPageObj_HasTransparency(obj) and not self._soft():
            self.canvas.cover(box, white=False)
        self.canvas.paint(Thing(PICTURE, box))

    def _colour(self, obj: Any, *, stroke: bool) -> tuple[bool, int]:
        """Whether it is white, and how opaque (0 to 255); a pattern counts as dark."""
        u = self._u
        get = pdfium.FPDFPageObj_GetStrokeColor if stroke else pdfium.FPDFPageObj_GetFillColor
        if not get(obj, *self._into):
            return False, 255
        return u[0] >= _WHITE and u[1] >= _WHITE and u[2] >= _WHITE, u[3]


def lines_of(reader: PageReader, region: Rect) -> tuple[list[Thing], Lines]:
    """What lies near the edges of `region` (or beyond), text joined to lines with words; the
    rest as one outline of each kind.  Little text is read whole."""
    near: list[Thing] = []
    deep: dict[str, Rect] = {}
    for thing in reader.canvas.things:
        if thing.kind != TEXT and reader.inner.holds(thing.box):
            known = deep.get(thing.kind)
            deep[thing.kind] = thing.box if known is None else known.join(thing.box)
        else:
            near.append(thing)
    if reader.texts <= FEW_TEXTS:
        near.extend(reader.deep)
    elif reader.deep_text is not None:
        deep[TEXT] = reader.deep_text
    lines = Lines(reader.page, region)
    things = lines.join(near)
    things.extend(Thing(kind, box) for kind, box in deep.items())
    return things, lines
