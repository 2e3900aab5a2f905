"""Steps for French-folded leaves before binding: fold, jog to the folds, cut the spine side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.bench.pile import Pile
from impose.bench.words import Notes
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.cutsteps import (
    CutStep,
    EdgeState,
    OnTable,
    Part,
    Present,
    Setting,
    StepKind,
)
from impose.plan.parts import LineKind, Sheet, When
from impose.plan.plan import Plan
from impose.schemes.parting import UPRIGHT
from impose.units import Length, reading_text

#: What the pile is called in the list, and by its replay.
LEAVES: Final = "folded leaves"


def folded_paper(plan: Plan) -> Box | None:
    """A leaf folded, its recto up, before the spine side is cut: the fold at the right of a
    left-bound book, at the left of a right-bound one.  None where nothing is folded so."""
    if not plan.french:
        return None
    sheet = next(sheet for sheet in plan.sheets if sheet.role == "guts")
    fold, paper = _fold_and_paper(sheet)
    half = paper.x1 - fold
    return Box(Length(), Length(), half, paper.height)


def _fold_and_paper(sheet: Sheet) -> tuple[Length, Box]:
    """The first leaf's fold and paper on the flat sheet."""
    line = next(line for line in sheet.lines if line.kind is LineKind.FOLD)
    parting = [ln.x0 for ln in sheet.lines if ln.upright and ln.of.startswith(UPRIGHT)]
    xs = [Length(), sheet.size.width, *parting]
    left = max(x for x in xs if x <= line.x0)
    right = min(x for x in xs if x >= line.x0)
    return line.x0, Box(left, line.y0, right, line.y1)


def french_steps(plan: Plan, pile: Pile, notes: Notes) -> Iterator[CutStep]:
    """Fold and jog; then the cut, where paper lies beyond trim and grind."""
    paper = folded_paper(plan)
    if paper is None:
        return
    unit = plan.unit
    yield CutStep(
        number=0,
        kind=StepKind.JOG,
        when=When.BEFORE_BINDING,
        title="Fold every leaf at its fold mark, the print outside, and jog them to the folds",
        table=_table(paper.size, pile, notes),
        notes=(
            "The folds are the fore-edge of the book: they are never cut.",
            "Lay the leaves with their first pages up, the head away from you.",
        ),
    )
    if not any(cut.id == "spine" for cut in plan.cuts):
        return
    gauge = plan.leaf.width + plan.grind
    at_right = not plan.bound_at.mirrored
    waste = paper.width - gauge
    lying = Size(paper.height, paper.width)
    yield CutStep(
        number=0,
        kind=StepKind.CUT,
        when=When.BEFORE_BINDING,
        title="Cut the spine side of the folded leaves",
        cuts=("spine",),
        table=_table(lying, pile, notes),
        present=Present(
            at_gauge=(Edge.RIGHT if at_right else Edge.LEFT).value, state=EdgeState.LAY
        ),
        setting=Setting(
            gauge=gauge,
            reading=reading_text(gauge, unit),
            reckoned_from="the folds (jogged)",
        ),
        stays=Part(piles=(LEAVES,), size=Size(paper.height, gauge)),
        falls=Part(piles=(), size=Size(paper.height, waste), waste=True),
        notes=(
            "The folds lie at the back stop; press them flat, they spring.",
            *notes.limits(gauge, waste),
        ),
    )


def _table(size: Size, pile: Pile, notes: Notes) -> OnTable:
    return OnTable(
        piles=(LEAVES,),
        count=pile.count,
        things=LEAVES,
        height=pile.height,
        lifts=pile.lifts(notes.cutter),
        size=size,
    )
