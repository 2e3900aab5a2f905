"""Every way in which the pages of a job may be laid on the sheets at hand.

A way is a job's `Guts` bound to one sheet lying one way, with one number of pages on a
side, one order, one section: the schemes lay it out as they lay out any job.  What the
job says (up, section_pages, order, place, work, two_up) is kept; only what it leaves open is
varied.
Ways are told apart from those that do not fit by the schemes' own measures; whether a
way can really be made is only known when it is planned (see `bench.layouts`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

from impose.errors import JobError
from impose.geometry.box import Size
from impose.model.athand import takes
from impose.model.job import Binding, Guts, NamedSize, Order
from impose.model.machines import Printer
from impose.model.sheetway import SheetWay
from impose.schemes.draft import Asked
from impose.schemes.folded import USUAL_SECTION, closed_side, fold_rules
from impose.schemes.folding import BOOK_FOLDS, standard_scheme
from impose.schemes.foldlayout import group_size
from impose.schemes.frenchfold import french_grids, french_need
from impose.schemes.leafgrid import leaf_block, leaf_grids
from impose.schemes.mixed import best_mixed, leaves_of
from impose.schemes.pressways import Printing, printings
from impose.schemes.rooms import Room, halved, room_on
from impose.units import ZERO

#: Sections that are compared where the job names none (GPO Style Manual 2008, 1.15, names
#: 8 to 32; 4 is one sheet folded once).
SECTIONS: Final = (4, 8, 12, 16, 24, 32)


class WayKind(Enum):
    """What a way makes of a sheet; the value is its word in names."""

    LEAF = "one leaf"
    STACK = "cut and stack"
    REPEAT = "repeat"
    SECTION = "one section"
    SECTIONS = "sections"
    FRENCH = "French fold"
    STEP = "step and repeat"
    GANG = "ganged"
    PANELS = "folded panels"


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way; `guts` are those of the job bound to it.

    `columns` and `rows` count pages (French fold: leaves laid open) on the front.
    `name` stays the same when the number of pages changes.
    """

    name: str
    kind: WayKind
    sheet: NamedSize
    lying: Size
    columns: int
    rows: int
    guts: Guts

    @property
    def leaves(self) -> int:
        """Places for leaves (pages of folded sheets) on the front, turned ones among them."""
        way = self.guts.way
        return leaves_of(way) if way is not None and way.mixed else self.columns * self.rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """A way that falls out, and why in one line; `way` where it could be laid out."""

    name: str
    reason: str
    way: Way | None = None


@dataclass(frozen=True, slots=True)
class _Place:
    """A sheet as it lies, with the job bound to it and to how it is printed.

    `room` is that of the half that has the first page up where one forme prints both sides.
    """

    asked: Asked
    sheet: NamedSize
    lying: Size
    room: Room
    label: str
    printing: Printing

    @property
    def guts(self) -> Guts:
        return self.asked.job.guts

    @property
    def one_direction(self) -> bool:
        """Leaves lying both ways go with one copy a sheet alone."""
        return self.printing.copies > 1

    def name(self, what: str) -> str:
        """Of a way on this sheet, printed like this."""
        return ", ".join(part for part in (self.label, what, self.printing.words) if part)

    def way(self, kind: WayKind, what: str, grid: tuple[int, int], **changes: object) -> Way:
        guts = replace(self.guts, order_said=True, **changes)  # type: ignore[arg-type]
        return Way(
            name=self.name(what),
            kind=kind,
            sheet=self.sheet,
            lying=self.lying,
            columns=grid[0],
            rows=grid[1],
            guts=guts,
        )

    def pinned(self, columns: int, rows: int) -> SheetWay:
        return SheetWay(landscape=self.lying.landscape, columns=columns, rows=rows)

    def unfit(self, what: str, reason: str) -> Unfit:
        return Unfit(name=self.name(what), reason=reason)

    def misses(self, what: str, need: Size) -> Unfit:
        """By how much the paper that is needed does not fit where trims may lie."""
        unit, hold = self.asked.job.unit, self.room.hold
        over = (("wide", need.width - hold.width), ("high", need.height - hold.height))
        by = " and ".join(f"too {way} by {much.text(unit)}" for way, much in over if much > ZERO)
        return self.unfit(
            what,
            f"does not fit: {need.text(unit)} is needed, {hold.size.text(unit)} is there: {by}",
        )

    def holds(self, need: Size) -> bool:
        return need.width <= self.room.hold.width and need.height <= self.room.hold.height


def find_ways(asked: Asked, one_copy_a_sheet: bool = False) -> Iterator[Way | Unfit]:
    """All ways, sheet by sheet in the order at hand, portrait first.

    `one_copy_a_sheet`: leaves are put in from sheets of their own (see `printings`).
    """
    job = asked.job
    ways_of_printing = printings(asked, one_copy_a_sheet)
    for named in job.at_hand or job.guts.sheets:
        printer = job.guts.printer
        if printer is not None and not takes(printer, named.size):
            yield Unfit(name=named.name, reason=f"{printer.name} does not take it")
            continue
        upright = named.size.turned if named.size.landscape else named.size
        for size in dict.fromkeys((upright, upright.turned)):
            for printing in ways_of_printing:
                place = _place(asked, named, size, printing, printer)
                yield from _printed(place, ways_of_printing)


def _printed(place: _Place, compared: Sequence[Printing]) -> Iterator[Way | Unfit]:
    """The ways of one place; none where fewer copies at once are all that is wanted."""
    per, wanted = place.printing.copies, place.asked.job.copies
    least = min(one.copies for one in compared)
    if per > least >= wanted:
        yield place.unfit("", f"it makes {per} copies at once, the job wants {wanted}")
        return
    printer, ways = place.guts.printer, list(_on(place))
    if printer is not None and printer.bar and all(isinstance(way, Unfit) for way in ways):
        # The colour bar gives way where nothing fits beside it (see `printed_draft`).
        bare = replace(printer, bar=ZERO)
        ways = list(_on(_place(place.asked, place.sheet, place.lying, place.printing, bare)))
    yield from ways


def _place(
    asked: Asked, named: NamedSize, size: Size, printing: Printing, printer: Printer | None
) -> _Place:
    """`printer`: that of the job, or the same without its colour bar, for the room."""
    way = SheetWay(landscape=size.landscape)
    guts = printing.of(replace(asked.job.guts, sheets=(named,), way=way))
    room = room_on(named, size, printer, guts.flip, guts.work)
    if guts.work is not None and guts.work.one_forme:
        room = halved(room, asked.job.bound_at.mirrored)
    name = named.name.removesuffix(" landscape")
    square = size.width == size.height
    lies = "" if square else " landscape" if size.landscape else " portrait"
    bound = replace(asked, job=replace(asked.job, guts=guts))
    return _Place(bound, named, size, room, f"{name}{lies}", printing)


def _on(place: _Place) -> Iterator[Way | Unfit]:
    job = place.asked.job
    try:
        if job.guts.french_fold:
            yield from _french(place)
            return
        if not job.binding.folded and not job.guts.section_pages:
            yield from _leaves(place)
        if job.binding.folded or job.binding is Binding.PERFECT:
            yield from _folded(place)
    except JobError as error:  # a fault of the job itself, the same on every sheet
        yield Unfit(name=place.label, reason=error.faults[0].message)


# -- single leaves ---------------------------------------------------------------------


def _leaves(place: _Place) -> Iterator[Way | Unfit]:
    job, up = place.asked.job, place.guts.up
    if job.binding is not Binding.LOOSE and up in (None, 1):
        yield from _one_leaf(place)
    one_alone = job.binding is not Binding.LOOSE and (
        up == 1 or (up is None and place.guts.centred)
    )
    if not one_alone:
        yield from _many_leaves(place)


def _one_leaf(place: _Place) -> Iterator[Way | Unfit]:
    asked, guts = place.asked, place.guts
    both = 2 if guts.centred else 1
    off = asked.trim_off if guts.lay else ZERO
    need = Size(asked.leaf.width + asked.grind * both, asked.leaf.height + off)
    what = "one leaf centred" if guts.centred else "one leaf"
    if not place.holds(need):
        yield place.misses(what, need)
        return
    yield place.way(WayKind.LEAF, what, (1, 1), up=1, way=place.pinned(1, 1))


def _many_leaves(place: _Place) -> Iterator[Way | Unfit]:
    asked, up = place.asked, place.guts.up
    block = leaf_block(asked)
    grids = [(g.columns, g.rows) for g in leaf_grids(block, place.room, up)]
    if not grids:
        one, around = block.grid(1, 1), block.outside * 2
        need = Size(one.width + around, one.height + around)
        if not place.holds(need):
            yield place.misses("leaves to be cut apart", need)
        else:
            yield place.unfit(f"{up} leaves", "does not fit in any rows and columns")
        return
    for columns, rows in grids:
        if columns * rows == 1 and asked.job.binding is not Binding.LOOSE:
            continue  # the way of one leaf, which needs no cuts
        what = f"{columns} x {rows} leaves" if columns * rows > 1 else "one leaf"
        yield from _orders(place, what, place.pinned(columns, rows))
    if up is None and not place.one_direction:
        yield from _mixed(place)


def _mixed(place: _Place) -> Iterator[Way | Unfit]:
    """Both directions on one sheet, where that takes more leaves than either alone; only on
    the sheet lying so that most leaves are upright."""
    block, room = leaf_block(place.asked), place.room
    way = best_mixed(block, room)
    if way is None:
        return
    guts = place.guts
    other = room_on(place.sheet, room.sheet.turned, guts.printer, guts.flip, guts.work)
    plain = max(
        (g.columns * g.rows for one in (room, other) for g in leaf_grids(block, one, None)),
        default=0,
    )
    turned = way.turned_columns * way.turned_rows
    rest = leaves_of(way) - turned
    if leaves_of(way) <= plain or turned > rest or (turned == rest and way.landscape):
        return
    where = "below" if way.split_across else "beside"
    what = (
        f"{way.columns} x {way.rows} leaves and {where} them "
        f"{way.turned_columns} x {way.turned_rows} turned"
    )
    yield from _orders(place, what, way)


def _orders(place: _Place, what: str, way: SheetWay) -> Iterator[Way | Unfit]:
    guts, count, grid = place.guts, leaves_of(way), (way.columns, way.rows)
    pinned = {"up": count, "way": way}
    if count == 1 or not guts.order_said or guts.order is Order.CUT_AND_STACK:
        kind = WayKind.STACK if count > 1 else WayKind.LEAF
        how = f"{what}, cut and stack" if count > 1 else what
        yield place.way(kind, how, grid, order=Order.CUT_AND_STACK, **pinned)
    if count == 1 or (guts.order_said and guts.order is Order.CUT_AND_STACK):
        return
    copies = place.asked.job.copies
    if copies == 1 and not guts.order_said:
        reason = f"repeats make {count} copies at once, the job wants 1"
        yield place.unfit(f"{what}, repeat", reason)
        return
    yield place.way(WayKind.REPEAT, f"{what}, repeat", grid, order=Order.REPEAT, **pinned)


# -- folded sheets ---------------------------------------------------------------------


def _folded(place: _Place) -> Iterator[Way | Unfit]:
    """Sheets with 2, 4, 8 and 16 pages on a side, where they fit, in every section."""
    asked, guts, rules = place.asked, place.guts, fold_rules(place.asked)
    saddle = asked.job.binding is Binding.SADDLE
    if guts.up is not None and guts.up not in BOOK_FOLDS:
        yield place.unfit(f"{guts.up} pages a side", "folded sheets have 2, 4, 8 or 16")
    for up in BOOK_FOLDS:
        if guts.up not in (None, up):
            continue
        what = f"{up} pages a side"
        side = closed_side(up, rules)
        if side is not None:
            at = side.replace("_", "-")
            yield place.unfit(what, f"the {at}s lie at a fold and {side}_allowance is 0")
            continue
        scheme = standard_scheme(up)
        need = group_size(scheme, rules)
        if not place.holds(need):
            yield place.misses(f"{what}, folded", need)
            continue
        grid = (scheme.columns, scheme.rows)
        if saddle:
            yield place.way(WayKind.SECTION, f"{what}, one section", grid, up=up)
            continue
        sizes = _section_sizes(place, up)
        if not sizes:
            reason = f"a section of {guts.section_pages} pages is no whole number of such sheets"
            yield place.unfit(what, reason)
        for pages in sizes:
            name = f"{what}, sections of {pages}"
            ground = guts.stock.caliper * (pages // 4)  # see layoutfindings.glue_reach
            if asked.job.binding is Binding.PERFECT and asked.grind < ground:
                unit = asked.job.unit
                yield place.unfit(
                    name,
                    f"the glue does not reach the inner leaves: {ground.text(unit)} must be "
                    f"ground off, grind is {asked.grind.text(unit)}",
                )
                continue
            yield place.way(WayKind.SECTIONS, name, grid, up=up, section_pages=pages)


def _section_sizes(place: _Place, up: int) -> list[int]:
    said = place.guts.section_pages
    return [pages for pages in ((said,) if said else SECTIONS) if pages % (2 * up) == 0]


def usual_section(guts: Guts) -> int:
    """Pages of a section where the job names none."""
    return guts.section_pages or USUAL_SECTION


# -- French fold -----------------------------------------------------------------------


def _french(place: _Place) -> Iterator[Way | Unfit]:
    asked, up = place.asked, place.guts.up
    free = replace(asked, job=replace(asked.job, guts=replace(place.guts, up=None)))
    counts = [up // 2] if up is not None and up % 2 == 0 else [None, 1] if up is None else []
    found = dict.fromkeys(
        (c, r) for count in counts for _, c, r in french_grids(free, place.room, count)
    )
    if not found:
        yield place.misses("leaves laid open", french_need(asked, (up or 2) // 2))
    for columns, rows in found:
        yield from _french_orders(place, columns, rows)


def _french_orders(place: _Place, columns: int, rows: int) -> Iterator[Way | Unfit]:
    guts, count = place.guts, columns * rows
    what = f"{columns} x {rows} leaves laid open" if count > 1 else "one leaf laid open"
    pinned = {"up": count * 2, "way": place.pinned(columns, rows)}
    orders = [guts.order] if guts.order_said else [Order.CUT_AND_STACK]
    if not guts.order_said and place.asked.job.copies > 1 and count > 1:
        orders.append(Order.REPEAT)
    for order in orders:
        how = f"{what}, {order.value}" if count > 1 else what
        yield place.way(WayKind.FRENCH, how, (columns, rows), order=order, **pinned)
