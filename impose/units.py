"""Exact lengths: the type, how people write them, how a ruler reads them.

A `Length` counts 1/91,440,000 inch, so that 1/128 in, 0.0001 in, 0.001 mm and
0.001 pt are all whole numbers (1 in = 25.4 mm exactly, by the international
yard and pound agreement of 1959; 1 pt = 1/72 in, ISO 32000-1 8.3.2.3).
This module and the pdf layer are the only places with conversion factors.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final, final

from impose.errors import UnitError

_PER_INCH: Final = 91_440_000
_PER_MM: Final = 3_600_000
_PER_POINT: Final = 1_270_000

_UNITS: Final = {
    "in": _PER_INCH,
    "inch": _PER_INCH,
    "inches": _PER_INCH,
    '"': _PER_INCH,
    "″": _PER_INCH,
    "”": _PER_INCH,
    "mm": _PER_MM,
    "cm": _PER_MM * 10,
    "m": _PER_MM * 1000,
    "um": _PER_MM // 1000,
    "µm": _PER_MM // 1000,
    "μm": _PER_MM // 1000,
    "pt": _PER_POINT,
    "mil": _PER_INCH // 1000,
}
UNIT_HELP: Final = 'units are mm, cm, in (or "), pt, um and mil: 12mm, 0.5in, 7 1/2in, 18pt'
#: Longer than anything that goes through a press; guards against slips of the pen.
LONGEST_INCHES: Final = 20_000


@final
class Length:
    """An exact length; immutable, hashable, ordered; never equal to a bare number."""

    __slots__ = ("_n",)
    _n: int

    def __init__(self, grains: int = 0) -> None:
        self._n = grains

    @classmethod
    def inches(cls, value: int | str | Fraction | Decimal) -> Length:
        """From inches; rounded to the nearest 1/91,440,000 in."""
        return cls(_scaled(value, _PER_INCH))

    @classmethod
    def mm(cls, value: int | str | Fraction | Decimal) -> Length:
        """From millimetres."""
        return cls(_scaled(value, _PER_MM))

    @classmethod
    def points(cls, value: int | str | Fraction | Decimal) -> Length:
        """From PDF points (1/72 in)."""
        return cls(_scaled(value, _PER_POINT))

    @property
    def grains(self) -> int:
        """The exact count of 1/91,440,000 inch."""
        return self._n

    @property
    def as_mm(self) -> Fraction:
        """Exact millimetres."""
        return Fraction(self._n, _PER_MM)

    @property
    def as_inches(self) -> Fraction:
        """Exact inches."""
        return Fraction(self._n, _PER_INCH)

    @property
    def as_points(self) -> Fraction:
        """Exact points."""
        return Fraction(self._n, _PER_POINT)

    def __add__(self, other: Length) -> Length:
        return Length(self._n + other._n)

    def __sub__(self, other: Length) -> Length:
        return Length(self._n - other._n)

    def __neg__(self) -> Length:
        return Length(-self._n)

    def __abs__(self) -> Length:
        return Length(abs(self._n))

    def __mul__(self, factor: int | Fraction) -> Length:
        """Times a whole number (exact) or a fraction (rounded once, half to even)."""
        if isinstance(factor, int):
            return Length(self._n * factor)
        if isinstance(factor, Fraction):
            return Length(round(self._n * factor))
        return NotImplemented

    __rmul__ = __mul__

    def __floordiv__(self, other: Length) -> int:
        """How many times `other` fits whole."""
        return self._n // other._n

    def ratio(self, other: Length) -> Fraction:
        """Self as an exact multiple of `other`."""
        return Fraction(self._n, other._n)

    def split(self, parts: int) -> tuple[Length, ...]:
        """`parts` lengths that differ by at most one grain and add up to self exactly."""
        quotient, rest = divmod(self._n, parts)
        return tuple(Length(quotient + (1 if i < rest else 0)) for i in range(parts))

    @property
    def half(self) -> Length:
        """Half, rounded down to a grain (about 0.3 nanometre)."""
        return Length(self._n // 2)

    def __eq__(self, other: object) -> bool:
        return self._n == other._n if isinstance(other, Length) else NotImplemented

    def __lt__(self, other: Length) -> bool:
        return self._n < other._n

    def __le__(self, other: Length) -> bool:
        return self._n <= other._n

    def __gt__(self, other: Length) -> bool:
        return self._n > other._n

    def __ge__(self, other: Length) -> bool:
        return self._n >= other._n

    def __hash__(self) -> int:
        return hash(("Length", self._n))

    def __bool__(self) -> bool:
        return self._n != 0

    def near(self, other: Length, tolerance: Length) -> bool:
        """Differs by no more than `tolerance`."""
        return abs(self._n - other._n) <= tolerance._n

    def __repr__(self) -> str:
        return f"Length({self.text('mm')})"

    def text(self, unit: str = "mm") -> str:
        """For people: `12.7 mm`, `0.5 in`, `36 pt`; at most 4 decimals (mm: 3), never cut.

        A value that needs more digits is rounded for reading and marked with `~`,
        unless that changes less than a millionth of it, as with sizes read from a PDF.
        """
        return _text(self._n, unit)


@lru_cache(maxsize=4096)
def _text(grains: int, unit: str) -> str:
    per, places = _TEXT_UNITS[unit]
    value = Fraction(grains, per)
    rounded = round(value * 10**places)
    digits = f"{Decimal(rounded) / 10**places:f}"
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    off = abs(Fraction(rounded, 10**places) - value) * per
    mark = "" if off * 1_000_000 <= abs(grains) else "~"
    return f"{mark}{digits} {unit}"


_TEXT_UNITS: Final = {"mm": (_PER_MM, 3), "in": (_PER_INCH, 4), "pt": (_PER_POINT, 3)}
ZERO: Final = Length(0)


def total(lengths: Iterable[Length]) -> Length:
    """The exact sum."""
    return Length(sum(length.grains for length in lengths))


def _scaled(value: int | str | Fraction | Decimal, per: int) -> int:
    if isinstance(value, int):
        return value * per
    return round(Fraction(value) * per)


def points_text(length: Length) -> str:
    """As a PDF number in points with at most seven decimals.

    Half a unit in the seventh place is less than half a grain, so reading the
    text back as a decimal gives the same `Length`.
    """
    whole, rest = divmod(abs(length.grains), _PER_POINT)
    sign = "-" if length.grains < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    tail = (rest * 10_000_000 * 2 + _PER_POINT) // (2 * _PER_POINT)
    if tail == 10_000_000:
        return f"{sign}{whole + 1}"
    return f"{sign}{whole}.{tail:07d}".rstrip("0")


# -- text to lengths -------------------------------------------------------------------

_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
_AMOUNT = re.compile(
    rf"""\s*(?:
        (?P<whole>\d+)\s*(?:[-\s])\s*(?P<n1>\d+)\s*/\s*(?P<d1>\d+)   # 7 1/2, 7-1/2
      | (?P<n2>\d+)\s*/\s*(?P<d2>\d+)                                # 1/2
      | (?P<decimal>{_NUMBER})
    )\s*(?P<unit>[a-zµμ]+|["″”])?\s*""",
    re.VERBOSE,
)
_VULGAR: Final = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}


def parse_length(text: str) -> Length:
    """`12mm`, `0.5in`, `1/2in`, `7 1/2in`, `7-1/2"`, `7 1/2in + 2/16in`, `18pt`.

    Raises `UnitError` for a bare number, an unknown unit, a zero denominator,
    anything left over, or a length beyond 20,000 inches.
    """
    source = _spaced(text)
    terms = re.split(r"\s([+-])\s", source) if re.search(r"\s[+-]\s", source) else [source]
    sum_ = _parse_term(terms[0], text)
    for sign, term in zip(terms[1::2], terms[2::2], strict=True):
        part = _parse_term(term, text)
        sum_ = sum_ + part if sign == "+" else sum_ - part
    if abs(sum_) > Length.inches(LONGEST_INCHES):
        raise UnitError(f"'{text}' is longer than any sheet", hint="check the unit")
    return sum_


def _spaced(text: str) -> str:
    out = text.strip().lower()
    for glyph, plain in _VULGAR.items():
        out = out.replace(glyph, f" {plain}")
    out = re.sub(r"\s*\+\s*", " + ", out)
    return out.strip()


def _parse_term(term: str, whole_text: str) -> Length:
    negative = term.startswith("-")
    match = _AMOUNT.fullmatch(term.removeprefix("-"))
    if match is None:
        raise UnitError(f"'{whole_text}' is not a length", hint=UNIT_HELP)
    unit = match["unit"]
    if unit is None:
        raise UnitError(f"'{whole_text}' has no unit", hint=UNIT_HELP)
    if unit not in _UNITS:
        raise UnitError(f"'{whole_text}' has an unknown unit '{unit}'", hint=UNIT_HELP)
    grains = round(_amount(match, whole_text) * _UNITS[unit])
    return Length(-grains if negative else grains)


def _amount(match: re.Match[str], whole_text: str) -> Fraction:
    if match["decimal"] is not None:
        return Fraction(match["decimal"])
    numerator = int(match["n1"] or match["n2"])
    denominator = int(match["d1"] or match["d2"])
    if denominator == 0:
        raise UnitError(f"'{whole_text}' divides by zero", hint=UNIT_HELP)
    return int(match["whole"] or 0) + Fraction(numerator, denominator)


# -- ruler readings --------------------------------------------------------------------


class RulerReading:
    """What to set on a ruler: the nearest mark, and how far the exact value is from it.

    `off` is exact minus mark: positive when the true length is longer than the mark.
    """

    __slots__ = ("mark", "off", "text")

    def __init__(self, exact: Length, step: Length, text: str) -> None:
        self.mark = _nearest(exact, step)
        self.off = exact - self.mark
        self.text = text


def ruler_inches(length: Length, parts: int = 64) -> RulerReading:
    """The nearest 1/`parts` in, written as a workshop does: `7 1/2 in`, `3/8 in`."""
    step = Length.inches(Fraction(1, parts))
    mark = _nearest(length, step)
    value = abs(mark.as_inches)
    whole, rest = divmod(value, 1)
    words = [str(int(whole))] if whole or not rest else []
    if rest:
        words.append(f"{rest.numerator}/{rest.denominator}")
    sign = "-" if mark < ZERO else ""
    return RulerReading(length, step, f"{sign}{' '.join(words)} in")


def ruler_mm(length: Length, step: str = "0.5") -> RulerReading:
    """The nearest `step` mm (half a millimetre unless said)."""
    unit = Length.mm(step)
    mark = _nearest(length, unit)
    return RulerReading(length, unit, mark.text("mm"))


def _nearest(length: Length, step: Length) -> Length:
    return Length(round(Fraction(length.grains, step.grains)) * step.grains)


#: No ruler and no gauge shows it (from memory: programmable gauges count in 0.01 mm).
_NO_RULER: Final = Length.mm("0.005")


def reading_text(length: Length, unit: str, parts: int = 64) -> str:
    """The reading with what it is off by: `8 9/16 in`, or `5 1/64 in (0.0031 in more)`."""
    reading = ruler_inches(length, parts) if unit == "in" else ruler_mm(length)
    if not reading.off:
        return reading.text
    if abs(reading.off) < _NO_RULER:  # what a file's few decimals leave
        return f"~{reading.text}"
    word = "more" if reading.off > ZERO else "less"
    return f"{reading.text} ({abs(reading.off).text(unit)} {word})"


def both_units(length: Length, first: str) -> str:
    """The job's unit first, the other beside it: `5.5 in (139.7 mm)`."""
    other = "in" if first == "mm" else "mm"
    return f"{length.text(first)} ({length.text(other)})"
