"""The bound book before its last cuts: how far the paper reaches beyond the trim.

Given in the book's own frame: the trim runs from 0 to the leaf's width, the
spine at 0, and from 0 (foot) to the leaf's height.  The spine is drawn at the
left; a right-bound book is the mirror of this.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from impose.bench.sheetgrid import guts_sheets, sheet_cut_ids
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.parts import LineKind, Placement, Sheet
from impose.plan.plan import Plan
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The paper round the trim: `gathered` as the leaves are jogged, `bound` as they are bound.

    Binding grinds the spine and puts the cover on, which may reach farther than
    the guts.  `head_least` and `foot_least` are the leaves that reach least
    beyond the trim there.
    """

    trim: Size
    gathered: Box
    bound: Box
    head_least: Length
    foot_least: Length

    def beyond(self, side: str) -> Length:
        """The most paper beyond the trim at head, foot or fore-edge of the bound book."""
        return self._beyond(self.bound, side)

    def overhang(self, side: str) -> Length:
        """How far the cover reaches beyond the guts."""
        return self.beyond(side) - self._beyond(self.gathered, side)

    def ragged(self, side: str) -> Length:
        """By how much the leaves differ at head or foot."""
        least = self.head_least if side == "head" else self.foot_least
        return self._beyond(self.gathered, side) - least

    def _beyond(self, paper: Box, side: str) -> Length:
        return {
            "head": paper.y1 - self.trim.height,
            "foot": -paper.y0,
            "fore-edge": paper.x1 - self.trim.width,
        }[side]


def outline_of(plan: Plan) -> Outline:
    """The outline of the book, guts and cover."""
    leaf = plan.leaf
    papers = [
        _in_book(_paper(edges, placement.trim), placement)
        for edges, placement in _distinct(plan, sheet_cut_ids(plan))
    ]
    gathered = Box(
        min(ZERO, *(paper.x0 for paper in papers)),
        min(paper.y0 for paper in papers),
        max(paper.x1 for paper in papers),
        max(paper.y1 for paper in papers),
    )
    return Outline(
        trim=leaf,
        gathered=gathered,
        bound=_bound(plan, gathered),
        head_least=min(paper.y1 for paper in papers) - leaf.height,
        foot_least=-max(paper.y0 for paper in papers),
    )


def _bound(plan: Plan, gathered: Box) -> Box:
    """Ground, and joined with the cover.  Flaps are folded in: they do not count."""
    ground = replace(gathered, x0=gathered.x0 + plan.grind)
    cover = plan.cover
    if cover is None:
        return ground
    fore = max(cover.front_distance, cover.back_distance)
    around = Box(
        ground.x0,
        -cover.foot,
        ground.x1 if cover.cut_first else fore,
        plan.leaf.height + cover.head,
    )
    return ground.join(around)


@dataclass(frozen=True, slots=True)
class _Edges:
    """Where paper ends on a layout before the last cuts: x of upright, y of level edges."""

    xs: tuple[Length, ...]
    ys: tuple[Length, ...]


def _distinct(plan: Plan, early: frozenset[str]) -> Iterator[tuple[_Edges, Placement]]:
    """One placement for each place on each layout."""
    known: dict[int, _Edges] = {}
    seen = set()
    for sheet in guts_sheets(plan):
        layout = id(sheet.lines)
        if layout not in known:
            known[layout] = _edges(sheet, early)
        for placement in sheet.front.placements:
            art = placement.art
            key = (layout, art.x0.grains, art.y0.grains, placement.spine_at.value)
            if key not in seen:
                seen.add(key)
                yield known[layout], placement


def _edges(sheet: Sheet, early: frozenset[str]) -> _Edges:
    """The sheet's own edges, its folds, and the cuts before binding."""
    xs, ys = {ZERO, sheet.size.width}, {ZERO, sheet.size.height}
    for line in sheet.lines:
        if line.kind is LineKind.FOLD or (line.kind is LineKind.CUT and line.of in early):
            (xs if line.upright else ys).add(line.x0 if line.upright else line.y0)
    return _Edges(tuple(xs), tuple(ys))


def _paper(edges: _Edges, trim: Box) -> Box:
    """The paper of one leaf: up to the nearest edges round its trim."""
    return Box(
        max(x for x in edges.xs if x <= trim.x0),
        max(y for y in edges.ys if y <= trim.y0),
        min(x for x in edges.xs if x >= trim.x1),
        min(y for y in edges.ys if y >= trim.y1),
    )


def _in_book(paper: Box, placement: Placement) -> Box:
    """In the book's frame: measured from the art's spine edge and foot."""
    art = placement.art
    if placement.spine_at is Edge.LEFT:
        x0, x1 = paper.x0 - art.x0, paper.x1 - art.x0
    else:
        x0, x1 = art.x1 - paper.x1, art.x1 - paper.x0
    if placement.upside_down:
        y0, y1 = art.y1 - paper.y1, art.y1 - paper.y0
    else:
        y0, y1 = paper.y0 - art.y0, paper.y1 - art.y0
    return Box(x0, y0, x1, y1)
