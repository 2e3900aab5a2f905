"""The lines on the cover's sheet, and the cuts, scores and folds they stand for.

Head, foot and fore-edge are the same cuts as those of the guts; both fore-edges
of the cover are one cut, made through the bound book.  With flaps the ends of
the cover have cuts of their own, made first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.geometry.sides import Edge
from impose.plan.parts import Cut, FoldStep, Line, LineKind, Sheet, Side, When
from impose.schemes.coverlayout import CoverLayout
from impose.units import ZERO

#: Titles of the cover's own cuts.
ENDS: Final = {
    "cover-front": "cut the front end of the cover to size, before scoring",
    "cover-back": "cut the back end of the cover to size, before scoring",
}
FOLD_ID: Final = "cover-fold"


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverLies:
    """What kind of cover it is.

    `flaps`: its ends are cut to size first, whether for flaps or for another
    reason; `mirrored`: right-bound.
    """

    saddle: bool
    scored: bool
    flaps: bool
    mirrored: bool


def bare_sheet(layout: CoverLayout, lies: CoverLies, number: int) -> Sheet:
    """The cover's sheet with its lines and folds, nothing on its sides yet."""
    return Sheet(
        number=number,
        size=layout.room.sheet,
        turned=layout.room.turned,
        front=Side(()),
        back=Side(()),
        lines=(*_cut_lines(layout, lies), *_bent_lines(layout, lies)),
        folds=_folds(layout, lies),
        role="cover",
    )


def _cut_lines(layout: CoverLayout, lies: CoverLies) -> tuple[Line, ...]:
    """Along the open cover, where paper lies beyond."""
    size, trim = layout.room.sheet, layout.trim
    left, right = ("cover-back", "cover-front") if lies.flaps else ("fore-edge", "fore-edge")
    if lies.mirrored:
        left, right = right, left
    lines = (
        Line(LineKind.CUT, "head", trim.x0, trim.y1, trim.x1, trim.y1),
        Line(LineKind.CUT, "foot", trim.x0, trim.y0, trim.x1, trim.y0),
        Line(LineKind.CUT, left, trim.x0, trim.y0, trim.x0, trim.y1),
        Line(LineKind.CUT, right, trim.x1, trim.y0, trim.x1, trim.y1),
    )
    return tuple(
        line
        for line in lines
        if (ZERO < line.x0 < size.width if line.upright else ZERO < line.y0 < size.height)
    )


def _bent_lines(layout: CoverLayout, lies: CoverLies) -> tuple[Line, ...]:
    """Scores over the whole sheet, from the left; a plain fold where nothing is scored."""
    kind = LineKind.SCORE if lies.scored else LineKind.FOLD
    height = layout.room.sheet.height
    return tuple(
        Line(kind, FOLD_ID if name == "fold" else name, x, ZERO, x, height)
        for name, x in sorted(layout.scores.items(), key=lambda item: item[1].grains)
    )


def _folds(layout: CoverLayout, lies: CoverLies) -> tuple[FoldStep, ...]:
    """A saddle cover is folded once, its outside out: the back panel goes under."""
    if not lies.saddle:
        return ()
    moving = Edge.RIGHT if lies.mirrored else Edge.LEFT
    at = layout.scores["fold"]
    return (FoldStep(id=FOLD_ID, across=False, at=at, moving=moving, under=True),)


def cover_cuts(cuts: Sequence[Cut], sheet: Sheet, fore_edge_first: bool) -> tuple[Cut, ...]:
    """The plan's cuts and those that only the cover needs.

    `fore_edge_first`: the guts' fore-edge is cut before the cover goes on.
    """
    known = {cut.id: cut for cut in cuts}
    for line in sheet.lines:
        if line.kind is LineKind.CUT and line.of not in known:
            early = line.of in ENDS
            known[line.of] = Cut(
                id=line.of,
                when=When.BEFORE_BINDING if early else When.AFTER_BINDING,
                side="fore-edge" if early else line.of,
                title=ENDS.get(line.of, f"trim the {line.of}"),
            )
    fore = known.get("fore-edge")
    if fore_edge_first and fore:
        title = "trim the fore-edge of the guts, before the cover goes on"
        known["fore-edge"] = replace(fore, when=When.BEFORE_BINDING, title=title)
    return tuple(known.values())
