"""The sketch of the open cover on the ticket: outside up, with the bench's dimensions.

Not to scale: it fills its place, a spine too narrow to be seen is drawn wider, the
paper beyond the trim is only hinted at; the measures are written.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.pdf.pages import LEADING, Align, Pen
from impose.reports.drawing import Drawing
from impose.reports.ticket_facts import FLAP, Sketch
from impose.reports.ticket_flow import BODY
from impose.units import ZERO, Length

_PAPER: Final = Pen(weight=Length.points("0.8"))
_TRIM: Final = Pen(weight=Length.points("0.6"), dashed=True)
_SCORE: Final = Pen(weight=Length.points("0.8"), grey=Fraction(2, 3))
_DIM: Final = Pen(weight=Length.points("0.5"))
_NARROWEST: Final = Length.points(10)
#: How the paper beyond the trim is hinted at.
_BEYOND: Final = Length.points(13)
_ARROW: Final = Length.points(4)
#: Between paper and a dimension line; half of it to the words.
_NEAR: Final = Length.points(6)


def draw_sketch(maker: Drawing, sketch: Sketch, place: Box) -> None:
    """The sketch and the dimensions round it, in the middle of `place`."""
    _Drawing(maker, sketch, place).draw()


class _Drawing:
    """One sketch; the paper is drawn as `paper`."""

    def __init__(self, maker: Drawing, sketch: Sketch, place: Box) -> None:
        self.maker, self.sketch = maker, sketch
        x0, y0, x1, y1 = sketch.trim
        near, far = sketch.split
        self.middle = (near + far).half
        step = BODY * LEADING
        beside = _NEAR * 2 + max(maker.width(s, BODY) for s in (sketch.head, sketch.foot))
        after = _NEAR * 2 + maker.width(sketch.height, BODY)
        wide = place.width - beside - after - _BEYOND * 2 - _NARROWEST
        high = place.height - step * 2 - BODY.half - _BEYOND * 2
        self.across, self.up = wide.ratio(x1 - x0), high.ratio(y1 - y0)
        #: What a spine too narrow to be seen is widened by at each side.
        seen = (far - near) * self.across
        self.more = max(ZERO, _NARROWEST - seen).half if far > near else ZERO
        width = (x1 - x0) * self.across + (self.more + _BEYOND) * 2
        height = (y1 - y0) * self.up + _BEYOND * 2
        spare = (place.width - beside - after - width).half
        left, top = place.x0 + beside + spare, place.y1 - step
        self.paper = Box(left, top - height, left + width, top)

    def at_x(self, length: Length) -> Length:
        """On the page, for places within the trim; what lies beside the spine moves off it."""
        moved = self.paper.x0 + _BEYOND + (length - self.sketch.trim[0]) * self.across
        if length < self.middle:
            return moved
        return moved + self.more * (2 if length > self.middle else 1)

    def at_y(self, length: Length) -> Length:
        return self.paper.y0 + _BEYOND + (length - self.sketch.trim[1]) * self.up

    def draw(self) -> None:
        maker, paper = self.maker, self.paper
        x0, y0, x1, y1 = self.sketch.trim
        maker.box(paper, _PAPER)
        maker.box(Box(self.at_x(x0), self.at_y(y0), self.at_x(x1), self.at_y(y1)), _TRIM)
        for score in self.sketch.scores:
            x = self.at_x(score)
            maker.line((x, paper.y0), (x, paper.y1), _SCORE)
        self._names()
        self._heights(paper)
        self._widths(paper)

    def _names(self) -> None:
        """Each part's name, in bold where that fits; those of flaps below the others."""
        maker, start = self.maker, self.sketch.trim[0]
        y = (self.at_y(self.sketch.trim[1]) + self.at_y(self.sketch.trim[3])).half
        for name, width in self.sketch.panels:
            left, right = self.at_x(start), self.at_x(start + width)
            bold = maker.width(name, BODY, True) < right - left
            if name:
                base = y - BODY * 2 if name == FLAP else y
                maker.text((left + right).half, base, name, BODY, bold, Align.CENTRE)
            start = start + width

    def _heights(self, paper: Box) -> None:
        """Head and foot margins at the left, the trimmed height at the right."""
        maker, sketch, near = self.maker, self.sketch, _NEAR
        low, high = self.at_y(sketch.trim[1]), self.at_y(sketch.trim[3])
        x = paper.x0 - near
        for a, b, text in ((high, paper.y1, sketch.head), (paper.y0, low, sketch.foot)):
            self._arrow((x, a), (x, b))
            base = (a + b).half - BODY * Fraction(1, 3)
            maker.text(x - near.half, base, text, BODY, False, Align.RIGHT)
        x = paper.x1 + near
        self._arrow((x, low), (x, high))
        base = (low + high).half - BODY * Fraction(1, 3)
        maker.text(x + near.half, base, sketch.height, BODY)

    def _widths(self, paper: Box) -> None:
        """The sum that the bench checks: back distance, spine, front distance."""
        maker, sketch = self.maker, self.sketch
        near, far = (self.at_x(x) for x in sketch.split)
        start, end = paper.x0, paper.x1
        if sketch.cut_first:
            start, end = self.at_x(sketch.trim[0]), self.at_x(sketch.trim[2])
        y = paper.y0 - BODY * Fraction(3, 5)
        for a, b, text in ((start, near, sketch.left), (far, end, sketch.right)):
            self._arrow((a, y), (b, y))
            maker.text((a + b).half, y - BODY, text, BODY, True, Align.CENTRE)
        middle, head = (near + far).half, paper.y1 + Length.points(3)
        maker.text(middle, head, sketch.spine, BODY, True, Align.CENTRE)

    def _arrow(self, start: tuple[Length, Length], end: tuple[Length, Length]) -> None:
        """A dimension line with ticks at its ends."""
        maker, half = self.maker, _ARROW.half
        maker.line(start, end, _DIM)
        for x, y in (start, end):
            if start[1] == end[1]:
                maker.line((x, y - half), (x, y + half), _DIM)
            else:
                maker.line((x - half, y), (x + half, y), _DIM)
