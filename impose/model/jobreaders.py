"""Readers of the values that only a job file or the command line has: pages, spine, creep."""

from __future__ import annotations

import re
from typing import Final

from impose.model.fields import ValueFault
from impose.model.job import BlanksAt
from impose.model.panels import LeafletFold
from impose.model.readers import count_from, length, member_of, some_length, text
from impose.units import Length

#: Inclusive, 1-based; an end of None is the last page.
Ranges = tuple[tuple[int, int | None], ...]

RANGE_HELP: Final = "pages count from 1: 3-90, or 1,3,5-7,9-"
_WITH_RANGES: Final = re.compile(r"(.*[^\s])\s*\[([^\[\]]*)\]\s*")
_RANGE: Final = re.compile(r"(\d+)(?:\s*(-)\s*(\d*))?")
_BEFORE: Final = re.compile(r"before page (\d+)")
_MEASURED: Final = re.compile(r"(?:measured\s+)?(.+)")


def ranges(value: object) -> Ranges:
    """`3-90`, `1,3,5-7,9-`, or one page as a whole number."""
    if isinstance(value, int) and not isinstance(value, bool):
        page = count_from(1)(value)
        return ((page, page),)
    return tuple(_range(part.strip()) for part in text(value).split(","))


def _range(part: str) -> tuple[int, int | None]:
    match = _RANGE.fullmatch(part)
    if match is None:
        raise ValueFault(f"'{part}' is not a page or a range of pages", hint=RANGE_HELP)
    first = int(match[1])
    last = (int(match[3]) if match[3] else None) if match[2] else first
    if first < 1:
        raise ValueFault(f"there is no page {first}", hint=RANGE_HELP)
    if last is not None and last < first:
        hint = f"{last}-{first} if these pages are meant in rising order"
        raise ValueFault(f"the range {part} runs backwards", hint=hint)
    return first, last


def file_and_ranges(written: str) -> tuple[str, Ranges]:
    """`body.pdf[3-90]` in its two parts; no brackets at the end mean the whole file."""
    match = _WITH_RANGES.fullmatch(written)
    if match is None:
        return written.strip(), ()
    return match[1].strip(), ranges(match[2])


def blanks_at(value: object) -> BlanksAt:
    """`end`, `before last page`, `before page 7`."""
    written = " ".join(text(value).lower().split())
    if written == "end":
        return BlanksAt()
    if written == "before last page":
        return BlanksAt(before=-1)
    match = _BEFORE.fullmatch(written)
    if match is None or int(match[1]) < 1:
        hint = "it is end, before last page, or before page 7"
        raise ValueFault(f"'{value}' is no place for blanks", hint=hint)
    return BlanksAt(before=int(match[1]))


def leaflet_fold(value: object) -> LeafletFold:
    """`letter`, `letter fold`, `z-fold`, `tri-fold` ...: the name of a leaflet's fold."""
    words = text(value).lower().replace("-", " ").split()
    if len(words) > 1 and words[-1] in ("fold", "card"):
        words = words[:-1]
    name = " ".join(words)
    return member_of(LeafletFold)({"tri": "letter", "trifold": "letter"}.get(name, name))


def measured_spine(value: object) -> Length | None:
    """`measured 3/8in`, or the length alone; None for `from stock`."""
    return _measured(value, zero_fine=False)


def measured_creep(value: object) -> Length | None:
    """`measured 2.5mm`, the whole creep of the innermost leaf; None for `from stock`."""
    return _measured(value, zero_fine=True)


def _measured(value: object, *, zero_fine: bool) -> Length | None:
    written = " ".join(text(value).lower().split())
    if written == "from stock":
        return None
    match = _MEASURED.fullmatch(written)
    assert match is not None, "text is never empty"
    try:
        return length(match[1]) if zero_fine else some_length(match[1])
    except ValueFault as fault:
        raise ValueFault(fault.message, fault.hint or "from stock, or measured 3/8in") from fault


def layout(value: object) -> int | str:
    """The number of a layout among those compared, or its name."""
    if isinstance(value, int):
        return count_from(1)(value)
    name = text(value).strip()
    return count_from(1)(int(name)) if name.isdecimal() else name
