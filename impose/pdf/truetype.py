"""The shipped TrueType font: which characters it has, and a subset of it to embed.

Written here rather than borrowed because the drawing library's own font module
takes 60 ms to import, a tenth of a whole run over ten thousand pages.  It reads
the fonts beside it (format 12 character map, TrueType outlines), not any font.
Tables as in the OpenType specification, chapters cmap, glyf, head, hhea, hmtx,
loca, maxp; embedding as in ISO 32000-1 9.9.
"""

from __future__ import annotations

import struct
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

_KEPT_AS_THEY_ARE: Final = (b"cvt ", b"fpgm", b"prep")
#: Flags of a composite glyph's parts (glyf, "Composite Glyph Description").
_WORDS, _SCALE, _MORE, _XY_SCALE, _TWO_BY_TWO = 0x01, 0x08, 0x20, 0x40, 0x80
_CHECKSUM_MAGIC: Final = 0xB1B0AFBA


class TrueType:
    """A font file, read as needed.  Measures are in thousandths of the letter size."""

    def __init__(self, path: Path) -> None:
        self._data = path.read_bytes()
        count = struct.unpack_from(">H", self._data, 4)[0]
        self._tables: dict[bytes, tuple[int, int]] = {}
        for i in range(count):
            tag, _, offset, length = struct.unpack_from(">4sIII", self._data, 12 + 16 * i)
            self._tables[tag] = (offset, length)
        head, hhea = self._table(b"head"), self._table(b"hhea")
        self._units: int = struct.unpack_from(">H", head, 18)[0]
        self._long_loca = struct.unpack_from(">h", head, 50)[0] == 1
        self._measured = struct.unpack_from(">H", hhea, 34)[0]
        self._groups = self._read_groups()
        self._starts = [group[0] for group in self._groups]
        self.box = tuple(self._scaled(v) for v in struct.unpack_from(">4h", head, 36))
        self.ascent, self.descent = (self._scaled(v) for v in struct.unpack_from(">2h", hhea, 4))

    def glyph(self, character: str) -> int:
        """The glyph's number; 0 when the font lacks the character."""
        code = ord(character)
        at = bisect_right(self._starts, code) - 1
        if at < 0:
            return 0
        start, end, first = self._groups[at]
        return first + code - start if code <= end else 0

    def width(self, glyph: int) -> int:
        """How far the next letter is moved on."""
        return self._scaled(self._metrics(glyph)[0])

    def subset(self, glyphs: Mapping[int, int]) -> bytes:
        """A font file with only these glyphs, found by character code (code to glyph).

        Codes are 1 to 255 and stand in a format 0 character map, as a simple
        symbolic font wants it.
        """
        order = self._with_parts([0, *dict.fromkeys(glyphs.values())])
        new = {glyph: i for i, glyph in enumerate(order)}
        loca, outlines = [0], bytearray()
        for glyph in order:
            outlines += self._renumbered(glyph, new)
            outlines += bytes(-len(outlines) % 4)
            loca.append(len(outlines))
        head = bytearray(self._table(b"head"))
        struct.pack_into(">I", head, 8, 0)
        struct.pack_into(">h", head, 50, 1)
        hhea = bytearray(self._table(b"hhea"))
        struct.pack_into(">H", hhea, 34, len(order))
        maxp = bytearray(self._table(b"maxp"))
        struct.pack_into(">H", maxp, 4, len(order))
        codes = bytes(new.get(glyphs.get(code, 0), 0) for code in range(256))
        tables = {
            b"cmap": struct.pack(">HHHHIHHH", 0, 1, 1, 0, 12, 0, 262, 0) + codes,
            b"glyf": bytes(outlines),
            b"head": bytes(head),
            b"hhea": bytes(hhea),
            b"hmtx": b"".join(struct.pack(">Hh", *self._metrics(glyph)) for glyph in order),
            b"loca": struct.pack(f">{len(loca)}I", *loca),
            b"maxp": bytes(maxp),
        }
        for tag in _KEPT_AS_THEY_ARE:
            if tag in self._tables:
                tables[tag] = self._table(tag)
        return _file(tables)

    def _table(self, tag: bytes) -> bytes:
        offset, length = self._tables[tag]
        return self._data[offset : offset + length]

    def _scaled(self, value: int) -> int:
        return round(value * 1000 / self._units)

    def _read_groups(self) -> list[tuple[int, int, int]]:
        """First code, last code, glyph of the first; rising (cmap format 12)."""
        cmap = self._table(b"cmap")
        for i in range(struct.unpack_from(">H", cmap, 2)[0]):
            offset = struct.unpack_from(">I", cmap, 8 + 8 * i)[0]
            if struct.unpack_from(">H", cmap, offset)[0] == 12:
                count = struct.unpack_from(">I", cmap, offset + 12)[0]
                rows = cmap[offset + 16 : offset + 16 + 12 * count]
                return [(a, b, c) for a, b, c in struct.iter_unpack(">III", rows)]
        raise ValueError("the font has no format 12 character map")

    def _metrics(self, glyph: int) -> tuple[int, int]:
        """Advance and left side bearing, in font units."""
        offset = self._tables[b"hmtx"][0]
        if glyph < self._measured:
            advance, bearing = struct.unpack_from(">Hh", self._data, offset + 4 * glyph)
            return advance, bearing
        advance = struct.unpack_from(">H", self._data, offset + 4 * (self._measured - 1))[0]
        at = offset + 4 * self._measured + 2 * (glyph - self._measured)
        bearing = struct.unpack_from(">h", self._data, at)[0]
        return advance, bearing

    def _outline(self, glyph: int) -> bytes:
        loca, glyf = self._tables[b"loca"][0], self._tables[b"glyf"][0]
        if self._long_loca:
            start, end = struct.unpack_from(">II", self._data, loca + 4 * glyph)
        else:
            start, end = (2 * v for v in struct.unpack_from(">HH", self._data, loca + 2 * glyph))
        return self._data[glyf + start : glyf + end]

    def _with_parts(self, glyphs: Sequence[int]) -> list[int]:
        """The glyphs and, after them, those that they are put together from."""
        order = list(dict.fromkeys(glyphs))
        known = set(order)
        for glyph in order:  # grows while it is walked
            for _, part in _parts(self._outline(glyph)):
                if part not in known:
                    known.add(part)
                    order.append(part)
        return order

    def _renumbered(self, glyph: int, new: Mapping[int, int]) -> bytes:
        outline = bytearray(self._outline(glyph))
        for at, part in _parts(bytes(outline)):
            struct.pack_into(">H", outline, at, new[part])
        return bytes(outline)


def _parts(outline: bytes) -> list[tuple[int, int]]:
    """Where a composite glyph names its parts, and their numbers; none for a simple one."""
    found: list[tuple[int, int]] = []
    if len(outline) < 10 or struct.unpack_from(">h", outline)[0] >= 0:
        return found
    at, flags = 10, _MORE
    while flags & _MORE:
        flags, part = struct.unpack_from(">HH", outline, at)
        found.append((at + 2, part))
        at += 8 if flags & _WORDS else 6
        if flags & _SCALE:
            at += 2
        elif flags & _XY_SCALE:
            at += 4
        elif flags & _TWO_BY_TWO:
            at += 8
    return found


def _file(tables: Mapping[bytes, bytes]) -> bytes:
    """The font file: directory, tables on four-byte bounds, checksums."""
    count = len(tables)
    power = 1 << (count.bit_length() - 1)
    header = struct.pack(
        ">IHHHH", 0x00010000, count, 16 * power, power.bit_length() - 1, 16 * (count - power)
    )
    offset = len(header) + 16 * count
    directory, body = b"", b""
    head_at = 0
    for tag in sorted(tables):
        data = tables[tag]
        if tag == b"head":
            head_at = offset + len(body)
        directory += struct.pack(">4sIII", tag, _sum(data), offset + len(body), len(data))
        body += data + bytes(-len(data) % 4)
    whole = bytearray(header + directory + body)
    struct.pack_into(">I", whole, head_at + 8, (_CHECKSUM_MAGIC - _sum(whole)) & 0xFFFFFFFF)
    return bytes(whole)


def _sum(data: bytes | bytearray) -> int:
    padded = bytes(data) + bytes(-len(data) % 4)
    total: int = sum(struct.unpack(f">{len(padded) // 4}I", padded))
    return total & 0xFFFFFFFF
