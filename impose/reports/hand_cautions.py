"""Cautions for work by hand: staples, awl, needle, punch, cold glue, drying.

Reminders beside those in `cautions`; what the maker of a tool says comes first.
"""

from __future__ import annotations

from typing import Final

from impose.reports.cautions import Caution

STAPLER: Final = Caution(
    "Stapling: fingers never under the stapler's head, and none over where the legs come out; see "
    "that both legs are closed flat. Follow the maker's instructions.",
    "common practice",
)
AWL: Final = Caution(
    "Awl and needle: pierce into a folded towel or a pad of card, never toward the hand that "
    "holds the paper; put the awl away with its point covered.",
    "common practice",
)
PUNCH: Final = Caution(
    "Punching: no more leaves at once than the maker of the punch allows; fingers clear of the "
    "dies and of the lever. Its manual comes first.",
    "common practice",
)
COLD_GLUE: Final = Caution(
    "Glue: air the room and read the label, also of white glue; hot glue burns, so only trained "
    "people work with it, as the maker's manual says. Put weights on so that they cannot fall.",
    "common practice; hot glue: ISO 16763:2016, 4.5.1",
)
PRINTER: Final = Caution(
    "At the printer: do not reach inside while it runs; parts inside are hot. Let ink dry before "
    "you stack, fold or print the other side.",
    "common practice",
)
FOLDING: Final = Caution(
    "Folding: paper edges cut; press folds down with a tool, not with a finger along the edge.",
    "common practice",
)
