"""A page with a finding as it is read: where trim, bleed, live area and the thing lie on it.

Everything is found on the sheet, where the plan has it, and carried back to the
page through the inverse of the matrix that prints it.  So creep, turned sheets
and /Rotate are in it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.safe import SafeDistances
from impose.checks.seen import first_placements
from impose.checks.spine import at_spine
from impose.checks.words import face_name
from impose.geometry.box import Box, Edges, Size, box_inside
from impose.geometry.placing import Placing, box_onto
from impose.geometry.sides import Edge, PageSides, side_edges
from impose.model.facts import PageFacts
from impose.model.job import Job
from impose.plan.coverview import piece_view
from impose.plan.insets import is_cover
from impose.plan.parts import Placement
from impose.plan.plan import Plan
from impose.reports.page_choice import ChosenPage, Pointer
from impose.units import ZERO, Length

#: What a close view shows across and up, for things near an edge; and at the most.
_WINDOW: Final = Length.mm(26)
_WIDEST: Final = Length.mm(120)
_ROOM: Final = Length.mm(6)


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What a finding points at on a page as it is read, from the page's lower left.

    `edge` is the edge of the trim that the finding speaks of, None when it
    speaks of none; `window` the part to be seen close.
    """

    finding: int
    edge: Edge | None = None
    box: Box | None = None
    window: Box | None = None
    measured: str = ""
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PageView:
    """A page (1-based) as it is read: its size, and boxes from its lower left.

    `bleed` is what may be inked, `live` where nothing is at risk; both are None
    for a page that no sheet carries.
    """

    page: int
    name: str
    size: Size
    trim: Box
    bleed: Box | None
    live: Box | None
    views: tuple[View, ...]


@dataclass(frozen=True, slots=True)
class Viewer:
    """Turns chosen pages into views; `cut` are the sides of the page that a knife makes."""

    plan: Plan
    job: Job
    safe: SafeDistances
    cut: Sequence[str]
    guts: Mapping[int, Placement]
    cover: Mapping[int, Placement]

    def view(self, chosen: ChosenPage, facts: PageFacts) -> PageView:
        """`facts` are those of the chosen source page."""
        page = chosen.page
        fit = self.plan.pages[page - 1]
        size = facts.upright_size(facts.crop)
        upright = box_onto(facts.crop, Box.at(ZERO, ZERO, size), (360 - facts.rotate) % 360)
        placement = self.guts.get(page) or self.cover.get(page)
        if placement is None:
            trim, bleed, live = upright.box(fit.box), None, None
        else:
            back = fit.placing(placement).inverse.then(upright)
            trim, bleed = back.box(placement.trim), back.box(placement.clip)
            live = back.box(self._live(page, placement))
        views = [self._look(pointer, page, upright, trim) for pointer in chosen.pointers]
        return PageView(
            page=page,
            name=self._name(page),
            size=size,
            trim=trim,
            bleed=bleed,
            live=live,
            views=tuple(views),
        )

    def _name(self, page: int) -> str:
        if page in self.cover and page not in self.guts:
            return "Cover art" if len(self.cover) == 1 else f"Cover art {page - len(self.guts)}"
        return face_name(page, self.plan) if self.plan.flat else f"Page {page}"

    def _live(self, page: int, placement: Placement) -> Box:
        """On the sheet: the trim without what is not safe where it is cut, folded or bound."""
        if page not in self.guts:
            return self._live_cover(placement)
        safe, trim = self.safe, placement.trim
        if self.plan.panelled:  # a fold, a slit, a cut or the paper's edge all round
            sides = PageSides(
                head=safe.head, foot=safe.foot, spine=safe.fore_edge, fore_edge=safe.fore_edge
            )
            return box_inside(trim, sides.edges(placement.spine_at, placement.upside_down))
        spine = at_spine(placement.position, self.plan, self.job, safe)
        from_spine = safe.fore_edge if "spine" in self.cut else spine.safe if spine else ZERO
        sides = PageSides(
            head=safe.head if "head" in self.cut else ZERO,
            foot=safe.foot if "foot" in self.cut else ZERO,
            # A French fold is not cut, but what is near it bends round it.
            fore_edge=safe.fore_edge if "fore-edge" in self.cut or self.plan.french else ZERO,
            spine=from_spine,
        )
        return box_inside(trim, sides.edges(placement.spine_at, placement.upside_down))

    def _live_cover(self, placement: Placement) -> Box:
        """All that is safe from the open cover's four cuts."""
        safe, cover = self.safe, self.plan.cover
        if cover is None:
            return placement.trim
        edges = Edges(left=safe.fore_edge, right=safe.fore_edge, bottom=safe.foot, top=safe.head)
        return box_inside(cover.trim, edges).meet(placement.trim)

    def _look(self, pointer: Pointer, page: int, upright: Placing, trim: Box) -> View:
        box = None if pointer.box is None else upright.box(pointer.box)
        edge = None
        if page in self.guts:
            edge = _edge(pointer.side, self.guts[page])
        elif page in self.cover:
            edge = _cover_edge(pointer.side, box, trim)
        return View(
            finding=pointer.finding,
            edge=edge,
            box=box,
            window=None if box is None else _window(box, edge, trim),
            measured=pointer.measured,
            missing=pointer.missing,
        )


def viewer(plan: Plan, job: Job, safe: SafeDistances, cut: Sequence[str]) -> Viewer:
    """The placements of all source pages, found once."""
    cover: dict[int, Placement] = {}
    plan = piece_view(plan)
    for sheet in plan.sheets:
        for _, side in sheet.sides:
            for placement in side.placements:
                if is_cover(sheet.role) and placement.page is not None:
                    cover.setdefault(placement.page, placement)
    return Viewer(plan, job, safe, cut, first_placements(plan), cover)


def _edge(side: str, placement: Placement) -> Edge | None:
    """Where a side of the book lies on the page as it is read."""
    lying = side_edges(placement.spine_at, placement.upside_down)
    lying |= {"left": lying["spine"], "right": lying["fore-edge"]}  # of flat work
    at = lying.get(side)
    return None if at is None else at.turned(-placement.turn)


def _cover_edge(side: str, box: Box | None, trim: Box) -> Edge | None:
    """An open cover has two fore-edges: the one that is nearer to the thing is meant."""
    if side == "fore-edge" and box is not None:
        return Edge.LEFT if box.x0 - trim.x0 < trim.x1 - box.x1 else Edge.RIGHT
    return {"head": Edge.TOP, "foot": Edge.BOTTOM}.get(side)


def _window(box: Box, edge: Edge | None, trim: Box) -> Box:
    """A square round the thing and the edge in question, or round what is nearest to it."""
    x, y = _middle(box.x0, box.x1, trim.x0, trim.x1), _middle(box.y0, box.y1, trim.y0, trim.y1)
    half = _WINDOW.half
    if edge is Edge.LEFT:
        x, half = _across(trim.x0, box.x0, half.half)
    elif edge is Edge.RIGHT:
        x, half = _across(trim.x1, box.x1, -half.half)
    elif edge is Edge.BOTTOM:
        y, half = _across(trim.y0, box.y0, half.half)
    elif edge is Edge.TOP:
        y, half = _across(trim.y1, box.y1, -half.half)
    return Box(x - half, y - half, x + half, y + half)


def _across(trim: Length, thing: Length, inward: Length) -> tuple[Length, Length]:
    """The middle of the window and half its size, so that the edge of trim and thing are in it.

    Beside a thing that is near most of what is seen lies inside the trim.
    """
    half = abs(inward) * 2
    apart = abs(thing - trim)
    if apart <= half:
        return trim + inward, half
    return (trim + thing).half, min(apart.half + _ROOM, _WIDEST.half)


def _middle(low: Length, high: Length, least: Length, most: Length) -> Length:
    """Of a thing, or of its part within the trim when it reaches beyond."""
    inside = max(low, least), min(high, most)
    return (inside[0] + inside[1]).half if inside[0] < inside[1] else (low + high).half
