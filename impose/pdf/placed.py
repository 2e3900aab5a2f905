"""Where a placement lies, in whole grains: what is written and what is read back against.

`PageFit.placing` and `Placement.clip` say the same in lengths; at ten thousand
pages their small values cost more than the rest of the writing.  Here the part
that is the same for all pages of one size is worked out with them once, and the
rest is integer addition.  A test holds the two to each other.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final, NamedTuple

from impose.geometry.box import Box
from impose.geometry.placing import box_onto
from impose.geometry.sides import Edge
from impose.model.facts import SourceFacts
from impose.plan.parts import Placement
from impose.plan.plan import PageFit, Plan
from impose.units import ZERO

_AT_ORIGIN: Final = Box(ZERO, ZERO, ZERO, ZERO)

Grains4 = tuple[int, int, int, int]
#: a, b, c, d of a matrix, without unit.
Linear = tuple[Fraction, Fraction, Fraction, Fraction]


class Placed(NamedTuple):
    """The clip's left, bottom, right and top edge, and the matrix; lengths in grains.

    `linear` is an index into `Places.linears`: fractions are slow to compare.
    """

    clip: Grains4
    linear: int
    e: int
    f: int


class Places:
    """Works out placements of one plan; goes by identity, so the plan must stay alive."""

    def __init__(self, plan: Plan, facts: tuple[SourceFacts, ...]) -> None:
        self._fits = plan.pages
        self._pages = tuple(file.pages for file in facts)
        self._bases: dict[tuple[int, int, int, int, int], tuple[int, int, int]] = {}
        self._edges: dict[tuple[int, bool, bool], Grains4] = {}
        self.linears: list[Linear] = []

    def of(self, placement: Placement, page: int, clip: Grains4) -> Placed:
        """Where source page `page` (1-based, in reading order) is drawn."""
        fit = self._fits[page - 1]
        unit = self._pages[fit.file][fit.number - 1].user_unit
        key = (id(fit.box), id(fit.scale), id(unit), fit.rotate, placement.turn)
        linear, dx, dy = self._bases.get(key) or self._base(key, fit, unit)
        art = placement.art
        return Placed(clip, linear, art.x0.grains + dx, art.y0.grains + dy)

    def clip(self, placement: Placement, trim: Grains4) -> Grains4:
        """`Placement.clip` in grains; `trim` is `box_grains` of its trim."""
        key = (id(placement.bleed), placement.spine_at is Edge.LEFT, placement.upside_down)
        left, bottom, right, top = self._edges.get(key) or self._edge(key, placement)
        x0, y0, x1, y1 = trim
        return x0 - left, y0 - bottom, x1 + right, y1 + top

    def _edge(self, key: tuple[int, bool, bool], placement: Placement) -> Grains4:
        edges = placement.bleed.edges(placement.spine_at, placement.upside_down)
        found = (edges.left.grains, edges.bottom.grains, edges.right.grains, edges.top.grains)
        self._edges[key] = found
        return found

    def _base(
        self, key: tuple[int, int, int, int, int], fit: PageFit, unit: Fraction
    ) -> tuple[int, int, int]:
        """The matrix of the page's own coordinates, and its move when the art is at 0, 0.

        A form is drawn in the page's own units, a fit is in points: one unit
        of the page is `unit` points (ISO 32000-1 8.3.2.3).
        """
        placing = box_onto(fit.box, _AT_ORIGIN, (key[4] - fit.rotate) % 360, fit.scale)
        a, b, c, d = placing.matrix()
        linear = (a * unit, b * unit, c * unit, d * unit)
        if linear not in self.linears:
            self.linears.append(linear)
        found = (self.linears.index(linear), placing.dx.grains, placing.dy.grains)
        self._bases[key] = found
        return found


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
