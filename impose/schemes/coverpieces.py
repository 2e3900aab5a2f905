"""Several covers on one sheet: how large the piece of each is, and where the pieces lie.

A piece is the paper that creaser and binder expect, as a cover that is printed
alone has it: the trim lies on it by the same lay, with the same paper at head
and foot.  The pieces stand head to head in columns and rows; they share a cut,
or a gutter lies between them and is cut off from both sides.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from impose.errors import JobError
from impose.geometry.box import Box, Size
from impose.model.coverups import MOST, CoversUp
from impose.model.job import Job
from impose.model.machines import Printer
from impose.model.stock import Grain
from impose.plan.coverview import whole_box
from impose.schemes.coverart import refuse
from impose.schemes.coverlayout import (
    CoverLayout,
    CoverMeasures,
    SheetWish,
    Upright,
    layout_on,
)
from impose.schemes.draft import USUAL_BLEED
from impose.schemes.rooms import Room, room_on
from impose.units import ZERO, Length

#: How many arrangements a refusal names.
_NAMED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceWish:
    """`up` and `gutter` as the job has them; `piece` the paper of one cover, None: what it
    needs: `bleed` and `marks` beyond the trim at its two ends, and a size in whole `step`s.
    `grain` is that of the stock, None: not known."""

    up: CoversUp
    piece: Size | None
    gutter: Length
    bleed: Length
    marks: Length
    step: Length
    grain: Grain | None = None

    def across(self, sheet: Size) -> bool:
        """The grain of this sheet would lie across the scores, which run up it."""
        return self.grain is not None and (self.grain is Grain.SHORT) != sheet.landscape


@dataclass(frozen=True, slots=True, kw_only=True)
class Stepped:
    """`layout`: a cover on its piece, the piece's own frame its room; `room`: the sheet."""

    layout: CoverLayout
    room: Room
    columns: int
    rows: int
    boxes: tuple[Box, ...]

    @property
    def sheet(self) -> Size:
        return self.room.sheet


@dataclass(frozen=True, slots=True, kw_only=True)
class StepAsk:
    """What is to be laid out: the same for every sheet."""

    measures: CoverMeasures
    upright: Upright
    wish: SheetWish
    mirrored: bool
    pieces: PieceWish

    def sizes(self) -> Iterator[tuple[Size, bool]]:
        """The piece with room for its marks, then the least; whether it has that room."""
        asked = self.pieces.piece
        if asked is not None:
            yield asked, True
            return
        least = self._size(self.wish.beyond)
        wanted = self._size(max(self.wish.beyond, self.pieces.bleed + self.pieces.marks))
        roomy = Size(self._whole(wanted.width), self._whole(wanted.height))
        if roomy != least:
            yield roomy, True
        yield least, roomy == least

    def _size(self, beyond: Length) -> Size:
        """`beyond` the trim at the ends and at the edge away from the lay; at the lay edge as
        much paper as the lay says."""
        lay, upright, trim = self.upright.lay, self.upright, self.measures.size
        head = upright.head if lay == "head" else max(upright.head, beyond)
        foot = upright.foot if lay == "foot" else max(upright.foot, beyond)
        if lay == "centre":
            head = foot = max(head, foot)
        height = max(head + trim.height + foot, self._longer)
        return Size(trim.width + beyond * 2, height)

    def _whole(self, length: Length) -> Length:
        """Up to a figure of the ruler."""
        step = self.pieces.step
        return step * -(-length.grains // step.grains)

    @property
    def _longer(self) -> Length:
        return self.upright.longer_than

    def on_piece(self, size: Size, flipped: Room) -> CoverLayout | None:
        """One cover on its piece, which is turned over as the sheet is.

        On a piece made for it the cover has as much paper at both ends; on one that is named
        its spine is in the middle, as on a sheet.
        """
        whole = whole_box(size)
        room = replace(flipped, sheet=size, hold=whole, ink=whole)
        made = self.pieces.piece is None
        if made:
            beyond = (size.width - self.measures.size.width).half
            room = replace(room, hold=replace(whole, x0=beyond, x1=size.width - beyond))
        layout = layout_on(self.measures, self.upright, room, self.wish.beyond, self.mirrored)
        if layout is None or not made:
            return layout
        return replace(layout, room=replace(room, hold=whole), spine_centred=True)


def step_layout(ask: StepAsk) -> Stepped | None:
    """The best way to lay so many covers on one of the sheets; None when there is none.

    Best: the grain along the spine where it is known, then all paper of the pieces
    where it can be printed, then with room for their marks, then the sheet named
    first, then lying wide.
    """
    pieces = ask.pieces
    best: tuple[tuple[int, ...], Stepped] | None = None
    for order, (room, bare) in enumerate(_rooms(ask.wish)):
        for size, roomy in ask.sizes():
            layout = ask.on_piece(size, room)
            if layout is None:
                continue
            inner = _inked(layout, pieces.bleed)
            for columns, rows in pieces.up.grids:
                placed = _block(size, inner, (columns, rows), pieces.gutter, room)
                if placed is None:
                    continue
                boxes, clear = placed
                across = pieces.across(room.sheet)
                key = (int(bare), int(across), int(not clear), int(not roomy), order)
                if best is None or key < best[0]:
                    made = Stepped(
                        layout=layout, room=room, columns=columns, rows=rows, boxes=boxes
                    )
                    best = (key, made)
    return best[1] if best else None


def _rooms(wish: SheetWish) -> Iterator[tuple[Room, bool]]:
    """Each sheet both ways round; where a press keeps paper for its colour bar, without that
    last (True)."""
    printers: list[tuple[Printer | None, bool]] = [(wish.printer, False)]
    if wish.printer is not None and wish.printer.bar:
        printers.append((replace(wish.printer, bar=ZERO), True))
    for printer, bare in printers:
        for named in wish.sheets:
            wide = named.size if named.size.landscape else named.size.turned
            for size in dict.fromkeys((wide, wide.turned)):
                yield room_on(named, size, printer, wish.flip), bare


def _inked(layout: CoverLayout, bleed: Length) -> Box:
    """The trim and its bleed on the piece."""
    trim, whole = layout.trim, whole_box(layout.room.sheet)
    grown = Box(trim.x0 - bleed, trim.y0 - bleed, trim.x1 + bleed, trim.y1 + bleed)
    return grown.meet(whole)


def _block(
    size: Size, inner: Box, grid: tuple[int, int], gutter: Length, room: Room
) -> tuple[tuple[Box, ...], bool] | None:
    """The pieces row by row from the upper left, and whether all of their paper can be printed.

    The block is centred on the sheet, pushed off only as far as gripper and
    margins need; where it does not fit there, bare paper at its edges may lie in
    them, trims and bleeds may not.
    """
    columns, rows = grid
    width = size.width * columns + gutter * (columns - 1)
    height = size.height * rows + gutter * (rows - 1)
    area = room.hold.meet(room.ink)
    across = _start(width, (inner.x0, size.width - inner.x1), room.sheet.width, (area.x0, area.x1))
    up = _start(height, (inner.y0, size.height - inner.y1), room.sheet.height, (area.y0, area.y1))
    if across is None or up is None:
        return None
    (x, clear_x), (y, clear_y) = across, up
    boxes = tuple(
        Box.at(x + (size.width + gutter) * column, y + (size.height + gutter) * row, size)
        for row in reversed(range(rows))
        for column in range(columns)
    )
    return boxes, clear_x and clear_y


def _start(
    used: Length, bare: tuple[Length, Length], whole: Length, area: tuple[Length, Length]
) -> tuple[Length, bool] | None:
    """Where a block begins that is `used` long, `bare` of it paper at its low and high end."""
    middle = (whole - used).half
    low, high = area
    if used <= high - low:
        return min(max(middle, low), high - used), True
    first, last = max(ZERO, low - bare[0]), min(whole - used, high + bare[1] - used)
    if first > last:
        return None
    return min(max(middle, first), last), False


# -- when it does not fit ------------------------------------------------------------------


def no_room(ask: StepAsk, unit: str) -> JobError:
    """Both sizes, and the most covers that do fit."""
    *_, (size, _) = ask.sizes()
    open_cover, pieces = ask.measures.size, ask.pieces
    if size.width < open_cover.width or size.height < open_cover.height:
        return refuse(
            "cover-piece-small",
            f"piece is {size.text(unit)}, the open cover is {open_cover.text(unit)}",
            "make the piece larger, or leave it out",
            (size.text(unit), open_cover.text(unit)),
        )
    needs = [_needed(size, grid, pieces.gutter).text(unit) for grid in pieces.up.grids]
    has = ", ".join(f"{s.name} ({s.size.text(unit)})" for s in ask.wish.sheets)
    fits, hint = _what_fits(_most(ask))
    printer = ask.wish.printer
    most = printer.image_max if printer else None
    image = f" and within the largest image of {most.text(unit)}" if most else ""
    return refuse(
        "cover-up-no-room",
        f"{pieces.up.count} covers, each on a piece of {size.text(unit)}, take "
        f"{' or '.join(needs[:_NAMED])}; there is no room for that on {has}, either way round, "
        f"clear of gripper and margins{image}: {fits}",
        hint,
        (has, " or ".join(needs)),
    )


def _needed(size: Size, grid: tuple[int, int], gutter: Length) -> Size:
    columns, rows = grid
    return Size(
        size.width * columns + gutter * (columns - 1), size.height * rows + gutter * (rows - 1)
    )


def _what_fits(most: CoversUp | None) -> tuple[str, str]:
    """In words, and what to do."""
    if most is None:
        return "not even one fits", "choose a larger sheet for the cover"
    if most.count == 1:
        return "only one fits", "leave up out, or choose a larger sheet for the cover"
    return (
        f"the most that fit are {most.count} ({most.text}, columns x rows)",
        f'up = "{most.text}", or a larger sheet for the cover',
    )


def _most(ask: StepAsk) -> CoversUp | None:
    """The largest number that fits any sheet, with its columns and rows."""
    area = max(s.size.width.grains * s.size.height.grains for s in ask.wish.sheets)
    size = ask.measures.size
    whole = area // (size.width.grains * size.height.grains)
    for count in range(min(MOST, whole), 0, -1):
        tried = replace(ask.pieces, up=CoversUp(count=count))
        found = step_layout(replace(ask, pieces=tried))
        if found is not None:
            return CoversUp(count=count, columns=found.columns, rows=found.rows)
    return None


def piece_wish(job: Job) -> PieceWish | None:
    """None where the job has one cover on a sheet."""
    cover, marks = job.cover, job.marks
    if cover is None or cover.up is None:
        return None
    drawn = bool(marks.kinds & {"crop", "fold"})
    return PieceWish(
        up=cover.up,
        piece=cover.piece,
        gutter=cover.gutter,
        bleed=USUAL_BLEED if job.guts.bleed is None else job.guts.bleed,
        marks=marks.weight * 2 + marks.length if drawn else ZERO,
        step=Length.inches("1/16") if job.unit == "in" else Length.mm(1),
        grain=(cover.stock or job.guts.stock).grain,
    )
