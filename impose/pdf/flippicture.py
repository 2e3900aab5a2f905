"""How a sheet is turned over for its back, drawn: two pictures that everybody knows.

About the vertical: like the page of a book.  About the horizontal: like the
leaf of a wall calendar.  Which of them is called the long edge depends on how
the sheet lies (`geometry.turning.Flip`).
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box, Size
from impose.geometry.turning import Flip, Turnover
from impose.pdf.pages import Align, PageMaker, Pen, Point
from impose.units import Length

_SHEET: Final = Pen(weight=Length.points("0.9"))
_BACK: Final = Pen(weight=Length.points("0.9"), dashed=True)
_AXIS: Final = Pen(weight=Length.points("2.2"))
_ARROW: Final = Pen(weight=Length.points("1.4"))
#: The long side of the sheet drawn, as a share of the picture's width or height.
_GAP: Final = Length.points(4)
LIKE: Final = {
    Turnover.ABOUT_VERTICAL: "like the page of a book",
    Turnover.ABOUT_HORIZONTAL: "like the leaf of a wall calendar",
}


def flip_name(turned: Turnover, landscape: bool) -> str:
    """`long edge` or `short edge`, for a sheet that lies so."""
    size = Size(Length(2), Length(1)) if landscape else Size(Length(1), Length(2))
    return Flip.that_gives(turned, size).value


def draw_flip(maker: PageMaker, place: Box, turned: Turnover, landscape: bool) -> None:
    """Front (1), the edge it is turned about, and where the back (2) is then, within `place`."""
    wide, high = (Fraction(7, 5), Fraction(1)) if landscape else (Fraction(1), Fraction(7, 5))
    vertical = turned is Turnover.ABOUT_VERTICAL
    room = Size(place.width - _GAP * 2, place.height - _GAP * 6)
    unit = min(room.width * (1 / (wide * 2)), room.height * (1 / (high * 2)))  # alike in both
    size = Size(unit * wide, unit * high)
    x, y = (place.x0 + place.x1).half, (place.y0 + place.y1).half - _GAP
    if vertical:
        front = Box(x - size.width, y - size.height.half, x, y + size.height.half)
        back = front.moved(size.width, Length())
        axis = ((x, front.y0 - _GAP), (x, front.y1 + _GAP))
    else:
        front = Box(x - size.width.half, y, x + size.width.half, y + size.height)
        back = front.moved(Length(), -size.height)
        axis = ((front.x0 - _GAP, y), (front.x1 + _GAP, y))
    maker.box(back, _BACK)
    maker.box(front, _SHEET)
    maker.line(*axis, _AXIS)
    for box, word in ((front, "1"), (back, "2")):
        letter = min(size.width, size.height) * Fraction(2, 5)
        base = (box.y0 + box.y1).half - letter * Fraction(1, 3)
        maker.text((box.x0 + box.x1).half, base, word, letter, word == "1", Align.CENTRE)
    _swing(maker, front, vertical)


def _swing(maker: PageMaker, front: Box, vertical: bool) -> None:
    """An arrow in an arc from the front over the edge to the back."""
    if vertical:
        reach, rise = front.width.half, front.height * Fraction(1, 5)
        x, y = front.x1, front.y1
        maker.arc(Box(x - reach, y - rise, x + reach, y + rise), 0, 180, _ARROW)
        _tip(maker, (x + reach, y), down=True)
        return
    reach, rise = front.height.half, front.width * Fraction(1, 5)
    x, y = front.x1, front.y0
    maker.arc(Box(x - rise, y - reach, x + rise, y + reach), -90, 180, _ARROW)
    _tip(maker, (x, y - reach), down=False)


def _tip(maker: PageMaker, at: Point, *, down: bool) -> None:
    """The head of an arrow that points down, or to the left."""
    x, y = at
    long, wide = Length.points(6), Length.points(3)
    pen = Pen(weight=Length.points("0.3"), fill=Fraction(1))
    if down:
        corners = ((x, y - long.half), (x - wide, y + long.half), (x + wide, y + long.half))
    else:
        corners = ((x - long.half, y), (x + long.half, y + wide), (x + long.half, y - wide))
    maker.polygon(corners, pen)
