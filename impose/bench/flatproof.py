"""One copy of each item of flat work, cut out of the sheets by the cut list.

Placements are never looked at, so that a wrong one shows: the steps say which
part of the sheet becomes which pile, the gathering which item a pile is.  An
item whose pile lies the other way round than it is read was turned to the left;
its back lies behind it as the sheet is turned over.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.bench.flatprogram import first_pile, piles_of, things_of
from impose.bench.flatsteps import piles_words
from impose.bench.replay import replay_sheets
from impose.bench.sheetgrid import guts_sheets
from impose.errors import PlanMismatchError
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.flatfacts import FlatItem
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.schemes.boundbook import Face
from impose.schemes.flatsides import back_turn
from impose.schemes.openings import Opening, Shown
from impose.units import ZERO, Length

#: Of a character of a label, at most (see pdf.proofpages).
_ADVANCE: Final = Length.points(4)


def cut_pieces(plan: Plan) -> dict[int, tuple[Sheet, Box]]:
    """Every pile by its number: its sheet, and the part of it seen from the front.

    Raises PlanMismatchError when the cut list leaves no such pile.
    """
    found: dict[int, tuple[Sheet, Box]] = {}
    for sheet in guts_sheets(plan):
        things = things_of(plan, sheet)
        left, _ = replay_sheets(plan.cut_steps, sheet.size, things)
        count = sum(sheet.number in gather.sheets for gather in plan.gathering)
        first = first_pile(plan, sheet)
        for number in range(first, first + count):
            name = piles_words([number], count, things)
            if name not in left:
                raise PlanMismatchError(f"the cut list leaves no {name}")
            found[number] = (sheet, left[name])
    return found


def cut_items(plan: Plan) -> tuple[Face, ...]:
    """Front and back of one copy of each item, in the order of the job.

    Raises PlanMismatchError when what is cut out has not the size of its item.
    """
    pieces = cut_pieces(plan)
    faces: list[Face] = []
    for number, item in enumerate(plan.items, start=1):
        piles = piles_of(plan, number)
        for pile in piles:
            _check_size(plan, item, pieces[pile][1])
        faces.extend(_faces(item, *pieces[piles[0]]))
    return tuple(faces)


def _check_size(plan: Plan, item: FlatItem, box: Box) -> None:
    if box.size not in (item.trim, item.trim.turned):
        raise PlanMismatchError(
            f"the cut list leaves {box.size.text(plan.unit)} for {item.title} instead of "
            f"{item.trim.text(plan.unit)}"
        )


def _faces(item: FlatItem, sheet: Sheet, box: Box) -> Iterator[Face]:
    turn = 0 if box.size == item.trim else 90
    cut = _made(box, sheet, turn)
    for name, _ in zip(("front", "back"), item.faces, strict=False):
        behind = name == "back"
        lies = back_turn(turn, sheet.turned, item.head_to_foot) if behind else turn
        yield Face(
            sheet=sheet.number,
            side=name,
            region=sheet.turned.over(box, sheet.size) if behind else box,
            turn=(360 - lies) % 360,
            place=Box(ZERO, ZERO, item.trim.width, item.trim.height),
            spine_at=Edge.LEFT,
            cut=frozenset(_behind(item, cut)) if behind else cut,
            name=f"{item.title}, {name}: {_count(item)}",
        )


def _made(box: Box, sheet: Sheet, turn: int) -> frozenset[Edge]:
    """The edges of the front as it is read that are not the sheet's own."""
    own = {
        Edge.LEFT: box.x0 == ZERO,
        Edge.RIGHT: box.x1 == sheet.size.width,
        Edge.BOTTOM: box.y0 == ZERO,
        Edge.TOP: box.y1 == sheet.size.height,
    }
    return frozenset(edge.turned(-turn) for edge, uncut in own.items() if not uncut)


def _behind(item: FlatItem, cut: frozenset[Edge]) -> Iterator[Edge]:
    """Seen from the back: turned about the upright middle, or about the level one."""
    for edge in cut:
        upright = edge in (Edge.LEFT, Edge.RIGHT)
        yield edge.opposite if upright != item.head_to_foot else edge


def _count(item: FlatItem) -> str:
    over = f", {item.over} over" if item.over else ""
    return f"{item.made} made, {item.amount} wanted{over}"


def flat_openings(faces: tuple[Face, ...], room: Length) -> tuple[Opening, ...]:
    """Each face on a page of its own, wide enough for its words."""
    found = []
    for face in faces:
        page = face.place.moved(room, room)
        wide = max(page.width, _ADVANCE * len(face.name)) + room * 2
        found.append(Opening(Size(wide, page.height + room * 2), (Shown(face, page),)))
    return tuple(found)
