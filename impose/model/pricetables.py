"""The table `[prices]` of a job file, and the values it becomes."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Annotated

from impose.model import readers as read
from impose.model.fields import Reads, ValueFault, table


def money(value: object) -> Fraction:
    """An amount without its currency, zero or more: 0.045 or "0.045"."""
    if isinstance(value, Decimal | int) and not isinstance(value, bool):
        number = Fraction(value)
    elif isinstance(value, str) and re.fullmatch(r"\s*" + read.NUMBER + r"\s*", value):
        number = Fraction(value.strip())
    else:
        raise ValueFault(
            f"'{read.shown(value)}' is not an amount",
            hint='for example 0.045; the currency is said once: currency = "EUR"',
        )
    if number < 0:
        raise ValueFault(f"{value} is below zero", hint="give an amount of zero or more")
    return number


#: Prices by the name or size of the sheet; "" stands for every sheet.
SheetPrices = dict[str, Fraction]


def sheet_prices(value: object) -> SheetPrices:
    """One amount for every sheet, or a table: { a3 = 0.09, "12in x 18in" = 0.11 }."""
    if not isinstance(value, dict):
        return {"": money(value)}
    return {str(name): money(amount) for name, amount in value.items()}


Money = Annotated[Fraction | None, Reads(money)]


@table
class PricesTable:
    """`[prices]`."""

    currency: Annotated[str, Reads(read.any_text)] = ""
    sheet: Annotated[SheetPrices | None, Reads(sheet_prices)] = None
    parent: Money = None
    click: Money = None
    plate: Money = None
    plates_a_side: Annotated[int, Reads(read.count_from(1))] = 1
    cut: Money = None
    fold: Money = None
