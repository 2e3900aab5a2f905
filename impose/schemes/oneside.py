"""Printing one side at a time: the order and turn of the backs, and what to do at the printer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.turning import Turnover
from impose.model.machines import LeadingEdge, Printer
from impose.model.refeeding import Refeed
from impose.plan.plan import Plan

FRONTS: Final = "guts-fronts.pdf"
BACKS: Final = "guts-backs.pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class OneSide:
    """How the file of the backs is made from the backs of the sheets in their order.

    `last_first`: the last sheet's back comes first.  `half_turn`: every back is
    turned half round against the sheets that are printed on both sides at once.
    """

    last_first: bool
    half_turn: bool
    steps: tuple[str, ...]


def one_side(plan: Plan, printer: Printer | None) -> OneSide:
    """For the guts of a plan; without a trial the printer is taken to be the usual one."""
    refeed = _refeed(printer)
    sheet = next(sheet for sheet in plan.sheets if sheet.role == "guts")
    leads = printer.leads if printer else LeadingEdge.SHORT
    comes_out = turned_by(refeed.same_edge, leads, sheet.size)
    return OneSide(
        last_first=refeed.last_first,
        half_turn=comes_out is not sheet.turned,
        steps=_steps(refeed),
    )


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
            "two sheets of the job and look at them before you print the rest",
        ),
    )


def _refeed(printer: Printer | None) -> Refeed:
    """What was tried; else from the delivery, for a tray that prints the upper face of the
    sheet it draws from the top (from memory: usual for trays at the back)."""
    if printer is not None and printer.refeed is not None:
        return printer.refeed
    face_down = printer is None or printer.stacks == "face down"
    return Refeed(turn_over=not face_down, last_first=face_down, same_edge=True)


def _steps(refeed: Refeed) -> tuple[str, ...]:
    turn = (
        "turn it over like the page of a book, so that the edge that came out first stays first"
        if refeed.turn_over
        else "do not turn it over"
    )
    return (
        f"Print {FRONTS} at actual size on one side of the paper.",
        "Let the ink dry. Take the whole pile out as it lies, do not change the order of the "
        f"sheets, {turn}, and put it into the tray as you did for the trial.",
        f"Print the first two pages of {BACKS} and look at the sheets: each back belongs to the "
        f"front with the same number. Then print the rest of {BACKS}, at actual size.",
    )
