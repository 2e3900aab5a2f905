"""Paper: grammage, caliper, and how sure the caliper is.

Grammage from a basis weight: pounds x 453.59237 g / (sheets x basis area), the
basis sizes as in CIP4 XJDF specification, Appendix B.  Bulk (cm3/g) times
grammage (g/m2) is the thickness in micrometres (definition, ISO 534).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

from impose.units import Length

GRAMS_PER_POUND: Final = Fraction("453.59237")  # international pound, 1959


class Grain(Enum):
    """Which edge of the sheet as bought the fibres run along."""

    LONG = "long"
    SHORT = "short"


class CaliperFrom(Enum):
    """Where a caliper comes from, the surest first."""

    STACK = "measured stack"
    STATED = "stated caliper"
    BULK = "bulk x grammage"
    ESTIMATE = "table estimate"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A paper.  `spread` is how far the caliper may be off, as a share of it.

    `grammage` is in g/m2, None when nobody said.  `use` names what it is bought
    for (guts, cover), `source` where the figures other than the caliper are from.
    """

    name: str
    caliper: Length
    caliper_from: CaliperFrom
    caliper_source: str = ""
    spread: Fraction = Fraction(0)
    grammage: Fraction | None = None
    grain: Grain | None = None
    surface: str = ""
    basis: str = ""
    use: tuple[str, ...] = ()
    source: str = ""

    @property
    def estimated(self) -> bool:
        """The caliper is a table estimate and must be labelled as one."""
        return self.caliper_from is CaliperFrom.ESTIMATE


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """A North American paper grade with its basis size."""

    name: str
    width: Length
    height: Length
    sheets: int = 500

    def grammage(self, pounds: Fraction) -> Fraction:
        """g/m2, exact."""
        square_metres = self.width.as_mm * self.height.as_mm / 1_000_000
        return pounds * GRAMS_PER_POUND / (self.sheets * square_metres)


def caliper_from_bulk(bulk: Fraction, grammage: Fraction) -> Length:
    """bulk in cm3/g, grammage in g/m2; bulk x grammage is micrometres."""
    return Length.mm(bulk * grammage / 1000)
