"""Readers of single values in job and profile files: words, numbers, lengths, sizes.

Each takes what TOML gave (text, whole number, `Decimal`, list) and returns the
value, or raises `ValueFault` or `UnitError` with what to write instead.
Numbers never pass through floats.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Final, TypeVar

from impose.errors import UnitError
from impose.geometry.box import Size
from impose.model.fields import ValueFault
from impose.model.job import NamedSize
from impose.units import UNIT_HELP, ZERO, Length, parse_length

E = TypeVar("E", bound=Enum)


#: A decimal number without sign, as a group.
NUMBER: Final = r"(\d+(?:\.\d+)?|\.\d+)"
_UNIT_AT_END: Final = re.compile(r"([a-zµμ]+|[\"″”])$")
_BY: Final = re.compile(r"(-?[\d.½¼¾⅛⅜⅝⅞].*?)\s*[x\xd7]\s*(.*\d.*)(?<!landscape)(?<!portrait)")
_TIMES: Final = "\N{MULTIPLICATION SIGN}"
_INCH_UNITS: Final = frozenset({"in", "inch", "inches", '"', "″", "”", "mil"})


# -- text and words --------------------------------------------------------------------


def text(value: object) -> str:
    """Any text that is not empty."""
    if not isinstance(value, str):
        raise ValueFault(f"{shown(value)} is not text", hint="put it in quotes")
    if not value.strip():
        raise ValueFault("the text is empty")
    return value


def any_text(value: object) -> str:
    """Text, which may be empty."""
    return "" if value == "" else text(value)


def file_name(value: object) -> str:
    """The name of a file or the way to it; nothing is opened."""
    name = text(value)
    if any(ord(character) < 32 for character in name):
        raise ValueFault("the name of a file has no line breaks or other control characters")
    return name


def truth(value: object) -> bool:
    """true or false."""
    if not isinstance(value, bool):
        raise ValueFault(f"{shown(value)} is neither true nor false", hint="without quotes")
    return value


def word_of(words: Iterable[str]) -> Callable[[object], str]:
    """A reader of one of a few words, in any case, with hyphens for spaces if need be."""
    known = tuple(words)
    spelled = {fold(word): word for word in known}

    def read(value: object) -> str:
        found = spelled.get(fold(text(value)))
        if found is None:
            raise ValueFault(f"'{value}' is not known here", hint=f"it is {either(known)}")
        return found

    return read


def member_of(kind: type[E]) -> Callable[[object], E]:
    """A reader of the members of an enum, by their values."""
    word = word_of(str(member.value) for member in kind)
    return lambda value: kind(word(value))


def words_of(words: Iterable[str]) -> Callable[[object], tuple[str, ...]]:
    """A reader of a list of words, each at most once; a single word is fine too."""
    word = word_of(words)

    def read(value: object) -> tuple[str, ...]:
        items = value if isinstance(value, list) else [value]
        found = tuple(word(item) for item in items)
        twice = [item for item in found if found.count(item) > 1]
        if twice:
            raise ValueFault(f"'{twice[0]}' is said twice")
        return found

    return read


def texts(value: object) -> tuple[str, ...]:
    """A list of texts; a single text is fine too."""
    return tuple(text(item) for item in (value if isinstance(value, list) else [value]))


def fold(name: str) -> str:
    """The form in which names are compared: case, hyphens and spacing do not count."""
    plain = re.sub(r"[\s_-]+", " ", name.casefold().replace(_TIMES, "x")).strip()
    return re.sub(r"(?<=[\d.]) ?x ?(?=[\d.])", "x", plain)


def either(words: Iterable[str]) -> str:
    """`a, b or c`."""
    *head, last = words
    return f"{', '.join(head)} or {last}" if head else last


def shown(value: object) -> str:
    """The value as a message may name it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return "a list"
    return "a table" if isinstance(value, dict) else str(value)


# -- numbers ---------------------------------------------------------------------------


def count_from(lowest: int) -> Callable[[object], int]:
    """A reader of whole numbers not below `lowest`."""

    def read(value: object) -> int:
        if isinstance(value, bool) or not isinstance(value, int):
            raise ValueFault(f"'{shown(value)}' is not a whole number", hint="without quotes")
        if value < lowest:
            raise ValueFault(f"{value} is too few; the least is {lowest}")
        return value

    return read


def section_pages(value: object) -> int:
    """Pages of one folded section: a multiple of 4, from 4 to 64.

    A sheet folded once carries 4 pages, and nested sheets add 4 each; more
    than 64 to a section no folder takes (common practice).
    """
    pages = count_from(1)(value)
    if pages % 4 or pages > 64:
        raise ValueFault(
            f"{pages} pages do not make a section",
            hint="a section has a multiple of 4 pages, at most 64: 4, 8, 16, 32",
        )
    return pages


def factor(value: object) -> Fraction:
    """A number without unit, above zero: "1.5", 1.5 or "3/2"."""
    if isinstance(value, Decimal | int) and not isinstance(value, bool):
        number = Fraction(value)
    elif isinstance(value, str) and re.fullmatch(rf"\s*(?:{NUMBER}|\d+/[1-9]\d*)\s*", value):
        number = Fraction(value.strip())
    else:
        raise ValueFault(f"'{shown(value)}' is not a number", hint='for example "1.5"')
    if number <= 0:
        raise ValueFault(f"{value} is not above zero")
    return number


def day(value: object) -> str:
    """A date as ISO 8601 writes it, from text or a TOML date."""
    if isinstance(value, date):
        return value.isoformat()
    written = text(value).strip()
    try:
        datetime.fromisoformat(written)
    except ValueError as error:
        raise ValueFault(
            f"'{written}' is not a date", hint="write year-month-day: 2024-05-31"
        ) from error
    return written


# -- lengths and sizes -----------------------------------------------------------------


def length(value: object) -> Length:
    """A length of zero or more, with its unit."""
    if not isinstance(value, str):
        raise ValueFault(f"{shown(value)} has no unit", hint=f"in quotes; {UNIT_HELP}")
    found = parse_length(value)
    if found < ZERO:
        raise ValueFault(f"{value.strip()} is below zero", hint="give a length of zero or more")
    return found


def some_length(value: object) -> Length:
    """A length above zero."""
    found = length(value)
    if not found:
        raise ValueFault(f"{value} is not enough; the length must be above zero")
    return found


def unit_of(written: str) -> str:
    """The unit for people, "mm" or "in", of a length or size as written.

    Points belong to neither: beside another unit that one counts, alone they read as
    inches when they make whole sixteenths of an inch.
    """
    match = _UNIT_AT_END.search(written.strip().lower())
    unit = match[1] if match else ""
    if unit == "pt":
        parts = written.lower().replace(_TIMES, "x").split("x")
        units = [found[1] for part in parts if (found := _UNIT_AT_END.search(part.strip()))]
        other = next((one for one in units if one != "pt"), "")
        if other:
            return "in" if other in _INCH_UNITS else "mm"
        sizes = [parse_length(part if "pt" in part else f"{part}pt") for part in parts]
        return "mm" if any((size.as_inches * 16) % 1 for size in sizes) else "in"
    return "in" if unit in _INCH_UNITS else "mm"


def size(value: object) -> NamedSize | str:
    """`148mm x 210mm`, `5.5 x 8.5 in` as a size; a name is left for the library.

    Width first, height second.  Text that ends in a unit is a size with its
    unit said once or twice; the name is then the size as the job's unit writes it.
    """
    written = text(value).strip()
    match = _BY.fullmatch(written.lower())
    if match is None or not _UNIT_AT_END.search(match[2]):
        return written
    across, up = match[1], match[2]
    unit_text = _UNIT_AT_END.search(up)
    if unit_text is not None and not _UNIT_AT_END.search(across):
        across += unit_text[1]
    found = Size(length(across), length(up))
    unit = unit_of(written)
    if not found.width or not found.height:
        raise ValueFault(f"the size is {found.text(unit)}; it has a width and a height")
    return NamedSize(size=found, name=found.text(unit), unit=unit)


def sizes(value: object) -> tuple[NamedSize | str, ...]:
    """One size or a list of them; text may hold several with commas between."""
    items = value if isinstance(value, list) else text(value).split(",")
    if not items:
        raise ValueFault("the list is empty")
    return tuple(size(item) for item in items)


def plain_size(value: object) -> NamedSize:
    """A size in numbers; a name is a fault."""
    found = size(value)
    if isinstance(found, str):
        raise UnitError(f"'{found}' is not a size", hint="for example 148mm x 210mm")
    return found
