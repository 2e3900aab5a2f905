"""The slug: one small line of words outside every trim that says what the sheet is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from impose.geometry.box import Box
from impose.marks.around import HEIGHT, words_width
from impose.marks.strips import free_strip
from impose.marks.ticks import Ground
from impose.plan.parts import Mark, Shape
from impose.units import Length


@dataclass(frozen=True, slots=True)
class SlugPlace:
    """Where the line starts and which way it runs."""

    x: Length
    y: Length
    turn: int

    def box(self, text: str) -> Box:
        """What the line of words takes, with some air."""
        long = words_width(text)
        if self.turn:
            return Box(self.x - HEIGHT, self.y, self.x, self.y + long)
        return Box(self.x, self.y, self.x + long, self.y + HEIGHT)

    def mark(self, text: str) -> Mark:
        """The line of words at this place."""
        return Mark("slug", Shape.TEXT, self.x, self.y, self.x, self.y, HEIGHT, text, self.turn)


def slug_place(ground: Ground, taken: Iterable[Mark], longest: str) -> SlugPlace | None:
    """A free strip for the longest text: along the foot, the head, then the sides.

    None when there is no room outside the trims and off the marks.
    """
    found = free_strip(ground, taken, words_width(longest), HEIGHT)
    if found is None:
        return None
    box, upright = found
    return SlugPlace(box.x1, box.y0, 90) if upright else SlugPlace(box.x0, box.y0, 0)


def slug_text(parts: Iterable[str]) -> str:
    """The words of a slug, empty ones left out."""
    return "  |  ".join(part for part in parts if part)
