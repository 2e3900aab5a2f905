"""Where the needle goes: small drawings of one hop each, what is sewn already in grey.

A fold is drawn from its side, as a line with the inside above and the outside
below; a block from its front, the head at the left and the spine at the foot of
the drawing, thread on the back dashed.  The page of the guide and the report
draw the same pictures.  Not to scale: the holes are drawn evenly apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from impose.bench.needlewords import Hop, hops
from impose.geometry.box import Box
from impose.pdf.pages import Align, Pen
from impose.plan.holes import Face, HolePlan, Move, Pass
from impose.reports.drawing import Drawing
from impose.units import ZERO, Length

_NOW: Final = Pen(weight=Length.points("1.8"))
_NOW_BEHIND: Final = Pen(weight=Length.points("1.8"), dashed=True)
_DONE: Final = Pen(weight=Length.points("0.9"), grey=Fraction(1, 2))
_DONE_BEHIND: Final = Pen(weight=Length.points("0.9"), grey=Fraction(1, 2), dashed=True)
_PAPER: Final = Pen(weight=Length.points("0.8"), grey=Fraction(2, 3))
_GREY: Final = Fraction(1, 2)
_TAPE: Final = Pen(weight=Length.points("0.4"), fill=Fraction(1, 6))
_SOLID: Final = Pen(weight=ZERO, fill=Fraction(1))
_LETTERS: Final = Length.points(7)
_ARROW: Final = Length.points(4)
_LEVEL: Final = Length.points(9)
_STEP: Final = Length.points(3)
_IN: Final = Length.points(20)
Point = tuple[Length, Length]


def draw_needle(page: Drawing, room: Box, plan: HolePlan, count: int) -> None:
    """The first `count` hops, the last of them black with an arrow; all when there are no more."""
    picture = _Fold(plan, room) if plan.makes.on_fold else _Block(plan, room)
    picture.paper(page)
    parts = hops(plan.way)
    before = parts[0][0]
    for number, hop in enumerate(parts[:count], start=1):
        now = number == min(count, len(parts))
        for one in hop:
            if one.move is not Move.START:
                picture.stitch(page, before, one, now)
            before = one
        if now:
            picture.point(page, hop)
    picture.numbers(page)


def hop_count(plan: HolePlan) -> int:
    """How many drawings there are."""
    return len(hops(plan.way))


class _Picture:
    """Where holes lie in the drawing, along it."""

    def __init__(self, plan: HolePlan, room: Box) -> None:
        self.plan, self.room = plan, room
        self.left, self.right = room.x0 + _IN, room.x1 - _IN
        wide = (self.right - self.left).split(len(plan.holes))[0]
        count = len(plan.holes)
        self.mirrored = plan.spine_at_right and not plan.makes.on_fold
        self.at = {}
        for hole in plan.holes:
            place = count - hole.number if self.mirrored else hole.number - 1
            self.at[hole.number] = self.left + wide * place + wide.half
        self.laid: dict[tuple[int, int, Face], int] = {}

    def _twice(self, before: Pass, after: Pass) -> int:
        """How often thread lies there already."""
        key = (min(before.hole, after.hole), max(before.hole, after.hole), after.face)
        self.laid[key] = self.laid.get(key, -1) + 1
        return self.laid[key]


class _Fold(_Picture):
    """From the side: inside above the line, outside below."""

    def __init__(self, plan: HolePlan, room: Box) -> None:
        super().__init__(plan, room)
        self.line_y = (room.y0 + room.y1).half

    def paper(self, page: Drawing) -> None:
        y, gap = self.line_y, Length.points("1.2")
        for level in (y - gap, y + gap):
            page.line((self.left, level), (self.right, level), _PAPER)
        page.text(self.room.x0, self.room.y1 - _LETTERS, "inside", _LETTERS)
        page.text(self.room.x0, self.room.y0 + Length.points(2), "outside", _LETTERS)
        beside = y - _LETTERS * Fraction(1, 3)
        page.text(self.room.x0, beside, "head", _LETTERS)
        page.text(self.room.x1, beside, "foot", _LETTERS, False, Align.RIGHT)
        self._tapes(page)

    def _tapes(self, page: Drawing) -> None:
        """Between the two holes of each pair, on the outside."""
        if self.plan.tape is None:
            return
        for number in range(2, len(self.at), 2):
            left, right = self.at[number] + _STEP, self.at[number + 1] - _STEP
            low = self.line_y - Length.points("5.5")
            page.box(Box(left, low, right, self.line_y - Length.points("2.5")), _TAPE)

    def _level(self, one: Pass, high: int = 1) -> Length:
        up = _LEVEL * high
        return self.line_y + up if one.face is Face.INSIDE else self.line_y - up

    def stitch(self, page: Drawing, before: Pass, after: Pass, now: bool) -> None:
        pen = _NOW if now else _DONE
        x, end = self.at[before.hole], self.at[after.hole]
        if after.move is Move.ALONG:
            passed = abs(after.hole - before.hole) > 1
            level = self._level(after, 2 if passed else 1)
            low = self._level(after)
            page.polygon([(x, low), (x, level), (end, level), (end, low)], pen, closed=False)
            return
        low = -_LEVEL if after.face is Face.OUTSIDE else _LEVEL
        nudge = self._nudge(before, after)
        page.line((x + nudge, self.line_y - low), (x + nudge, self.line_y + low), pen)

    def _nudge(self, before: Pass, after: Pass) -> Length:
        """Threads through one hole are drawn beside each other."""
        key = (after.hole, after.hole, Face.INSIDE)
        self.laid[key] = self.laid.get(key, -1) + 1
        return _STEP.half * self.laid[key]

    def point(self, page: Drawing, hop: Hop) -> None:
        last = hop[-1]
        key = (last.hole, last.hole, Face.INSIDE)
        x = self.at[last.hole] + _STEP.half * max(0, self.laid.get(key, 0))
        tip = self._level(last)
        back = tip - _ARROW if last.face is Face.INSIDE else tip + _ARROW
        if last.move is Move.THROUGH:
            _arrow_up(page, x, tip, back)

    def numbers(self, page: Drawing) -> None:
        size = Length.points("1.6")
        for number, x in self.at.items():
            dot = Box(x - size, self.line_y - size, x + size, self.line_y + size)
            page.box(dot, _SOLID)
            y = self.line_y - _LEVEL - _LETTERS * Fraction(6, 5)
            page.text(x + Length.points(5), y, str(number), _LETTERS, True, Align.CENTRE)


class _Block(_Picture):
    """From the front: the spine edge below, the head at the left."""

    def __init__(self, plan: HolePlan, room: Box) -> None:
        super().__init__(plan, room)
        self.spine_y = room.y0 + Length.points(12)
        self.hole_y = self.spine_y + Length.points(22)
        self.top = room.y1 - Length.points(9)

    def paper(self, page: Drawing) -> None:
        corners = [
            (self.left, self.top),
            (self.left, self.spine_y),
            (self.right, self.spine_y),
            (self.right, self.top),
        ]
        page.polygon(corners, _PAPER, closed=False)
        middle = (self.left + self.right).half
        below = self.room.y0 + Length.points(2)
        page.text(middle, below, "spine", _LETTERS, False, Align.CENTRE)
        left, right = ("foot", "head") if self.mirrored else ("head", "foot")
        page.text(self.left, self.room.y1 - _LETTERS, left, _LETTERS)
        page.text(self.right, self.room.y1 - _LETTERS, right, _LETTERS, False, Align.RIGHT)

    def _side(self, face: Face) -> Length:
        """Thread on the back is drawn beside that on the front."""
        return ZERO if face is Face.FRONT else _STEP

    def stitch(self, page: Drawing, before: Pass, after: Pass, now: bool) -> None:
        if after.move is Move.THROUGH:
            return
        behind = after.face if after.move is Move.ALONG else before.face
        pens = (_NOW, _NOW_BEHIND) if now else (_DONE, _DONE_BEHIND)
        pen = pens[behind is Face.BACK]
        for start, end in self._runs(before, after, behind):
            page.line(start, end, pen)
            if now and after.move is Move.ALONG:
                _arrow_across(page, start, end)
            elif now:
                _arrow_to(page, end, after.move is Move.SPINE, end[0] == self.left)

    def _runs(self, before: Pass, after: Pass, face: Face) -> Iterator[tuple[Point, Point]]:
        aside = self._side(face)
        x, y = self.at[after.hole], self.hole_y
        if after.move is Move.ALONG:
            lift = y + (_STEP if face is Face.FRONT else ZERO) - aside
            lift += self._twice(before, after) * _STEP if self._long(before, after) else ZERO
            yield (self.at[before.hole], lift), (x, lift)
        elif after.move is Move.SPINE:
            yield (x, y), (x, self.spine_y)
        elif (after.move is Move.HEAD) != self.mirrored:
            yield (x, y), (self.left, y)
        else:
            yield (x, y), (self.right, y)

    @staticmethod
    def _long(before: Pass, after: Pass) -> bool:
        return abs(after.hole - before.hole) > 1

    def point(self, page: Drawing, hop: Hop) -> None:
        """Where the needle comes out: a ring for toward you, a cross for away from you."""
        last = hop[-1]
        if last.move is not Move.THROUGH:
            return
        words = "up to the front" if last.face is Face.FRONT else "down to the back"
        y = self.hole_y + Length.points(9)
        x = min(max(self.at[last.hole], self.left + Length.points(32)),
                self.right - Length.points(32))  # fmt: skip
        page.text(x, y, words, _LETTERS, False, Align.CENTRE)

    def numbers(self, page: Drawing) -> None:
        size = Length.points("1.8")
        for number, x in self.at.items():
            page.box(Box(x - size, self.hole_y - size, x + size, self.hole_y + size), _SOLID)
            y = self.hole_y - size - _LETTERS - _STEP  # below the thread on the back
            page.text(x + Length.points(5), y, str(number), _LETTERS, True, Align.CENTRE)


#: A kettle stitch needs more height than a hop.
KETTLE_HIGH: Final = Length.mm(30)


def draw_kettle(page: Drawing, room: Box) -> None:
    """A kettle stitch, seen on the spines of three sections near their end.

    Grey is the thread that joins the two lower ones; that of the third goes
    behind it and comes up through its own loop.
    """
    step, aside = Length.points(26), Length.points(12)
    levels = [room.y0 + Length.points(10) + step * number for number in range(3)]
    left, x, right = (room.x0 + Length.points(n) for n in (36, 70, 120))
    for number, y in enumerate(levels, start=1):
        page.box(Box(left, y - _STEP, right, y + _STEP), _PAPER)
        page.text(room.x0, y - _STEP.half, f"section {number}", _LETTERS)
        page.box(Box(x - _STEP.half, y - _STEP.half, x + _STEP.half, y + _STEP.half), _SOLID)
    page.line((x, levels[0]), (x, levels[1]), Pen(weight=Length.points("1.8"), grey=_GREY))
    low, high = levels[0] + step.half, levels[1] + step.half
    page.polygon([(x, levels[2]), (x - aside, high), (x - aside, low)], _NOW, closed=False)
    page.line((x - aside, low), (x + aside, low), _NOW_BEHIND)
    out = (x - aside * 2, high + _ARROW)
    page.polygon([(x + aside, low), (x + aside, high - _ARROW), out], _NOW, closed=False)
    tip = (out[0] - _ARROW, out[1] + _ARROW.half)
    page.polygon([tip, (out[0], out[1] + _ARROW.half), (out[0], out[1] - _ARROW.half)], _SOLID)
    words = (("behind the thread below", low), ("up through its loop", high))
    for text, y in words:
        page.text(x + aside + Length.points(6), y - _LETTERS * Fraction(1, 3), text, _LETTERS)


def _arrow_up(page: Drawing, x: Length, tip: Length, back: Length) -> None:
    page.polygon([(x, tip), (x - _ARROW.half, back), (x + _ARROW.half, back)], _SOLID)


def _arrow_across(page: Drawing, start: Point, end: Point) -> None:
    """In the middle of a stretch."""
    middle = (start[0] + end[0]).half
    way = 1 if end[0] > start[0] else -1
    tip, back = middle + _ARROW.half * way, middle - _ARROW.half * way
    y = start[1]
    page.polygon([(tip, y), (back, y + _ARROW.half), (back, y - _ARROW.half)], _SOLID)


def _arrow_to(page: Drawing, tip: Point, down: bool, left: bool) -> None:
    """At the edge that the thread goes round."""
    x, y = tip
    half = _ARROW.half
    if down:
        _arrow_up(page, x, y, y + _ARROW)
        return
    back = x + (_ARROW if left else -_ARROW)
    page.polygon([(x, y), (back, y + half), (back, y - half)], _SOLID)


def legend(plan: HolePlan) -> str:
    """How the drawings are to be read."""
    if plan.makes.on_fold:
        return (
            "The section from its side: inside above, outside below, the head at the left. "
            "Black with an arrow: this step; grey: sewn before."
        )
    return (
        "The block from its front, the spine toward you, the head at the "
        f"{'right' if plan.spine_at_right else 'left'}. Black: this step; grey: sewn before; "
        "dashed: on the back."
    )
