"""Printing one side at a time in words: the first sheet alone through both files, then the pile."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from impose.findings import page_ranges
from impose.model.machines import Printer
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.schemes.oneside import BACKS, FRONTS, one_side, turn_words

#: Between the first sheet and the pile.
CHECK: Final = (
    "Look at this sheet before you print more: both sides, which way up they stand, their size. "
    "ticket.pdf says what lies behind what."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OneSideSteps:
    """What to do at the printer.

    `first` is what to do with the first sheet alone, `rest` with the pile once that
    sheet is right, empty where there is no other sheet.  `turn_over`: what is put back
    is turned over first.
    """

    first: tuple[str, ...]
    rest: tuple[str, ...]
    turn_over: bool

    @property
    def steps(self) -> tuple[str, ...]:
        """All of it, for people who have the files before them and no ticket."""
        return (*self.first, CHECK, *self.rest)


def one_side_steps(plan: Plan, printer: Printer | None) -> OneSideSteps:
    """For the guts of a plan; without a trial the printer is taken to be the usual one."""
    wish = one_side(plan, printer)
    words = _Words(plan, printer, wish.last_first)
    return OneSideSteps(first=words.first(), rest=words.rest(), turn_over=wish.turn_over)


@dataclass(frozen=True, slots=True)
class _Words:
    """What to do at the printer, first with one sheet and then with the pile.

    Sheets carry no number that could be looked for: they are told by their pages.
    """

    plan: Plan
    printer: Printer | None
    last_first: bool

    def first(self) -> tuple[str, ...]:
        """One sheet through both passes; it is looked at before the pile is printed."""
        count = len(self._sheets)
        back = count if self.last_first else 1
        tried = self.printer is not None and self.printer.refeed is not None
        as_before = " as you did for the trial" if tried else ""
        return (
            f"Print page 1 of {FRONTS} alone, at actual size, on one side of the paper: it is "
            f"the front of sheet 1{self._pages(1, 'front')}.",
            f"Let the ink dry. Take the sheet out as it lies, {self._turn}, and put it "
            f"into the tray{as_before}. Remember how: the pile goes back in the same way.",
            f"Print page {back} of {BACKS} alone: it is the back of sheet 1"
            f"{self._pages(1, 'back')}.",
        )

    def rest(self) -> tuple[str, ...]:
        """The other sheets as one pile; nothing where the first is the only one."""
        count = len(self._sheets)
        if count == 1:
            return ()
        order = range(count, 1, -1) if self.last_first else range(2, count + 1)
        start = 1 if self.last_first else 2
        ends = start, start + count - 2
        left = _span(ends[0] + 1, ends[1])
        more = f" Only then print {left} of {BACKS}." if count > 2 else ""
        return (
            f"Print {_span(2, count)} of {FRONTS}, at actual size, on one side of the paper.",
            "Let the ink dry. Take the whole pile out as it lies, do not change the order of the "
            f"sheets, {self._turn}, and put it into the tray as you did with the first "
            "sheet.",
            f"Print page {ends[0]} of {BACKS} alone: it is the back of sheet {order[0]}"
            f"{self._pages(order[0], 'front', ', whose front has')}"
            f"{self._pages(order[0], 'back', ', the back')}. Look whether they are on one "
            f"sheet.{more}",
        )

    @property
    def _sheets(self) -> tuple[Sheet, ...]:
        return tuple(sheet for sheet in self.plan.sheets if sheet.role == "guts")

    @property
    def _turn(self) -> str:
        return turn_words(self.printer)

    def _pages(self, number: int, face: str, before: str = ", with") -> str:
        """`, with pages 1 and 8`; nothing for flat work, whose pieces have no pages."""
        sheet = self._sheets[number - 1]
        side = sheet.front if face == "front" else sheet.back
        pages = sorted({placement.position for placement in side.placements})
        if self.plan.flat or not pages:
            return ""
        return f"{before} {_page_words(pages)}"


def _page_words(pages: list[int]) -> str:
    if len(pages) == 1:
        return f"page {pages[0]}"
    if len(pages) == 2:
        return f"pages {pages[0]} and {pages[1]}"
    return f"pages {page_ranges(pages)}"


def _span(first: int, last: int) -> str:
    """`page 2`, `pages 2 to 5`."""
    return f"page {first}" if first == last else f"pages {first} to {last}"
