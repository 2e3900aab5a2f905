"""Panels on a flat sheet: where the block of panels lies, its outer cuts, and pages put into it.

The block is centred on the sheet.  Where the sheet is the block there is no
outer cut, and the outer edges of the panels are the paper's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import Edge, sides_of
from impose.geometry.turning import Turnover
from impose.plan.parts import Cut, Line, LineKind, Placement, When
from impose.schemes.cells import Cell, Placer
from impose.schemes.draft import Asked, too_small
from impose.schemes.parting import parting_cuts
from impose.schemes.rooms import Room, rooms
from impose.units import ZERO, Length

#: A sheet this little larger than the block, both edges together, is not cut (from memory: a
#: narrower strip cannot be held).
SAME: Final = Length.mm(1)
#: What most office printers leave white at the edges (common practice: 3 to 6 mm).
USUAL_WHITE: Final = Length.mm(6)


@dataclass(frozen=True, slots=True)
class Block:
    """All panels of a sheet, seen from the front: `box` is the paper that is left of it, `panels`
    what is planned on it, which may be a little smaller where nothing is cut."""

    room: Room
    box: Box
    panels: Box

    @property
    def sheet(self) -> Size:
        return self.room.sheet

    def mirrored(self) -> Block:
        """Left and right exchanged on the sheet."""
        over = Turnover.ABOUT_VERTICAL.over
        return Block(self.room, over(self.box, self.sheet), over(self.panels, self.sheet))

    def bleed_room(self, panel: Box, bleed: Length) -> Edges:
        """How far the art of a panel may run beyond it: outward, where the block is cut."""
        hold, box, whole = self.room.hold, self.box, self.panels

        def beyond(at_edge: bool, paper: Length) -> Length:
            return min(bleed, paper) if at_edge else ZERO

        return Edges(
            left=beyond(panel.x0 == whole.x0, box.x0 - hold.x0),
            right=beyond(panel.x1 == whole.x1, hold.x1 - box.x1),
            bottom=beyond(panel.y0 == whole.y0, box.y0 - hold.y0),
            top=beyond(panel.y1 == whole.y1, hold.y1 - box.y1),
        )


def find_block(asked: Asked, size: Size, what: str) -> Block:
    """The block on the first sheet named that takes it, the way round that suits its shape.

    Raises JobError with both sizes when none does.
    """
    names = [named.name for named in asked.job.guts.sheets]
    found = [block for room in rooms(asked.job.guts) if (block := block_on(room, size))]
    if not found:
        raise too_small(asked, size, what)
    return min(
        found,
        key=lambda b: (names.index(b.room.name), b.sheet.landscape != size.landscape),
    )


def block_on(room: Room, size: Size) -> Block | None:
    """The block in the middle of one sheet, None when it is too large; the whole sheet when it
    is nearly as large."""
    x, y = room.start(size.width, across=True), room.start(size.height, across=False)
    if x is None or y is None:
        return None
    box = Box.at(x, y, size)
    sheet, hold = room.sheet, room.hold
    x0, x1, y0, y1 = box.x0, box.x1, box.y0, box.y1
    if sheet.width - size.width <= SAME and hold.width == sheet.width:
        x0, x1 = ZERO, sheet.width
    if sheet.height - size.height <= SAME and hold.height == sheet.height:
        y0, y1 = ZERO, sheet.height
    return Block(room, Box(x0, y0, x1, y1), box)


def outer_cuts(block: Block) -> tuple[list[Line], list[Cut]]:
    """The cuts that free the block; none where the paper ends with it."""
    return parting_cuts(block.sheet, [block.box], When.BEFORE_FOLDING)


def upright_fold(of: str, x: Length, block: Block) -> Line:
    """A fold up the whole block."""
    return Line(LineKind.FOLD, of, x, block.box.y0, x, block.box.y1)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPlace:
    """Where a page lies: the panel seen from the front, the face, and how the page lies there.

    `upside_down` and `spine_at` are seen from the page's own face, the sheet
    turned about the vertical.  `leaf` is the leaf of the booklet.
    """

    panel: Box
    front: bool
    upside_down: bool
    spine_at: Edge
    leaf: int


@dataclass(frozen=True, slots=True)
class PanelPlacer:
    """Puts pages onto the panels of one block."""

    asked: Asked
    block: Block
    placer: Placer
    #: The placer knows cells by identity, so they must not go before it does.
    cells: list[Cell] = field(default_factory=list, compare=False)

    @classmethod
    def on(cls, asked: Asked, block: Block) -> PanelPlacer:
        return cls(asked, block, asked.placer())

    def place(self, at: PanelPlace, page: int | None, position: int) -> Placement:
        """The page (None: a blank) in its panel, on its face of the sheet."""
        sheet = self.block.sheet
        edges = self.block.bleed_room(at.panel, self.asked.bleed)
        box = at.panel
        if not at.front:
            box, edges = Turnover.ABOUT_VERTICAL.over(box, sheet), edges.mirrored
        spine = box.x0 if at.spine_at is Edge.LEFT else box.x1
        cell = Cell(
            spine=spine,
            stop=spine,
            spine_at=at.spine_at,
            bottom=box.y0,
            size=box.size,
            upside_down=at.upside_down,
            room=sides_of(edges, at.spine_at, at.upside_down),
        )
        if not at.front and self.block.room.turned is Turnover.ABOUT_HORIZONTAL:
            cell = cell.half_turned(sheet)
        self.cells.append(cell)
        return replace(self.placer.place(cell, page, position), leaf=at.leaf)


# -- what is said of all folded panels ---------------------------------------------------


def panel_findings(asked: Asked, block: Block) -> tuple[Finding, ...]:
    """That outer edges are the paper's own, which few printers reach; once, unless a printer's
    profile says the same with its own figures."""
    box, sheet, unit = block.box, block.sheet, asked.job.unit
    edges = (
        ("left", box.x0 == ZERO),
        ("right", box.x1 == sheet.width),
        ("bottom", box.y0 == ZERO),
        ("top", box.y1 == sheet.height),
    )
    names = [name for name, own in edges if own]
    if not names or asked.job.guts.printer is not None:
        return ()
    where = "all round" if len(names) == 4 else f"at the {' and the '.join(names)}"
    return (
        Finding.note(
            "paper-edge",
            f"the outer edges of the panels are the paper's own edges {where}: most printers leave "
            f"up to {USUAL_WHITE.text(unit)} white there, and art stops at that",
            hint="keep words and art that far from the outer edges, name your printer, or print on "
            "a larger sheet and cut it to size",
        ),
    )


def fold_marks(places: Sequence[Length], block: Block) -> list[Line]:
    """Upright folds with their ids by place, from the left."""
    return [upright_fold(f"hinge{n}", x, block) for n, x in enumerate(places, start=1)]
