"""Two sheets that find out how a printer takes a pile back for its second side."""

from __future__ import annotations

from typing import Final

from impose.geometry.box import Box, Size
from impose.pdf.pages import Align, PageMaker, Pen
from impose.pdf.refeedpicture import draw_arrows, draw_refill
from impose.units import Length

_WORDS: Final = Length.points(13)
_HEAD: Final = Length.points(30)
_ARROW: Final = Pen(weight=Length.points(3))
_CHECK: Final = Length.mm(50)
_MARGIN: Final = Length.mm(20)
#: The pictures are twice as wide as high.
_PICTURE: Final = Length.mm(32)
_FRONT: Final = (
    "Print this file on one side, at actual size. The line below must measure 50 mm (1.97 in); "
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
    last = f"Then, with your answers: {command} --answers blank 1 same"
    fronts = PageMaker(sheet, "Trial of one side at a time: fronts")
    backs = PageMaker(sheet, "Trial of one side at a time: backs")
    for number, ordinal in ((1, "FIRST"), (2, "SECOND")):
        if number > 1:
            fronts.new_page()
            backs.new_page()
        _page(fronts, f"SHEET {number}, FRONT", _FRONT, low=False)
        _page(backs, f"PRINTED {ordinal}", (*_BACK, last), low=True)
    return fronts.to_bytes(), backs.to_bytes()


def _page(maker: PageMaker, head: str, words: tuple[str, ...], low: bool) -> None:
    """An arrow to the head of the page, what it is, what to do; `low` on the lower half, so
    that a back printed over its front can be read."""
    size = maker.size
    x, top = size.width.half, size.height - _MARGIN
    aside = x + Length.mm(30) if low else x - Length.mm(30)
    maker.line((aside, top - Length.mm(40)), (aside, top), _ARROW)
    for side in (-Length.mm(6), Length.mm(6)):
        maker.line((aside + side, top - Length.mm(9)), (aside, top), _ARROW)
    y = size.height.half if low else top - Length.mm(42)
    maker.text(x, y - _HEAD, head, _HEAD, True, Align.CENTRE)
    y = y - _HEAD * 2
    width = size.width - _MARGIN * 2
    for number, line in enumerate(words, start=1):
        size_of = _words_size(size)
        y = y - maker.wrapped((_MARGIN, y), width, f"{number}. {line}", size_of) - size_of.half
    picture = Box(x - _PICTURE, y - _PICTURE, x + _PICTURE, y)
    if picture.y0 > _PICTURE.half:  # a small sheet has room for the words alone
        (draw_arrows if low else draw_refill)(maker, picture)
        y = picture.y0 - _WORDS
    if not low:
        y, tick = y - Length.mm(3), Length.mm(2)
        maker.line((x - _CHECK.half, y), (x + _CHECK.half, y))
        for end in (x - _CHECK.half, x + _CHECK.half):
            maker.line((end, y - tick), (end, y + tick))


def _words_size(sheet: Size) -> Length:
    """Smaller on small sheets."""
    if sheet.height > Length.mm(250):
        return _WORDS
    return Length.points(10 if sheet.height > Length.mm(180) else 7)
