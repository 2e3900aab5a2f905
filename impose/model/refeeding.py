"""Printing one side at a time: what was found out about putting the pile back in the tray.

Three things differ between printers: which face stacks up, which face the tray
prints, and which edge leads.  A trial of two sheets tells their sum, which is
all that matters: whether the pile must be turned over, which of its sheets is
drawn in first, and whether the same edge of the paper leads again.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Refeed:
    """How a pile is put back for its backs, as the trial showed it.

    `turn_over`: before it goes back the pile is turned over like the page of a
    book, the edge that came out first staying first.  `last_first`: the last
    sheet of the pile is then printed first.  `same_edge`: fronts and backs are
    printed with the same edge of the paper leading.
    """

    turn_over: bool
    last_first: bool
    same_edge: bool


def refeed_text(refeed: Refeed) -> str:
    """As it stands in a printer's file."""
    words = {True: "true", False: "false"}
    return (
        f"refeed = {{ turn_over = {words[refeed.turn_over]}, "
        f"last_first = {words[refeed.last_first]}, same_edge = {words[refeed.same_edge]} }}\n"
    )


def refeed_from_trial(*, blank_side: bool, second_first: bool, arrows_same: bool) -> Refeed:
    """What the trial's answers mean.

    The pile went back as it came out.  `blank_side`: the backs were printed on
    the paper's empty face; else it must be turned over, which also turns the
    order round.  `second_first`: the sheet that was printed second as a front
    was drawn in first.  `arrows_same`: held to the light, both arrows point to
    the same edge of the paper.
    """
    return Refeed(
        turn_over=not blank_side,
        last_first=second_first if blank_side else not second_first,
        same_edge=arrows_same,
    )
