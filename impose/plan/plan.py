"""The plan: a finished, immutable value from which everything that leaves the program is made."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.geometry.placing import ONE, Placing, box_onto
from impose.geometry.sides import BoundAt
from impose.model.job import Binding
from impose.model.leafkinds import LeafKind
from impose.plan.coverfacts import CoverFacts
from impose.plan.cutsteps import CutFacts, CutStep
from impose.plan.flatfacts import FLAT as FLAT_WORK
from impose.plan.flatfacts import FLAT_ONE_SIDED, SIDE_WORDS, FlatItem
from impose.plan.holes import HolePlan
from impose.plan.insetfacts import Inset
from impose.plan.parts import Cut, Gather, Placement, Sheet, Side
from impose.plan.pressfacts import ClickFacts, PressFacts
from impose.plan.printfacts import PrintFacts
from impose.plan.scoresteps import ScoreStep
from impose.units import ZERO, Length

FORMAT = "impose-plan"
VERSION = 2
#: The scheme of leaves that are folded at the fore-edge.
FRENCH = "french fold"
#: Schemes of folded panels that are printed on one face of the paper, and on both.
ONE_SHEET, ONE_SHEET_BOTH = "one sheet", "one sheet, both sides"
CONCERTINA, CONCERTINA_BOTH = "concertina", "concertina, both sides"
LEAFLET, LEAFLET_ONE_SIDE = "leaflet", "leaflet, one side"
#: A leaflet whose sides are each one page of art.
FLAT_LEAFLET, FLAT_LEAFLET_ONE_SIDE = "flat leaflet", "flat leaflet, one side"
FLAT = frozenset({FLAT_LEAFLET, FLAT_LEAFLET_ONE_SIDE})
#: Schemes that leave one face of the paper blank.
ONE_SIDED = frozenset(
    {FRENCH, ONE_SHEET, CONCERTINA, LEAFLET_ONE_SIDE, FLAT_LEAFLET_ONE_SIDE, FLAT_ONE_SIDED}
)


@dataclass(frozen=True, slots=True)
class PageFit:
    """How one source page becomes a finished page.

    `box` is the part of the source page that becomes the trim, in the page's
    own coordinates (lengths, UserUnit applied, before /Rotate); it may reach
    beyond the page where the page is smaller than the trim.  `rotate` is the
    page's clockwise /Rotate.  `supplied` is the art beyond the trim as the page
    is read (upright), at the printed scale.
    """

    file: int
    number: int
    box: Box
    rotate: int = 0
    scale: Fraction = ONE
    supplied: Edges = field(default_factory=Edges)

    def placing(self, placement: Placement) -> Placing:
        """From the page's own coordinates to the side of the sheet."""
        turn = (placement.turn - self.rotate) % 360
        return box_onto(self.box, placement.art, turn, self.scale)


@dataclass(frozen=True, slots=True, kw_only=True)
class Creep:
    """How nested leaves are corrected: per level, and at the innermost leaf."""

    per_level: Length = ZERO
    total: Length = ZERO
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The whole job at fixed positions.

    `trim` is the page as it is read, of flat work that of the first of its `items`.
    `pages` are the source pages in reading order; `faces` the number of faces of the
    finished book, blanks included.  `two_up` says how two copies bound as one meet,
    empty: one is bound alone.
    """

    title: str
    unit: str
    scheme: str
    binding: str
    bound_at: BoundAt
    trim: Size
    pages: tuple[PageFit, ...]
    files: tuple[str, ...]
    faces: int
    sheets: tuple[Sheet, ...]
    cuts: tuple[Cut, ...] = ()
    cut_steps: tuple[CutStep, ...] = ()
    cut_facts: CutFacts | None = None
    cover: CoverFacts | None = None
    score_steps: tuple[ScoreStep, ...] = ()
    holes: HolePlan | None = None
    gathering: tuple[Gather, ...] = ()
    creep: Creep = field(default_factory=Creep)
    grind: Length = ZERO
    mark_ink: str = "black"
    two_up: str = ""
    press: PressFacts | None = None
    clicks: ClickFacts | None = None
    condition: PrintFacts | None = None
    insets: tuple[Inset, ...] = ()
    findings: tuple[Finding, ...] = ()
    items: tuple[FlatItem, ...] = ()

    @property
    def leaf(self) -> Size:
        """The leaf in the book frame: across from the spine, along the spine."""
        return self.bound_at.leaf_size(self.trim)

    @property
    def french(self) -> bool:
        """The leaves are French-folded: a fold at the fore-edge, both pages on one face."""
        return self.scheme == FRENCH

    @property
    def panelled(self) -> bool:
        """Folded out of flat paper, panel by panel."""
        return Binding(self.binding).panelled

    @property
    def flat(self) -> bool:
        """Flat work: nothing is bound, every item has a size and an amount of its own."""
        return self.scheme in (FLAT_WORK, FLAT_ONE_SIDED)

    def side_word(self, side: str) -> str:
        """A side as people call it: an item of flat work has a left and a right side."""
        return SIDE_WORDS.get(side, side) if self.flat else side

    def one_sided(self, role: str) -> bool:
        """The sheets of that role are printed on one face: only their fronts are written."""
        if role.startswith("inset "):
            return self.insets[int(role.removeprefix("inset ")) - 1].kind is LeafKind.FRENCH
        return role == "guts" and self.scheme in ONE_SIDED

    def marked(self, kind: str) -> bool:
        """Marks of that kind had room on a sheet, whatever its role."""
        return any(
            mark.kind == kind
            for sheet in self.sheets
            for _, side in sheet.sides
            for marks in (side.own_marks, *(group.marks for group in side.marks))
            for mark in marks
        )

    @property
    def halved(self) -> bool:
        """The sheets of the guts are cut in two, each half a copy."""
        return any(sheet.one_forme for sheet in self.sheets)

    @property
    def per_sheet(self) -> int:
        """Copies of the book that one set of sheets gives, but for repeats on a flat sheet."""
        return (2 if self.halved else 1) * (2 if self.two_up else 1)

    def printed(self, sheet: Sheet) -> tuple[tuple[str, Side], ...]:
        """The sides of a sheet that are pages of their own in the written file: a forme each."""
        if sheet.one_forme or self.one_sided(sheet.role):
            return (("front", sheet.front),)
        return sheet.sides

    def reading_order(self) -> tuple[int | None, ...]:
        """The source page of each face of the book, None for blanks."""
        order: list[int | None] = [None] * self.faces
        for sheet in self.sheets:
            if sheet.role == "cover":
                continue
            for _, side in sheet.sides:
                for placement in side.placements:
                    if placement.position <= self.faces:
                        order[placement.position - 1] = placement.page
        return tuple(order)
