"""A leaflet folded on the table, step by step, as the folder sees it from above.

Folds that wrap are made with the inside up, each part coming over; a z-fold
lies with its first page up and its parts go under.  Where the edge of a part
comes to lie is worked out from the pile: only edges that meet can be laid on
each other, every other fold is measured and marked (common practice).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

from impose.geometry.sides import Edge
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import FoldStep, When
from impose.plan.plan import FLAT, Plan
from impose.schemes.panelbook import paper_of
from impose.schemes.panelstrip import (
    HAIR,
    Layer,
    Pile,
    fold_states,
    hinge_at,
    read_strip,
    seen,
    to_and_fro,
)
from impose.units import ZERO, Length, reading_text

#: Words for `CutStep.shows`: the leaflet seen edge on.
EDGE_ON: Final = "edge on"
#: How a fold is pressed; said behind what it is folded by.
PRESS: Final = "press the fold with a bone folder or the back of a spoon."
#: An edge that ends this near to a fold is said to, as a share of the part that is folded.
_NEAR: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Folding:
    """The piles before and after each fold, and the folds, all as seen from above.

    Lengths run from left to right; `inside_up`: the sheet lies with its back up.
    """

    states: tuple[Pile, ...]
    steps: tuple[FoldStep, ...]
    inside_up: bool


def folding_of(plan: Plan) -> Folding:
    """Of a leaflet's one sheet, from its own fold lines and fold steps."""
    paper = paper_of(plan, plan.sheets[0])
    steps = tuple(replace(step, at=step.at - paper.xs[0]) for step in paper.sheet.folds)
    states = fold_states([high - low for low, high in pairwise(paper.xs)], steps)
    if to_and_fro(states[-1]):
        return Folding(states=states, steps=steps, inside_up=False)
    return Folding(
        states=tuple(tuple(one.turned(ZERO) for one in reversed(pile)) for pile in states),
        steps=tuple(
            replace(step, at=-step.at, moving=step.moving.opposite, under=not step.under)
            for step in steps
        ),
        inside_up=True,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Fold:
    """One fold as the folder measures it: `from_edge` is the edge of what lies there from which
    the fold is `reach` away.

    `flush`: the end of the part that is turned comes to lie on the other end of the pile;
    `meets` is what it comes to lie on or short of, `gap` by how much, both only where it is near.
    """

    step: FoldStep
    hinge: int
    from_edge: Edge
    reach: Length
    flush: bool
    ends: str
    meets: str
    gap: Length


def folds_of(folding: Folding) -> Iterator[Fold]:
    """Every fold in its order."""
    for state, step in zip(folding.states, folding.steps, strict=False):
        yield _measured(state, step)


def _measured(state: Pile, step: FoldStep) -> Fold:
    moved, stays = _parted(state, step)
    left = step.moving is Edge.LEFT
    end = min(one.x0 for one in moved) if left else max(one.x1 for one in moved)
    other = max(one.x1 for one in stays) if left else min(one.x0 for one in stays)
    from_edge, reach = step.moving, abs(step.at - end)
    if abs(other - step.at) < reach and _word(state, stays, other) == "edge":
        from_edge, reach = step.moving.opposite, abs(other - step.at)
    lands = step.at * 2 - end
    lines = {at for one in stays for at in (one.x0, one.x1) if at != step.at}
    nearest = min(lines, key=lambda at: (abs(at - lands).grains, at.grains))
    gap = abs(nearest - lands)
    near = gap * _NEAR <= abs(step.at - end)
    return Fold(
        step=step,
        hinge=next(
            one.panel
            for one in state
            if one.panel and abs(hinge_at(state, one.panel) - step.at) <= HAIR
            and _parts(state, one.panel, step)
        ),
        from_edge=from_edge,
        reach=reach,
        flush=abs(other - lands) <= HAIR,
        ends=_word(state, moved, end),
        meets=_word(state, stays, nearest) if near else "",
        gap=gap if near else ZERO,
    )  # fmt: skip


def _parted(state: Pile, step: FoldStep) -> tuple[list[Layer], list[Layer]]:
    """What is turned, and what stays."""
    left = step.moving is Edge.LEFT
    moved = [one for one in state if (one.x1 - step.at <= HAIR) == left]
    return moved, [one for one in state if one not in moved]


def _word(state: Pile, part: list[Layer], at: Length) -> str:
    """What lies there: the paper's own edge, or a fold."""
    last = len(state) - 1
    for one in part:
        first, end = (one.x1, one.x0) if one.flipped else (one.x0, one.x1)
        if (one.panel == 0 and first == at) or (one.panel == last and end == at):
            return "edge"
    return "fold"


def _parts(state: Pile, hinge: int, step: FoldStep) -> bool:
    """The fold is made at this hinge: its two panels lie on different sides of it."""
    sides = {
        one.panel: one.x1 - step.at <= HAIR for one in state if one.panel in (hinge - 1, hinge)
    }
    return sides[hinge - 1] != sides[hinge]


# -- in words -----------------------------------------------------------------------------


def leaflet_steps(plan: Plan) -> Iterator[CutStep]:
    """A step for each fold, and the last look."""
    folding = folding_of(plan)
    for number, fold in enumerate(folds_of(folding)):
        lay = f"Lay the sheet with {_up(plan, folding)} up. " if number == 0 else ""
        way = "under" if fold.step.under else "over"
        figure = reading_text(fold.reach, plan.unit)
        yield _step(
            f"{lay}Fold the {fold.step.moving.value} part {way}, {figure} from the "
            f"{fold.from_edge.value} edge",
            _how(fold, plan.unit),
            (f"hinge{fold.hinge}", "inside" if folding.inside_up else "front", fold.step.id),
        )
    yield _step(
        f"Press it flat: {_front(plan, folding)} up now",
        ("Drawn edge on, opened a little: no inner panel may strike a fold.",),
        (EDGE_ON,),
    )


def _step(title: str, notes: tuple[str, ...], shows: tuple[str, ...]) -> CutStep:
    return CutStep(
        number=0, kind=StepKind.FOLD, when=When.BEFORE_BINDING, title=title, notes=notes,
        shows=shows,
    )  # fmt: skip


def _how(fold: Fold, unit: str) -> tuple[str, ...]:
    """By what the fold is made true."""
    if fold.flush:
        where = f"lay the {fold.ends} on the {fold.meets} at the other side"
        return (f"Nothing to mark: {where}, look that the corners meet, then {PRESS}",)
    figure = reading_text(fold.reach, unit)
    words = (
        f"Mark {figure} from the {fold.from_edge.value} edge, lightly, at the head and at the "
        "foot; fold on the marks, look that the top edges and the bottom edges lie in line, "
        f"then {PRESS}"
    )
    if not fold.meets:
        return (words,)
    if fold.gap <= HAIR:
        return words, f"Its {fold.ends} comes up to the {fold.meets} that lies there, not over it."
    gap = reading_text(fold.gap, unit)
    there = " that lies there" if fold.meets == "edge" else ""
    return words, f"Its {fold.ends} ends {gap} short of the {fold.meets}{there}, as it should."


def _up(plan: Plan, folding: Folding) -> str:
    """What lies up when the folding begins."""
    if not folding.inside_up:
        return "page 1"
    back = plan.sheets[0].back.placements
    if not any(placement.page is not None for placement in back):
        return "its blank side"
    return _pages(sorted(placement.position for placement in back))


def _pages(numbers: list[int]) -> str:
    if len(numbers) == 1:
        return f"page {numbers[0]}"
    return f"pages {', '.join(map(str, numbers[:-1]))} and {numbers[-1]}"


def _front(plan: Plan, folding: Folding) -> str:
    """What lies up when all is folded, with its verb."""
    shown = seen(folding.states[-1], False)
    if plan.scheme in FLAT:
        return "its front panel is" if len(shown) == 1 else "its front, in two halves, is"
    paper = paper_of(plan, plan.sheets[0])
    widths = [high - low for low, high in pairwise(paper.xs)]
    steps = [replace(step, at=step.at - paper.xs[0]) for step in paper.sheet.folds]
    order = read_strip(widths, steps, leftward=plan.bound_at.mirrored).pages
    numbers = sorted(order.index(one) + 1 for one in shown)
    return f"{_pages(numbers)} {'is' if len(numbers) == 1 else 'are'}"
