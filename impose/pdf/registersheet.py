"""The register sheet: rulers on the front, crosses on the back, to hold to the light."""

from __future__ import annotations

import io
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import pikepdf

from impose.bench.register import EDGE_LINE, INSET, REACH, cross_places
from impose.geometry.box import Box, Size
from impose.geometry.moving import STAY, Move, Point
from impose.geometry.turning import Flip, Turnover
from impose.pdf.flippicture import LIKE, draw_flip, flip_name
from impose.pdf.operators import Numbers, factor_text
from impose.pdf.pages import LEADING, Align, PageMaker, Pen
from impose.units import Length, ruler_inches

_FINE: Final = Pen(weight=Length.points("0.25"))
_LINE: Final = Pen(weight=Length.points("0.5"))
_WORDS: Final = Length.points(10)
_SMALL: Final = Length.points(7)
_LETTER: Final = Length.points(20)
#: Lines of the words in the middle keep this far from the rulers.
_CLEAR: Final = Length.mm(3)
#: The pictures of the two ways of turning are at least so high.
_PICTURE: Final = Length.mm(20)
#: What the check line measures.
CHECK_LINE: Final = {"mm": Length.mm(100), "in": Length.inches(4)}
#: A tick of the rulers, and every so many a longer one with its number.
_STEPS: Final = {"mm": (Length.mm(1), 5), "in": (Length.inches("1/32"), 8)}


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterSheet:
    """What is drawn: for sheets of this size, turned over this way, with these corrections.

    `put_back` says what is done with a sheet before it goes back into the tray for its second
    side; empty: the printer turns it.
    `command` begins the commands that the sheet asks for: the program, its printer and sheet.
    """

    sheet: Size
    flip: Flip
    printer: str
    command: str
    unit: str
    front: Move = STAY
    back: Move = STAY
    put_back: str = ""

    @property
    def corrected(self) -> bool:
        """Printed with corrections found before."""
        return not (self.front.idle and self.back.idle)


def register_pdf(sheet: RegisterSheet) -> bytes:
    """Two pages, front and back.  Raises ImposeError when the sheet is too small."""
    places = cross_places(sheet.sheet)
    maker = PageMaker(sheet.sheet, f"Register sheet, {sheet.printer}")
    front = _Front(maker, sheet)
    front.draw(places)
    maker.new_page()
    _draw_back(maker, sheet, places)
    if not sheet.put_back and not front.pictures.fit:
        middle, half = sheet.sheet.height.half, _PICTURE + _SMALL * 3
        ends = (_LETTER, sheet.sheet.width - _LETTER)
        _Pictures(sheet, Box(ends[0], middle - half, ends[1], middle + half)).draw(maker)
    out = io.BytesIO()
    with pikepdf.open(io.BytesIO(maker.to_bytes())) as pdf:
        for page, move in zip(pdf.pages, (sheet.front, sheet.back), strict=True):
            if not move.idle:
                page.contents_add(pikepdf.Stream(pdf, _matrix(move)), prepend=True)
                page.contents_add(pikepdf.Stream(pdf, b"Q\n"))
        pdf.save(out, deterministic_id=True)
    return out.getvalue()


def _matrix(move: Move) -> bytes:
    n = Numbers()
    factors = b" ".join(factor_text(factor) for factor in (move.a, move.b, move.c, move.d))
    return b"q %b %b %b cm\n" % (factors, n[move.e.grains], n[move.f.grains])


class _Front:
    """Rulers at the corners, two lines to measure from the paper's edges, what to do."""

    pictures: _Pictures

    def __init__(self, maker: PageMaker, sheet: RegisterSheet) -> None:
        self.maker, self.sheet = maker, sheet

    def draw(self, places: dict[str, Point]) -> None:
        for corner, place in places.items():
            self._ruler(place, across=True)
            self._ruler(place, across=False)
            _letter(self.maker, corner, place, self.sheet.sheet)
        self._edge_lines()
        self._words()

    def _ruler(self, place: Point, across: bool) -> None:
        """Through the cross; numbers to the right and up, below zero to the left and down."""
        maker, (step, long_one) = self.maker, _STEPS[self.sheet.unit]
        x, y = place

        def at(along: Length, off: Length) -> Point:
            return (x + along, y + off) if across else (x + off, y + along)

        maker.line(at(-REACH, Length(0)), at(REACH, Length(0)), _FINE)
        for count in range(-(REACH // step), REACH // step + 1):
            along, numbered = step * count, count % long_one == 0
            tick = Length.mm(2) if numbered else Length.mm("1.2" if count % 2 == 0 else "0.7")
            maker.line(at(along, -tick), at(along, tick), _FINE)
            if numbered and count:
                self._number(at(along, -tick), along, across)

    def _number(self, end: Point, along: Length, across: bool) -> None:
        mm = self.sheet.unit == "mm"
        words = along.text("mm").removesuffix(" mm") if mm else ruler_inches(along, 32).text[:-3]
        if across:
            self.maker.text(end[0], end[1] - _SMALL, words, _SMALL, align=Align.CENTRE)
        else:
            x = end[0] - Length.mm("0.5")
            self.maker.text(x, end[1] - _SMALL * Fraction(1, 3), words, _SMALL, align=Align.RIGHT)

    def _edge_lines(self) -> None:
        maker, size, half = self.maker, self.sheet.sheet, Length.mm(15)
        at, letters = EDGE_LINE[self.sheet.unit], _SMALL * Fraction(4, 3)
        words = f"{at.text(self.sheet.unit)} from the paper's"
        x, y = size.width.half, size.height.half
        maker.line((at, y - half), (at, y + half), _LINE)
        maker.text_up(at - Length.mm(2), y, f"{words} left edge", letters)
        maker.line((x - half, at), (x + half, at), _LINE)
        maker.text(x, at - Length.mm(4), f"{words} foot", letters, align=Align.CENTRE)

    def _words(self) -> None:
        maker, sheet = self.maker, self.sheet
        size = sheet.sheet
        left = INSET + Length.mm(5) + _CLEAR
        width = size.width - left * 2
        y = size.height - INSET - REACH - _CLEAR * 2
        maker.text(size.width.half, size.height - Length.mm(25), "FRONT", _LETTER, True,
                   Align.CENTRE)  # fmt: skip
        check = check_line(sheet)
        x0, x1 = size.width.half - check.half, size.width.half + check.half
        tick = Length.mm(2)
        # On a small sheet the letters are in the way, and the line goes up between the rulers.
        line = y if check == CHECK_LINE[sheet.unit] else size.height - INSET
        for x in (x0, x1):
            maker.line((x, line - tick), (x, line + tick), _LINE)
        maker.line((x0, line), (x1, line), _LINE)
        y = y - _WORDS * LEADING * 2
        words_size = _WORDS if width > CHECK_LINE["mm"] else _SMALL
        for number, words in enumerate(_instructions(sheet), start=1):
            y = y - maker.wrapped((left, y), width, f"{number}. {words}", words_size) - _WORDS.half
        low = EDGE_LINE[sheet.unit] + _CLEAR
        inner = INSET + Length.mm(24)  # beside the letters
        self.pictures = _Pictures(sheet, Box(inner, low, size.width - inner, y))
        if self.pictures.fit and not sheet.put_back:
            self.pictures.draw(maker)


@dataclass(frozen=True, slots=True)
class _Pictures:
    """Both ways of turning a sheet over, the one that the sheet is made for in a frame."""

    sheet: RegisterSheet
    place: Box

    @property
    def fit(self) -> bool:
        """There is room enough to see anything."""
        return self.place.height >= _PICTURE + _SMALL * 4 and self.place.width >= _PICTURE * 4

    def draw(self, maker: PageMaker) -> None:
        place, sheet = self.place, self.sheet
        high = min(_PICTURE * 2, place.height - _SMALL * 4)
        half = place.width.half
        for index, turned in enumerate(Turnover):
            x = place.x0 + half * index
            box = Box(x + _CLEAR, place.y1 - high, x + half - _CLEAR, place.y1)
            draw_flip(maker, box, turned, sheet.sheet.landscape)
            name = flip_name(turned, sheet.sheet.landscape)
            ours = turned is sheet.flip.on(sheet.sheet)
            if ours:
                maker.box(box, _LINE)
            middle, base = (box.x0 + box.x1).half, box.y0 - _SMALL * Fraction(3, 2)
            this = "this sheet is made for: " if ours else ""
            maker.text(middle, base, f"{this}{name},", _SMALL * Fraction(4, 3), ours, Align.CENTRE)
            maker.text(middle, base - _SMALL * Fraction(3, 2), LIKE[turned],
                       _SMALL * Fraction(4, 3), False, Align.CENTRE)  # fmt: skip


def check_line(sheet: RegisterSheet) -> Length:
    """Half as long on a small sheet, where the letters are in its way."""
    whole = CHECK_LINE[sheet.unit]
    return whole if sheet.sheet.width > whole + INSET * 2 else whole.half


def _example(unit: str) -> str:
    """Readings as they are typed."""
    metric = ("0.5mm -1mm", "0.5mm -0.5mm")
    one, other = metric if unit == "mm" else ("1/32in -1/16in", "1/32in 0in")
    at = EDGE_LINE[unit].text(unit).replace(" ", "")
    return f"--read A {one} --read D {other} --left-line {at} --foot-line {at}"


def _instructions(sheet: RegisterSheet) -> list[str]:
    unit = sheet.unit
    kept = "with the correction kept so far" if sheet.corrected else "without any correction"
    printed = (
        f"Print this side at actual size ({sheet.printer}, {kept}), take the sheet out, "
        f"{sheet.put_back}, put it back into the tray and print the back"
        if sheet.put_back
        else f"Print both sides at actual size, turned over on the {sheet.flip.value} "
        f"({sheet.printer}, {kept})"
    )
    wrong = (
        "the sheet lay in the tray in another way than the pile does in a job: "
        f"{sheet.command} --one-side finds out how it goes back"
        if sheet.put_back
        else "the printer turned the sheet over in the other way of the two pictures: "
        f"{sheet.command} --letters others keeps that"
    )
    return [
        f"{printed}. The line above must measure "
        f"{check_line(sheet).text(unit)}; if it does not, the print dialog fits pages: switch that "
        "off and print again.",
        "Hold the sheet to the light, this side toward you. The letters of the back must lie on "
        f"the same letters of the front. If they lie on others, {wrong}; then make and print this "
        "sheet again.",
        "At each letter read how far the back's cross lies to the right of the front's, and "
        "above it. To the left and below it is a minus: half a millimetre to the right and one "
        "millimetre below are 0.5mm -1mm."
        if unit == "mm"
        else "At each letter read how far the back's cross lies to the right of the front's, and "
        "above it. To the left and below it is a minus: a thirty-second to the right and a "
        "sixteenth below are 1/32in -1/16in.",
        "Measure from the paper's left edge and from its foot to the two lines.",
        f"Give the readings, each with its unit, yours in place of these: {sheet.command} "
        f"{_example(unit)} (A and D are enough; all four are better).",
    ]


def _draw_back(maker: PageMaker, sheet: RegisterSheet, places: dict[str, Point]) -> None:
    """As seen from the back: plain crosses where the front's lie, in nobody's way."""
    size, turned = sheet.sheet, sheet.flip.on(sheet.sheet)
    long = REACH + Length.mm(2)
    for corner, place in places.items():
        x, y = turned.point(*place, size)
        maker.line((x - long, y), (x + long, y), _LINE)
        maker.line((x, y - long), (x, y + long), _LINE)
        _letter(maker, corner, (x, y), size)
    middle = (size.width.half, Length.mm(30))
    maker.text(*middle, "BACK: read from the other side", _WORDS, align=Align.CENTRE)


def _letter(maker: PageMaker, corner: str, place: Point, size: Size) -> None:
    """Toward the middle of the sheet from the cross."""
    x, y = place
    off = Length.mm(17)
    x = x + off if x < size.width.half else x - off
    y = y + off if y < size.height.half else y - off - _LETTER.half
    maker.text(x, y, corner, _LETTER, True, Align.CENTRE)
