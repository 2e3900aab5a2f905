"""Reads a file that `impose.pdf.out` wrote, from its bytes and nothing else.

It understands only what is written there and takes anything else for a fault,
so it is small, and eight times as fast as opening the file with a library and
asking for each object.  It shares no code with the writer.
"""

from __future__ import annotations

import mmap
import re
import zlib
from collections.abc import Iterator
from itertools import accumulate, islice
from pathlib import Path
from types import TracebackType
from typing import Final

from impose.errors import PlanMismatchError

_START: Final = re.compile(rb"startxref\n(\d+)\n%%EOF\n\Z")
_STREAM: Final = re.compile(rb"\d+ 0 obj<<.*?/Length \d+>>stream\n", re.DOTALL)
_OBJECT: Final = re.compile(rb"(\d+) 0 obj\n(.*?)\nendobj\n", re.DOTALL)
_WIDTHS: Final = re.compile(rb"/W\[(\d+) (\d+) (\d+)\]")
_PACKED: Final = re.compile(rb"/N (\d+)/First (\d+)")
_TABLE: Final = re.compile(
    rb"xref\n0 (\d+)\n(?:\d{10} \d{5} [nf] \n)+trailer\n<<(.*?)>>\n", re.DOTALL
)
_ROOT: Final = re.compile(rb"/Root (\d+) 0 R")
_KIDS: Final = re.compile(rb"/Kids\[([^\]]*)\]")
_COUNT: Final = re.compile(rb"/Count (\d+)")
_BEGINS: Final = b">>stream\n"
_ENDS: Final = b"\nendstream endobj\n"
#: A tree deeper than this refers to itself.
_DEEPEST: Final = 8


class ReadBack:
    """The objects of one written file; raises `PlanMismatchError` for anything unexpected."""

    def __init__(self, path: Path) -> None:
        self._path = path
        try:
            with path.open("rb") as file:
                self._data = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
        except (OSError, ValueError) as fault:
            raise self.fault("there is nothing") from fault
        self._offsets: dict[int, int] = {}
        self._texts: dict[int, bytes] = {}
        self._trailer = b""
        start = _START.search(self._data, max(0, len(self._data) - 64))
        if start is None:
            raise self.fault("it has no end")
        at = int(start[1])
        if self._data[at : at + 4] == b"xref":
            self._read_table(at)
        else:
            self._read_xref_stream(at)

    def close(self) -> None:
        self._data.close()

    def __enter__(self) -> ReadBack:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def fault(self, what: str) -> PlanMismatchError:
        """The error for a file that is not as it was written."""
        return PlanMismatchError(f"{self._path} cannot be read back: {what}")

    def text(self, number: int) -> bytes:
        """An object that is not a stream."""
        text = self._texts.get(number)
        if text is None:
            found = _OBJECT.match(self._data, self._offset(number))
            if found is None or int(found[1]) != number:
                raise self.fault(f"object {number} is not where it should be")
            text = self._texts[number] = found[2]
        return text

    def stream(self, number: int) -> tuple[bytes, bytes]:
        """The entries of a stream's dictionary but /Length, and its data as they lie."""
        at = self._offsets.get(number, 0)
        start = self._data.find(_BEGINS, at)
        head = self._data[at:start]
        opening, _, length = head.rpartition(b"/Length ")
        name, _, entries = opening.partition(b" 0 obj<<")
        end = start + len(_BEGINS) + int(length) if length.isdigit() else 0
        ends_well = self._data[end : end + len(_ENDS)] == _ENDS
        if name != b"%d" % number or b"\n" in head or not ends_well:
            raise self.fault(f"stream {number} is not as it was written")
        return entries, self._data[start + len(_BEGINS) : end]

    def is_stream(self, number: int) -> bool:
        """Whether there is such an object, and with data."""
        at = self._offsets.get(number, 0)
        return bool(at) and _STREAM.match(self._data, at) is not None

    def content(self, number: int) -> bytes:
        """A stream's data, inflated where they are deflated."""
        entries, data = self.stream(number)
        return zlib.decompress(data) if b"/FlateDecode" in entries else data

    def pages(self) -> list[int]:
        """The object numbers of all pages, in order."""
        root = _ROOT.search(self._trailer)
        tree = re.search(rb"/Pages (\d+) 0 R", self.text(int(root[1]))) if root else None
        if tree is None:
            raise self.fault("it has no page tree")
        pages = list(self._walk(int(tree[1]), 0))
        count = _COUNT.search(self.text(int(tree[1])))
        if count is None or int(count[1]) != len(pages):
            raise self.fault("its page tree counts other pages than it has")
        return pages

    def _walk(self, number: int, depth: int) -> Iterator[int]:
        text = self.text(number)
        kids = _KIDS.search(text) if text.startswith(b"<</Type/Pages") else None
        if kids is None:
            yield number
        elif depth == _DEEPEST:
            raise self.fault("its page tree refers to itself")
        else:
            for kid in kids[1].split()[::3]:
                yield from self._walk(int(kid), depth + 1)

    def _offset(self, number: int) -> int:
        offset = self._offsets.get(number)
        if offset is None:
            raise self.fault(f"object {number} is not in it")
        return offset

    def _read_table(self, at: int) -> None:
        found = _TABLE.match(self._data, at)
        if found is None:
            raise self.fault("its cross-reference table is damaged")
        rows = found[0].split(b"\n")[2 : 2 + int(found[1])]
        self._offsets = {number: int(row[:10]) for number, row in enumerate(rows) if number}
        self._trailer = found[2]

    def _read_xref_stream(self, at: int) -> None:
        number = int(self._data[at : at + 12].split(b" ")[0])
        self._offsets[number] = at
        self._trailer, _ = self.stream(number)
        widths = _WIDTHS.search(self._trailer)
        if widths is None:
            raise self.fault("its cross-reference stream is damaged")
        kind_bytes, where_bytes, index_bytes = (int(width) for width in widths.groups())
        columns = _columns(self.content(number), kind_bytes + where_bytes + index_bytes)
        where = columns[kind_bytes]
        for column in columns[kind_bytes + 1 : kind_bytes + where_bytes]:
            where = [high << 8 | low for high, low in zip(where, column, strict=True)]
        packed = dict.fromkeys(w for kind, w in zip(columns[0], where, strict=True) if kind == 2)
        rows = enumerate(zip(columns[0], where, strict=True))
        self._offsets = {number: place for number, (kind, place) in rows if kind == 1}
        for stream in packed:
            self._unpack(stream)

    def _unpack(self, number: int) -> None:
        """Objects in an object stream (ISO 32000-1 7.5.7)."""
        entries, _ = self.stream(number)
        found = _PACKED.search(entries)
        if found is None:
            raise self.fault(f"object stream {number} is damaged")
        content = self.content(number)
        first = int(found[2])
        heads = [int(word) for word in content[:first].split()]
        ends = [*heads[3::2], len(content) - first + 1]
        for inside, start, end in zip(heads[::2], heads[1::2], ends, strict=True):
            self._texts[inside] = content[first + start : first + end - 1]


def _columns(content: bytes, width: int) -> list[list[int]]:
    """The table's columns of bytes; each row was written less the one above it (PNG "Up")."""
    return [
        [value & 0xFF for value in accumulate(islice(content, column + 1, None, width + 1))]
        for column in range(width)
    ]
