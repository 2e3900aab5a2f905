"""Flat work: cards, labels and covers without folds, repeated or ganged on sheets and cut to size.

Each item is laid out with its bleed round it (or half the gutter that is asked
for), blocks against blocks: where neighbours have bleed the knife goes through
twice, and the strip between falls; where they have none, once.  What must be
inked keeps to what the printer prints on both sides; only an item that has no
room there may lie beyond.  Where it costs no sheet, room for crop marks is left
all round.  Backs lie behind their fronts, head to head unless the item says
otherwise.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.model.job import Job
from impose.model.stock import Grain
from impose.plan.flatfacts import FLAT, FLAT_ONE_SIDED
from impose.plan.parts import Cut, Gather, Line, LineKind, Sheet, When
from impose.schemes.draft import Asked, Draft
from impose.schemes.flatfindings import (
    amount_note,
    check_backs,
    check_count,
    check_gutter,
    item_facts,
    one_cut_note,
    over_note,
    too_large,
)
from impose.schemes.flatitems import Item
from impose.schemes.flatsides import Put, sides_of_sheet
from impose.schemes.gangs import Area, Layout, Wanted, lay_out, same_in_other_ways
from impose.schemes.guillotine import Part, cut_apart
from impose.schemes.packing import Laid
from impose.schemes.parting import ACROSS, UPRIGHT
from impose.schemes.rooms import Room, rooms
from impose.units import ZERO, Length

#: The least room for a crop mark beyond its offset (marks.ticks: the shortest that is seen).
_MARK: Final = Length.mm("2.1")


@dataclass(frozen=True, slots=True)
class _Ground:
    """One sheet as it lies, and where blocks (an item with what is round it) may lie on it."""

    room: Room
    area: Box


@dataclass(frozen=True, slots=True)
class _Found:
    ground: _Ground
    layouts: tuple[Layout, ...]

    @property
    def cost(self) -> tuple[int, int]:
        """Sheets, then layouts."""
        return sum(one.prints for one in self.layouts), len(self.layouts)


def plan_flat(asked: Asked, items: Sequence[Item]) -> Draft:
    """Sheets of flat work.  Raises JobError when an item does not fit, or no layout is found."""
    check_gutter(asked, items)
    check_backs(asked, items)
    best = _best(asked, items)
    check_count(best.layouts)
    maker = _Maker(asked, tuple(items), best.ground)
    sheets, cuts, gathering = list[Sheet](), list[Cut](), list[Gather]()
    for number, layout in enumerate(best.layouts, start=1):
        puts, part = maker.handiest(layout)
        sheets.append(maker.sheet(number, layout.prints, puts, _lines(part, cuts)))
        gathering += [
            Gather("pile", (number,), cell, item=put.item + 1) for cell, put in enumerate(puts)
        ]
    facts = item_facts(items, best.layouts)
    return Draft(
        scheme=FLAT if any(len(item.faces) > 1 for item in items) else FLAT_ONE_SIDED,
        faces=len(items) * 2,
        sheets=tuple(sheets),
        cuts=tuple(cuts),
        gathering=tuple(gathering),
        items=facts,
        findings=(*amount_note(items, facts), *over_note(facts), *one_cut_note(asked, items)),
    )


@dataclass(frozen=True, slots=True)
class _Maker:
    """Makes the sheets of one job, all on the same ground."""

    asked: Asked
    items: tuple[Item, ...]
    ground: _Ground

    def handiest(self, layout: Layout) -> tuple[list[Put], Part]:
        """Of the arrangements of these counts the one that is best to cut."""
        wanted = _wanted(self.asked, self.items, self.ground)
        narrow = narrow_waste(self.asked.job)
        margins = [_margin(self.asked, item) for item in self.items]
        found = []
        for way in same_in_other_ways(_in_grains(self.ground.area), wanted, layout):
            puts = _puts(self.items, margins, self.ground, way)
            found.append((puts, _apart(self.ground.room.sheet, puts, narrow)))
        return min(found, key=lambda pair: (pair[1].slivers(narrow), pair[1].strokes))

    def sheet(
        self, number: int, prints: int, puts: Sequence[Put], lines: tuple[Line, ...]
    ) -> Sheet:
        """Both sides of one layout."""
        room = self.ground.room
        front, back = sides_of_sheet(self.asked, self.items, puts, room)
        return Sheet(
            number=number,
            size=room.sheet,
            turned=room.turned,
            front=front,
            back=back,
            lines=lines,
            copies=prints,
        )


def narrow_waste(job: Job) -> Length:
    """Waste narrower than this cannot be cut off clean."""
    return job.bench.cutter.waste_min if job.bench.cutter else ZERO


# -- which sheet, which layouts ----------------------------------------------------------


def _best(asked: Asked, items: Sequence[Item]) -> _Found:
    """On the first sheet named that takes them all: fewest sheets, then fewest layouts."""
    names = list(dict.fromkeys(sheet.name for sheet in asked.job.guts.sheets))
    for name in names:
        of_name = [room for room in rooms(asked.job.guts) if room.name == name]
        for inked in (True, False):
            found = [
                one
                for room in of_name
                if (one := _laid_out(asked, items, _ground(asked, items, room, inked)))
            ]
            if found:
                best = min(found, key=lambda one: one.cost)
                return _with_marks(asked, items, best)
    raise JobError(_no_room(asked, items))


def _laid_out(asked: Asked, items: Sequence[Item], ground: _Ground) -> _Found | None:
    if ground.area.empty:
        return None
    wanted = _wanted(asked, items, ground)
    if not all(item.ways for item in wanted):
        return None
    layouts = lay_out(_in_grains(ground.area), wanted, asked.job.guts.layouts, asked.job.guts.overs)
    return None if layouts is None else _Found(ground, layouts)


def _with_marks(asked: Asked, items: Sequence[Item], best: _Found) -> _Found:
    """The same with room for crop marks round it, if that costs nothing."""
    marks = asked.job.marks
    if "crop" not in marks.kinds:
        return best
    least = min(_margin(asked, item) for item in items)
    off = max(ZERO, marks.offset - least) + _MARK
    area = best.ground.area
    inner = Box(area.x0 + off, area.y0 + off, area.x1 - off, area.y1 - off)
    if inner.empty:
        return best
    found = _laid_out(asked, items, replace(best.ground, area=inner))
    return found if found is not None and found.cost <= best.cost else best


def _ground(asked: Asked, items: Sequence[Item], room: Room, inked: bool) -> _Ground:
    """A gutter that is asked for is wanted between items, not round the sheet: there only the
    bleed needs room."""
    held = room.hold.meet(room.ink) if inked else room.hold
    gutter = asked.job.guts.gutter
    more = ZERO if gutter is None else gutter.half - max(item.bleed for item in items)
    return _Ground(room, held.grown(Edges.all(more)))


def _in_grains(area: Box) -> Area:
    return Area(area.width.grains, area.height.grains)


def _margin(asked: Asked, item: Item) -> Length:
    """What is round an item: its bleed, or half the gutter."""
    gutter = asked.job.guts.gutter
    return item.bleed if gutter is None else gutter.half


def _wanted(asked: Asked, items: Sequence[Item], ground: _Ground) -> list[Wanted]:
    found = []
    for item in items:
        more = _margin(asked, item) * 2
        found.append(
            Wanted(
                width=(item.trim.width + more).grains,
                height=(item.trim.height + more).grains,
                ways=_ways(asked.job, item, ground.room.sheet),
                amount=item.amount,
                up=item.up,
            )
        )
    return found


def _ways(job: Job, item: Item, sheet: Size) -> tuple[bool, ...]:
    """Upright, turned by a quarter, or both; a square is never turned.  None where the grain
    that the item wants cannot be told."""
    trim = item.trim
    if trim.width == trim.height:
        return (False,)
    ways = (False, True) if item.turn else (False,)
    if item.grain is None or sheet.width == sheet.height:
        return ways
    if job.guts.stock.grain is None:
        return ()
    up_the_sheet = (job.guts.stock.grain is Grain.LONG) != sheet.landscape
    up_the_item = (item.grain is Grain.LONG) != trim.landscape
    return tuple(turned for turned in ways if (up_the_sheet == up_the_item) != turned)


# -- on the sheet ------------------------------------------------------------------------


def _puts(
    items: Sequence[Item],
    margins: Sequence[Length],
    ground: _Ground,
    laid: Sequence[Laid],
) -> list[Put]:
    """The trims in the middle of the sheet, as far as its area lets them; row by row from
    the upper left."""
    boxes = []
    for one in laid:
        trim, margin = items[one.want].trim, margins[one.want]
        size = trim.turned if one.turned else trim
        boxes.append(Box.at(Length(one.x) + margin, Length(one.y) + margin, size))
    outer = [box.grown(Edges.all(margins[one.want])) for box, one in zip(boxes, laid, strict=True)]
    whole = outer[0]
    for box in outer[1:]:
        whole = whole.join(box)
    area, sheet = ground.area, ground.room.sheet
    dx = _start(whole.width, sheet.width, area.x0, area.x1) - whole.x0
    dy = _start(whole.height, sheet.height, area.y0, area.y1) - whole.y0
    puts = [
        Put(one.want, box.moved(dx, dy), one.turned) for one, box in zip(laid, boxes, strict=True)
    ]
    return sorted(puts, key=lambda put: (-put.trim.y1.grains, put.trim.x0.grains))


def _start(used: Length, whole: Length, low: Length, high: Length) -> Length:
    return min(max((whole - used).half, low), high - used)


def _apart(sheet: Size, puts: Sequence[Put], narrow: Length) -> Part:
    paper = Box(ZERO, ZERO, sheet.width, sheet.height)
    return cut_apart(paper, [put.trim for put in puts], narrow)


def _lines(part: Part, cuts: list[Cut]) -> tuple[Line, ...]:
    """A line along every stretch of every cut; what lies on one line of the sheet is one cut."""
    ids: dict[tuple[str, Length], str] = {}
    lines: list[Line] = []

    def of(way: str, at: Length) -> str:
        if (way, at) not in ids:
            number = sum(cut.id.startswith(way) for cut in cuts) + 1
            ids[way, at] = f"{way}{number}"
            cuts.append(Cut(id=ids[way, at], when=When.BEFORE_BINDING, title="cut the items apart"))
        return ids[way, at]

    for one in part.walk():
        box = one.around
        for y in one.ys:
            lines.append(Line(LineKind.CUT, of(ACROSS, y), box.x0, y, box.x1, y))
        for x in one.xs:
            lines.append(Line(LineKind.CUT, of(UPRIGHT, x), x, box.y0, x, box.y1))
    return tuple(dict.fromkeys(lines))


def _no_room(asked: Asked, items: Sequence[Item]) -> list[Finding]:
    """The items that are too large, each with both sizes; else that no layout holds them."""
    job, unit = asked.job, asked.job.unit
    sheets = ", ".join(f"{s.name} ({s.size.text(unit)})" for s in job.guts.sheets)
    faults = [too_large(asked, item, sheets) for item in items if not _fits(asked, item)]
    if faults:
        return faults
    most = job.guts.layouts
    within = f" on {most} layout{'s' if most != 1 else ''}" if most else ""
    return [
        Finding.error(
            "items-no-room",
            f"no way was found to put the {len(items)} items{within} on {sheets}",
            hint="allow more layouts, choose a larger sheet, or let items be turned",
        )
    ]


def _fits(asked: Asked, item: Item) -> bool:
    """Once, alone, on some sheet; with `up`, so often."""
    for room in rooms(asked.job.guts):
        for inked in (True, False):
            if _laid_out(asked, [item], _ground(asked, [item], room, inked)):
                return True
    return False
