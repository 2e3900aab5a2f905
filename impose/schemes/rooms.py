"""Sheets to choose from, either way round, and what may be put where on them.

Trims must keep out of the gripper, and lie on the sheet; ink can only go where
the printer prints, on both sides.  The centre of the sheet is the centre of
the layout, because sheets are folded edge to edge; a gripper may push it off.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size, box_inside
from impose.geometry.turning import Flip, Turnover
from impose.model.job import Guts, NamedSize
from impose.model.machines import LeadingEdge, Printer
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class Room:
    """One sheet, one way round.

    `hold` is where trims may lie, `ink` where both sides can be printed, both
    seen from the front.  `clear`: groups are moved out of what cannot be printed.
    """

    name: str
    sheet: Size
    turned: Turnover
    hold: Box
    ink: Box
    clear: bool = False

    def start(self, used: Length, across: bool, held: bool = False) -> Length | None:
        """Where a group `used` wide (or high) begins: centred on the sheet, pushed off only as
        far as the gripper needs, and out of the margins where that is wished; None when it
        does not fit.  `held`: a fold in the middle of the sheet keeps it there."""
        whole = self.sheet.width if across else self.sheet.height
        low, high = (self.hold.x0, self.hold.x1) if across else (self.hold.y0, self.hold.y1)
        if used > high - low:
            return None
        middle = (whole - used).half
        if self.clear and not held:
            least, most = (self.ink.x0, self.ink.x1) if across else (self.ink.y0, self.ink.y1)
            if used <= most - least:
                middle = min(max(middle, least), most - used)
        return min(max(middle, low), high - used)

    @property
    def mirrored(self) -> Room:
        """Left and right exchanged, to lay out what is mirrored on the sheet afterwards."""
        hold, ink = (Turnover.ABOUT_VERTICAL.over(box, self.sheet) for box in (self.hold, self.ink))
        return replace(self, hold=hold, ink=ink)


def rooms(guts: Guts) -> Iterator[Room]:
    """Every sheet as named, portrait first, then the other way round; a `way` keeps one."""
    way = guts.way
    for named in guts.sheets:
        upright = named.size.turned if named.size.landscape else named.size
        sizes = [upright] if upright.width == upright.height else [upright, upright.turned]
        for size in sizes:
            if way is not None and size.landscape != way.landscape:
                continue
            room = room_on(named, size, guts.printer, guts.flip)
            yield replace(room, clear=True) if guts.clear_of_margins else room


def room_on(named: NamedSize, size: Size, printer: Printer | None, flip: Flip | None) -> Room:
    """The room on one sheet as it lies.

    Without a word about the flip the sheet is turned about the vertical, so
    that backs read upright.
    """
    flip = flip or (printer.flip if printer else None)
    turned = flip.on(size) if flip else Turnover.ABOUT_VERTICAL
    sheet = Box(ZERO, ZERO, size.width, size.height)
    if printer is None:
        return Room(named.name, size, turned, sheet, sheet)
    ink = box_inside(sheet, printer.margins(size))
    both = ink.meet(turned.over(ink, size))
    if not printer.press:
        return Room(named.name, size, turned, sheet, both)
    grip = box_inside(sheet, _gripper_only(printer, size))
    return Room(named.name, size, turned, grip.meet(turned.over(grip, size)), both)


def _gripper_only(printer: Printer, size: Size) -> Edges:
    """The gripper holds the leading edge (see Printer.margins)."""
    lead_across = (printer.leads is LeadingEdge.LONG) == size.landscape
    return Edges(bottom=printer.lead) if lead_across else Edges(left=printer.lead)


def check_sheet_limits(guts: Guts) -> None:
    """Raises JobError when the printer does not take any of the sheets named."""
    printer = guts.printer
    if printer is None or not guts.sheets:
        return
    faults = []
    for named in guts.sheets:
        short, long = sorted((named.size.width, named.size.height), key=lambda n: n.grains)
        for limit, too in ((printer.sheet_max, "large"), (printer.sheet_min, "small")):
            if limit is None:
                continue
            least, most = sorted((limit.width, limit.height), key=lambda n: n.grains)
            outside = (
                short > least or long > most if too == "large" else short < least or long < most
            )
            if outside:
                faults.append(
                    Finding.error(
                        "sheet-printer",
                        f"the sheet {named.name} ({named.size.text(named.unit)}) is too {too} for "
                        f"{printer.name}, whose limit is {limit.text(named.unit)}",
                        hint="choose another sheet or another printer",
                    )
                )
    if len(faults) >= len(guts.sheets):
        raise JobError(faults)
