"""Two sheets that find out how a printer takes a pile back for its second side."""

from __future__ import annotations

from typing import Final

from impose.geometry.box import Box, Size
from impose.pdf.pages import PageMaker, Pen
from impose.pdf.refeedpicture import draw_arrows, draw_refill
from impose.units import Length

_ARROW: Final = Pen(weight=Length.points(3))
_CHECK: Final = Length.mm(50)
_MARGIN: Final = Length.mm(20)
#: The arrows' distance from the side edge, and what is left free at the middle of the sheet.
_ARROW_IN: Final = Length.mm(12)
_CLEAR: Final = Length.mm(4)
#: Sheets no wider have their arrows nearer the edge.
_SMALL: Final = Length.mm(120)
#: The pictures are twice as wide as high.
_PICTURE: Final = Length.mm(32)
_LEAST_PICTURE: Final = Length.mm(18)
_FRONT: Final = (
    "Print this file on one side, at actual size. The line below must measure {line}; "
    "if it does not, switch off every fitting to the page in the print dialog.",
    "Let the ink dry. Take both sheets out together as they lie. Do not turn them over, do not "
    "turn them round, do not exchange them. Put them back into the tray as you would put in paper, "
    "and remember how: do it the same way for every job.",
    "Print the other file on them. The backs then ask for three answers.",
)
_BACK: Final = (
    "FACE: is this printed on paper that was empty (answer: blank), or over the front (printed)?",
    "SHEET: find the sheet whose back says PRINTED FIRST. Which number has its front: 1 or 2?",
    "ARROWS: hold the sheet to the light. Do the two arrows point to the same edge of the paper "
    "(same), or to opposite ones (opposite)?",
)


def trial_pdfs(sheet: Size, command: str) -> tuple[bytes, bytes]:
    """The file of the fronts and that of the backs, two pages each; `command` begins the one
    that takes the answers."""
    last = f"Then {command} --answers blank 1 same (with your own three answers in that order)"
    long = _check_length(sheet)
    line = f"{long.text('mm')} ({float(long.as_inches):.2f} in)"
    words = tuple(one.format(line=line) for one in _FRONT)
    fronts = PageMaker(sheet, "Trial of one side at a time: fronts")
    backs = PageMaker(sheet, "Trial of one side at a time: backs")
    for number, ordinal in ((1, "FIRST"), (2, "SECOND")):
        if number > 1:
            fronts.new_page()
            backs.new_page()
        _page(fronts, f"SHEET {number}, FRONT", words, low=False)
        _page(backs, f"PRINTED {ordinal}", (*_BACK, last), low=True)
    return fronts.to_bytes(), backs.to_bytes()


def _page(maker: PageMaker, head: str, words: tuple[str, ...], low: bool) -> None:
    """An arrow to the head of the page, what it is, what to do.

    The front keeps to the upper left quarter, a back (`low`) to the lower left, its arrow to
    the upper right: printed over its own front, the same way up or turned half round, a back
    can still be read.
    """
    size = maker.size
    small = size.width <= _SMALL
    top = size.height - (_MARGIN.half if small else _MARGIN)
    middle, arrow_in = size.height.half, _ARROW_IN.half if small else _ARROW_IN
    aside = size.width - arrow_in if low else arrow_in
    maker.line((aside, top - Length.mm(40)), (aside, top), _ARROW)
    for side in (-Length.mm(6), Length.mm(6)):
        maker.line((aside + side, top - Length.mm(9)), (aside, top), _ARROW)
    left, right = arrow_in * 2, size.width.half - _CLEAR
    width, letters = right - left, _words_size(size)
    y, floor = (middle - _CLEAR, _MARGIN.half) if low else (top, middle + _CLEAR)
    y = y - maker.wrapped((left, y), width, head, letters * 2, True) - letters.half
    for number, line in enumerate(words, start=1):
        y = y - maker.wrapped((left, y), width, f"{number}. {line}", letters) - letters.half
    if not low:
        y = _check_line(maker, left, y - Length.mm(3))
    high = min(width.half, _PICTURE)
    picture = Box(left, y - high, left + high * 2, y)
    if picture.y0 >= floor and high >= _LEAST_PICTURE:  # a small sheet has room for words alone
        (draw_arrows if low else draw_refill)(maker, picture)


def _check_line(maker: PageMaker, left: Length, y: Length) -> Length:
    """With a tick at each end; gives where it ends below."""
    tick, long = Length.mm(2), _check_length(maker.size)
    maker.line((left, y), (left + long, y))
    for end in (left, left + long):
        maker.line((end, y - tick), (end, y + tick))
    return y - tick * 2


def _check_length(sheet: Size) -> Length:
    """50 mm, half of it where a quarter of the sheet is narrower."""
    return _CHECK if sheet.width.half > _CHECK + _ARROW_IN * 2 + _CLEAR else _CHECK.half


def _words_size(sheet: Size) -> Length:
    """Smaller on small sheets."""
    if sheet.width > Length.mm(200) and sheet.height > Length.mm(250):
        return Length.points("10.5")
    return Length.points(8 if min(sheet.width, sheet.height) > Length.mm(180) else 6)
