"""Cells that lie a quarter turn round on the sheet.

Such a cell is an upright one on the sheet turned a quarter clockwise, so that all that
holds of upright cells holds of it; what is placed in it is turned back, counter-clockwise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from impose.geometry.box import Box, Size
from impose.geometry.turning import Turnover
from impose.plan.parts import Line, Placement
from impose.schemes.cells import Cell, Placer


def onto_sheet(box: Box, sheet: Size) -> Box:
    """A box of the turned sheet, as it lies on the sheet."""
    return Box(sheet.width - box.y1, box.x0, sheet.width - box.y0, box.x1)


def off_sheet(box: Box, sheet: Size) -> Box:
    """The inverse of `onto_sheet`."""
    return Box(box.y0, sheet.width - box.x1, box.y1, sheet.width - box.x0)


def line_onto_sheet(line: Line, sheet: Size) -> Line:
    """A line of the turned sheet, as it lies on the sheet."""
    box = onto_sheet(Box(line.x0, line.y0, line.x1, line.y1), sheet)
    return Line(line.kind, line.of, box.x0, box.y0, box.x1, box.y1)


@dataclass(frozen=True, slots=True)
class TurnedCell:
    """`cell` lies upright on the turned sheet; `sheet` is the sheet as it lies."""

    cell: Cell
    sheet: Size

    @property
    def trim(self) -> Box:
        """The trim at no shift, on the sheet."""
        return onto_sheet(self.cell.trim, self.sheet)

    def back(self, sheet: Size, turned: Turnover) -> TurnedCell:
        """The other face of the same leaf: what is upright on the sheet runs across here."""
        other = {
            Turnover.ABOUT_VERTICAL: Turnover.ABOUT_HORIZONTAL,
            Turnover.ABOUT_HORIZONTAL: Turnover.ABOUT_VERTICAL,
        }[turned]
        return TurnedCell(self.cell.back(sheet.turned, other), sheet)


def place_any(
    placer: Placer, cell: Cell | TurnedCell, page: int | None, position: int
) -> Placement:
    """A page in a cell of either kind."""
    if isinstance(cell, Cell):
        return placer.place(cell, page, position)
    upright = placer.place(cell.cell, page, position)
    return replace(
        upright,
        trim=onto_sheet(upright.trim, cell.sheet),
        art=onto_sheet(upright.art, cell.sheet),
        turn=(upright.turn + 90) % 360,
        spine_at=upright.spine_at.turned(90),
    )
