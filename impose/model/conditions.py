"""What the sheets are printed under: a colour profile, its condition, the part of ISO 15930.

The parts are those for complete exchange.  Which PDF version and which inks each
allows is in its published title: ISO 15930-4:2003 "Complete exchange of CMYK and
spot colour printing data using PDF 1.4 (PDF/X-1a)", ISO 15930-6:2003 "Complete
exchange of printing data suitable for colour-managed workflows using PDF 1.4
(PDF/X-3)", ISO 15930-7:2010 "Complete exchange of printing data (PDF/X-4) [...]
using PDF 1.6".
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from pathlib import Path


class Part(Enum):
    """Whose rules the sheets are held to; the value is its word in a job file."""

    X1A = "X-1a"
    X3 = "X-3"
    X4 = "X-4"

    @property
    def older(self) -> bool:
        """Goes back to PDF 1.4: no transparency, no layers, no object streams."""
        return self is not Part.X4

    @property
    def version(self) -> str:
        """The highest PDF version."""
        return "1.4" if self.older else "1.6"

    @property
    def number(self) -> str:
        """The part of the standard."""
        return {"X-1a": "ISO 15930-4", "X-3": "ISO 15930-6", "X-4": "ISO 15930-7"}[self.value]

    @property
    def title(self) -> str:
        """For people: standard and what it is called."""
        return f"{self.number} ({self.value})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """`[print]`.  `profile` is an ICC profile that the sheets name as their output intent, None:
    that of the source is kept; nothing is converted.  `condition` names the printing condition,
    empty: the profile's own words.  `ready`: the part that the written sheets are held to."""

    profile: Path | None = None
    condition: str = ""
    ready: Part | None = None
