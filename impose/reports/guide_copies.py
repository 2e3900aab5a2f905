"""What to do now where a set of sheets gives several copies: one forme for both sides, and two
copies bound as one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from impose.bench.doublebooks import DOUBLE, FAR, NEAR, Copy, Double, double_of, end_words
from impose.bench.paper import prints
from impose.geometry.sides import side_edges
from impose.model.presswork import Work
from impose.pdf.flippicture import LIKE
from impose.plan.cutsteps import CutStep
from impose.plan.parts import Sheet
from impose.reports.guide_parts import Book, quarter
from impose.schemes.halves import half_plan
from impose.units import Length


def forme_steps(book: Book, dialog: str) -> Iterator[str]:
    """Printing both sides of the sheets from one forme: a page of the file for each."""
    sheet = book.guts[0]
    many = prints(book.plan, book.job) + book.job.guts.overs
    edge = "the same" if Work(sheet.work).keeps_gripper else "the other"
    yield (
        f"guts.pdf has one page for each sheet, {sheet.work}: the same page is printed on the "
        f"front and on the back; {dialog}."
    )
    yield (
        f"Page 1 is sheet 1. Print it on {_all(many)}; let it dry, turn the pile over "
        f"{LIKE[sheet.turned]}, so that {edge} edge goes into the press first, and print page 1 "
        "once more, on the backs. Begin with one sheet and look at it before you print the rest."
    )
    if len(book.guts) > 1:
        yield (
            "Then page 2 on both sides of sheet 2"
            + (", and so on" if len(book.guts) > 2 else "")
            + ". Keep the runs apart, with a slip of paper between them."
        )


def _all(many: int) -> str:
    return "one sheet" if many == 1 else f"all its {many} sheets"


def double_book(book: Book) -> Double | None:
    """Two copies bound as one, as they lie in the binder; None where one is bound alone."""
    return double_of(half_plan(book.plan), _lay(book))


def marked_end(book: Book) -> str:
    """The end that a double book is jogged to and measured from."""
    return f"the marked end, {end_words(book.plan, _lay(book))}"


def _lay(book: Book) -> str:
    return book.plan.cut_facts.lay if book.plan.cut_facts else "head"


def side_by_side(book: Book, sheets: Sequence[Sheet]) -> str:
    """How the sheets of a book lie on each other from end to end."""
    double = double_book(book)
    if double is None:
        return "All heads lie at the same side."
    where = end_words(book.plan, _lay(book))
    edges = {_end_of(sheet, double) for sheet in sheets}
    if len(edges) == 1 and all(len(sheet.folds) == 1 for sheet in sheets):
        where += f", at the {edges.pop()} edge of the printed fronts,"
    return (
        f"The two copies lie {book.plan.two_up}: {where} comes to the same side in all sheets; "
        "knock them even there and mark that end."
    )


def _end_of(sheet: Sheet, double: Double) -> str:
    """The edge of the front where the marked end lies."""
    near = sheet.front.placements[double.near.number - 1]
    return side_edges(near.spine_at, near.upside_down)[double.end].value


def named(step: CutStep) -> str:
    """What the two piles are called, with the cut that parts them."""
    if step.table is None or step.table.things != DOUBLE:
        return ""
    return f" The books with the marked end are {NEAR}, the others {FAR}: keep the two apart."


def staple_places(book: Book) -> str:
    """Two staples for each copy, a quarter of its trimmed height from its head and foot."""
    double = double_book(book)
    assert double is not None
    places = [
        at
        for copy in (double.near, double.far)
        for at in _between(double, copy, quarter(book.plan.leaf.height))
    ]
    return (
        f"four staples exactly on the fold, two for each copy, from outside. Measured from "
        f"{marked_end(book)}: {_listed(book, places)}; the two copies are cut apart at "
        f"{book.about(double.near.paper.height)}"
    )


def stations(book: Book, inside: Length) -> str:
    """Where the outermost holes of each copy go, so far inside its trim."""
    double = double_book(book)
    assert double is not None
    spans = [
        " and ".join(book.about(at) for at in _between(double, copy, inside))
        for copy in (double.near, double.far)
    ]
    return (
        f"measured from {marked_end(book)}: for one copy at {spans[0]} and an even number "
        f"between them, for the other at {spans[1]} and as many between. None where the copies "
        f"are cut apart, at {book.about(double.near.paper.height)}"
    )


def _between(double: Double, copy: Copy, inside: Length) -> tuple[Length, Length]:
    start, end = double.from_end(copy)
    return start + inside, end - inside


def _listed(book: Book, places: list[Length]) -> str:
    words = [book.about(at) for at in places]
    return f"{', '.join(words[:-1])} and {words[-1]}"
