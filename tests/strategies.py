"""Jobs for the laws of the pure core: books of every scheme, planned and marked without a PDF.

Sheets are made to fit what is asked, with some paper left or none; now and then
they are too small, which must be refused and not planned.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from impose.errors import JobError
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.marks.drawing import add_marks
from impose.model.facts import BookPage, PageFacts
from impose.model.job import (
    Binding,
    BlanksAt,
    Cover,
    Guts,
    Job,
    MarkSettings,
    NamedSize,
    Order,
    PagesItem,
)
from impose.model.machines import LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work
from impose.model.stock import CaliperFrom, Stock
from impose.plan.plan import Plan
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

#: Odd lengths, so that nothing comes out even by luck.
A_LITTLE = Length(7)
FILE = "pages.pdf"


def mm(value: int | str) -> Length:
    return Length.mm(value)


def stock_of(caliper: Length, name: str = "test paper") -> Stock:
    return Stock(name=name, caliper=caliper, caliper_from=CaliperFrom.STATED)


def page_facts(trim: Size, bleed: Length = ZERO) -> PageFacts:
    """A page of trim size with `bleed` all round."""
    box = Box.at(ZERO, ZERO, trim)
    media = box.grown(Edges.all(bleed))
    return PageFacts(media=media, crop=media, trim=box, bleed=media)


@dataclass(frozen=True)
class Asked:
    """A job with its pages; `faces` name source pages, None for explicit blanks."""

    job: Job
    trim: Size
    faces: tuple[int | None, ...]
    supplied: Length = ZERO

    @property
    def pages(self) -> tuple[BookPage, ...]:
        facts = page_facts(self.trim, self.supplied)
        count = sum(face is not None for face in self.faces)
        return tuple(BookPage(0, number, facts) for number in range(1, count + 1))

    def planned(self) -> Plan:
        """The plan with its marks.  Raises JobError when the job cannot be made."""
        return add_marks(plan_sheets(self.job, self.pages, self.faces, [FILE]), self.job)

    @cached_property
    def leaf(self) -> Size:
        return self.job.bound_at.leaf_size(self.trim)

    @property
    def grind(self) -> Length:
        return self.job.guts.grind or ZERO

    @property
    def marks(self) -> MarkSettings:
        return self.job.marks


@dataclass(frozen=True)
class Book:
    """What was asked, and the plan that came of it."""

    asked: Asked
    plan: Plan

    def __repr__(self) -> str:
        guts = self.asked.job.guts
        said = {name: getattr(guts, name) for name in guts.__slots__ if name != "stock"}
        return (
            f"{self.asked.job.binding.value} bound at {self.asked.job.bound_at.value}, "
            f"trim {self.asked.trim}, {len(self.asked.faces)} faces, "
            f"bleed {self.asked.supplied}, {said}"
        )

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        """A failing example in one paragraph."""
        printer.text(repr(self))


#: The only ways in which a drawn job may be refused.
REFUSALS = {"sheet-too-small"}


def made(asked: Asked) -> Book | None:
    """The book, or None when the sheet drawn for it is too small."""
    try:
        return Book(asked, asked.planned())
    except JobError as error:
        assert {fault.code for fault in error.faults} <= REFUSALS, error.faults
        return None


def asked_for(
    pages: int | tuple[int | None, ...],
    *,
    binding: Binding,
    trim: Size,
    sheet: Size | tuple[Size, ...],
    supplied: Length = ZERO,
    caliper: Length = ZERO,
    **more: Any,
) -> Asked:
    """A job in few words; `more` are fields of the job or of its guts."""
    sheets = sheet if isinstance(sheet, tuple) else (sheet,)
    job_fields = {key: more.pop(key) for key in list(more) if key in Job.__slots__}
    guts = Guts(
        stock=stock_of(caliper or mm("0.1")),
        sheets=tuple(NamedSize(size=size, name=f"sheet{i}") for i, size in enumerate(sheets)),
        **more,
    )
    job = Job(
        title="A book",
        unit=job_fields.pop("unit", "mm"),
        pages=(PagesItem(file=Path(FILE)),),
        binding=binding,
        guts=guts,
        folder=Path(),
        trim=NamedSize(size=trim, name="trim"),
        **job_fields,
    )
    faces = tuple(range(1, pages + 1)) if isinstance(pages, int) else pages
    return Asked(job, trim, faces, supplied)


def plan_of(pages: int | tuple[int | None, ...], **what: Any) -> Plan:
    """The plan of `asked_for`."""
    return asked_for(pages, **what).planned()


# -- strategies ------------------------------------------------------------------------


def lengths(low: int, high: int) -> st.SearchStrategy[Length]:
    """Between two numbers of millimetres, to the grain."""
    return st.integers(mm(low).grains, mm(high).grains).map(Length)


def maybe(lengths_: st.SearchStrategy[Length]) -> st.SearchStrategy[Length | None]:
    return st.none() | lengths_


TRIMS = st.sampled_from(
    [Size(mm(105), mm(148)), Size(mm(148), mm(210)), Size(Length.inches("5.5"), Length.inches(8))]
) | st.builds(Size, lengths(60, 160), lengths(60, 220))
PAGE_COUNTS = st.integers(1, 24) | st.integers(1, 60) | st.integers(1, 400)
BOUND_AT = st.sampled_from(BoundAt)
FLIPS = st.sampled_from([None, *Flip])
SUPPLIED = st.sampled_from([ZERO, mm(3), mm("1.7"), mm(8)])
#: Paper beyond the layout, across and up; none at all is the home printer's case.
SPARE = st.sampled_from([ZERO, A_LITTLE, mm("0.5")]) | lengths(0, 12) | lengths(20, 60)
MARKS = st.builds(
    MarkSettings,
    kinds=st.just(MarkSettings().kinds) | st.just(MarkSettings().kinds - {"slug"}),
    length=lengths(2, 8),
    offset=lengths(0, 5),
)


@st.composite
def printers(draw: st.DrawFn) -> Printer | None:
    """None, an office printer with a margin all round, or a press with a gripper."""
    kind = draw(st.sampled_from(["none", "office", "press"]))
    if kind == "none":
        return None
    press = kind == "press"
    return Printer(
        name="the machine",
        press=press,
        leads=draw(st.sampled_from(LeadingEdge)),
        lead=draw(lengths(5, 13) if press else lengths(2, 6)),
        tail=draw(lengths(2, 13)),
        left=draw(lengths(2, 5)),
        right=draw(lengths(2, 5)),
        flip=draw(FLIPS),
        registration_ink=press,
        side_lay=draw(st.sampled_from(["", "left", "right"])) if press else "",
        bar=draw(st.sampled_from([ZERO, ZERO, mm(7)])) if press else ZERO,
    )


@st.composite
def faces(draw: st.DrawFn) -> tuple[int | None, ...]:
    """Source pages in order, sometimes with explicit blanks among them."""
    count = draw(PAGE_COUNTS)
    order: list[int | None] = list(range(1, count + 1))
    for at in draw(st.lists(st.integers(0, count), max_size=2)):
        order.insert(at, None)
    return tuple(order)


@st.composite
def blanks_at(draw: st.DrawFn, count: int) -> BlanksAt:
    return BlanksAt(before=draw(st.sampled_from([None, None, -1, 1, count])))


@st.composite
def sheets_for(draw: st.DrawFn, need: Size, said: dict[str, Any]) -> tuple[Size, ...]:
    """One sheet that takes `need`, lying either way; now and then too small; with a press,
    room for its gripper more often than not."""
    printer, work = said["printer"], said["work"]
    grip = printer.lead * 2 if printer and printer.press and draw(st.booleans()) else ZERO
    width, height = (side + grip + draw(SPARE) for side in (need.width, need.height))
    if draw(st.integers(0, 19)) == 0:
        width = width - mm(30)
    size = Size(max(width, mm(30)), height)
    if work is not None and work.one_forme:  # half of it has the layout
        size = draw(
            st.sampled_from([Size(size.width * 2, size.height), Size(size.width, size.height * 2)])
        )
    return (size.turned if draw(st.booleans()) else size,)


@st.composite
def common(draw: st.DrawFn) -> dict[str, Any]:
    """What any binding can be asked for."""
    book_faces = draw(faces())
    count = sum(face is not None for face in book_faces)
    return {
        "pages": book_faces,
        "trim": draw(TRIMS),
        "bound_at": draw(BOUND_AT),
        "flip": draw(FLIPS),
        "printer": draw(printers()),
        "work": draw(st.sampled_from([None, None, None, *Work])),
        "supplied": draw(SUPPLIED),
        "bleed": draw(st.sampled_from([None, None, ZERO, mm(2), mm(3)])),
        "marks": draw(MARKS),
        "caliper": draw(lengths(0, 1).map(lambda n: n.half.half + mm("0.05"))),
        "blanks_at": draw(blanks_at(count)),
    }


def _leaf(said: dict[str, Any]) -> Size:
    leaf: Size = said["bound_at"].leaf_size(said["trim"])
    if said.get("two_up"):  # with up to 8 mm of each page at the cut between
        return Size(leaf.width, leaf.height * 2 + mm(16))
    return leaf


@st.composite
def two_up(draw: st.DrawFn) -> dict[str, Any]:
    """Now and then two copies are bound as one."""
    return {"two_up": draw(st.sampled_from([None, None, None, *TwoUp]))}


def _grid(up: int) -> tuple[int, int]:
    """Columns and rows of a book fold."""
    return {2: (2, 1), 4: (2, 2), 8: (4, 2), 16: (4, 4)}[up]


def _fold_need(said: dict[str, Any], up: int) -> Size:
    """A size that holds the layout with allowances up to 8 mm, grind and lip counted."""
    leaf, (columns, rows) = _leaf(said), _grid(up)
    gaps = {2: 0, 4: 2}[columns] if said.get("fore_edge_allowance") is None else 2
    fore = said.get("fore_edge_allowance") or mm(8)
    head, foot = (said.get(f"{side}_allowance") or mm(8) for side in ("head", "foot"))
    grind, lip = said.get("grind") or ZERO, said.get("lip") or ZERO
    return Size(
        leaf.width * columns + fore * gaps + grind * columns + lip * 2,
        leaf.height * rows + head * (2 * (rows // 2)) + foot * (2 if rows == 4 else 0),
    )


@st.composite
def saddle_books(draw: st.DrawFn) -> Book | None:
    """One section of nested sheets, with or without a separate cover."""
    said = draw(common())
    up = draw(st.sampled_from([None, 2, 2, 4, 8]))
    said |= {
        "binding": Binding.SADDLE,
        "up": up,
        "creep_total": draw(maybe(lengths(0, 4))),
        "lip": draw(st.sampled_from([None, None, mm(6)])),
        "lip_on": draw(st.sampled_from(["front", "back"])) if up in (None, 2, 4) else "front",
        "cover": draw(st.sampled_from([None, Cover(stock=stock_of(mm("0.25"), "cover board"))])),
    }
    said |= draw(two_up())
    said["sheet"] = draw(sheets_for(_fold_need(said, up or 2), said))
    return made(asked_for(**said))


@st.composite
def section_books(draw: st.DrawFn) -> Book | None:
    """Folded sections, sewn or glued, the last full or shortened."""
    said = draw(common())
    section = draw(st.sampled_from([4, 8, 16, 32]))
    up = draw(st.sampled_from([n for n in (2, 4, 8, 16) if section % (2 * n) == 0]))
    glued = draw(st.booleans())
    levels = section // 4
    said |= {
        "binding": Binding.PERFECT if glued else Binding.SECTIONS,
        "up": draw(st.sampled_from([up, up, None])),
        "section_pages": section,
        "last_section": draw(st.sampled_from(["fill", "short"])),
        "grind": said["caliper"] * levels + draw(lengths(0, 3)) if glued else None,
        "head_allowance": draw(maybe(lengths(1, 8))),
        "foot_allowance": draw(maybe(lengths(1, 8))),
        "fore_edge_allowance": draw(maybe(lengths(1, 8))),
        "lip": draw(st.sampled_from([None, None, mm(6)])),
        "creep_total": draw(maybe(lengths(0, 2))) if not glued else None,
    }
    said |= draw(two_up())
    said["sheet"] = draw(sheets_for(_fold_need(said, up), said))
    return made(asked_for(**said))


ONE_LEAF_BINDINGS = [Binding.PERFECT, Binding.STAB, Binding.PUNCHED]


@st.composite
def one_up_books(draw: st.DrawFn) -> Book | None:
    """One leaf a sheet: its spine on the sheet's edge, or centred."""
    said = draw(common())
    binding = draw(st.sampled_from(ONE_LEAF_BINDINGS))
    grind = draw(maybe(lengths(0, 5))) if binding is Binding.PERFECT else None
    lay = draw(st.sampled_from([None, None, "head", "foot"]))
    said |= {
        "binding": binding,
        "up": 1,
        "centred": draw(st.booleans()),
        "grind": grind,
        "lay": lay,
        "trim_off": draw(maybe(lengths(3, 6))),
    }
    said |= draw(two_up())
    leaf, ground = _leaf(said), grind or ZERO
    need = Size(leaf.width + ground * 2, leaf.height + (mm(16) if lay else ZERO))
    said["sheet"] = draw(sheets_for(need, said))
    return made(asked_for(**said))


@st.composite
def many_up_books(draw: st.DrawFn) -> Book | None:
    """Several leaves a sheet, to be bound or to stay loose, cut and stacked or repeated."""
    said = draw(common())
    columns, rows = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    binding = draw(st.sampled_from([*ONE_LEAF_BINDINGS, Binding.LOOSE, Binding.LOOSE]))
    loose = binding is Binding.LOOSE
    grind = draw(maybe(lengths(0, 5))) if binding is Binding.PERFECT else None
    gutter = draw(st.sampled_from([None, None, mm(6), mm(7)]))
    said |= {
        "binding": binding,
        "up": draw(st.sampled_from([columns * rows, None])) if columns * rows > 1 else None,
        "order": draw(st.sampled_from(Order)),
        "grind": grind,
        "gutter": gutter,
        "trim_off": None if loose else draw(maybe(lengths(3, 6))),
    }
    if not loose:
        said |= draw(two_up())
    leaf = _leaf(said)
    across = leaf.width + (mm(6) if loose else mm(8) + (grind or ZERO)) + (gutter or ZERO)
    along = leaf.height + (mm(6) if loose else mm(16)) + (gutter or ZERO)
    need = Size(across * columns, along * rows)
    said["sheet"] = draw(sheets_for(need, said))
    return made(asked_for(**said))


SCHEMES = {
    "saddle": saddle_books(),
    "sections": section_books(),
    "one up": one_up_books(),
    "many up": many_up_books(),
}


def with_job(asked: Asked, **changes: Any) -> Asked:
    """The same pages under a job with other fields."""
    return replace(asked, job=replace(asked.job, **changes))
