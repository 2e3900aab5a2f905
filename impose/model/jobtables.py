"""The tables of a job file, key by key; pydantic checks them, see `fields`.

Names of profiles are left for the library: a size is a `NamedSize` when it was
written in numbers and a string when it is a name.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Annotated, Any, Final

from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.model import everyday
from impose.model import jobreaders as job
from impose.model import paperreaders as on_paper
from impose.model import readers as read
from impose.model.conditions import Part
from impose.model.coverups import CoversUp, covers_up
from impose.model.fields import Reads, Short, TableFault, ValueFault, table
from impose.model.holetables import HolesTable
from impose.model.inkreader import ink
from impose.model.inks import Ink
from impose.model.job import Binding, BlanksAt, FitMode, MakeBleed, NamedSize, Order
from impose.model.jobreaders import Ranges
from impose.model.leafkinds import LeafKind
from impose.model.panels import LeafletFold
from impose.model.paperreaders import Basis
from impose.model.presswork import TwoUp, Work
from impose.model.pricetables import PricesTable
from impose.model.shoptables import (
    BenchTable,
    ChecksTable,
    MarksTable,
    MaybeLen,
    MaybeSomeLen,
    MaybeText,
)
from impose.model.stock import Grain
from impose.units import Length

SizeWish = NamedSize | str
Sizes = Annotated[tuple[SizeWish, ...], Reads(read.sizes)]
PLACES: Final = ("spine on edge", "centred")
LAYS: Final = ("head", "foot", "centre")


#: How a picture fills its page, and what is done with a page of another size than the trim.
PICTURE_FITS: Final = ("trim", "trim and bleed")
PAGE_FITS: Final = tuple(mode.value for mode in FitMode)
#: Sides at which a page of another size may be set.
ALIGNED: Final = ("spine", "fore-edge", "head", "foot")
#: How the proof shows the book: as a reader sees it, or page by page.
PROOFS: Final = ("spreads", "single pages")


def _spreads(value: object) -> str:
    """Whether two-page sheets are cut in two: true, or the order of the pages."""
    if isinstance(value, bool):
        return "left to right" if value else ""
    return read.word_of(("left to right", "right to left"))(value)


@table
class StockTable:
    """A stock: a profile's name, or its figures, or both (the figures win).

    `stack` is the height of `leaves` leaves, measured.  A stock written short
    is all `name`, also when it is really a weight or a caliper.
    """

    name: MaybeText = None
    grammage: Annotated[Fraction | None, Reads(on_paper.grammage)] = None
    basis: Annotated[Basis | None, Reads(on_paper.basis)] = None
    caliper: Annotated[Length | None, Reads(on_paper.caliper)] = None
    bulk: Annotated[Fraction | None, Reads(on_paper.bulk)] = None
    grain: Annotated[Grain | None, Reads(read.member_of(Grain))] = None
    stack: MaybeSomeLen = None
    leaves: Annotated[int | None, Reads(read.count_from(1))] = None

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        if (self.stack is None) != (self.leaves is None):
            key, missing = ("leaves", "stack") if self.stack is None else ("stack", "leaves")
            hint = 'for example stack = "10mm", leaves = 100'
            yield ValueFault(f"{key} says nothing without {missing}", hint=hint, key=key)
        if self.bulk is not None and not any((self.name, self.grammage, self.basis)):
            yield ValueFault("bulk says nothing without grammage", key="bulk")
        told = (self.name, self.grammage, self.basis, self.caliper, self.bulk)
        if not any((*told, self.stack, self.leaves)):
            hint = 'a profile\'s name, or for example { caliper = "0.1mm" }'
            yield ValueFault("the stock is not described", hint=hint)


def stock_item(value: object) -> StockTable:
    """A stock written short: a name, `80gsm`, `50 lb book` or a caliper."""
    return StockTable(name=read.text(value).strip())


@table
class PagesTable:
    """An item of `pages`: `{ file = ..., pages = ... }` or `{ blank = 2 }`."""

    file: Annotated[str, Reads(read.file_name)] = ""
    pages: Annotated[Ranges, Reads(job.ranges)] = ()
    blank: Annotated[int, Reads(read.count_from(1))] = 0
    dpi: Annotated[int | None, Reads(read.count_from(1))] = None
    fit: Annotated[str, Reads(read.word_of((*PICTURE_FITS, *PAGE_FITS)))] = ""
    spreads: Annotated[str, Reads(_spreads)] = ""
    align: Annotated[tuple[str, ...], Reads(read.words_of(ALIGNED))] = ()
    leaf: Annotated[LeafKind, Reads(read.member_of(LeafKind))] = LeafKind.AS_THE_REST
    stock: Annotated[StockTable | None, Short(stock_item)] = None
    sheet: Sizes = ()

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        if bool(self.file) == bool(self.blank):
            yield ValueFault("say either a file or a number of blank pages")
        elif self.blank and self.pages:
            yield ValueFault("blank pages have no page numbers", key="pages")
        elif self.blank and (self.dpi or self.fit or self.spreads):
            yield ValueFault("blank pages are no pictures and no spreads", key="blank")
        elif self.blank and self.leaf.own_width and self.leaf is not LeafKind.FRENCH:
            yield ValueFault(f"blank pages have no width for a {self.leaf.value} leaf", key="leaf")
        for one, other in (("spine", "fore-edge"), ("head", "foot")):
            if one in self.align and other in self.align:
                hint = "name one of them; naming neither sets the page in the middle"
                yield ValueFault(f"a page cannot be set at {one} and {other}", hint, "align")


def pages_item(value: object) -> PagesTable:
    """`pages.pdf`, `body.pdf[3-90]`, `blank` (a file of that name is `./blank`)."""
    written = read.file_name(value).strip()
    if written == "blank":
        return PagesTable(blank=1)
    file, ranges = job.file_and_ranges(written)
    return PagesTable(file=file, pages=ranges)


def one_page(value: object) -> PagesTable:
    """A file, or one page of it: `cover.pdf`, `cover.pdf[2]`."""
    item = pages_item(value)
    if item.blank:
        raise ValueFault("art is a file", hint="leave the key out where there is no art")
    if item.pages and (len(item.pages) > 1 or item.pages[0][0] != item.pages[0][1]):
        raise ValueFault(f"'{value}' is more than one page", hint="name one: cover.pdf[2]")
    return item


def _listed(value: object) -> object:
    return value if isinstance(value, list | tuple) else [value]


@dataclass(frozen=True, slots=True)
class Listed:
    """A list that may be written as its only item."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema  # slow, and wanted only by pydantic itself

        return core_schema.no_info_before_validator_function(_listed, handler(source))


@table
class BookTable:
    """`[book]`.  `outside`: paths may lead out of the job file's folder.

    An item of `pages` is None where the one written was faulty.
    """

    title: MaybeText = None
    pages: Annotated[tuple[Annotated[PagesTable | None, Short(pages_item)], ...], Listed()] = ()
    trim: Annotated[SizeWish | None, Reads(read.size)] = None
    binding: Annotated[Binding | None, Reads(everyday.binding)] = None
    bound_at: Annotated[BoundAt | None, Reads(read.member_of(BoundAt))] = None
    blanks: Annotated[BlanksAt | None, Reads(job.blanks_at)] = None
    fit: Annotated[FitMode | None, Reads(read.member_of(FitMode))] = None
    bleed: MaybeLen = None
    units: Annotated[str | None, Reads(read.word_of(("mm", "in")))] = None
    date: Annotated[str | None, Reads(read.day)] = None
    proof: Annotated[str | None, Reads(read.word_of(PROOFS))] = None
    copies: Annotated[int | None, Reads(read.count_from(1))] = None
    extra_leaves: Annotated[int | None, Reads(read.count_from(0))] = None
    instructions: Annotated[tuple[str, ...], Reads(read.texts)] = ()
    password: Annotated[tuple[str, ...], Reads(read.texts)] = ()
    outside: Annotated[bool, Reads(read.truth)] = False


#: How the sides are printed; the second makes a file of fronts and one of backs as well.
PRINTING: Final = ("both sides", "one side at a time")
#: Where the pages lie on the sheet: in its middle, or out of the margins of the printer.
ON_SHEET: Final = ("centred", "clear of margins")


@table
class GutsTable:
    """`[guts]`."""

    stock: Annotated[StockTable | None, Short(stock_item)] = None
    sheet: Sizes = ()
    up: Annotated[int | None, Reads(read.count_from(1))] = None
    printer: MaybeText = None
    flip: Annotated[Flip | None, Reads(read.member_of(Flip))] = None
    section_pages: Annotated[int | None, Reads(read.section_pages)] = None
    last_section: Annotated[str | None, Reads(read.word_of(("fill", "short")))] = None
    order: Annotated[Order | None, Reads(read.member_of(Order))] = None
    place: Annotated[str | None, Reads(read.word_of(PLACES))] = None
    grind: MaybeLen = None
    gutter: MaybeLen = None
    trim_off: MaybeLen = None
    head_allowance: MaybeLen = None
    foot_allowance: MaybeLen = None
    fore_edge_allowance: MaybeLen = None
    lip: MaybeLen = None
    lip_on: Annotated[str | None, Reads(read.word_of(("front", "back")))] = None
    creep: Annotated[Length | None, Reads(job.measured_creep)] = None
    lay: Annotated[str | None, Reads(read.word_of(LAYS))] = None
    overs: Annotated[int | None, Reads(read.count_from(0))] = None
    make_bleed: Annotated[MakeBleed | None, Reads(read.member_of(MakeBleed))] = None
    french_fold: Annotated[bool, Reads(read.truth)] = False
    fold_out_clear: MaybeLen = None
    parent: Annotated[SizeWish | None, Reads(read.size)] = None
    printing: Annotated[str | None, Reads(read.word_of(PRINTING))] = None
    on_sheet: Annotated[str | None, Reads(read.word_of(ON_SHEET))] = None
    layout: Annotated[int | str | None, Reads(job.layout)] = None
    fold: Annotated[LeafletFold | None, Reads(job.leaflet_fold)] = None
    panels: Annotated[int | None, Reads(read.count_from(2))] = None
    tab: MaybeSomeLen = None
    nest: MaybeLen = None
    layouts: Annotated[int | None, Reads(read.count_from(1))] = None
    work: Annotated[Work | None, Reads(read.member_of(Work))] = None
    two_up: Annotated[TwoUp | None, Reads(read.member_of(TwoUp))] = None


@table
class ArtTable:
    """Art of a face of the cover: one wide page, or a page for each part."""

    back: Annotated[PagesTable | None, Reads(one_page)] = None
    spine: Annotated[PagesTable | None, Reads(one_page)] = None
    front: Annotated[PagesTable | None, Reads(one_page)] = None
    wide: Annotated[PagesTable | None, Reads(one_page)] = None

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        parts = [part for part in (self.back, self.spine, self.front) if part]
        if self.wide and parts:
            yield ValueFault("one wide page and pages for the parts go ill together", key="wide")
        if not self.wide and not parts:
            yield ValueFault("no art is named", hint="back, spine, front, or one file for all")


def wide_art(value: object) -> ArtTable:
    """One wide page."""
    return ArtTable(wide=one_page(value))


@table
class FlapsTable:
    """Widths of the flaps, beyond the fore-edges of the panels."""

    front: MaybeSomeLen = None
    back: MaybeSomeLen = None


def both_flaps(value: object) -> FlapsTable:
    """Two flaps of one width."""
    width = read.some_length(value)
    return FlapsTable(front=width, back=width)


@table
class CoverTable:
    """`[cover]`."""

    art: Annotated[ArtTable | None, Short(wide_art)] = None
    inside: Annotated[ArtTable | None, Short(wide_art)] = None
    stock: Annotated[StockTable | None, Short(stock_item)] = None
    sheet: Sizes = ()
    spine: Annotated[Length | None, Reads(job.measured_spine)] = None
    hinge: MaybeLen = None
    flaps: Annotated[FlapsTable | None, Short(both_flaps)] = None
    allowance: MaybeLen = None
    lay: Annotated[str | None, Reads(read.word_of(LAYS))] = None
    spine_text_clear: MaybeLen = None
    fill: Annotated[Ink | None, Reads(ink)] = None
    score_from: Annotated[Fraction | None, Reads(on_paper.grammage)] = None
    thin_spine: MaybeLen = None
    up: Annotated[CoversUp | None, Reads(covers_up)] = None
    piece: Annotated[NamedSize | None, Reads(read.plain_size)] = None
    gutter: MaybeLen = None

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        several = self.up is not None and self.up.count > 1
        for key in ("piece", "gutter"):
            if getattr(self, key) is not None and not several:
                hint = "say how many: up = 2"
                yield ValueFault(f"{key} is for several covers on a sheet", hint=hint, key=key)


#: How the back of a card is turned: about its upright middle, or about its level one.
BACKS: Final = ("head to head", "head to foot")


@table
class ItemTable:
    """`[[items]]`: one item of flat work."""

    title: MaybeText = None
    pages: Annotated[tuple[Annotated[PagesTable | None, Short(pages_item)], ...], Listed()] = ()
    trim: Annotated[SizeWish | None, Reads(read.size)] = None
    amount: Annotated[int | None, Reads(read.count_from(1))] = None
    sides: Annotated[int | None, Reads(read.count_from(1))] = None
    up: Annotated[int | None, Reads(read.count_from(1))] = None
    turn: Annotated[bool, Reads(read.truth)] = True
    grain: Annotated[Grain | None, Reads(read.member_of(Grain))] = None
    back: Annotated[str | None, Reads(read.word_of(BACKS))] = None
    bleed: MaybeLen = None
    stock: Annotated[StockTable | None, Short(stock_item)] = None

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        if self.sides is not None and self.sides > 2:
            yield ValueFault(
                f"{self.sides}: an item has a front, or a front and a back", key="sides"
            )


@table
class PrintTable:
    """`[print]`."""

    profile: Annotated[str, Reads(read.file_name)] = ""
    condition: MaybeText = None
    ready: Annotated[Part | None, Reads(read.member_of(Part))] = None

    def __post_init__(self) -> None:
        if self.condition and not self.profile:
            said = ValueFault("the condition is told with its profile", key="condition")
            TableFault.check([said])


@table
class JobTables:
    """A whole job file.  A cover is made only where its table stands; an item is None where
    the one written was faulty."""

    book: BookTable = BookTable()
    guts: GutsTable = GutsTable()
    marks: MarksTable = MarksTable()
    cover: CoverTable | None = None
    bench: BenchTable = BenchTable()
    checks: ChecksTable = ChecksTable()
    holes: HolesTable = HolesTable()
    print: PrintTable = PrintTable()
    prices: PricesTable = PricesTable()
    items: tuple[ItemTable | None, ...] = ()
