"""How far the paper of the guts reaches beyond the trim when they meet the cover.

The block is the union of all leaves: what reaches farthest counts.  Cuts made
before binding and folds bound a leaf's paper on its sheet.
"""

from __future__ import annotations

from impose.plan.coverfacts import GutsPaper
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.schemes.leafpaper import leaf_papers
from impose.units import ZERO, Length


def guts_paper(plan: Plan) -> GutsPaper:
    """Paper beyond the trim at head, foot and fore-edge, and the grind at the spine."""
    early = {cut.id for cut in plan.cuts if cut.when is not When.AFTER_BINDING}
    papers, leaf = leaf_papers(plan, early), plan.leaf
    return GutsPaper(
        head=max(ZERO, *(paper.y1 - leaf.height for paper in papers)),
        foot=max(ZERO, *(-paper.y0 for paper in papers)),
        fore_edge=max(ZERO, *(paper.x1 - leaf.width for paper in papers)),
        spine=plan.grind,
    )


def untrimmed_length(plan: Plan, paper: GutsPaper) -> Length:
    """The guts from head edge to foot edge."""
    return paper.head + plan.leaf.height + paper.foot
