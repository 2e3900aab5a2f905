"""What hangs on the catalogue of a file, wherever it hides: actions, attached files, filters, data
of other files.

Every object that can be reached is looked at by its text; nothing is decoded.
Kinds of actions: ISO 32000-1 table 198; embedded files: 7.11.4; streams whose
data lie in another file: table 5; pages nowhere in the page tree count too.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

import pikepdf
from pikepdf import Stream

from impose.findings import plain
from impose.pdf.scrub import ACTIONS
from impose.pdf.sources import object_text
from impose.pdf.useimages import stream_use

_STRING_OR_REFERENCE: Final = re.compile(
    rb"\((?:[^\\()]|\\.)*\)|<[0-9A-Fa-f]*>|(\d+) (\d+) R\b", re.DOTALL
)
_STRING: Final = re.compile(rb"\((?:[^\\()]|\\.)*\)", re.DOTALL)
#: An action always has its kind; `AA` and `JS` alone may be names of anything.
_ACT: Final = re.compile(rb"/S /(%b)\b" % "|".join(ACTIONS).encode("ascii"))
#: A file specification with the file itself (tables 44 and 45).
_ATTACHED: Final = re.compile(
    rb"/EF << (?:/(?:F|UF|DOS|Mac|Unix) \d+ \d+ R )+>>|/Type /EmbeddedFile\b"
    rb"|/EF \d+ \d+ R.*/Type /(?:Filespec|F)\b",
    re.DOTALL,
)
#: A tagged document may call its elements as actions are called.
_ELEMENT: Final = re.compile(rb"/Type /StructElem\b")
_PLACES: Final = {
    "/Outlines": "the outlines",
    "/Names": "the names",
    "/AcroForm": "the form",
    "/OpenAction": "what is done when it is opened",
    "/AA": "the document",
    "/Pages": "the pages",
}
PAGES: Final = "/Pages"


@dataclass(slots=True, kw_only=True)
class Reached:
    """`acts` are words by the catalogue's entry under which it could act."""

    acts: dict[str, set[str]] = field(default_factory=dict)
    attached: bool = False
    filters: set[str] = field(default_factory=set)
    foreign: set[str] = field(default_factory=set)


def reach_all(pdf: pikepdf.Pdf) -> Reached:
    """Everything under the catalogue; under which entry, the first of its entries says, pages
    first."""
    reached = Reached()
    seen: set[tuple[int, int]] = {pdf.Root.objgen}
    entries = dict(pdf.Root.items())
    for entry in sorted(entries, key=lambda name: name != PAGES):
        direct = b"%b %b" % (entry.encode("utf-8", "replace"), _text(entries[entry]))
        waiting = list(_references(direct))
        _look(direct, entry, reached)
        while waiting:
            key = waiting.pop()
            if key in seen:
                continue
            seen.add(key)
            found = pdf.get_object(key)
            if isinstance(found, Stream):
                text = found.stream_dict.unparse()
                use = stream_use(found)
                reached.filters |= use.filters
                reached.foreign |= use.foreign
            else:
                text = object_text(found)
            waiting += _references(text)
            _look(text, entry, reached)
    return reached


def _text(value: object) -> bytes:
    """A reference, where it is one."""
    return value.unparse() if isinstance(value, pikepdf.Object) else object_text(value)


def _references(text: bytes) -> Iterator[tuple[int, int]]:
    for found in _STRING_OR_REFERENCE.finditer(text):
        if found[1] is not None:
            yield int(found[1]), int(found[2])


def _look(text: bytes, entry: str, reached: Reached) -> None:
    if _ACT.search(text) is None and _ATTACHED.search(text) is None:
        return
    bare = _STRING.sub(b"()", text)
    if _ATTACHED.search(bare):
        reached.attached = True
    if _ELEMENT.search(bare):
        return
    place = _PLACES.get(entry, f"the entry {plain(entry[1:])}")
    for found in _ACT.finditer(bare):
        kind = found[1].decode("ascii")
        reached.acts.setdefault(entry, set()).add(f"{kind} under {place}")
