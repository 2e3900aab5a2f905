"""What a small drawing needs of whoever draws it: a page of a PDF, or an SVG.

Positions are decided by the drawing's own module, once, for both.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from impose.geometry.box import Box
from impose.pdf.pages import PLAIN, Align, Pen, Point
from impose.units import Length


class Drawing(Protocol):
    """Origin at the lower left, x right, y up; text stands on its baseline."""

    def text(
        self,
        x: Length,
        y: Length,
        words: str,
        size: Length,
        bold: bool = False,
        align: Align = Align.LEFT,
    ) -> None:
        """One line of words; x is its left, middle or right end."""

    def text_up(self, x: Length, y: Length, words: str, size: Length) -> None:
        """Words that read upward, their baseline at x and their middle at y."""

    def width(self, words: str, size: Length, bold: bool = False) -> Length:
        """How wide the words are in this size."""
        ...

    def line(self, start: Point, end: Point, pen: Pen = PLAIN) -> None:
        """A straight line."""

    def box(self, box: Box, pen: Pen = PLAIN) -> None:
        """A rectangle, outlined, filled, or both."""

    def polygon(self, points: Sequence[Point], pen: Pen = PLAIN, closed: bool = True) -> None:
        """A run of straight lines."""

    def hatch(self, box: Box, gap: Length, pen: Pen = PLAIN) -> None:
        """Slanting lines `gap` apart within the box; no outline."""
