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
from impose.model.machines import Printer
from impose.model.presswork import Work, first_half, held_in, lead_across, turned_for, work_on
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class Room:
    """One sheet, one way round.

    `hold` is where trims may lie, `ink` where both sides can be printed, both
    seen from the front.  `clear`: groups are moved out of what cannot be printed.
    Where one forme prints both sides, `sheet` is the half that has the first page
    up, in a frame of its own, and so are `hold` and `ink`.
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


def rooms(guts: Guts, right_bound: bool = False) -> Iterator[Room]:
    """Every sheet as named, portrait first, then the other way round, a `way` keeps one; of
    sheets that one forme prints, the half that has the first page up; without those that the
    printer does not take."""
    way = guts.way
    for named in guts.sheets:
        if not _taken(named, guts.printer):
            continue
        upright = named.size.turned if named.size.landscape else named.size
        sizes = [upright] if upright.width == upright.height else [upright, upright.turned]
        for size in sizes:
            if way is not None and size.landscape != way.landscape:
                continue
            room = room_on(named, size, guts.printer, guts.flip, guts.work)
            if guts.clear_of_margins:
                room = replace(room, clear=True)
            yield halved(room, right_bound) if guts.work and guts.work.one_forme else room


def room_on(
    named: NamedSize,
    size: Size,
    printer: Printer | None,
    flip: Flip | None,
    work: Work | None = None,
) -> Room:
    """The room on one sheet as it lies.

    `work` says how it is turned over; without it the flip.  Without a word about
    either the sheet is turned about the vertical, so that backs read upright.
    """
    flip = flip or (printer.flip if printer else None)
    turned = flip.on(size) if flip else Turnover.ABOUT_VERTICAL
    if work is not None:
        turned = turned_for(work, printer, size)
    sheet = Box(ZERO, ZERO, size.width, size.height)
    if printer is None:
        return Room(named.name, size, turned, sheet, sheet)
    printer = held_in(work_on(work, printer, size, turned), printer)
    ink = box_inside(sheet, printer.margins(size))
    both = ink.meet(turned.over(ink, size))
    if not printer.plates:
        return Room(named.name, size, turned, sheet, both)
    grip = box_inside(sheet, _gripper_only(printer, size))
    return Room(named.name, size, turned, grip.meet(turned.over(grip, size)), both)


def halved(room: Room, right_bound: bool) -> Room:
    """The half of a sheet that is parted along the line it is turned about."""
    first = first_half(room.sheet, room.turned, right_bound)
    hold, ink = (box.meet(first).moved(-first.x0, -first.y0) for box in (room.hold, room.ink))
    return replace(room, sheet=first.size, hold=hold, ink=ink)


def _gripper_only(printer: Printer, size: Size) -> Edges:
    """The gripper holds the leading edge (see Printer.margins); the tail has the colour bar."""
    tail = printer.tail + printer.bar if printer.bar else ZERO
    if lead_across(printer, size):
        return Edges(bottom=printer.lead, top=tail)
    return Edges(left=printer.lead, right=tail)


def check_sheet_limits(guts: Guts) -> tuple[Finding, ...]:
    """Notes on sheets that the printer does not take, which are left out.

    Raises JobError when it takes none of those named.
    """
    printer = guts.printer
    if printer is None:
        return ()
    outside = [found for named in guts.sheets for found in _outside(named, printer)]
    if outside and not any(_taken(named, printer) for named in guts.sheets):
        raise JobError(outside)
    return tuple(
        Finding.note(fault.code, f"{fault.message}: it is left out", hint=fault.hint)
        for fault in outside
    )


def _taken(named: NamedSize, printer: Printer | None) -> bool:
    return printer is None or not any(_outside(named, printer))


def _outside(named: NamedSize, printer: Printer) -> Iterator[Finding]:
    """The limit that a sheet is beyond, either way round, with both sizes."""
    short, long = sorted((named.size.width, named.size.height), key=lambda n: n.grains)
    for limit, too in ((printer.sheet_max, "large"), (printer.sheet_min, "small")):
        if limit is None:
            continue
        least, most = sorted((limit.width, limit.height), key=lambda n: n.grains)
        large, small = short > least or long > most, short < least or long < most
        if large if too == "large" else small:
            yield Finding.error(
                "sheet-printer",
                f"the sheet {named.name} ({named.size.text(named.unit)}) is too {too} for "
                f"{printer.name}, whose limit is {limit.text(named.unit)}",
                hint="choose another sheet or another printer",
            )
