"""From readings on a trial sheet to the correction of a printer's two sides.

The sheet is held to the light with its front toward the eye.  At each corner
one reads how far the back's cross falls from the front's: to the right and up.
Two corners give shift, turn and one scale; three or four give two scales and
leave something over that shows how well they agree.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.errors import ImposeError
from impose.geometry.box import Size
from impose.geometry.moving import STAY, Move, Point
from impose.geometry.turning import Turnover
from impose.units import ZERO, Length

#: The crosses lie this far from the edges of the sheet.
INSET: Final = Length.mm(35)
#: Lines on the front lie at this distance from the sheet's left edge and from its foot.
EDGE_LINE: Final = {"mm": Length.mm(20), "in": Length.inches("3/4")}
#: The rulers reach this far to each side of a cross.
REACH: Final = Length.mm(12)
CORNERS: Final = ("A", "B", "C", "D")
#: Scales beyond this come from a print dialog that fits pages, not from a printer.
MOST_SCALE: Final = Fraction(1, 100)
#: A slope beyond this is a sheet fed askew, which no correction helps twice.
MOST_SLOPE: Final = Fraction(1, 50)


def cross_places(sheet: Size) -> dict[str, Point]:
    """The crosses as seen from the front: A upper left, B upper right, C lower left, D lower right.

    Raises ImposeError when the sheet is too small for them.
    """
    least = INSET * 2 + REACH * 2
    if sheet.width < least or sheet.height < least:
        raise ImposeError(
            f"a sheet of {sheet.text('mm')} is too small for a register sheet",
            hint=f"it needs {least.text('mm')} each way; use a larger sheet in the same tray",
        )
    left, right = INSET, sheet.width - INSET
    low, high = INSET, sheet.height - INSET
    return dict(zip(CORNERS, ((left, high), (right, high), (left, low), (right, low)), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What was read on one trial sheet.

    `crosses`: by corner, how far the back's cross falls to the right of the
    front's and above it, the front toward the eye.  `front_off`: how far the
    front falls to the right of its place on the paper and above it.  `front`
    and `back` are the corrections with which the sheet was printed.
    """

    sheet: Size
    turned: Turnover
    crosses: Mapping[str, Point]
    front_off: Point = (ZERO, ZERO)
    front: Move = STAY
    back: Move = STAY


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The corrections, what the back was found to do, and what no correction explains.

    `shift` is that of the sheet's middle, right and up as seen from the front;
    `slope` is how far the back turns counter-clockwise as seen from the front,
    per unit of length; `scales` across and up, 1 when true.  `left_over` is the
    largest distance between a reading and what the correction supposes.
    """

    front: Move
    back: Move
    shift: Point
    slope: Fraction
    scales: tuple[Fraction, Fraction]
    left_over: Length


def correction(readings: Readings) -> Found:
    """The correction of both sides.

    The front is moved so that its lines lie true to the paper; the back is
    moved onto the front.  Raises ImposeError for too few corners, and for
    readings that no printer gives.
    """
    if len(readings.crosses) < 2:
        raise ImposeError(
            f"{len(readings.crosses)} corner is read; two are needed, such as A and D",
            hint="two corners are four readings; all four corners also show the scale both ways",
        )
    off = readings.front_off
    nominal = cross_places(readings.sheet)
    corners = [corner for corner in CORNERS if corner in readings.crosses]
    seen = [(nominal[corner], readings.crosses[corner]) for corner in corners]
    fitted = _fit([(place, _plus(place, read)) for place, read in seen])
    _refuse_wild(fitted)
    middle = (readings.sheet.width.half, readings.sheet.height.half)
    return Found(
        front=Move(e=-off[0], f=-off[1]).after(readings.front).rounded,
        back=_back(readings, fitted, off),
        shift=fitted.shift_at(middle),
        slope=(fitted.b - fitted.c) / 2,
        scales=(fitted.a, fitted.d),
        left_over=max(_apart(fitted.point(place), _plus(place, read)) for place, read in seen),
    )


def _back(readings: Readings, fitted: Move, off: Point) -> Move:
    """The back's correction in its own frame.

    Seen from the front the printer lays a point p of the back as designed at
    off + fitted(p).  In its own frame, which the turnover gives, that is undone
    before printing; a correction that was already in force comes first.
    """
    on_paper = Move(e=off[0], f=off[1]).after(fitted)
    own = _seen_from_back(on_paper, readings.sheet, readings.turned)
    return readings.back.after(own.inverse).rounded


def _seen_from_back(move: Move, sheet: Size, turned: Turnover) -> Move:
    """A move of things seen from the front, as a move in the back's own frame."""
    over = _mirror(sheet, turned)
    return over.after(move).after(over)


def _mirror(sheet: Size, turned: Turnover) -> Move:
    if turned is Turnover.ABOUT_VERTICAL:
        return Move(a=Fraction(-1), e=sheet.width)
    return Move(d=Fraction(-1), f=sheet.height)


def _fit(pairs: Sequence[tuple[Point, Point]]) -> Move:
    """The move that lays the first of each pair on the second, as nearly as it can."""
    return _similar(*pairs) if len(pairs) == 2 else _least_squares(pairs)


def _similar(one: tuple[Point, Point], other: tuple[Point, Point]) -> Move:
    """Shift, turn and one scale from two points, exactly: a quotient of complex numbers."""
    (x0, y0), (u0, v0) = (_numbers(point) for point in one)
    (x1, y1), (u1, v1) = (_numbers(point) for point in other)
    dx, dy, du, dv = x1 - x0, y1 - y0, u1 - u0, v1 - v0
    square = dx * dx + dy * dy
    a, b = (dx * du + dy * dv) / square, (dx * dv - dy * du) / square
    e, f = u0 - a * x0 + b * y0, v0 - b * x0 - a * y0
    return Move(a=a, b=b, c=-b, d=a, e=Length(round(e)), f=Length(round(f)))


def _least_squares(pairs: Sequence[tuple[Point, Point]]) -> Move:
    """Shift, turn and two scales: u = a x - t y + e, v = t x + d y + f, least squares in
    a, d, t, e, f (normal equations; the angles are so small that t is sine and slope)."""
    rows: list[tuple[list[Fraction], Fraction]] = []
    for place, found in pairs:
        (x, y), (u, v) = _numbers(place), _numbers(found)
        one, none = Fraction(1), Fraction(0)
        rows.append(([x, none, -y, one, none], u))
        rows.append(([none, y, x, none, one], v))
    matrix = [[sum((r[i] * r[j] for r, _ in rows), Fraction()) for j in range(5)] for i in range(5)]
    right = [sum((r[i] * value for r, value in rows), Fraction()) for i in range(5)]
    a, d, t, e, f = _solved(matrix, right)
    return Move(a=a, b=t, c=-t, d=d, e=Length(round(e)), f=Length(round(f)))


def _solved(matrix: list[list[Fraction]], right: list[Fraction]) -> list[Fraction]:
    """Elimination in exact fractions; the matrix is positive definite for three corners."""
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    for i, row in enumerate(rows):
        pivot = row[i]
        rows[i] = row = [value / pivot for value in row]
        for j, other in enumerate(rows):
            if j != i and other[i]:
                rows[j] = [p - other[i] * q for p, q in zip(other, row, strict=True)]
    return [row[-1] for row in rows]


def _refuse_wild(fitted: Move) -> None:
    wild = max(abs(fitted.a - 1), abs(fitted.d - 1))
    if wild > MOST_SCALE:
        raise ImposeError(
            f"the back comes out {float(wild):.1%} larger or smaller than the front",
            hint="print the sheet at actual size, with no fitting to the page, and read it again",
        )
    if abs(fitted.b) > MOST_SLOPE:
        raise ImposeError(
            f"the back is turned by {float(abs(fitted.b)) * 100:.1f} mm on 100 mm",
            hint="a sheet fed askew; set the tray's guides, print again and read again",
        )


def _numbers(point: Point) -> tuple[Fraction, Fraction]:
    return Fraction(point[0].grains), Fraction(point[1].grains)


def _plus(point: Point, by: Point) -> Point:
    return point[0] + by[0], point[1] + by[1]


def _apart(one: Point, other: Point) -> Length:
    """The larger of the distances across and up."""
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]), ZERO)
