"""Flat work in words: its items, its sheets and how often each is printed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from impose.bench.flatprogram import piles_of
from impose.findings import page_ranges
from impose.geometry.turning import Flip
from impose.plan.flatfacts import FlatItem
from impose.plan.parts import Sheet
from impose.plan.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRow:
    """One item: what is wanted, what is made, where it stands."""

    number: str
    title: str
    size: str
    sides: str
    amount: str
    made: str
    over: str
    where: str
    piles: str


def item_rows(plan: Plan) -> Iterator[ItemRow]:
    """The items in the order of the job."""
    for number, item in enumerate(plan.items, start=1):
        yield ItemRow(
            number=str(number),
            title=item.title,
            size=item.trim.text(plan.unit),
            sides=_sides(item),
            amount=str(item.amount),
            made=str(item.made),
            over=str(item.over),
            where=_where(plan, item),
            piles=page_ranges(piles_of(plan, number)),
        )


def _sides(item: FlatItem) -> str:
    if len(item.faces) == 1:
        return "front only"
    return "both sides, head to foot" if item.head_to_foot else "both sides"


def _where(plan: Plan, item: FlatItem) -> str:
    """`12 up`; with several layouts `4 on sheet 1, 2 on sheet 3`."""
    if len(item.on) == 1:
        return f"{item.on[0]} up"
    on = [f"{count} on sheet {n}" for n, count in enumerate(item.on, start=1) if count]
    return ", ".join(on)


def flat_sheets(plan: Plan) -> tuple[Sheet, ...]:
    """One sheet of each layout."""
    return tuple(sheet for sheet in plan.sheets if sheet.role == "guts")


def runs_words(plan: Plan) -> str:
    """`84 of sheet 1, 20 of sheet 2`, or how many of the only one."""
    sheets = flat_sheets(plan)
    if len(sheets) == 1:
        return str(sheets[0].copies)
    return ", ".join(f"{sheet.copies} of sheet {sheet.number}" for sheet in sheets)


def prints_words(plan: Plan) -> str:
    """All of them, and how many are different."""
    sheets = flat_sheets(plan)
    whole = sum(sheet.copies for sheet in sheets)
    return f"{whole}" if len(sheets) == 1 else f"{whole} ({len(sheets)} different ones)"


def flip_words(plan: Plan) -> str:
    """How the sheets are printed."""
    sheet = flat_sheets(plan)[0]
    if plan.one_sided("guts"):
        return "on one side"
    flip = Flip.that_gives(sheet.turned, sheet.size).value
    return f"on both sides, turned over on the {flip}"


def flat_summary(plan: Plan) -> str:
    """One line for the terminal: what is made, and how it is printed."""
    sheets, items = flat_sheets(plan), plan.items
    what = (
        f"{items[0].title}, {items[0].trim.text(plan.unit)}"
        if len(items) == 1
        else f"{len(items)} items"
    )
    pieces = sum(item.made for item in items)
    size = sheets[0].size.text(plan.unit)
    one = f"{sheets[0].copies} sheet{'s' if sheets[0].copies > 1 else ''} of {size}"
    runs = one if len(sheets) == 1 else f"{runs_words(plan)}, all of {size},"
    return f"{what}, {pieces} pieces: print {runs} {flip_words(plan)}, at actual size"
