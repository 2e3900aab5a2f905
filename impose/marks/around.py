"""The room that a mark takes, words as wide as they may be."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box, Edges
from impose.plan.parts import Mark, Shape
from impose.units import Length

#: How high the words of the sheets are.
HEIGHT: Final = Length.points(7)
#: Wider than any line of the shipped typeface per character, as a share of the height.
_ADVANCE: Final = Fraction(66, 100)
_AIR: Final = Edges.all(Length.mm(1))


def words_width(words: str, height: Length = HEIGHT) -> Length:
    """More than the words take."""
    return height * (_ADVANCE * len(words))


def around(mark: Mark) -> Box:
    """A mark with some air round it, to keep others clear of it."""
    return extent(mark).grown(_AIR)


def extent(mark: Mark) -> Box:
    """The mark alone, words as wide as they may be."""
    if mark.shape is Shape.TEXT:
        long, high = words_width(mark.text, mark.weight), mark.weight
        x, y = mark.x0, mark.y0
        return Box(x - high, y, x, y + long) if mark.turn else Box(x, y, x + long, y + high)
    return Box(
        min(mark.x0, mark.x1), min(mark.y0, mark.y1), max(mark.x0, mark.x1), max(mark.y0, mark.y1)
    )
