"""What things cost, as the job says: exact amounts in a currency named in free text.

Nothing is rounded: amounts are decimals as they are written, and only multiplied and added.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from impose.geometry.box import Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Prices:
    """Amounts for one of each thing; None: not said, and not counted.

    `sheet` is for a sheet of any size, `sheets` for those of one size (short side
    first), which wins.  `cut` is for one stroke of the knife through one lift, `fold`
    for one fold of one sheet, `click` for one side printed, `plate` for one plate, of
    which each side needs `plates_a_side`.
    """

    currency: str = ""
    sheet: Fraction | None = None
    sheets: Mapping[Size, Fraction] = field(default_factory=dict)
    parent: Fraction | None = None
    click: Fraction | None = None
    plate: Fraction | None = None
    plates_a_side: int = 1
    cut: Fraction | None = None
    fold: Fraction | None = None

    @property
    def given(self) -> bool:
        """Anything at all has a price."""
        alone = (self.sheet, self.parent, self.click, self.plate, self.cut, self.fold)
        return bool(self.sheets) or any(price is not None for price in alone)

    def of_sheet(self, size: Size) -> Fraction | None:
        """The price of a sheet of this size, lying either way."""
        return self.sheets.get(size.turned if size.landscape else size, self.sheet)


NO_PRICES: Final = Prices()


def amount_text(amount: Fraction, currency: str) -> str:
    """`12.50 EUR`, with every decimal place that the amount has and at least two."""
    places = 2
    while (amount * 10**places).denominator != 1:
        places += 1
    digits = str(abs(amount.numerator * 10**places // amount.denominator)).rjust(places + 1, "0")
    sign = "-" if amount < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]} {currency}".rstrip()
