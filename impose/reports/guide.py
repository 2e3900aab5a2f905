"""What to do now: the whole page as values, for every binding there is.

The order is that of the work: get ready, print, check, then what the binding
asks for (`guide_bindings`), then look at the finished book.  A word of the
trade is explained with the task that uses it first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from impose.findings import Severity
from impose.model.job import Job
from impose.plan.plan import Plan
from impose.reports.glossary import Explainer, Term
from impose.reports.guide_bindings import binding_of
from impose.reports.guide_coversup import with_covers_apart
from impose.reports.guide_insets import with_insets
from impose.reports.guide_parts import Book, Task
from impose.reports.guide_printing import before_printing, checking, get_ready, printing


@dataclass(frozen=True, slots=True, kw_only=True)
class Guide:
    """The tasks in order; `stop` says why nothing should be printed yet, empty when all is well.

    `words` are terms of the ticket's own lists that no task explains.
    """

    stop: str
    tasks: tuple[Task, ...]
    words: tuple[Term, ...]


def guide(plan: Plan, job: Job, ticket: str = "") -> Guide:
    """For a finished plan; `ticket` is the text of the lists that stand before it."""
    book = Book(plan, job)
    errors = sum(finding.severity is Severity.ERROR for finding in plan.findings)
    stop = "Do not print yet: first put right what stands at the head of this ticket."
    explainer = Explainer()
    tasks = tuple(_explained(_tasks(book), explainer))
    return Guide(stop=stop if errors else "", tasks=tasks, words=explainer.new_in(ticket))


def _tasks(book: Book) -> Iterator[Task]:
    binding = binding_of(book)
    yield get_ready(book, binding.tools)
    yield from before_printing(book)
    yield printing(book)
    yield checking(book)
    yield from with_insets(book, with_covers_apart(book, binding.tasks(book)))
    if book.job.instructions:
        yield Task(title="What was asked for besides", steps=book.job.instructions)
    yield Task(
        title="Look at the first copy",
        steps=(
            "Leaf through it with proof.pdf beside it, before you make more: same pages, same "
            "order, nothing cut off.",
        ),
    )


def _explained(tasks: Iterator[Task], explainer: Explainer) -> Iterator[Task]:
    for task in tasks:
        cautions = (caution.text for caution in task.cautions)
        yield replace(task, terms=explainer.new_in(task.title, *task.steps, *cautions))
