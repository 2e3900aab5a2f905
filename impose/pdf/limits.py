"""How much memory a run may take, and how much a stream may inflate to.

Deflate makes at most 1032 bytes of one (zlib's technical notes, "Maximum
compression factor"), so only long streams can be too large, and only those are
looked into.  Nothing is ever inflated whole to find out.
"""

from __future__ import annotations

import os
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Final

try:
    import resource
except ImportError:  # not on every system: there nothing is limited
    resource = None  # type: ignore[assignment]

_MIB: Final = 1 << 20
#: A page's operators, and a font, form or the like that it needs, inflated.
MOST_INFLATED: Final = 256 * _MIB
#: What a child that looks at pages, repairs or counts may take, whatever the machine has.
CHILD_MEMORY: Final = 4096 * _MIB
#: A run may take this share of the machine's memory, and at least so much.
_SHARE: Final = (3, 4)
_LEAST: Final = 4096 * _MIB
#: What reading an input may add to what is taken already, and for each byte of the file.
_TO_READ: Final = 2048 * _MIB
_FOR_A_BYTE: Final = 12
_MOST_TO_ONE: Final = 1032
_STEP: Final = 1 << 20


class TooLargeError(Exception):
    """A stream inflates to more than `MOST_INFLATED`."""


def can_be_too_large(data: bytes) -> bool:
    """Whether the deflated data could inflate beyond the limit at all."""
    return len(data) * _MOST_TO_ONE > MOST_INFLATED


def check_inflated(data: bytes) -> None:
    """Raises `TooLargeError` for deflated data that inflate beyond the limit.

    Damage is no matter here: what comes after it does not inflate at all.
    """
    if can_be_too_large(data):
        _walked(data)


def inflates_whole(data: bytes) -> bool:
    """Whether deflated data are sound to their end; raises `TooLargeError`.

    No data at all are sound: nothing is lacking.
    """
    if not data:
        return True
    if can_be_too_large(data):
        return _walked(data)
    inflating = zlib.decompressobj()
    try:
        inflating.decompress(data)
    except zlib.error:
        return False
    return inflating.eof


def _walked(data: bytes) -> bool:
    size = 0
    walk = _Walk(data)
    for piece in walk:
        size += len(piece)
        if size > MOST_INFLATED:
            raise TooLargeError
    return walk.whole


def inflated(data: bytes) -> tuple[bytes, bool]:
    """The data inflated, and whether all of it could be; what comes before damage is kept.

    Raises `TooLargeError`.
    """
    pieces: list[bytes] = []
    size = 0
    walk = _Walk(data)
    for piece in walk:
        size += len(piece)
        if size > MOST_INFLATED:
            raise TooLargeError
        pieces.append(piece)
    return b"".join(pieces), walk.whole


class _Walk:
    """Inflates a megabyte at a time; `whole` says afterwards whether the end was reached."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        self.whole = False

    def __iter__(self) -> Iterator[bytes]:
        inflating = zlib.decompressobj()
        left = self._data
        if not left:
            self.whole = True
            return
        try:
            while not inflating.eof:
                piece = inflating.decompress(left, _STEP)
                left = inflating.unconsumed_tail
                if piece:
                    yield piece
                elif not left:
                    return  # cut short
        except zlib.error:
            return
        self.whole = True


def limit_memory(most: int | None = None) -> None:
    """This process, and those it starts, get no more memory than `most` bytes of addresses.

    None: a share of what the machine has.  A lower limit that is set already stays.
    """
    if resource is None:
        return
    if most is None:
        most = max(_LEAST, _physical() * _SHARE[0] // _SHARE[1])
    with suppress(ValueError, OSError):
        soft, hard = resource.getrlimit(resource.RLIMIT_AS)
        if soft == resource.RLIM_INFINITY or soft > most:
            resource.setrlimit(resource.RLIMIT_AS, (most, hard))


@contextmanager
def memory_to_read(size: int) -> Iterator[None]:
    """While an input of `size` bytes is read, a bounded part of the memory is there for it:
    an object stream that inflates to gigabytes ends in a MemoryError, not in a dead machine."""
    taken = _taken()
    if resource is None or not taken:
        yield
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = taken + _TO_READ + _FOR_A_BYTE * size
    if soft != resource.RLIM_INFINITY:
        most = min(most, soft)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def _physical() -> int:
    try:
        return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (ValueError, OSError):
        return 0


def _taken() -> int:
    """Bytes of addresses this process has; 0 where the system does not say."""
    try:
        with open("/proc/self/statm", "rb") as file:
            return int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, IndexError):
        return 0
