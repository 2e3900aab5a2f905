"""`python -m impose.pdf.lookchild`: looks at pages and tells of them, one after the other.

An order comes in on stdin, a `RawLook` for each page goes out on stdout, both
pickled: the parent is the same program on the same machine.  A page that raises is told as
trouble; a crash ends the process, and the parent knows the page by what is missing.
"""

from __future__ import annotations

import pickle
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from impose.pdf.calm import collector_at_rest
from impose.pdf.limits import CHILD_MEMORY, limit_memory
from impose.pdf.lookfile import LookFile
from impose.pdf.lookthings import RawLook, Rect

#: No page is wider (pt): nothing on it lies deeper than this.
_WHOLE: Final = 1e6


@dataclass(frozen=True, slots=True)
class Errand:
    """One page: `index` in the parent's list, file, 1-based number, the trim in points.

    `whole`: everything on it is told one by one, however deep it lies.
    `numbered`: short words toward head and foot are read, which costs time.
    """

    index: int
    file: int
    number: int
    region: Rect | None
    whole: bool = False
    numbered: bool = False


@dataclass(frozen=True, slots=True)
class Order:
    """What one child is to look at.  `band` in points: how near to an edge words are read."""

    paths: tuple[str, ...]
    passwords: tuple[str, ...]
    errands: tuple[Errand, ...]
    band: float


def serve(order: Order, out: BinaryIO) -> None:
    """Looks at every page of the order, in its order."""
    opened: LookFile | None = None
    file = -1
    trouble = ""
    for errand in order.errands:
        if errand.file != file:
            if opened is not None:
                opened.__exit__(None, None, None)
            opened, trouble = _open(order, errand.file)
            file = errand.file
        raw = RawLook(errand.index, trouble=trouble)
        if opened is not None and opened.counts[0] != opened.counts[1]:
            raw = RawLook(errand.index, trouble="readers disagree", counts=opened.counts)
        elif opened is not None:
            try:
                raw = opened.look(
                    errand.index,
                    errand.number,
                    errand.region,
                    _WHOLE if errand.whole else order.band,
                    errand.numbered,
                )
            except Exception as fault:  # whatever the page did, the others go on
                raw = RawLook(errand.index, trouble=f"{type(fault).__name__}: {fault}")
        pickle.dump(raw, out, protocol=pickle.HIGHEST_PROTOCOL)
        out.flush()


def _open(order: Order, file: int) -> tuple[LookFile | None, str]:
    try:
        return LookFile(Path(order.paths[file]), order.passwords), ""
    except Exception as fault:  # told with each page of the file
        return None, f"{type(fault).__name__}: {fault}"


def main() -> None:
    """Reads the order and serves it."""
    limit_memory(CHILD_MEMORY)
    order = pickle.load(sys.stdin.buffer)
    out = sys.stdout.buffer
    sys.stdout = sys.stderr  # nobody's chatter may fall into the answers
    with collector_at_rest():
        serve(order, out)


if __name__ == "__main__":
    main()
