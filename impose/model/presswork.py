"""How the back of a sheet is printed, and how two copies of a book are bound as one.

Sheetwise: a forme for each side, the gripper edge stays.  Work and turn: one
forme for both, the sheet turned about the line from gripper to tail, so that
the gripper edge stays and the side lay works from the other side.  Work and
tumble: one forme, the sheet turned about the line along the gripper, so that
the tail comes into the grippers.  (Roberts and Etherington, Bookbinding and the
Conservation of Books, "work and turn"; printwiki.org, Work-and-Tumble.)
Perfecting: both sides in one pass, the sheet turned tail to gripper (common
practice).
"""

from __future__ import annotations

from enum import Enum

from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.model.machines import LeadingEdge, Printer
from impose.units import ZERO


class Work(Enum):
    """The value is its word in a job file."""

    SHEETWISE = "sheetwise"
    TURN = "work and turn"
    TUMBLE = "work and tumble"
    PERFECTING = "perfecting"

    @property
    def one_forme(self) -> bool:
        """One set of plates prints both sides; each half of the sheet is a copy."""
        return self in (Work.TURN, Work.TUMBLE)

    @property
    def keeps_gripper(self) -> bool:
        """The same edge of the paper goes into the grippers for the back."""
        return self in (Work.SHEETWISE, Work.TURN)


class TwoUp(Enum):
    """How two copies that are bound as one meet at the cut between them."""

    HEADS = "head to head"
    FEET = "foot to foot"
    SAME_WAY = "head to foot"

    @property
    def come_and_go(self) -> bool:
        """The second copy reads from the back: it is turned about the line of the cut."""
        return self is not TwoUp.SAME_WAY


def lead_across(printer: Printer | None, sheet: Size) -> bool:
    """The leading edge lies at the bottom of the file, else at the left (see Printer.margins).

    Where no machine is named the long edge leads, as on sheet-fed presses (common practice).
    """
    leads = printer.leads if printer else LeadingEdge.LONG
    return (leads is LeadingEdge.LONG) == sheet.landscape


def turned_for(work: Work, printer: Printer | None, sheet: Size) -> Turnover:
    """How the sheet is turned over for its back, as it lies in the file."""
    about_vertical = work.keeps_gripper == lead_across(printer, sheet)
    return Turnover.ABOUT_VERTICAL if about_vertical else Turnover.ABOUT_HORIZONTAL


def work_on(
    work: Work | None, printer: Printer | None, sheet: Size, turned: Turnover
) -> Work | None:
    """As the job says; else what a press with plates does that turns the sheet this way.  None
    for all other printers."""
    if work is not None:
        return work
    if printer is None or not printer.plates:
        return None
    keeps = turned_for(Work.SHEETWISE, printer, sheet) is turned
    return Work.SHEETWISE if keeps else Work.PERFECTING


def held_in(work: Work | None, printer: Printer) -> Printer:
    """The printer with the margins that it has in this way of printing."""
    return printer.held_at_both_ends if work is Work.PERFECTING else printer


def edge_over(edge: Edge, turned: Turnover) -> Edge:
    """The same edge of the paper, seen from the other side."""
    upright = edge in (Edge.LEFT, Edge.RIGHT)
    return edge.opposite if upright == (turned is Turnover.ABOUT_VERTICAL) else edge


def half_of(sheet: Size, turned: Turnover) -> Size:
    """Half a sheet that one forme prints: parted along the line it is turned about.

    A whole number of grains; an odd one stays at the cut.
    """
    if turned is Turnover.ABOUT_VERTICAL:
        return Size(sheet.width.half, sheet.height)
    return Size(sheet.width, sheet.height.half)


def first_half(sheet: Size, turned: Turnover, right_bound: bool) -> Box:
    """The half whose first page is up on the front, seen from the front.

    At the right for a book bound at the left, so that page 1 is in the corner
    where handbooks have it; the lower one, next to the gripper, where the sheet
    is parted across.
    """
    half = half_of(sheet, turned)
    if turned is Turnover.ABOUT_VERTICAL and not right_bound:
        return Box(sheet.width - half.width, ZERO, sheet.width, sheet.height)
    return Box(ZERO, ZERO, half.width, half.height)
