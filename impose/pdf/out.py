"""A PDF file written front to back: numbered objects, and how they are found.

Why not the library's own saving: with ten thousand pages it takes as long as all
the rest of the run together, it gives every carried stream without Flate a new
coding, and it needs the inputs changed in memory first.  What is written here
is a small part of the format: ISO 32000-1 7.3.8 (streams), 7.5.4 (cross-reference
table), 7.5.7 (object streams), 7.5.8 (cross-reference streams).  Tests hold it to
four independent readers, `impose.pdf.readback` reads every file again.
"""

from __future__ import annotations

import struct
import zlib
from hashlib import md5
from typing import BinaryIO, Final

#: Objects in one object stream: more are packed better, fewer are found faster.
_TOGETHER: Final = 200
#: Shorter streams are never deflated: naming the filter costs what it saves, and time.
_WORTH_DEFLATING: Final = 160
_FILTER: Final = b"/Filter/FlateDecode"
_UP_PREDICTOR: Final = 12


class PdfOut:
    """Writes one file; `packed` False leaves out object streams, as PDF 1.4 wants it.

    Every number that is asked for must be filled before `finish`.
    """

    def __init__(self, file: BinaryIO, version: str, packed: bool = True) -> None:
        self._file = file
        self._packed = packed
        self._where: list[tuple[int, int, int]] = [(0, 0, 0)]
        self._waiting: list[tuple[int, bytes]] = []
        self._checksums: list[int] = []
        # Four bytes over 127 say that the file is not text (7.5.2).
        header = b"%%PDF-%b\n%%\xe2\xe3\xcf\xd3\n" % version.encode("ascii")
        self._at = len(header)
        file.write(header)

    def number(self) -> int:
        """The next free object number."""
        self._where.append((0, 0, 0))
        return len(self._where) - 1

    def add(self, number: int, text: bytes) -> None:
        """An object that is not a stream."""
        if not self._packed:
            self._write(number, b"%d 0 obj\n%b\nendobj\n" % (number, text))
            return
        self._waiting.append((number, text))
        if len(self._waiting) == _TOGETHER:
            self._flush()

    def add_new(self, text: bytes) -> int:
        """As `add`, with the next number, which it returns."""
        number = self.number()
        self.add(number, text)
        return number

    def add_stream(self, number: int, entries: bytes, data: bytes, checksum: int) -> None:
        """A stream with its data as they are.

        `entries` are those of its dictionary but /Length; `checksum` is the
        CRC-32 of the data, which is part of the file's identifier.
        """
        self._checksums.append(checksum)
        self._write(
            number,
            b"%d 0 obj<<%b/Length %d>>stream\n%b\nendstream endobj\n"
            % (number, entries, len(data), data),
        )

    def add_new_stream(self, entries: bytes, data: bytes, checksum: int) -> int:
        """As `add_stream`, with the next number, which it returns."""
        number = len(self._where)
        self._where.append((1, self._at, 0))
        self._checksums.append(checksum)
        whole = b"%d 0 obj<<%b/Length %d>>stream\n%b\nendstream endobj\n" % (
            number,
            entries,
            len(data),
            data,
        )
        self._at += len(whole)
        self._file.write(whole)
        return number

    def add_own_stream(self, entries: bytes, data: bytes) -> int:
        """A stream of our own making, deflated where that makes it shorter; its number."""
        if len(data) > _WORTH_DEFLATING:
            deflated = zlib.compress(data)
            if len(deflated) + len(_FILTER) < len(data):
                entries, data = entries + _FILTER, deflated
        return self.add_new_stream(entries, data, zlib.crc32(data))

    def finish(self, root: int, info: int) -> None:
        """The cross-reference and the end; `root` and `info` are object numbers."""
        if self._packed:
            self._flush()
            start = self._at
            self._write_xref_stream(root, info)
        else:
            start = self._at
            self._write_xref_table(root, info)
        self._file.write(b"startxref\n%d\n%%%%EOF\n" % start)

    def _write(self, number: int, data: bytes) -> None:
        self._where[number] = (1, self._at, 0)
        self._at += len(data)
        self._file.write(data)

    def _flush(self) -> None:
        """The waiting objects as one object stream."""
        if not self._waiting:
            return
        stream = self.number()
        heads: list[bytes] = []
        texts: list[bytes] = []
        at = 0
        for index, (number, text) in enumerate(self._waiting):
            self._where[number] = (2, stream, index)
            heads.append(b"%d %d" % (number, at))
            texts.append(text)
            at += len(text) + 1
        head = b" ".join(heads) + b"\n"
        data = zlib.compress(head + b"\n".join(texts))
        entries = b"/Type/ObjStm/N %d/First %d" % (len(texts), len(head))
        self._waiting = []
        self.add_stream(stream, entries + _FILTER, data, zlib.crc32(data))

    def _write_xref_stream(self, root: int, info: int) -> None:
        number = self.number()
        self._where[number] = (1, self._at, 0)
        wide = self._at >> 32
        pack = struct.Struct(">BQB" if wide else ">BIB").pack
        rows = b"".join([pack(*row) for row in self._where])
        columns = 10 if wide else 6
        data = zlib.compress(_predicted(rows, columns))
        entries = b"/Type/XRef/W[1 %d 1]/DecodeParms<</Predictor %d/Columns %d>>%b%b" % (
            columns - 2,
            _UP_PREDICTOR,
            columns,
            _FILTER,
            self._trailer(root, info, rows),
        )
        self.add_stream(number, entries, data, 0)

    def _write_xref_table(self, root: int, info: int) -> None:
        rows = b"".join([b"%010d 00000 n \n" % where for _, where, _ in self._where[1:]])
        self._file.write(b"xref\n0 %d\n0000000000 65535 f \n%b" % (len(self._where), rows))
        self._file.write(b"trailer\n<<%b>>\n" % self._trailer(root, info, rows))

    def _trailer(self, root: int, info: int, rows: bytes) -> bytes:
        """The identifier comes from what was written, so that equal files have equal ones."""
        sums = struct.pack(f">{len(self._checksums)}I", *self._checksums)
        seal = md5(sums + rows, usedforsecurity=False)
        name = seal.hexdigest().encode("ascii")
        return b"/Root %d 0 R/Info %d 0 R/Size %d/ID[<%b><%b>]" % (
            root,
            info,
            len(self._where),
            name,
            name,
        )


def _predicted(rows: bytes, columns: int) -> bytes:
    """Each row less the one above it, byte by byte, behind a 2 (PNG "Up"): packs far better.

    All bytes are subtracted at once as one long number with two bytes for
    each: the upper one takes the borrow.
    """
    count = len(rows)
    borrow = int.from_bytes(b"\x01\x00" * count, "big")
    above = bytes(columns) + rows[:-columns]
    wide = (_spread(rows) + borrow - _spread(above)).to_bytes(2 * count, "big")
    less = wide[1::2]
    return b"".join([b"\x02" + less[at : at + columns] for at in range(0, count, columns)])


def _spread(data: bytes) -> int:
    spread = bytearray(2 * len(data))
    spread[1::2] = data
    return int.from_bytes(spread, "big")
