"""Small drawings of what is done with folded panels: the flat sheet with its lines, the push,
the strip seen edge on, the joint.

All is taken from the plan's lines and from folding them; numbers are pages, the
small arrow beside each points to the head of the page.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Final

from impose.bench.panelsteps import CLOSED, EDGE_ON, PUSH, TAB
from impose.geometry.box import Box
from impose.geometry.turning import Turnover
from impose.pdf.pages import Align, Pen, Point
from impose.plan.cutsteps import CutStep
from impose.plan.parts import Line, LineKind, Sheet
from impose.plan.plan import FLAT, Plan
from impose.reports.drawing import Drawing
from impose.schemes.concertina import JOINED
from impose.schemes.onesheet import LONG
from impose.schemes.panelbook import paper_of
from impose.schemes.panelstrip import Pile, fold_states, hinge_at
from impose.units import ZERO, Length

_LETTERS: Final = Length.points(10)
_SMALL: Final = Length.points(8)
_PAPER: Final = Pen(weight=Length.points("1.2"), fill=Fraction(0))
_OTHER: Final = Pen(weight=Length.points("0.6"), grey=Fraction(1, 2), dashed=True)
_FOLD: Final = Pen(weight=Length.points("2"), dashed=True)
_CUT: Final = Pen(weight=Length.points("2.4"))
_HATCH: Final = Pen(weight=Length.points("0.5"), grey=Fraction(3, 5))
_EDGE: Final = Pen(weight=Length.points("1.6"))
_THIN: Final = Pen(weight=Length.points("0.8"))
_SOLID: Final = Pen(weight=ZERO, fill=Fraction(1))
_GAP: Final = Length.mm(3)
_HATCH_STEP: Final = Length.mm("1.5")
#: Of a leaflet seen edge on, between panels that lie on each other.
_APART: Final = Length.mm(5)


def draw_panels(page: Drawing, room: Box, plan: Plan, step: CutStep) -> None:
    """The drawing of one step of folded panels in `room`."""
    inner = Box(room.x0 + _GAP, room.y0 + _GAP, room.x1 - _GAP, room.y1 - _GAP)
    if PUSH in step.shows:
        _push(page, inner)
    elif CLOSED in step.shows:
        _closed(page, inner, plan)
    elif TAB in step.shows:
        _joint(page, inner, plan)
    elif EDGE_ON in step.shows:
        if plan.gathering[0].kind == JOINED:
            _zigzag(page, inner, plan)
        else:
            _edge_on(page, inner, plan)
    else:
        _flat(page, inner, plan, step)


def panels_said(step: CutStep) -> str:
    """What the drawing shows, in words."""
    return f"a drawing of: {step.title}"


# -- the flat sheet -----------------------------------------------------------------------


def _flat(page: Drawing, room: Box, plan: Plan, step: CutStep) -> None:
    """The piece cut to size, from its front or from the inside, the lines of the step thick."""
    inside = "inside" in step.shows
    sheet = next(
        (s for s in plan.sheets if any(ln.of == "end" for ln in s.lines) and "end" in step.shows),
        plan.sheets[0],
    )
    paper = paper_of(plan, sheet)
    first = paper_of(plan, plan.sheets[0])  # of a last sheet, what falls is seen beside it
    whole = Box(first.xs[0], paper.ys[0], first.xs[-1], paper.ys[-1])
    there = _Scaled(room, whole, inside)
    page.box(there.box(whole), _PAPER)
    for line in sheet.lines:
        if line.kind is LineKind.FOLD or line.of in step.shows:
            _line(page, there, line, _pen(line, step))
    for number, box, upside_down in _numbers(sheet, inside, plan):
        _number(page, there.box(box), number, upside_down)
    words = "seen from the inside" if inside else "seen from its front"
    foot = there.box(whole).y0
    _caption(page, room, foot, words)
    if plan.scheme not in FLAT:
        _caption(
            page, room, foot - _SMALL - Length.points(3), "the arrows point to the page's head"
        )


def _caption(page: Drawing, room: Box, foot: Length, words: str) -> None:
    """Words below what ends at `foot`."""
    base = foot - _SMALL - Length.points(3)
    page.text((room.x0 + room.x1).half, base, words, _SMALL, False, Align.CENTRE)


class _Scaled:
    """From the sheet, seen from its front, to a drawing in `room`, mirrored if need be."""

    def __init__(self, room: Box, whole: Box, mirrored: bool) -> None:
        high = room.height - _SMALL * 4
        self.scale = min(room.width.ratio(whole.width), high.ratio(whole.height))
        self.whole, self.mirrored = whole, mirrored
        self.left = room.x0 + (room.width - whole.width * self.scale).half
        self.bottom = room.y1 - whole.height * self.scale

    def point(self, x: Length, y: Length) -> Point:
        from_left = self.whole.x1 - x if self.mirrored else x - self.whole.x0
        return self.left + from_left * self.scale, self.bottom + (y - self.whole.y0) * self.scale

    def box(self, box: Box) -> Box:
        (ax, ay), (bx, by) = self.point(box.x0, box.y0), self.point(box.x1, box.y1)
        return Box(min(ax, bx), ay, max(ax, bx), by)


def _pen(line: Line, step: CutStep) -> Pen:
    """Lines of the step are thick; the slit is no more than a fold while the sheet is creased."""
    if line.of not in step.shows:
        return _OTHER
    return _FOLD if line.kind is LineKind.FOLD or LONG in step.shows else _CUT


def _line(page: Drawing, there: _Scaled, line: Line, pen: Pen) -> None:
    page.line(there.point(line.x0, line.y0), there.point(line.x1, line.y1), pen)


def _numbers(sheet: Sheet, inside: bool, plan: Plan) -> list[tuple[str, Box, bool]]:
    """Each page with its place seen from the front, and whether it is upside down as drawn."""
    if plan.scheme in FLAT:
        return []
    found = []
    for placement in (sheet.back if inside else sheet.front).placements:
        box, upside_down = placement.trim, placement.upside_down
        if inside:
            box = sheet.turned.over(box, sheet.size)
            upside_down ^= sheet.turned is Turnover.ABOUT_HORIZONTAL
        found.append((str(placement.position), box, upside_down))
    return found


def _number(page: Drawing, box: Box, number: str, upside_down: bool) -> None:
    middle = (box.x0 + box.x1).half
    base = (box.y0 + box.y1).half - _LETTERS * Fraction(1, 3)
    page.text(middle, base, number, _LETTERS, True, Align.CENTRE)
    half, high = Length.points(3), Length.points(5)
    tip = base - high - half if upside_down else base + _LETTERS + high
    back = tip + high if upside_down else tip - high
    page.polygon([(middle, tip), (middle - half, back), (middle + half, back)], _SOLID)


# -- the booklet --------------------------------------------------------------------------


def _push(page: Drawing, room: Box) -> None:
    """Seen from above: the ends are pushed, the slit opens, four leaves stand in a cross."""
    third = room.width * Fraction(11, 20)
    left = Box(room.x0, room.y0, room.x0 + third, room.y1)
    x, end = room.x0 + third + _GAP, room.x1
    middle, arm = (x + end).half, (end - x).half
    y = room.y1 - arm - _GAP
    _diamond(page, left, y)
    for dx, dy in ((arm, ZERO), (ZERO, arm)):
        for off in (-Length.points(1), Length.points(1)):
            ox, oy = (ZERO, off) if dy == ZERO else (off, ZERO)
            page.line((middle - dx + ox, y - dy + oy), (middle + dx + ox, y + dy + oy), _EDGE)
    base = y - arm - _SMALL * 2
    page.text((left.x0 + left.x1).half, base, "push: the slit opens", _SMALL, False, Align.CENTRE)
    page.text(middle, base, "to a cross", _SMALL, False, Align.CENTRE)
    words = "both seen from above"
    page.text((room.x0 + room.x1).half, base - _SMALL * 2, words, _SMALL, False, Align.CENTRE)


def _diamond(page: Drawing, room: Box, y: Length) -> None:
    quarter = (room.width - _GAP * 5) * Fraction(1, 4)
    x0 = room.x0 + _GAP * Fraction(5, 2)
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
        page.polygon(points, _EDGE, closed=False)
    _arrow(page, (room.x0, y), (xs[0] - Length.points(2), y))
    _arrow(page, (room.x1, y), (xs[4] + Length.points(2), y))


def _arrow(page: Drawing, start: Point, tip: Point) -> None:
    page.line(start, tip, _THIN)
    back = Length.points(4) if tip[0] > start[0] else -Length.points(4)
    half = Length.points("2.5")
    page.polygon([tip, (tip[0] - back, tip[1] - half), (tip[0] - back, tip[1] + half)], _SOLID)


def _closed(page: Drawing, room: Box, plan: Plan) -> None:
    """The booklet with its leaves a little apart at the fore-edge."""
    leaf = plan.leaf
    high = room.height - _SMALL * 2
    scale = min((room.width * Fraction(1, 2)).ratio(leaf.width), high.ratio(leaf.height))
    wide, tall = leaf.width * scale, leaf.height * scale
    x, y = (room.x0 + room.x1 - wide).half, room.y1 - tall
    mirrored = plan.bound_at.mirrored
    for level in (3, 2, 1, 0):
        more = Length.points(3) * level
        sheet = Box(x - more if mirrored else x, y + more, x + wide + (ZERO if mirrored else more),
                    y + tall - more)  # fmt: skip
        page.box(replace(sheet, y0=y + more.half, y1=y + tall - more.half), _PAPER)
    spine = x + wide if mirrored else x
    page.line((spine, y), (spine, y + tall), _CUT)
    _number(page, Box(x, y, x + wide, y + tall), "1", False)
    _caption(page, room, y, "the thick line is the spine")


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
    there = _Scaled(room, near.join(following), False)
    page.box(there.box(near), _PAPER)
    page.hatch(there.box(tab), _HATCH_STEP, _HATCH)
    page.line(there.point(hinge, near.y0), there.point(hinge, near.y1), _FOLD)
    page.box(there.box(following), _OTHER)
    for number, box, upside_down in _numbers(plan.sheets[0], False, plan):
        _number(page, there.box(box), number, upside_down)
    words = "hatched: the tab, under the next sheet"
    _caption(page, room, there.box(near).y0, words)


def _zigzag(page: Drawing, room: Box, plan: Plan) -> None:
    """The strip from its head, opened a little; sheets end where a stroke stands."""
    counts = []
    for number, sheet in enumerate(plan.sheets, start=1):
        panels = len(paper_of(plan, sheet).xs) - 1
        counts.append(panels if number == len(plan.sheets) else panels - 1)
    count = sum(counts)
    step = room.width * Fraction(1, max(count, 4))
    up = min(room.height * Fraction(1, 4), step * 2)
    middle = room.y1 - up - _GAP
    start = room.x0 + (room.width - step * count).half
    points = [(start + step * n, middle + (up if n % 2 else -up)) for n in range(count + 1)]
    if plan.bound_at.mirrored:
        points = [(room.x0 + room.x1 - x, y) for x, y in points]
    page.polygon(points, _EDGE, closed=False)
    for (ax, _), (bx, _), panel in zip(points, points[1:], range(1, count + 1), strict=False):
        page.text((ax + bx).half, middle - up - _SMALL * 2, str(panel), _SMALL, False, Align.CENTRE)
    words = "edge on, from its foot, opened a little"
    _caption(page, room, middle - up - _SMALL * 3, words)


def _edge_on(page: Drawing, room: Box, plan: Plan) -> None:
    """The closed leaflet from its foot, its panels apart."""
    paper = paper_of(plan, plan.sheets[0])
    x0 = paper.xs[0]
    steps = [replace(step, at=step.at - x0) for step in paper.sheet.folds]
    pile = fold_states([b - a for a, b in pairwise(paper.xs)], steps)[-1]
    low, high = min(one.x0 for one in pile), max(one.x1 for one in pile)
    scale = (room.width - _APART * 3).ratio(high - low)
    left = room.x0 + (room.width - (high - low) * scale).half
    levels = _levels(pile)
    tall = _APART * (max(levels.values()) + 1)
    base = room.y1 - tall - _GAP

    def at(x: Length, panel: int) -> Point:
        return left + (x - low) * scale, base + _APART * levels[panel]

    for one in pile:
        page.line(at(one.x0, one.panel), at(one.x1, one.panel), _EDGE)
    for panel in range(1, len(pile)):
        _bend(page, at, pile, panel)
    words = (
        "edge on, from its foot; front panel below"
        if _front_below(plan)
        else ("edge on, from its foot; page 1 above")
    )
    _caption(page, room, base - _GAP, words)


def _levels(pile: Pile) -> dict[int, int]:
    """How high each panel lies: as low as those beneath it let it."""
    levels: dict[int, int] = {}
    below: list[tuple[Length, Length, int]] = []
    for one in pile:
        level = max((at + 1 for a, b, at in below if a < one.x1 and one.x0 < b), default=0)
        levels[one.panel] = level
        below.append((one.x0, one.x1, level))
    return levels


def _bend(page: Drawing, place: Callable[[Length, int], Point], pile: Pile, panel: int) -> None:
    """Round a hinge, a little beyond it."""
    x = hinge_at(pile, panel)
    layer = next(one for one in pile if one.panel == panel)
    out = Length.mm(2) if x == layer.x1 else -Length.mm(2)
    (ax, ay), (_, by) = place(x, panel - 1), place(x, panel)
    page.polygon([(ax, ay), (ax + out, (ay + by).half), (ax, by)], _EDGE, closed=False)


def _front_below(plan: Plan) -> bool:
    """The outside is the sheet's front: a wrapped leaflet is folded with it down."""
    return not any("front" in step.shows for step in plan.cut_steps)
