"""The rows of a comparison of layouts."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from impose.plan.cutsteps import CutCount, ParentFacts
from impose.plan.parts import Sheet
from impose.schemes.ways import Unfit, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """`waste`: per cent of the printed sheets' area that is in no trimmed leaf, to a
    hundredth.  `area`: of all paper that is bought for the job, in square grains."""

    waste: Fraction
    area: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """What is printed: `sides` that differ (a plate each for every ink) and `clicks`, sides
    printed in all with overs.  `press`: the printer works with plates, else with clicks."""

    press: bool
    sides: int
    clicks: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutRow:
    """One layout that can be made; `number` is its rank, from 1.

    `first` is its first whole sheet, to be drawn.  `up` are pages on a front; `faces` of one
    copy, `blanks` of them added.  `sheets` are those of one copy, `printed` all that go
    through the printer, copies and overs counted.  Counts at the cutter are for one
    lift: of parent sheets (in `parent`), of sheets `before` binding, of `folded` leaves,
    and of the book `after` it; `lifted` are strokes with every lift counted.  `folds`
    are for all copies, each sheet folded by itself.  `grain` is "along" or "across" the
    spine, "both ways" where leaves lie both ways, empty when it is not known.
    `cost`: None where prices are not given.  `notes` say what is not as usual with it.
    """

    way: Way
    first: Sheet
    up: int
    faces: int
    blanks: int
    sheets: int
    printed: int
    paper: Paper
    parent: ParentFacts | None
    before: CutCount
    folded: CutCount
    after: CutCount
    lifted: int
    folds: int
    grain: str
    press: Press
    notes: tuple[str, ...] = ()
    cost: Fraction | None = None
    number: int = 0

    @property
    def strokes(self) -> int:
        """Cuts of the knife, for one lift of each pile."""
        return sum(count.strokes for count in self._counts)

    @property
    def turns(self) -> int:
        """Turns of a pile at the cutter, for one lift of each."""
        return sum(count.turns for count in self._counts)

    @property
    def _counts(self) -> tuple[CutCount, ...]:
        parent = (self.parent.handling,) if self.parent is not None else ()
        return (*parent, self.before, self.folded, self.after)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Rows in their rank, what falls out, and the rule of ranking in words."""

    rows: tuple[LayoutRow, ...]
    unfit: tuple[Unfit, ...]
    rule: str
    currency: str = field(default="")
