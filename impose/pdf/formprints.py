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
        self._entries: dict[bytes, tuple[int, bytes, tuple[int, ...]]] = {}
        self._resources: dict[bytes, tuple[int, ...]] = {}

    def of(self, number: int) -> WrittenForm:
        """Raises `PlanMismatchError` when there is no such form."""
        form = self._forms.get(number)
        if form is None:
            entries, data = self._written.stream(number)
            box, own, resources = self._entries.get(entries) or self._read_entries(entries)
            checksum = zlib.crc32(own, zlib.crc32(data))
            form = self._forms[number] = WrittenForm(box, (checksum, *resources))
        return form

    def _read_entries(self, entries: bytes) -> tuple[int, bytes, tuple[int, ...]]:
        """The BBox, what the form has for itself, and what its resources are known by."""
        found = _FORM.fullmatch(entries)
        if found is None:
            raise self._written.fault(f"{entries!r} is not the dictionary of a page's form")
        resources = self._resources.get(found[2]) or self._read_resources(found[2])
        own = _REFERENCE.sub(b"R", found[3])
        self._entries[entries] = read = (int(found[1]), own, resources)
        return read

    def _read_resources(self, reference: bytes) -> tuple[int, ...]:
        """Of the resources that `12 0 R` names, or of none: `<<>>`."""
        text = reference
        if text != b"<<>>":
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
