"""Where a placement lies, in whole grains: what is written and what is read back against.

`PageFit.placing` and `Placement.clip` say the same in lengths; at ten thousand
pages their small values cost more than the rest of the writing.  Here the part
that is the same for all pages of one size is worked out with them once, and the
rest is integer addition.  A test holds the two to each other.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from impose.geometry.box import Box, Edges
from impose.geometry.placing import box_onto
from impose.model.facts import SourceFacts
from impose.plan.parts import Placement
from impose.plan.plan import PageFit, Plan
from impose.units import ZERO

_AT_ORIGIN: Final = Box(ZERO, ZERO, ZERO, ZERO)

Grains4 = tuple[int, int, int, int]


class Linear(NamedTuple):
    """a, b, c, d of a matrix, without unit; compared once, by identity after that."""

    a: Fraction
    b: Fraction
    c: Fraction
    d: Fraction


class Placed(NamedTuple):
    """The clip's left, bottom, right and top edge, the matrix, and the move; in grains."""

    clip: Grains4
    linear: Linear
    e: int
    f: int


class Places:
    """Works out placements of one plan; keeps the plan alive, for it goes by identity."""

    def __init__(self, plan: Plan, facts: tuple[SourceFacts, ...]) -> None:
        self._plan = plan
        self._facts = facts
        self._bases: dict[tuple[int, int, int, int, int], tuple[Linear, int, int]] = {}
        self._linears: dict[Linear, Linear] = {}
        self._edges: dict[tuple[int, object, bool], Grains4] = {}

    def of(self, placement: Placement, page: int) -> Placed:
        """Where source page `page` (1-based, in reading order) is drawn."""
        fit = self._plan.pages[page - 1]
        unit = self._facts[fit.file].pages[fit.number - 1].user_unit
        key = (id(fit.box), id(fit.scale), id(unit), fit.rotate, placement.turn)
        base = self._bases.get(key)
        if base is None:
            base = self._bases[key] = self._base(fit, unit, placement.turn)
        linear, dx, dy = base
        art = placement.art
        return Placed(self.clip(placement), linear, art.x0.grains + dx, art.y0.grains + dy)

    def clip(self, placement: Placement) -> Grains4:
        """`Placement.clip` in grains."""
        key = (id(placement.bleed), placement.spine_at, placement.upside_down)
        edges = self._edges.get(key)
        if edges is None:
            edges = self._edges[key] = _grains(
                placement.bleed.edges(placement.spine_at, placement.upside_down)
            )
        left, bottom, right, top = edges
        trim = placement.trim
        return (
            trim.x0.grains - left,
            trim.y0.grains - bottom,
            trim.x1.grains + right,
            trim.y1.grains + top,
        )

    def _base(self, fit: PageFit, unit: Fraction, turn: int) -> tuple[Linear, int, int]:
        """The matrix of the page's own coordinates, and its move when the art is at 0, 0.

        A form is drawn in the page's own units, a fit is in points: one unit
        of the page is `unit` points (ISO 32000-1 8.3.2.3).
        """
        placing = box_onto(fit.box, _AT_ORIGIN, (turn - fit.rotate) % 360, fit.scale)
        a, b, c, d = placing.matrix()
        linear = Linear(a * unit, b * unit, c * unit, d * unit)
        linear = self._linears.setdefault(linear, linear)
        return linear, placing.dx.grains, placing.dy.grains


def _grains(edges: Edges) -> Grains4:
    return edges.left.grains, edges.bottom.grains, edges.right.grains, edges.top.grains


def box_grains(box: Box) -> Grains4:
    """Left, bottom, right, top."""
    return box.x0.grains, box.y0.grains, box.x1.grains, box.y1.grains


def joined(boxes: list[Grains4], otherwise: Grains4) -> Grains4:
    """The smallest box round all; `otherwise` when there is none."""
    if not boxes:
        return otherwise
    if len(boxes) == 2:
        (a, b, c, d), (e, f, g, h) = boxes
        return min(a, e), min(b, f), max(c, g), max(d, h)
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)
