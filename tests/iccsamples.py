"""ICC profiles built in code: header, tag table and description, as ICC.1:2010 7.2 and 7.3 say."""

from __future__ import annotations

import struct


def profile(
    space: bytes = b"CMYK",
    device: bytes = b"prtr",
    version: int = 2,
    name: str = "Harbour Press, uncoated",
) -> bytes:
    """A profile without curves: whole by its header, its table and its description."""
    if version == 2:
        text = name.encode("ascii") + b"\0"
        desc = b"desc" + bytes(4) + struct.pack(">I", len(text)) + text + bytes(78)
    else:
        wide = name.encode("utf-16-be")
        desc = (
            b"mluc" + bytes(4) + struct.pack(">II2s2sII", 1, 12, b"en", b"GB", len(wide), 28) + wide
        )
    tags = struct.pack(">I4sII", 1, b"desc", 128 + 16, len(desc))
    size = 128 + len(tags) + len(desc)
    header = bytearray(128)
    header[0:4] = size.to_bytes(4, "big")
    header[8] = version
    header[12:16], header[16:20], header[20:24] = device, space, b"Lab "
    header[36:40] = b"acsp"
    return bytes(header) + tags + desc
