"""What to do now: leaves or sections in order, the cover's scores, the parts bindings share."""

from __future__ import annotations

from collections.abc import Iterator

from impose.bench.runs import by_runs, mixed_up
from impose.model.job import Order
from impose.model.presswork import TwoUp
from impose.plan.cutsteps import StepKind
from impose.plan.parts import When
from impose.plan.scoresteps import ScoreKind
from impose.reports.cautions import CREASER
from impose.reports.guide_folding import cutting, folding, gathering_sections
from impose.reports.guide_parts import Book, Task, count


def leaves_or_sections(book: Book) -> Iterator[Task]:
    """From printed sheets to the pile that is bound."""
    yield from cutting(book)
    if book.folded:
        yield from folding(book)
        yield gathering_sections(book)
        return
    yield in_order(book)


def in_order(book: Book) -> Task:
    """Single leaves in a pile; a printer that stacks face up brings them backwards."""
    last = book.plan.faces
    sheets = len(book.guts)
    if repeated(book):
        return _repeats(book)
    plan = book.plan
    leaf = "double leaf" if plan.two_up else "leaf"
    ends = f"page 1 on top, page {last} at the bottom"
    if plan.two_up and TwoUp(plan.two_up).come_and_go:
        ends = f"page 1 of the first copy on top, beside page {last} of the other"
    if any(s.kind is StepKind.STACK and s.when is not When.BEFORE_FOLDING for s in book.steps):
        order = f"The pile now reads through: {ends}."
    else:
        pile = "The sheet" if sheets == 1 else f"All {sheets} sheets"
        order = f"{pile}: {ends}. If your printer stacks with the print up, turn the order round."
        if mixed_up(plan, book.job) and by_runs(plan, book.job):
            order = (
                f"For each book take one {leaf} from every run, from sheet 1 to sheet {sheets}: "
                f"{ends}."
            )
    return Task(title="Lay in order", steps=(order, "Leaf through once and read the numbers."))


def repeated(book: Book) -> bool:
    """Every place of a sheet carries the same leaf: the piles are sets, not parts of one pile."""
    guts = book.job.guts
    piles = any(step.kind is StepKind.STACK for step in book.steps)
    return guts.order is Order.REPEAT and len(book.guts[0].front.placements) > 1 and piles


def _repeats(book: Book) -> Task:
    """Cut from sheets that repeat one leaf: as many sets as there are piles."""
    last, leaves = book.plan.faces, len(book.guts)
    if leaves == 1:
        behind = "" if book.plan.one_sided("guts") else f", page {last} behind it"
        words = f"All pieces are alike: lay the piles on each other, page 1 up{behind}."
        return Task(title="Lay together", steps=(words,))
    what = "set" if book.job.binding.unbound else "copy"
    return Task(
        title="Lay in order",
        steps=(
            f"Every pile is a {what} by itself: page 1 on top, page {last} at the bottom. Do not "
            "lay the piles on each other before you have counted them.",
            "Leaf through one and read the numbers.",
        ),
    )


def scoring(book: Book) -> Iterator[Task]:
    """The cover's scores; the first page of the ticket has their list."""
    scores = sum(step.kind is ScoreKind.SCORE for step in book.plan.score_steps)
    if not scores:
        return
    yield Task(
        title="Score the cover",
        steps=(
            f"Press the {count(scores, 'score')} in the order of the score list on the first page "
            "of this ticket; it says which face lies up and which edge is at the stop. Try one on "
            "a spare sheet of the same paper first.",
        ),
        cautions=CREASER,
    )
