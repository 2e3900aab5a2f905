"""The items of a flat job: each with its pages, size and amount, from its table or from [book]."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from impose.findings import plain
from impose.model.asked import Asked
from impose.model.fields import changed
from impose.model.job import Binding, FlatWish, Job, NamedSize, PagesItem
from impose.model.jobtables import BACKS, ItemTable, PagesTable
from impose.model.keylines import KeyPath
from impose.model.paper import stock_of
from impose.model.stock import Stock

#: Keys of [guts] that say how leaves are folded, gathered and bound.
_OF_BOOKS: Final = (
    "section_pages",
    "last_section",
    "order",
    "place",
    "grind",
    "trim_off",
    "head_allowance",
    "foot_allowance",
    "fore_edge_allowance",
    "lip",
    "creep",
    "lay",
)


@dataclass(frozen=True, slots=True)
class FlatJob:
    """The pages of all items in their order, each naming its item, and the items."""

    pages: tuple[PagesItem, ...] = ()
    items: tuple[FlatWish, ...] = ()


def with_items_stock(asked: Asked) -> Asked:
    """The stock that the items name stands for one that [guts] does not."""
    tables = asked.tables
    named = [item.stock for item in tables.items if item is not None and item.stock]
    if tables.guts.stock is not None or not named:
        return asked
    guts = changed(tables.guts, stock=named[0])
    return replace(asked, tables=changed(tables, guts=guts))


def is_flat(asked: Asked, binding: Binding | None) -> bool:
    """Flat work is asked for, by its word or by its items."""
    return binding is Binding.FLAT or (binding is None and bool(asked.tables.items))


def item_sizes(asked: Asked) -> tuple[NamedSize, ...]:
    """The sizes of items that are written in numbers: they tell the unit for people."""
    trims = [item.trim for item in asked.tables.items if item is not None]
    return tuple(trim for trim in trims if isinstance(trim, NamedSize))


def flat_job(asked: Asked, pages: tuple[PagesItem, ...], stem: str) -> FlatJob:
    """From `[[items]]`; without them one item of the pages of [book]."""
    tables = asked.tables.items
    if not tables:
        return _single(asked, pages, stem)
    if pages:
        asked.fault(
            ("book", "pages"),
            "pages of [book] and [[items]] go ill together",
            "give every item its own pages",
        )
    found: list[PagesItem] = []
    wishes: list[FlatWish] = []
    for index, table in enumerate(tables):
        if table is None:
            continue
        own = tuple(_pages(asked, index, table, len(wishes)))
        wishes.append(_wish(asked, index, table, own))
        found.extend(own)
    return FlatJob(tuple(found), tuple(wishes))


def _single(asked: Asked, pages: tuple[PagesItem, ...], stem: str) -> FlatJob:
    book, guts = asked.tables.book, asked.tables.guts
    trim = asked.size(("book", "trim"), book.trim) if book.trim is not None else None
    wish = FlatWish(
        title=plain(book.title or _name(pages) or stem),
        trim=trim,
        amount=book.copies,
        up=guts.up,
    )
    for place, item in enumerate(pages):
        if not item.leaf.plain:
            asked.fault(
                ("book", "pages", place), "flat work has no leaves of another kind", "leave it out"
            )
    return FlatJob(tuple(replace(item, flat=0) for item in pages), (wish,))


def _pages(asked: Asked, index: int, table: ItemTable, number: int) -> Iterator[PagesItem]:
    path = ("items", index, "pages")
    if not table.pages:
        asked.fault(path, "no pages are named", 'for example pages = "card.pdf"')
    for place, page in enumerate(table.pages):
        if page is not None:
            yield replace(_of_flat(asked, (*path, place), page), flat=number)


def _of_flat(asked: Asked, path: KeyPath, page: PagesTable) -> PagesItem:
    item = asked.item(path, page)
    if not item.leaf.plain:
        asked.fault(
            path,
            f"flat work has no leaves to be {item.leaf.kind.value}",
            "leave it out, or make a book of it",
        )
    return item


def _wish(asked: Asked, index: int, table: ItemTable, pages: tuple[PagesItem, ...]) -> FlatWish:
    path = ("items", index)
    if table.amount is None:
        asked.fault(
            (*path, "amount"), "the amount is not said", "how many are wanted: amount = 500"
        )
    book = asked.tables.book
    trim = table.trim if table.trim is not None else book.trim
    return FlatWish(
        title=plain(table.title or _name(pages) or f"item {index + 1}"),
        trim=asked.size((*path, "trim"), trim) if trim is not None else None,
        amount=table.amount,
        sides=table.sides,
        up=table.up,
        turn=table.turn,
        grain=table.grain,
        bleed=table.bleed,
        head_to_foot=table.back == BACKS[1],
    )


def _name(pages: tuple[PagesItem, ...]) -> str:
    return next((item.file.stem for item in pages if item.file is not None), "")


def refuse_flat(asked: Asked, job: Job) -> None:
    """Notes a fault for what flat work cannot have."""
    if job.binding is not Binding.FLAT:
        if asked.tables.items:
            asked.fault(
                ("items",),
                f"items are flat work, and binding is {job.binding.value}",
                'say binding = "flat", or make the book a job of its own',
            )
        return
    _refuse_book_keys(asked)
    _refuse_stocks(asked)
    if job.guts.up is not None and asked.tables.items:
        asked.fault(
            ("guts", "up"),
            f"up is {job.guts.up}, and there are items of their own",
            "say how often each stands on the sheet in its item: up = 4",
        )
    if asked.tables.items and asked.tables.book.copies is not None:
        asked.fault(("book", "copies"), "the items have amounts of their own", "leave copies out")


def _refuse_book_keys(asked: Asked) -> None:
    guts = asked.tables.guts
    for key in _OF_BOOKS:
        if getattr(guts, key) is not None:
            asked.fault(
                ("guts", key), "flat work is not folded, gathered or bound", f"leave {key} out"
            )
    if asked.tables.cover is not None:
        asked.fault(("cover",), "flat work has no cover", "a cover without folds is an item itself")


def _refuse_stocks(asked: Asked) -> None:
    """Everything on a sheet is on one paper."""
    known: list[tuple[str, Stock]] = []
    guts = asked.tables.guts.stock
    if guts is not None:
        stock = asked.look_up(("guts", "stock"), lambda: stock_of(guts, asked.profiles))
        known += [("the sheets", stock)] if stock else []
    for index, item in enumerate(asked.tables.items):
        table = item.stock if item is not None else None
        if item is None or table is None:
            continue
        path = ("items", index, "stock")
        own = asked.look_up(path, lambda table=table: stock_of(table, asked.profiles))  # type: ignore[misc]
        name = item.title or f"item {index + 1}"
        if own is not None and known and own != known[0][1]:
            asked.fault(
                path,
                f"{name} is to be on {own.name}, {known[0][0]} on {known[0][1].name}: all "
                "items of a sheet are on one stock",
                "split the job: a job file for each stock",
            )
        elif own is not None and not known:
            known.append((name, own))
