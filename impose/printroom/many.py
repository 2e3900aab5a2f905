"""Several jobs, each into a folder of its own below one: side by side, in the order given."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Protocol

from impose.errors import ImposeError
from impose.pdf.children import cores
from impose.printroom.task import Outcome, Stage, Task
from impose.printroom.workers import Workers


class ManyProgress(Protocol):
    """Told how far all jobs are; the default is silent."""

    def view(self, done: int, of: int, running: Mapping[str, Stage]) -> None:
        """`done` of `of` jobs are over; of those being made, by name, the stage."""


class Nothing:
    """Says nothing."""

    def view(self, done: int, of: int, running: Mapping[str, Stage]) -> None:
        return None


def refuse_shared_folders(tasks: Sequence[Task]) -> None:
    """Raises ImposeError when two jobs would be made into one folder."""
    seen: dict[str, Task] = {}
    for task in tasks:
        other = seen.setdefault(folder_key(task.folder), task)
        if other is not task:
            raise ImposeError(
                f"two jobs would be made into {task.folder}: {_source(other)} and {_source(task)}",
                hint="rename one of them, or make them in two runs with another --out each",
            )


def folder_key(folder: Path) -> str:
    """The same for one folder: names that differ in case alone are one on many systems."""
    return unicodedata.normalize("NFC", os.path.realpath(folder)).casefold()


def _source(task: Task) -> str:
    return str(task.source) if isinstance(task.source, Path) else task.name


def make_many(
    tasks: Sequence[Task], workers: int | None = None, progress: ManyProgress | None = None
) -> tuple[Outcome, ...]:
    """What became of each task, in the order given, whatever the order in which they ended.

    `workers` None: one for each core.  Raises ImposeError before anything is
    made when two tasks share a folder; a job that fails stops no other.
    """
    refuse_shared_folders(tasks)
    progress = progress or Nothing()
    most = min(workers or cores(), len(tasks))
    waiting = list(enumerate(shared_out(tasks, most)))[::-1]
    running: dict[int, Stage] = {}
    outcomes: dict[int, Outcome] = {}
    with Workers(most) as pool:
        while len(outcomes) < len(tasks):
            while waiting and pool.free:
                number, task = waiting.pop()
                pool.give(number, task)
                running[number] = Stage(words="waiting for its process")
            said = pool.hear(1.0)
            if said is None:
                continue
            if isinstance(said.word, Outcome):
                outcomes[said.number] = said.word
                running.pop(said.number, None)
            else:
                running[said.number] = said.word
            stages = {tasks[i].name: stage for i, stage in sorted(running.items())}
            progress.view(len(outcomes), len(tasks), stages)
    return tuple(outcomes[number] for number in range(len(tasks)))


def shared_out(tasks: Sequence[Task], workers: int) -> list[Task]:
    """The tasks, each with its share of the cores for looking at pages."""
    share = max(1, cores() // max(1, workers))
    return [replace(task, wish=replace(task.wish, processes=share)) for task in tasks]
