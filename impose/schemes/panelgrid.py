"""A sheet of panels joined by hinges, some of them slit: which page lies where, worked out.

The panels of one face of a sheet hang together at their hinges; where a slit
is, they do not.  Folded into a booklet every hinge is either a spine hinge
(the two panels face each other when the booklet is open) or a leaf hinge (they
lie back to back, and are the two faces of one leaf), in turns along the path of
the paper.  So the pages are read by walking from panel to panel: over the leaf,
across the spine, over the leaf.  A page keeps its turn across an upright hinge
and stands on its head across one that runs across, as the paper does when it is
folded over the top; such a hinge can only lie over a leaf, for two pages that
face each other hinge at their side.

The eight-page booklet from one sheet (fold, slit the two inner panels apart,
push) is such a path, closed to a ring; a concertina is an open one.  Nothing is
tabulated; the order that zine makers print on their templates (from memory:
above, upside down, 5 4 3 2; below 6 7 8 1) is a test.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from impose.geometry.sides import Edge

At = tuple[int, int]  #: column from the left, row from below
_STEP: Final = {Edge.LEFT: (-1, 0), Edge.RIGHT: (1, 0), Edge.BOTTOM: (0, -1), Edge.TOP: (0, 1)}
_UPRIGHT: Final = (Edge.LEFT, Edge.RIGHT)


@dataclass(frozen=True, slots=True)
class PanelGrid:
    """Panels in columns and rows, seen from one side of the paper.

    `slits` holds pairs of neighbours that are cut apart, the left or lower first.
    """

    columns: int
    rows: int
    slits: frozenset[tuple[At, At]] = frozenset()

    def beyond(self, at: At, edge: Edge) -> At | None:
        """The panel that hangs at this edge of a panel; None at the paper's edge or a slit."""
        dx, dy = _STEP[edge]
        other = (at[0] + dx, at[1] + dy)
        if not (0 <= other[0] < self.columns and 0 <= other[1] < self.rows):
            return None
        return None if (min(at, other), max(at, other)) in self.slits else other

    @property
    def mirrored(self) -> PanelGrid:
        """Seen from the other side, the sheet turned about the vertical."""
        turned = frozenset(_pair(self._over(a), self._over(b)) for a, b in self.slits)
        return PanelGrid(self.columns, self.rows, turned)

    def _over(self, at: At) -> At:
        return self.columns - 1 - at[0], at[1]

    @property
    def panels(self) -> tuple[At, ...]:
        """All of them, row by row from the lower left."""
        return tuple((c, r) for r in range(self.rows) for c in range(self.columns))


def _pair(a: At, b: At) -> tuple[At, At]:
    return min(a, b), max(a, b)


@dataclass(frozen=True, slots=True)
class PanelRead:
    """A page found on the path: its panel, and how it lies there, seen from its own side.

    `spine_at` is the panel's edge (left or right, as it lies) at which the
    page's spine is.
    """

    at: At
    upside_down: bool
    spine_at: Edge


def read_panels(grid: PanelGrid, start: At, spine_at: Edge) -> tuple[PanelRead, ...]:
    """The pages in reading order, from the page at `start`, which stands upright.

    Raises ValueError when the paper does not make one path of pages: it forks,
    misses a panel, or two pages that face each other hinge at their heads.
    """
    reads = [PanelRead(start, False, spine_at)]
    over_leaf = True
    if not any(True for _ in _ways(grid, reads[0], True, None)):
        over_leaf = False  # an open path that begins with an opening
    came: At | None = None
    while True:
        here = reads[-1]
        ways = list(_ways(grid, here, over_leaf, came))
        if len(ways) > 1:
            raise ValueError(f"the paper forks at panel {here.at}")
        if not ways or ways[0][1] == start:
            break
        edge, there = ways[0]
        came = here.at
        reads.append(_read(there, here, edge, over_leaf))
        over_leaf = not over_leaf
    if {read.at for read in reads} != set(grid.panels) or len(reads) != len(grid.panels):
        raise ValueError(f"the path of the pages has {len(reads)} of {len(grid.panels)} panels")
    return tuple(reads)


def _ways(
    grid: PanelGrid, here: PanelRead, over_leaf: bool, came: At | None
) -> Iterator[tuple[Edge, At]]:
    """The hinges by which the path may go on: at the spine, or at any other edge."""
    for edge in Edge:
        there = grid.beyond(here.at, edge)
        if there is None or there == came:
            continue
        if (edge is here.spine_at) == over_leaf:
            continue
        yield edge, there


def _read(there: At, here: PanelRead, edge: Edge, over_leaf: bool) -> PanelRead:
    if edge not in _UPRIGHT:  # over the head: the same paper column, the other way up
        return PanelRead(there, not here.upside_down, here.spine_at)
    entered = edge.opposite
    return PanelRead(there, here.upside_down, entered.opposite if over_leaf else entered)


def folded_places(reads: tuple[PanelRead, ...]) -> tuple[At, ...]:
    """Where each panel of the path lies when every hinge on it is folded flat, in panels.

    Each hinge mirrors what comes after it; paper that makes a booklet ends all
    in one place.
    """
    scale, move = [1, 1], [0, 0]  # from the sheet to the pile, for each axis
    places = [reads[0].at]
    for before, after in pairwise(reads):
        for axis in (0, 1):
            if before.at[axis] == after.at[axis]:
                continue
            hinge = max(before.at[axis], after.at[axis])
            move[axis] += 2 * scale[axis] * hinge
            scale[axis] = -scale[axis]
        ends = [
            (n * at + m, n * (at + 1) + m) for n, at, m in zip(scale, after.at, move, strict=True)
        ]
        places.append((min(ends[0]), min(ends[1])))
    return tuple(places)


#: The grid of a one-sheet booklet: four panels across, two up.
BOOKLET: Final = PanelGrid(4, 2, frozenset({((1, 0), (1, 1)), ((2, 0), (2, 1))}))
