"""The book opened before its reader: which faces lie side by side, and where.

A face that is bound at its right lies at the left of the spine, and so on; a
head-bound book shows the page before above the page after.  The first and the
last face lie alone, on their own side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt, Edge
from impose.schemes.boundbook import Face
from impose.units import ZERO, Length

#: The name of the cover's spine, which is shown by itself.
SPINE: Final = "spine"


@dataclass(frozen=True, slots=True)
class Shown:
    """A face and the page it is on: `page` has trim size, in the frame of the opening."""

    face: Face
    page: Box


@dataclass(frozen=True, slots=True)
class Opening:
    """What is seen at once, with room round it; origin at the lower left."""

    size: Size
    shown: tuple[Shown, ...]

    @property
    def outline(self) -> Box:
        """The smallest box round the pages shown."""
        first, *others = (shown.page for shown in self.shown)
        for page in others:
            first = first.join(page)
        return first


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """How the book is laid open: page size, room round it, one page or two at a time."""

    trim: Size
    bound_at: BoundAt
    room: Length
    spreads: bool

    def open(self, faces: Sequence[Face]) -> tuple[Opening, ...]:
        """The faces in reading order, as openings."""
        found: list[Opening] = []
        waiting: Face | None = None
        for face in faces:
            if waiting and (face.name == SPINE or face.spine_at is waiting.spine_at):
                found.append(self._opening((waiting,)))
                waiting = None
            if face.name == SPINE:
                found.append(self._alone(face))
            elif waiting:
                found.append(self._opening((waiting, face)))
                waiting = None
            elif self.spreads and face.spine_at is self._verso:
                waiting = face
            else:
                found.append(self._opening((face,)))
        if waiting:
            found.append(self._opening((waiting,)))
        return tuple(found)

    @property
    def _verso(self) -> Edge:
        """The bound edge of a face that is followed by its neighbour in the same opening."""
        verso = {BoundAt.LEFT: Edge.RIGHT, BoundAt.RIGHT: Edge.LEFT, BoundAt.HEAD: Edge.BOTTOM}
        return verso[self.bound_at]

    def _opening(self, faces: Sequence[Face]) -> Opening:
        width, height, room = self.trim.width, self.trim.height, self.room
        beside = self.bound_at is not BoundAt.HEAD
        across, up = (2, 1) if beside else (1, 2)
        if not self.spreads:
            across = up = 1
        shown = []
        for face in faces:
            right = self.spreads and face.spine_at is Edge.LEFT
            upper = self.spreads and face.spine_at is Edge.BOTTOM
            corner = room + (width if right else ZERO), room + (height if upper else ZERO)
            shown.append(Shown(face, Box.at(*corner, self.trim)))
        return Opening(Size(width * across + room * 2, height * up + room * 2), tuple(shown))

    def _alone(self, face: Face) -> Opening:
        """The cover's spine, at its own size."""
        page = Box.at(self.room, self.room, face.place.size)
        return Opening(
            Size(page.width + self.room * 2, page.height + self.room * 2), (Shown(face, page),)
        )
