"""Turning a sheet over, and turning things on it.

A back side is described as seen from the back.  Turned about the vertical, x
mirrors and the back reads upright; about the horizontal, y mirrors, which is
the first followed by half a turn.
"""

from __future__ import annotations

from enum import Enum

from impose.geometry.box import Box, Size
from impose.units import Length


class Turnover(Enum):
    """How a sheet is turned over between front and back, as it lies in the file."""

    ABOUT_VERTICAL = "about vertical"
    ABOUT_HORIZONTAL = "about horizontal"

    def over(self, box: Box, sheet: Size) -> Box:
        """Where `box` of one side lies as seen from the other side; its own inverse."""
        if self is Turnover.ABOUT_VERTICAL:
            return Box(sheet.width - box.x1, box.y0, sheet.width - box.x0, box.y1)
        return Box(box.x0, sheet.height - box.y1, box.x1, sheet.height - box.y0)

    def point(self, x: Length, y: Length, sheet: Size) -> tuple[Length, Length]:
        """Where a point of one side lies as seen from the other side."""
        if self is Turnover.ABOUT_VERTICAL:
            return sheet.width - x, y
        return x, sheet.height - y


class Flip(Enum):
    """Which edge a printer turns the sheet about."""

    LONG_EDGE = "long edge"
    SHORT_EDGE = "short edge"

    def on(self, sheet: Size) -> Turnover:
        """For a sheet as it lies: the long edge of a portrait sheet is vertical."""
        vertical = (self is Flip.LONG_EDGE) != sheet.landscape
        return Turnover.ABOUT_VERTICAL if vertical else Turnover.ABOUT_HORIZONTAL

    @classmethod
    def that_gives(cls, turnover: Turnover, sheet: Size) -> Flip:
        """The flip that turns this sheet this way."""
        return cls.LONG_EDGE if cls.LONG_EDGE.on(sheet) is turnover else cls.SHORT_EDGE


def half_turn(box: Box, sheet: Size) -> Box:
    """The box after the sheet is turned 180 degrees in its plane."""
    return Box(
        sheet.width - box.x1, sheet.height - box.y1, sheet.width - box.x0, sheet.height - box.y0
    )


def mirror_turn(turn: int) -> int:
    """The turn of an arrow after its sheet is laid out as a mirror image (left to right)."""
    return (360 - turn) % 360
