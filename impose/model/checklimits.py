"""What the checks take for enough: distances, dots to the inch, ink, fine lines."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.units import Length


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckLimits:
    """None: as the checks have it (see `checks.safe`).

    Distances are inward from the trim; `spine` is the one toward the spine.
    `soft` and `coarse` are dots to the inch below which a picture is warned of,
    `line_art` those of one-bit pictures (150, 100 and 600: common practice).
    `hairline`: finer lines are told (0.25 pt: common practice).  `total_ink` is
    the sum of all inks, 3 being 300 % (uncoated and digital work, from memory).
    """

    head: Length | None = None
    foot: Length | None = None
    fore_edge: Length | None = None
    spine: Length | None = None
    soft: int = 150
    coarse: int = 100
    line_art: int = 600
    hairline: Length = Length.points("0.25")
    total_ink: Fraction = Fraction(3)


USUAL_LIMITS: Final = CheckLimits()
