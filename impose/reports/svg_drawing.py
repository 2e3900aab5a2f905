"""A small drawing as inline SVG, in points; the counterpart of a page of a PDF.

Dark lines on the white of the style sheet's `.paper`; no colour, so nothing is
told by colour alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from impose.geometry.box import Box, Size
from impose.pdf.pages import PLAIN, Align, Pen, Point, words_width
from impose.reports.html_words import escaped_words
from impose.units import ZERO, Length

_ANCHOR: Final = {Align.LEFT: "start", Align.CENTRE: "middle", Align.RIGHT: "end"}
_DASH: Final = "3 2.5"


def svg_number(length: Length) -> str:
    """Points to a hundredth: drawings are looked at, not measured."""
    text = f"{float(length.as_points):.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def svg_rect(box: Box, high: Length, kind: str) -> str:
    """A rectangle of the style sheet's class `kind`; `high` is the drawing's height."""
    return (
        f'<rect class="{kind}" x="{svg_number(box.x0)}" y="{svg_number(high - box.y1)}" '
        f'width="{svg_number(box.width)}" height="{svg_number(box.height)}"/>'
    )


class SvgDrawing:
    """Draws on a white ground of `size`; `to_svg` gives the markup."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self._parts: list[str] = []

    def text(
        self,
        x: Length,
        y: Length,
        words: str,
        size: Length,
        bold: bool = False,
        align: Align = Align.LEFT,
    ) -> None:
        self._words(f'x="{svg_number(x)}" y="{self._y(y)}"', words, size, bold, align)

    def text_up(self, x: Length, y: Length, words: str, size: Length) -> None:
        at = f'transform="translate({svg_number(x)} {self._y(y)}) rotate(-90)"'
        self._words(at, words, size, False, Align.CENTRE)

    def _words(self, at: str, words: str, size: Length, bold: bool, align: Align) -> None:
        if words:
            weight = ' font-weight="700"' if bold else ""
            self._parts.append(
                f'<text {at} font-size="{svg_number(size)}" text-anchor="{_ANCHOR[align]}"'
                f"{weight}>{escaped_words(words)}</text>"
            )

    def width(self, words: str, size: Length, bold: bool = False) -> Length:
        """In the shipped font, which runs wider than the ones a browser takes."""
        return words_width(words, size, bold)

    def line(self, start: Point, end: Point, pen: Pen = PLAIN) -> None:
        self._parts.append(f'<path d="{self._run((start, end))}"{_style(pen)}/>')

    def box(self, box: Box, pen: Pen = PLAIN) -> None:
        corners = [(box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1)]
        self.polygon(corners, pen)

    def polygon(self, points: Sequence[Point], pen: Pen = PLAIN, closed: bool = True) -> None:
        end = "Z" if closed else ""
        self._parts.append(f'<path d="{self._run(points)}{end}"{_style(pen)}/>')

    def hatch(self, box: Box, gap: Length, pen: Pen = PLAIN) -> None:
        """From lower right to upper left; each line ends at the edges of the box."""
        wide, high, at, runs = box.width, box.height, ZERO, []
        while at < wide + high:
            foot = (box.x0 + at, box.y0) if at <= wide else (box.x1, box.y0 + at - wide)
            top = (box.x0 + at - high, box.y1) if at >= high else (box.x0, box.y0 + at)
            runs.append(self._run((foot, top)))
            at = at + gap
        self._parts.append(f'<path d="{"".join(runs)}"{_style(pen)}/>')

    def to_svg(self, label: str) -> str:
        """The whole drawing; `label` is what is read aloud in its place."""
        across, up = svg_number(self.size.width), svg_number(self.size.height)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 {across} {up}" '
            f'role="img" aria-label="{escaped_words(label)}">{"".join(self._parts)}</svg>'
        )

    def _y(self, y: Length) -> str:
        return svg_number(self.size.height - y)

    def _run(self, points: Sequence[Point]) -> str:
        return "M" + "L".join(f"{svg_number(x)} {self._y(y)}" for x, y in points)


def _style(pen: Pen) -> str:
    fill = "none" if pen.fill is None else _grey(pen.fill)
    if not pen.weight:
        return f' fill="{fill}"'
    dash = f' stroke-dasharray="{_DASH}"' if pen.dashed else ""
    width = svg_number(pen.weight)
    return f' fill="{fill}" stroke="{_grey(pen.grey)}" stroke-width="{width}"{dash}'


def _grey(dark: Fraction) -> str:
    """1 is black."""
    level = round((1 - dark) * 255)
    return f"#{level:02x}{level:02x}{level:02x}"
