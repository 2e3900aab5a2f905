"""What colours of a space are made of (ISO 32000-1 8.6)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.model.sheetfacts import NOTHING_USED, InkUse
from impose.pdf.decoding import decoded
from impose.pdf.limits import TooLargeError
from impose.pdf.useshelves import OWN_SPACES, Shelves

#: Device spaces, and their short names in inline images (table 93).
_NAMES: Final = {
    "/DeviceGray": "DeviceGray", "/G": "DeviceGray", "/DeviceRGB": "DeviceRGB",
    "/RGB": "DeviceRGB", "/DeviceCMYK": "DeviceCMYK", "/CMYK": "DeviceCMYK",
}  # fmt: skip
_DEFAULTS: Final = {
    "DeviceGray": "/DefaultGray", "DeviceRGB": "/DefaultRGB", "DeviceCMYK": "/DefaultCMYK",
}  # fmt: skip
_CHANNELS: Final = {1: "GRAY", 3: "RGB", 4: "CMYK"}
_DEVICES: Final = {1: "DeviceGray", 3: "DeviceRGB", 4: "DeviceCMYK"}
#: Components of what a profile may be for (table 67), by its header's words (ICC.1:2010 7.2.6).
_OF_PROFILES: Final = {b"GRAY": 1, b"RGB ": 3, b"Lab ": 3, b"CMYK": 4}
#: The limit of PDF 1.4 (Adobe, PDF Reference, third edition, appendix C; from memory).
_MOST_INKS: Final = 8
_HEADER: Final = 128
_DEEPEST: Final = 20


class _Profile(NamedTuple):
    """`version` is the major one; `sound` that it can be used at all."""

    version: int
    sound: bool


class SpaceReader:
    """Reads colour spaces of one file; each profile is looked into once."""

    def __init__(self) -> None:
        self._profiles: dict[tuple[int, int], _Profile] = {}

    def device(self, name: str, shelves: Shelves, depth: int = 0) -> InkUse:
        """The space that a device space stands for (8.6.5.6)."""
        default = shelves.named("/ColorSpace", _DEFAULTS[name])
        if isinstance(default, Array) and len(default):
            return self._array(default, shelves, depth + 1)
        return InkUse(spaces=frozenset([name]))

    def use(self, space: object, shelves: Shelves, depth: int = 0) -> InkUse:
        """The names of what colours of this space are made of; those of spot inks, of what stands
        for them on other devices."""
        if depth > _DEEPEST:
            return InkUse(unread=True)
        if isinstance(space, Name):
            device = _NAMES.get(str(space))
            if device is not None:
                return self.device(device, shelves, depth)
            found = shelves.named("/ColorSpace", str(space))
            if found is not None:
                return self.use(found, shelves, depth + 1)
            if str(space) in OWN_SPACES:
                return NOTHING_USED
            return InkUse(missing=frozenset([f"the colour space {str(space)[1:]}"]))
        if isinstance(space, Array) and len(space):
            return self._array(space, shelves, depth + 1)
        return InkUse(missing=frozenset(["a colour space"]))

    def _array(self, space: Object, shelves: Shelves, depth: int) -> InkUse:
        kind = str(space[0])
        if kind == "/ICCBased" and len(space) > 1 and isinstance(space[1], Stream):
            return self._with_profile(space[1])
        if kind in ("/CalRGB", "/CalGray", "/Lab"):
            return InkUse(spaces=frozenset([kind[1:]]))
        if kind in ("/Indexed", "/I") and len(space) > 1:
            return self.use(space[1], shelves, depth + 1)
        if kind == "/Pattern":
            return self.use(space[1], shelves, depth + 1) if len(space) > 1 else NOTHING_USED
        if kind in ("/Separation", "/DeviceN"):
            return self._inks(space, shelves, depth)
        if kind in _NAMES and len(space) == 1:
            return self.use(space[0], shelves, depth + 1)
        return InkUse(missing=frozenset([f"a colour space of the kind {kind[1:]}"]))

    def _inks(self, space: Object, shelves: Shelves, depth: int) -> InkUse:
        """Spot and other inks; each has a space to stand for it and a function into that, the name
        All too (8.6.6.4, 8.6.6.5)."""
        names = [str(space[1])] if isinstance(space[1], Name) else [str(name) for name in space[1]]
        if len(space) < 4 or not isinstance(space[3], Dictionary | Stream):
            inks = ", ".join(name[1:] for name in names)
            return InkUse(missing=frozenset([f"the tint transform of {inks}"]))
        use = self.use(space[2], shelves, depth + 1)
        if len(names) > _MOST_INKS:
            many = f"{len(names)} inks in one colour (PDF 1.4 has at most {_MOST_INKS})"
            use = use.join(InkUse(newer=frozenset([many])))
        for colorant in _colorants(space):
            use = use.join(self.use(colorant, shelves, depth + 1))
        return use

    def _with_profile(self, stream: Object) -> InkUse:
        """8.6.5.5: what cannot use the profile takes a device's colours in its place."""
        channels = int(stream.get("/N", 0))
        profile = self._profiles.get(stream.objgen)
        if profile is None:
            profile = self._profiles[stream.objgen] = _profile_of(stream, channels)
        spaces = [f"ICCBased {_CHANNELS.get(channels, channels)}"]
        if not profile.sound:
            spaces.append(_DEVICES.get(channels, "an unknown space"))
        newer = ["ICC profiles of version 4 (PDF 1.5)"] if profile.version >= 4 else []
        return InkUse(spaces=frozenset(spaces), newer=frozenset(newer))


def _colorants(space: Object) -> Iterator[Object]:
    """The spaces of single inks of a DeviceN space (table 71)."""
    attributes = space[4] if len(space) > 4 else None
    listed = attributes.get("/Colorants") if isinstance(attributes, Dictionary) else None
    if isinstance(listed, Dictionary):
        yield from (value for value in listed.values() if isinstance(value, Array))


def _profile_of(stream: Object, channels: int) -> _Profile:
    """By its header (ICC.1:2010 7.2); version 4 came with PDF 1.5 (ISO 32000-1 table 67)."""
    try:
        data, whole = decoded(stream)
    except (TooLargeError, pikepdf.PdfError, RuntimeError):
        return _Profile(0, False)
    sound = (
        whole
        and len(data) > _HEADER
        and data[36:40] == b"acsp"
        and int.from_bytes(data[:4], "big") == len(data)
        and _OF_PROFILES.get(data[16:20]) == channels
    )
    return _Profile(data[8] if sound else 0, sound)
