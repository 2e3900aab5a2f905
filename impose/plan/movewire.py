"""The correction of a side, and its fields of colour, as JSON data and back."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from impose.geometry.box import Box
from impose.geometry.moving import STAY, Move
from impose.model.inks import Ink
from impose.plan.parts import Fill
from impose.plan.strips import Strip
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


def fill_data(fill: Fill) -> dict[str, Any]:
    """Box in points; the colour by its space, parts as fractions in words ("1/5")."""
    box = fill.box
    corners = (box.x0, box.y0, box.x1, box.y1)
    return {
        "box": [float(points_text(value)) for value in corners],
        "space": fill.ink.space,
        "parts": [str(part) for part in fill.ink.parts],
        **({"spot": fill.ink.name} if fill.ink.name else {}),
    }


def fill_of(data: dict[str, Any]) -> Fill:
    """The inverse of `fill_data`."""
    x0, y0, x1, y1 = (Length.points(number) for number in data["box"])
    parts = tuple(map(Fraction, data["parts"]))
    return Fill(Box(x0, y0, x1, y1), Ink(data["space"], parts, data.get("spot", "")))


def strip_data(strip: Strip) -> dict[str, Any]:
    """Clip in points; the factors of the move as fractions in words, its shift in points."""
    box, move = strip.clip, strip.move
    return {
        "placement": strip.placement,
        "clip": [float(points_text(value)) for value in (box.x0, box.y0, box.x1, box.y1)],
        "factors": [str(factor) for factor in (move.a, move.b, move.c, move.d)],
        "shift": [float(points_text(move.e)), float(points_text(move.f))],
    }


def strip_of(data: dict[str, Any]) -> Strip:
    """The inverse of `strip_data`."""
    x0, y0, x1, y1 = (Length.points(number) for number in data["clip"])
    a, b, c, d = map(Fraction, data["factors"])
    e, f = (Length.points(number) for number in data["shift"])
    return Strip(data["placement"], Box(x0, y0, x1, y1), Move(a=a, b=b, c=c, d=d, e=e, f=f))


def _number(factor: Fraction) -> float | int:
    """Ten decimals at most, which a double gives back unchanged near 1."""
    return int(factor) if factor.denominator == 1 else float(factor)
