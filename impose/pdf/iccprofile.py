"""ICC profiles: whether a file is one, and what it says of itself.

Read are the header (ICC.1:2010 7.2), the tag table (7.3) and the description
(9.2.41, types 10.13 and, of version 2, ICC.1:2001-04 6.5.17).  Curves and tables
are not looked at: nothing is converted here.
"""

from __future__ import annotations

import os
import struct
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from impose.errors import InputError
from impose.findings import plain

#: No profile of a press is larger.
MOST_BYTES: Final = 32 * 1024 * 1024
_HEADER: Final = 128
_SIGNATURE: Final = b"acsp"
#: More tags than any profile has.
_MOST_TAGS: Final = 1000
_HINT: Final = "give the ICC profile that the print room names for its press and paper"

#: Device classes (ICC.1:2010 7.2.5).
CLASSES: Final = {
    b"prtr": "an output device",
    b"mntr": "a display",
    b"scnr": "an input device",
    b"link": "a device link",
    b"spac": "a colour space conversion",
    b"abst": "an abstract transform",
    b"nmcl": "named colours",
}
#: Colour spaces that an output intent's profile may have, and their components
#: (ISO 32000-1 8.6.5.5, table 67: N is 1, 3 or 4).
COMPONENTS: Final = {b"GRAY": 1, b"RGB ": 3, b"CMYK": 4}


class ProfileFault(ValueError):
    """Why data are no profile; the words follow the file's name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IccProfile:
    """A profile of an output device.  `space` is GRAY, RGB or CMYK, `version` major and minor."""

    data: bytes
    space: str
    version: tuple[int, int]
    device: str
    description: str

    @property
    def components(self) -> int:
        """How many inks or channels."""
        return COMPONENTS[self.space.ljust(4).encode("ascii")]


def read_press_profile(path: Path) -> IccProfile:
    """The profile of a press or printer.  Raises `InputError` for anything else."""
    try:
        with path.open("rb") as file:
            size = os.fstat(file.fileno()).st_size
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError as fault:
        raise InputError(
            f"the profile {path} does not exist", hint="check the name and the folder"
        ) from fault
    except OSError as fault:
        raise InputError(f"the profile {path} cannot be read: {fault.strerror}") from fault
    try:
        if len(data) > MOST_BYTES:
            raise ProfileFault(f"has {size} bytes; a profile has at most {MOST_BYTES}")
        profile = parse_profile(data)
        if profile.device != "prtr":
            what = CLASSES.get(profile.device.encode("ascii"), f"class {profile.device}")
            raise ProfileFault(f"is a profile of {what}, not of {CLASSES[b'prtr']}")
    except ProfileFault as fault:
        raise InputError(f"{path} {fault}", hint=_HINT) from fault
    return profile


def parse_profile(data: bytes) -> IccProfile:
    """Raises `ProfileFault` when the data are no profile, or are not whole."""
    if len(data) < _HEADER + 4:
        raise ProfileFault(f"has {len(data)} bytes; an ICC profile has at least {_HEADER + 4}")
    if data[36:40] != _SIGNATURE:
        raise ProfileFault("is not an ICC profile: its header lacks the letters acsp")
    said = int.from_bytes(data[:4], "big")
    if said != len(data):
        raise ProfileFault(f"says that it has {said} bytes, and has {len(data)}: it is not whole")
    space = data[16:20]
    if space not in COMPONENTS:
        raise ProfileFault(f"is for the colour space {_ascii(space)}; sheets are grey, RGB or CMYK")
    if data[8] not in (2, 4):
        raise ProfileFault(f"has ICC version {data[8]}; PDF takes versions 2 and 4")
    return IccProfile(
        data=data,
        space=_ascii(space),
        version=(data[8], data[9] >> 4),
        device=_ascii(data[12:16]),
        description=_description(data, _tags(data)),
    )


def _tags(data: bytes) -> dict[bytes, tuple[int, int]]:
    """Offset and size by signature; each lies within the data."""
    count = int.from_bytes(data[_HEADER : _HEADER + 4], "big")
    end = _HEADER + 4 + 12 * count
    if not 0 < count <= _MOST_TAGS or end > len(data):
        raise ProfileFault(f"has a table of {count} tags, which it has no room for")
    tags = {}
    for name, start, size in struct.iter_unpack(">4sII", data[_HEADER + 4 : end]):
        if start + size > len(data):
            raise ProfileFault(f"has a tag {_ascii(name)} that reaches beyond its end")
        tags[name] = (start, size)
    return tags


def _description(data: bytes, tags: dict[bytes, tuple[int, int]]) -> str:
    """Its own name, or nothing."""
    start, size = tags.get(b"desc", (0, 0))
    tag = data[start : start + size]
    if tag[:4] == b"desc" and len(tag) >= 12:
        count = int.from_bytes(tag[8:12], "big")
        return plain(tag[12 : 12 + count].split(b"\0")[0].decode("ascii", "replace")).strip()
    if tag[:4] == b"mluc" and len(tag) >= 28:
        length, offset = struct.unpack(">II", tag[20:28])
        return plain(tag[offset : offset + length].decode("utf-16-be", "replace")).strip("\0 ")
    return ""


def _ascii(name: bytes) -> str:
    return plain(name.decode("ascii", "replace")).strip()
