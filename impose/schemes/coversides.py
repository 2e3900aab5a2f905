"""The two faces of the cover's sheet: which art lies where, with how much bleed.

One wide page covers the whole open cover; else each part has its own page or
is left white, and keeps to its part toward its neighbours.  The inside is
described as seen from the back of the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from impose.findings import Finding
from impose.geometry.box import Box, Edges
from impose.geometry.sides import NO_SIDES, Edge, PageSides, sides_of
from impose.geometry.turning import Turnover
from impose.model.job import Job
from impose.plan.parts import Fill, Placement
from impose.plan.plan import PageFit, Plan
from impose.schemes.coverart import ArtFit, ArtPage, Wanted, Words, check_art, fit_art
from impose.schemes.coverfill import bare_fills, short_bleed
from impose.schemes.coverlayout import CoverLayout, CoverMeasures
from impose.schemes.draft import USUAL_BLEED
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class CoverArtist:
    """Places the art of one cover; `pages` carry the numbers they will have in the plan."""

    plan: Plan
    job: Job
    measures: CoverMeasures
    layout: CoverLayout
    pages: tuple[ArtPage, ...]
    _fits: dict[int, ArtFit] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for page in self.pages:
            size = (self.layout.parts.get(page.part) or self.layout.trim).size
            if page.part == "wide":
                size = self.layout.trim.size
            fit = fit_art(page.source, size, self.job.bound_at, self.job.tolerance)
            self._fits[page.page] = fit

    @property
    def fits(self) -> tuple[PageFit, ...]:
        """One for each page of art, in order, to be appended to the plan's pages."""
        return tuple(self._fits[page.page].fit for page in self.pages)

    @property
    def bleed(self) -> Length:
        """As asked, else what the art supplies up to the usual."""
        if self.job.guts.bleed is not None:
            return self.job.guts.bleed
        ends = [
            end for page in self.pages for end in _outer(page.part, self._fits[page.page].supplied)
        ]
        return min(max(ends, default=ZERO), USUAL_BLEED)

    def side(self, inside: bool) -> tuple[Placement, ...]:
        """The placements of the outside, or of the inside as seen from the back."""
        art = {page.part: page for page in self.pages if page.inside == inside}
        parts = dict(self.layout.parts)
        if not art or "wide" in art:
            parts = {"wide": self.layout.trim}
        first = self.plan.faces + 1 + (self._outside_count() if inside else 0)
        return tuple(
            self._place(name, box, art.get(name), inside, first + index)
            for index, (name, box) in enumerate(parts.items())
        )

    def fills(self) -> tuple[Fill, ...]:
        """The job's colour on the parts of the outside that have no art."""
        cover = self.job.cover
        with_art = frozenset(page.part for page in self.pages if not page.inside)
        return bare_fills(
            self.layout.parts,
            with_art,
            cover.fill if cover else None,
            self._fill_bleed,
            self.layout.room.ink,
        )

    @property
    def _fill_bleed(self) -> Length:
        asked = self.job.guts.bleed
        return asked if asked is not None else USUAL_BLEED

    def short_bleed(self) -> tuple[Finding, ...]:
        """What of the bleed of art or colour cannot be printed on this sheet."""
        wanted = max(self.bleed, self._fill_bleed if self.fills() else ZERO)
        return short_bleed(self.layout.trim, self.layout.room.ink, wanted, self.job.unit)

    def _outside_count(self) -> int:
        art = {page.part for page in self.pages if not page.inside}
        return 1 if not art or "wide" in art else len(self.layout.parts)

    def _place(
        self, name: str, box: Box, page: ArtPage | None, inside: bool, position: int
    ) -> Placement:
        room = self.layout.room
        upside_down = inside and room.turned is Turnover.ABOUT_HORIZONTAL
        spine_at = self._spine_at(name, inside)
        trim = room.turned.over(box, room.sheet) if inside else box
        bleed = NO_SIDES
        if page is not None:
            hold = room.turned.over(room.hold, room.sheet) if inside else room.hold
            bleed = self._bleed(name, page, trim, hold, (spine_at, upside_down))
        return Placement(
            page.page if page else None,
            position,
            trim,
            trim,
            (self.job.bound_at.art_turn + (180 if upside_down else 0)) % 360,
            spine_at,
            upside_down,
            bleed,
            ZERO,
            0,
        )

    def _spine_at(self, name: str, inside: bool) -> Edge:
        """The bound edge of a part as it lies; the left end, as read, of what has none."""
        turned = self.layout.room.turned
        if name in ("wide", "spine"):
            half = inside and turned is Turnover.ABOUT_HORIZONTAL
            return Edge.RIGHT if half else Edge.LEFT
        back_at_left = not self.job.bound_at.mirrored
        seen = Edge.RIGHT if name.endswith("back") == back_at_left else Edge.LEFT
        return seen.opposite if inside and turned is Turnover.ABOUT_VERTICAL else seen

    def _bleed(
        self, name: str, page: ArtPage, trim: Box, hold: Box, lies: tuple[Edge, bool]
    ) -> PageSides:
        spine_at, upside_down = lies
        room = sides_of(_reach(trim, hold), spine_at, upside_down)
        read_at = spine_at.opposite if upside_down else spine_at
        supplied = sides_of(self._fits[page.page].supplied, read_at, False)
        inner = name == "spine" or f"flap-{name}" in self.layout.parts
        most = PageSides(
            head=self.bleed,
            foot=self.bleed,
            spine=self.bleed if name == "wide" else ZERO,
            fore_edge=ZERO if inner else self.bleed,
        )
        return supplied.least(room).least(most)

    # -- findings --------------------------------------------------------------------------

    def findings(self) -> tuple[Finding, ...]:
        """What is wrong with the art, page by page."""
        job = self.job
        found: list[Finding] = []
        for page in self.pages:
            fit = self._fits[page.page]
            words = Words(
                unit=job.unit, file=self.plan.files[page.source.file], bound_at=job.bound_at
            )
            found.extend(check_art(page, fit, self._wanted(page), words))
        return tuple(found)

    def _wanted(self, page: ArtPage) -> Wanted:
        need = self.job.guts.bleed if self.job.guts.bleed is not None else USUAL_BLEED
        whole, boxes = self.layout.trim, self.layout.parts
        box = whole if page.part == "wide" else boxes.get(page.part, whole)
        # As the inside is read, left and right are those of the outside exchanged.
        left, right = box.x0 == whole.x0, box.x1 == whole.x1
        if page.inside:
            left, right = right, left
        ends = Edges(
            left=need if left else ZERO, right=need if right else ZERO, top=need, bottom=need
        )
        has_spine = page.part in ("wide", "spine")
        return Wanted(size=box.size, bleed=ends, spine=self.measures.spine if has_spine else None)


def _outer(part: str, supplied: Edges) -> tuple[Length, ...]:
    """The art beyond the cover's own trim."""
    if part == "spine":
        return supplied.top, supplied.bottom
    return supplied.top, supplied.bottom, supplied.left, supplied.right


def _reach(trim: Box, hold: Box) -> Edges:
    """From a trim to what may be printed or cut."""
    return Edges(
        left=max(ZERO, trim.x0 - hold.x0),
        right=max(ZERO, hold.x1 - trim.x1),
        bottom=max(ZERO, trim.y0 - hold.y0),
        top=max(ZERO, hold.y1 - trim.y1),
    )
