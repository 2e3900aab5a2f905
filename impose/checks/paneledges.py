"""What lies at the edges of a page on a folded sheet: a cut, a slit, a fold, or the paper's own."""

from __future__ import annotations

from enum import Enum
from typing import Final

from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.plan.parts import SLIT, Line, LineKind, Placement, Sheet
from impose.plan.plan import Plan
from impose.units import Length

#: A line belongs to an edge this near: outer panels may be a little smaller than their paper.
_NEAR: Final = Length.mm(1)


class EdgeKind(Enum):
    """The value is its word in findings."""

    CUT = "cut"
    SLIT = "slit"
    FOLD = "fold"
    PAPER = "edge of the paper"


class PanelEdges:
    """Tells the edges of the pages of one plan."""

    def __init__(self, plan: Plan) -> None:
        self._where = {
            id(placement): (sheet, name)
            for sheet in plan.sheets
            for name, side in sheet.sides
            for placement in side.placements
        }

    def of(self, placement: Placement) -> dict[str, EdgeKind]:
        """By side of the page: head, foot, spine, fore-edge."""
        sheet, name = self._where[id(placement)]
        kinds = {}
        for edge in Edge:
            strip = _strip(placement.trim, edge)
            if name == "back":
                strip = sheet.turned.over(strip, sheet.size)
            kinds[_side(edge, placement)] = _kind(sheet, strip)
        return kinds

    def cut_sides(self, placement: Placement) -> tuple[str, ...]:
        """The sides that a knife makes before the sheet is folded."""
        return tuple(s for s, kind in self.of(placement).items() if kind is EdgeKind.CUT)


def _strip(box: Box, edge: Edge) -> Box:
    """An edge of a box as a box without area."""
    return {
        Edge.LEFT: Box(box.x0, box.y0, box.x0, box.y1),
        Edge.RIGHT: Box(box.x1, box.y0, box.x1, box.y1),
        Edge.BOTTOM: Box(box.x0, box.y0, box.x1, box.y0),
        Edge.TOP: Box(box.x0, box.y1, box.x1, box.y1),
    }[edge]


def _side(edge: Edge, placement: Placement) -> str:
    if edge in (Edge.LEFT, Edge.RIGHT):
        return "spine" if edge is placement.spine_at else "fore-edge"
    return "head" if (edge is Edge.TOP) != placement.upside_down else "foot"


def _kind(sheet: Sheet, strip: Box) -> EdgeKind:
    for line in sheet.lines:
        if line.of == SLIT and _along(line, strip):
            return EdgeKind.SLIT
    for kind, found in ((LineKind.CUT, EdgeKind.CUT), (LineKind.FOLD, EdgeKind.FOLD)):
        if any(line.kind is kind and _along(line, strip) for line in sheet.lines):
            return found
    return EdgeKind.PAPER


def _along(line: Line, strip: Box) -> bool:
    """The line runs along the edge, over more than half of it."""
    if line.upright != (strip.x0 == strip.x1):
        return False
    if line.upright:
        over = min(line.y1, strip.y1) - max(line.y0, strip.y0)
        return line.x0.near(strip.x0, _NEAR) and over > strip.height.half
    over = min(line.x1, strip.x1) - max(line.x0, strip.x0)
    return line.y0.near(strip.y0, _NEAR) and over > strip.width.half
