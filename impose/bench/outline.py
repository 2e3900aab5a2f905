"""The bound book before its last cuts: how far the paper reaches beyond the trim.

Given in the book's own frame: the trim runs from 0 to the leaf's width, the
spine at 0, and from 0 (foot) to the leaf's height.  The spine is drawn at the
left; a right-bound book is the mirror of this.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from impose.bench.sheetgrid import guts_sheets
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.parts import LineKind, Placement, Sheet, When
from impose.plan.plan import Plan
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """The union of all leaves, the spine not yet ground.

    `head_least`, `foot_least` and `fore_least` are the leaves that reach least
    beyond the trim at these sides.
    """

    trim: Size
    paper: Box
    head_least: Length
    foot_least: Length
    fore_least: Length

    def beyond(self, side: str) -> Length:
        """The most paper beyond the trim at head, foot or fore-edge."""
        return {
            "head": self.paper.y1 - self.trim.height,
            "foot": -self.paper.y0,
            "fore-edge": self.paper.x1 - self.trim.width,
        }[side]

    def ragged(self, side: str) -> Length:
        """By how much the leaves differ at head or foot."""
        least = self.head_least if side == "head" else self.foot_least
        return self.beyond(side) - least


def outline_of(plan: Plan) -> Outline:
    """The outline of the guts as they are bound."""
    early = {cut.id for cut in plan.cuts if cut.when is not When.AFTER_BINDING}
    leaf = plan.leaf
    papers = [
        _in_book(_paper(edges, placement.trim), placement)
        for edges, placement in _distinct(plan, early)
    ]
    return Outline(
        trim=leaf,
        paper=Box(
            min(ZERO, *(paper.x0 for paper in papers)),
            min(paper.y0 for paper in papers),
            max(paper.x1 for paper in papers),
            max(paper.y1 for paper in papers),
        ),
        head_least=min(paper.y1 for paper in papers) - leaf.height,
        foot_least=-max(paper.y0 for paper in papers),
        fore_least=min(paper.x1 for paper in papers) - leaf.width,
    )


@dataclass(frozen=True, slots=True)
class _Edges:
    """Where paper ends on a layout before the last cuts: x of upright, y of level edges."""

    xs: tuple[Length, ...]
    ys: tuple[Length, ...]


def _distinct(plan: Plan, early: set[str]) -> Iterator[tuple[_Edges, Placement]]:
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


def _edges(sheet: Sheet, early: set[str]) -> _Edges:
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
