"""Paper in the hand: a sheet folded step by step in lengths, or cut apart, layer by layer.

Nothing here knows a page.  A layer is a piece of a sheet and how it lies in
the pile; fold steps turn layers over each other, cuts part them.  It is told
only what an operator is told: the fold steps, the cut lines, the size of leaf
to look for.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Final

from impose.errors import PlanMismatchError
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.parts import FoldStep, Line, Sheet
from impose.schemes.parting import SPLIT
from impose.units import ZERO, Length

#: A piece is taken for a leaf when it lacks no more than this of the leaf each way.
_LACKING: Final = Fraction(1, 8)


@dataclass(frozen=True, slots=True)
class Layer:
    """A piece of a sheet in a pile that is seen from above.

    `paper` is the piece on the flat sheet, seen from the front.  A point x, y
    of the sheet lies at dx + x, dy + y of the pile, or at dx - x where it is
    `mirrored_x` (and so for y).  Where it is `turned`, it was turned a quarter clockwise
    first, and y, -x stand for x, y.  `folds` are the edges, as they lie in the
    pile, at which the paper goes on round a fold.
    """

    sheet: Sheet
    paper: Box
    mirrored_x: bool = False
    mirrored_y: bool = False
    dx: Length = ZERO
    dy: Length = ZERO
    folds: frozenset[Edge] = frozenset()
    turned: bool = False

    @property
    def front_up(self) -> bool:
        """The sheet's front is the upper face."""
        return self.mirrored_x == self.mirrored_y

    def lying(self, flat: Box) -> Box:
        """Where a box of the sheet lies in the pile."""
        if self.turned:
            flat = Box(flat.y0, -flat.x1, flat.y1, -flat.x0)
        x0, x1 = self.dx + flat.x0, self.dx + flat.x1
        if self.mirrored_x:
            x0, x1 = self.dx - flat.x1, self.dx - flat.x0
        y0, y1 = self.dy + flat.y0, self.dy + flat.y1
        if self.mirrored_y:
            y0, y1 = self.dy - flat.y1, self.dy - flat.y0
        return Box(x0, y0, x1, y1)

    def flat(self, lying: Box) -> Box:
        """The inverse of `lying`."""
        x0, x1 = lying.x0 - self.dx, lying.x1 - self.dx
        if self.mirrored_x:
            x0, x1 = self.dx - lying.x1, self.dx - lying.x0
        y0, y1 = lying.y0 - self.dy, lying.y1 - self.dy
        if self.mirrored_y:
            y0, y1 = self.dy - lying.y1, self.dy - lying.y0
        return Box(-y1, x0, -y0, x1) if self.turned else Box(x0, y0, x1, y1)

    def moved(self, dx: Length, dy: Length) -> Layer:
        """Shifted in the pile."""
        return replace(self, dx=self.dx + dx, dy=self.dy + dy)

    def turned_over(self, across: bool, at: Length) -> Layer:
        """Turned over about a line across (y = at) or upright (x = at)."""
        if across:
            folds = frozenset(_MIRROR_Y.get(edge, edge) for edge in self.folds)
            return replace(self, mirrored_y=not self.mirrored_y, dy=at * 2 - self.dy, folds=folds)
        folds = frozenset(_MIRROR_X.get(edge, edge) for edge in self.folds)
        return replace(self, mirrored_x=not self.mirrored_x, dx=at * 2 - self.dx, folds=folds)

    def parted(self, across: bool, at: Length) -> tuple[Layer | None, Layer | None]:
        """The parts at the left and right (or below and above) of a fold line."""
        here = self.lying(self.paper)
        low, high = (here.y0, here.y1) if across else (here.x0, here.x1)
        if at <= low:
            return None, self
        if at >= high:
            return self, None
        near, far = (Edge.TOP, Edge.BOTTOM) if across else (Edge.RIGHT, Edge.LEFT)
        below = Box(here.x0, here.y0, here.x1, at) if across else Box(here.x0, here.y0, at, here.y1)
        above = Box(here.x0, at, here.x1, here.y1) if across else Box(at, here.y0, here.x1, here.y1)
        return (
            replace(self, paper=self.flat(below), folds=self.folds | {near}),
            replace(self, paper=self.flat(above), folds=self.folds | {far}),
        )


_MIRROR_X: Final = {Edge.LEFT: Edge.RIGHT, Edge.RIGHT: Edge.LEFT}
_MIRROR_Y: Final = {Edge.TOP: Edge.BOTTOM, Edge.BOTTOM: Edge.TOP}


@dataclass(frozen=True, slots=True)
class Folded:
    """A folded sheet, layers from the top, opened at its middle: inner sheets go between.

    The spine fold is the last one; it lies at x = `spine`.
    """

    upper: tuple[Layer, ...]
    lower: tuple[Layer, ...]
    spine: Length


def fold_paper(sheet: Sheet, spine_at: Edge) -> Folded:
    """The sheet folded by its steps and laid with the spine at the left or right.

    When the last fold ends at the other side the pile is turned over, as a
    binder would who jogs spines together.  Raises PlanMismatchError when the
    sheet has no folds or the last one is no spine.
    """
    if not sheet.folds or sheet.folds[-1].across:
        raise PlanMismatchError(f"sheet {sheet.number}: the last fold is not the spine")
    whole = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
    pile: tuple[Layer, ...] = (Layer(sheet, whole),)
    below: list[Layer] = []
    above: list[Layer] = []
    for step in sheet.folds:
        below, above = _fold(pile, step)
        pile = (*below, *above)
    last = sheet.folds[-1]
    upper, lower = tuple(reversed(above)), tuple(reversed(below))
    if last.moving is not spine_at:
        upper, lower = (
            tuple(layer.turned_over(False, last.at) for layer in reversed(part))
            for part in (lower, upper)
        )
    return Folded(upper, lower, last.at)


def _fold(pile: Sequence[Layer], step: FoldStep) -> tuple[list[Layer], list[Layer]]:
    """What lies below and above after one fold, each from the bottom."""
    stays: list[Layer] = []
    moves: list[Layer] = []
    low_moves = step.moving in (Edge.LEFT, Edge.BOTTOM)
    for layer in pile:
        low, high = layer.parted(step.across, step.at)
        moving, staying = (low, high) if low_moves else (high, low)
        if staying:
            stays.append(staying)
        if moving:
            moves.append(moving.turned_over(step.across, step.at))
    moves.reverse()
    return (moves, stays) if step.under else (stays, moves)


# -- cut apart -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Piece:
    """What a sheet falls into: `box` on the flat sheet, and its edges made by a knife."""

    box: Box
    cut: frozenset[Edge]


def leaf_pieces(
    sheet: Size, parting: Sequence[Line], later: Sequence[Line], leaf: Size
) -> tuple[Piece, ...]:
    """The pieces that are leaves, row by row from the upper left, seen from the front.

    `parting` are the cuts before binding; each goes through the whole sheet (or, after a
    cut between two directions, through the whole part), as a guillotine's knife does.
    Gutters and margins fall away: a leaf is about as large as `leaf` or larger, its
    every edge is a cut or the sheet's own, and where `later` cuts are drawn it has some of them.
    """
    whole = Box(ZERO, ZERO, sheet.width, sheet.height)
    split = next((line for line in parting if line.of == SPLIT), None)
    if split is None:
        return _pieces(whole, parting, later, leaf)
    first, second = _halves(whole, split)
    return (
        *_pieces(first, parting, later, leaf),
        *_pieces(second, parting, later, leaf.turned),
    )


def _halves(whole: Box, split: Line) -> tuple[Box, Box]:
    """The part at the left of the cut or above it, where leaves lie upright, and the other."""
    if split.upright:
        return replace(whole, x1=split.x0), replace(whole, x0=split.x0)
    return replace(whole, y0=split.y0), replace(whole, y1=split.y0)


def _pieces(
    whole: Box, parting: Sequence[Line], later: Sequence[Line], leaf: Size
) -> tuple[Piece, ...]:
    """The leaves of a part that is cut like a sheet of its own."""
    lines = [line for line in parting if _reaches(line, whole)]
    bounds_x = _bounds([line.x0 for line in lines if line.upright], whole.x0, whole.x1)
    bounds_y = _bounds([line.y0 for line in lines if not line.upright], whole.y0, whole.y1)
    found = []
    for y0, y1 in reversed(list(pairwise(bounds_y))):
        for x0, x1 in pairwise(bounds_x):
            box = Box(x0, y0, x1, y1)
            edges = [_edge_line(box, edge) for edge in Edge]
            if _holds(box, leaf) and all(_made(e, whole, lines) for e in edges):
                cut = frozenset(
                    edge
                    for edge, line in zip(Edge, edges, strict=True)
                    if not _on_border(line, whole) or any(_along(line, one) for one in lines)
                )
                found.append(Piece(box, cut))
    marked = [piece for piece in found if any(_middle_in(line, piece.box) for line in later)]
    return tuple(marked or found)


def _reaches(line: Line, whole: Box) -> bool:
    """Some of the line lies in the part or at its edge."""
    return (
        line.x0 <= whole.x1
        and whole.x0 <= line.x1
        and line.y0 <= whole.y1
        and whole.y0 <= line.y1
        and (line.of == SPLIT or _enters(line, whole))
    )


def _enters(line: Line, whole: Box) -> bool:
    """More of the line than an end lies in the part."""
    if line.upright:
        return line.y0 < whole.y1 and whole.y0 < line.y1
    return line.x0 < whole.x1 and whole.x0 < line.x1


def _bounds(places: Collection[Length], low: Length, high: Length) -> list[Length]:
    inside = {at for at in places if low < at < high}
    return sorted({low, high, *inside}, key=lambda n: n.grains)


def _holds(box: Box, leaf: Size) -> bool:
    return (
        box.width >= leaf.width - leaf.width * _LACKING
        and box.height >= leaf.height - leaf.height * _LACKING
    )


def _edge_line(box: Box, edge: Edge) -> Box:
    """An edge of a box, as a box without area."""
    x0 = box.x1 if edge is Edge.RIGHT else box.x0
    x1 = box.x0 if edge is Edge.LEFT else box.x1
    y0 = box.y1 if edge is Edge.TOP else box.y0
    y1 = box.y0 if edge is Edge.BOTTOM else box.y1
    return Box(x0, y0, x1, y1)


def _on_border(edge: Box, whole: Box) -> bool:
    if edge.x0 == edge.x1:
        return edge.x0 in (whole.x0, whole.x1)
    return edge.y0 in (whole.y0, whole.y1)


def _made(edge: Box, whole: Box, lines: Sequence[Line]) -> bool:
    """The sheet's own edge, or a stretch of it is marked for cutting."""
    return _on_border(edge, whole) or any(_along(edge, line) for line in lines)


def _along(edge: Box, line: Line) -> bool:
    """A stretch of the edge lies on the line."""
    upright = edge.x0 == edge.x1
    if line.upright != upright:
        return False
    if upright:
        return line.x0 == edge.x0 and line.y0 < edge.y1 and edge.y0 < line.y1
    return line.y0 == edge.y0 and line.x0 < edge.x1 and edge.x0 < line.x1


def _middle_in(line: Line, box: Box) -> bool:
    x, y = (line.x0 + line.x1).half, (line.y0 + line.y1).half
    return box.x0 <= x <= box.x1 and box.y0 <= y <= box.y1
