"""What the machines can do: printers and presses, cutters, creasers, binders."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from typing import Final

from impose.geometry.box import Edges, Size
from impose.geometry.turning import Flip
from impose.model.refeeding import Refeed
from impose.model.registers import Register
from impose.units import ZERO, Length

#: The cover is longer than the untrimmed guts by this at head and at foot (bindtechinc.com).
GLUE_TRAP: Final = Length.inches("1/8")
#: Hinge score from the spine edge (finishlinebinderies.com, printersbinderyinc.net).
HINGE: Final = Length.inches("1/4")
#: Glue beside the spine on the cover's inside, kept free of ink (bindtechinc.com).
GLUE_STRIP: Final = Length.inches("3/16")
#: Paper beyond the trim for the cuts after binding (bindagraphics.com: 1/8 to 1/2 in).
TRIM_OFF: Final = Length.inches("1/8")


class LeadingEdge(Enum):
    """Which edge of the sheet goes into the machine first."""

    LONG = "long edge"
    SHORT = "short edge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Printer:
    """An office printer, a press with plates, or a press without (`digital`: `press`, too).

    `lead` is the margin at the leading edge (the gripper on a press), `tail`
    the opposite one, `left` and `right` as seen on the printed face with the
    leading edge at the bottom.  `flip` is how it turns the sheet for the back.
    `side_lay` is the side ("left" or "right", seen in the same way) to which the
    sheet is pulled on its first pass, empty: not said.  `bar` is paper at the
    tail that pages keep free for the colour bar, beyond what cannot be printed.
    `image_max` is the largest image; `perfects`: both sides in one pass.
    `registers` are the corrections found with trial sheets, by size of sheet;
    `refeed` how a pile goes back for its second side, None: never tried.
    """

    name: str
    press: bool = False
    digital: bool = False
    leads: LeadingEdge = LeadingEdge.SHORT
    lead: Length = ZERO
    tail: Length = ZERO
    left: Length = ZERO
    right: Length = ZERO
    flip: Flip | None = None
    registration_ink: bool = False
    stacks: str = "face down"
    registers: tuple[Register, ...] = ()
    refeed: Refeed | None = None
    sheet_min: Size | None = None
    sheet_max: Size | None = None
    side_lay: str = ""
    bar: Length = ZERO
    image_max: Size | None = None
    perfects: bool = False
    description: str = ""
    source: str = ""

    @property
    def plates(self) -> bool:
        """Prints with plates and holds the sheet with grippers; others print from the file."""
        return self.press and not self.digital

    @property
    def held_at_both_ends(self) -> Printer:
        """As it prints both sides in one pass: the edge that trails on the first side leads on
        the second, so the gripper's margin is kept there, too."""
        return replace(self, tail=max(self.tail, self.lead))

    def margins(self, sheet: Size) -> Edges:
        """What cannot be printed, at the edges of the sheet as it lies in the file.

        The leading edge lies at the bottom, or at the left when the edge that
        leads runs upright.  The largest image begins at the gripper and lies in
        the middle across.
        """
        lead_across = (self.leads is LeadingEdge.LONG) == sheet.landscape
        across, along = (sheet.width, sheet.height) if lead_across else (sheet.height, sheet.width)
        tail, left, right = self.tail, self.left, self.right
        if self.image_max is not None:
            wide, deep = self.image(self.image_max)
            beside = max(across - wide, ZERO).half
            tail, left, right = (
                max(tail, along - self.lead - deep),
                max(left, beside),
                max(right, beside),
            )
        if lead_across:
            return Edges(bottom=self.lead, top=tail, left=left, right=right)
        return Edges(left=self.lead, right=tail, top=left, bottom=right)

    def image(self, size: Size) -> tuple[Length, Length]:
        """A size as it goes through the machine: along the leading edge, and away from it."""
        short, long = sorted((size.width, size.height), key=lambda n: n.grains)
        return (long, short) if self.leads is LeadingEdge.LONG else (short, long)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutter:
    """A guillotine, or a person with a knife and a steel rule (`hand`).

    `knife_enters` is the side of the table, seen by the operator, at which the
    knife first meets the pile.  `trim_order` is the order of the three last
    cuts, empty for the default.
    """

    name: str
    widest: Length
    gauge_min: Length
    gauge_max: Length
    clamp_opening: Length
    knife_enters: str = "left"
    tolerance: Length = ZERO
    waste_min: Length = ZERO
    trim_order: tuple[str, ...] = ()
    hand: bool = False
    description: str = ""
    source: str = ""


class Creasing(Enum):
    """Which way a creased line folds, found with a test strip."""

    TOWARD_UPPER = "toward upper face"
    AWAY_FROM_UPPER = "away from upper face"
    BOTH = "both"


@dataclass(frozen=True, slots=True, kw_only=True)
class Creaser:
    """A creasing machine that works from a stop; channel = factor x caliper + rule width."""

    name: str
    folds: Creasing
    stop_min: Length
    stop_max: Length
    widest: Length
    score_gap_min: Length = ZERO
    channel_factor: Fraction = Fraction(3, 2)
    rule_width: Length = ZERO
    one_turn: bool = False
    description: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Binder:
    """What a binding machine takes and how it works.

    `binding` is the word of the binding it makes (perfect, saddle, sections),
    empty when it makes any.  `spine_length` limits are of the untrimmed spine;
    `spine` limits of the thickness.  `pages` limits count the pages of the
    book, a self-cover included; `pile_max` is the opened pile under a stapling
    head, cover included.  None means no limit is known.
    """

    name: str
    spine_length_min: Length | None = None
    spine_length_max: Length | None = None
    spine_min: Length | None = None
    spine_max: Length | None = None
    pages_min: int | None = None
    pages_max: int | None = None
    pile_max: Length | None = None
    grind: Length = ZERO
    lay: str = "head"
    glue_trap_head: Length = GLUE_TRAP
    glue_trap_foot: Length = GLUE_TRAP
    hinge: Length = HINGE
    glue_strip: Length = GLUE_STRIP
    trim_off: Length = TRIM_OFF
    binding: str = ""
    description: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """The machines of the job; None where the job names none."""

    cutter: Cutter | None = None
    creaser: Creaser | None = None
    binder: Binder | None = None
