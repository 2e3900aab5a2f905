"""The sketch of the open cover on the ticket: outside up, with the bench's dimensions.

Everything is to scale except a spine too narrow to be seen, which is drawn wider.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.pdf.pages import LEADING, Align, PageMaker, Pen
from impose.reports.ticket_facts import Sketch
from impose.reports.ticket_flow import BODY
from impose.units import ZERO, Length

_PAPER: Final = Pen(weight=Length.points("0.8"))
_TRIM: Final = Pen(weight=Length.points("0.6"), dashed=True)
_SCORE: Final = Pen(weight=Length.points("0.8"), grey=Fraction(2, 3))
_DIM: Final = Pen(weight=Length.points("0.5"))
_NARROWEST: Final = Length.points(10)
_ARROW: Final = Length.points(4)
#: Room for the dimensions at the left and right.
_BESIDE: Final = Length.points(54)


def draw_sketch(maker: PageMaker, sketch: Sketch, place: Box) -> None:
    """The sketch and the dimensions round it, in the middle of `place`."""
    step = BODY * LEADING
    wide, high = place.width - _BESIDE * 2, place.height - step * 2 - BODY.half
    scale = min(wide.ratio(sketch.paper[0]), high.ratio(sketch.paper[1]))
    x = place.x0 + (place.width - sketch.paper[0] * scale).half
    y = place.y1 - step - sketch.paper[1] * scale
    _Drawing(maker, sketch, scale, x, y).draw()


class _Drawing:
    """One sketch with its lower left corner at x, y."""

    def __init__(
        self, maker: PageMaker, sketch: Sketch, scale: Fraction, x: Length, y: Length
    ) -> None:
        self.maker, self.sketch, self.scale, self.x, self.y = maker, sketch, scale, x, y
        near, far = sketch.split
        self.middle = (near + far).half
        #: What a spine too narrow to be seen is widened by at each side.
        wide = (far - near) * scale
        self.more = max(ZERO, _NARROWEST - wide).half if far > near else ZERO

    def at_x(self, length: Length) -> Length:
        """On the page; what lies beside the spine moves away from it."""
        moved = self.x + length * self.scale
        if length < self.middle:
            return max(moved - self.more, self.x + min(moved - self.x, self.more))
        return moved + self.more if length > self.middle else moved

    def at_y(self, length: Length) -> Length:
        return self.y + length * self.scale

    def draw(self) -> None:
        sketch, maker = self.sketch, self.maker
        width, height = sketch.paper
        x0, y0, x1, y1 = sketch.trim
        paper = Box(self.x - self.more, self.y, self.x + width * self.scale + self.more,
                    self.at_y(height))  # fmt: skip
        maker.box(paper, _PAPER)
        maker.box(Box(self.at_x(x0), self.at_y(y0), self.at_x(x1), self.at_y(y1)), _TRIM)
        for score in sketch.scores:
            x = self.at_x(score)
            maker.line((x, paper.y0), (x, paper.y1), _SCORE)
        self._names()
        self._heights(paper)
        self._widths(paper)

    def _names(self) -> None:
        maker, start = self.maker, self.sketch.trim[0]
        y = (self.at_y(self.sketch.trim[1]) + self.at_y(self.sketch.trim[3])).half
        for name, width in self.sketch.panels:
            middle = (self.at_x(start) + self.at_x(start + width)).half
            if name:
                maker.text(middle, y, name, BODY, True, Align.CENTRE)
            start = start + width

    def _heights(self, paper: Box) -> None:
        """Head and foot margins at the left, the trimmed height at the right."""
        maker, sketch, near = self.maker, self.sketch, Length.points(6)
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
