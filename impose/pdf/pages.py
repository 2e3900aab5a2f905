"""Plain pages for lists and tickets: words, lines, boxes and hatching at exact positions.

A small wrapper round reportlab, so that no report knows a PDF library.  The
origin is the page's lower left, y up; text is placed on its baseline.  The
shipped fonts are embedded; a character they lack is drawn as "?".  Same calls,
same bytes: no clock, no random identifier.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Any, Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from impose.geometry.box import Box, Size
from impose.pdf.lettering import BOLD, REGULAR, STAND_IN, clean
from impose.units import ZERO, Length

#: Distance between the baselines of wrapped lines, as a multiple of the letter size.
LEADING: Final = Fraction(5, 4)
HAIRLINE: Final = Length.points("0.5")
_NAMES: Final = {False: "pages-regular", True: "pages-bold"}
_DASH: Final = (3.0, 2.5)
Point = tuple[Length, Length]


class Align(Enum):
    """Where x lies in a line of words."""

    LEFT = "left"
    CENTRE = "centre"
    RIGHT = "right"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a shape is drawn.

    `grey` is the darkness of lines and `fill` that of the inside, 1 being
    black; `fill` None: not filled.  `weight` of zero: no outline.
    """

    weight: Length = HAIRLINE
    grey: Fraction = Fraction(1)
    fill: Fraction | None = None
    dashed: bool = False


PLAIN: Final = Pen()


class PageMaker:
    """Makes pages of one size, one after the other; the first is open at once."""

    def __init__(self, size: Size, title: str) -> None:
        self.size = size
        self._out = io.BytesIO()
        _register()
        # Its own first font would be one that is not embedded; the stubs want a number here.
        first_font: Any = _NAMES[False]
        self._canvas = Canvas(
            self._out,
            pagesize=(_pt(size.width), _pt(size.height)),
            pageCompression=1,
            invariant=1,
            initialFontName=first_font,
        )
        self._canvas.setTitle(clean(title))
        self._canvas.setAuthor("")
        self.pages = 1

    # -- words -------------------------------------------------------------------------

    def text(
        self,
        x: Length,
        y: Length,
        words: str,
        size: Length,
        bold: bool = False,
        align: Align = Align.LEFT,
    ) -> None:
        """One line of words with its baseline at y; x is its left, middle or right end."""
        shown = _shown(words)
        wide = self.width(words, size, bold)
        left = {Align.LEFT: x, Align.CENTRE: x - wide.half, Align.RIGHT: x - wide}[align]
        self._canvas.setFillGray(0)
        self._canvas.setFont(_NAMES[bold], _pt(size))
        self._canvas.drawString(_pt(left), _pt(y), shown)

    def text_up(self, x: Length, y: Length, words: str, size: Length, bold: bool = False) -> None:
        """Words that read upward, their baseline at x and their middle at y."""
        wide = self.width(words, size, bold)
        self._canvas.saveState()
        self._canvas.translate(_pt(x), _pt(y - wide.half))
        self._canvas.rotate(90)
        self.text(ZERO, ZERO, words, size, bold)
        self._canvas.restoreState()

    def width(self, words: str, size: Length, bold: bool = False) -> Length:
        """How wide the words are in this size."""
        return words_width(words, size, bold)

    def broken(self, words: str, width: Length, size: Length, bold: bool = False) -> list[str]:
        """The words as lines no wider than `width`; a single longer word is cut apart."""
        lines: list[str] = []
        for paragraph in words.split("\n"):
            line = ""
            for word in paragraph.split():
                for part in self._parts(word, width, size, bold):
                    longer = f"{line} {part}" if line else part
                    if line and self.width(longer, size, bold) > width:
                        lines.append(line)
                        longer = part
                    line = longer
            lines.append(line)
        return lines

    def _parts(self, word: str, width: Length, size: Length, bold: bool) -> list[str]:
        if self.width(word, size, bold) <= width:
            return [word]
        parts, part = [], ""
        for letter in word:
            if part and self.width(part + letter, size, bold) > width:
                parts.append(part)
                part = ""
            part += letter
        return [*parts, part]

    def wrapped(
        self, corner: Point, width: Length, words: str, size: Length, bold: bool = False
    ) -> Length:
        """Words broken to `width`, the top of the first line at the upper left `corner`.

        Returns the height used; `height` of the same words is the same.
        """
        x, top = corner
        step = size * LEADING
        lines = self.broken(words, width, size, bold)
        for number, line in enumerate(lines, start=1):
            # The baseline lies a quarter of the letter size above the line's lower end.
            self.text(x, top - step * number + size * Fraction(1, 4), line, size, bold)
        return step * len(lines)

    def height(self, words: str, width: Length, size: Length, bold: bool = False) -> Length:
        """What `wrapped` will use."""
        return size * LEADING * len(self.broken(words, width, size, bold))

    # -- shapes ------------------------------------------------------------------------

    def line(self, start: Point, end: Point, pen: Pen = PLAIN) -> None:
        """A straight line."""
        self._take(pen)
        self._canvas.line(*_pts(start), *_pts(end))

    def box(self, box: Box, pen: Pen = PLAIN) -> None:
        """A rectangle, outlined, filled, or both."""
        self._take(pen)
        self._canvas.rect(
            _pt(box.x0),
            _pt(box.y0),
            _pt(box.width),
            _pt(box.height),
            stroke=int(bool(pen.weight)),
            fill=int(pen.fill is not None),
        )

    def polygon(self, points: Sequence[Point], pen: Pen = PLAIN, closed: bool = True) -> None:
        """A run of straight lines, closed unless said otherwise."""
        self._take(pen)
        path = self._canvas.beginPath()
        path.moveTo(*_pts(points[0]))
        for point in points[1:]:
            path.lineTo(*_pts(point))
        if closed:
            path.close()
        self._canvas.drawPath(path, stroke=int(bool(pen.weight)), fill=int(pen.fill is not None))

    def circle(self, middle: Point, radius: Length, pen: Pen = PLAIN) -> None:
        """A circle round `middle`."""
        self._take(pen)
        self._canvas.circle(
            *_pts(middle),
            _pt(radius),
            stroke=int(bool(pen.weight)),
            fill=int(pen.fill is not None),
        )

    def arc(self, box: Box, start: int, extent: int, pen: Pen = PLAIN) -> None:
        """Part of the ellipse in `box`, from `start` degrees (0 at the right) counter-clockwise."""
        self._take(pen)
        self._canvas.arc(
            _pt(box.x0), _pt(box.y0), _pt(box.x1), _pt(box.y1), startAng=start, extent=extent
        )

    def hatch(self, box: Box, gap: Length, pen: Pen = PLAIN) -> None:
        """Slanting lines `gap` apart within the box; no outline."""
        canvas = self._canvas
        canvas.saveState()
        path = canvas.beginPath()
        path.rect(_pt(box.x0), _pt(box.y0), _pt(box.width), _pt(box.height))
        canvas.clipPath(path, stroke=0, fill=0)
        self._take(pen)
        at = ZERO
        while at < box.width + box.height:
            foot, top = (box.x0 + at, box.y0), (box.x0 + at - box.height, box.y1)
            canvas.line(*_pts(foot), *_pts(top))
            at = at + gap
        canvas.restoreState()

    def _take(self, pen: Pen) -> None:
        canvas = self._canvas
        canvas.setLineWidth(_pt(pen.weight))
        canvas.setStrokeGray(float(1 - pen.grey))
        if pen.fill is not None:
            canvas.setFillGray(float(1 - pen.fill))
        canvas.setDash(*(_DASH if pen.dashed else ()))

    # -- pages -------------------------------------------------------------------------

    def new_page(self) -> None:
        """Closes the page and opens the next."""
        self._canvas.showPage()
        self.pages += 1

    def to_bytes(self) -> bytes:
        """The finished file; nothing can be drawn after this."""
        self._canvas.showPage()
        self._canvas.save()
        return self._out.getvalue()


def words_width(words: str, size: Length, bold: bool = False) -> Length:
    """How wide the words are in the shipped font."""
    _register()
    wide = pdfmetrics.stringWidth(_shown(words), _NAMES[bold], _pt(size))
    return Length.points(Fraction(wide).limit_denominator(10_000))


def _register() -> None:
    known = set(pdfmetrics.getRegisteredFontNames())
    for bold, path in ((False, REGULAR), (True, BOLD)):
        if _NAMES[bold] not in known:
            pdfmetrics.registerFont(TTFont(_NAMES[bold], str(path)))


def _shown(words: str) -> str:
    """The words with what the font lacks replaced."""
    cleaned = clean(words)
    if cleaned.isascii():
        return cleaned
    font: Any = pdfmetrics.getFont(_NAMES[False])
    return "".join(c if ord(c) in font.face.charToGlyph else STAND_IN for c in cleaned)


def _pt(length: Length) -> float:
    return float(length.as_points)


def _pts(point: Point) -> tuple[float, float]:
    return _pt(point[0]), _pt(point[1])
