"""Colour spaces of spot colours, for patches: the pages' own, so that no ink is told twice.

A Separation of that name is looked for in the resources of the pages and of the
forms they draw, and carried over as it is.  Where a page knows the ink only as
one of several (DeviceN), a space of the same name stands in, black where it is
seen without the plate.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.pdf.carry import Carrier
from impose.pdf.readback import ReadBack
from impose.pdf.sources import Document
from impose.plan.parts import Side

_DEEPEST: Final = 12
_STAND_IN: Final = (
    b"[/Separation%b/DeviceCMYK<</FunctionType 2/Domain[0 1]/C0[0 0 0 0]/C1[0 0 0 1]/N 1>>]"
)


def spot_names(sides: Collection[Side]) -> tuple[str, ...]:
    """The spot colours of all fields of colour, in the order in which they are numbered."""
    fields = {id(side.fills): side.fills for side in sides if side.fills}
    return tuple(sorted({f.ink.name for fills in fields.values() for f in fills if f.ink.name}))


def spot_resources(names: Sequence[str]) -> dict[str, bytes]:
    """What each is called in the operators."""
    return {name: b"S%d" % number for number, name in enumerate(names, start=1)}


def spot_spaces(
    names: Sequence[str], documents: Sequence[Document], carriers: Mapping[int, Carrier]
) -> list[bytes]:
    """The colour space of each, as it is written in the output."""
    found: dict[str, bytes] = {}
    for file, carrier in carriers.items():
        wanted = set(names) - found.keys()
        if not wanted:
            break
        for name, space in _separations(documents[file], wanted):
            found.setdefault(name, carrier.value(space))
            if wanted <= found.keys():
                break
    return [found.get(name) or _STAND_IN % _name(name) for name in names]


def _name(name: str) -> bytes:
    return bytes(Name("/" + name).unparse())


def _separations(document: Document, wanted: Collection[str]) -> Iterator[tuple[str, Object]]:
    seen: set[tuple[int, int]] = set()
    for page in document.pages:
        yield from _in(page.get("/Resources"), wanted, seen, 0)


def _in(
    resources: Object | None, wanted: Collection[str], seen: set[tuple[int, int]], depth: int
) -> Iterator[tuple[str, Object]]:
    if not isinstance(resources, Dictionary) or depth > _DEEPEST:
        return
    key = resources.objgen
    if key != (0, 0):
        if key in seen:
            return
        seen.add(key)
    try:
        spaces = resources.get("/ColorSpace")
        if isinstance(spaces, Dictionary):
            yield from _named(list(spaces.values()), wanted)
        inner = resources.get("/XObject")
        for thing in inner.values() if isinstance(inner, Dictionary) else ():
            if not isinstance(thing, Stream) or thing.objgen in seen:
                continue
            seen.add(thing.objgen)
            yield from _named([thing.get("/ColorSpace")], wanted)
            yield from _in(thing.get("/Resources"), wanted, seen, depth + 1)
    except (pikepdf.PdfError, RuntimeError):
        return


def _named(
    spaces: Sequence[Object | None], wanted: Collection[str]
) -> Iterator[tuple[str, Object]]:
    for space in spaces:
        if isinstance(space, Array) and len(space) == 4 and space[0] == Name.Separation:
            name = str(space[1]).removeprefix("/")
            if name in wanted:
                yield name, space


def named_space(written: ReadBack, resources: bytes, name: bytes, spot: str) -> bool:
    """Whether `name` in the written resources is a Separation of that spot colour."""
    found = re.search(rb"/%b (\d+) 0 R" % name, resources)
    text = written.text(int(found[1])) if found else resources.partition(b"/%b " % name)[2]
    return re.match(rb"\[ ?/Separation ?%b\b" % re.escape(_name(spot)), text) is not None
