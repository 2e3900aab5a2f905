"""Small drawings of what is done with folded panels: the flat sheet with its lines, the push,
the strip seen edge on, the joint.

All is taken from the plan's lines and from folding them; numbers are pages, the
small arrow beside each points to the head of the page.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from impose.bench.leafletsteps import EDGE_ON
from impose.bench.panelsteps import CLOSED, PUSH, TAB
from impose.geometry.box import Box
from impose.pdf.pages import Align, Pen
from impose.plan.cutsteps import CutStep
from impose.plan.parts import Line, LineKind, Sheet
from impose.plan.plan import FLAT, Plan
from impose.reports.drawing import Drawing
from impose.reports.leaflet_pictures import draw_edge_on, draw_fold
from impose.reports.panel_strokes import (
    CUT,
    EDGE,
    FOLD,
    GAP,
    HATCH,
    HATCH_STEP,
    OTHER,
    PAPER,
    SMALL,
    Scaled,
    arrow,
    caption,
    number,
)
from impose.schemes.concertina import JOINED
from impose.schemes.leaflet import FOLDED_STRIP
from impose.schemes.onesheet import LONG
from impose.schemes.panelbook import paper_of
from impose.units import ZERO, Length


def draw_panels(page: Drawing, room: Box, plan: Plan, step: CutStep) -> None:
    """The drawing of one step of folded panels in `room`."""
    inner = Box(room.x0 + GAP, room.y0 + GAP, room.x1 - GAP, room.y1 - GAP)
    if PUSH in step.shows:
        _push(page, inner)
    elif CLOSED in step.shows:
        _closed(page, inner, plan)
    elif TAB in step.shows:
        _joint(page, inner, plan)
    elif EDGE_ON in step.shows and plan.gathering[0].kind == JOINED:
        _zigzag(page, inner, plan)
    elif EDGE_ON in step.shows:
        draw_edge_on(page, inner, plan)
    elif plan.gathering[0].kind == FOLDED_STRIP:
        draw_fold(page, inner, plan, step)
    else:
        _flat(page, inner, plan, step)


def panels_said(step: CutStep) -> str:
    """What the drawing shows, in words."""
    return f"a drawing of: {step.title}"


# -- the flat sheet -----------------------------------------------------------------------


def _flat(page: Drawing, room: Box, plan: Plan, step: CutStep) -> None:
    """The piece cut to size, from its front, the lines of the step thick."""
    sheet = next(
        (s for s in plan.sheets if any(ln.of == "end" for ln in s.lines) and "end" in step.shows),
        plan.sheets[0],
    )
    paper = paper_of(plan, sheet)
    first = paper_of(plan, plan.sheets[0])  # of a last sheet, what falls is seen beside it
    whole = Box(first.xs[0], paper.ys[0], first.xs[-1], paper.ys[-1])
    there = Scaled(room, whole)
    page.box(there.box(whole), PAPER)
    for line in sheet.lines:
        if line.kind is LineKind.FOLD or line.of in step.shows:
            _line(page, there, line, _pen(line, step))
    for figure, box, upside_down in _numbers(sheet, plan):
        number(page, there.box(box), figure, upside_down)
    foot = there.box(whole).y0
    caption(page, room, foot, "seen from its front")
    if plan.scheme not in FLAT:
        caption(page, room, foot - SMALL - Length.points(3), "the arrows point to the page's head")


def _pen(line: Line, step: CutStep) -> Pen:
    """Lines of the step are thick; the slit is no more than a fold while the sheet is creased."""
    if line.of not in step.shows:
        return OTHER
    return FOLD if line.kind is LineKind.FOLD or LONG in step.shows else CUT


def _line(page: Drawing, there: Scaled, line: Line, pen: Pen) -> None:
    page.line(there.point(line.x0, line.y0), there.point(line.x1, line.y1), pen)


def _numbers(sheet: Sheet, plan: Plan) -> list[tuple[str, Box, bool]]:
    """Each page of the front with its place, and whether it is upside down as drawn."""
    if plan.scheme in FLAT:
        return []
    return [(str(one.position), one.trim, one.upside_down) for one in sheet.front.placements]


# -- the booklet --------------------------------------------------------------------------


def _push(page: Drawing, room: Box) -> None:
    """Seen from above: the ends are pushed, the slit opens, four leaves stand in a cross."""
    third = room.width * Fraction(11, 20)
    left = Box(room.x0, room.y0, room.x0 + third, room.y1)
    x, end = room.x0 + third + GAP, room.x1
    middle, arm = (x + end).half, (end - x).half
    y = room.y1 - arm - GAP
    _diamond(page, left, y)
    for dx, dy in ((arm, ZERO), (ZERO, arm)):
        for off in (-Length.points(1), Length.points(1)):
            ox, oy = (ZERO, off) if dy == ZERO else (off, ZERO)
            page.line((middle - dx + ox, y - dy + oy), (middle + dx + ox, y + dy + oy), EDGE)
    base = y - arm - SMALL * 2
    page.text((left.x0 + left.x1).half, base, "push: the slit opens", SMALL, False, Align.CENTRE)
    page.text(middle, base, "to a cross", SMALL, False, Align.CENTRE)
    words = "both seen from above"
    page.text((room.x0 + room.x1).half, base - SMALL * 2, words, SMALL, False, Align.CENTRE)


def _diamond(page: Drawing, room: Box, y: Length) -> None:
    quarter = (room.width - GAP * 5) * Fraction(1, 4)
    x0 = room.x0 + GAP * Fraction(5, 2)
    xs = [x0 + quarter * count for count in range(5)]
    up = quarter * Fraction(3, 4)
    off = Length.points(1)
    for sign in (1, -1):
        points = [
            (xs[0], y + off * sign),
            (xs[1], y + off * sign),
            (xs[2], y + up * sign),
            (xs[3], y + off * sign),
            (xs[4], y + off * sign),
        ]
        page.polygon(points, EDGE, closed=False)
    arrow(page, (room.x0, y), (xs[0] - Length.points(2), y))
    arrow(page, (room.x1, y), (xs[4] + Length.points(2), y))


def _closed(page: Drawing, room: Box, plan: Plan) -> None:
    """The booklet with its leaves a little apart at the fore-edge."""
    leaf = plan.leaf
    high = room.height - SMALL * 2
    scale = min((room.width * Fraction(1, 2)).ratio(leaf.width), high.ratio(leaf.height))
    wide, tall = leaf.width * scale, leaf.height * scale
    x, y = (room.x0 + room.x1 - wide).half, room.y1 - tall
    mirrored = plan.bound_at.mirrored
    for level in (3, 2, 1, 0):
        more = Length.points(3) * level
        sheet = Box(x - more if mirrored else x, y + more, x + wide + (ZERO if mirrored else more),
                    y + tall - more)  # fmt: skip
        page.box(replace(sheet, y0=y + more.half, y1=y + tall - more.half), PAPER)
    spine = x + wide if mirrored else x
    page.line((spine, y), (spine, y + tall), CUT)
    number(page, Box(x, y, x + wide, y + tall), "1", False)
    caption(page, room, y, "the thick line is the spine")


# -- strips -------------------------------------------------------------------------------


def _joint(page: Drawing, room: Box, plan: Plan) -> None:
    """Two sheets with the tab of the first beneath the second, seen from the front."""
    first, second = (paper_of(plan, sheet) for sheet in plan.sheets[:2])
    mirrored = plan.bound_at.mirrored
    near = Box(first.xs[0], first.ys[0], first.xs[-1], first.ys[-1])
    tab = replace(near, x1=first.xs[1]) if mirrored else replace(near, x0=first.xs[-2])
    wide = second.xs[-1] - second.xs[0]
    hinge = tab.x1 if mirrored else tab.x0
    start = hinge - wide if mirrored else hinge
    following = Box(start, near.y0, start + wide, near.y1)
    there = Scaled(room, near.join(following))
    page.box(there.box(near), PAPER)
    page.hatch(there.box(tab), HATCH_STEP, HATCH)
    page.line(there.point(hinge, near.y0), there.point(hinge, near.y1), FOLD)
    page.box(there.box(following), OTHER)
    for figure, box, upside_down in _numbers(plan.sheets[0], plan):
        number(page, there.box(box), figure, upside_down)
    words = "hatched: the tab, under the next sheet"
    caption(page, room, there.box(near).y0, words)


def _zigzag(page: Drawing, room: Box, plan: Plan) -> None:
    """The strip from its head, opened a little; sheets end where a stroke stands."""
    counts = []
    for count, sheet in enumerate(plan.sheets, start=1):
        panels = len(paper_of(plan, sheet).xs) - 1
        counts.append(panels if count == len(plan.sheets) else panels - 1)
    count = sum(counts)
    step = room.width * Fraction(1, max(count, 4))
    up = min(room.height * Fraction(1, 4), step * 2)
    middle = room.y1 - up - GAP
    start = room.x0 + (room.width - step * count).half
    points = [(start + step * n, middle + (up if n % 2 else -up)) for n in range(count + 1)]
    if plan.bound_at.mirrored:
        points = [(room.x0 + room.x1 - x, y) for x, y in points]
    page.polygon(points, EDGE, closed=False)
    for (ax, _), (bx, _), panel in zip(points, points[1:], range(1, count + 1), strict=False):
        page.text((ax + bx).half, middle - up - SMALL * 2, str(panel), SMALL, False, Align.CENTRE)
    words = "edge on, from its foot, opened a little"
    caption(page, room, middle - up - SMALL * 3, words)
