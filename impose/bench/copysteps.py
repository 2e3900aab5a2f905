"""The last cuts of two copies that were bound as one, once they are apart: two piles of books.

Each copy is trimmed from the cut that parted it, which is true; where both read
the same way that is the foot of one pile and the head of the other.  What is
the same for both piles is one step, made in both before the gauge is changed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from impose.bench.booksteps import BookSteps, trim_order
from impose.bench.doublebooks import Copy, Double, half_of_pile, part_copies
from impose.bench.pile import Pile
from impose.bench.words import Notes
from impose.plan.cutsteps import CutStep, Part
from impose.plan.plan import Plan

#: What the facts above the list say of the order.
ORDER_FROM: Final = "each copy from the cut between the two"
_SAME: Final = "The gauge is that of the step before."


def copies_program(
    plan: Plan, double: Double, pile: Pile, notes: Notes, lay: str
) -> tuple[CutStep, ...]:
    """The parting, and the cuts of both piles; `pile` is that of all copies."""
    parted = part_copies(plan, double, pile, notes, lay)
    return (parted, *_trims(plan, double, half_of_pile(pile), notes))


def _trims(plan: Plan, double: Double, pile: Pile, notes: Notes) -> Iterator[CutStep]:
    near, far = (_order(copy, notes) for copy in (double.near, double.far))
    steps = [_steps(plan, copy, pile, notes) for copy in (double.near, double.far)]
    for one, other in zip(near, far, strict=True):
        made = [found for found in (steps[0].get(one), steps[1].get(other)) if found]
        yield from _together(made)


def _order(copy: Copy, notes: Notes) -> tuple[str, ...]:
    """The order of the cutter's profile, else from the side at the cut."""
    return trim_order(notes.cutter, copy.cut)[0]


def _steps(plan: Plan, copy: Copy, pile: Pile, notes: Notes) -> Mapping[str, CutStep]:
    """By the side that each cuts; nothing for a side where this copy has no paper to cut."""
    cut = {cut.side for cut in plan.cuts if cut.side}
    order = [side for side in _order(copy, notes) if side in cut and copy.trimmed(side)]
    maker = BookSteps(
        plan=plan,
        outline=copy.outline,
        lay=copy.end if copy.jogged else "",
        pile=pile,
        notes=notes,
        name=copy.pile,
        parted=copy.cut,
    )
    return dict(zip(order, maker.cuts(order), strict=True))


def _together(steps: Sequence[CutStep]) -> Iterator[CutStep]:
    """Two steps as one where all but the name of the pile is the same."""
    if len(steps) == 2 and _of(steps[0], ()) == _of(steps[1], ()):
        piles = tuple(step.table.piles[0] for step in steps if step.table)
        joined = _of(steps[0], piles)
        note = "Make this cut in both piles before the gauge is changed."
        yield replace(joined, title=f"{joined.title} of both piles", notes=(note, *joined.notes))
        return
    gauges = []
    for step in steps:
        assert step.table is not None and step.setting is not None
        named = replace(step, title=f"{step.title} of {step.table.piles[0]}")
        if step.setting.gauge in gauges:
            named = replace(named, notes=(_SAME, *named.notes))
        gauges.append(step.setting.gauge)
        yield named


def _of(step: CutStep, piles: tuple[str, ...]) -> CutStep:
    """The step for these piles."""
    assert step.table is not None and step.stays is not None
    return replace(
        step,
        table=replace(step.table, piles=piles),
        stays=Part(piles=piles, size=step.stays.size),
    )
