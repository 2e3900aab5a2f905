"""The cuts that part the leaves of a flat sheet, each through the whole grid."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from impose.geometry.box import Box, Size
from impose.plan.parts import Cut, Line, LineKind, When
from impose.units import ZERO

#: What begins the ids of cuts that run across, and of those that run up.
ACROSS, UPRIGHT = "across", "upright"
#: The cut that parts leaves lying one way from those lying the other, made first.
SPLIT: Final = "part"


def parting_cuts(
    sheet: Size, papers: Sequence[Box], when: When = When.BEFORE_BINDING
) -> tuple[list[Line], list[Cut]]:
    """A cut along every edge of `papers` that is not the sheet's own, seen from the front."""
    whole = papers[0]
    for paper in papers[1:]:
        whole = whole.join(paper)
    xs = {x for paper in papers for x in (paper.x0, paper.x1)}
    ys = {y for paper in papers for y in (paper.y0, paper.y1)}
    lines: list[Line] = []
    cuts: list[Cut] = []
    for name, places, end in ((ACROSS, ys, sheet.height), (UPRIGHT, xs, sheet.width)):
        inside = sorted((at for at in places if ZERO < at < end), key=lambda at: at.grains)
        for number, at in enumerate(inside, start=1):
            title = "part the leaves" if when is When.BEFORE_BINDING else "cut to size"
            cut = Cut(id=f"{name}{number}", when=when, title=title)
            cuts.append(cut)
            if name == UPRIGHT:
                lines.append(Line(LineKind.CUT, cut.id, at, whole.y0, at, whole.y1))
            else:
                lines.append(Line(LineKind.CUT, cut.id, whole.x0, at, whole.x1, at))
    return lines, cuts
