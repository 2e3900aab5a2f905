"""Readers of what is said of paper: grammage, bulk, basis weight, caliper.

They follow the rules of `readers`: text in, an exact value out, or a fault.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from impose.model.fields import ValueFault
from impose.model.readers import NUMBER, length, shown, text, unit_of
from impose.units import Length

#: Thicker is no paper but a slip of the unit; case boards reach about 4 mm (from memory).
THICKEST: Final = Length.mm(5)

GRAMMAGE: Final = re.compile(rf"{NUMBER}\s*(?:gsm|g/m2|g/m²|g/m\^2)")
_BULK: Final = re.compile(rf"{NUMBER}\s*(?:cm3/g|cm³/g|cm\^3/g)")
_PERCENT: Final = re.compile(rf"{NUMBER}\s*%")
BASIS: Final = re.compile(rf"{NUMBER}\s*(?:lbs?\.?|pounds?|#)\s*([a-z][a-z ]*)")


@dataclass(frozen=True, slots=True)
class Basis:
    """A basis weight: pounds, and the words that name the grade."""

    pounds: Fraction
    grade: str

    @property
    def text(self) -> str:
        """`50 lb book`."""
        return f"{decimal_text(self.pounds)} lb {self.grade}"


def decimal_text(number: Fraction) -> str:
    """A finite decimal as people write it: `7.5`, `80`."""
    return f"{Decimal(number.numerator) / Decimal(number.denominator):f}"


def grammage(value: object) -> Fraction:
    """g/m2, from `74gsm` or `74 g/m2`; above zero."""
    return _above_zero(_measure(value, GRAMMAGE, 'for example "80gsm"'), "grammage", "gsm")


def bulk(value: object) -> Fraction:
    """cm3/g, from `1.3cm3/g`; above zero."""
    return _above_zero(_measure(value, _BULK, 'for example "1.3cm3/g"'), "bulk", "cm3/g")


def basis(value: object) -> Basis:
    """A basis weight: `50 lb book`, `20# bond`."""
    match = BASIS.fullmatch(text(value).strip().lower())
    if match is None:
        hint = 'pounds and the grade: "50 lb book", "20 lb bond"'
        raise ValueFault(f"'{value}' is not a basis weight", hint=hint)
    pounds = _above_zero(Fraction(match[1]), "basis weight", "lb")
    return Basis(pounds, match[2].strip())


def caliper(value: object) -> Length:
    """The thickness of one sheet, above zero.

    Board is sold by points of 1/1000 in, while a point is 1/72 in everywhere
    else here; a caliper in `pt` is refused, since either reading spoils a book.
    """
    written = text(value).strip()
    thickness = length(written)
    if not thickness:
        raise ValueFault(f"caliper is {thickness.text(unit_of(written))}; a sheet has a thickness")
    if re.search(r"pt$", written.lower()):
        number = written[:-2].strip()
        raise ValueFault(
            f"caliper {written} is {thickness.text('mm')}, a point being 1/72 in",
            hint=f'if points of board are meant, 1/1000 in each, write "{number}mil"',
        )
    if thickness > THICKEST:
        unit = unit_of(written)
        raise ValueFault(
            f"caliper is {thickness.text(unit)}; paper and board stay below {THICKEST.text(unit)}",
            hint="check the unit",
        )
    return thickness


def _measure(value: object, pattern: re.Pattern[str], example: str) -> Fraction:
    match = pattern.fullmatch(text(value).strip().lower()) if isinstance(value, str) else None
    if match is None:
        raise ValueFault(f"'{shown(value)}' cannot be read", hint=example)
    return Fraction(match[1])


def _above_zero(number: Fraction, what: str, unit: str) -> Fraction:
    if number <= 0:
        raise ValueFault(f"{what} is 0 {unit}; it must be above zero")
    return number


def percent(value: object) -> Fraction:
    """`8%` as 8/100; from 0% to 100%."""
    share = _measure(value, _PERCENT, 'for example "8%"') / 100
    if share > 1:
        raise ValueFault(f"{value} is more than all of it")
    return share
