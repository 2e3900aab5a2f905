"""What a page's content uses: colours, fonts, transparency, filters, in all that it draws.

Only what operators name counts; a resource that nothing draws does no harm.
Forms, patterns and glyphs are looked into once each.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from typing import Any, Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.model.sheetfacts import NOTHING_USED, InkUse
from impose.pdf.decoding import decoded
from impose.pdf.limits import TooLargeError

_OPERATORS: Final = "g G rg RG k K cs CS sc SC scn SCN sh gs Do Tf BI ID EI"
_DEVICE: Final = {
    "g": "DeviceGray", "G": "DeviceGray", "rg": "DeviceRGB", "RG": "DeviceRGB",
    "k": "DeviceCMYK", "K": "DeviceCMYK",
}  # fmt: skip
#: Device spaces, and their short names in inline images (ISO 32000-1 table 93).
_NAMES: Final = {
    "/DeviceGray": "DeviceGray", "/G": "DeviceGray", "/DeviceRGB": "DeviceRGB",
    "/RGB": "DeviceRGB", "/DeviceCMYK": "DeviceCMYK", "/CMYK": "DeviceCMYK",
}  # fmt: skip
_DEFAULTS: Final = {
    "DeviceGray": "/DefaultGray", "DeviceRGB": "/DefaultRGB", "DeviceCMYK": "/DefaultCMYK",
}  # fmt: skip
_CHANNELS: Final = {1: "GRAY", 3: "RGB", 4: "CMYK"}
_SHELVES: Final = {"Do": "/XObject", "Tf": "/Font", "scn": "/Pattern", "SCN": "/Pattern"}
#: Filters that no rule asks after.
_USUAL_FILTERS: Final = frozenset({"FlateDecode", "DCTDecode", "CCITTFaxDecode"})
_PLAIN_BLENDS: Final = {"/Normal", "/Compatible"}
_DEEPEST: Final = 20
#: Longer content is not looked into (bytes, inflated).
_LONGEST: Final = 64 << 20
_BROKEN: Final = (pikepdf.PdfError, RuntimeError, ValueError, TypeError, AttributeError)


class UseReader:
    """Reads pages of one file; what several pages draw is remembered."""

    def __init__(self, pdf: pikepdf.Pdf) -> None:
        self._pdf = pdf
        self._known: dict[tuple[int, int], InkUse] = {}

    def page(self, page: Object, resources: Object | None) -> InkUse:
        """What the page uses."""
        contents = page.get("/Contents")
        listed = list(contents) if isinstance(contents, Array) else [contents]
        streams = [stream for stream in listed if isinstance(stream, Stream)]
        use = _group_use(page)
        for stream in streams:
            use = use.join(_stream_use(stream))
        return use.join(self._content(streams, resources, 0))

    def _content(self, streams: Sequence[Object], resources: Object | None, depth: int) -> InkUse:
        try:
            parts = [decoded(stream) for stream in streams]
        except TooLargeError:
            return InkUse(unread=True)
        data = b"\n".join(part for part, _ in parts)
        if len(data) > _LONGEST:
            return InkUse(unread=True)
        whole = all(sound for _, sound in parts)
        use = NOTHING_USED if whole else InkUse(unread=True)
        seen: set[tuple[str, str]] = set()
        try:
            with warnings.catch_warnings(record=True) as told:
                warnings.simplefilter("always")
                steps = pikepdf.parse_content_stream(Stream(self._pdf, data), _OPERATORS)
            if told:
                use = use.join(InkUse(unread=True))
            for step in steps:
                if isinstance(step, pikepdf.ContentStreamInlineImage):
                    use = use.join(_inline_use(step, resources))
                    continue
                operator = str(step.operator)
                name = _operand(operator, step.operands)
                if (operator, name) not in seen:
                    seen.add((operator, name))
                    use = use.join(self._step(operator, name, resources, depth))
        except _BROKEN:
            use = use.join(InkUse(unread=True))
        return use

    def _step(self, operator: str, name: str, resources: Object | None, depth: int) -> InkUse:
        """What one operator uses; `name` is empty where it names nothing."""
        if operator in _DEVICE:
            return InkUse(spaces=_device(_DEVICE[operator], resources))
        if not name:
            return NOTHING_USED
        if operator in ("cs", "CS"):
            return InkUse(spaces=_space(Name(name), resources, 0))
        if operator == "gs":
            return _state_use(_named(resources, "/ExtGState", name))
        if operator == "sh":
            return _shading_use(_named(resources, "/Shading", name), resources)
        kind = _SHELVES.get(operator, "")
        found = _named(resources, kind, name)
        if not isinstance(found, Dictionary | Stream) or depth > _DEEPEST:
            return NOTHING_USED
        return self._once(found, kind, resources, depth)

    def _once(self, found: Object, kind: str, resources: Object | None, depth: int) -> InkUse:
        key = found.objgen
        known = self._known.get(key) if key != (0, 0) else None
        if known is not None:
            return known
        if key != (0, 0):
            self._known[key] = NOTHING_USED  # one that draws itself has nothing to add
        if kind == "/Font":
            use = self._font(found, depth)
        elif kind == "/Pattern":
            use = self._pattern(found, resources, depth)
        else:
            use = self._drawn(found, resources, depth)
        if key != (0, 0):
            self._known[key] = use
        return use

    def _drawn(self, drawn: Object, resources: Object | None, depth: int) -> InkUse:
        """An image or a form."""
        use = _stream_use(drawn)
        if drawn.get("/Subtype") == Name.Image:
            return use.join(_image_use(drawn, resources))
        foreign = set()
        if drawn.get("/Subtype") == Name.PS or drawn.get("/Subtype2") == Name.PS:
            foreign.add("PostScript")
        if "/Ref" in drawn:
            foreign.add("a page of another file")
        use = use.join(_group_use(drawn)).join(InkUse(foreign=frozenset(foreign)))
        return use.join(self._content([drawn], drawn.get("/Resources", resources), depth + 1))

    def _pattern(self, pattern: Object, resources: Object | None, depth: int) -> InkUse:
        if "/Shading" in pattern:
            state = pattern.get("/ExtGState")
            use = _state_use(state) if state is not None else NOTHING_USED
            return use.join(_shading_use(pattern.get("/Shading"), resources))
        if not isinstance(pattern, Stream):
            return NOTHING_USED
        use = _stream_use(pattern)
        return use.join(self._content([pattern], pattern.get("/Resources", resources), depth + 1))

    def _font(self, font: Object, depth: int) -> InkUse:
        """Embedded: the descriptor holds a program (ISO 32000-1 9.9); Type 3 glyphs are content."""
        if font.get("/Subtype") == Name.Type3:
            glyphs = font.get("/CharProcs")
            use = NOTHING_USED
            if isinstance(glyphs, Dictionary):
                for glyph in glyphs.values():
                    if isinstance(glyph, Stream):
                        own = self._content([glyph], font.get("/Resources"), depth + 1)
                        use = use.join(own).join(_stream_use(glyph))
            return use
        holder = font
        below = font.get("/DescendantFonts")
        if isinstance(below, Array) and len(below) and isinstance(below[0], Dictionary):
            holder = below[0]
        descriptor = holder.get("/FontDescriptor")
        programs = ("/FontFile", "/FontFile2", "/FontFile3")
        if isinstance(descriptor, Dictionary) and any(
            isinstance(descriptor.get(name), Stream) for name in programs
        ):
            return NOTHING_USED
        return InkUse(bare_fonts=frozenset([str(font.get("/BaseFont", "/?"))[1:]]))


def _operand(operator: str, operands: Any) -> str:
    """The resource that an operator names: its first operand for fonts, else its last."""
    if operator in _DEVICE or not len(operands):
        return ""
    operand = operands[0] if operator == "Tf" else operands[-1]
    return str(operand) if isinstance(operand, Name) else ""


def _named(resources: Object | None, kind: str, name: str) -> Object | None:
    shelf = resources.get(kind) if kind and isinstance(resources, Dictionary) else None
    return shelf.get(name) if isinstance(shelf, Dictionary) else None


def _device(name: str, resources: Object | None) -> frozenset[str]:
    """The space that a device space stands for (ISO 32000-1 8.6.5.6)."""
    default = _named(resources, "/ColorSpace", _DEFAULTS[name])
    if isinstance(default, Array) and len(default):
        return _array_space(default, resources, 1)
    return frozenset([name])


def _space(space: object, resources: Object | None, depth: int) -> frozenset[str]:
    """The names of what colours of this space are made of; those of spot inks, of what stands
    for them on other devices."""
    if depth > _DEEPEST:
        return frozenset()
    if isinstance(space, Name):
        device = _NAMES.get(str(space))
        if device is not None:
            return _device(device, resources)
        found = _named(resources, "/ColorSpace", str(space))
        return _space(found, resources, depth + 1) if found is not None else frozenset()
    if isinstance(space, Array) and len(space):
        return _array_space(space, resources, depth + 1)
    return frozenset()


def _array_space(space: Array | Object, resources: Object | None, depth: int) -> frozenset[str]:
    kind = str(space[0])
    if kind == "/ICCBased" and len(space) > 1 and isinstance(space[1], Stream):
        channels = int(space[1].get("/N", 0))
        return frozenset([f"ICCBased {_CHANNELS.get(channels, channels)}"])
    if kind in ("/CalRGB", "/CalGray", "/Lab"):
        return frozenset([kind[1:]])
    if kind in ("/Indexed", "/I", "/Pattern") and len(space) > 1:
        return _space(space[1], resources, depth + 1)
    if kind in ("/Separation", "/DeviceN") and len(space) > 2:
        return _space(space[2], resources, depth + 1)
    return _space(space[0], resources, depth + 1) if isinstance(space[0], Name) else frozenset()


def _state_use(state: Object | None) -> InkUse:
    """A graphics state (ISO 32000-1 table 58)."""
    if not isinstance(state, Dictionary):
        return NOTHING_USED
    told = set()
    for key, what in (("/ca", "fills"), ("/CA", "strokes")):
        if key in state and float(state[key]) < 1:
            told.add(f"see-through {what}")
    blend = state.get("/BM", Name.Normal)
    blends = [str(mode) for mode in blend] if isinstance(blend, Array) else [str(blend)]
    if blends and blends[0] not in _PLAIN_BLENDS:
        told.add(f"blend mode {blends[0][1:]}")
    if state.get("/SMask", Name("/None")) != Name("/None"):
        told.add("soft masks")
    curves = state.get("/TR2", Name.Default) != Name.Default or "/TR" in state
    return InkUse(see_through=frozenset(told), transfer=curves)


def _shading_use(shading: Object | None, resources: Object | None) -> InkUse:
    if not isinstance(shading, Dictionary | Stream):
        return NOTHING_USED
    use = _stream_use(shading) if isinstance(shading, Stream) else NOTHING_USED
    return use.join(InkUse(spaces=_space(shading.get("/ColorSpace"), resources, 0)))


def _image_use(image: Object, resources: Object | None) -> InkUse:
    told, newer, foreign = set(), set(), set()
    if isinstance(image.get("/SMask"), Stream) or int(image.get("/SMaskInData", 0)):
        told.add("soft masks")
    if int(image.get("/BitsPerComponent", 8)) > 8:
        newer.add("pictures of 16 bits")
    if "/Alternates" in image:
        foreign.add("pictures with alternates")
    spaces = frozenset[str]()
    if not image.get("/ImageMask", False):
        spaces = _space(image.get("/ColorSpace"), resources, 0)
    return InkUse(
        spaces=spaces,
        see_through=frozenset(told),
        newer=frozenset(newer),
        foreign=frozenset(foreign),
    )


def _inline_use(step: pikepdf.ContentStreamInlineImage, resources: Object | None) -> InkUse:
    image = step.iimage.obj
    if image.get("/ImageMask", image.get("/IM", False)):
        return NOTHING_USED
    return InkUse(spaces=_space(image.get("/ColorSpace", image.get("/CS")), resources, 0))


def _stream_use(stream: Object) -> InkUse:
    """Filters, and data that lie in another file."""
    foreign = set()
    if "/F" in stream:
        foreign.add("data in another file")
    if "/OPI" in stream:
        foreign.add("pictures to be exchanged (OPI)")
    filters = frozenset(name[1:] for name in _filters(stream))
    if not foreign and filters <= _USUAL_FILTERS:
        return NOTHING_USED
    newer = frozenset(["JPEG 2000 pictures"]) if "JPXDecode" in filters else frozenset[str]()
    return InkUse(foreign=frozenset(foreign), filters=filters, newer=newer)


def _filters(stream: Object) -> Iterator[str]:
    told = stream.get("/Filter")
    if isinstance(told, Name):
        yield str(told)
    elif isinstance(told, Array):
        yield from (str(name) for name in told)


def _group_use(holder: Object) -> InkUse:
    """A page or form that is a transparency group (ISO 32000-1 11.6.6)."""
    group = holder.get("/Group")
    if isinstance(group, Dictionary) and group.get("/S") == Name.Transparency:
        return InkUse(see_through=frozenset(["a transparency group"]))
    return NOTHING_USED
