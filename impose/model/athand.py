"""The sheets at hand, on which layouts are compared.

As the job names them; else what the printer takes among the sizes that are known; else
the sheets of an office printer.
"""

from __future__ import annotations

from impose.geometry.box import Size
from impose.model.asked import Asked
from impose.model.job import NamedSize
from impose.model.machines import Printer


def sheets_at_hand(
    asked: Asked, named: tuple[NamedSize, ...], assumed: tuple[NamedSize, ...],
    printer: Printer | None,
) -> tuple[NamedSize, ...]:  # fmt: skip
    """`named` by the job, or the printer's range, or the `assumed`; each size once."""
    if named or printer is None or (printer.sheet_min is None and printer.sheet_max is None):
        return named or assumed
    found: dict[Size, NamedSize] = {}
    for sheet in asked.profiles.sheets():
        if takes(printer, sheet.size):
            found.setdefault(_upright(sheet.size), sheet)
    return tuple(found.values()) or assumed


def takes(printer: Printer, sheet: Size) -> bool:
    """The printer takes the sheet, either way round."""
    low, high = printer.sheet_min, printer.sheet_max
    size = _upright(sheet)
    if high is not None:
        most = _upright(high)
        if size.width > most.width or size.height > most.height:
            return False
    if low is not None:
        least = _upright(low)
        if size.width < least.width or size.height < least.height:
            return False
    return True


def _upright(size: Size) -> Size:
    return size.turned if size.landscape else size
