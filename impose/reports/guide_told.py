"""What to do now, from the plan's own steps: holes, folded panels, flat work.

The list and this page tell one thing, in one order: the steps stand here as
they stand there, those of one kind under one heading.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

from impose.bench.heldwords import held_words
from impose.bench.holesteps import GATHERED
from impose.model.holes import HoleShape, Makes
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.holes import HolePlan
from impose.plan.parts import END
from impose.reports.cautions import Caution, for_cutting, for_holes
from impose.reports.guide_folding import by_hand, cut_words, where_drawn
from impose.reports.guide_parts import Book, Task
from impose.reports.hand_cautions import COLD_GLUE, FOLDING

_FRENCH: Final = "Fold every leaf"
_FOLD, _HOLES, _ORDER, _CUT = "Fold", "Make the holes and sew", "Lay in order", "Cut"
_HEADING: Final = {
    StepKind.FOLD: _FOLD,
    StepKind.SLIT: _FOLD,
    StepKind.JOIN: _FOLD,
    StepKind.GATHER: _ORDER,
    StepKind.PIERCE: _HOLES,
    StepKind.SEW: _HOLES,
    StepKind.BIND: _HOLES,
}


def told(book: Book) -> Iterator[Task]:
    """Every step of the list, in its order."""
    for heading, run in groupby(book.steps, key=_heading):
        yield _task(book, heading, list(run))


def _heading(step: CutStep) -> str:
    """Folding French-folded leaves is part of jogging them in the list."""
    if step.kind is StepKind.JOG and step.title.startswith(_FRENCH):
        return _FRENCH
    return _HEADING.get(step.kind, _CUT)


def holes_of(book: Book) -> Task:
    """The steps that make the holes of a book and close it, of a plan that has holes; folding
    and gathering are told before."""
    steps = [
        replace(step, title=_capital(step.title.removeprefix(GATHERED)))
        for step in book.steps
        if _HEADING.get(step.kind) == _HOLES
    ]
    return _task(book, _HOLES, steps)


def _task(book: Book, heading: str, steps: Sequence[CutStep]) -> Task:
    words = [_words(step, book) for step in steps]
    words.append(where_drawn(steps))
    title = _holes_title(book.plan.holes) if heading == _HOLES else heading
    if heading == _FOLD:
        title = _folding(steps)
    return Task(title=title, steps=tuple(words), cautions=_cautions(book, heading, steps))


def _holes_title(holes: HolePlan | None) -> str:
    """What is done at the holes: sewn books, stapled ones, and those on wire or rings."""
    if holes is None:
        return _HOLES
    if holes.shape is HoleShape.STAPLE:
        return "Staple"
    if holes.makes is not Makes.PUNCHED:
        return _HOLES
    return f"Punch, and {_lower(held_words(holes, 'mm')[0])}"


def _lower(words: str) -> str:
    return f"{words[0].lower()}{words[1:]}"


def _capital(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}"


def _folding(steps: Sequence[CutStep]) -> str:
    """What is done beside folding, in the order in which it is begun."""
    doing = list(dict.fromkeys(_deed(step) for step in steps))
    if len(doing) == 1:
        return _FOLD
    return f"{', '.join(doing[:-1])} and {doing[-1]}, in this order".capitalize()


def _deed(step: CutStep) -> str:
    """A strip is cut off, only the middle of a sheet is slit."""
    if step.kind is StepKind.SLIT:
        return "cut off" if END in step.shows else "slit"
    return "join" if step.kind is StepKind.JOIN else "fold"


def _words(step: CutStep, book: Book) -> str:
    """A cut by its gauge, all else with its notes; where the needle goes is for the guide."""
    if step.kind is StepKind.CUT:
        return cut_words(step, book)
    notes = step.notes
    holes = book.plan.holes
    if holes is not None and holes.way and step.kind in (StepKind.SEW, StepKind.BIND):
        thread = tuple(note for note in notes if note.startswith(("Thread", "Jog")))
        notes = (*thread, "guide.pdf shows where the needle goes, hole by hole.")
    return f"{step.title}. {' '.join(notes)}".strip()


def _cautions(book: Book, heading: str, steps: Sequence[CutStep]) -> tuple[Caution, ...]:
    holes = book.plan.holes
    if heading == _HOLES:
        glue = any("glue" in note for step in steps for note in step.notes)
        return (*(for_holes(holes) if holes else ()), *((COLD_GLUE,) if glue else ()))
    slit = any(step.kind is StepKind.SLIT for step in steps)
    cut = any(step.kind is StepKind.CUT for step in steps)
    knife = for_cutting(by_hand(book) or slit)[:3] if cut or slit else ()
    return (*((FOLDING,) if heading in (_FOLD, _FRENCH) else ()), *knife)
