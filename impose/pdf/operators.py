"""Content operators for marks and for the numbers in them (ISO 32000-1 8.4, 8.5, 9.4)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from operator import itemgetter
from typing import Final

from impose.geometry.moving import Move
from impose.pdf.lettering import Lettering
from impose.plan.parts import Fill, Mark, Shape
from impose.units import Length, points_text

#: Names in the resources of sheets and mark groups.
FONT: Final = b"F"
ALL_INKS: Final = b"K"
#: Dash and gap of a dashed line, in multiples of its weight.
_DASH: Final = (12, 6)
#: Control point of a quarter circle of radius 1 as a Bezier curve.
_KAPPA: Final = Fraction(5523, 10000)
#: Members of an enumeration are slow to look up.
_TEXT, _FILLED, _CIRCLE, _DASHED = Shape.TEXT, Shape.FILLED, Shape.CIRCLE, Shape.DASHED
_BY_PLACE: Final = itemgetter(0, 1, 2, 3, 4)
_COS_SIN: Final = {0: b"1 0 0 1", 90: b"0 1 -1 0", 180: b"-1 0 0 -1", 270: b"0 -1 1 0"}
#: Decimals of a scale: over the widest page (14,400 pt) they are off by less than two grains.
SCALE_PLACES: Final = 10


class Numbers(dict[int, bytes]):
    """Grains to the text of a PDF number in points; each worked out once."""

    def __missing__(self, grains: int) -> bytes:
        text = self[grains] = points_text(Length(grains)).encode("ascii")
        return text


def factor_text(factor: Fraction) -> bytes:
    """A number without unit, to ten decimals."""
    scaled = round(factor * 10**SCALE_PLACES)
    text = f"{Decimal(scaled).scaleb(-SCALE_PLACES):f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text).encode("ascii")


def moved(move: Move, operators: bytes, numbers: Mapping[int, bytes]) -> bytes:
    """The operators drawn through the correction of a side; unchanged when it moves nothing."""
    if move.idle or not operators:
        return operators
    factors = b" ".join(factor_text(factor) for factor in (move.a, move.b, move.c, move.d))
    shift = numbers[move.e.grains], numbers[move.f.grains]
    return b"q %b %b %b cm\n%bQ\n" % (factors, *shift, operators)


_INK_OPERATORS: Final = {"grey": b"g", "cmyk": b"k", "rgb": b"rg", "spot": b"scn"}


def fill_field(fill: Fill, numbers: Mapping[int, bytes], spots: Mapping[str, bytes]) -> bytes:
    """A field of flat colour; grey is darkness here and light in the file (8.6.4).

    `spots` are the names of spot colours' spaces in the resources.
    """
    ink, box = fill.ink, fill.box
    parts = [1 - part for part in ink.parts] if ink.space == "grey" else list(ink.parts)
    colour = b" ".join(factor_text(part) for part in parts)
    if ink.space == "spot":
        colour = b"/%b cs %b" % (spots[ink.name], colour)
    x0, y0, x1, y1 = (value.grains for value in (box.x0, box.y0, box.x1, box.y1))
    corner = (numbers[x0], numbers[y0], numbers[x1 - x0], numbers[y1 - y0])
    return b"q %b %b %b %b %b %b re f Q\n" % (colour, _INK_OPERATORS[ink.space], *corner)


class Pen:
    """Turns marks into operators.

    `ink` is "registration" (all inks at full strength) or anything else for
    black, which is what a content stream starts with (table 52).
    """

    def __init__(self, numbers: Mapping[int, bytes], lettering: Lettering | None, ink: str) -> None:
        self._numbers = numbers
        self._lettering = lettering
        self.all_inks = ink == "registration"

    def choose_ink(self) -> bytes:
        """What makes the ink of the marks the present one, for strokes and for areas."""
        if not self.all_inks:
            return b""
        return b"/%b CS 1 SCN/%b cs 1 scn\n" % (ALL_INKS, ALL_INKS)

    def strokes(self, marks: Iterable[Mark]) -> bytes:
        """Everything but words, in the present ink, from left to right and from the foot up.

        Marks never overlap; in this order those of the two sides of a sheet are
        often the same operators.
        """
        n = self._numbers
        out: list[bytes] = []
        present = -1
        rows = [
            (m.weight.grains, m.x0.grains, m.y0.grains, m.x1.grains, m.y1.grains, m)
            for m in marks
            if m.shape is not _TEXT
        ]
        rows.sort(key=_BY_PLACE)
        for weight, x0, y0, x1, y1, mark in rows:
            if mark.shape is _FILLED:
                out.append(b"%b %b %b %b re f\n" % (n[x0], n[y0], n[x1 - x0], n[y1 - y0]))
                continue
            if weight != present:
                present = weight
                out.append(b"%b w\n" % n[weight])
            if mark.shape is _CIRCLE:
                out.append(self._circle(mark))
                continue
            line = b"%b %b m %b %b l S\n" % (n[x0], n[y0], n[x1], n[y1])
            if mark.shape is _DASHED:
                dash, gap = (n[weight * times] for times in _DASH)
                line = b"[%b %b] 0 d\n%b[] 0 d\n" % (dash, gap, line)
            out.append(line)
        return b"".join(out)

    def all(self, marks: Sequence[Mark]) -> bytes:
        """Ink, strokes and words."""
        return self.choose_ink() + self.strokes(marks) + self.words(marks)

    def words(self, marks: Iterable[Mark]) -> bytes:
        """The texts among the marks, in order, in the present ink."""
        return b"".join([self._text(mark) for mark in marks if mark.shape is _TEXT])

    def _circle(self, mark: Mark) -> bytes:
        """Four curves, counter-clockwise from the right, within the mark's box."""
        width, height = mark.x1 - mark.x0, mark.y1 - mark.y0
        cx, cy = mark.x0 + width.half, mark.y0 + height.half
        kx, ky = width.half * _KAPPA, height.half * _KAPPA
        corners = (
            (mark.x1, cy + ky, cx + kx, mark.y1, cx, mark.y1),
            (cx - kx, mark.y1, mark.x0, cy + ky, mark.x0, cy),
            (mark.x0, cy - ky, cx - kx, mark.y0, cx, mark.y0),
            (cx + kx, mark.y0, mark.x1, cy - ky, mark.x1, cy),
        )
        curves = b"".join(
            b" ".join(self._numbers[v.grains] for v in curve) + b" c\n" for curve in corners
        )
        start = b"%b %b m\n" % (self._numbers[mark.x1.grains], self._numbers[cy.grains])
        return start + curves + b"s\n"

    def _text(self, mark: Mark) -> bytes:
        if self._lettering is None:
            return b""
        n = self._numbers
        size, x, y = n[mark.weight.grains], n[mark.x0.grains], n[mark.y0.grains]
        string = self._lettering.string(mark.text)
        if mark.turn % 360 == 0:
            return b"BT/%b %b Tf %b %b Td%bTj ET\n" % (FONT, size, x, y, string)
        turned = _COS_SIN[mark.turn % 360]
        return b"BT/%b %b Tf %b %b %b Tm%bTj ET\n" % (FONT, size, turned, x, y, string)
