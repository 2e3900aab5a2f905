"""Leaves side by side on a flat sheet: the paper of one leaf, and the grids that fit."""

from __future__ import annotations

from dataclasses import dataclass

from impose.geometry.box import Size
from impose.geometry.sides import PageSides
from impose.model.job import Binding
from impose.model.sheetway import SheetWay
from impose.schemes.draft import Asked, refuse
from impose.schemes.rooms import Room
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class LeafBlock:
    """The paper of one leaf on an n-up sheet: the trim and what is left round it."""

    leaf: Size
    round: PageSides
    gutter: Length
    outside: Length = ZERO  #: room for bleed round the whole grid

    @property
    def size(self) -> Size:
        return Size(
            self.round.spine + self.leaf.width + self.round.fore_edge,
            self.round.foot + self.leaf.height + self.round.head,
        )

    def grid(self, columns: int, rows: int) -> Size:
        """The paper of columns x rows blocks with gutters between."""
        return Size(
            self.size.width * columns + self.gutter * (columns - 1),
            self.size.height * rows + self.gutter * (rows - 1),
        )


def leaf_block(asked: Asked) -> LeafBlock:
    guts = asked.job.guts
    if asked.job.binding is Binding.LOOSE:
        gutter = asked.bleed * 2 if guts.gutter is None else guts.gutter
        if guts.gutter is not None and guts.bleed is not None and gutter < guts.bleed * 2:
            unit = asked.job.unit
            raise refuse(
                "bleed-gutter",
                f"a bleed of {guts.bleed.text(unit)} on both sides needs a gutter of "
                f"{(guts.bleed * 2).text(unit)}; the gutter is {gutter.text(unit)}",
                "make the gutter wider or the bleed smaller",
            )
        outside = asked.bleed if guts.gutter is None else min(asked.bleed, gutter.half)
        return LeafBlock(asked.leaf, PageSides(), gutter, outside)
    off = asked.trim_off
    if off < asked.bleed:
        unit = asked.job.unit
        raise refuse(
            "bleed-trim-off",
            f"a bleed of {asked.bleed.text(unit)} needs at least as much to trim off; "
            f"trim_off is {off.text(unit)}",
            "make trim_off larger or the bleed smaller",
        )
    sides = PageSides(head=off, foot=off, fore_edge=off, spine=asked.grind)
    return LeafBlock(asked.leaf, sides, guts.gutter or ZERO)


@dataclass(frozen=True, slots=True)
class LeafGrid:
    room: Room
    columns: int
    rows: int


def leaf_grids(
    block: LeafBlock, room: Room, up: int | None, way: SheetWay | None = None
) -> list[LeafGrid]:
    """Grids on one sheet; with `up`, every factor pair that fits, the fuller first; with a
    `way`, its own alone."""
    around = block.outside * 2
    columns = _most(block.size.width, block.gutter, room.hold.width - around)
    rows = _most(block.size.height, block.gutter, room.hold.height - around)
    if up is None:
        return [LeafGrid(room, columns, rows)] if columns and rows else []
    pairs = [(c, up // c) for c in range(1, up + 1) if up % c == 0]
    if way is not None and way.columns:
        pairs = [pair for pair in pairs if pair == (way.columns, way.rows)]
    return [LeafGrid(room, c, r) for c, r in pairs if c <= columns and r <= rows]


def _most(size: Length, gutter: Length, whole: Length) -> int:
    return max(0, (whole + gutter) // (size + gutter))
