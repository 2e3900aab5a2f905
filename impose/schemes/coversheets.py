"""Which sheets a cover may be printed on, and what is said about the choice."""

from __future__ import annotations

from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.model.job import NamedSize
from impose.model.machines import Printer
from impose.schemes.coverart import refuse
from impose.schemes.coverlayout import CoverMeasures, SheetWish
from impose.schemes.rooms import Room
from impose.units import Length

#: Sheets that office and copy-shop printers take (sizes: CIP4 XJDF specification,
#: Appendix C; 13 x 19 in from memory), the smaller first.
HOME_SHEETS: Final = {
    "mm": (("A4", "210", "297"), ("A3", "297", "420"), ("SRA3", "320", "450")),
    "in": (
        ("Letter", "8.5", "11"),
        ("Legal", "8.5", "14"),
        ("Tabloid", "11", "17"),
        ("12 x 18 in", "12", "18"),
        ("13 x 19 in", "13", "19"),
    ),
}


def home_sheets(unit: str) -> tuple[NamedSize, ...]:
    """What a cover is printed on when nobody says."""
    made = Length.mm if unit == "mm" else Length.inches
    return tuple(
        NamedSize(size=Size(made(width), made(height)), name=name, unit=unit)
        for name, width, height in HOME_SHEETS[unit]
    )


def takes(printer: Printer | None, sheet: Size) -> bool:
    """The sheet goes through the printer; true where no limit is known."""
    limit = printer.sheet_max if printer else None
    if limit is None:
        return True
    short, long = sorted((sheet.width, sheet.height), key=lambda n: n.grains)
    least, most = sorted((limit.width, limit.height), key=lambda n: n.grains)
    return short <= least and long <= most


def no_sheet(measures: CoverMeasures, wish: SheetWish, unit: str) -> JobError:
    """No sheet takes the open cover: both sizes."""
    need = measures.size.text(unit)
    has = ", ".join(f"{s.name} ({s.size.text(unit)})" for s in wish.sheets)
    return refuse(
        "cover-sheet-too-small",
        f"the open cover is {need}; there is no room for that on {has}, either way round",
        "choose a larger sheet for the cover, or narrower flaps",
        (has, need),
    )


def printed_elsewhere(printer: Printer | None, room: Room, unit: str) -> tuple[Finding, ...]:
    """A note when the cover does not go through the job's printer."""
    if printer is None or printer.sheet_max is None or takes(printer, room.sheet):
        return ()
    note = Finding.note(
        "cover-printer",
        f"{printer.name} takes sheets up to {printer.sheet_max.text(unit)}; the cover's sheet, "
        f"{room.name}, is larger: it is taken to be printed elsewhere, on the whole sheet "
        "and turned like a page of a book",
    )
    return (note,)


def assumed_sheet(room: Room) -> Finding:
    """A note on the sheet taken when none is named."""
    return Finding.note(
        "cover-sheet-assumed",
        f"no sheet is named for the cover; {room.name} is the smallest usual one that takes it",
        hint='name yours: sheet = "..." in [cover]',
    )
