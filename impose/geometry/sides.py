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
        """As edges of a page that lies with its spine at that edge.

        `upside_down`: the book frame's head lies at the bottom; with the spine at
        the top or bottom, at the right.
        """
        if spine_at in (Edge.BOTTOM, Edge.TOP):
            return _quarter_turned(self, spine_at, upside_down)
        top, bottom = (self.foot, self.head) if upside_down else (self.head, self.foot)
        if spine_at is Edge.LEFT:
            return Edges(left=self.spine, right=self.fore_edge, bottom=bottom, top=top)
        return Edges(left=self.fore_edge, right=self.spine, bottom=bottom, top=top)


NO_SIDES: Final = PageSides()


def sides_of(edges: Edges, spine_at: Edge, upside_down: bool) -> PageSides:
    """The inverse of `PageSides.edges`."""
    if spine_at in (Edge.BOTTOM, Edge.TOP):
        head, foot = (edges.right, edges.left) if upside_down else (edges.left, edges.right)
        spine, fore = (
            (edges.bottom, edges.top) if spine_at is Edge.BOTTOM else (edges.top, edges.bottom)
        )
        return PageSides(head=head, foot=foot, spine=spine, fore_edge=fore)
    head, foot = (edges.bottom, edges.top) if upside_down else (edges.top, edges.bottom)
    spine, fore = (edges.left, edges.right) if spine_at is Edge.LEFT else (edges.right, edges.left)
    return PageSides(head=head, foot=foot, spine=spine, fore_edge=fore)


def _quarter_turned(sides: PageSides, spine_at: Edge, upside_down: bool) -> Edges:
    left, right = (sides.foot, sides.head) if upside_down else (sides.head, sides.foot)
    if spine_at is Edge.BOTTOM:
        return Edges(left=left, right=right, bottom=sides.spine, top=sides.fore_edge)
    return Edges(left=left, right=right, bottom=sides.fore_edge, top=sides.spine)


def head_edge(spine_at: Edge, upside_down: bool) -> Edge:
    """Where the head lies on a page with its spine at that edge (see `PageSides.edges`)."""
    if spine_at in (Edge.BOTTOM, Edge.TOP):
        return Edge.RIGHT if upside_down else Edge.LEFT
    return Edge.BOTTOM if upside_down else Edge.TOP


def spine_edge(recto: bool, bound_at: BoundAt) -> Edge:
    """Which edge of a page is its spine side in the book frame (left or right)."""
    return Edge.LEFT if recto != bound_at.mirrored else Edge.RIGHT
