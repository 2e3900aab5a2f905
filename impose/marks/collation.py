"""Collation marks: a black step on the outermost spine fold, one step lower on each section.

When the sections lie gathered the steps make a stair; a section that is missing,
doubled or in the wrong place breaks it (metaglossary.com, collating marks: a
rule of about 6 points, moved along for each section).  At the foot the stair
begins again at the head, with steps half as long, then a third, so that the
rounds are told apart.
"""

from __future__ import annotations

from collections.abc import Sequence

from impose.geometry.sides import Edge
from impose.model.job import MarkSettings
from impose.plan.parts import Mark, Placement, Shape, Sheet


def collation_mark(
    sheet: Sheet, fronts: Sequence[Placement], last_position: int, settings: MarkSettings
) -> Mark | None:
    """The step of this sheet's section, on the front where its first and last page meet.

    `fronts` are the placements of one copy on the front; `last_position` is the
    section's last face.  None when the two do not meet on this sheet (an inner
    sheet of the section).
    """
    first_position = min(p.position for p in fronts)
    ends = [p for p in fronts if p.position in (first_position, last_position)]
    if len(ends) != 2:
        return None
    right = max(ends, key=lambda p: p.trim.x0.grains)
    left = min(ends, key=lambda p: p.trim.x0.grains)
    if right.spine_at is not Edge.LEFT or right.upside_down:
        return None
    fold = (left.trim.x1 + right.trim.x0).half
    steps = max(1, right.trim.height // settings.step - 2)
    rounds, step = divmod(sheet.section - 1, steps)
    top = right.trim.y1 - settings.step * (step + 1)
    half = settings.step_width.half
    low = top - settings.step.split(rounds + 1)[0]
    return Mark("collation", Shape.FILLED, fold - half, low, fold + half, top, settings.weight)
