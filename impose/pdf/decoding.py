"""Streams decoded within bounds, damage told and what comes before it kept."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Callable
from typing import Final

import pikepdf
from pikepdf import Array, Name, Object

from impose.pdf.limits import MOST_INFLATED, TooLargeError, inflated, memory_to_read

_Step = Callable[[bytes], tuple[bytes, bool]]


def _ascii85(data: bytes) -> tuple[bytes, bool]:
    """ISO 32000-1 7.4.3: ends with `~>`, white space counts for nothing."""
    return base64.a85decode(data.partition(b"~")[0], ignorechars=b" \t\n\r\x0b\x0c\x00"), True


def _hex(data: bytes) -> tuple[bytes, bool]:
    """7.4.2: ends with `>`; a missing last digit is 0."""
    digits = b"".join(data.partition(b">")[0].split())
    return bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii")), True


#: The filters that are decoded here, with the short names of inline images, which some give.
_STEPS: Final[dict[str, _Step]] = {
    "/FlateDecode": inflated,
    "/Fl": inflated,
    "/ASCII85Decode": _ascii85,
    "/A85": _ascii85,
    "/ASCIIHexDecode": _hex,
    "/AHx": _hex,
}


def decoded(stream: Object) -> tuple[bytes, bool]:
    """What a content stream holds, and whether all of it could be decoded.

    Raises `TooLargeError` when that is more than `MOST_INFLATED`; what is more
    is never there.
    """
    names = _filters(stream)
    if "/DecodeParms" not in stream and all(name in _STEPS for name in names):
        try:
            return _by_steps(stream.read_raw_bytes(), [_STEPS[name] for name in names])
        except (ValueError, binascii.Error):
            pass  # the library is more patient with ASCII codings
    try:
        with memory_to_read(0):
            data = stream.read_bytes()
    except MemoryError as fault:
        raise TooLargeError from fault
    except (pikepdf.PdfError, RuntimeError):
        return b"", False
    if len(data) > MOST_INFLATED:
        raise TooLargeError
    return data, True


def _by_steps(data: bytes, steps: list[_Step]) -> tuple[bytes, bool]:
    whole = True
    for step in steps:
        data, good = step(data)
        whole = whole and good
    return data, whole


def _filters(stream: Object) -> list[str]:
    found = stream.get("/Filter")
    if isinstance(found, Name):
        return [str(found)]
    return [str(name) for name in found] if isinstance(found, Array) else []
