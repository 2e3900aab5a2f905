"""What to do now: several covers on one sheet are cut apart before anything is done to them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from impose.bench.coverapart import parts_covers
from impose.reports.guide_folding import cut_task
from impose.reports.guide_parts import Book, Task

#: What is done to a single cover first.
_NEXT: Final = frozenset({"Cut before the cover goes on", "Score the cover"})


def with_covers_apart(book: Book, tasks: Iterable[Task]) -> Iterator[Task]:
    """The tasks of a binding, the cuts apart right before the first that takes up a cover, or
    before all where none says so."""
    steps = [step for step in book.plan.cut_steps if parts_covers(step)]
    made = list(tasks)
    if not steps or book.plan.cover is None:
        yield from made
        return
    at = next((n for n, task in enumerate(made) if task.title in _NEXT), 0)
    yield from made[:at]
    yield cut_task(book, f"Cut the covers apart, before they are {book.plan.cover.next}", steps)
    yield from made[at:]
