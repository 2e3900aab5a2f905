"""The cover as bound, from the lines on its sheet: what the knife leaves, parted at the spine.

Only lines are read, no placement: the proof made of this shows where the cover
is really cut and folded.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.plan.coverview import on_sheet, piece_of
from impose.plan.parts import Line, LineKind, Sheet
from impose.plan.plan import Plan
from impose.schemes.boundbook import Face
from impose.units import ZERO, Length

#: Ids of the scores or folds at which the spine's two edges lie; a saddle cover has one fold.
_SPINE = ("spine-front", "spine-back", "cover-fold")


@dataclass(frozen=True, slots=True)
class _Panel:
    """A part of the open cover, seen from the outside, and where the spine is from there."""

    name: str
    box: Box
    spine_at: Edge


def bind_cover(plan: Plan, piece: int = 0) -> tuple[Face, ...]:
    """Front, back, both insides and the spine of the plan's cover; empty without one.

    Where several covers are cut apart it is that on the given `piece` (0-based).
    Flaps are not faces of their own: a panel ends at its flap's fold.
    """
    if plan.cover is None:
        return ()
    sheet = whole = next(sheet for sheet in plan.sheets if sheet.number == plan.cover.sheet)
    pieces = plan.cover.pieces
    if pieces is not None:
        sheet = piece_of(whole, pieces, piece)
    low, left_spine, right_spine, high = _uprights(sheet)
    foot, head = _across(sheet, "foot", ZERO), _across(sheet, "head", sheet.size.height)
    left, right = ("back", "front") if plan.cover.front_at_right else ("front", "back")
    panels = [
        _Panel(left, Box(low, foot, left_spine, head), Edge.RIGHT),
        _Panel(right, Box(right_spine, foot, high, head), Edge.LEFT),
    ]
    faces = [_face(plan, sheet, panel, outside=True) for panel in panels]
    faces += [_face(plan, sheet, panel, outside=False) for panel in panels]
    if right_spine > left_spine:
        spine = _Panel("spine", Box(left_spine, foot, right_spine, head), Edge.LEFT)
        faces.append(_face(plan, sheet, spine, outside=True))
    if pieces is None:
        return tuple(faces)
    return tuple(
        replace(face, region=on_sheet(whole, pieces, piece, face.side, face.region))
        for face in faces
    )


def _uprights(sheet: Sheet) -> tuple[Length, Length, Length, Length]:
    """The panels' outer edges and the spine's two edges, from the left."""
    lines = [line for line in sheet.lines if line.upright]
    spine = [line.x0 for line in lines if line.of in _SPINE]
    left, right = min(spine), max(spine)
    ends = [line.x0 for line in lines if _ends_a_panel(line)]
    low = max((x for x in ends if x < left), default=ZERO)
    high = min((x for x in ends if x > right), default=sheet.size.width)
    return low, left, right, high


def _ends_a_panel(line: Line) -> bool:
    return line.kind is LineKind.CUT or "flap" in line.of


def _across(sheet: Sheet, of: str, edge: Length) -> Length:
    """Where a cut across lies; the paper's edge when there is none."""
    return next((ln.y0 for ln in sheet.lines if not ln.upright and ln.of == of), edge)


def _face(plan: Plan, sheet: Sheet, panel: _Panel, *, outside: bool) -> Face:
    region, spine_at, turn = panel.box, panel.spine_at, -plan.bound_at.art_turn
    if not outside:
        region = sheet.turned.over(panel.box, sheet.size)
        spine_at = spine_at.opposite
        turn += 180 if sheet.turned is Turnover.ABOUT_HORIZONTAL else 0
    size = region.size.turned if plan.bound_at.art_turn else region.size
    read_spine = spine_at.turned(-plan.bound_at.art_turn % 360)
    return Face(
        sheet=sheet.number,
        side="front" if outside else "back",
        region=region,
        turn=turn % 360,
        place=Box.at(ZERO, ZERO, Size(size.width, size.height)),
        spine_at=read_spine,
        cut=frozenset(Edge) - {read_spine},
        name=panel.name if outside else f"inside {panel.name}",
    )
