"""The needle's way through the holes, and the thread it needs.

Stab sewing begins at the second hole from the head, goes down to the foot,
back, and up to the head: every hole is wrapped round the spine once, the end
holes round head and foot, and each stretch between two holes carries thread on
both faces.  Stitches through a fold, and through the side, begin at the middle
hole, go up to the head, past the middle to the other half, and come back to it:
both ends lie inside on either side of the long stitch, over which they are
knotted.  Sections are sewn all along, in at one kettle station and out at the
other (all three: common practice).
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import Final

from impose.model.holes import HoleShape, Makes
from impose.plan.holes import Face, HolePlan, Move, Pass, Thread
from impose.units import ZERO, Length, total

#: To hold at the start, and to knot at the end, by the unit for people (from memory).
TAIL: Final = {"mm": Length.mm(150), "in": Length.inches(6)}
#: For each change to the next section: the kettle stitch (from memory).
_KETTLE: Final = {"mm": Length.mm(15), "in": Length.inches("5/8")}


def needle_way(makes: Makes, shape: HoleShape, count: int, tapes: bool = False) -> tuple[Pass, ...]:
    """Every move of the needle, or nothing where there is no needle.

    Raises ValueError for a number of holes that the stitch cannot have.
    """
    if shape is HoleShape.STAPLE or makes is Makes.PUNCHED:
        return ()
    if makes is Makes.STAB:
        return tuple(_stab(count))
    if makes is Makes.SEWN:
        return _taped_section(count) if tapes else _linked_section(count)
    start = Face.INSIDE if makes is Makes.FOLD else Face.BACK
    return tuple(_out_and_back(count, start))


class _Needle:
    """Where the needle is; each move gives the pass that it makes."""

    def __init__(self, hole: int, face: Face) -> None:
        self.hole, self.face = hole, face

    def at(self, move: Move) -> Pass:
        return Pass(move, self.hole, self.face)

    def through(self, move: Move = Move.THROUGH) -> Pass:
        """Through the hole, or round an edge beside it: to the other face."""
        self.face = self.face.other
        return self.at(move)

    def along(self, hole: int) -> Pass:
        self.hole = hole
        return self.at(Move.ALONG)

    def wrap(self, edge: Move) -> Iterator[Pass]:
        """Round an edge and through the same hole again."""
        yield self.through(edge)
        yield self.through()


def _stab(count: int) -> Iterator[Pass]:
    if count < 3:
        raise ValueError("stab sewing has at least three holes")
    first = 2
    needle = _Needle(first, Face.BACK)
    yield needle.at(Move.START)
    yield needle.through()
    yield from needle.wrap(Move.SPINE)
    for hole in range(first + 1, count + 1):
        yield needle.along(hole)
        yield needle.through()
        yield from needle.wrap(Move.SPINE)
    yield from needle.wrap(Move.FOOT)
    for hole in range(count - 1, first - 1, -1):
        yield needle.along(hole)
        yield needle.through()
    yield needle.along(1)
    yield needle.through()
    yield from needle.wrap(Move.SPINE)
    yield from needle.wrap(Move.HEAD)
    yield needle.along(first)


def _out_and_back(count: int, start: Face) -> Iterator[Pass]:
    """From the middle, which the long stitch on the starting face passes by."""
    if count < 3 or count % 2 == 0:
        raise ValueError("an odd number of holes, three or more")
    middle = count // 2 + 1
    needle = _Needle(middle, start)
    yield needle.at(Move.START)
    yield needle.through()
    to_head = [*range(middle - 1, 0, -1), *range(2, middle)]
    to_foot = [*range(middle + 1, count + 1), *range(count - 1, middle - 1, -1)]
    for hole in (*to_head, *to_foot):
        yield needle.along(hole)
        yield needle.through()


def _linked_section(count: int) -> tuple[Pass, ...]:
    """A section without tapes: at each station between the needle goes out, round what links the
    sections there, and in again by the same hole."""
    needle = _Needle(1, Face.OUTSIDE)
    made = [needle.at(Move.START), needle.through()]
    for hole in range(2, count):
        made += [needle.along(hole), needle.through(), needle.through()]
    return (*made, needle.along(count), needle.through())


def _taped_section(count: int) -> tuple[Pass, ...]:
    """A section over tapes: out at one side of each tape, over it, in at the other."""
    if count % 2:
        raise ValueError("each tape has two holes")
    needle = _Needle(1, Face.OUTSIDE)
    made = [needle.at(Move.START), needle.through()]
    for hole in range(2, count + 1):
        made += [needle.along(hole), needle.through()]
    return tuple(made)


def way_length(plan: HolePlan, way: Sequence[Pass]) -> Length:
    """The thread that lies along the way, tails not counted."""
    places = {hole.number: hole.from_head for hole in plan.holes}
    lengths = []
    for before, after in itertools.pairwise(way):
        edge = {
            Move.THROUGH: ZERO,
            Move.SPINE: plan.from_spine,
            Move.HEAD: places[after.hole],
            Move.FOOT: plan.height - places[after.hole],
        }
        if after.move is Move.ALONG:
            lengths.append(abs(places[after.hole] - places[before.hole]))
        else:
            lengths.append(edge[after.move] * 2 + plan.thick)
    return total(lengths)


def thread_of(plan: HolePlan, unit: str) -> Thread | None:
    """What to cut; None where there is no thread."""
    if not plan.way:
        return None
    once = way_length(plan, plan.way)
    tail = TAIL[unit]
    tails = f"2 x {tail.text(unit)} to hold and to knot (from memory)"
    if plan.makes is not Makes.SEWN:
        return Thread(
            length=once + tail * 2,
            tail=tail,
            basis=f"{once.text(unit)} along the needle's way and {tails}",
        )
    change = plan.thick + _KETTLE[unit]
    return Thread(
        length=(once + change) * plan.pieces + tail * 2,
        tail=tail,
        basis=f"{plan.pieces} sections x {once.text(unit)} along the needle's way and "
        f"{change.text(unit)} for the kettle stitch (from memory), and {tails}",
    )
