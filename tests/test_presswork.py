"""Press work: handbook tables, counts by hand, both passes, double books, the cut programs."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import SCHEMES, Book, asked_for, mm, plan_of

from impose.bench.program import add_cuts
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.model.job import Binding
from impose.model.machines import LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work
from impose.plan.parts import COPIES
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.schemes.gutspaper import bound_length
from impose.units import Length

IN = Length.inches


def press(**more: object) -> Printer:
    said = {"leads": LeadingEdge.LONG, "lead": IN("1/2"), "tail": mm(5), "left": mm(5)}
    return Printer(name="the press", press=True, **(said | {"right": mm(5)} | more))  # type: ignore[arg-type]


def rows(plan: Plan, sheet: int = 0) -> list[list[str]]:
    """The front's pages from the upper left, `v` those that lie upside down."""
    placed = plan.sheets[sheet].front.placements
    heights = sorted({p.trim.y0 for p in placed}, key=lambda n: -n.grains)
    return [
        [
            f"{p.position}{'v' if p.upside_down else ''}"
            for p in sorted(placed, key=lambda p: p.trim.x0.grains)
            if p.trim.y0 == y
        ]
        for y in heights
    ]


# -- the page table ----------------------------------------------------------------------


@pytest.mark.parametrize("binding", [Binding.SECTIONS, Binding.SADDLE])
def test_the_quarto_work_and_turn_of_the_handbooks(binding: Binding) -> None:
    """L.-E. Brossard, Le Correcteur typographe, vol. 2 (Chatelaudren 1934), p. 305: quarto, both
    sides in one forme, of type 4 5 6 3 over 1 8 7 2; the sheet is its mirror."""
    forme = [["4v", "5v", "6v", "3v"], ["1", "8", "7", "2"]]
    plan = plan_of(
        8, binding=binding, trim=Size(mm(100), mm(150)), sheet=Size(mm(460), mm(340)),
        up=4, section_pages=8, work=Work.TURN,
    )  # fmt: skip
    assert rows(plan) == [row[::-1] for row in forme]
    assert len(plan.sheets) == 1


def test_a_right_bound_quarto_is_its_mirror() -> None:
    common = {"trim": Size(mm(100), mm(150)), "sheet": Size(mm(460), mm(340)), "up": 4}
    common |= {"section_pages": 8, "work": Work.TURN, "binding": Binding.SECTIONS}
    left, right = (rows(plan_of(8, bound_at=at, **common)) for at in (BoundAt.LEFT, BoundAt.RIGHT))
    assert right == [row[::-1] for row in left]


# -- counts ------------------------------------------------------------------------------


def test_half_of_a_25_by_38_sheet_carries_eight_pages_work_and_turn() -> None:
    """S. J. Vaughn, Printing and Bookbinding for Schools: half of a 25 x 38 in sheet carries an
    8-page form that is worked and turned, its trim left round each pair of leaves.

    By hand: half of 25 x 38 is 19 x 25 in.  Four pages of 6 x 9 in on each half of it take
    2 x 6 + 2 x 1/8 = 12 1/4 of 12 1/2 in across and 2 x 9 + 2 x 2 x 1/8 = 18 1/2 of 19 less the
    gripper.  One sheet gives two copies, so 500 copies take 250 sheets, and 125 of the 25 x 38.
    """
    parent, sheet = Size(IN(25), IN(38)), Size(IN(19), IN(25))
    plan = plan_of(
        8, binding=Binding.SECTIONS, trim=Size(IN(6), IN(9)), sheet=sheet, up=4,
        section_pages=8, work=Work.TURN, printer=press(lead=IN("1/4")), copies=500,
        unit="in",
    )  # fmt: skip
    assert sheet.width * 2 == parent.height and sheet.height == parent.width
    assert len(plan.sheets) == 1
    assert len(plan.sheets[0].front.placements) == 8
    facts = plan.press
    assert facts is not None
    assert (facts.formes, facts.copies, facts.sheets) == (1, 2, 250)


@pytest.mark.parametrize(
    ("work", "sheets", "formes", "run"),
    [
        (Work.SHEETWISE, 4, 8, 4 * 1000),
        (Work.PERFECTING, 4, 8, 4 * 1000),
        (Work.TURN, 4, 4, 4 * 500),
        (Work.TUMBLE, 4, 4, 4 * 500),
    ],
)
def test_one_forme_halves_plates_and_paper(work: Work, sheets: int, formes: int, run: int) -> None:
    """The same sections on one press sheet: the forme of both sides has twice as many pages, so
    its sheet is twice as large and half as many are printed; own arithmetic."""
    size = Size(mm(450), mm(640)) if work.one_forme else Size(mm(450), mm(320))
    plan = plan_of(
        32, binding=Binding.SECTIONS, trim=Size(mm(100), mm(140)), sheet=size, up=4,
        section_pages=8, work=work, printer=press(lead=mm(8)), copies=1000,
    )  # fmt: skip
    assert plan.press is not None
    found = (len(plan.sheets), plan.press.formes, plan.press.sheets)
    assert found == (sheets, formes, run)


# -- the bench -----------------------------------------------------------------------------


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.one_of(*SCHEMES.values()))
def test_every_cut_program_is_carried_out_on_paper(book: Book | None) -> None:
    """`add_cuts` replays its steps: halves, piles, double books and trims come out exactly."""
    if book is None:
        return
    plan = add_cuts(book.plan, book.asked.job)
    assert from_text(to_text(plan)) == plan
    facts, copies = plan.cut_facts, book.asked.job.copies
    assert facts is not None
    per = 1 if plan.press is None else plan.press.copies
    if plan.press is not None:
        assert facts.sheets == plan.press.sheets == len(plan.sheets) * -(-copies // per)
    things = [s.table.things for s in plan.cut_steps if s.table and s.cuts]
    assert ("whole sheets" in things) == plan.halved
    assert ("double books" in things) == bool(plan.two_up)
    if plan.halved:
        assert things[0] == "whole sheets"


def test_the_copies_of_a_double_book_are_parted_at_their_own_allowances() -> None:
    """Head to foot, by hand: quarto sections of pages 148 mm high, 3 mm to trim at every head and
    4 mm at every foot.  Heads of the two rows meet at the fold; the upper copy has 3 + 148 + 4
    from there to the cut, the lower 3 + 148 and what the sheet has left:
    (700 - 2 x (3 + 148 + 4 + 3 + 148)) / 2 = 44."""
    asked = asked_for(
        8, binding=Binding.SECTIONS, trim=Size(mm(105), mm(148)), sheet=Size(mm(700), mm(500)),
        up=4, section_pages=8, two_up=TwoUp.SAME_WAY, head_allowance=mm(3), foot_allowance=mm(4),
    )  # fmt: skip
    plan = add_cuts(asked.planned(), asked.job)
    size = plan.sheets[0].size
    step = next(s for s in plan.cut_steps if s.cuts == (COPIES,))
    assert step.setting is not None and step.stays is not None and step.falls is not None
    assert step.setting.gauge == mm(155)
    assert step.stays.size.height == mm(155)
    assert step.falls.size.height == mm(151) + (size.height - mm(612)).half
    assert bound_length(plan) == mm(306) + (size.height - mm(612)).half
