"""By what a page is known again in a written file: checksums of what its form holds."""

from __future__ import annotations

import re
import zlib
from typing import Final

from impose.pdf.readback import ReadBack

_RESOURCES: Final = re.compile(rb"/Resources (\d+ 0 R|<<.*?>>)", re.DOTALL)
_XOBJECTS: Final = re.compile(rb"/XObject *(?:<<([^>]*)>>|(\d+) 0 R)")
_REFERENCE: Final = re.compile(rb"/[^\s/]+ (\d+) 0 R")


class FormPrints:
    """Reads them; what several forms share is read once."""

    def __init__(self, written: ReadBack) -> None:
        self._written = written
        self._prints: dict[int, tuple[int, ...]] = {}
        self._drawn: dict[bytes, tuple[int, ...]] = {}

    def of(self, form: int) -> tuple[int, ...]:
        """CRC-32 of the form's data, then of the XObjects in its resources, in their order."""
        prints = self._prints.get(form)
        if prints is None:
            entries, data = self._written.stream(form)
            found = _RESOURCES.search(entries)
            resources = found[1] if found else b""
            drawn = self._drawn.get(resources)
            if drawn is None:
                drawn = self._drawn[resources] = self._drawn_by(resources)
            prints = self._prints[form] = (zlib.crc32(data), *drawn)
        return prints

    def _drawn_by(self, resources: bytes) -> tuple[int, ...]:
        """`resources` is a reference or the dictionary itself."""
        if not resources.startswith(b"<<"):
            resources = self._written.text(int(resources.split()[0])) if resources else b""
        found = _XOBJECTS.search(resources)
        if found is None:
            return ()
        listed = found[1] if found[1] is not None else self._written.text(int(found[2]))
        numbers = [int(number) for number in _REFERENCE.findall(listed)]
        streams = [number for number in numbers if self._written.is_stream(number)]
        return tuple(zlib.crc32(self._written.stream(number)[1]) for number in streams)
