"""Rectangles of several sizes on one sheet so that a guillotine can part them.

Whole numbers (grains of length) throughout, so nothing is rounded.  Free room is
kept as rectangles; a block of like rectangles (a grid of them) goes into the
corner of one, and what is left of that one is parted by one cut.  So every
layout comes apart by cuts that go from edge to edge.  Which rectangle comes
first, where it goes and which way the rest is parted are rules of thumb (the
family is described in J. Jylänki, A Thousand Ways to Pack the Bin, 2010); all
are tried, in a fixed order.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import chain, product
from random import Random
from typing import Final


@dataclass(frozen=True, slots=True)
class Want:
    """Rectangles of one size: how many, and whether each may lie upright or turned."""

    width: int
    height: int
    count: int
    ways: tuple[bool, ...] = (False, True)

    @property
    def area(self) -> int:
        return self.width * self.height


@dataclass(frozen=True, slots=True)
class Laid:
    """One rectangle in its place: `want` is its index, x and y its lower left corner."""

    want: int
    x: int
    y: int
    turned: bool


_Free = tuple[int, int, int, int]  # x, y, width, height
_Block = tuple[int, bool, int, int, int, int]  # free, turned, columns, rows, width, height
_Key = tuple[int, ...]

#: What goes down first.
_ORDERS: Final[tuple[Callable[[Want], _Key], ...]] = (
    lambda w: (-w.area,),
    lambda w: (-max(w.width, w.height), -w.area),
    lambda w: (-w.area * w.count,),
    lambda w: (-min(w.width, w.height), -w.area),
)
#: Which corner it goes to: most at once, or where the least is left beside it.
_CHOICES: Final = range(3)
#: Which way the rest is parted.
_SPLITS: Final = range(4)
#: So many times the orders are disturbed where no rule alone will do (measured: more gains little).
_SHAKES: Final = 40


def pack(width: int, height: int, wants: Sequence[Want]) -> tuple[Laid, ...] | None:
    """The first way found to lay all of them, None when none was (one may exist)."""
    ways = chain(packings(width, height, wants), _shaken(width, height, wants))
    return next(ways, None)


def packings(width: int, height: int, wants: Sequence[Want]) -> Iterator[tuple[Laid, ...]]:
    """Every way found, each by another rule of thumb."""
    if sum(w.area * w.count for w in wants) > width * height:
        return
    for split, choice, order in product(_SPLITS, _CHOICES, _ORDERS):
        found = _Packer(width, height, wants, choice, split).fill(order)
        if found is not None:
            yield found


def _shaken(width: int, height: int, wants: Sequence[Want]) -> Iterator[tuple[Laid, ...]]:
    """The same with the orders disturbed, always alike; orders of one or two are soon tried."""
    if len(wants) < 3 or sum(w.area * w.count for w in wants) > width * height:
        return
    dice = Random(len(wants))
    for number in range(_SHAKES):
        order = _ORDERS[number % len(_ORDERS)]
        noise = {want: dice.uniform(0.6, 1.4) for want in wants}
        key = partial(_disturbed, order, noise)
        packer = _Packer(width, height, wants, number % len(_CHOICES), dice.choice(_SPLITS))
        found = packer.fill(key)
        if found is not None:
            yield found


def _disturbed(order: Callable[[Want], _Key], noise: Mapping[Want, float], want: Want) -> _Key:
    return (round(order(want)[0] * noise[want]),)


class _Packer:
    """One attempt by one set of rules."""

    def __init__(
        self, width: int, height: int, wants: Sequence[Want], choice: int, split: int
    ) -> None:
        self.free: list[_Free] = [(0, 0, width, height)]
        self.wants, self.choice, self.split = wants, choice, split
        self.laid: list[Laid] = []

    def fill(self, order: Callable[[Want], _Key]) -> tuple[Laid, ...] | None:
        """All in that order; None as soon as one finds no place."""
        for index in sorted(range(len(self.wants)), key=lambda i: order(self.wants[i])):
            left = self.wants[index].count
            while left:
                block = self._best(self.wants[index], left)
                if block is None:
                    return None
                left -= self._put(index, block)
        return tuple(self.laid)

    def _best(self, want: Want, left: int) -> _Block | None:
        best: _Block | None = None
        best_key: _Key | None = None
        for place, (_, _, fw, fh) in enumerate(self.free):
            for turned in want.ways:
                w, h = (want.height, want.width) if turned else (want.width, want.height)
                across, up = fw // w, fh // h
                if not across or not up:
                    continue
                for columns, rows in _grids(across, up, left):
                    rest = (fw - columns * w, fh - rows * h)
                    key = self._key(fw * fh, columns * rows, columns * rows * w * h, rest)
                    if best_key is None or key < best_key:
                        best, best_key = (place, turned, columns, rows, w, h), key
        return best

    def _key(self, room: int, count: int, used: int, rest: tuple[int, int]) -> _Key:
        """The smaller the better: `rest` is what is left beside and above."""
        short = min(rest)
        if self.choice == 0:
            return (-count, short)
        if self.choice == 1:
            return (short, -count)
        return (room - used, short)

    def _put(self, index: int, block: _Block) -> int:
        place, turned, columns, rows, w, h = block
        x, y, fw, fh = self.free.pop(place)
        for row, column in product(range(rows), range(columns)):
            self.laid.append(Laid(index, x + column * w, y + row * h, turned))
        bw, bh = columns * w, rows * h
        beside, above = fw - bw, fh - bh
        upright = (
            beside * fh >= above * fw,  # the larger part stays whole
            beside < above,
            True,
            False,
        )[self.split]
        if upright:
            parts = ((x + bw, y, beside, fh), (x, y + bh, bw, above))
        else:
            parts = ((x, y + bh, fw, above), (x + bw, y, beside, bh))
        self.free.extend(part for part in parts if part[2] and part[3])
        return columns * rows


def _grids(across: int, up: int, left: int) -> tuple[tuple[int, int], ...]:
    """Full grids, or of as many as are left: whole rows, or whole columns."""
    if across * up <= left:
        return ((across, up),)
    columns = min(across, left)
    rows = min(up, left)
    return ((columns, min(up, left // columns)), (min(across, left // rows), rows))


# -- one size over and over --------------------------------------------------------------


def most_of_one(width: int, height: int, want: Want) -> tuple[Laid, ...]:
    """As many of one size as were found to fit; `want.count` is not looked at.

    One grid where that holds as many as any; else the sheet is parted once or
    twice, each part a grid one way round or the other.
    """
    room = width * height // want.area
    return tuple(_Repeater(want).laid(width, height, 1 if room > _MANY else 2))


#: So many places are not searched for the last one: it would take long and gain little.
_MANY: Final = 120
#: A way to fill a rectangle: how many it holds, whether it is parted by an upright cut (None:
#: it is one grid), where, and whether a grid is turned.
_Way = tuple[int, bool | None, int, bool]


class _Repeater:
    """Finds how many of one size a rectangle holds, and then where they lie."""

    def __init__(self, want: Want) -> None:
        self.want = want
        self._turned = want.ways[-1]
        self._known: dict[tuple[int, int, int], _Way] = {}

    def laid(self, width: int, height: int, cuts: int) -> Iterator[Laid]:
        """With at most so many partings one in the other."""
        _, upright, at, turned = self._way(width, height, cuts)
        if upright is None:
            w, h = self._lying(turned)
            for row, column in product(range(height // h), range(width // w)):
                yield Laid(0, column * w, row * h, turned)
        elif upright:
            yield from self.laid(at, height, cuts - 1)
            for one in self.laid(width - at, height, cuts - 1):
                yield Laid(0, one.x + at, one.y, one.turned)
        else:
            yield from self.laid(width, at, cuts - 1)
            for one in self.laid(width, height - at, cuts - 1):
                yield Laid(0, one.x, one.y + at, one.turned)

    def _way(self, width: int, height: int, cuts: int) -> _Way:
        key = (width, height, cuts)
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = self._search(width, height, cuts)
        return found

    def _search(self, width: int, height: int, cuts: int) -> _Way:
        best = self._grid(width, height)
        if not cuts or len(self.want.ways) < 2 or best[0] == width * height // self.want.area:
            return best
        fill = self._grid if cuts == 1 else lambda w, h: self._way(w, h, cuts - 1)
        for at in self._places(width):
            count = fill(at, height)[0] + fill(width - at, height)[0]
            if count > best[0]:
                best = (count, True, at, False)
        for at in self._places(height):
            count = fill(width, at)[0] + fill(width, height - at)[0]
            if count > best[0]:
                best = (count, False, at, False)
        return best

    def _grid(self, width: int, height: int) -> _Way:
        want = self.want
        best: _Way = (0, None, 0, self._turned)
        if not want.ways[0]:
            best = ((width // want.width) * (height // want.height), None, 0, False)
        if self._turned:
            count = (width // want.height) * (height // want.width)
            if count > best[0] or want.ways[0]:
                best = (count, None, 0, True)
        return best

    def _lying(self, turned: bool) -> tuple[int, int]:
        want = self.want
        return (want.height, want.width) if turned else (want.width, want.height)

    def _places(self, whole: int) -> list[int]:
        """Sums of both measures that lie inside."""
        w, h = self.want.width, self.want.height
        found = {
            a * w + b * h for a in range(whole // w + 1) for b in range((whole - a * w) // h + 1)
        }
        return sorted(at for at in found if 0 < at < whole)
