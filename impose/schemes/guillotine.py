"""How a sheet comes apart into its trims by cuts that go from edge to edge.

Worked out from the trims alone: in each piece of paper the trims' outlines are
laid on both axes; where they leave no overlap a knife can go through.  A piece
whose trims stand in full rows and columns is cut both ways at once, any other
is parted one way first; whichever needs fewer strokes of the knife.  Squaring a
pile first saves strokes, but may leave strips too narrow to cut off clean: then
the waste stays on until the pieces are apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from impose.errors import PlanMismatchError
from impose.geometry.box import Box
from impose.units import ZERO, Length

Span = tuple[Length, Length]


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of paper with the cuts through it, all places on the sheet seen from its front.

    `columns` and `rows` are the spans that hold good work, rising; a cut lies at
    each end of a span that is not the paper's own edge.  `parts` are what comes
    of it, row by row from the upper left; none: the paper is one trim.
    """

    paper: Box
    around: Box  #: the smallest box round all trims in it
    columns: tuple[Span, ...] = ()
    rows: tuple[Span, ...] = ()
    parts: tuple[Part, ...] = ()

    @property
    def xs(self) -> tuple[Length, ...]:
        """Where upright cuts lie, rising."""
        return _cuts(self.columns, self.paper.x0, self.paper.x1)

    @property
    def ys(self) -> tuple[Length, ...]:
        """Where cuts across lie, rising."""
        return _cuts(self.rows, self.paper.y0, self.paper.y1)

    @property
    def trims(self) -> tuple[Box, ...]:
        """Every trim in it, in the order of its parts."""
        if not self.parts:
            return (self.paper,)
        return tuple(trim for part in self.parts for trim in part.trims)

    @property
    def strokes(self) -> int:
        """Strokes of the knife, rows first."""
        own = len(self.ys) + len(self.xs) * len(self.rows)
        return own + sum(part.strokes for part in self.parts)

    @property
    def gaps(self) -> tuple[Length, ...]:
        """How wide the strips of waste are that fall between and beside the spans."""
        paper = self.paper
        return (
            *_gaps(self.columns, paper.x0, paper.x1),
            *_gaps(self.rows, paper.y0, paper.y1),
        )

    def slivers(self, narrow: Length) -> int:
        """Strips of waste narrower than this that the knife must take off."""
        return sum(ZERO < gap < narrow for part in self.walk() for gap in part.gaps)

    def walk(self) -> Iterator[Part]:
        """This part and all within it, the outer before the inner."""
        yield self
        for part in self.parts:
            yield from part.walk()


def cut_apart(paper: Box, trims: Sequence[Box], narrow: Length = ZERO) -> Part:
    """The paper down to its trims, with as few strips of waste narrower than `narrow` as can be.

    Raises PlanMismatchError when no knife that goes from edge to edge can do it.
    """
    if not all(paper.contains(trim) for trim in trims):
        raise PlanMismatchError("a trim does not lie on its paper")
    return _Apart(narrow).cut(paper, tuple(trims)).part


@dataclass(frozen=True, slots=True)
class _Way:
    """A part with what it costs: strips too narrow to be cut off clean, then strokes."""

    part: Part
    cost: tuple[int, int] = (0, 0)


class _Apart:
    """Cuts papers apart; what was worked out for a piece is known."""

    def __init__(self, narrow: Length) -> None:
        self._narrow = narrow
        self._known: dict[tuple[Box, tuple[Box, ...]], _Way] = {}

    def cut(self, paper: Box, trims: tuple[Box, ...]) -> _Way:
        """The cheapest way found."""
        found = self._known.get((paper, trims))
        if found is None:
            found = self._known[paper, trims] = self._search(paper, trims)
        return found

    def _search(self, paper: Box, trims: tuple[Box, ...]) -> _Way:
        around = trims[0]
        for trim in trims[1:]:
            around = around.join(trim)
        if len(trims) == 1 and around == paper:
            return _Way(Part(paper, around))
        columns = _spans([(trim.x0, trim.x1) for trim in trims])
        rows = _spans([(trim.y0, trim.y1) for trim in trims])
        if len(trims) > 1 and len(columns) == len(rows) == 1:
            raise PlanMismatchError("the trims cannot be cut apart from edge to edge")
        tried = [self._parted(paper, around, trims, columns, rows)]
        if len(trims) > 1:
            for end in (around, paper):  # squared first, or with the waste left on
                best = min((way.cost for way in tried if way), default=None)
                if best is None or (best[0] and self._narrow):
                    tried += [
                        self._parted(paper, around, trims, columns, ((end.y0, end.y1),)),
                        self._parted(paper, around, trims, ((end.x0, end.x1),), rows),
                    ]
        return min((way for way in tried if way is not None), key=lambda way: way.cost)

    def _parted(
        self,
        paper: Box,
        around: Box,
        trims: tuple[Box, ...],
        columns: Sequence[Span],
        rows: Sequence[Span],
    ) -> _Way | None:
        """Cut into these columns and rows; None when one of the cells would be empty, or
        nothing would be parted."""
        if len(trims) > 1 and len(columns) == len(rows) == 1:
            return None
        ways = []
        for (y0, y1), (x0, x1) in product(reversed(rows), columns):
            cell = Box(x0, y0, x1, y1)
            inside = tuple(trim for trim in trims if cell.contains(trim))
            if not inside:
                return None
            ways.append(self.cut(cell, inside))
        parts = tuple(way.part for way in ways)
        part = Part(paper, around, tuple(columns), tuple(rows), parts)
        slivers = sum(ZERO < gap < self._narrow for gap in part.gaps)
        strokes = len(part.ys) + len(part.xs) * len(rows)
        return _Way(
            part,
            (
                slivers + sum(way.cost[0] for way in ways),
                strokes + sum(way.cost[1] for way in ways),
            ),
        )


def _spans(pairs: Sequence[Span]) -> tuple[Span, ...]:
    """Pairs that share more than an end put together, rising."""
    found: list[Span] = []
    for low, high in sorted(pairs, key=lambda pair: (pair[0].grains, pair[1].grains)):
        if found and low < found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return tuple(found)


def _gaps(spans: Sequence[Span], low: Length, high: Length) -> list[Length]:
    """What lies before, between and after the spans."""
    if not spans:
        return []
    ends = (low, *(end for span in spans for end in span), high)
    return [after - before for before, after in zip(ends[::2], ends[1::2], strict=True)]


def _cuts(spans: Sequence[Span], low: Length, high: Length) -> tuple[Length, ...]:
    ends = {end for span in spans for end in span if low < end < high}
    return tuple(sorted(ends, key=lambda at: at.grains))
