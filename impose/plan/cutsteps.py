"""The cut program in a plan: what is done at the cutter, step by step.

The gauge is the distance from the back stop to the knife: what lies between
them stays, what lies in front of the knife falls away, and may be good work.
A step holds no place on the sheet: which pile, which of its edges lies at the
back stop, and the gauge say it all, and a replay of the steps must leave the trims.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction

from impose.geometry.box import Size
from impose.plan.parts import When
from impose.units import Length


class StepKind(Enum):
    """What a step is; only CUT uses a knife at a gauge, SLIT one along a line."""

    JOG = "jog"
    CUT = "cut"
    STACK = "stack"
    BIND = "bind"
    GATHER = "gather"  #: of a book that is trimmed before it is pierced
    PIERCE = "pierce"
    SEW = "sew"  #: or put the wire, coil or comb in
    FOLD = "fold"
    SLIT = "slit"
    JOIN = "join"


class EdgeState(Enum):
    """What an edge of a pile is worth as a starting point."""

    RAW = "raw"  #: as the mill or a fold left it
    LAY = "lay"  #: jogged
    TRUE = "true"  #: cut


class Turn(Enum):
    """A move of the pile, seen from above."""

    LEFT = "quarter turn left"  #: counter-clockwise
    RIGHT = "quarter turn right"  #: clockwise
    HALF = "half turn"
    OVER = "turned over"  #: about the line from left to right: back and front edge change places


@dataclass(frozen=True, slots=True, kw_only=True)
class OnTable:
    """What lies on the table: each of `piles` in turn, all alike.

    `count` is the number of `things` in each.  `size` is one pile as it is
    presented: width along the knife, height from the back stop to the operator.
    """

    piles: tuple[str, ...]
    count: int
    things: str
    height: Length
    lifts: int
    size: Size


@dataclass(frozen=True, slots=True, kw_only=True)
class Present:
    """How the pile is laid down after `turns` from the step before.

    `at_gauge` is the edge at the back stop: left, right, bottom or top of the
    sheet seen from its front, or a side of the book.  `face_up` is front or back.
    """

    at_gauge: str
    state: EdgeState
    face_up: str = "front"
    turns: tuple[Turn, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The gauge.  `on_marks`: no edge to trust lies at the stop, so the crop marks
    decide and the figure is only near.  `reading` is for a ruler in the job's unit."""

    gauge: Length
    reading: str
    reckoned_from: str
    on_marks: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of each pile after the cut, `piles` naming it for each; empty names: waste.

    `size` as it lies: width along the knife, height from back to front.
    """

    piles: tuple[str, ...]
    size: Size
    waste: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStep:
    """One row of the cut list.  `cuts` are the ids of the plan's cuts it makes.

    Steps that are not a cut have only a title and notes.  `shows` names what a
    drawing of folded panels shows: ids of the sheet's lines, or a word.
    """

    number: int
    kind: StepKind
    when: When
    title: str
    cuts: tuple[str, ...] = ()
    table: OnTable | None = None
    present: Present | None = None
    setting: Setting | None = None
    stays: Part | None = None
    falls: Part | None = None
    notes: tuple[str, ...] = ()
    shows: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CutCount:
    """Handling: cuts of the knife, turns of a pile, settings of the gauge (for one lift)."""

    strokes: int = 0
    turns: int = 0
    settings: int = 0

    def __add__(self, other: CutCount) -> CutCount:
        """Both together."""
        return CutCount(
            strokes=self.strokes + other.strokes,
            turns=self.turns + other.turns,
            settings=self.settings + other.settings,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ParentFacts:
    """The mill's sheets from which the sheets are cut before printing.

    `sheet` is as it lies in the parent, `out` how many come out of one, `count`
    the parents that are needed, overs included.  `grain` says in words how the
    grain runs on the sheet.
    """

    size: Size
    sheet: Size
    out: int
    count: int
    grain: str
    handling: CutCount = field(default_factory=CutCount)
    plain: CutCount = field(default_factory=CutCount)

    @property
    def waste(self) -> Fraction:
        """Per cent of the parent's area that is in none of the sheets, to a hundredth."""
        whole = self.size.width.grains * self.size.height.grains
        used = self.sheet.width.grains * self.sheet.height.grains * self.out
        return Fraction(round(Fraction(whole - used, whole) * 10_000), 100)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutFacts:
    """What the cut list says above its steps.

    `lay` is the lay edge of the book, `lay_edges` those of the sheets seen from
    their front, empty where the sheets are not cut.  `plain` counts the way of
    rows first, then each strip by itself.  `weight` is that of all sheets in
    grams, None when the grammage is not known.  `waste` is in per cent of the
    paper's area, rounded to a hundredth.
    """

    cutter: str
    hand: bool
    assumed: bool
    tolerance: Length
    lay: str
    lay_edges: tuple[str, ...] = ()
    trim_order: tuple[str, ...]
    order_from: str
    sheets: int
    sheet: Size
    pile: Length
    waste: Fraction
    weight: Fraction | None = None
    overs: int = 0
    parent: ParentFacts | None = None
    before: CutCount = field(default_factory=CutCount)
    plain: CutCount = field(default_factory=CutCount)
    after: CutCount = field(default_factory=CutCount)
    notes: tuple[str, ...] = ()
