"""The cut program carried out on the paper: from the steps alone, what is left where.

Reads which pile, which edge at the back stop and the gauge; the plan's lines
are not looked at.  Two programs are followed: the sheets seen from their
front, and the book in its own frame (spine at 0, foot at 0).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from impose.errors import PlanMismatchError
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import When
from impose.units import ZERO, Length

#: Where a side of the book lies in its frame, drawn with the spine at the left.
_IN_BOOK = {
    "head": Edge.TOP,
    "foot": Edge.BOTTOM,
    "spine": Edge.LEFT,
    "fore-edge": Edge.RIGHT,
}


@dataclass(frozen=True, slots=True)
class Moment:
    """One cut as it was made: the first pile's paper before it, and both parts after."""

    step: CutStep
    edge: Edge
    before: Box
    stays: Box
    falls: Box


def replay_sheets(
    steps: Sequence[CutStep], sheet: Size, name: str = "sheets"
) -> tuple[dict[str, Box], list[Moment]]:
    """The piles left of the pile `name` by name, and every cut on the way.

    Raises PlanMismatchError when a step cuts outside its pile, or no step takes
    up a pile that another left.
    """
    piles = {name: Box(ZERO, ZERO, sheet.width, sheet.height)}
    moments = []
    for step in steps:
        if step.kind is not StepKind.CUT or step.table is None or step.table.things != name:
            continue
        for index, pile in enumerate(step.table.piles):
            if pile not in piles:
                raise PlanMismatchError(f"cut {step.number}: there is no {pile} on the table")
            moment = _carry_out(step, piles.pop(pile), Edge(_present(step)))
            if index == 0:
                moments.append(moment)
            for part, box in ((step.stays, moment.stays), (step.falls, moment.falls)):
                if part is not None and not part.waste:
                    piles[part.piles[index]] = box
    return piles, moments


def replay_book(
    steps: Sequence[CutStep], gathered: Box, bound: Box, name: str = "book"
) -> tuple[Box, list[Moment]]:
    """What is left of the gathered block; binding makes it `bound`, but for what is cut.

    Follows the pile `name`: of two copies bound as one each has its own.
    """
    left, is_bound = gathered, False
    moments = []
    for step in steps:
        if step.kind in (StepKind.BIND, StepKind.GATHER):
            cut = left.x1 < gathered.x1
            left, is_bound = replace(bound, x1=left.x1) if cut else bound, True
        if step.kind is StepKind.CUT and step.table is not None and name in step.table.piles:
            if step.when is When.AFTER_BINDING and not is_bound:
                raise PlanMismatchError(f"cut {step.number} is made before the book is bound")
            edge = _IN_BOOK[_present(step)]
            _check_size(step, step.table.size, left, edge)
            moment = _carry_out(step, left, edge)
            moments.append(moment)
            left = moment.stays
    return left, moments


def _present(step: CutStep) -> str:
    if step.present is None:
        raise PlanMismatchError(f"cut {step.number} does not say which edge lies at the stop")
    return step.present.at_gauge


def _check_size(step: CutStep, said: Size, box: Box, edge: Edge) -> None:
    """The step says of every pile how large it lies on the table."""
    lies = box.size.turned if edge in (Edge.LEFT, Edge.RIGHT) else box.size
    if said != lies:
        raise PlanMismatchError(
            f"cut {step.number}: a book of {lies.text('mm')} is said to be {said.text('mm')}"
        )


def _carry_out(step: CutStep, box: Box, edge: Edge) -> Moment:
    if step.setting is None:
        raise PlanMismatchError(f"cut {step.number} has no gauge")
    gauge = step.setting.gauge
    lies = box.size.turned if edge in (Edge.LEFT, Edge.RIGHT) else box.size
    if not ZERO < gauge < lies.height:
        raise PlanMismatchError(
            f"cut {step.number}: a gauge of {gauge.text()} on a pile of {lies.height.text()}"
        )
    stays, falls = _parted(box, edge, gauge)
    return Moment(step, edge, box, stays, falls)


def _parted(box: Box, edge: Edge, gauge: Length) -> tuple[Box, Box]:
    """What lies between stop and knife, and what lies in front."""
    if edge is Edge.LEFT:
        at = box.x0 + gauge
        return replace(box, x1=at), replace(box, x0=at)
    if edge is Edge.RIGHT:
        at = box.x1 - gauge
        return replace(box, x0=at), replace(box, x1=at)
    if edge is Edge.BOTTOM:
        at = box.y0 + gauge
        return replace(box, y1=at), replace(box, y0=at)
    at = box.y1 - gauge
    return replace(box, y0=at), replace(box, y1=at)
