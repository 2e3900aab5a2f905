"""Holes for thread, staples, wire, coil or comb: patterns of them, and what a job asks for.

A pattern says how many holes or at which pitch, how far from the spine and from
head and foot; where they lie on a book of this height is decided in
`impose.bench.holeplaces`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from typing import Final

from impose.model.job import Binding, NamedSize
from impose.units import ZERO, Length


class Makes(Enum):
    """How the holes hold the book; the value is the word in a pattern's file."""

    STAB = "stab sewing"  #: thread through the block and round its spine, head and foot
    SIDE = "side stitch"  #: thread or staples through the block, round no edge
    PUNCHED = "punching"  #: wire, coil, comb, rings
    FOLD = "fold stitch"  #: thread or staples through the fold of one section
    SEWN = "section sewing"  #: thread through the fold of each section, section to section

    @property
    def binding(self) -> Binding:
        """The binding that it makes."""
        return _BINDING[self]

    @property
    def on_fold(self) -> bool:
        """The holes lie on the fold, not in the page."""
        return self in (Makes.FOLD, Makes.SEWN)

    @property
    def trim_first(self) -> bool:
        """Head, foot and fore-edge are cut before: what goes round or through the edges is in
        the way of the knife afterwards (common practice)."""
        return self in (Makes.STAB, Makes.PUNCHED)


_BINDING: Final = {
    Makes.STAB: Binding.STAB,
    Makes.SIDE: Binding.STAB,
    Makes.PUNCHED: Binding.PUNCHED,
    Makes.FOLD: Binding.SADDLE,
    Makes.SEWN: Binding.SECTIONS,
}


#: What goes through punched holes.
HELD_BY: Final = ("wire", "coil", "comb", "rings")


class HoleShape(Enum):
    """What a hole looks like from above."""

    PIERCED = "pierced"
    ROUND = "round"
    RECTANGULAR = "rectangular"
    STAPLE = "staple"  #: two legs, `along` apart


@dataclass(frozen=True, slots=True, kw_only=True)
class InInches:
    """Figures of a pattern for people who measure in inches, where they are round ones; None: the
    same figure as for everybody."""

    from_spine: Length | None = None
    ends: Length | None = None
    tape: Length | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HolePattern:
    """A pattern of holes, for books of any height.

    `along` and `across` are the size of one hole: along the spine, and away
    from it.  `from_spine` is from the spine edge of the trim to the middle of
    the holes, zero on a fold.  `ends` is from the trimmed head and foot to the
    middle of the first and last hole, `ends_share` the same as a share of the
    height; with a pitch `ends` is the least that is left.  `count` None: as many
    as fit at that pitch.  `tapes` of width `tape` lie between the two ends,
    with a hole at either side of each.  `held_by` is what goes through punched
    holes (one of `HELD_BY`), empty where the pattern does not say.
    """

    name: str
    makes: Makes
    shape: HoleShape = HoleShape.PIERCED
    along: Length = Length.mm(1)
    across: Length = Length.mm(1)
    from_spine: Length = ZERO
    count: int | None = None
    pitch: Length | None = None
    ends: Length = ZERO
    ends_share: Fraction | None = None
    tapes: int = 0
    tape: Length = ZERO
    in_inches: InInches = InInches()
    held_by: str = ""
    description: str = ""
    source: str = ""

    def in_unit(self, unit: str) -> HolePattern:
        """The pattern for a job measured in millimetres or in inches."""
        other = self.in_inches
        if unit != "in":
            return self
        return replace(
            self,
            from_spine=self.from_spine if other.from_spine is None else other.from_spine,
            ends=self.ends if other.ends is None else other.ends,
            tape=self.tape if other.tape is None else other.tape,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Holes:
    """The holes of a job.

    `at` are distances from the trimmed head to the middle of each hole, and win
    over the pattern.  `from_head` and `from_foot` are those of the first and the
    last hole where the job says them.  `guide` is the paper of the guide.
    """

    pattern: HolePattern
    at: tuple[Length, ...] = ()
    from_head: Length | None = None
    from_foot: Length | None = None
    guide: NamedSize | None = None
