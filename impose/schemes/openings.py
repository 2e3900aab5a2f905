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
from impose.schemes.boundfaces import Face, View
from impose.units import ZERO, Length

#: The name of the cover's spine, which is shown by itself.
SPINE: Final = "spine"
#: The bound edge of pages that lie at the right of the spine, or above it.
_AFTER: Final = (Edge.LEFT, Edge.BOTTOM)


@dataclass(frozen=True, slots=True)
class Shown:
    """A face and the page it is on: `page` is the whole page, in the frame of the opening.

    `open` is the part of it that no other paper covers; None: all of it.
    """

    face: Face
    page: Box
    open: Box | None = None

    @property
    def seen(self) -> Box:
        """The part of the page that a reader sees."""
        return self.open or self.page


@dataclass(frozen=True, slots=True)
class Opening:
    """What is seen at once, with room round it; origin at the lower left."""

    size: Size
    shown: tuple[Shown, ...]

    @property
    def outline(self) -> Box:
        """The smallest box round the pages shown, as far as they are seen."""
        first, *others = (shown.seen for shown in self.shown)
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

    def lay(self, views: Sequence[View]) -> tuple[Opening, ...]:
        """Faces of a folded piece as its reader meets them, each at its own size."""
        return tuple(self._laid(view.faces, view.open) for view in views)

    def lay_alone(self, faces: Sequence[Face]) -> tuple[Opening, ...]:
        """One face at a time, each at its own size."""
        return tuple(self._laid([(face, Box.at(ZERO, ZERO, face.place.size))]) for face in faces)

    def _laid(self, faces: Sequence[tuple[Face, Box]], parts: Sequence[Box] = ()) -> Opening:
        room = self.room
        shown = tuple(
            Shown(face, box.moved(room, room), part.moved(room, room) if part != box else None)
            for (face, box), part in zip(faces, parts or [box for _, box in faces], strict=True)
        )
        around = Opening(Size(ZERO, ZERO), shown).outline
        return Opening(Size(around.x1 + self.room, around.y1 + self.room), shown)

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
        """A page wider than the trim, laid open, makes its side of the opening wider."""
        room, beside = self.room, self.bound_at is not BoundAt.HEAD
        sizes = [face.page or self.trim for face in faces]
        if not self.spreads:
            (size,) = sizes
            alone = Shown(faces[0], Box.at(room, room, size))
            return Opening(Size(size.width + room * 2, size.height + room * 2), (alone,))
        usual = self.trim.width if beside else self.trim.height
        before = after = usual
        for face, size in zip(faces, sizes, strict=True):
            length = size.width if beside else size.height
            if face.spine_at in _AFTER:
                after = max(after, length)
            else:
                before = max(before, length)
        shown = tuple(
            Shown(face, self._page(face, size, room + before))
            for face, size in zip(faces, sizes, strict=True)
        )
        whole = before + after + room * 2
        if beside:
            return Opening(Size(whole, self.trim.height + room * 2), shown)
        return Opening(Size(self.trim.width + room * 2, whole), shown)

    def _page(self, face: Face, size: Size, spine: Length) -> Box:
        """Where a page lies beside the spine, which is `spine` from the left or from below."""
        beside = self.bound_at is not BoundAt.HEAD
        at = spine
        if face.spine_at not in _AFTER:
            at = spine - (size.width if beside else size.height)
        return Box.at(at if beside else self.room, self.room if beside else at, size)

    def _alone(self, face: Face) -> Opening:
        """The cover's spine, at its own size."""
        page = Box.at(self.room, self.room, face.place.size)
        return Opening(
            Size(page.width + self.room * 2, page.height + self.room * 2), (Shown(face, page),)
        )
