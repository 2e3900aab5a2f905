"""Rectangles and sizes in exact lengths.

Axes: origin at the lower left, x to the right, y up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class Size:
    """Width across, height up."""

    width: Length
    height: Length

    @property
    def turned(self) -> Size:
        """A quarter turn: width and height exchanged."""
        return Size(self.height, self.width)

    @property
    def landscape(self) -> bool:
        """Wider than high; a square is not."""
        return self.width > self.height

    def near(self, other: Size, tolerance: Length) -> bool:
        """Both measures differ by no more than `tolerance`."""
        return self.width.near(other.width, tolerance) and self.height.near(other.height, tolerance)

    def text(self, unit: str) -> str:
        """`148 x 210 mm`, the unit once."""
        return f"{self.width.text(unit).removesuffix(unit).strip()} x {self.height.text(unit)}"


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle; x0 <= x1 and y0 <= y1, from the lower left corner."""

    x0: Length
    y0: Length
    x1: Length
    y1: Length

    @classmethod
    def at(cls, x: Length, y: Length, size: Size) -> Box:
        """With its lower left corner at x, y."""
        return cls(x, y, x + size.width, y + size.height)

    @property
    def width(self) -> Length:
        return self.x1 - self.x0

    @property
    def height(self) -> Length:
        return self.y1 - self.y0

    @property
    def size(self) -> Size:
        return Size(self.width, self.height)

    @property
    def empty(self) -> bool:
        """No area."""
        return self.x1 <= self.x0 or self.y1 <= self.y0

    def moved(self, dx: Length, dy: Length) -> Box:
        """Shifted right by dx and up by dy."""
        return Box(self.x0 + dx, self.y0 + dy, self.x1 + dx, self.y1 + dy)

    def grown(self, edges: Edges) -> Box:
        """Each edge moved outward by its length."""
        return Box(
            self.x0 - edges.left,
            self.y0 - edges.bottom,
            self.x1 + edges.right,
            self.y1 + edges.top,
        )

    def meet(self, other: Box) -> Box:
        """The common part; may be `empty`."""
        return Box(
            max(self.x0, other.x0),
            max(self.y0, other.y0),
            min(self.x1, other.x1),
            min(self.y1, other.y1),
        )

    def join(self, other: Box) -> Box:
        """The smallest box round both."""
        return Box(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def overlaps(self, other: Box) -> bool:
        """Share area; touching edges do not count."""
        return (
            self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1
        )

    def contains(self, other: Box) -> bool:
        """`other` lies within, edges included."""
        return (
            self.x0 <= other.x0
            and self.y0 <= other.y0
            and self.x1 >= other.x1
            and self.y1 >= other.y1
        )

    def text(self, unit: str) -> str:
        """`x 10 to 20 mm, y ...` for messages."""
        return (
            f"x {self.x0.text(unit)} to {self.x1.text(unit)}, "
            f"y {self.y0.text(unit)} to {self.y1.text(unit)}"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Edges:
    """A length at each edge of a box as it lies (margins, room, growth)."""

    left: Length = ZERO
    right: Length = ZERO
    bottom: Length = ZERO
    top: Length = ZERO

    @classmethod
    def all(cls, length: Length) -> Edges:
        """The same at the four edges."""
        return cls(left=length, right=length, bottom=length, top=length)

    @property
    def mirrored(self) -> Edges:
        """Left and right exchanged."""
        return Edges(left=self.right, right=self.left, bottom=self.bottom, top=self.top)

    def least(self, other: Edges) -> Edges:
        """The smaller at each edge."""
        return Edges(
            left=min(self.left, other.left),
            right=min(self.right, other.right),
            bottom=min(self.bottom, other.bottom),
            top=min(self.top, other.top),
        )


NO_EDGES: Final = Edges()


def box_inside(box: Box, margins: Edges) -> Box:
    """`box` with each edge moved inward by its margin."""
    return Box(
        box.x0 + margins.left,
        box.y0 + margins.bottom,
        box.x1 - margins.right,
        box.y1 - margins.top,
    )
