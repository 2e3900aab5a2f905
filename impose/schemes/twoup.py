"""Two copies bound as one: the leaves are laid out twice as long and cut apart after binding.

Bound together the two share their spine.  Turned head to head (or foot to foot)
the second copy reads from the back of the first, "come and go": its first page
lies against the last page of the other (common practice).  Head to foot, both
read the same way.  At the cut between them both keep their own paper to trim.

A *block* is such a double leaf, in the frame of the book whose copy 1 is upright.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from impose.geometry.box import Size
from impose.geometry.sides import PageSides
from impose.model.presswork import TwoUp
from impose.plan.parts import COPIES, Cut, Line, LineKind, Placement, When
from impose.schemes.cells import Cell, Placer
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """How two pages meet: what of each is paper to trim at the cut between them.

    `lower` and `upper` are seen in the block; `first_below`: copy 1 is the lower.
    """

    way: TwoUp
    page: Size
    lower: Length
    upper: Length

    @property
    def block(self) -> Size:
        """Both pages and the paper between."""
        return Size(self.page.width, self.page.height * 2 + self.lower + self.upper)

    @property
    def first_below(self) -> bool:
        """Copy 1 lies at the foot of the block: where heads meet, it is upright there."""
        return self.way is TwoUp.HEADS


def joint_of(way: TwoUp | None, page: Size, head: Length, foot: Length) -> Joint | None:
    """The joint of two pages with these allowances; None where one copy is bound alone."""
    if way is None:
        return None
    lower = foot if way is TwoUp.FEET else head
    upper = head if way is TwoUp.HEADS else foot
    return Joint(way=way, page=page, lower=lower, upper=upper)


def outer(joint: Joint | None, head: Length, foot: Length) -> tuple[Length, Length]:
    """The allowances at the head and the foot of the block."""
    if joint is None or joint.way is TwoUp.SAME_WAY:
        return head, foot
    return (foot, foot) if joint.way is TwoUp.HEADS else (head, head)


@dataclass(frozen=True, slots=True)
class Part:
    """The cell of one copy; `backwards`: its pages run from the last to the first."""

    cell: Cell
    backwards: bool = False

    def position(self, position: int, faces: int) -> int:
        """The face of this copy where copy 1 has `position`."""
        return faces + 1 - position if self.backwards else position


def parts_of(joint: Joint | None, cell: Cell) -> tuple[Part, ...]:
    """The cells of copy 1 and copy 2 in the cell of a block."""
    if joint is None:
        return (Part(cell),)
    low, high = cell.bottom, cell.top - joint.page.height
    # as it lies on the sheet a block may be upside down
    below, above = (high, low) if cell.upside_down else (low, high)
    room = cell.room
    lower = replace(room, head=joint.lower, foot=room.foot)
    upper = replace(room, head=room.head, foot=joint.upper)
    first, second = ((below, lower), (above, upper))
    if not joint.first_below:
        first, second = second, first
    return (
        Part(replace(cell, bottom=first[0], size=joint.page, room=first[1])),
        Part(_second(joint, cell, second), joint.way.come_and_go),
    )


def _second(joint: Joint, cell: Cell, place: tuple[Length, PageSides]) -> Cell:
    bottom, room = place
    second = replace(cell, bottom=bottom, size=joint.page, room=room)
    if not joint.way.come_and_go:
        return second
    turned = replace(room, head=room.foot, foot=room.head)
    return replace(second, upside_down=not cell.upside_down, room=turned)


def copies_lines(joint: Joint | None, cells: Iterable[Cell]) -> list[Line]:
    """The cut between the copies, one line a row of blocks, seen from the front."""
    if joint is None:
        return []
    rows: dict[Length, list[Cell]] = {}
    for cell in cells:
        up = joint.page.height + joint.lower
        at = cell.top - up if cell.upside_down else cell.bottom + up
        rows.setdefault(at, []).append(cell)
    return [
        Line(
            LineKind.CUT,
            COPIES,
            min(cell.trim.x0 for cell in row),
            at,
            max(cell.trim.x1 for cell in row),
            at,
        )
        for at, row in rows.items()
    ]


def copies_cut(joint: Joint | None) -> tuple[Cut, ...]:
    """The cut that parts the two, once they are bound."""
    if joint is None:
        return ()
    return (Cut(id=COPIES, when=When.AFTER_BINDING, title="cut the two copies apart"),)


def place_parts(
    placer: Placer,
    parts: Sequence[Part],
    faces: Sequence[int | None],
    position: int,
    shift: Length = ZERO,
) -> list[Placement]:
    """The face of each copy that lies where copy 1 has `position` (1-based)."""
    made = []
    for part in parts:
        here = part.position(position, len(faces))
        made.append(placer.place(part.cell, faces[here - 1], here, shift))
    return made
