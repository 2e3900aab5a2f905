"""What the press can print and hold, how much paper it takes: by hand, on plans and in tickets."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from flatplans import card
from flatplans import work_of as flat_work
from strategies import asked_for, mm, plan_of

from impose.bench.layouts import compare
from impose.bench.program import add_cuts
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import Edge
from impose.marks.pressmarks import guide_marks
from impose.marks.ticks import Ground
from impose.model.job import Binding, Job, MarkSettings, NamedSize, Order
from impose.model.machines import Bench, Cutter, LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work
from impose.model.prices import Prices
from impose.plan.parts import Shape
from impose.plan.plan import Plan
from impose.plan.pressfacts import Pass
from impose.reports.guide import guide
from impose.reports.ticket_rows import book_rows
from impose.schemes.planning import comparable
from impose.schemes.pressroom import side_lay
from impose.schemes.rooms import room_on
from impose.units import ZERO

PRESS = Printer(
    name="the press", press=True, leads=LeadingEdge.LONG, lead=mm(12), tail=mm(6), left=mm(3),
    right=mm(5), registration_ink=True, side_lay="left",
)  # fmt: skip


# -- where a press prints ----------------------------------------------------------------


def test_margins_lie_as_the_sheet_lies() -> None:
    """Left and right are those of the printed face with the leading edge at the bottom: turned a
    quarter clockwise, so that it leads at the left, the left edge comes to the top."""
    across = PRESS.margins(Size(mm(400), mm(300)))
    assert across == Edges(bottom=mm(12), top=mm(6), left=mm(3), right=mm(5))
    upright = PRESS.margins(Size(mm(300), mm(400)))
    assert upright == Edges(left=mm(12), right=mm(6), top=mm(3), bottom=mm(5))


def test_the_largest_image_begins_at_the_gripper_and_lies_in_the_middle() -> None:
    """350 x 250 mm on 400 x 300 mm: 300 - 12 - 250 = 38 at the tail, (400 - 350) / 2 at the
    sides."""
    limited = replace(PRESS, image_max=Size(mm(350), mm(250)))
    margins = limited.margins(Size(mm(400), mm(300)))
    assert margins == Edges(bottom=mm(12), top=mm(38), left=mm(25), right=mm(25))
    roomy = replace(PRESS, image_max=Size(mm(500), mm(400)))
    assert roomy.margins(Size(mm(400), mm(300))) == PRESS.margins(Size(mm(400), mm(300)))


def test_each_side_is_an_image_of_its_own() -> None:
    """A leaf at the sheet's edge lies at the left on the front and at the right on the back; the
    box round both is as wide as the sheet, and no image is."""
    small = replace(PRESS, leads=LeadingEdge.SHORT, image_max=Size(mm(150), mm(220)))
    said: dict[str, Any] = {"binding": Binding.PERFECT, "up": 1, "printer": small}
    sheet = Size(mm(330), mm(480))
    plan = plan_of(8, trim=Size(mm(140), mm(200)), sheet=sheet, **said)
    assert "image-too-large" not in {f.code for f in plan.findings}
    plan = plan_of(8, trim=Size(mm(160), mm(200)), sheet=sheet, **said)
    (found,) = [f for f in plan.findings if f.code == "image-too-large"]
    assert "160 x 200 mm" in found.message and "150 x 220 mm" in found.message
    assert "the front of the sheet" in found.message


def test_perfecting_keeps_the_gripper_margin_at_both_ends() -> None:
    """The second unit holds the edge at which the first one's bar would lie."""
    perfecting = replace(PRESS, perfects=True, bar=mm(8))
    said: dict[str, Any] = {"binding": Binding.SECTIONS, "up": 4, "section_pages": 8}
    said |= {"trim": Size(mm(148), mm(105)), "sheet": Size(mm(400), mm(300))}
    plan = plan_of(8, printer=perfecting, work=Work.PERFECTING, **said)
    (sheet,) = plan.sheets
    for _, side in sheet.sides:
        assert side.fills and max(fill.box.y1 for fill in side.fills) == mm(300 - 12)
        marks = [m for group in side.marks for m in group.marks]
        assert max(m.y1 for m in marks) <= mm(300 - 12)
        assert max(p.trim.y1 for p in side.placements) <= mm(300 - 12 - 8)
    sheetwise = plan_of(8, printer=perfecting, work=Work.SHEETWISE, **said)
    assert max(fill.box.y1 for fill in sheetwise.sheets[0].front.fills) == mm(300 - 6)


def test_pages_leave_room_for_the_bar_beyond_the_second_gripper() -> None:
    """12 mm for the gripper and 8 mm for the bar, where else 6 mm and 8 mm are kept."""
    named = NamedSize(size=Size(mm(400), mm(300)), name="sheet", unit="mm")
    printer = replace(PRESS, bar=mm(8))
    hold = room_on(named, named.size, printer, None, Work.PERFECTING).hold
    assert (hold.y0, hold.y1) == (mm(20), mm(300 - 20))  # both sides are kept free alike
    hold = room_on(named, named.size, printer, None, Work.SHEETWISE).hold
    assert (hold.y0, hold.y1) == (mm(12), mm(300 - 14))


def test_the_side_lay_turns_with_the_leading_edge() -> None:
    """Named with the leading edge at the bottom; where that lies at the left of the file, the
    left side lies at the top."""
    assert side_lay(PRESS, across=True) is Edge.LEFT
    assert side_lay(PRESS, across=False) is Edge.TOP
    assert side_lay(replace(PRESS, side_lay="right"), across=False) is Edge.BOTTOM


@pytest.mark.parametrize("gripper", [Edge.BOTTOM, Edge.LEFT])
def test_the_side_guide_stands_a_quarter_of_its_edge_from_the_gripper(gripper: Edge) -> None:
    whole = Size(mm(400), mm(300))
    ground = Ground(Box.at(ZERO, ZERO, whole), ())
    for lay in (Edge.LEFT, Edge.RIGHT) if gripper is Edge.BOTTOM else (Edge.TOP, Edge.BOTTOM):
        one = Pass(number=1, side="front", gripper=gripper, paper_gripper=gripper, lay=lay)
        marks = guide_marks(ground, (), (one,), MarkSettings()).marks
        lines = [m for m in marks if m.kind == "lay" and m.shape is Shape.LINE]
        upright = lay in (Edge.LEFT, Edge.RIGHT)
        (guide_line,) = [m for m in lines if (m.y0 == m.y1) == upright]
        at = guide_line.y0 if upright else guide_line.x0
        assert at == (mm(75) if upright else mm(100))


# -- how much it takes -------------------------------------------------------------------


def paper(pages: int, **said: Any) -> str:
    """The line of the page `what to do now` that says what paper is needed."""
    asked = asked_for(pages, **said)
    plan = add_cuts(asked.planned(), asked.job)
    return guide(plan, asked.job).tasks[0].steps[1]


def test_paper_of_sheets_that_give_two_copies() -> None:
    """24 pages, 8 to a copy of a sheet: 3 sheets for two copies, 3 x 250 = 750 for 500, and 25 of
    each of the three for spoilage."""
    said: dict[str, Any] = {"binding": Binding.SECTIONS, "up": 4, "section_pages": 8}
    said |= {"trim": Size(mm(148), mm(105)), "copies": 500, "overs": 25}
    turned = paper(24, sheet=Size(mm(700), mm(600)), work=Work.TURN, **said)
    assert "3 sheets of" in turned and "for 2 copies; 750 for 500 copies" in turned
    assert "and 75 for spoilage: 825" in turned
    two = {"sheet": Size(mm(400), mm(600)), "two_up": TwoUp.SAME_WAY}
    assert "750 for 500 copies, and 75 for spoilage: 825" in paper(24, **two, **said)


def test_paper_of_repeats_and_of_one_copy() -> None:
    """22 pages are 11 leaves, four times on a sheet: 11 x 8 = 88 sheets for 30 copies."""
    said: dict[str, Any] = {"binding": Binding.LOOSE, "trim": Size(mm(100), mm(140))}
    said |= {"up": 4, "sheet": Size(mm(210), mm(297)), "order": Order.REPEAT}
    assert "88 for 30 copies" in paper(22, copies=30, **said)
    assert "11 sheets of" in paper(22, **said)


def test_paper_of_flat_work_is_not_told_per_copy() -> None:
    """One layout, 4 up: 11 sheets give 44 of the 42 that are wanted; 10 more for spoilage."""
    work = flat_work([card(90, 130, 42)], Size(mm(210), mm(297)), overs=10)
    step = guide(add_cuts(work.plan, work.job), work.job).tasks[0].steps[1]
    assert "11 sheets of" in step and "and 10 for spoilage: 21" in step and "copy" not in step


def test_a_guillotine_stands_among_the_tools_in_the_place_of_knife_and_rule() -> None:
    cutter = Cutter(
        name="The guillotine", widest=mm(720), gauge_min=mm(20), gauge_max=mm(700),
        clamp_opening=mm(80),
    )  # fmt: skip
    work = flat_work([card(90, 130, 42)], Size(mm(210), mm(297)), bench=Bench(cutter=cutter))
    tools = guide(add_cuts(work.plan, work.job), work.job).tasks[0].steps[2]
    assert tools == "To work with: The guillotine."
    hand = flat_work([card(90, 130, 42)], Size(mm(210), mm(297)))
    assert "a steel rule" in guide(add_cuts(hand.plan, hand.job), hand.job).tasks[0].steps[2]


def test_flat_work_on_a_press_has_its_own_runs() -> None:
    work = flat_work([card(90, 130, 42)], Size(mm(320), mm(297)), overs=10, printer=PRESS)
    press = work.plan.press
    assert press is not None
    assert (press.copies, press.overs) == (1, 10)
    assert press.sheets == sum(sheet.copies for sheet in work.plan.sheets)


def labels(plan: Plan, job: Job) -> dict[str, str]:
    return {row.label: row.words for row in book_rows(plan, job, None)}


def test_the_ticket_of_flat_work_says_how_it_goes_through_the_press() -> None:
    work = flat_work([card(90, 130, 42, sides=2)], Size(mm(320), mm(297)), printer=PRESS)
    rows = labels(work.plan, work.job)
    assert rows["Plates"].startswith("2 sets")
    passes = [words for label, words in rows.items() if label.endswith((", front", ", back"))]
    assert len(passes) == 2 and all("gripper" in words for words in passes)


def test_what_is_printed_on_one_side_has_one_forme_and_one_pass() -> None:
    """A concertina of four panels, nothing on its back."""
    asked = asked_for(4, binding=Binding.CONCERTINA, trim=Size(mm(60), mm(100)),
                      sheet=Size(mm(320), mm(297)), printer=PRESS)  # fmt: skip
    plan = asked.planned()
    assert plan.press is not None and plan.one_sided("guts")
    assert plan.press.formes == len(plan.sheets)
    rows = labels(plan, asked.job)
    assert "printed on one side" in rows["Plates"]
    assert not [label for label in rows if label.endswith(", back")]


def test_sheets_that_give_two_copies_are_not_told_for_one() -> None:
    said: dict[str, Any] = {"binding": Binding.SECTIONS, "up": 4, "section_pages": 8}
    asked = asked_for(24, sheet=Size(mm(700), mm(600)), trim=Size(mm(148), mm(105)),
                      work=Work.TURN, **said)  # fmt: skip
    assert labels(asked.planned(), asked.job)["Guts sheets"].startswith("3 for 2 copies")


# -- what it costs -----------------------------------------------------------------------


def row_costs(printer: Printer, **prices: Any) -> tuple[Fraction, int]:
    """The cost of the first layout, and its sides that differ."""
    asked = asked_for(
        8, binding=Binding.LOOSE, trim=Size(mm(148), mm(210)), sheet=Size(mm(320), mm(450)),
        printer=printer, prices=Prices(**prices),
    )  # fmt: skip
    job = replace(asked.job, at_hand=asked.job.guts.sheets)
    row = compare(comparable(job, asked.pages, asked.faces)).rows[0]
    assert row.cost is not None
    return row.cost, row.press.sides


def test_plates_are_paid_for_every_ink() -> None:
    one, sides = row_costs(PRESS, plate=Fraction(9))
    assert one == 9 * sides
    four, _ = row_costs(PRESS, plate=Fraction(9), plates_a_side=4)
    assert four == 36 * sides


def test_a_digital_press_pays_clicks_and_no_plates() -> None:
    digital = replace(PRESS, digital=True, side_lay="")
    cost, sides = row_costs(digital, plate=Fraction(9), click=Fraction(1, 10))
    assert cost == Fraction(sides, 10)
