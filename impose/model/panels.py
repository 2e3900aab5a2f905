"""What is asked of pieces folded from one flat sheet: leaflets, concertinas, one-sheet booklets."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from impose.units import Length


class LeafletFold(Enum):
    """How a leaflet is folded, by the trade's names; the value is its word in a job file.

    `letter`: three panels, one folded in and one closed over it (tri-fold);
    `roll`: four, rolled up; `z`: three, to and fro; `gate`: two half panels that
    meet in the middle; `double gate`: the same, folded once more in the middle;
    `double parallel`: in half and in half again; `tent`: in half at the head, to stand.
    """

    HALF = "half"
    LETTER = "letter"
    ROLL = "roll"
    Z = "z"
    GATE = "gate"
    DOUBLE_GATE = "double gate"
    DOUBLE_PARALLEL = "double parallel"
    TENT = "tent"


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelWish:
    """None means: not said.

    `panels` is the number of panels of a concertina, `tab` the strip that joins
    two of its sheets, `nest` how much narrower a panel is than the one that
    closes over it.
    """

    fold: LeafletFold | None = None
    panels: int | None = None
    tab: Length | None = None
    nest: Length | None = None
