"""The first cut of sheets that one forme prints: in two, each half a copy of the section.

The halves are cut before folding, as the trade does with work-and-turn (Roberts
and Etherington, Bookbinding and the Conservation of Books, "work and turn"); the
second pile is turned over about the line of the cut and laid on the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from impose.bench.axis import Axis
from impose.bench.grid import Grid, best_order
from impose.bench.paper import prints, sheet_pile
from impose.bench.sheetgrid import SheetCuts, guts_sheets, press_lay
from impose.bench.sheetsteps import SheetSteps
from impose.bench.words import Notes
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.model.job import Job
from impose.model.presswork import first_half
from impose.plan.cutsteps import CutCount, CutStep, EdgeState, StepKind
from impose.plan.parts import HALVES, When
from impose.plan.plan import Plan
from impose.schemes.halves import halves_line
from impose.schemes.pressroom import copies_on
from impose.units import ZERO, Length

#: What the pile is called in the list, and by its replay.
WHOLE = "whole sheets"


@dataclass(frozen=True, slots=True)
class Halving:
    """The steps, what they are held against, and the edges the sheets are jogged to."""

    steps: tuple[CutStep, ...]
    cuts: SheetCuts
    count: CutCount
    plain: CutCount


def halving(plan: Plan, job: Job, notes: Notes) -> Halving | None:
    """The cut between the halves; None where no sheet is cut in two."""
    if not plan.halved:
        return None
    cuts = _cuts(plan)
    order, plain = best_order(cuts.grid, notes.cutter)
    maker = SheetSteps(
        plan=plan, job=job, cuts=cuts, pile=sheet_pile(plan, job), notes=notes, things=WHOLE,
        when=When.BEFORE_FOLDING,
    )  # fmt: skip
    steps = (maker.jog(), *maker.steps(order), _turn_over(plan, job))
    return Halving(steps, cuts, order.count, plain)


def whole_sets(plan: Plan, job: Job) -> Job:
    """The job with the copies that are made: each set of sheets gives several, and no fewer."""
    per = copies_on(guts_sheets(plan), plan.faces) if plan.per_sheet > 1 else 1
    return replace(job, copies=-(-job.copies // per) * per)


def _cuts(plan: Plan) -> SheetCuts:
    sheet = guts_sheets(plan)[0]
    size, line = sheet.size, halves_line(sheet)
    upright = sheet.turned is Turnover.ABOUT_VERTICAL
    lay = press_lay(plan, sheet) if plan.press else (Edge.BOTTOM, Edge.LEFT)
    at = line.x0 if upright else line.y0
    x = _axis(size.width, (at,) if upright else (), Edge.LEFT, Edge.RIGHT, lay)
    y = _axis(size.height, () if upright else (at,), Edge.BOTTOM, Edge.TOP, lay)
    if upright:
        first = Box(ZERO, ZERO, at, size.height)
        second = Box(at, ZERO, size.width, size.height)
    else:
        first = Box(ZERO, ZERO, size.width, at)
        second = Box(ZERO, at, size.width, size.height)
    ids = {(not upright, at): (HALVES,)}
    return SheetCuts(size=size, grid=Grid(x, y), lay=lay, ids=ids, trims=(first, second))


def _axis(
    whole: Length, cuts: tuple[Length, ...], low: Edge, high: Edge, lay: tuple[Edge, Edge]
) -> Axis:
    def state(edge: Edge) -> EdgeState:
        return EdgeState.LAY if edge in lay else EdgeState.RAW

    return Axis(
        length=whole,
        cuts=cuts,
        kept=(True,) * (len(cuts) + 1),
        low=state(low),
        high=state(high),
    )


def _turn_over(plan: Plan, job: Job) -> CutStep:
    """How one pile of halves becomes the same as the other, in the same order.

    Turned over as one, its last sheet would lie on top; each run by itself has one
    kind of sheet, so that nothing changes its place.
    """
    sheets = guts_sheets(plan)
    sheet, many = sheets[0], prints(plan, job)
    upright = sheet.turned is Turnover.ABOUT_VERTICAL
    first = first_half(sheet.size, sheet.turned, plan.bound_at.mirrored)
    # piles are counted from the upper left
    over = 2 if (first.x0 == ZERO if upright else first.y0 > ZERO) else 1
    way = "side to side, like a page of a book" if upright else "top to bottom, like a calendar"
    return CutStep(
        number=0,
        kind=StepKind.STACK,
        when=When.BEFORE_FOLDING,
        title=f"Turn pile {over} over and lay it on pile {3 - over}, sheet by sheet",
        notes=(*_joined(len(sheets), many, (over, 3 - over), way), _LOOK),
    )


_LOOK = (
    "Each half is a whole copy of its sheet; its front is the side with its first page. Look at "
    "one of each pile before you go on: the same pages must lie the same way up."
)


def _joined(sheets: int, many: int, piles: tuple[int, int], way: str) -> Iterator[str]:
    over, stays = piles
    if sheets == 1:
        yield f"Turn pile {over} {way}. Both piles are then the same sheet."
        return
    run = "all of " if many > 1 else ""
    rest = f"then {run}sheet 2" + (", and so on" if sheets > 2 else "")
    yield (
        f"One sheet after the other: take {run}sheet 1 from pile {over}, turn it {way}, and lay it "
        f"on {run}sheet 1 of pile {stays}; {rest}. Turned over in one go, the pile would have its "
        "last sheet on top."
    )
    yield (
        f"Then lay all of it on one pile, sheet 1 on top: {many * 2} halves of each sheet, "
        f"{many * 2 * sheets} in all, every front up."
    )
