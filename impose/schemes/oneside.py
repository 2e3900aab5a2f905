"""Printing one side at a time: the order and turn of the backs, and what to do at the printer."""

from __future__ import annotations

from dataclasses import dataclass

from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.turning import Turnover
from impose.model.machines import LeadingEdge, Printer
from impose.model.refeeding import Refeed
from impose.plan.plan import Plan


def parts_of(name: str) -> tuple[str, str]:
    """What the fronts and the backs of a file of sheets are called."""
    stem = name.removesuffix(".pdf")
    return f"{stem}-fronts.pdf", f"{stem}-backs.pdf"


FRONTS, BACKS = parts_of("guts.pdf")


@dataclass(frozen=True, slots=True, kw_only=True)
class OneSide:
    """How the file of the backs is made from the backs of the sheets in their order.

    `last_first`: the last sheet's back comes first.  `half_turn`: every back is
    turned half round against the sheets that are printed on both sides at once.
    `turn_over`: what is put back is turned over first.
    """

    last_first: bool
    half_turn: bool
    turn_over: bool


def one_side(plan: Plan, printer: Printer | None, role: str = "guts") -> OneSide:
    """For the sheets of a role; without a trial the printer is taken to be the usual one."""
    sheet = next(sheet for sheet in plan.sheets if sheet.role == role)
    return put_back(sheet.size, sheet.turned, printer)


def put_back(sheet: Size, turned: Turnover, printer: Printer | None) -> OneSide:
    """For sheets whose backs are drawn `turned` over."""
    refeed = _refeed(printer)
    leads = printer.leads if printer else LeadingEdge.SHORT
    comes_out = turned_by(refeed.same_edge, leads, sheet)
    return OneSide(
        last_first=refeed.last_first,
        half_turn=comes_out is not turned,
        turn_over=refeed.turn_over,
    )


def turn_words(printer: Printer | None) -> str:
    """What to do with a pile, or one sheet, before it goes back into the tray."""
    if _refeed(printer).turn_over:
        return (
            "turn it over like the page of a book, left to right, so that the edge which would go "
            "in first without turning still goes in first"
        )
    return "do not turn it over"


def turned_by(same_edge: bool, leads: LeadingEdge, sheet: Size) -> Turnover:
    """How sheet and back lie to each other when the pile goes through twice.

    With the same edge of the paper leading, that edge is the same edge of both
    files: a leading edge that lies across the file (at its foot or head) makes
    that a turn about the vertical, one that runs up it about the horizontal.
    """
    across = (leads is LeadingEdge.LONG) == sheet.landscape
    vertical = across == same_edge
    return Turnover.ABOUT_VERTICAL if vertical else Turnover.ABOUT_HORIZONTAL


def trial_missing(printer: Printer | None) -> tuple[Finding, ...]:
    """Said when nobody has tried how this printer takes a pile back."""
    if printer is not None and printer.refeed is not None:
        return ()
    return (
        Finding.warning(
            "refeed-unknown",
            "how this printer takes a pile back for its second side was never tried; "
            "a usual one is supposed",
            hint="impose register --one-side makes two sheets that find it out; until then print "
            "the first sheet alone, both sides, and look at it before you print the rest",
        ),
    )


def _refeed(printer: Printer | None) -> Refeed:
    """What was tried; else from the delivery, for a tray that prints the upper face of the
    sheet it draws from the top (from memory: usual for trays at the back)."""
    if printer is not None and printer.refeed is not None:
        return printer.refeed
    face_down = printer is None or printer.stacks == "face down"
    return Refeed(turn_over=not face_down, last_first=face_down, same_edge=True)
