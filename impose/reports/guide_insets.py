"""What to do now: leaves that are made by themselves and put into the gathered guts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from impose.bench.insetsteps import put_in_words
from impose.plan.cutsteps import CutStep
from impose.plan.insets import file_name, role_of
from impose.reports.cautions import for_cutting
from impose.reports.guide_parts import Book, Task, count
from impose.reports.ticket_rows import size_words
from impose.schemes.insetpages import inset_name
from impose.schemes.oneside import parts_of

#: Titles of the tasks before which insets must lie in their places.
_AFTER: Final = ("Glue", "Sew", "Pierce", "Punch", "Staple", "Bind", "Score", "Trim", "Cut before")


def with_insets(book: Book, tasks: Iterable[Task]) -> Iterator[Task]:
    """The tasks of a binding with that of the insets before anything is held together."""
    left = [*insets(book), *besides(book)]
    for task in tasks:
        if left and task.title.startswith(_AFTER):
            yield from left
            left = []
        yield task
    yield from left


def besides(book: Book) -> Iterator[Task]:
    """Leaves that are counted and in no file; nothing where the book has none."""
    extra, unit = book.job.extra_leaves, book.plan.unit
    if not extra:
        return
    leaf = size_words(book.plan.leaf, unit)
    those = "They are" if extra > 1 else "It is"
    yield Task(
        title="Put in what is bound in besides",
        steps=(
            f"{count(extra, 'leaf', 'leaves')} (end papers, plates) for each copy, in no file and "
            f"counted in the spine: at least as large as the untrimmed leaves, trimmed with them "
            f"to {leaf}. End papers lie on the first and under the last leaf, a plate where the "
            f"customer wants it. {those} part of the stack that is measured for the spine.",
        ),
    )


def insets(book: Book) -> Iterator[Task]:
    """Print, cut, fold and put in; nothing where the book has none."""
    plan = book.plan
    if not plan.insets:
        return
    steps = []
    for inset in plan.insets:
        sheets = [sheet for sheet in plan.sheets if sheet.role == role_of(inset.number)]
        stock = f" of {inset.stock}" if inset.stock else ""
        steps.append(
            f"Inset {inset.number}, {inset_name(inset)}: print {_files(book, inset.number)} in the "
            f"same way, on {count(len(sheets), 'sheet')}{stock}, "
            f"{size_words(sheets[0].size, plan.unit)}."
        )
        made = [step for step in plan.cut_steps if is_of(step, inset.number)]
        if made:
            steps.append(_made(made))
    steps.extend(put_in_words(plan))
    cautions = for_cutting(plan.cut_facts is None or plan.cut_facts.hand)[:3]
    yield Task(title="Make the insets and put them in", steps=tuple(steps), cautions=cautions)


def _files(book: Book, number: int) -> str:
    """The sheets of an inset; printed one side at a time they are two files."""
    name = file_name(number)
    if not book.job.guts.one_side or book.plan.one_sided(role_of(number)):
        return name
    fronts, backs = parts_of(name)
    return f"{fronts}, then {backs},"


def _made(steps: Sequence[CutStep]) -> str:
    first, last = steps[0].number, steps[-1].number
    which = f"step {first}" if first == last else f"steps {first} to {last}"
    return f"Cut and fold it as cuts.pdf says, {which}."


def is_of(step: CutStep, number: int) -> bool:
    """A step of the cut list that is made on the sheets of that group alone."""
    return step.title.startswith(f"Inset {number}: ")
