"""Objects of the inputs carried into the output as they are.

An object is carried when something that is written names it, and once.  Its
text is what qpdf makes of it, with object numbers exchanged; a stream keeps its
bytes.  Only a stream that has no filter at all is deflated.
"""

from __future__ import annotations

import re
import zlib
from typing import Final

import pikepdf
from pikepdf import Object, Stream

from impose.errors import InputError
from impose.pdf.limits import MOST_INFLATED, TooLargeError, check_inflated
from impose.pdf.out import PdfOut
from impose.pdf.scrub import is_suspect, scrubbed
from impose.pdf.sources import Document, object_text

#: A string is matched whole and left alone, so that only true references are found.
_STRING_OR_REFERENCE: Final = re.compile(rb"\((?:[^\\()]|\\.)*\)|(\d+) (\d+) R\b", re.DOTALL)
_STRING_OR_HASH: Final = re.compile(rb"\((?:[^\\()]|\\.)*\)|#(?![0-9A-Fa-f]{2})", re.DOTALL)
#: What most streams of most files have.
_FLATE_ALONE: Final = re.compile(rb"<< /Filter /FlateDecode /Length (?:\d+ \d+ R|\d+) >>")
FLATE: Final = b"/Filter/FlateDecode"
_LENGTH: Final = re.compile(rb"/Length (?:\d+ \d+ R|\d+)")
#: A page, the page tree and the catalogue of an input have no place in the output.
_NOT_CARRIED: Final = re.compile(rb"/Type /(?:Pages?|Catalog)\b")

Key = tuple[int, int]


class Carrier:
    """Carries objects of one document; `checksums` are those of carried streams, as written."""

    def __init__(self, document: Document, out: PdfOut) -> None:
        self.checksums: dict[Key, int] = {}
        self._pdf = document.pdf
        self._path = document.path
        self._out = out
        self._numbers: dict[Key, int] = {}
        self._waiting: list[tuple[Key, int]] = []

    def text(self, text: bytes) -> bytes:
        """The text with the output's object numbers; what it names is carried by `finish`."""
        return _STRING_OR_REFERENCE.sub(self._exchanged, with_sound_names(text))

    def value(self, obj: Object) -> bytes:
        """What stands for this object in the output: a reference, or the object itself."""
        return self.text(obj.unparse())

    def number(self, key: Key) -> int:
        """The output's number for an object, by number and generation in its input."""
        number = self._numbers.get(key)
        if number is None:
            number = self._numbers[key] = self._out.number()
            self._waiting.append((key, number))
        return number

    def finish(self) -> None:
        """Carries everything that was named, and what that names in turn.

        Raises `InputError` naming the file when something in it cannot be read.
        """
        try:
            while self._waiting:
                self._carry(*self._waiting.pop())
        except TooLargeError as fault:
            raise InputError(
                f"{self._path}: something that its pages need inflates to more than "
                f"{MOST_INFLATED >> 20} MB",
                hint="no page needs that: export or print the file to PDF again",
            ) from fault
        except (pikepdf.PdfError, RuntimeError) as fault:
            raise InputError(
                f"{self._path}: something that its pages need cannot be read",
                hint="export or print the file to PDF again",
            ) from fault

    def _carry(self, key: Key, number: int) -> None:
        obj = self._pdf.get_object(key)
        if isinstance(obj, Stream):
            self._carry_stream(key, number, obj)
            return
        text = object_text(obj)
        if not is_carried(obj, text):
            text = b"null"
        elif is_suspect(text):
            text = object_text(obj)
        self._out.add(number, self.text(text))

    def _carry_stream(self, key: Key, number: int, stream: Object) -> None:
        entries, data = stream_parts(stream)
        if is_suspect(entries):
            if not scrubbed(stream):
                self._out.add(number, b"null")
                return
            entries, data = stream_parts(stream)
        if b"/FlateDecode" in entries and b"/Subtype /Image" not in entries:
            check_inflated(data)
        checksum = self.checksums[key] = zlib.crc32(data)
        self._out.add_stream(number, self.text(entries), data, checksum)

    def _exchanged(self, found: re.Match[bytes]) -> bytes:
        if found[1] is None:
            return found[0]
        return b"%d 0 R" % self.number((int(found[1]), int(found[2])))


def with_sound_names(text: bytes) -> bytes:
    """The text with `#` in names as `#23` where no two digits follow: before PDF 1.2 it was a
    character like others (ISO 32000-1 7.3.5)."""
    if b"#" not in text:
        return text
    return _STRING_OR_HASH.sub(lambda found: b"#23" if found[0] == b"#" else found[0], text)


def is_carried(obj: Object, text: bytes) -> bool:
    """Whether an object of that text (no stream) has a place in the output; what hangs on it and
    has none is taken away."""
    if _NOT_CARRIED.search(text):
        return False
    return not is_suspect(text) or scrubbed(obj)


def stream_parts(stream: Object) -> tuple[bytes, bytes]:
    """The entries of a stream's dictionary but /Length, in the input's numbers, and its data.

    The data are those in the file (of a locked file: unlocked), deflated when
    they have no filter.
    """
    text = stream.stream_dict.unparse()
    data = stream.read_raw_bytes()
    if _FLATE_ALONE.fullmatch(text):
        return FLATE, data
    entries, found = _LENGTH.subn(b"", text[3:-3])
    entries = entries.strip()
    if found != 1 or b"/Length " in entries:  # inner ones, or one that is no number
        own = stream.stream_dict.copy()
        if "/Length" in own:
            del own["/Length"]
        entries = own.unparse()[3:-3].strip()
    if b"/Filter" not in entries and data:
        return entries + FLATE, zlib.compress(data)
    return entries, data
