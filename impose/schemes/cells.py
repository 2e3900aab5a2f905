"""A cell: one place for a page on a side of the sheet, before a page is put there.

A cell knows where the art's spine edge lies at no shift, where the fold or the
paper's edge is, and which way the page runs from there.  Placing a page with a
shift toward the spine gives the trim (the paper left after the knife) and the
art, clipped where the paper is folded.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import NO_SIDES, BoundAt, Edge, PageSides, sides_of
from impose.geometry.turning import Turnover
from impose.plan.parts import Placement
from impose.plan.plan import PageFit
from impose.schemes.madebleed import ToMake
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """In the frame of one side.

    `spine` is the x of the art's spine edge at no shift, `stop` the x that the
    paper or the fold does not let it pass; `spine_at` LEFT means that the page
    runs to the right.  `room` is how far bleed may reach beyond the trim.
    `front_page_face` says whether this face is the first of its leaf.
    """

    spine: Length
    stop: Length
    spine_at: Edge
    bottom: Length
    size: Size
    upside_down: bool = False
    room: PageSides = NO_SIDES

    @property
    def trim(self) -> Box:
        """The trim at no shift."""
        if self.spine_at is Edge.LEFT:
            return Box(self.spine, self.bottom, self.spine + self.size.width, self.top)
        return Box(self.spine - self.size.width, self.bottom, self.spine, self.top)

    @property
    def top(self) -> Length:
        return self.bottom + self.size.height

    def mirrored(self, sheet: Size) -> Cell:
        """Left and right exchanged: the back seen about the vertical, or a right-bound front."""
        return replace(
            self,
            spine=sheet.width - self.spine,
            stop=sheet.width - self.stop,
            spine_at=self.spine_at.opposite,
        )

    def half_turned(self, sheet: Size) -> Cell:
        """After half a turn of the sheet in its plane."""
        return replace(
            self,
            spine=sheet.width - self.spine,
            stop=sheet.width - self.stop,
            spine_at=self.spine_at.opposite,
            bottom=sheet.height - self.top,
            upside_down=not self.upside_down,
        )

    def back(self, sheet: Size, turned: Turnover) -> Cell:
        """The other face of the same leaf, seen from the back."""
        seen = self.mirrored(sheet)
        return seen if turned is Turnover.ABOUT_VERTICAL else seen.half_turned(sheet)


@dataclass(frozen=True, slots=True)
class Placer:
    """Puts pages into cells; one for a job.

    `wanted` is the bleed asked for at the four sides, `to_make` the sides of
    pages where it will be made.
    """

    fits: tuple[PageFit, ...]
    bound_at: BoundAt
    wanted: PageSides
    to_make: ToMake = field(default_factory=dict)
    #: What was worked out for the room of a cell that lies so, and a page's supply, by identity:
    #: both outlive the placer.
    known: dict[tuple[int, bool, bool, int], _Bleed] = field(default_factory=dict, compare=False)

    def place(self, cell: Cell, page: int | None, position: int, shift: Length = ZERO) -> Placement:
        """The page (None: a blank) in the cell, its art `shift` nearer to the spine."""
        bottom, top = cell.bottom, cell.top
        if cell.spine_at is Edge.LEFT:
            start = cell.spine - shift
            end = start + cell.size.width
            art = Box(start, bottom, end, top)
            trim = art if start >= cell.stop else Box(cell.stop, bottom, end, top)
        else:
            end = cell.spine + shift
            start = end - cell.size.width
            art = Box(start, bottom, end, top)
            trim = art if end <= cell.stop else Box(start, bottom, cell.stop, top)
        return Placement(
            page,
            position,
            trim,
            art,
            (self.bound_at.art_turn + (180 if cell.upside_down else 0)) % 360,
            cell.spine_at,
            cell.upside_down,
            self._bleed(cell, page, shift),
            shift,
            (position + 1) // 2,
        )

    def _bleed(self, cell: Cell, page: int | None, shift: Length) -> PageSides:
        if page is None or self.wanted is NO_SIDES:
            return NO_SIDES
        supplied = self.fits[page - 1].supplied
        if page in self.to_make:
            return self._made(cell, supplied, self.to_make[page], shift)
        key = (id(cell.room), cell.spine_at is Edge.LEFT, cell.upside_down, id(supplied))
        bleed = self.known.get(key)
        if bleed is None:
            bleed = self.known[key] = self._bleed_unshifted(cell, supplied)
        if shift and (bleed.at_rest.spine or bleed.fore_edge > bleed.at_rest.fore_edge):
            return replace(
                bleed.at_rest,
                spine=max(ZERO, min(bleed.at_rest.spine, cell.room.spine - shift)),
                fore_edge=min(bleed.fore_edge, cell.room.fore_edge + shift),
            )
        return bleed.at_rest

    def _made(
        self, cell: Cell, supplied: Edges, sides: Mapping[str, Length], shift: Length
    ) -> PageSides:
        """Where bleed is made there is as much as is wanted and there is room for."""
        known = self._bleed_unshifted(cell, supplied).at_rest
        room = replace(cell.room, fore_edge=cell.room.fore_edge + shift)
        full = self.wanted.least(room)
        return PageSides(
            head=full.head if "head" in sides else known.head,
            foot=full.foot if "foot" in sides else known.foot,
            spine=known.spine if "spine" not in sides else full.spine,
            fore_edge=full.fore_edge if "fore-edge" in sides else known.fore_edge,
        )

    def _bleed_unshifted(self, cell: Cell, supplied: Edges) -> _Bleed:
        if not (supplied.left or supplied.right or supplied.top or supplied.bottom):
            return _Bleed(NO_SIDES, ZERO)
        spine_at = cell.spine_at.opposite if cell.upside_down else cell.spine_at
        sides = sides_of(art_edges(supplied, self.bound_at), spine_at, False).least(self.wanted)
        return _Bleed(sides.least(cell.room), sides.fore_edge)


@dataclass(frozen=True, slots=True)
class _Bleed:
    """The bleed of a page that is not shifted, and what it would use at the fore-edge if
    there were room: a shift away from the fore-edge makes room there."""

    at_rest: PageSides
    fore_edge: Length


def art_edges(upright: Edges, bound_at: BoundAt) -> Edges:
    """Edges of a page as it is read, as they lie in the book frame."""
    if bound_at is BoundAt.HEAD:  # a quarter turn counter-clockwise: right goes to the top
        return Edges(top=upright.right, left=upright.top, bottom=upright.left, right=upright.bottom)
    return upright
