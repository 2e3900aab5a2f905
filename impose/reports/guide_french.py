"""What to do now: leaves folded at the fore-edge, then glued, sewn or punched at the spine."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.bench.frenchsteps import LEAVES
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import When
from impose.reports.guide_block import scoring
from impose.reports.guide_folding import cut_task, trimming
from impose.reports.guide_glued import glue
from impose.reports.guide_holes import punched, stab
from impose.reports.guide_parts import Book, Task
from impose.reports.guide_told import told
from impose.reports.hand_cautions import FOLDING

#: Told here already, and not once more by the binding.
_DONE: Final = frozenset({"Cut the sheets apart", "Lay in order"})


def french(book: Book) -> Iterator[Task]:
    """Leaves folded at the fore-edge, then bound as the job says."""
    if book.plan.holes is not None:
        yield from told(book)
        return
    yield from _before_french_fold(book)
    yield Task(
        title="Fold every leaf",
        steps=(
            "Fold each leaf in half along its fold mark, the print outside, edge on edge. The fold "
            "will be the fore-edge of the book.",
            "Lay the leaves on each other, page 1 on top, all folds at the same side; knock the "
            "pile even at the folds.",
        ),
        cautions=(FOLDING,),
    )
    yield from _cuts_of_folded(book)
    rest = {"perfect": _glued, "stab": stab, "punched": punched}.get(book.plan.binding)
    bound = [task for task in rest(book) if task.title not in _DONE] if rest else []
    yield from bound


def _glued(book: Book) -> Iterator[Task]:
    yield from scoring(book)
    yield glue(book)
    yield trimming(book)


def _before_french_fold(book: Book) -> Iterator[Task]:
    """What is cut while the leaves are still flat."""
    flat = _split_french(book)[0]
    if flat:
        yield cut_task(book, "Cut the leaves apart", flat)


def _cuts_of_folded(book: Book) -> Iterator[Task]:
    """The spine side, the folds at the gauge."""
    folded = _split_french(book)[1]
    if folded:
        yield cut_task(book, "Cut the spine side", folded)


def _split_french(book: Book) -> tuple[list[CutStep], list[CutStep]]:
    """The cuts of flat and of folded leaves; the folding between them is told here."""
    before = [
        step
        for step in book.steps
        if step.when is When.BEFORE_BINDING and step.kind in (StepKind.CUT, StepKind.STACK)
    ]
    folded = [step for step in before if step.table and step.table.things == LEAVES]
    return [step for step in before if step not in folded], folded
