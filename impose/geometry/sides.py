"""The four sides of a page and how they lie on the sheet.

Book frame: the book seen from its front with the spine at the left (or at the
right when it is right-bound).  A head-bound book is a left-bound book whose
pages are all turned a quarter counter-clockwise: seen upright, the spine side
of its recto is the head and the spine side of its verso is the foot as printed
(common practice of wall calendars and pads).  So schemes know only spine-left
and spine-right, and the turn of the art does the rest.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from impose.geometry.box import Edges, Size
from impose.units import ZERO, Length


class BoundAt(Enum):
    """Which side of the first page is bound, as it is read."""

    LEFT = "left"
    RIGHT = "right"
    HEAD = "head"

    @property
    def mirrored(self) -> bool:
        """Laid out as the mirror of a left-bound book."""
        return self is BoundAt.RIGHT

    @property
    def art_turn(self) -> int:
        """Counter-clockwise turn of the art in the book frame, in degrees."""
        return 90 if self is BoundAt.HEAD else 0

    def leaf_size(self, trim: Size) -> Size:
        """The leaf's size in the book frame: across from spine to fore-edge, along the spine."""
        return trim.turned if self is BoundAt.HEAD else trim


class Edge(Enum):
    """An edge of a box as it lies."""

    LEFT = "left"
    RIGHT = "right"
    BOTTOM = "bottom"
    TOP = "top"

    @property
    def opposite(self) -> Edge:
        return _OPPOSITE[self]

    def turned(self, degrees: int) -> Edge:
        """Where this edge lies after a counter-clockwise turn by a multiple of 90."""
        return _ROUND[(_ROUND.index(self) + degrees // 90) % 4]


#: Counter-clockwise, starting at the right.
_ROUND: Final = (Edge.RIGHT, Edge.TOP, Edge.LEFT, Edge.BOTTOM)
_OPPOSITE: Final = {edge: _ROUND[(i + 2) % 4] for i, edge in enumerate(_ROUND)}


@dataclass(frozen=True, slots=True, kw_only=True)
class PageSides:
    """A length at each side of a page in the book frame (bleed, allowance, safe distance).

    In a head-bound book `spine` is the bound head of the recto, `fore_edge` is
    opposite, and `head` and `foot` are the two other sides of the book frame:
    the right and the left side of the page as it is read.
    """

    head: Length = ZERO
    foot: Length = ZERO
    spine: Length = ZERO
    fore_edge: Length = ZERO

    @classmethod
    def all(cls, length: Length) -> PageSides:
        return cls(head=length, foot=length, spine=length, fore_edge=length)

    def least(self, other: PageSides) -> PageSides:
        """The smaller at each side."""
        return PageSides(
            head=min(self.head, other.head),
            foot=min(self.foot, other.foot),
            spine=min(self.spine, other.spine),
            fore_edge=min(self.fore_edge, other.fore_edge),
        )

    def edges(self, spine_at: Edge, upside_down: bool) -> Edges:
        """As edges of a page that lies with its spine at this edge.

        `upside_down`: the book frame's head lies at the bottom.  A spine at the bottom or
        the top is that of a page with its spine at the left or right, turned a quarter
        counter-clockwise; `upside_down` is how it lay before.
        """
        if spine_at in (Edge.BOTTOM, Edge.TOP):
            flat = self.edges(spine_at.turned(270), upside_down)
            return Edges(left=flat.top, bottom=flat.left, right=flat.bottom, top=flat.right)
        top, bottom = (self.foot, self.head) if upside_down else (self.head, self.foot)
        if spine_at is Edge.LEFT:
            return Edges(left=self.spine, right=self.fore_edge, bottom=bottom, top=top)
        return Edges(left=self.fore_edge, right=self.spine, bottom=bottom, top=top)


NO_SIDES: Final = PageSides()


def sides_of(edges: Edges, spine_at: Edge, upside_down: bool) -> PageSides:
    """The inverse of `PageSides.edges`."""
    if spine_at in (Edge.BOTTOM, Edge.TOP):
        flat = Edges(left=edges.bottom, bottom=edges.right, right=edges.top, top=edges.left)
        return sides_of(flat, spine_at.turned(270), upside_down)
    head, foot = (edges.bottom, edges.top) if upside_down else (edges.top, edges.bottom)
    spine, fore = (edges.left, edges.right) if spine_at is Edge.LEFT else (edges.right, edges.left)
    return PageSides(head=head, foot=foot, spine=spine, fore_edge=fore)


def spine_edge(recto: bool, bound_at: BoundAt) -> Edge:
    """Which edge of a page is its spine side in the book frame (left or right)."""
    return Edge.LEFT if recto != bound_at.mirrored else Edge.RIGHT


def side_edges(spine_at: Edge, upside_down: bool) -> dict[str, Edge]:
    """Where the four sides of a page lie, as `PageSides.edges` has them."""
    if spine_at in (Edge.BOTTOM, Edge.TOP):
        flat = side_edges(spine_at.turned(270), upside_down)
        return {side: edge.turned(90) for side, edge in flat.items()}
    head = Edge.BOTTOM if upside_down else Edge.TOP
    return {
        "head": head,
        "foot": head.opposite,
        "spine": spine_at,
        "fore-edge": spine_at.opposite,
    }
