"""The untrimmed guts: how far the paper of all leaves reaches beyond the trim.

Given in the book's own frame: the trim runs from 0 to the leaf's width, the
spine edge at 0, and from 0 (foot) to the leaf's height.  The block is the union
of all leaves: what reaches farthest counts.  Cut list, cover, ticket and checks
all ask here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from impose.geometry.box import Box
from impose.plan.coverfacts import GutsPaper
from impose.plan.insets import inset_views
from impose.plan.parts import COPIES, When
from impose.plan.plan import Plan
from impose.schemes.leafpaper import leaf_papers
from impose.units import ZERO, Length, total


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """The leaves jogged on each other, before they are bound and trimmed.

    `head_least` and `foot_least` are what the leaf that reaches least has beyond
    the trim there.
    """

    paper: Box
    head_least: Length
    foot_least: Length


def sheet_cut_ids(plan: Plan) -> frozenset[str]:
    """Cuts of the sheets before they are gathered; a fore-edge is cut on the gathered block."""
    return frozenset(
        cut.id
        for cut in plan.cuts
        if cut.when is not When.AFTER_BINDING and cut.side in ("", "spine")
    )


def gathered_block(plan: Plan) -> Block:
    """The guts of a plan as they are gathered: folded and parted, nothing trimmed.

    Of one copy alone, also where two are bound as one (see `bound_length`).
    """
    leaf = plan.leaf
    papers = [*leaf_papers(plan, {*sheet_cut_ids(plan), COPIES}), *_put_in(plan)]
    return Block(
        paper=Box(
            min(ZERO, *(paper.x0 for paper in papers)),
            min(paper.y0 for paper in papers),
            max(paper.x1 for paper in papers),
            max(paper.y1 for paper in papers),
        ),
        head_least=min(paper.y1 for paper in papers) - leaf.height,
        foot_least=-max(paper.y0 for paper in papers),
    )


def _put_in(plan: Plan) -> Iterator[Box]:
    """The papers of the insets: fold-outs folded, the others as they are."""
    for inset, view in zip(plan.insets, inset_views(plan), strict=True):
        for paper in leaf_papers(view, sheet_cut_ids(view)):
            yield replace(paper, x1=inset.folds[0]) if inset.folds else paper


def guts_paper(plan: Plan) -> GutsPaper:
    """Paper beyond the trim at head, foot and fore-edge, and the grind at the spine."""
    paper, leaf = gathered_block(plan).paper, plan.leaf
    return GutsPaper(
        head=max(ZERO, paper.y1 - leaf.height),
        foot=max(ZERO, -paper.y0),
        fore_edge=max(ZERO, paper.x1 - leaf.width),
        spine=plan.grind,
    )


def untrimmed_length(plan: Plan, paper: GutsPaper) -> Length:
    """The guts from head edge to foot edge."""
    return paper.head + plan.leaf.height + paper.foot


def blocks_of(plan: Plan) -> tuple[Block, ...]:
    """Each copy of what is bound as one: two where the job says so, in the order of the copies.

    What a copy has beyond its trim at the cut between them is its own allowance,
    at its other end what the sheets have.
    """
    if not plan.two_up:
        return (gathered_block(plan),)
    return tuple(gathered_block(one_of_two(plan, part)) for part in (1, 2))


def one_of_two(plan: Plan, part: int) -> Plan:
    """The plan with the pages of one of two copies that are bound as one, which take turns
    among the placements."""
    sheets = []
    for sheet in plan.sheets:
        front, back = (
            replace(side, placements=side.placements[part - 1 :: 2], strips=())
            for _, side in sheet.sides
        )
        sheets.append(replace(sheet, front=front, back=back) if sheet.role == "guts" else sheet)
    return replace(plan, sheets=tuple(sheets))


def bound_length(plan: Plan) -> Length:
    """What lies in the binder from end to end: both copies where two are bound as one."""
    if not plan.two_up:
        return untrimmed_length(plan, guts_paper(plan))
    return total(block.paper.height for block in blocks_of(plan))
