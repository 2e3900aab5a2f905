"""The named resources that a content stream is drawn with (ISO 32000-1 7.8.3)."""

from __future__ import annotations

from typing import Final

from pikepdf import Dictionary, Object

#: What a reader has without being told.
OWN_SPACES: Final = frozenset({"/DeviceGray", "/DeviceRGB", "/DeviceCMYK", "/Pattern"})


class Shelves:
    """Resources of a page, form, pattern or font.

    `key` tells apart what the same image or form means under other resources: names and default
    colour spaces are looked up where it is drawn.
    """

    __slots__ = ("_key", "_resources")

    def __init__(self, resources: object) -> None:
        self._resources = resources if isinstance(resources, Dictionary) else None
        self._key: object = None

    @property
    def key(self) -> object:
        """The object's number and generation, or its text."""
        if self._key is None:
            found = self._resources
            if found is None:
                self._key = b""
            else:
                self._key = found.objgen if found.is_indirect else found.unparse()
        return self._key

    def named(self, kind: str, name: str) -> Object | None:
        """What lies there under this name (both with their slash), or nothing."""
        shelf = self._resources.get(kind) if self._resources is not None else None
        return shelf.get(name) if isinstance(shelf, Dictionary) else None

    def of(self, holder: Object) -> Shelves:
        """Those of something drawn with these: its own, else these (7.8.3; table 112 for Type 3
        fonts)."""
        own = holder.get("/Resources")
        return Shelves(own) if isinstance(own, Dictionary) else self
