"""Text objects joined to lines with their words.

Opening pdfium's text page costs as much as loading the page, so it is done
only where text lies near an edge or there is little of it.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable
from typing import Any, Final

import pypdfium2.raw as pdfium

from impose.pdf.lookthings import TEXT, Affine, Rect, Thing

#: Longest run of one text object that is read.
_LONGEST: Final = 2000
#: Baselines differ by less, in points, within one line.
_BASELINE: Final = 1.0
#: Words further apart than this many line heights are not one line.
_GAP: Final = 2.0
#: Spaces at the ends of a run are looked at only this near to an edge (pt, 6 mm).
_NEAR: Final = 17.0


class Lines:
    """The words of one page; a context that must be closed."""

    def __init__(self, page: Any, region: Rect) -> None:
        self._page = page
        self._region = region
        self._text: Any = None
        self._buffer = (ctypes.c_ushort * _LONGEST)()
        self._chars: dict[int, list[int]] | None = None

    def close(self) -> None:
        """Lets the text page go."""
        if self._text is not None:
            pdfium.FPDFText_ClosePage(self._text)
            self._text = None

    def words(self, handle: Any) -> str:
        """What a text object says, spaces at its ends kept."""
        size = pdfium.FPDFTextObj_GetText(handle, self._open(), self._buffer, _LONGEST)
        raw = bytes(self._buffer)[: max(0, min(size, 2 * _LONGEST) - 2)]
        return raw.decode("utf-16-le", "replace")

    def join(self, things: Iterable[Thing]) -> list[Thing]:
        """Text on one baseline becomes one thing with all its words; blanks go."""
        others: list[Thing] = []
        texts: list[Thing] = []
        for thing in things:
            if thing.kind != TEXT:
                others.append(thing)
                continue
            said = self.words(thing.handle)
            if said and not said.strip():
                continue
            if said != said.strip():
                self._tighten(thing)
            thing.words = said
            thing.line = _baseline(thing)
            texts.append(thing)
        across = [t for t in texts if t.line[0] == 0]
        upright = [t for t in texts if t.line[0] == 1]
        return [*others, *_rows(across, 0), *_rows(upright, 1)]

    def _open(self) -> Any:
        if self._text is None:
            self._text = pdfium.FPDFText_LoadPage(self._page)
        return self._text

    def _tighten(self, thing: Thing) -> None:
        """Takes spaces at the ends off the box, where it lies near an edge."""
        box, region = thing.box, self._region
        if region.grown(-_NEAR).holds(box):
            return
        key = ctypes.addressof(thing.handle.contents)
        inked: Rect | None = None
        left, right, bottom, top = (ctypes.c_double() for _ in range(4))
        for index in self._characters().get(key, ()):
            pdfium.FPDFText_GetCharBox(self._text, index, left, right, bottom, top)
            one = Rect(left.value, bottom.value, right.value, top.value)
            inked = one if inked is None else inked.join(one)
        if inked is not None and not (tight := inked.meet(box)).gone:
            thing.box = tight

    def _characters(self) -> dict[int, list[int]]:
        """The characters of each text object that leave ink."""
        if self._chars is None:
            self._chars = {}
            text = self._open()
            for index in range(pdfium.FPDFText_CountChars(text)):
                if chr(pdfium.FPDFText_GetUnicode(text, index)).isspace():
                    continue
                handle = pdfium.FPDFText_GetTextObject(text, index)
                if handle:
                    key = ctypes.addressof(handle.contents)
                    self._chars.setdefault(key, []).append(index)
        return self._chars


def _baseline(thing: Thing) -> tuple[int, float]:
    m = pdfium.FS_MATRIX()
    pdfium.FPDFPageObj_GetMatrix(thing.handle, m)
    matrix = Affine(m.a, m.b, m.c, m.d, m.e, m.f).then(thing.frame)
    return (1, matrix.e) if abs(matrix.b) > abs(matrix.a) else (0, matrix.f)


def _rows(texts: list[Thing], axis: int) -> list[Thing]:
    """Joined along the reading direction; `axis` 0: across the page, 1: up the page."""
    texts.sort(key=lambda t: (t.line[1], t.box[axis]))
    rows: list[Thing] = []
    row: list[Thing] = []
    for text in texts:
        if row and text.line[1] - row[0].line[1] > _BASELINE:
            rows.extend(_pieces(row, axis))
            row = []
        row.append(text)
    return rows + _pieces(row, axis)


def _pieces(row: list[Thing], axis: int) -> list[Thing]:
    """One row parted where the gap is wide."""
    row.sort(key=lambda t: t.box[axis])
    made: list[Thing] = []
    for text in row:
        last = made[-1] if made else None
        height = text.box[3 - axis] - text.box[1 - axis]
        if last is None or text.box[axis] - last.box[axis + 2] > _GAP * max(height, 4.0):
            made.append(Thing(TEXT, text.box, line=text.line, words=text.words))
            continue
        apart = text.box[axis] - last.box[axis + 2] > 0.15 * height
        last.words += (" " if apart else "") + text.words
        last.box = last.box.join(text.box)
    return made
