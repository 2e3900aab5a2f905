"""Fronts and backs of a sheet of flat work: where each item lies, turned and with its bleed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.geometry.box import Box, Edges
from impose.geometry.sides import NO_SIDES, Edge, PageSides, sides_of
from impose.geometry.turning import Turnover
from impose.plan.parts import Placement, Side
from impose.schemes.draft import Asked
from impose.schemes.flatitems import Item
from impose.schemes.rooms import Room
from impose.units import ZERO, Length

#: Where the left edge of an item lies when its art is turned counter-clockwise, and whether its
#: head is at the bottom or right (see geometry.sides).
_LYING: Final = {
    0: (Edge.LEFT, False),
    90: (Edge.BOTTOM, False),
    180: (Edge.RIGHT, True),
    270: (Edge.TOP, True),
}


@dataclass(frozen=True, slots=True)
class Put:
    """An item (its index) on the front of a sheet: `turned` by a quarter, counter-clockwise."""

    item: int
    trim: Box
    turned: bool


def back_turn(front: int, turned: Turnover, head_to_foot: bool) -> int:
    """The counter-clockwise turn of the art behind a front turned by `front`.

    Head to head: the heads of both lie at the same edge of the paper.
    """
    turn = 360 - front if turned is Turnover.ABOUT_VERTICAL else 180 - front
    return (turn + (180 if head_to_foot else 0)) % 360


def sides_of_sheet(
    asked: Asked, items: Sequence[Item], puts: Sequence[Put], room: Room
) -> tuple[Side, Side]:
    """Both sides, items in the order of `puts`.

    Every item has two faces; where only others have backs its own is a blank one,
    which marks keep out of.
    """
    fronts, backs = [], []
    two_sided = any(len(item.faces) > 1 for item in items)
    for put in puts:
        item = items[put.item]
        space = _space(put, puts, items, asked.job.guts.gutter)
        turn = 90 if put.turned else 0
        maker = _Face(asked, item, put.item + 1)
        position = put.item * 2 + 1
        fronts.append(maker.place(position, item.faces[0], put.trim, turn, space))
        if two_sided:
            page = item.faces[1] if len(item.faces) > 1 else None
            turn = back_turn(turn, room.turned, item.head_to_foot)
            behind = room.turned.over(put.trim, room.sheet)
            over = _turned_over(space, room.turned)
            backs.append(maker.place(position + 1, page, behind, turn, over))
    return Side(tuple(fronts)), Side(tuple(backs))


def _space(put: Put, puts: Sequence[Put], items: Sequence[Item], gutter: Length | None) -> Edges:
    """How far bleed may reach at each edge: the item's own, or half a narrower gutter where
    another item is near."""
    bleed = items[put.item].bleed
    if gutter is None or gutter >= bleed * 2:
        return Edges.all(bleed)
    half = gutter.half
    trims = [one.trim for one in puts if one is not put]
    others = [trim.grown(Edges.all(half)) for trim in trims]

    def reach(strip: Box) -> Length:
        return half if any(strip.overlaps(other) for other in others) else bleed

    trim, near = put.trim, put.trim.grown(Edges.all(half))
    x0, y0, x1, y1 = trim.x0 - bleed, trim.y0 - bleed, trim.x1 + bleed, trim.y1 + bleed
    found = Edges(
        left=reach(Box(x0, near.y0, trim.x0, near.y1)),
        right=reach(Box(trim.x1, near.y0, x1, near.y1)),
        bottom=reach(Box(near.x0, y0, near.x1, trim.y0)),
        top=reach(Box(near.x0, trim.y1, near.x1, y1)),
    )
    inked = trim.grown(found)  # a corner may come upon an item that no side comes upon
    return Edges.all(half) if any(inked.overlaps(other) for other in trims) else found


def _turned_over(edges: Edges, turned: Turnover) -> Edges:
    if turned is Turnover.ABOUT_VERTICAL:
        return edges.mirrored
    return Edges(left=edges.left, right=edges.right, bottom=edges.top, top=edges.bottom)


@dataclass(frozen=True, slots=True)
class _Face:
    """Places faces of one item; `number` is the item's, from 1."""

    asked: Asked
    item: Item
    number: int

    def place(
        self, position: int, page: int | None, trim: Box, turn: int, space: Edges
    ) -> Placement:
        spine_at, upside_down = _LYING[turn]
        room = sides_of(space, spine_at, upside_down)
        return Placement(
            page,
            position,
            trim,
            trim,
            turn,
            spine_at,
            upside_down,
            NO_SIDES if page is None else self._bleed(page, room),
            ZERO,
            self.number,
        )

    def _bleed(self, page: int, room: PageSides) -> PageSides:
        """What is supplied, and where bleed is made all there is room for."""
        supplied = sides_of(self.asked.fits[page - 1].supplied, Edge.LEFT, False)
        full = PageSides.all(self.item.bleed).least(room)
        known = supplied.least(full)
        made = self.asked.to_make.get(page, {})
        return PageSides(
            head=full.head if "head" in made else known.head,
            foot=full.foot if "foot" in made else known.foot,
            spine=full.spine if "spine" in made else known.spine,
            fore_edge=full.fore_edge if "fore-edge" in made else known.fore_edge,
        )
