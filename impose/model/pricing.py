"""The prices of a job from its table: sheets are found by name or size."""

from __future__ import annotations

from fractions import Fraction

from impose.findings import plain
from impose.geometry.box import Size
from impose.model import readers as read
from impose.model.asked import Asked
from impose.model.prices import Prices


def prices_of(asked: Asked) -> Prices:
    """Notes a fault for a sheet that nobody knows."""
    table = asked.tables.prices
    sheets: dict[Size, Fraction] = {}
    for name, amount in (table.sheet or {}).items():
        if not name:
            continue
        path = ("prices", "sheet", name)
        wish = asked.look_up(path, lambda name=name: read.size(name))  # type: ignore[misc]
        found = asked.size(path, wish) if wish is not None else None
        if found is not None:
            size = found.size
            sheets[size.turned if size.landscape else size] = amount
    return Prices(
        currency=plain(table.currency.strip()),
        sheet=(table.sheet or {}).get(""),
        sheets=sheets,
        parent=table.parent,
        click=table.click,
        plate=table.plate,
        plates_a_side=table.plates_a_side,
        cut=table.cut,
        fold=table.fold,
    )
