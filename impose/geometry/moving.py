"""Small corrections of a whole side of a sheet: a shift with a slight turn and scale.

Unlike `Placing` this is no quarter turn: it is the correction for a printer
whose sides do not fall where the file puts them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from impose.units import ZERO, Length

Point = tuple[Length, Length]
#: Factors are kept to ten decimals, which is how they are written to a PDF.
_PLACES: Final = 10**10


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """x' = a x + c y + e, y' = b x + d y + f, in the side's own frame (see `plan.parts`).

    The factors have no unit and at most ten decimals (`rounded`).
    """

    a: Fraction = Fraction(1)
    b: Fraction = Fraction(0)
    c: Fraction = Fraction(0)
    d: Fraction = Fraction(1)
    e: Length = ZERO
    f: Length = ZERO

    def point(self, point: Point) -> Point:
        """Where a point goes; rounded once to a grain."""
        x, y = (Fraction(value.grains) for value in point)
        return (
            Length(round(self.a * x + self.c * y + self.e.grains)),
            Length(round(self.b * x + self.d * y + self.f.grains)),
        )

    def after(self, first: Move) -> Move:
        """`first`, then this one."""
        e, f = self.point((first.e, first.f))
        return Move(
            a=self.a * first.a + self.c * first.b,
            b=self.b * first.a + self.d * first.b,
            c=self.a * first.c + self.c * first.d,
            d=self.b * first.c + self.d * first.d,
            e=e,
            f=f,
        )

    @property
    def inverse(self) -> Move:
        """Undoes this one, to a grain.  Raises ZeroDivisionError when nothing can."""
        det = self.a * self.d - self.b * self.c
        turned = Move(a=self.d / det, b=-self.b / det, c=-self.c / det, d=self.a / det)
        e, f = turned.point((self.e, self.f))
        return Move(a=turned.a, b=turned.b, c=turned.c, d=turned.d, e=-e, f=-f)

    def about(self, middle: Point) -> Move:
        """With its factors taken round `middle` instead of the origin."""
        linear = Move(a=self.a, b=self.b, c=self.c, d=self.d)
        x, y = linear.point(middle)
        return replace(self, e=self.e + middle[0] - x, f=self.f + middle[1] - y)

    def shift_at(self, middle: Point) -> Point:
        """How far a point is moved: right, and up."""
        x, y = self.point(middle)
        return x - middle[0], y - middle[1]

    @property
    def rounded(self) -> Move:
        """With factors as they are written."""
        four = (self.a, self.b, self.c, self.d)
        a, b, c, d = (Fraction(round(factor * _PLACES), _PLACES) for factor in four)
        return Move(a=a, b=b, c=c, d=d, e=self.e, f=self.f)

    @property
    def idle(self) -> bool:
        """Moves nothing."""
        return self == STAY


STAY: Final = Move()
