"""The holes of a book in its plan: where each lies, how it is made, and the needle's way.

Given in the book's own frame: along the spine from the trimmed head, and away
from the spine edge of the trim (zero: on the fold).  The guide, the ticket, the
steps at the bench and the checks all read these values.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from typing import Any

from impose.model.holes import HoleShape, Makes
from impose.units import Length, points_text

Data = dict[str, Any]


class Face(Enum):
    """Where the needle is: on the two faces of a block, or inside and outside a fold."""

    FRONT = "front"
    BACK = "back"
    INSIDE = "inside"
    OUTSIDE = "outside"

    @property
    def other(self) -> Face:
        return _OTHER[self]


_OTHER = {
    Face.FRONT: Face.BACK,
    Face.BACK: Face.FRONT,
    Face.INSIDE: Face.OUTSIDE,
    Face.OUTSIDE: Face.INSIDE,
}


class Move(Enum):
    """How the needle came to where it is."""

    START = "start"
    THROUGH = "through the hole"
    ALONG = "along the face"
    SPINE = "round the spine"
    HEAD = "round the head"
    FOOT = "round the foot"


@dataclass(frozen=True, slots=True)
class Pass:
    """One move of the needle: after it, it is at `hole` (1 is nearest the head) on `face`."""

    move: Move
    hole: int
    face: Face


@dataclass(frozen=True, slots=True)
class Hole:
    """The middle of one hole; `kettle`: the station of a kettle stitch."""

    number: int
    from_head: Length
    kettle: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Thread:
    """What thread to cut: `length` with both tails; `basis` says how it was reckoned."""

    length: Length
    tail: Length
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePlan:
    """All that is known of the holes.

    `from_spine` is to the middle of each, `along` and `across` the size of one.
    `height` is the trimmed height along the spine, `head` and `foot` the paper
    beyond it before the last cuts.  `pieces` are pierced one after the other,
    each `thick`.  `way` is the needle's, empty for staples, wire, coil and comb;
    of sewn sections it is that of the first.  `spine_at_right`: seen from the front,
    as in a right-bound book.  `tape`: holes beside each other
    in pairs, that far apart.  `held_by`: wire, coil, comb or rings, empty where it is not
    known or there is a thread.
    """

    pattern: str
    makes: Makes
    shape: HoleShape
    holes: tuple[Hole, ...]
    from_spine: Length
    along: Length
    across: Length
    height: Length
    head: Length
    foot: Length
    pieces: int
    thick: Length
    spine_at_right: bool = False
    pitch: Length | None = None
    tape: Length | None = None
    thread: Thread | None = None
    way: tuple[Pass, ...] = ()
    source: str = ""
    held_by: str = ""

    @property
    def reach(self) -> Length:
        """From the spine edge to the far edge of the holes."""
        return self.from_spine + self.across.half

    @property
    def untrimmed(self) -> Length:
        """The paper from edge to edge before the last cuts."""
        return self.head + self.height + self.foot

    @property
    def gaps(self) -> tuple[Length, ...]:
        """From the trimmed head to the first hole, from hole to hole, to the trimmed foot."""
        marks = [Length(), *(hole.from_head for hole in self.holes), self.height]
        return tuple(after - before for before, after in itertools.pairwise(marks))

    def from_foot(self, hole: Hole) -> Length:
        """From the trimmed foot."""
        return self.height - hole.from_head

    def untrimmed_from_head(self, hole: Hole) -> Length:
        """From the head edge of the paper before it is cut."""
        return self.head + hole.from_head

    def legs(self, hole: Hole) -> tuple[Length, ...]:
        """Where the paper is pierced: once, or at both legs of a staple; from the trimmed head."""
        if self.shape is not HoleShape.STAPLE:
            return (hole.from_head,)
        return (hole.from_head - self.along.half, hole.from_head + self.along.half)


# -- as JSON data ------------------------------------------------------------------------


def holes_data(plan: HolePlan) -> Data:
    """For `plan.json`; lengths in points."""
    thread = plan.thread
    return {
        "pattern": plan.pattern,
        "makes": plan.makes.value,
        "shape": plan.shape.value,
        "holes": [
            {
                "number": hole.number,
                "from_head": _pt(hole.from_head),
                "from_untrimmed_head": _pt(plan.untrimmed_from_head(hole)),
                "kettle": hole.kettle,
            }
            for hole in plan.holes
        ],
        **{key: _pt(getattr(plan, key)) for key in _LENGTHS},
        "pieces": plan.pieces,
        "spine_at_right": plan.spine_at_right,
        "pitch": None if plan.pitch is None else _pt(plan.pitch),
        "tape": None if plan.tape is None else _pt(plan.tape),
        "thread": None
        if thread is None
        else {"length": _pt(thread.length), "tail": _pt(thread.tail), "basis": thread.basis},
        "way": [[one.move.value, one.hole, one.face.value] for one in plan.way],
        "source": plan.source,
        **({"held_by": plan.held_by} if plan.held_by else {}),
    }


_LENGTHS = ("from_spine", "along", "across", "height", "head", "foot", "thick")


def holes_of(data: Data | None) -> HolePlan | None:
    """The inverse of `holes_data`; fractions must have been read as decimals."""
    if data is None:
        return None
    thread = data["thread"]
    return HolePlan(
        pattern=data["pattern"],
        makes=Makes(data["makes"]),
        shape=HoleShape(data["shape"]),
        holes=tuple(_holes_of(data["holes"])),
        **{key: Length.points(data[key]) for key in _LENGTHS},
        pieces=data["pieces"],
        spine_at_right=data["spine_at_right"],
        pitch=None if data["pitch"] is None else Length.points(data["pitch"]),
        tape=None if data["tape"] is None else Length.points(data["tape"]),
        thread=None
        if thread is None
        else Thread(
            length=Length.points(thread["length"]),
            tail=Length.points(thread["tail"]),
            basis=thread["basis"],
        ),
        way=tuple(Pass(Move(move), hole, Face(face)) for move, hole, face in data["way"]),
        source=data["source"],
        held_by=data.get("held_by", ""),
    )


def _holes_of(data: list[Data]) -> Iterator[Hole]:
    for hole in data:
        yield Hole(hole["number"], Length.points(hole["from_head"]), hole["kettle"])


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)
