"""How far the paper of the guts reaches beyond the trim when they meet the cover.

The block is the union of all leaves: what reaches farthest counts.  Cuts made
before binding and folds bound a leaf's paper on its sheet.
"""

from __future__ import annotations

from collections.abc import Iterator

from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.plan.coverfacts import GutsPaper
from impose.plan.parts import LineKind, Placement, Sheet, When
from impose.plan.plan import Plan
from impose.units import ZERO, Length


def guts_paper(plan: Plan) -> GutsPaper:
    """Paper beyond the trim at head, foot and fore-edge, and the grind at the spine."""
    early = {cut.id for cut in plan.cuts if cut.when is not When.AFTER_BINDING}
    head = foot = fore = ZERO
    for sheet, placement in _distinct(plan):
        trim, paper = placement.art, _paper(sheet, placement, early)
        above, below = paper.y1 - trim.y1, trim.y0 - paper.y0
        if placement.upside_down:
            above, below = below, above
        at_left = placement.spine_at is Edge.LEFT
        out = paper.x1 - trim.x1 if at_left else trim.x0 - paper.x0
        head, foot, fore = max(head, above), max(foot, below), max(fore, out)
    return GutsPaper(head=head, foot=foot, fore_edge=fore, spine=plan.grind)


def untrimmed_length(plan: Plan, paper: GutsPaper) -> Length:
    """The guts from head edge to foot edge."""
    return paper.head + plan.leaf.height + paper.foot


def _distinct(plan: Plan) -> Iterator[tuple[Sheet, Placement]]:
    """One placement for each place on each layout, creep apart."""
    seen = set()
    for sheet in plan.sheets:
        if sheet.role != "guts":
            continue
        for placement in sheet.front.placements:
            art = placement.art  # grains: comparing lengths takes longer
            where = art.x0.grains, art.y0.grains
            key = (id(sheet.lines), where, placement.spine_at.value, placement.upside_down)
            if key not in seen:
                seen.add(key)
                yield sheet, placement


def _paper(sheet: Sheet, placement: Placement, early: set[str]) -> Box:
    """Up to the nearest folds, early cuts and edges of the sheet."""
    trim, size = placement.trim, sheet.size
    xs, ys = [ZERO, size.width], [ZERO, size.height]
    for line in sheet.lines:
        if line.kind is LineKind.FOLD or (line.kind is LineKind.CUT and line.of in early):
            (xs if line.upright else ys).append(line.x0 if line.upright else line.y0)
    return Box(
        max(x for x in xs if x <= trim.x0),
        max(y for y in ys if y <= trim.y0),
        min(x for x in xs if x >= trim.x1),
        min(y for y in ys if y >= trim.y1),
    )
