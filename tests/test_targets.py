"""Registration marks where the middles of the sides are taken: in any paper that is cut away."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from flatplans import card
from flatplans import work_of as flat_work
from strategies import mm, plan_of

from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.marks.registration import registration_marks
from impose.marks.ticks import Ground
from impose.model.job import Binding, MarkSettings
from impose.model.machines import LeadingEdge, Printer
from impose.model.presswork import Work
from impose.plan.parts import Mark, Shape, Side
from impose.plan.plan import Plan
from impose.units import ZERO

SETTINGS = MarkSettings()
PRESS = Printer(
    name="the press", press=True, leads=LeadingEdge.SHORT, lead=mm(8), tail=mm(3), left=mm(3),
    right=mm(3), registration_ink=True, side_lay="left",
)  # fmt: skip
SHEET = Size(mm(200), mm(300))
AREA = Box.at(ZERO, ZERO, SHEET)


def rings(marks: Sequence[Mark]) -> list[Box]:
    """The square round each mark: the ring is two thirds of the cross."""
    found = [mark for mark in marks if mark.kind == "registration" and mark.shape is Shape.LINE]
    across = [mark for mark in found if mark.y0 == mark.y1]
    half = SETTINGS.target.half
    return [Box(mark.x0, mark.y0 - half, mark.x1, mark.y0 + half) for mark in across]


def rings_of(side: Side) -> list[Box]:
    return rings([mark for group in side.marks for mark in group.marks])


def test_white_paper_within_the_sheet_takes_what_the_edges_do_not() -> None:
    """All edges are covered but for a hole of 10 x 10 mm in the left half, low down."""
    hole = Box(mm(40), mm(60), mm(50), mm(70))
    keep_out = (
        Box(ZERO, ZERO, mm(200), hole.y0),
        Box(ZERO, hole.y1, mm(200), mm(300)),
        Box(ZERO, hole.y0, hole.x0, hole.y1),
        Box(hole.x1, hole.y0, mm(200), hole.y1),
    )
    found = registration_marks(Ground(AREA, keep_out), (), SETTINGS)
    (spot,) = rings(found.marks)
    assert hole.contains(spot)
    assert spot.x0 == hole.x0 and spot.y1 == hole.y1  # nearest to the edge, and to its middle
    assert found.missing == (Edge.RIGHT, Edge.BOTTOM, Edge.TOP)
    said = "the registration mark at the right, bottom and top edges of the front"
    assert found.words == (said,)
    assert replace(found, missing=(Edge.TOP,)).words == (
        "the registration mark at the top edge of the front",
    )
    assert replace(found, missing=()).words == ()


def test_the_middle_of_a_side_wins_over_a_far_corner_at_the_edge() -> None:
    """At the left are free: the corner, 140 mm from the middle, and 10 mm inward a hole at half
    height."""
    keep_out = (
        Box(ZERO, mm(10), mm(10), mm(300)),
        Box(mm(10), ZERO, mm(200), mm(145)),
        Box(mm(10), mm(155), mm(200), mm(300)),
        Box(mm(20), mm(145), mm(200), mm(155)),
    )
    first, *_ = rings(registration_marks(Ground(AREA, keep_out), (), SETTINGS).marks)
    assert (first.x0, first.y0) == (mm(10), mm(147))


def test_each_edge_finds_its_own_half() -> None:
    """Pages cover the middle of every side; free paper is left in the four corners."""
    cross = (
        Box(mm(20), ZERO, mm(180), mm(300)),
        Box(ZERO, mm(30), mm(200), mm(270)),
    )
    found = registration_marks(Ground(AREA, cross), (), SETTINGS)
    left, right, bottom, top = rings(found.marks)
    assert not found.missing
    assert left.x0 == ZERO and right.x1 == mm(200)
    assert bottom.y0 == ZERO and top.y1 == mm(300)
    every = (left, right, bottom, top)
    assert not any(a.overlaps(b) for a in every for b in every if a is not b)
    assert not any(a.overlaps(b) for a in every for b in cross)


def test_a_mark_on_a_forme_for_both_sides_has_its_like() -> None:
    """Turned about the vertical; the left margin is taken, so the mark goes into the strip between
    the halves' pages, and its like stands there, too."""
    pages = (Box(ZERO, ZERO, mm(80), mm(300)), Box(mm(120), ZERO, mm(200), mm(300)))
    turned = Turnover.ABOUT_VERTICAL
    found = registration_marks(
        Ground(AREA, pages), (), SETTINGS, lambda box: turned.over(box, SHEET)
    )
    boxes = rings(found.marks)
    assert boxes and {turned.over(box, SHEET) for box in boxes} == set(boxes)
    assert not any(box.overlaps(page) for box in boxes for page in pages)
    assert not {Edge.LEFT, Edge.RIGHT} & set(found.missing)
    left, right, bottom, top = boxes  # the like serves the right edge: there is no fifth
    assert left == Box(mm(80), mm(147), mm(86), mm(153)) and right.x1 == mm(120)
    assert bottom == Box(mm(97), ZERO, mm(103), mm(6)) and top.y1 == mm(300)


def _coincide(plan: Plan) -> list[Box]:
    """The marks of both sides lie on each other; those of the front."""
    (sheet, *_) = plan.sheets
    front, back = (rings_of(side) for _, side in sheet.sides)
    assert {sheet.turned.over(box, sheet.size) for box in back} == set(front)
    return front


def test_cards_that_leave_a_strip_have_their_marks_in_it() -> None:
    """25 cards of 55 x 85 mm on 320 x 450 mm: 5 x 55 is 275, 5 x 85 is 425, so what is left at
    head and foot is narrower than a mark, and both stand beside the cards."""
    work = flat_work([card(55, 85, 25, sides=2)], Size(mm(320), mm(450)), printer=PRESS)
    front = _coincide(work.plan)
    assert len(front) == 4
    trims = [p.trim for p in work.plan.sheets[0].front.placements]
    assert not any(box.overlaps(trim) for box in front for trim in trims)
    assert "press-mark-no-room" not in {f.code for f in work.plan.findings}


def test_marks_left_out_are_named_with_their_edges() -> None:
    said = {"binding": Binding.SECTIONS, "up": 4, "section_pages": 8, "printer": PRESS}
    plan = plan_of(16, trim=Size(mm(148), mm(210)), sheet=Size(mm(310), mm(450)), **said)  # type: ignore[arg-type]
    drawn = len(_coincide(plan))
    (found,) = [f for f in plan.findings if f.code == "press-mark-no-room"]
    named = found.message.partition("the registration mark at the ")[2].partition(" edge")[0]
    edges = re.findall(r"left|right|bottom|top", named)
    assert drawn + len(edges) == 4 and len(set(edges)) == len(edges) > 0
    roomy = plan_of(16, trim=Size(mm(148), mm(210)), sheet=Size(mm(360), mm(500)), **said)  # type: ignore[arg-type]
    assert len(_coincide(roomy)) == 4
    assert "registration" not in "".join(f.message for f in roomy.findings)


def test_work_and_tumble_has_a_mark_at_every_edge() -> None:
    """Each half is a copy; the long edges have marks of their own, head and foot each other's."""
    press = replace(PRESS, leads=LeadingEdge.SHORT)
    plan = plan_of(
        8, binding=Binding.SECTIONS, up=4, section_pages=8, trim=Size(mm(148), mm(105)),
        sheet=Size(mm(330), mm(700)), printer=press, work=Work.TUMBLE,
    )  # fmt: skip
    front = _coincide(plan)
    middle = plan.sheets[0].size.height.half
    assert any(box.y1 < middle for box in front) and any(box.y0 > middle for box in front)
    assert min(box.x0 for box in front) < mm(16) and max(box.x1 for box in front) > mm(314)
