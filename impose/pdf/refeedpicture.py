"""Pictures for the trial of one side at a time: the pile that goes back as it lies, and how the
two arrows may lie to each other against the light."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.pdf.pages import Align, PageMaker, Pen, Point
from impose.units import Length

_EDGE: Final = Pen(weight=Length.points("0.9"))
_FAR: Final = Pen(weight=Length.points("0.9"), dashed=True)
_THICK: Final = Pen(weight=Length.points("1.6"))
_TIP: Final = Pen(weight=Length.points("0.3"), fill=Fraction(1))
_LETTERS: Final = Length.points(9)
_SHIFT: Final = Length.points(3)


def draw_refill(maker: PageMaker, place: Box, turned: bool = False, pile: bool = True) -> None:
    """What comes out, an arrow, and the same in the tray: as it lies, or `turned` over like the
    page of a book (what was printed then lies on the other face, its arrow dashed).

    `pile`: several sheets; else a single one.
    """
    third = place.width * Fraction(1, 3)
    high = place.height - _LETTERS * 2
    for x, word in ((place.x0, "comes out"), (place.x1 - third, "goes back in")):
        for shift in (_SHIFT * 2, _SHIFT, Length()) if pile else (Length(),):
            box = Box(x + shift, place.y0 + _LETTERS * 2 + shift,
                      x + third * Fraction(3, 4) + shift, place.y0 + high + shift)  # fmt: skip
            maker.box(box, Pen(weight=Length.points("0.9"), fill=Fraction(0)))
        middle = (x + x + third * Fraction(3, 4)).half
        far = turned and word == "goes back in"
        _up(maker, middle, place.y0 + high.half, high * Fraction(2, 5), far=far)
        maker.text(
            middle, place.y0 + _LETTERS * Fraction(1, 2), word, _LETTERS, False, Align.CENTRE
        )
    y = (place.y0 + place.y1).half
    start, end = place.x0 + third + _SHIFT * 2, place.x1 - third - _SHIFT * 3
    if turned:
        _over(maker, start, end, y)
        return
    maker.line((start, y), (end, y), _THICK)
    maker.polygon(((end + _SHIFT * 2, y), (end, y + _SHIFT), (end, y - _SHIFT)), _TIP)
    maker.text((start + end).half, y + _SHIFT * 2, "as it lies", _LETTERS, True, Align.CENTRE)


def _over(maker: PageMaker, start: Length, end: Length, y: Length) -> None:
    """An arc from pile to tray, as a page is turned."""
    rise = (end - start).half
    maker.arc(Box(start, y - rise, end, y + rise), 0, 180, _THICK)
    maker.polygon(((end, y - _SHIFT * 2), (end - _SHIFT, y), (end + _SHIFT, y)), _TIP)
    maker.text((start + end).half, y - _LETTERS * 2, "turn over", _LETTERS, True, Align.CENTRE)


def draw_arrows(maker: PageMaker, place: Box) -> None:
    """Against the light: both arrows to one edge, and to opposite ones; the front's dashed."""
    third = place.width * Fraction(1, 3)
    for x, word in ((place.x0, "same"), (place.x1 - third, "opposite")):
        box = Box(x, place.y0 + _LETTERS * 2, x + third, place.y1)
        maker.box(box, _EDGE)
        long, middle = box.height * Fraction(3, 5), (box.y0 + box.y1).half
        _up(maker, box.x0 + third * Fraction(1, 3), middle, long)
        _up(maker, box.x0 + third * Fraction(2, 3), middle, long, down=word == "opposite", far=True)
        maker.text((box.x0 + box.x1).half, place.y0 + _LETTERS.half, word, _LETTERS, True,
                   Align.CENTRE)  # fmt: skip


def _up(
    maker: PageMaker, x: Length, middle: Length, long: Length, down: bool = False, far: bool = False
) -> None:
    """An arrow that points up, or down; `far`: on the other face of the sheet."""
    sign = -1 if down else 1
    tip, tail = middle + long.half * sign, middle - long.half * sign
    maker.line((x, tail), (x, tip), _FAR if far else _THICK)
    back = tip - _SHIFT * 2 * sign
    corners: tuple[Point, ...] = ((x, tip), (x - _SHIFT, back), (x + _SHIFT, back))
    maker.polygon(corners, _TIP)
