"""The correction of a side as JSON data and back."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from impose.geometry.moving import STAY, Move
from impose.units import Length, points_text


def move_data(move: Move) -> dict[str, Any] | None:
    """Factors a, b, c, d without unit, shift in points; None when nothing is moved."""
    if move.idle:
        return None
    four = (move.a, move.b, move.c, move.d)
    return {
        "factors": [_number(factor) for factor in four],
        "shift": [float(points_text(move.e)), float(points_text(move.f))],
    }


def move_of(data: dict[str, Any] | None) -> Move:
    """The move of data whose fractions were read as decimals."""
    if data is None:
        return STAY
    a, b, c, d = (Fraction(factor) for factor in data["factors"])
    e, f = (Length.points(number) for number in data["shift"])
    return Move(a=a, b=b, c=c, d=d, e=e, f=f)


def _number(factor: Fraction) -> float | int:
    """Ten decimals at most, which a double gives back unchanged near 1."""
    return int(factor) if factor.denominator == 1 else float(factor)
