"""The parts of a plan: placements, lines, marks, sides and sheets, all at fixed positions.

Everything on a side is given in that side's own frame: origin at the sheet's
lower left as seen from that side, x right, y up.  Lines belong to the sheet
and are given as seen from the front.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from impose.geometry.box import Box, Size
from impose.geometry.moving import STAY, Move
from impose.geometry.sides import Edge, PageSides
from impose.geometry.turning import Turnover
from impose.model.inks import Ink
from impose.plan.strips import Strip
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True)
class Placement:
    """One face of one leaf on a side of a sheet.

    `page` is the source page in reading order (1-based), None for a blank;
    `position` counts the faces of the finished book, blanks included (1-based).
    `trim` is the paper left after the last knife; `art` is where the whole
    trimmed page lies: with creep it begins `shift` beyond the fold and is
    clipped there.  `turn` is the counter-clockwise turn of the art.
    `spine_at` is the edge of `trim`, as it lies, that is bound; of flat work the
    left edge of the item as it is read, on its back, too.
    """

    page: int | None
    position: int
    trim: Box
    art: Box
    turn: int
    spine_at: Edge
    upside_down: bool
    bleed: PageSides
    shift: Length
    leaf: int  #: the leaf of the book, 1-based; its two faces share it

    @property
    def clip(self) -> Box:
        """What may be inked: the trim and its bleed."""
        return self.trim.grown(self.bleed.edges(self.spine_at, self.upside_down))


class LineKind(Enum):
    """What is done along a line; the value is its name in JSON."""

    CUT = "cut"
    FOLD = "fold"
    SCORE = "score"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line on a sheet, seen from the front, across or up.

    `of` is the id of the cut, fold or score in the plan that makes it: a cut
    made after folding or binding shows as many lines.
    """

    kind: LineKind
    of: str
    x0: Length
    y0: Length
    x1: Length
    y1: Length

    @property
    def upright(self) -> bool:
        """Runs up the sheet (x constant)."""
        return self.x0 == self.x1


class When(Enum):
    """When a cut is made."""

    BEFORE_PRINTING = "before printing"
    BEFORE_FOLDING = "before folding"
    BEFORE_BINDING = "before binding"
    AFTER_BINDING = "after binding"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One cut of the job: made once for every lift, however many lines it shows as.

    `side` is the side of the page it makes (head, foot, spine, fore-edge), or
    empty for a cut that only parts pieces.
    """

    id: str
    when: When
    side: str = ""
    title: str = ""


#: The `side` of cuts that open a sheet between panels, and that end a strip of panels.
SLIT, END = "slit", "end"


@dataclass(frozen=True, slots=True, kw_only=True)
class FoldStep:
    """One fold of a sheet or of what earlier folds left of it.

    The pile lies with the sheet's front up at the start and keeps its
    coordinates: an upright fold (`across` False) lies at x = `at`.  `moving`
    is the part that is turned; `under`: it goes beneath the rest (a mountain
    fold seen from the front), else over it.
    """

    id: str
    across: bool
    at: Length
    moving: Edge
    under: bool


class Shape(Enum):
    """How a mark is drawn."""

    LINE = "line"
    DASHED = "dashed"
    CIRCLE = "circle"
    FILLED = "filled"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class Mark:
    """One stroke or word outside the trims (collation marks excepted).

    A line runs from (x0, y0) to (x1, y1); a circle or filled box fills that
    box; text starts at (x0, y0), is `weight` high and turned by `turn`.
    """

    kind: str
    shape: Shape
    x0: Length
    y0: Length
    x1: Length
    y1: Length
    weight: Length
    text: str = ""
    turn: int = 0


@dataclass(frozen=True, slots=True)
class MarkGroup:
    """Marks that several sides share; kept as one value so that they are drawn once."""

    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Fill:
    """A field of flat colour beneath everything else on a side."""

    box: Box
    ink: Ink


@dataclass(frozen=True, slots=True)
class Side:
    """Front or back of a sheet.

    `move` is the correction for a printer whose sides do not fall true: all
    that is on the side is drawn through it, and falls where the plan says.
    """

    placements: tuple[Placement, ...]
    marks: tuple[MarkGroup, ...] = ()
    own_marks: tuple[Mark, ...] = ()
    move: Move = STAY
    fills: tuple[Fill, ...] = ()
    strips: tuple[Strip, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet of paper through the press or printer.

    `number` counts from 1 in the order of printing; `section` is 1-based, 0
    when the job has none.  `lines` are shared by all sheets of one layout,
    `creep_lines` (fore-edges) lie elsewhere on every nested sheet.  `folds`
    are in the order they are made.  `work` says how the back is printed (the
    words of a job file, empty: as the printer turns the sheet).  Where one
    forme prints both sides, `folds` are those of the half that has the first
    page up on the front; the other half is turned over and folded alike.
    `half` is 1 or 2 for a half once it is cut off, as the bench has it; in a
    plan every sheet is whole, 0.
    """

    number: int
    size: Size
    turned: Turnover
    front: Side
    back: Side
    lines: tuple[Line, ...] = ()
    creep_lines: tuple[Line, ...] = ()
    folds: tuple[FoldStep, ...] = ()
    section: int = 0
    copies: int = 1
    role: str = "guts"
    stock: str = ""  #: where it is another than that of the guts, with its caliper
    caliper: Length = ZERO
    work: str = ""
    half: int = 0

    @property
    def one_forme(self) -> bool:
        """One set of plates prints both sides; the sheet is cut in two before it is folded."""
        return self.work in ONE_FORME

    @property
    def sides(self) -> tuple[tuple[str, Side], tuple[str, Side]]:
        """Both sides with their names."""
        return (("front", self.front), ("back", self.back))


@dataclass(frozen=True, slots=True)
class Gather:
    """A step of the gathering order, in reading order.

    A section names its sheets from the outermost to the innermost; a pile of
    loose leaves names its sheets from the top and the `cell` of the sheet it
    was cut from (0-based, row by row from the upper left, seen from the front).
    An inset is one leaf of the group `inset`, put in where `after` pages of the
    finished book lie before it; these steps come last, in reading order.
    `turn` is how the pile is turned, counter-clockwise and front up, before it is
    laid on the others.  Folded panels name their sheets in the order of the strip;
    `cell` is then the panel of the first page, counted in the same way.
    A pile of flat work names its `item` (1-based, 0 for leaves of a book).
    """

    kind: str  #: "section", "pile", "folded", "panels", "joined", "leaflet", "tent" or "inset"
    sheets: tuple[int, ...]
    cell: int | None = None
    inset: int = 0
    after: int = 0
    turn: int = 0
    item: int = 0


#: Ways of printing the back with the plates of the front.
ONE_FORME = frozenset({"work and turn", "work and tumble"})
#: The cut between the halves of a sheet that one forme prints.
HALVES = "halves"
#: The cut between two copies that are bound as one.
COPIES = "copies"
