"""Exact placing matrices: scale, quarter turns, and a move.

The matrix follows PDF (ISO 32000-1 8.3.3): x' = a x + c y + e, y' = b x + d y + f.
a, b, c, d are exact fractions without unit; e and f are lengths.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.units import ZERO, Length

ONE: Final = Fraction(1)
_COS_SIN: Final = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}


@dataclass(frozen=True, slots=True)
class Placing:
    """Scale by `scale`, turn counter-clockwise by `turn` degrees, then move by dx, dy."""

    turn: int = 0
    dx: Length = ZERO
    dy: Length = ZERO
    scale: Fraction = ONE

    def point(self, x: Length, y: Length) -> tuple[Length, Length]:
        """The image of a point."""
        cos, sin = _COS_SIN[self.turn]
        if self.scale != 1:
            x, y = x * self.scale, y * self.scale
        return x * cos - y * sin + self.dx, x * sin + y * cos + self.dy

    def box(self, box: Box) -> Box:
        """The image of a box: a box again."""
        ax, ay = self.point(box.x0, box.y0)
        bx, by = self.point(box.x1, box.y1)
        return Box(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))

    def then(self, after: Placing) -> Placing:
        """This placing followed by `after`."""
        dx, dy = after.point(self.dx, self.dy)
        return Placing((self.turn + after.turn) % 360, dx, dy, self.scale * after.scale)

    @property
    def inverse(self) -> Placing:
        """Undoes this placing; exact when the scale is 1."""
        turn = (360 - self.turn) % 360
        back = Placing(turn, ZERO, ZERO, 1 / self.scale)
        x, y = back.point(self.dx, self.dy)
        return Placing(turn, -x, -y, 1 / self.scale)

    def matrix(self) -> tuple[Fraction, Fraction, Fraction, Fraction]:
        """a, b, c, d."""
        cos, sin = _COS_SIN[self.turn]
        s = self.scale
        return s * cos, s * sin, -s * sin, s * cos


def box_onto(source: Box, target: Box, turn: int, scale: Fraction = ONE) -> Placing:
    """The placing that lays `source`, scaled and turned, on the lower left of `target`."""
    laid = Placing(turn, ZERO, ZERO, scale).box(source)
    return Placing(turn, target.x0 - laid.x0, target.y0 - laid.y0, scale)
