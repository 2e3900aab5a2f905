"""Where a placement lies, in whole grains: what is written and what is read back against.

`PageFit.placing` and `Placement.clip` say the same in lengths; at ten thousand
pages their small values cost more than the rest of the writing.  Here the part
that is the same for all pages of one size is worked out with them once, and the
rest is integer addition.  A test holds the two to each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from operator import attrgetter
from typing import Final, NamedTuple

from impose.geometry.box import Box
from impose.geometry.placing import box_onto
from impose.model.facts import SourceFacts
from impose.plan.parts import Placement, Side
from impose.plan.plan import PageFit, Plan
from impose.plan.strips import Strip
from impose.units import ZERO, Length

NO_LINEAR: Final = -1
_AT_ORIGIN: Final = Box(ZERO, ZERO, ZERO, ZERO)

Grains4 = tuple[int, int, int, int]
#: a, b, c, d of a matrix, without unit.
Linear = tuple[Fraction, Fraction, Fraction, Fraction]


class Placed(NamedTuple):
    """A placement's trim and clip (left, bottom, right, top), and its matrix; in grains.

    `page` is None for a blank, which has no matrix.  `linear` is an index into
    `Places.linears` (fractions are slow to compare), `NO_LINEAR` for a blank.
    """

    page: int | None
    trim: Grains4
    clip: Grains4
    linear: int
    e: int
    f: int


_PLACE: Final = attrgetter("trim", "clip")


class Places:
    """Works out the placements of one plan, those of a side once; goes by identity."""

    def __init__(self, plan: Plan, facts: tuple[SourceFacts, ...]) -> None:
        self.plan = plan
        self._fits = plan.pages
        self._on: dict[int, tuple[Placed, ...]] = {}
        self._pages = tuple(file.pages for file in facts)
        self._bases: dict[tuple[int, int, int, int, int], tuple[int, int, int]] = {}
        self._edges: dict[tuple[int, int, bool], Grains4] = {}
        self.linears: list[Linear] = []

    def on(self, side: Side) -> tuple[Placed, ...]:
        """All placements of a side, from left to right and from the foot up.

        In this order front and back of a sheet, mirror images, have the same
        operators; nothing overlaps, so no other order would look different.
        """
        found = self._on.get(id(side))
        if found is None:
            placed = [self._place(placement) for placement in side.placements]
            if side.strips:
                placed += [self._strip(placed[s.placement], s) for s in side.strips]
            placed.sort(key=_PLACE)
            found = self._on[id(side)] = tuple(placed)
        return found

    def _place(self, placement: Placement) -> Placed:
        page, trim, bleed = placement.page, placement.trim, placement.bleed
        x0, y0, x1, y1 = trim.x0.grains, trim.y0.grains, trim.x1.grains, trim.y1.grains
        sides = (id(bleed), id(placement.spine_at), placement.upside_down)
        left, bottom, right, top = self._edges.get(sides) or self._edge(sides, placement)
        clip = (x0 - left, y0 - bottom, x1 + right, y1 + top)
        if page is None:
            return Placed(page, (x0, y0, x1, y1), clip, NO_LINEAR, 0, 0)
        fit = self._fits[page - 1]
        unit = self._pages[fit.file][fit.number - 1].user_unit
        key = (id(fit.box), id(fit.scale), id(unit), fit.rotate, placement.turn)
        linear, dx, dy = self._bases.get(key) or self._base(key, fit, unit)
        art = placement.art
        e, f = art.x0.grains + dx, art.y0.grains + dy
        return Placed(page, (x0, y0, x1, y1), clip, linear, e, f)

    def _strip(self, of: Placed, strip: Strip) -> Placed:
        """The same page once more, its own matrix followed by the strip's move."""
        move, box = strip.move, strip.clip
        a, b, c, d = self.linears[of.linear]
        linear = (
            move.a * a + move.c * b,
            move.b * a + move.d * b,
            move.a * c + move.c * d,
            move.b * c + move.d * d,
        )
        if linear not in self.linears:
            self.linears.append(linear)
        e, f = move.point((Length(of.e), Length(of.f)))
        clip = (box.x0.grains, box.y0.grains, box.x1.grains, box.y1.grains)
        return of._replace(clip=clip, linear=self.linears.index(linear), e=e.grains, f=f.grains)

    def _edge(self, key: tuple[int, int, bool], placement: Placement) -> Grains4:
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


def side_boxes(placed: Sequence[Placed], media: Grains4) -> tuple[Grains4, Grains4]:
    """The box round all trims, and that round all clips, as far as it lies in the MediaBox.

    Both are the MediaBox when nothing is placed (ISO 32000-1 14.11.2).
    """
    if not placed:
        return media, media
    trim, clip = placed[0].trim, placed[0].clip
    for one in placed[1:]:
        trim, clip = _join(trim, one.trim), _join(clip, one.clip)
    if clip[0] < 0 or clip[1] < 0 or clip[2] > media[2] or clip[3] > media[3]:
        clip = max(clip[0], 0), max(clip[1], 0), min(clip[2], media[2]), min(clip[3], media[3])
    return trim, clip


def _join(one: Grains4, other: Grains4) -> Grains4:
    a, b, c, d = one
    e, f, g, h = other
    return a if a < e else e, b if b < f else f, c if c > g else g, d if d > h else h
