"""What to do now: the parts that every book's page is made of, as values.

A task is a heading, numbered steps, cautions.  The words are for people who
have never done it; the figures are those of the plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from impose.bench.coverapart import parts_covers
from impose.geometry.turning import Flip, Turnover
from impose.model.job import Job
from impose.plan.cutsteps import CutStep
from impose.plan.parts import Sheet, Side
from impose.plan.plan import Plan
from impose.reports.cautions import Caution
from impose.reports.glossary import Term
from impose.reports.ticket_rows import short_words
from impose.schemes.halves import half_plan
from impose.units import Length, reading_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """The picture of how a sheet is turned over: `across` when about the horizontal."""

    about_horizontal: bool
    landscape: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Refill:
    """The picture of how a sheet, or the pile, is put back into the tray for its backs."""

    turn_over: bool
    pile: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One stage of the work; `terms` are the words that it uses first."""

    title: str
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...] = ()
    picture: Turn | Refill | None = None
    terms: tuple[Term, ...] = ()


@dataclass(frozen=True, slots=True)
class Book:
    """A finished plan and its job, with what the words ask of them."""

    plan: Plan
    job: Job

    @property
    def guts(self) -> tuple[Sheet, ...]:
        return tuple(sheet for sheet in self.plan.sheets if sheet.role == "guts")

    @property
    def bench(self) -> tuple[Sheet, ...]:
        """The sheets of the guts as they are folded: where one forme prints both sides, the
        halves, each seen with its first page up."""
        return tuple(sheet for sheet in half_plan(self.plan).sheets if sheet.role == "guts")

    @property
    def cover_sheet(self) -> Sheet | None:
        return next((sheet for sheet in self.plan.sheets if sheet.role == "cover"), None)

    @property
    def steps(self) -> tuple[CutStep, ...]:
        """The cut list without what is made of insets alone, and without what parts several
        covers: these have a task of their own."""
        return tuple(
            step
            for step in self.plan.cut_steps
            if not step.title.startswith("Inset ") and not parts_covers(step)
        )

    @property
    def folded(self) -> bool:
        """Sheets are folded; French-folded leaves are not meant."""
        return any(sheet.folds for sheet in self.guts)

    @property
    def turned(self) -> Turnover:
        return self.guts[0].turned

    @property
    def flip(self) -> Flip:
        first = self.guts[0]
        return Flip.that_gives(first.turned, first.size)

    def length(self, length: Length) -> str:
        """What a ruler reads where that is exact, else the exact figure, or where that has no
        short one the nearest mark of a ruler with a `~`; in the job's unit."""
        words = short_words(length, self.plan.unit)
        if not words.startswith("~"):
            return words
        reading = reading_text(length, self.plan.unit).partition(" (")[0].removeprefix("~")
        if reading.startswith("0 "):  # less than the ruler shows
            return words
        return f"~{reading}"

    def about(self, length: Length) -> str:
        """As a ruler reads it: for places that need not be exact."""
        reading = reading_text(length, self.plan.unit, 16)
        return reading.partition(" (")[0]


#: What one way of binding makes of a book: its tasks from the printed sheets to the bound book.
Way = Callable[[Book], Iterable[Task]]


def has_marks(sheet: Sheet, *kinds: str) -> bool:
    """Marks of these kinds had room on both its sides."""
    return all(
        any(mark.kind in kinds for group in side.marks for mark in group.marks)
        or any(mark.kind in kinds for mark in side.own_marks)
        for _, side in sheet.sides
    )


def count(number: int, word: str, plural: str = "") -> str:
    """`1 sheet`, `6 sheets`."""
    return f"{number} {word if number == 1 else plural or word + 's'}"


def numbers(first: int, last: int) -> str:
    """`sheet 3`, `sheets 3 to 6`."""
    return f"sheet {first}" if first == last else f"sheets {first} to {last}"


def face(position: int, book: Book) -> str:
    """A face of the book as a reader calls it: `page 3`, or `the blank page 3`."""
    blank = book.plan.reading_order()[position - 1] is None
    return f"the blank page {position}" if blank else f"page {position}"


def side_with(sheets: Sequence[Sheet], position: int) -> tuple[Sheet, str] | None:
    """The sheet and the name of the side that carry a face of the book."""
    for sheet in sheets:
        for name, side in sheet.sides:
            if any(placement.position == position for placement in side.placements):
                return sheet, name
    return None


def positions(side: Side) -> tuple[int, ...]:
    """The faces of the book on a side, in rising order."""
    return tuple(sorted(placement.position for placement in side.placements))


def quarter(length: Length) -> Length:
    return length * Fraction(1, 4)
