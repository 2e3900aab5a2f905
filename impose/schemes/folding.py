"""Folding, simulated: a grid of cells, a list of folds, and the pages read off the folded sheet.

A sheet lies with its front up, cells counted from the lower left.  Each fold
turns one part of what is left over or under the other.  When all folds are
made one cell is left: its leaves, from the top, carry pages 1-2, 3-4, ... of
the section.  Handbooks' page tables are tests of this, not its source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from impose.geometry.sides import Edge


@dataclass(frozen=True, slots=True)
class GridFold:
    """One fold along a cell boundary.

    `across`: the fold line runs across (constant y); `at` counts cells from the
    left (or the bottom) of what earlier folds left; `moving` is the part that
    is turned, `under` whether it goes beneath.
    """

    across: bool
    at: int
    moving: Edge
    under: bool = True


@dataclass(frozen=True, slots=True)
class FoldScheme:
    """A grid and the folds that bring it down to one cell."""

    columns: int
    rows: int
    folds: tuple[GridFold, ...]

    @property
    def up(self) -> int:
        """Pages on a side."""
        return self.columns * self.rows


@dataclass(frozen=True, slots=True)
class FoldedCell:
    """What one cell of the sheet carries.

    `front` and `back` are page numbers of the section made of this sheet alone
    (1-based).  `upside_down` is the same on both faces when the back is seen
    with the sheet turned about the vertical.  `front_recto`: the front face is
    a right-hand page.
    """

    column: int
    row: int
    front: int
    back: int
    upside_down: bool

    @property
    def front_recto(self) -> bool:
        return self.front % 2 == 1


@dataclass(frozen=True, slots=True)
class _Layer:
    column: int
    row: int
    mirrored_x: bool = False
    mirrored_y: bool = False


_Pile = dict[tuple[int, int], tuple[_Layer, ...]]  # layers from the bottom to the top


def _fold(pile: _Pile, fold: GridFold) -> _Pile:
    axis = 1 if fold.across else 0
    low = fold.moving in (Edge.LEFT, Edge.BOTTOM)
    turned: _Pile = {}
    stays: _Pile = {}
    for cell, layers in pile.items():
        if (cell[axis] < fold.at) == low:
            there = 2 * fold.at - 1 - cell[axis]
            key = (cell[0], there) if fold.across else (there, cell[1])
            turned[key] = tuple(_over(layer, fold.across) for layer in reversed(layers))
        else:
            stays[cell] = layers
    merged: _Pile = {}
    for cell in {*stays, *turned}:
        below, above = stays.get(cell, ()), turned.get(cell, ())
        merged[cell] = above + below if fold.under else below + above
    corner = (min(c for c, _ in merged), min(r for _, r in merged))
    return {(c - corner[0], r - corner[1]): layers for (c, r), layers in merged.items()}


def _over(layer: _Layer, across: bool) -> _Layer:
    if across:
        return _Layer(layer.column, layer.row, layer.mirrored_x, not layer.mirrored_y)
    return _Layer(layer.column, layer.row, not layer.mirrored_x, layer.mirrored_y)


@lru_cache(maxsize=64)
def fold_sheet(scheme: FoldScheme) -> tuple[FoldedCell, ...]:
    """The cells in leaf order, from the top leaf of the folded sheet.

    Raises ValueError when the folds do not bring the grid down to one cell.
    """
    pile: _Pile = {
        (c, r): (_Layer(c, r),) for c in range(scheme.columns) for r in range(scheme.rows)
    }
    for fold in scheme.folds:
        pile = _fold(pile, fold)
    if len(pile) != 1:
        raise ValueError(f"the folds leave {len(pile)} cells, not one")
    (layers,) = pile.values()
    cells = []
    for leaf, layer in enumerate(reversed(layers)):
        top_page = 2 * leaf + 1
        front_up = layer.mirrored_x == layer.mirrored_y
        front, back = (top_page, top_page + 1) if front_up else (top_page + 1, top_page)
        cells.append(FoldedCell(layer.column, layer.row, front, back, layer.mirrored_y))
    return tuple(cells)


_X_LAST: Final = {2: "x", 4: "yx", 8: "xyx", 16: "yxyx"}


def standard_scheme(up: int) -> FoldScheme:
    """The book fold for `up` pages a side: folio 2, quarto 4, octavo 8, 32-page sheet 16.

    Each fold halves; the last makes the spine, and heads lie at a closed fold.
    The left and upper parts go beneath, so page 1 ends on top of the front
    side.  Raises ValueError for another `up`.
    """
    if up not in _X_LAST:
        raise ValueError(f"no book fold has {up} pages a side")
    order = _X_LAST[up]
    columns, rows = 2 ** order.count("x"), 2 ** order.count("y")
    left, high = columns, rows
    folds = []
    for axis in order:
        if axis == "x":
            left //= 2
            folds.append(GridFold(False, left, Edge.LEFT))
        else:
            high //= 2
            folds.append(GridFold(True, high, Edge.TOP))
    return FoldScheme(columns, rows, tuple(folds))


BOOK_FOLDS: Final = tuple(_X_LAST)


def nest(sheets: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """The leaves of a section made of nested sheets, outermost sheet first.

    `sheets` gives the leaves of each sheet (all even); the result gives, for each
    sheet, the section's leaf (0-based) for each leaf of the sheet folded alone.
    """
    low, high = 0, sum(sheets)
    result = []
    for leaves in sheets:
        half = leaves // 2
        result.append((*range(low, low + half), *range(high - half, high)))
        low, high = low + half, high - half
    return tuple(result)
