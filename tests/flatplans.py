"""Flat jobs for the tests: items told in few words or drawn, planned, marked and cut, no PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from strategies import FLIPS, lengths, mm, page_facts, printers, stock_of

from impose.bench.handcutter import HAND
from impose.bench.program import add_cuts
from impose.errors import JobError
from impose.geometry.box import Size
from impose.marks.drawing import add_marks
from impose.model.facts import BookPage
from impose.model.job import Binding, FlatWish, Guts, Job, NamedSize, PagesItem
from impose.model.leafkinds import AS_THE_REST
from impose.model.machines import Bench, Cutter
from impose.model.stock import Grain, Stock
from impose.plan.plan import Plan
from impose.schemes.leaves import Book
from impose.schemes.planning import plan_flat_work
from impose.units import ZERO, Length

#: A small guillotine: its figures are those of the shipped office guillotine.
GUILLOTINE = Cutter(
    name="small guillotine",
    widest=mm(430),
    gauge_min=mm(35),
    gauge_max=mm(430),
    clamp_opening=mm(40),
    tolerance=mm("0.3"),
    waste_min=mm(2),
)


@dataclass(frozen=True)
class Flat:
    """An item in few words: its size, its count of pages, the bleed they have, and its wish."""

    size: Size
    sides: int = 1
    supplied: Length = ZERO
    amount: int | None = 1
    wish: dict[str, Any] | None = None


@dataclass(frozen=True)
class Work:
    """What was asked for, and the plan that came of it."""

    items: tuple[Flat, ...]
    job: Job
    plan: Plan

    def __repr__(self) -> str:
        guts = self.job.guts
        said = {n: getattr(guts, n) for n in ("printer", "flip", "bleed", "gutter", "layouts")}
        sheet = guts.sheets[0].size.text("mm")
        items = [
            f"{item.size.text('mm')} x {item.amount}, {item.sides} pages, "
            f"bleed {item.supplied.text('mm')}, {item.wish}"
            for item in self.items
        ]
        return f"{items} on {sheet}, cutter {self.job.bench.cutter}, {said}"

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        printer.text(repr(self))


def card(width: int | str, height: int | str, amount: int | None = 1, **more: Any) -> Flat:
    """In millimetres; `sides`, `supplied`, the rest are fields of the wish."""
    known = {key: more.pop(key) for key in ("sides", "supplied") if key in more}
    return Flat(Size(mm(width), mm(height)), amount=amount, wish=more, **known)


def job_for(items: Sequence[Flat], sheet: Size, *, grain: Grain | None = None, **more: Any) -> Job:
    """`more` are fields of the job or of its guts."""
    fields = {key: more.pop(key) for key in list(more) if key in Job.__slots__}
    wishes = tuple(
        FlatWish(
            title=f"item {number}",
            trim=NamedSize(size=item.size, name="trim"),
            amount=item.amount,
            **(item.wish or {}),
        )
        for number, item in enumerate(items, start=1)
    )
    stock: Stock = replace(stock_of(mm("0.25")), grain=grain)
    return Job(
        title="Flat work",
        unit="mm",
        pages=tuple(
            PagesItem(file=Path(f"{number}.pdf"), flat=number) for number in range(len(items))
        ),
        binding=Binding.FLAT,
        guts=Guts(stock=stock, sheets=(NamedSize(size=sheet, name="sheet"),), **more),
        folder=Path(),
        items=wishes,
        **fields,
    )


def work_of(items: Sequence[Flat], sheet: Size, **more: Any) -> Work:
    """Planned, marked and with its cut program (which is proved while it is made)."""
    job = job_for(items, sheet, **more)
    pages = [
        BookPage(number, side, page_facts(item.size, item.supplied))
        for number, item in enumerate(items)
        for side in range(1, item.sides + 1)
    ]
    plan = plan_flat_work(
        job,
        book_of(pages),
        [item.sides for item in items],
        [f"{number}.pdf" for number in range(len(items))],
    )
    return Work(tuple(items), job, add_cuts(add_marks(plan, job), job))


def book_of(pages: Sequence[BookPage]) -> Book:
    """These pages one after the other."""
    faces = tuple(range(1, len(pages) + 1))
    return Book(tuple(pages), faces, (AS_THE_REST,) * len(faces))


# -- drawn -----------------------------------------------------------------------------


@st.composite
def flats(draw: st.DrawFn) -> Flat:
    size = draw(
        st.sampled_from([Size(mm(85), mm(55)), Size(mm(55), mm(55)), Size(mm(105), mm(148))])
        | st.builds(Size, lengths(35, 170), lengths(35, 170))
    )
    wish: dict[str, Any] = {
        "turn": draw(st.sampled_from([True, True, False])),
        "head_to_foot": draw(st.booleans()),
        "grain": draw(st.sampled_from([None, None, None, *Grain])),
        "up": draw(st.sampled_from([None, None, None, 1, 2, 4])),
    }
    return Flat(
        size,
        sides=draw(st.sampled_from([1, 2])),
        supplied=draw(st.sampled_from([ZERO, mm(3), mm("1.7"), mm(5)])),
        amount=draw(st.integers(1, 60) | st.sampled_from([100, 500, 1000, 2500])),
        wish=wish,
    )


#: The only ways in which a drawn job may be refused.
REFUSALS = {"item-too-large", "items-no-room", "bleed-gutter"}


@st.composite
def works(draw: st.DrawFn) -> Work | None:
    """A flat job, or None when it does not go on the sheet drawn for it."""
    items = draw(st.lists(flats(), min_size=1, max_size=4))
    sheet = draw(
        st.sampled_from([Size(mm(320), mm(450)), Size(mm(210), mm(297)), Size(mm(520), mm(360))])
        | st.builds(Size, lengths(180, 520), lengths(180, 520))
    )
    cutter = draw(st.sampled_from([None, HAND, GUILLOTINE]))
    try:
        return work_of(
            items,
            sheet,
            grain=draw(st.sampled_from(Grain)),
            bench=Bench(cutter=cutter),
            printer=draw(printers()),
            flip=draw(FLIPS),
            bleed=draw(st.sampled_from([None, None, ZERO, mm(2)])),
            gutter=draw(st.sampled_from([None, None, ZERO, mm(4), mm(11)])),
            layouts=draw(st.sampled_from([None, None, 1, 2])),
            overs=draw(st.sampled_from([0, 5])),
        )
    except JobError as error:
        assert {fault.code for fault in error.faults} <= REFUSALS, error.faults
        return None
