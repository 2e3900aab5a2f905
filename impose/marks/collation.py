"""Collation marks: a black step on the outermost spine fold, one step lower on each section.

When the sections lie gathered the steps make a stair; a section that is missing,
doubled or in the wrong place breaks it (metaglossary.com, collating marks: a
rule of about 6 points, moved along for each section).
"""

from __future__ import annotations

from typing import Final

from impose.geometry.sides import Edge
from impose.plan.parts import Mark, Shape, Sheet
from impose.units import Length

WIDTH: Final = Length.points(6)
STEP: Final = Length.points(14)


def collation_mark(sheet: Sheet, last_position: int, weight: Length) -> Mark | None:
    """The step of this sheet's section, on the front where its first and last page meet.

    `last_position` is the section's last face.  None when the two do not meet
    on this sheet (an inner sheet of the section).
    """
    first_position = min(p.position for p in sheet.front.placements)
    ends = [p for p in sheet.front.placements if p.position in (first_position, last_position)]
    if len(ends) != 2:
        return None
    right = max(ends, key=lambda p: p.trim.x0.grains)
    left = min(ends, key=lambda p: p.trim.x0.grains)
    if right.spine_at is not Edge.LEFT or right.upside_down:
        return None
    fold = (left.trim.x1 + right.trim.x0).half
    room = right.trim.height // STEP
    step = (sheet.section - 1) % max(1, room - 2) + 1
    top = right.trim.y1 - STEP * step
    half = WIDTH.half
    return Mark("collation", Shape.FILLED, fold - half, top - STEP, fold + half, top, weight)
