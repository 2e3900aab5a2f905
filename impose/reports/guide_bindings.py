"""What to do now, by binding: one function for each, registered under the plan's own words.

`WAYS` is asked for the plan's scheme first (where that is a way of binding by
itself), then for its binding; what is in neither is told from the plan's own
folds, cuts and steps.  Positions of staples and holes are common practice where
the plan has none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from impose.checks.machines import saddle_pile
from impose.model.holes import HoleShape, Makes
from impose.plan.cutsteps import StepKind
from impose.plan.holes import HolePlan
from impose.plan.parts import When
from impose.plan.plan import FRENCH
from impose.reports.guide_block import in_order, scoring
from impose.reports.guide_copies import staple_places
from impose.reports.guide_folding import cuts_of, cutting, folding, nesting, trimming
from impose.reports.guide_french import french
from impose.reports.guide_glued import perfect, sections
from impose.reports.guide_holes import punched, stab
from impose.reports.guide_parts import Book, Task, Way, quarter
from impose.reports.guide_told import holes_of, told
from impose.reports.hand_cautions import AWL, COLD_GLUE, STAPLER
from impose.schemes.gutspaper import guts_paper

#: Schemes of the sheets that say nothing of the binding: sections may be sewn or glued.
_PLAIN_SCHEMES: Final = frozenset({"leaves", "sections", "saddle"})
_KNIFED: Final = frozenset({StepKind.CUT, StepKind.SLIT})
_FOLDER: Final = "a bone folder or a spoon"
_KNIFE: Final = "a sharp knife, a steel rule and a cutting mat (or a cutter)"
_HELD: Final = {
    "wire": "the wire and a wire closer",
    "coil": "the coil and pliers",
    "comb": "the comb and the machine that opens it",
    "rings": "the rings or the ring binder",
}
_WOOD: Final = "waste wood to pierce into"
_BOARDS: Final = "two boards and clamps or weights"


@dataclass(frozen=True, slots=True)
class Binding:
    """A way of binding: the tools it takes, and the tasks from printed sheets to bound book."""

    tools: tuple[str, ...]
    tasks: Way


def binding_of(book: Book) -> Binding:
    """The one registered for the plan's scheme or binding, else the general one."""
    plan = book.plan
    found = WAYS.get(plan.binding, GENERAL)
    if plan.scheme not in _PLAIN_SCHEMES:
        found = WAYS.get(plan.scheme) or found
    tools = found.tools if plan.holes is None else _tools(book, plan.holes)
    cutter = book.job.bench.cutter
    if cutter is not None and not cutter.hand:
        tools = tuple(cutter.name if tool == _KNIFE else tool for tool in tools)
    if plan.cut_steps and not any(step.kind in _KNIFED for step in plan.cut_steps):
        tools = tuple(tool for tool in tools if tool != _KNIFE)
    return found if tools == found.tools else replace(found, tools=tools)


def _tools(book: Book, holes: HolePlan) -> tuple[str, ...]:
    """What it takes to make those holes and to close the book: no stapler where it is sewn."""
    folder = (_FOLDER,) if book.folded or book.plan.french else ()
    glue = ("bookbinding glue",) if holes.makes is Makes.SEWN or book.plan.grind else ()
    if holes.makes is Makes.PUNCHED:
        what = _HELD.get(holes.held_by, "the wire, coil, comb or rings")
        return (*folder, "a punch for holes like those of guide.pdf", what, _KNIFE)
    if holes.shape is HoleShape.STAPLE:
        kind = "a stapler with a long arm"
        if not holes.makes.on_fold:
            kind = f"a stapler that goes through {book.about(holes.thick)}"
        return (*folder, kind, _KNIFE)
    if holes.makes.on_fold:
        return (*folder, "an awl, needle and thread", *glue, _KNIFE)
    return (*folder, "an awl, needle and strong thread", _BOARDS, _WOOD, _KNIFE)


def saddle(book: Book) -> Iterator[Task]:
    """Folded sheets inside each other, stapled or sewn through the fold."""
    yield from cutting(book)
    yield nesting(book)
    yield from scoring(book)
    yield holes_of(book) if book.plan.holes is not None else _staple(book)
    yield trimming(book)


def _staple(book: Book) -> Task:
    sheets = sum(len(sheet.folds) > 0 for sheet in book.guts)
    pile = saddle_pile(book.plan, book.job)
    cover = "Lay the cover round the outside, fold on fold. " if book.plan.cover else ""
    each = ", each copy by itself" if book.plan.two_up else ""
    what = "the sheet is" if sheets == 1 else f"all {sheets} sheets together are"
    return Task(
        title="Staple or sew on the fold",
        steps=(
            f"{cover}Open the booklet in the middle and lay it down with the outside up. Put "
            f"{_places(book)}. A stapler with a long arm reaches the fold; in a short "
            "one the booklet is laid on card and the legs are bent over by hand.",
            f"The staples must be long enough: opened, {what} about {book.length(pile)} thick"
            f"{', the cover included' if book.plan.cover else ''}.",
            f"Or sew instead{each}: three holes on the fold, one in the middle and one where each "
            "staple would be; thread in at the middle, through the other two, out at the middle, "
            "knot.",
        ),
        cautions=(STAPLER, AWL),
    )


def _places(book: Book) -> str:
    """Where the staples go: a quarter of the trimmed height from both its ends."""
    if book.plan.two_up:
        return staple_places(book)
    paper, inside = guts_paper(book.plan), quarter(book.plan.leaf.height)
    return (
        f"two staples exactly on the fold, from outside: {book.about(paper.head + inside)} from "
        f"the head and {book.about(paper.foot + inside)} from the foot of the paper"
    )


def loose(book: Book) -> Iterator[Task]:
    """Cut to size, not bound."""
    yield from cutting(book)
    yield in_order(book)


def general(book: Book) -> Iterator[Task]:
    """From the plan alone: its folds, its cuts, its binding step, its last cuts."""
    yield from cuts_of(book, When.BEFORE_FOLDING, "Cut before you fold")
    yield from folding(book)
    yield from cuts_of(book, When.BEFORE_BINDING, "Cut before you bind")
    yield from scoring(book)
    steps = [step for step in book.steps if step.kind is StepKind.BIND]
    words = [f"{step.title}. {' '.join(step.notes)}".strip() for step in steps]
    if words:
        yield Task(title="Bind", steps=tuple(words), cautions=(AWL, COLD_GLUE))
    yield trimming(book)


GENERAL: Final = Binding((_FOLDER, _KNIFE), general)
#: By the plan's scheme or binding; a new binding adds its own line.
WAYS: Final[dict[str, Binding]] = {
    FRENCH: Binding((_FOLDER, _KNIFE, _BOARDS), french),
    "saddle": Binding((_FOLDER, "a stapler with a long arm, or needle and thread", _KNIFE), saddle),
    "perfect": Binding((_BOARDS, "bookbinding glue and a brush", _KNIFE), perfect),
    "sections": Binding((_FOLDER, "an awl, needle and thread", "bookbinding glue"), sections),
    "stab": Binding(("an awl, needle and strong thread", _BOARDS, _WOOD, _KNIFE), stab),
    "punched": Binding(("the punch for your wire, coil or comb", _KNIFE), punched),
    "loose": Binding((_KNIFE,), loose),
    "one sheet": Binding((_FOLDER, _KNIFE), told),
    "concertina": Binding((_FOLDER, _KNIFE, "a glue stick or thin white glue"), told),
    "leaflet": Binding((_FOLDER, _KNIFE), told),
    "flat": Binding((_KNIFE,), told),
}
