"""What a page's content uses: colours, fonts, transparency, filters, in all that it draws.

Only what operators name counts; a resource that nothing draws does no harm.
Forms, patterns, soft masks and glyphs are looked into once each, or once for
each set of resources where they have none of their own.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.model.sheetfacts import NOTHING_USED, InkUse
from impose.pdf.decoding import decoded
from impose.pdf.limits import TooLargeError
from impose.pdf.usefonts import font_use
from impose.pdf.useimages import image_use, inline_use, stream_use
from impose.pdf.useshelves import Shelves
from impose.pdf.usespaces import SpaceReader
from impose.pdf.usestates import is_group, state_use

_OPERATORS: Final = "g G rg RG k K cs CS sc SC scn SCN sh gs Do Tf BDC DP BI ID EI"
_DEVICE: Final = {
    "g": "DeviceGray", "G": "DeviceGray", "rg": "DeviceRGB", "RG": "DeviceRGB",
    "k": "DeviceCMYK", "K": "DeviceCMYK",
}  # fmt: skip
#: Where what an operator names lies, and what it is called.
_SHELVES: Final = {
    "Do": ("/XObject", "picture or form"),
    "Tf": ("/Font", "font"),
    "scn": ("/Pattern", "pattern"),
    "SCN": ("/Pattern", "pattern"),
    "sh": ("/Shading", "shading"),
    "gs": ("/ExtGState", "graphics state"),
}
_DEEPEST: Final = 20
#: Longer content is not looked into (bytes, inflated).
_LONGEST: Final = 64 << 20
_BROKEN: Final = (pikepdf.PdfError, RuntimeError, ValueError, TypeError, AttributeError)
_UNREAD: Final = InkUse(unread=True)


class UseReader:
    """Reads pages of one file; what several pages draw is remembered."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self._pdf = pdf
        self._spaces = SpaceReader()
        self._known: dict[tuple[object, ...], InkUse] = {}

    def page(self, page: Object, shelves: Shelves) -> InkUse:
        """What the page uses; its annotations apart."""
        contents = page.get("/Contents")
        listed = list(contents) if isinstance(contents, Array) else [contents]
        streams = [stream for stream in listed if isinstance(stream, Stream)]
        use = self._group(page, shelves)
        for stream in streams:
            use = use.join(stream_use(stream))
        return use.join(self._content(streams, shelves, 0))

    def appearance(self, drawn: Object, shelves: Shelves) -> InkUse:
        """What the appearance of an annotation uses (ISO 32000-1 12.5.5)."""
        return self._found(drawn, "/XObject", shelves, 0)

    def _content(self, streams: Sequence[Object], shelves: Shelves, depth: int) -> InkUse:
        if depth > _DEEPEST:
            return _UNREAD
        try:
            parts = [decoded(stream) for stream in streams]
        except TooLargeError:
            return _UNREAD
        data = b"\n".join(part for part, _ in parts)
        if len(data) > _LONGEST:
            return _UNREAD
        use = NOTHING_USED if all(sound for _, sound in parts) else _UNREAD
        seen: set[tuple[str, str]] = set()
        try:
            with warnings.catch_warnings(record=True) as told:
                warnings.simplefilter("always")
                steps = pikepdf.parse_content_stream(Stream(self._pdf, data), _OPERATORS)
            if told:
                use = use.join(_UNREAD)
            for step in steps:
                if isinstance(step, pikepdf.ContentStreamInlineImage):
                    use = use.join(inline_use(step.iimage.obj, shelves, self._spaces))
                    continue
                operator = str(step.operator)
                name = _operand(operator, step.operands)
                if (operator, name) not in seen:
                    seen.add((operator, name))
                    use = use.join(self._step(operator, name, shelves, depth))
        except _BROKEN:
            use = use.join(_UNREAD)
        return use

    def _step(self, operator: str, name: str, shelves: Shelves, depth: int) -> InkUse:
        """What one operator uses; `name` is empty where it names nothing."""
        if operator in _DEVICE:
            return self._spaces.device(_DEVICE[operator], shelves)
        if operator in ("BDC", "DP"):
            return InkUse(layers=True) if name == "/OC" else NOTHING_USED
        if not name:
            return NOTHING_USED
        if operator in ("cs", "CS"):
            return self._spaces.use(Name(name), shelves)
        if operator not in _SHELVES:
            return NOTHING_USED
        kind, what = _SHELVES[operator]
        found = shelves.named(kind, name)
        if not isinstance(found, Dictionary | Stream):
            return InkUse(missing=frozenset([f"the {what} {name[1:]}"]))
        return self._found(found, kind, shelves, depth)

    def _found(self, found: Object, kind: str, shelves: Shelves, depth: int) -> InkUse:
        """Something of this kind, drawn with these resources."""
        own = isinstance(found.get("/Resources"), Dictionary) or (
            kind == "/Font" and found.get("/Subtype") != Name.Type3
        )
        key = (kind, found.objgen, None if own else shelves.key)
        known = self._known.get(key) if found.is_indirect else None
        if known is not None:
            return known
        if found.is_indirect:
            self._known[key] = _UNREAD  # nothing can draw itself
        try:
            use = self._look(found, kind, shelves, depth)
        except _BROKEN:
            use = _UNREAD
        if found.is_indirect:
            self._known[key] = use
        return use

    def _look(self, found: Object, kind: str, shelves: Shelves, depth: int) -> InkUse:
        if kind == "/Font":
            return self._font(found, shelves, depth)
        if kind == "/ExtGState":
            return self._state(found, shelves, depth)
        if kind == "/Shading":
            return self._shading(found, shelves)
        if kind == "/Pattern":
            return self._pattern(found, shelves, depth)
        return self._drawn(found, shelves, depth)

    def _drawn(self, drawn: Object, shelves: Shelves, depth: int) -> InkUse:
        """An image or a form (8.8, 8.10)."""
        use = stream_use(drawn) if isinstance(drawn, Stream) else _UNREAD
        if drawn.get("/Subtype") == Name.Image:
            return use.join(image_use(drawn, shelves, self._spaces))
        if drawn.get("/Subtype") == Name.PS:
            return use.join(InkUse(foreign=frozenset(["PostScript"])))
        foreign = set()
        if drawn.get("/Subtype2") == Name.PS or "/PS" in drawn:
            foreign.add("PostScript")
        if "/Ref" in drawn:
            foreign.add("a page of another file")
        inner = shelves.of(drawn)
        use = use.join(InkUse(foreign=frozenset(foreign), layers="/OC" in drawn))
        return use.join(self._group(drawn, inner)).join(self._content([drawn], inner, depth + 1))

    def _group(self, holder: Object, shelves: Shelves) -> InkUse:
        """A transparency group, and the space that it is blended in (11.6.6, table 147)."""
        if not is_group(holder):
            return NOTHING_USED
        use = InkUse(see_through=frozenset(["a transparency group"]))
        space = holder.Group.get("/CS")
        if space is None:
            return use
        told = self._spaces.use(space, shelves)
        return use.join(replace(told, spaces=frozenset(), blends=told.spaces))

    def _pattern(self, pattern: Object, shelves: Shelves, depth: int) -> InkUse:
        if "/Shading" in pattern:
            state = pattern.get("/ExtGState")
            use = NOTHING_USED
            if isinstance(state, Dictionary):
                use = self._found(state, "/ExtGState", shelves, depth)
            return use.join(self._shading(pattern.get("/Shading"), shelves))
        if not isinstance(pattern, Stream):
            return _UNREAD
        use = stream_use(pattern)
        return use.join(self._content([pattern], shelves.of(pattern), depth + 1))

    def _shading(self, shading: object, shelves: Shelves) -> InkUse:
        if not isinstance(shading, Dictionary | Stream):
            return InkUse(missing=frozenset(["a shading"]))
        use = stream_use(shading) if isinstance(shading, Stream) else NOTHING_USED
        return use.join(self._spaces.use(shading.get("/ColorSpace"), shelves))

    def _state(self, state: Object, shelves: Shelves, depth: int) -> InkUse:
        """A graphics state can set a font, and draws its soft mask (table 58, 11.6.5.2)."""
        use = state_use(state)
        font = state.get("/Font")
        if isinstance(font, Array) and len(font) and isinstance(font[0], Dictionary):
            use = use.join(self._found(font[0], "/Font", shelves, depth + 1))
        mask = state.get("/SMask")
        drawn = mask.get("/G") if isinstance(mask, Dictionary) else None
        if isinstance(drawn, Stream):
            use = use.join(self._found(drawn, "/XObject", shelves, depth + 1))
        return use

    def _font(self, font: Object, shelves: Shelves, depth: int) -> InkUse:
        """The glyphs of a Type 3 font are content (9.6.5)."""
        if font.get("/Subtype") != Name.Type3:
            return font_use(font)
        glyphs = font.get("/CharProcs")
        use = NOTHING_USED
        if isinstance(glyphs, Dictionary):
            inner = shelves.of(font)
            for glyph in glyphs.values():
                if isinstance(glyph, Stream):
                    own = self._content([glyph], inner, depth + 1)
                    use = use.join(own).join(stream_use(glyph))
        return use


def _operand(operator: str, operands: Any) -> str:
    """The resource that an operator names: its first operand for fonts, else its last; of marked
    content its tag."""
    if operator in _DEVICE or not len(operands):
        return ""
    operand = operands[0] if operator in ("Tf", "BDC", "DP") else operands[-1]
    return str(operand) if isinstance(operand, Name) else ""
