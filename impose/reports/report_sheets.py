"""The sheets of the report: which are drawn, and what is said beside each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Final

from impose.geometry.sides import Edge
from impose.plan.coverview import piece_of
from impose.plan.insets import is_cover
from impose.plan.parts import FoldStep, Sheet
from impose.plan.plan import Plan
from impose.reports.sheet_svg import side_svg, side_words
from impose.schemes.halves import half_folds
from impose.units import both_units

#: So many sheets of the guts are drawn at the most.
DRAWN: Final = 12
_PART: Final = {
    Edge.LEFT: "left part",
    Edge.RIGHT: "right part",
    Edge.TOP: "upper part",
    Edge.BOTTOM: "lower part",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetView:
    """A sheet drawn; `back` is empty when nothing is printed on it."""

    title: str
    front: str
    back: str
    front_words: str
    back_words: str
    told: tuple[int, ...]
    folds: tuple[str, ...]


def guts_views(plan: Plan, told: Sequence[int]) -> tuple[tuple[SheetView, ...], int]:
    """The sheets drawn, those of insets after the others, and how many are left out.

    `told` are the pages pictured, the worst first.
    """
    sheets = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    chosen = _chosen(sheets, told)
    views: list[SheetView] = []
    folds: tuple[FoldStep, ...] = ()
    for sheet in chosen:
        view = _view(plan, sheet, told)
        # Sheets folded like the one before need not say so again.
        views.append(replace(view, folds=()) if sheet.folds == folds else view)
        folds = sheet.folds
    put_in = (sheet for sheet in plan.sheets if sheet.role.startswith("inset "))
    views.extend(_view(plan, sheet, told) for sheet in islice(put_in, DRAWN))
    return tuple(views), len(sheets) - len(chosen)


def cover_views(plan: Plan, told: Collection[int]) -> tuple[SheetView, ...]:
    """The sheets of the cover."""
    return tuple(_view(plan, sheet, told) for sheet in plan.sheets if is_cover(sheet.role))


def _chosen(sheets: Sequence[Sheet], told: Sequence[int]) -> list[Sheet]:
    """All when they are few; else the first, the last, and those with pages that are told."""
    if len(sheets) <= DRAWN // 2:
        return list(sheets)
    kept = {sheets[0].number, sheets[-1].number}
    carrying = {page: sheet.number for sheet in sheets for page in told_on(sheet)}
    for page in told:
        if len(kept) < DRAWN and page in carrying:
            kept.add(carrying[page])
    return [sheet for sheet in sheets if sheet.number in kept]


def told_on(sheet: Sheet) -> set[int]:
    """The source pages on both sides."""
    return {p.page for _, side in sheet.sides for p in side.placements if p.page is not None}


def _view(plan: Plan, sheet: Sheet, told: Collection[int]) -> SheetView:
    count = sum(one.role == sheet.role for one in plan.sheets)
    what = "Sheet" if sheet.role == "guts" else sheet.role.capitalize()
    section = f", section {sheet.section}" if sheet.section else ""
    copies = f", {sheet.copies} copies" if sheet.copies > 1 else ""
    pieces = plan.cover.pieces if plan.cover and is_cover(sheet.role) else None
    if pieces is not None:
        copies = f", {pieces.text}"
    size = sheet.size
    both = f"{size.text(plan.unit)} ({size.text('in' if plan.unit == 'mm' else 'mm')})"
    title = what
    if sheet.role == "guts" and count > 1:
        title = f"{what} {sheet.number} of {count}"
    elif count > 1:
        title = f"{what}, sheet {sheet.number} of {count}"
    printed = bool(sheet.back.placements)
    return SheetView(
        title=f"{title}{section}{copies}, {both}",
        front=side_svg(sheet, "front", told, plan.flat),
        back=side_svg(sheet, "back", told, plan.flat) if printed else "",
        front_words=_words(plan, sheet, "front"),
        back_words=_words(plan, sheet, "back"),
        told=tuple(sorted(told_on(sheet).intersection(told))),
        folds=tuple(
            _folds(half_folds(plan, piece_of(sheet, pieces) if pieces else sheet), plan.unit)
        ),
    )


def _words(plan: Plan, sheet: Sheet, name: str) -> str:
    """The pages on a side; of flat work how often each item stands there."""
    if not plan.flat:
        return _after(side_words(sheet, name))
    side = sheet.front if name == "front" else sheet.back
    counted = Counter(p.leaf for p in side.placements if p.page is not None)
    return ", ".join(
        f"{count} x {number} {plan.items[number - 1].title}"
        for number, count in sorted(counted.items())
    )


def _after(words: str) -> str:
    """`pages 2, 15`: without the sheet, which the caption has."""
    return words.partition(": ")[2]


def _folds(steps: Sequence[FoldStep], unit: str) -> Iterator[str]:
    """In the order they are made, the front lying up at the start."""
    for step in steps:
        way = "under" if step.under else "over"
        start = "the lower edge" if step.across else "the left edge"
        yield f"{_PART[step.moving]} {way}, at {both_units(step.at, unit)} from {start}"
