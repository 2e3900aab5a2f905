"""What to do now: leaves or sections in order, the cover's scores, the parts bindings share."""

from __future__ import annotations

from collections.abc import Iterator

from impose.plan.cutsteps import StepKind
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
    if any(step.kind is StepKind.STACK for step in book.steps):
        order = f"The pile now reads through: page 1 on top, page {last} at the bottom."
    else:
        pile = "The sheet" if sheets == 1 else f"All {sheets} sheets"
        order = (
            f"{pile}: page 1 on top, page {last} at the bottom. If your printer stacks with the "
            "print up, turn the order round."
        )
    return Task(title="Lay in order", steps=(order, "Leaf through once and read the numbers."))


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
