"""The bound book before its last cuts: how far the paper reaches beyond the trim.

Given in the book's own frame: the trim runs from 0 to the leaf's width, the
spine at 0, and from 0 (foot) to the leaf's height.  The spine is drawn at the
left; a right-bound book is the mirror of this.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from impose.geometry.box import Box, Size
from impose.plan.plan import Plan
from impose.schemes.gutspaper import gathered_block
from impose.units import Length


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
    block = gathered_block(plan)
    return Outline(
        trim=plan.leaf,
        gathered=block.paper,
        bound=_bound(plan, block.paper),
        head_least=block.head_least,
        foot_least=block.foot_least,
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
