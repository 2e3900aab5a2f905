"""What pdfium does not tell about a page: spot colours, soft masks, boxes, the content's bytes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.pdf.lookinks import InkLook, InkReader
from impose.pdf.lookthings import Rect

#: Names that are no ink of their own (ISO 32000-1 8.6.6.4, 8.6.6.5).
_PROCESS: Final = {"All", "None", "Cyan", "Magenta", "Yellow", "Black"}
_DEEPEST: Final = 12


class PageDictionaries:
    """The pages of one opened file; spot colours are remembered by resources."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self._pages = [page.obj for page in pdf.pages]
        self._inks = InkReader()
        self._spots: dict[tuple[int, int], frozenset[str]] = {}
        self._soft: dict[int, bool] = {}

    def unit(self, number: int) -> float:
        """Points in one unit of the page's own coordinates; `number` from 1."""
        value = self._pages[number - 1].get("/UserUnit")
        try:
            return float(value) or 1.0 if value is not None else 1.0
        except (TypeError, ValueError):
            return 1.0

    def shown(self, number: int) -> Rect:
        """The TrimBox, else the CropBox, else the MediaBox, in the page's own units."""
        page = pikepdf.Page(self._pages[number - 1])
        return _rect(page.trimbox)

    def spots(self, number: int) -> frozenset[str]:
        """Names of spot colours that the page's resources hold."""
        return self._of_resources(_resources(self._pages[number - 1]), 0)

    def soft(self, number: int) -> bool:
        """Some picture on the page may be seen through."""
        soft = self._soft.get(number)
        if soft is None:
            found = _xobjects(_resources(self._pages[number - 1]), 0, set())
            soft = self._soft[number] = any(_see_through(x) for x in found)
        return soft

    def content_print(self, number: int) -> bytes:
        """Equal for pages whose content streams are byte for byte the same."""
        digest = hashlib.blake2b(digest_size=12)
        contents = self._pages[number - 1].get("/Contents")
        for stream in list(contents) if isinstance(contents, Array) else [contents]:
            if isinstance(stream, Stream):
                digest.update(stream.read_raw_bytes())
        return digest.digest()

    def inks(self, number: int) -> InkLook:
        """What the page's operators say of its inks."""
        page = self._pages[number - 1]
        return self._inks.page(page, _resources(page))

    def _of_resources(self, resources: Object | None, depth: int) -> frozenset[str]:
        if not isinstance(resources, Dictionary) or depth > _DEEPEST:
            return frozenset()
        key = resources.objgen
        known = self._spots.get(key) if key != (0, 0) else None
        if known is None:
            if key != (0, 0):  # whoever comes back to it while it is looked into adds nothing
                self._spots[key] = frozenset()
            known = frozenset(self._look(resources, depth))
            if key != (0, 0):
                self._spots[key] = known
        return known

    def _look(self, resources: Object, depth: int) -> Iterator[str]:
        for kind in ("/ColorSpace", "/Shading", "/Pattern"):
            group = resources.get(kind)
            if isinstance(group, Dictionary):
                for value in dict(group.items()).values():
                    yield from self._of_value(value, depth + 1)
        group = resources.get("/XObject")
        if isinstance(group, Dictionary):
            for value in dict(group.items()).values():
                yield from self._of_value(value, depth + 1)

    def _of_value(self, value: Object, depth: int) -> Iterator[str]:
        if depth > _DEEPEST:
            return
        if isinstance(value, Array):
            yield from _named(value, depth)
        elif isinstance(value, (Dictionary, Stream)):
            yield from self._of_resources(value.get("/Resources"), depth)
            for key in ("/ColorSpace", "/Shading"):
                inner = value.get(key)
                if isinstance(inner, (Array, Dictionary, Stream)):
                    yield from self._of_value(inner, depth + 1)


def _named(space: Object, depth: int) -> Iterator[str]:
    """The inks of a colour space."""
    if not len(space) or depth > _DEEPEST:
        return
    kind = space[0]
    if kind in (Name.Separation, Name.DeviceN) and len(space) > 1:
        names = space[1] if isinstance(space[1], Array) else [space[1]]
        for name in names:
            said = str(name).removeprefix("/")
            if said not in _PROCESS:
                yield said
    elif kind in (Name.Indexed, Name.Pattern) and len(space) > 1 and isinstance(space[1], Array):
        yield from _named(space[1], depth + 1)


def _resources(page: Object) -> Object | None:
    """Inherited from the page tree where the page has none (7.7.3.4)."""
    node: Object | None = page
    for _ in range(_DEEPEST):
        if not isinstance(node, Dictionary):
            return None
        found = node.get("/Resources")
        if isinstance(found, Dictionary):
            return found
        node = node.get("/Parent")
    return None


def _xobjects(resources: Object | None, depth: int, seen: set[tuple[int, int]]) -> Iterator[Object]:
    """Each once, however often the forms draw each other."""
    group = resources.get("/XObject") if isinstance(resources, Dictionary) else None
    if not isinstance(group, Dictionary) or depth > _DEEPEST:
        return
    for value in dict(group.items()).values():
        if isinstance(value, Stream) and value.objgen not in seen:
            seen.add(value.objgen)
            yield value
            yield from _xobjects(value.get("/Resources"), depth + 1, seen)


def _see_through(xobject: Object) -> bool:
    return "/SMask" in xobject or "/Mask" in xobject or bool(xobject.get("/ImageMask", False))


def _rect(box: Object) -> Rect:
    x0, y0, x1, y1 = (float(n) for n in list(box))
    return Rect(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
