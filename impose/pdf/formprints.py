"""By what a page is known again in a written file: checksums of what its form holds."""

from __future__ import annotations

import re
import zlib
from typing import Final, NamedTuple

from impose.pdf.readback import ReadBack

_FORM: Final = re.compile(
    rb"/Subtype/Form/BBox (\d+) 0 R/Resources (\d+ 0 R|<<>>)(?:/Group \d+ 0 R)?(/.*|)",
    re.DOTALL,
)
_XOBJECTS: Final = re.compile(rb"/XObject *(?:<<([^>]*)>>|(\d+) 0 R)")
_NAMED: Final = re.compile(rb"/[^\s/]+ (\d+) 0 R")
_REFERENCE: Final = re.compile(rb"\d+ \d+ R\b")


class WrittenForm(NamedTuple):
    """The number of the form's BBox, and checksums: CRC-32 of its data and its own entries,
    of its resources but for object numbers, and of the XObjects in these, in their order."""

    box: int
    prints: tuple[int, ...]


class FormPrints:
    """Reads them; what several forms share is read once."""

    def __init__(self, written: ReadBack) -> None:
        self._written = written
        self._forms: dict[int, WrittenForm] = {}
        self._resources: dict[bytes, tuple[int, ...]] = {}

    def of(self, number: int) -> WrittenForm:
        """Raises `PlanMismatchError` when there is no such form."""
        form = self._forms.get(number)
        if form is None:
            entries, data = self._written.stream(number)
            found = _FORM.fullmatch(entries)
            if found is None:
                raise self._written.fault(f"stream {number} is not the form of a page")
            resources = self._resources.get(found[2]) or self._read_resources(found[2])
            own = _REFERENCE.sub(b"R", found[3])
            checksum = zlib.crc32(own, zlib.crc32(data))
            form = WrittenForm(int(found[1]), (checksum, *resources))
            self._forms[number] = form
        return form

    def _read_resources(self, reference: bytes) -> tuple[int, ...]:
        """`reference` may be the dictionary itself."""
        text = reference
        if not text.startswith(b"<<"):
            text = self._written.text(int(reference.split()[0]))
        drawn = [
            zlib.crc32(self._written.stream(number)[1])
            for number in self._xobjects(text)
            if self._written.is_stream(number)
        ]
        prints = self._resources[reference] = (zlib.crc32(_REFERENCE.sub(b"R", text)), *drawn)
        return prints

    def _xobjects(self, resources: bytes) -> list[int]:
        found = _XOBJECTS.search(resources)
        if found is None:
            return []
        listed = found[1] if found[1] is not None else self._written.text(int(found[2]))
        return [int(number) for number in _NAMED.findall(listed)]
