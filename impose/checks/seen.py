"""Outlines laid on the trimmed page: how far each thing is from the four sides.

Distances are inward from the trim of the plan (the paper left after the last
knife): negative means beyond it.  Sides are those of the book frame.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from impose.geometry.box import Box, Edges
from impose.geometry.sides import Edge, PageSides, sides_of
from impose.model.facts import SourceFacts
from impose.model.looks import Matter, Outline, PageLook
from impose.plan.insets import is_cover
from impose.plan.parts import Placement
from impose.plan.plan import PageFit, Plan
from impose.units import ZERO, Length

#: Sides by name: as findings say them, and as `PageSides` spells them.
SIDES: Final = ("head", "foot", "fore-edge", "spine")
_NEAR: Final = Length.mm("0.5")


def at_side(lengths: PageSides, side: str) -> Length:
    """The length at a side named as in findings."""
    found: Length = getattr(lengths, side.replace("-", "_"))
    return found


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing on a placed page.

    `inside` is how far its edges lie inside the trim's sides; `across` and `up`
    are its own size, from spine to fore-edge and from foot to head.
    """

    outline: Outline
    inside: PageSides
    across: Length
    up: Length  #: along the spine

    @property
    def is_text(self) -> bool:
        return self.outline.matter is Matter.TEXT

    @property
    def is_print(self) -> bool:
        """Text, or what stands for it in a scan."""
        return self.outline.matter in (Matter.TEXT, Matter.INK)

    def distance(self, side: str) -> Length:
        """Inside the trim at that side; negative beyond it."""
        return at_side(self.inside, side)

    def along(self, side: str) -> tuple[Length, Length]:
        """How far its ends are from the two ends of a side."""
        if side in ("head", "foot"):
            return self.inside.spine, self.inside.fore_edge
        return self.inside.head, self.inside.foot

    def extent(self, side: str) -> Length:
        """How large it is at right angles to a side."""
        return self.up if side in ("head", "foot") else self.across

    @property
    def size(self) -> tuple[Length, Length]:
        return self.across, self.up


@dataclass(frozen=True, slots=True)
class SeenPage:
    """A source page where the plan puts it; `page` counts from 1 in reading order.

    `declared`: the page says itself where its trim is, so what lies wholly
    beyond is a mark or slug.
    """

    page: int
    placement: Placement
    things: tuple[Seen, ...]
    declared: bool

    def across(self, side: str) -> Length:
        """The trim's measure at right angles to a side."""
        trim = self.placement.trim
        along_y = (side in ("head", "foot")) != _quarter_turned(self.placement)
        return trim.height if along_y else trim.width

    def beyond(self, seen: Seen, side: str) -> bool:
        """Lies wholly outside the trim at that side."""
        return self.inner(seen, side) <= ZERO

    def outside(self, seen: Seen) -> bool:
        """Lies wholly outside the trim."""
        return any(self.beyond(seen, side) for side in SIDES)

    def inner(self, seen: Seen, side: str) -> Length:
        """How far inside the trim's side its far edge lies."""
        return seen.distance(side) + seen.extent(side)

    def span(self, seen: Seen, side: str) -> tuple[Length, Length]:
        """From where to where it runs along a side: from the spine, or from the head."""
        if side in ("head", "foot"):
            return seen.inside.spine, seen.inside.spine + seen.across
        return seen.inside.head, seen.inside.head + seen.up


def see_pages(
    plan: Plan, facts: Sequence[SourceFacts], looks: Sequence[PageLook]
) -> Iterator[SeenPage]:
    """Every source page that the plan places and that could be looked at, in order.

    What lies wholly off the page's paper is on none: the other half of a spread, for one.
    """
    where = first_placements(plan)
    for page, (fit, look) in enumerate(zip(plan.pages, looks, strict=True), start=1):
        placement = where.get(page)
        if placement is None or not look.looked:
            continue
        media = facts[fit.file].pages[fit.number - 1].media
        shown = [one for one in look.outlines if not one.box.meet(media).empty]
        yield SeenPage(page, placement, _things(fit, placement, shown), _declared(fit, facts))


def first_placements(plan: Plan) -> Mapping[int, Placement]:
    """Where each source page lies, the first of several copies."""
    found: dict[int, Placement] = {}
    for sheet in plan.sheets:
        if is_cover(sheet.role):
            continue
        for _, side in sheet.sides:
            for placement in side.placements:
                if placement.page is not None:
                    found.setdefault(placement.page, placement)
    return found


def _things(fit: PageFit, placement: Placement, outlines: Iterable[Outline]) -> tuple[Seen, ...]:
    placing = fit.placing(placement)
    things = []
    for outline in outlines:
        box = placing.box(outline.box)
        size = box.size.turned if _quarter_turned(placement) else box.size
        things.append(Seen(outline, _inside(box, placement), size.width, size.height))
    return tuple(things)


def _quarter_turned(placement: Placement) -> bool:
    """Its spine side lies at the top or bottom."""
    return placement.spine_at in (Edge.TOP, Edge.BOTTOM)


def _inside(box: Box, placement: Placement) -> PageSides:
    trim = placement.trim
    edges = Edges(
        left=box.x0 - trim.x0,
        right=trim.x1 - box.x1,
        bottom=box.y0 - trim.y0,
        top=trim.y1 - box.y1,
    )
    return sides_of(edges, placement.spine_at, placement.upside_down)


def _declared(fit: PageFit, facts: Sequence[SourceFacts]) -> bool:
    """The trim is the page's own TrimBox, and lies within the paper."""
    page = facts[fit.file].pages[fit.number - 1]
    trim = page.trim
    if trim is None or trim == page.media:
        return False
    pairs = (
        (trim.x0, fit.box.x0),
        (trim.y0, fit.box.y0),
        (trim.x1, fit.box.x1),
        (trim.y1, fit.box.y1),
    )
    return all(a.near(b, _NEAR) for a, b in pairs)
