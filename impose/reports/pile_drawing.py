"""A step of the cut list drawn: the pile as it lies, seen from above.

The back stop is at the top, away from the operator; the knife line runs
across; what falls away in front of it is hatched.  Narrow strips are drawn
wider than they are, so that they can be seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.bench.replay import Moment
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.pdf.pages import Align, Pen, Point
from impose.reports.drawing import Drawing
from impose.units import ZERO, Length

LETTERS: Final = Length.points(11)
#: Nothing is drawn narrower than this.
_LEAST: Final = Length.mm(4)
_STOP: Final = Length.mm("1.5")
_BEYOND: Final = Length.mm(4)
_OUTLINE: Final = Pen(weight=Length.points("1.2"), fill=Fraction(0))
_TRIM: Final = Pen(weight=Length.points("0.6"), grey=Fraction(1, 2), dashed=True)
_HATCH: Final = Pen(weight=Length.points("0.5"), grey=Fraction(3, 5))
_KNIFE: Final = Pen(weight=Length.points("2.2"))
_SOLID: Final = Pen(weight=ZERO, fill=Fraction(1))


#: Smaller figures cannot be read at the machine (from memory).
_SMALLEST: Final = Length.points(7)
#: Knife and stop reach so far beyond the pile, and words beside them need so much more.
_WING: Final = Length.mm(2)
_BESIDE: Final = LETTERS + Length.mm("1.5")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """What is drawn: one cut, the trims to be seen in the pile, and words.

    `mirrored`: the pile's frame is seen as in a mirror (a book with its back
    up, or bound at the right).  `names` are words at the edges of the frame.
    `waste`: hatched instead of what lies in front of the knife.
    """

    moment: Moment
    trims: Sequence[tuple[Box, str]] = ()
    mirrored: bool = False
    names: Sequence[tuple[Edge, str]] = ()
    stop_words: str = ""
    falls_words: str = ""
    waste: Box | None = None


@dataclass(frozen=True, slots=True)
class _Lying:
    """From the pile's frame to a drawing `width` wide, from the stop down."""

    box: Box
    edge: Edge
    mirrored: bool

    def spans(self, part: Box) -> tuple[tuple[Length, Length], tuple[Length, Length]]:
        """Left to right, and from the back stop toward the operator."""
        box = self.box
        up = (part.y0 - box.y0, part.y1 - box.y0)
        down = (box.y1 - part.y1, box.y1 - part.y0)
        right = (part.x0 - box.x0, part.x1 - box.x0)
        left = (box.x1 - part.x1, box.x1 - part.x0)
        across, deep = {
            Edge.TOP: (right, down),
            Edge.BOTTOM: (left, up),
            Edge.LEFT: (up, right),
            Edge.RIGHT: (down, left),
        }[self.edge]
        if self.mirrored:
            wide = self.wide
            across = (wide - across[1], wide - across[0])
        return across, deep

    @property
    def wide(self) -> Length:
        return self.box.height if self.edge in (Edge.LEFT, Edge.RIGHT) else self.box.width

    @property
    def deep(self) -> Length:
        return self.box.width if self.edge in (Edge.LEFT, Edge.RIGHT) else self.box.height

    def place_of(self, edge: Edge) -> Edge:
        """Where an edge of the frame lies in the drawing."""
        box, thin = self.box, Length(1)
        strip = {
            Edge.LEFT: Box(box.x0, box.y0, box.x0 + thin, box.y1),
            Edge.RIGHT: Box(box.x1 - thin, box.y0, box.x1, box.y1),
            Edge.BOTTOM: Box(box.x0, box.y0, box.x1, box.y0 + thin),
            Edge.TOP: Box(box.x0, box.y1 - thin, box.x1, box.y1),
        }[edge]
        across, deep = self.spans(strip)
        if across[1] - across[0] == thin:
            return Edge.LEFT if across[0] == ZERO else Edge.RIGHT
        return Edge.TOP if deep[0] == ZERO else Edge.BOTTOM


@dataclass(frozen=True, slots=True)
class _Frame:
    """Lengths of the pile to the page: one scale, but strips at the knife at least so wide."""

    left: Length
    top: Length
    scale: Fraction
    knife: Length  #: from the stop, in the pile
    stays: Length  #: drawn
    falls: Length  #: drawn
    deep: Length

    def x(self, across: Length) -> Length:
        return self.left + across * self.scale

    def y(self, deep: Length) -> Length:
        """Downward from the stop."""
        if deep <= self.knife:
            return self.top - self.stays * deep.ratio(self.knife)
        rest = (deep - self.knife).ratio(self.deep - self.knife)
        return self.top - self.stays - self.falls * rest

    def box(self, spans: tuple[tuple[Length, Length], tuple[Length, Length]]) -> Box:
        (x0, x1), (d0, d1) = spans
        return Box(self.x(x0), self.y(d1), self.x(x1), self.y(d0))


def draw_cut(page: Drawing, room: Box, picture: Picture) -> None:
    """The picture within `room`, its words included."""
    moment = picture.moment
    lying = _Lying(moment.before, moment.edge, picture.mirrored)
    frame = _frame(lying, moment, room)
    aside = _names_aside(page, frame, lying, picture)
    if aside:  # what stays is too low for the names beside it: they go beyond knife and stop
        frame = _frame(lying, moment, room, _BESIDE)
    whole = frame.box(lying.spans(moment.before))
    falls = frame.box(lying.spans(moment.falls))
    page.box(whole, _OUTLINE)
    hatched = falls if picture.waste is None else frame.box(lying.spans(picture.waste))
    page.hatch(hatched, Length.mm(2), _HATCH)
    page.box(falls, Pen(weight=Length.points("0.8")))
    for trim, name in picture.trims:
        inside = trim.meet(moment.before)
        if not inside.empty:
            _trim(page, frame.box(lying.spans(inside)), name)
    _stop(page, whole, picture.stop_words)
    _knife(page, whole, frame.y(frame.knife))
    _words_at_edges(page, whole, falls, lying, picture, aside)


def _names_aside(page: Drawing, frame: _Frame, lying: _Lying, picture: Picture) -> bool:
    """A name at the left or right is longer than what stays is high, knife and stop kept clear."""
    clear = frame.stays - _WING * 2
    at_side = (
        words for edge, words in picture.names if lying.place_of(edge) in (Edge.LEFT, Edge.RIGHT)
    )
    return any(page.width(words, LETTERS) > clear for words in at_side)


def _frame(lying: _Lying, moment: Moment, room: Box, beside: Length = ZERO) -> _Frame:
    """`beside`: kept free at the left and at the right for words."""
    words = LETTERS * 2
    wide, high = room.width - _BEYOND * 4 - beside * 2, room.height - words - words
    scale = min(wide.ratio(lying.wide), high.ratio(lying.deep))
    knife = lying.spans(moment.stays)[1][1]
    stays, falls = knife * scale, (lying.deep - knife) * scale
    if falls < _LEAST:
        falls = _LEAST
    if stays < _LEAST:
        stays = _LEAST
    if stays + falls > high:
        big, small = max(stays, falls), min(stays, falls)
        shrunk = high - small
        stays, falls = (shrunk, small) if stays == big else (small, shrunk)
    left = room.x0 + (room.width - lying.wide * scale).half
    return _Frame(left, room.y1 - words, scale, knife, stays, falls, lying.deep)


def _trim(page: Drawing, box: Box, name: str) -> None:
    page.box(box, _TRIM)
    if name:
        middle = box.x0 + box.width.half
        wide = box.width * Fraction(3, 2 * len(name))  # figures are two thirds of their height wide
        size = max(_SMALLEST, min(Length.points(20), box.height.half, wide))
        if size <= box.height and page.width(name, size) <= box.width:
            page.text(middle, box.y0 + (box.height - size).half, name, size, align=Align.CENTRE)


def _stop(page: Drawing, whole: Box, words: str) -> None:
    """The back stop as a bar, with the name of the edge that lies at it."""
    bar = Box(whole.x0 - _BEYOND, whole.y1, whole.x1 + _BEYOND, whole.y1 + _STOP)
    page.box(bar, _SOLID)
    middle = whole.x0 + whole.width.half
    page.text(middle, bar.y1 + Length.points(4), words, LETTERS, True, Align.CENTRE)


def _knife(page: Drawing, whole: Box, at: Length) -> None:
    left, right = whole.x0 - _BEYOND, whole.x1 + _BEYOND
    page.line((left, at), (right, at), _KNIFE)
    for tip, away in ((left, -_WING), (right, _WING)):
        points: list[Point] = [(tip, at), (tip + away, at + _WING), (tip + away, at - _WING)]
        page.polygon(points, _SOLID)


def _words_at_edges(
    page: Drawing, whole: Box, falls: Box, lying: _Lying, picture: Picture, aside: bool
) -> None:
    """What falls, beneath; the names of the edges at the sides, `aside` beyond knife and stop."""
    under = whole.y0 - LETTERS * Fraction(5, 4)
    middle = whole.x0 + whole.width.half
    page.text(middle, under, picture.falls_words, LETTERS, align=Align.CENTRE)
    stays = whole.y1 - falls.y1
    gap = Length.mm("1.5") + (_BEYOND + _WING if aside else ZERO)
    for edge, words in picture.names:
        place = lying.place_of(edge)
        if place not in (Edge.LEFT, Edge.RIGHT):
            continue
        x = whole.x0 - gap if place is Edge.LEFT else whole.x1 + gap + LETTERS * Fraction(3, 4)
        middle = max(stays, page.width(words, LETTERS)).half
        page.text_up(x, whole.y1 - middle, words, LETTERS)


def draw_sheet(
    page: Drawing, room: Box, sheet: Box, trims: Sequence[tuple[Box, str]], lay: Sequence[Edge]
) -> None:
    """The sheet seen from its front, its piles numbered, its lay edges thick."""
    scale = min(room.width.ratio(sheet.width), room.height.ratio(sheet.height))
    left = room.x0 + (room.width - sheet.width * scale).half
    bottom = room.y1 - sheet.height * scale

    def there(box: Box) -> Box:
        return Box(
            left + box.x0 * scale,
            bottom + box.y0 * scale,
            left + box.x1 * scale,
            bottom + box.y1 * scale,
        )

    whole = there(sheet)
    page.box(whole, _OUTLINE)
    for trim, name in trims:
        _trim(page, there(trim), name)
    for edge in lay:
        page.box(_strip(whole, edge), _SOLID)


def _strip(box: Box, edge: Edge) -> Box:
    """A thick line just outside an edge."""
    return {
        Edge.LEFT: Box(box.x0 - _STOP, box.y0, box.x0, box.y1),
        Edge.RIGHT: Box(box.x1, box.y0, box.x1 + _STOP, box.y1),
        Edge.BOTTOM: Box(box.x0, box.y0 - _STOP, box.x1, box.y0),
        Edge.TOP: Box(box.x0, box.y1, box.x1, box.y1 + _STOP),
    }[edge]
