"""The paper of each leaf round its trim, before the last cuts, in the frame of the book."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.plan.parts import LineKind, Placement, Sheet
from impose.plan.plan import Plan
from impose.units import ZERO, Length


def leaf_papers(plan: Plan, early: Collection[str]) -> tuple[Box, ...]:
    """The paper of one leaf of each place on each layout of the guts.

    In the book frame: spine edge and foot of the art at 0, the spine at the
    left.  A leaf ends at the sheet's own edges, its folds, and the cuts whose
    ids are in `early`, which are made before the leaves are gathered.
    """
    return tuple(
        _in_book(_paper(edges, placement.trim), placement)
        for edges, placement in _distinct(plan, early)
    )


#: A place, and from where to where an edge runs there.
_Stretch = tuple[Length, Length, Length]


@dataclass(frozen=True, slots=True)
class _Edges:
    """Where paper ends on a layout before the last cuts: x of upright, y of level edges, each
    with the stretch along which it does."""

    xs: tuple[_Stretch, ...]
    ys: tuple[_Stretch, ...]


def _distinct(plan: Plan, early: Collection[str]) -> Iterator[tuple[_Edges, Placement]]:
    """One placement for each place on each layout."""
    known: dict[int, _Edges] = {}
    seen = set()
    for sheet in plan.sheets:
        if sheet.role != "guts":
            continue
        layout = id(sheet.lines)
        if layout not in known:
            known[layout] = _edges(sheet, early)
        for placement in sheet.front.placements:
            art = placement.art  # grains: comparing lengths takes longer
            where = (art.x0.grains, art.y0.grains)
            key = (layout, where, placement.spine_at.value, placement.upside_down)
            if key not in seen:
                seen.add(key)
                yield known[layout], placement


def _edges(sheet: Sheet, early: Collection[str]) -> _Edges:
    """The sheet's own edges, its folds, and the early cuts."""
    wide, high = sheet.size.width, sheet.size.height
    xs = {(ZERO, ZERO, high), (wide, ZERO, high)}
    ys = {(ZERO, ZERO, wide), (high, ZERO, wide)}
    for line in sheet.lines:
        if line.kind is LineKind.FOLD or (line.kind is LineKind.CUT and line.of in early):
            if line.upright:
                xs.add((line.x0, line.y0, line.y1))
            else:
                ys.add((line.y0, line.x0, line.x1))
    return _Edges(tuple(xs), tuple(ys))


def _paper(edges: _Edges, trim: Box) -> Box:
    """The paper of one leaf: up to the nearest edges round its trim."""
    xs = [at for at, low, high in edges.xs if low < trim.y1 and trim.y0 < high]
    ys = [at for at, low, high in edges.ys if low < trim.x1 and trim.x0 < high]
    return Box(
        max(x for x in xs if x <= trim.x0),
        max(y for y in ys if y <= trim.y0),
        min(x for x in xs if x >= trim.x1),
        min(y for y in ys if y >= trim.y1),
    )


def _in_book(paper: Box, placement: Placement) -> Box:
    art, spine_at = placement.art, placement.spine_at
    if spine_at in (Edge.BOTTOM, Edge.TOP):  # a quarter turn back, clockwise about the origin
        art, paper = (Box(box.y0, -box.x1, box.y1, -box.x0) for box in (art, paper))
        spine_at = spine_at.turned(270)
    if spine_at is Edge.LEFT:
        x0, x1 = paper.x0 - art.x0, paper.x1 - art.x0
    else:
        x0, x1 = art.x1 - paper.x1, art.x1 - paper.x0
    if placement.upside_down:
        y0, y1 = art.y1 - paper.y1, art.y1 - paper.y0
    else:
        y0, y1 = paper.y0 - art.y0, paper.y1 - art.y0
    return Box(x0, y0, x1, y1)
