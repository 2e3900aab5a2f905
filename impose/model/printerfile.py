"""A printer's file with the corrections that were found for it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from impose.geometry.turning import Flip
from impose.model.refeeding import Refeed, refeed_text
from impose.model.registers import Register
from impose.model.registertables import register_text

_BEGIN: Final = "[[register]]"
_ABOVE: Final = "# Found with impose register; reckoned round the middle of the sheet.\n"


def with_register(text: str, present: Iterable[Register], found: Register) -> str:
    """The text of a printer's file with `found` instead of the one for the same sheets.

    `present` are the corrections in the text.  They stand at its end, written
    anew; the rest of the file is left as it is.
    """
    others = [one for one in present if not one.fits(found.sheet, found.flip, found.by_hand)]
    rest = text.split(_BEGIN, 1)[0].removesuffix(_ABOVE).rstrip()
    tables = "\n".join(register_text(one) for one in (*others, found))
    return f"{rest}\n\n{_ABOVE}{tables}"


def with_refeed(text: str, found: Refeed) -> str:
    """The text of a printer's file with `found` instead of what it said of refeeding."""
    return _with_line(text, "refeed", refeed_text(found))


def with_flip(text: str, found: Flip) -> str:
    """The text of a printer's file with the edge on which it was seen to turn the sheet."""
    return _with_line(text, "flips", f'flips = "{found.value}"\n')


def _with_line(text: str, key: str, line: str) -> str:
    """`line` instead of the line of that key, before the tables at the end."""
    head, begin, tables = text.partition(_ABOVE if _ABOVE in text else _BEGIN)
    lines = [one for one in head.splitlines() if not one.startswith(f"{key} ")]
    rest = "\n".join(lines).rstrip()
    return f"{rest}\n{line}" + (f"\n{begin}{tables}" if begin else "")
