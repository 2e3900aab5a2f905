"""The job: everything that was asked for, every value checked, profiles resolved."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Final

from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.model.checklimits import USUAL_LIMITS, CheckLimits
from impose.model.conditions import Conditions
from impose.model.coverups import CoversUp
from impose.model.inks import Ink
from impose.model.leafkinds import AS_THE_REST, NO_RULE, LeafWish, SizeRule
from impose.model.machines import Bench, Printer
from impose.model.panels import PanelWish
from impose.model.presswork import TwoUp, Work
from impose.model.prices import NO_PRICES, Prices
from impose.model.sheetway import SheetWay
from impose.model.sizes import FitMode as FitMode
from impose.model.sizes import NamedSize as NamedSize
from impose.model.stock import Grain, Stock
from impose.units import ZERO, Length

if TYPE_CHECKING:
    from impose.model.holes import Holes  # it knows the bindings


class Binding(Enum):
    """How the book is held together; the value is its word in a job file."""

    SADDLE = "saddle"
    PERFECT = "perfect"
    SECTIONS = "sections"
    STAB = "stab"
    PUNCHED = "punched"
    LOOSE = "loose"
    ONE_SHEET = "one sheet"
    CONCERTINA = "concertina"
    LEAFLET = "leaflet"
    FLAT = "flat"

    @property
    def folded(self) -> bool:
        """Always made of folded sheets."""
        return self in (Binding.SADDLE, Binding.SECTIONS)

    @property
    def glued(self) -> bool:
        return self is Binding.PERFECT

    @property
    def panelled(self) -> bool:
        """Folded out of flat paper, panel by panel; no leaf is ever cut free."""
        return self in (Binding.ONE_SHEET, Binding.CONCERTINA, Binding.LEAFLET)

    @property
    def unbound(self) -> bool:
        """Nothing is held together at a spine: no glue, thread, staple or hole."""
        return self in (Binding.LOOSE, Binding.FLAT) or self.panelled


class MakeBleed(Enum):
    """What to do where art ends at a trim that wants bleed."""

    AS_SUPPLIED = "as supplied"
    MIRROR = "mirror"
    STRETCH = "stretch"


class Order(Enum):
    """How leaves are shared out over the places of an n-up sheet."""

    CUT_AND_STACK = "cut and stack"
    REPEAT = "repeat"


@dataclass(frozen=True, slots=True, kw_only=True)
class PagesItem:
    """A run of pages: a file with a choice of its pages, or `blank` empty pages.

    `ranges` are inclusive 1-based pairs, an end of None meaning the last page;
    empty means the whole file.  `text` is how the user wrote it.  `file` may be a
    picture or a folder: `dpi` is then its resolution, `fit_picture` "trim" or
    "trim and bleed", empty where the size decides.  `spreads` is the order of
    the two pages of a spread that is cut in two, empty: nothing is cut.  `rule`
    and `leaf` are for pages, and leaves, that are not like the others.  `flat` is
    the place in the job's flat items of the one it belongs to.
    """

    file: Path | None = None
    ranges: tuple[tuple[int, int | None], ...] = ()
    blank: int = 0
    text: str = ""
    dpi: int | None = None
    fit_picture: str = ""
    spreads: str = ""
    rule: SizeRule = NO_RULE
    leaf: LeafWish = AS_THE_REST
    flat: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BlanksAt:
    """Where blanks that the binding needs are put: at the end, or before a source page.

    `before` counts from 1; -1 is the last source page.
    """

    before: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatWish:
    """An item of flat work as asked for: a card, a label, a cover without folds.

    `trim` None: the page's own size; `amount` None: what one full sheet gives.
    `sides`: its pages are shared out over items of so many (1 or 2), None: all its
    pages are one item.  `up` is how often it stands on its sheet, None: as often as
    the amounts want.  `turn`: it may lie turned by a quarter; `grain`: the side of
    the item that the grain must run along.  `head_to_foot`: the head of the back
    lies at the foot of the front.
    """

    title: str
    trim: NamedSize | None = None
    amount: int | None = None
    sides: int | None = None
    up: int | None = None
    turn: bool = True
    grain: Grain | None = None
    bleed: Length | None = None
    head_to_foot: bool = False


#: How far folded panels keep from the fore-edge's knife and from the spine (from memory).
FOLD_OUT_CLEAR: Final = Length.inches("1/4")
#: What is drawn unless the job says otherwise.
DEFAULT_MARKS: Final = frozenset(
    {
        "crop",
        "fold",
        "registration",
        "collation",
        "slug",
        "measure",
        "colour bar",
        "gripper",
        "lay",
        "folding",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkSettings:
    """Which marks, and their measures (defaults: common practice, 5 mm long, 0.25 pt).

    `target` is a registration mark's cross (6 mm: from memory, 5 to 8 mm is
    usual).  Collation marks are `step_width` across the fold and `step` long (a
    rule of about 6 points, moved along for each section: metaglossary.com).
    The colour bar is `bar_height` high (5 to 6 mm: from memory), its patches
    `patch` wide in these `tints` of each ink; `inks` are their names, empty:
    those that the pages use.  `guide` is the length of lay and gripper marks.
    """

    kinds: frozenset[str] = DEFAULT_MARKS
    length: Length = Length.mm(5)
    offset: Length = Length.mm(3)
    weight: Length = Length.points("0.25")
    target: Length = Length.mm(6)
    step: Length = Length.points(14)
    step_width: Length = Length.points(6)
    bar_height: Length = Length.mm(5)
    patch: Length = Length.mm(5)
    tints: tuple[Fraction, ...] = (Fraction(1), Fraction(3, 4), Fraction(1, 2), Fraction(1, 4))
    inks: tuple[str, ...] = ()
    guide: Length = Length.mm(6)


@dataclass(frozen=True, slots=True, kw_only=True)
class Guts:
    """How the inside leaves are made.  None means: not said, the scheme decides.

    `trim_off` is the paper left beyond the trim at head, foot and fore-edge for
    the cuts after binding; `allowances` of folded sections are per page.
    """

    stock: Stock
    sheets: tuple[NamedSize, ...]
    up: int | None = None
    printer: Printer | None = None
    flip: Flip | None = None
    section_pages: int | None = None
    last_section: str = "fill"  #: or "short"
    order: Order = Order.CUT_AND_STACK
    centred: bool = False
    grind: Length | None = None
    bleed: Length | None = None
    make_bleed: MakeBleed = MakeBleed.AS_SUPPLIED
    gutter: Length | None = None
    trim_off: Length | None = None
    head_allowance: Length | None = None
    foot_allowance: Length | None = None
    fore_edge_allowance: Length | None = None
    lip: Length | None = None
    lip_on: str = "front"  #: half of the section that is longer: "front" or "back"
    creep_total: Length | None = None
    parent: NamedSize | None = None  #: the mill's sheet that the sheets are cut from
    overs: int = 0  #: sheets printed of each sheet beyond those needed, for spoilage
    french_fold: bool = False  #: leaves printed on one face and folded at the fore-edge
    layouts: int | None = None  #: of flat work: so many different sheets at the most
    one_side: bool = False  #: printed one side at a time: fronts and backs as files of their own
    fold_out_clear: Length = FOLD_OUT_CLEAR  #: a fold-out's folds from knife and spine
    clear_of_margins: bool = False  #: moved on the sheet out of what the printer leaves white
    panel: PanelWish = field(default_factory=PanelWish)
    lay: str | None = None  #: head or foot: where a single leaf lies on its sheet; None: centred
    order_said: bool = False  #: the job names the order; else repeats are compared, too
    way: SheetWay | None = None  #: the layout taken among those compared
    work: Work | None = None  #: how the back is printed; None: as the printer turns the sheet
    two_up: TwoUp | None = None  #: two copies are bound as one and cut apart


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverArt:
    """Art for one face of the cover: `wide` is one page for all of it, else a page each.

    Every item is one file with at most one page chosen.
    """

    wide: PagesItem | None = None
    back: PagesItem | None = None
    spine: PagesItem | None = None
    front: PagesItem | None = None

    @property
    def items(self) -> tuple[PagesItem, ...]:
        """What is there, from left to right of a left-bound book's outside."""
        return tuple(i for i in (self.wide, self.back, self.spine, self.front) if i is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover:
    """The cover as asked for.  None means: not said, the cover scheme decides.

    `art` is the outside, None for a cover with its marks and scores alone;
    `inside` the inside.  `spine` is the measured width, None when it is reckoned
    from the stock; `allowance` is added to a reckoned one.  `hinge` is measured
    from the spine edge into the panel.  `flap_front` and `flap_back` are widths
    beyond the panels' fore-edges.  `lay` is head, foot or centre.
    `spine_text_clear` is how far text on the spine keeps from the spine's edges.
    `fill` is the colour of the outside's parts without art.  `score_from` is the
    weight (g/m2) from which the fold of a saddle cover is scored, `thin_spine`
    the width under which words on the spine are a risk.  `up` covers lie on one
    sheet, each on a piece of paper of the size `piece` (None: what it needs), with
    `gutter` between the pieces.
    """

    stock: Stock | None = None
    separate: bool = True
    art: CoverArt | None = None
    inside: CoverArt | None = None
    sheets: tuple[NamedSize, ...] = ()
    spine: Length | None = None
    hinge: Length | None = None
    flap_front: Length | None = None
    flap_back: Length | None = None
    allowance: Length | None = None
    lay: str | None = None
    spine_text_clear: Length | None = None
    fill: Ink | None = None
    score_from: Fraction | None = None
    thin_spine: Length | None = None
    up: CoversUp | None = None
    piece: Size | None = None
    gutter: Length = ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The whole job.  `trim` None: taken from the first page and said.

    `unit` is the unit for people, "mm" or "in".  `folder` is where relative
    paths start.  `spreads`: the proof shows two pages at a time where a reader does.
    """

    title: str
    unit: str
    pages: tuple[PagesItem, ...]
    binding: Binding
    guts: Guts
    folder: Path
    trim: NamedSize | None = None
    bound_at: BoundAt = BoundAt.LEFT
    fit: FitMode = FitMode.ASK
    blanks_at: BlanksAt = field(default_factory=BlanksAt)
    date: str = ""
    copies: int = 1
    instructions: tuple[str, ...] = ()  #: for the bench, told on the ticket as they are written
    extra_leaves: int = 0  #: end papers, tipped-in plates: bound in, not among the pages
    spreads: bool = True
    cover: Cover | None = None
    limits: CheckLimits = USUAL_LIMITS
    marks: MarkSettings = field(default_factory=MarkSettings)
    bench: Bench = field(default_factory=Bench)
    holes: Holes | None = None  #: for thread, staples, wire; None where the book has none
    conditions: Conditions = field(default_factory=Conditions)
    passwords: tuple[str, ...] = ()
    tolerance: Length = Length.mm(Fraction(1, 2))
    page_sizes: tuple[NamedSize, ...] = ()  #: those of the trade, which pages are meant to have
    at_hand: tuple[NamedSize, ...] = ()  #: sheets that layouts are compared on
    layout: int | str | None = None  #: the layout to take: its number or its name
    prices: Prices = NO_PRICES
    items: tuple[FlatWish, ...] = ()  #: flat work; none in a book
    findings: tuple[Finding, ...] = ()
