"""Marks: which stand where, what they keep clear of, what is left out and said."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import lengths, mm, plan_of

from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt
from impose.marks.registration import registration_marks
from impose.marks.slug import HEIGHT, slug_place, slug_text
from impose.marks.ticks import SHORTEST, Ground, ticks
from impose.model.job import Binding, MarkSettings
from impose.model.machines import LeadingEdge, Printer
from impose.plan.parts import Line, LineKind, Mark, Shape, Sheet, Side
from impose.plan.plan import Plan
from impose.units import ZERO, Length

A4, A5, A6 = Size(mm(210), mm(297)), Size(mm(148), mm(210)), Size(mm(105), mm(148))
SRA3 = Size(mm(320), mm(450))
SETTINGS = MarkSettings(length=mm(5), offset=mm(3), weight=Length.points("0.25"))
SHEET = Box(ZERO, ZERO, mm(200), mm(200))
TRIM = Box(mm(50), mm(50), mm(150), mm(150))
HEAD = Line(LineKind.CUT, "head", TRIM.x0, TRIM.y1, TRIM.x1, TRIM.y1)
FORE = Line(LineKind.CUT, "fore-edge", TRIM.x1, TRIM.y0, TRIM.x1, TRIM.y1)


def spans(marks: tuple[Mark, ...]) -> list[tuple[Length, Length, Length, Length]]:
    return [(m.x0, m.y0, m.x1, m.y1) for m in marks]


def grown(box: Box, by: Length) -> Box:
    return Box(box.x0 - by, box.y0 - by, box.x1 + by, box.y1 + by)


# -- ticks -----------------------------------------------------------------------------


def test_a_cut_has_a_mark_outside_each_of_its_ends() -> None:
    marks, missing = ticks([HEAD], Ground(SHEET, (TRIM,)), SETTINGS)
    assert missing == ()
    assert spans(marks) == [
        (mm(42), mm(150), mm(47), mm(150)),
        (mm(153), mm(150), mm(158), mm(150)),
    ]
    assert {(mark.kind, mark.shape, mark.weight) for mark in marks} == {
        ("crop", Shape.LINE, SETTINGS.weight)
    }


def test_a_mark_starts_clear_of_bleed_that_is_deeper_than_the_offset() -> None:
    marks, _ = ticks([FORE], Ground(SHEET, (grown(TRIM, mm(6)),)), SETTINGS)
    clear = mm(6) + SETTINGS.weight
    assert spans(marks) == [
        (mm(150), mm(50) - clear - mm(5), mm(150), mm(50) - clear),
        (mm(150), mm(150) + clear, mm(150), mm(150) + clear + mm(5)),
    ]


def test_a_mark_gives_up_its_offset_and_then_its_length_before_it_is_left_out() -> None:
    def upper(room: Length) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
        area = Box(ZERO, ZERO, mm(200), TRIM.y1 + room)
        marks, missing = ticks([FORE], Ground(area, (TRIM,)), SETTINGS)
        return tuple(mark for mark in marks if mark.y0 >= TRIM.y1), missing

    assert spans(upper(mm(6))[0]) == [(mm(150), mm(153), mm(150), mm(156))]
    assert spans(upper(mm(4))[0]) == [(mm(150), mm(150), mm(150), mm(154))]
    assert spans(upper(SHORTEST)[0]) == [(mm(150), mm(150), mm(150), mm(152))]
    assert upper(SHORTEST - Length(1)) == ((), ())  # the lower end has its mark


def test_a_line_without_room_at_either_end_is_named() -> None:
    area = Box(ZERO, TRIM.y0, mm(200), TRIM.y1)
    marks, missing = ticks([FORE, HEAD], Ground(area, (TRIM,)), SETTINGS)
    assert missing == ("fore-edge",)
    assert len(marks) == 2


def test_a_line_outside_what_can_be_printed_has_no_mark() -> None:
    area = Box(ZERO, ZERO, TRIM.x1 - Length(1), mm(200))
    assert ticks([FORE], Ground(area, (TRIM,)), SETTINGS) == ((), ("fore-edge",))


def test_two_trims_on_one_line_share_their_marks() -> None:
    beside = TRIM.moved(mm(100), ZERO)
    lines = [HEAD, Line(LineKind.CUT, "head", beside.x0, beside.y1, beside.x1, beside.y1)]
    ground = Ground(Box(ZERO, ZERO, mm(300), mm(200)), (TRIM, beside))
    marks, _ = ticks(lines, ground, SETTINGS)
    assert [(mark.x0, mark.x1) for mark in marks] == [(mm(42), mm(47)), (mm(253), mm(258))]


def test_a_mark_between_two_pages_touches_neither_bleed() -> None:
    beside = TRIM.moved(mm(110), ZERO)
    boxes = (grown(TRIM, mm(2)), grown(beside, mm(2)))
    marks, _ = ticks([HEAD], Ground(Box(ZERO, ZERO, mm(300), mm(200)), boxes), SETTINGS)
    between = next(mark for mark in marks if mark.x0 > TRIM.x1)
    assert boxes[0].x1 < between.x0
    assert between.x1 == boxes[1].x0 - SETTINGS.weight


def test_a_fold_is_dashed_and_stands_outside_all_pages() -> None:
    beside = TRIM.moved(mm(100), ZERO)
    fold = Line(LineKind.FOLD, "fold1", mm(150), ZERO, mm(150), mm(200))
    ground = Ground(Box(ZERO, ZERO, mm(300), mm(200)), (TRIM, beside))
    marks, missing = ticks([fold], ground, SETTINGS)
    assert missing == ()
    assert {(mark.kind, mark.shape, mark.x0) for mark in marks} == {("fold", Shape.DASHED, mm(150))}
    lower, upper = marks
    assert lower.y1 == TRIM.y0 - SETTINGS.weight
    assert upper.y0 == TRIM.y1 + SETTINGS.weight


@given(lengths(0, 8), lengths(0, 9), lengths(0, 60), lengths(2, 9))
def test_a_mark_never_enters_bleed_nor_leaves_the_area(
    offset: Length, bleed: Length, room: Length, length: Length
) -> None:
    settings = MarkSettings(length=length, offset=offset)
    area, keep = grown(TRIM, room), grown(TRIM, bleed)
    marks, _ = ticks([HEAD, FORE], Ground(area, (keep,)), settings)
    for mark in marks:
        box = Box(mark.x0, mark.y0, mark.x1, mark.y1)
        assert area.contains(box)
        assert SHORTEST <= box.width + box.height <= length
        if bleed:
            assert not keep.overlaps(grown(box, Length(1)))
    ends = 4 if room >= bleed + SHORTEST + settings.weight else 0
    assert len(marks) == ends or (not bleed and len(marks) == 4)


# -- registration ----------------------------------------------------------------------


def targets(marks: tuple[Mark, ...]) -> list[tuple[Length, Length]]:
    rings = [mark for mark in marks if mark.shape is Shape.CIRCLE]
    return [((ring.x0 + ring.x1).half, (ring.y0 + ring.y1).half) for ring in rings]


def test_a_target_stands_at_the_middle_of_each_side() -> None:
    marks = registration_marks(Ground(SHEET, (TRIM,)), (), SETTINGS).marks
    assert targets(marks) == [
        (mm(25), mm(100)),
        (mm(175), mm(100)),
        (mm(100), mm(25)),
        (mm(100), mm(175)),
    ]
    cross = [mark for mark in marks if mark.shape is Shape.LINE][:2]
    assert [(mark.x1 - mark.x0, mark.y1 - mark.y0) for mark in cross] == [
        (SETTINGS.target, ZERO),
        (ZERO, SETTINGS.target),
    ]


def test_a_target_makes_way_for_a_mark_and_for_a_narrow_margin() -> None:
    fold = Mark("fold", Shape.DASHED, mm(100), ZERO, mm(100), mm(45), SETTINGS.weight)
    narrow = Ground(Box(mm(45), ZERO, mm(200), mm(200)), (TRIM,))
    found = registration_marks(narrow, (fold,), SETTINGS)
    places = targets(found.marks)
    assert len(places) == 4  # beside the page are 5 mm for 6: that one stands above or below it
    assert not found.missing
    assert all(abs(x - mm(100)) >= SETTINGS.target.half + mm(1) for x, y in places if y < mm(50))


def press(**margins: Length) -> Printer:
    given = {"lead": mm(10), "tail": mm(5), "left": mm(4), "right": mm(4)} | margins
    return Printer(name="press", press=True, leads=LeadingEdge.LONG, registration_ink=True, **given)


def sheet_of(pages: int = 8, **what: Any) -> Sheet:
    return marked(pages, **what).sheets[0]


def marked(pages: int = 8, **what: Any) -> Plan:
    given = {"binding": Binding.SADDLE, "trim": A5, "sheet": Size(mm(340), mm(250))} | what
    return plan_of(pages, **given)


def marks_of(side: Side, kind: str = "") -> list[Mark]:
    every = [*(mark for group in side.marks for mark in group.marks), *side.own_marks]
    return [mark for mark in every if not kind or mark.kind == kind]


def test_targets_of_front_and_back_lie_on_each_other_beside_a_fold_mark() -> None:
    """The fold marks take the middle of head and foot; held to the light, the targets beside
    them must still coincide."""
    sheet = sheet_of(printer=press(), sheet=Size(mm(340), mm(270)))
    front, back = (targets(tuple(marks_of(side))) for _, side in sheet.sides)
    assert len(front) == 4
    middle = sheet.size.width.half
    assert any(x != middle and not x.near(middle, mm(3)) for x, y in front)
    assert {sheet.turned.point(x, y, sheet.size) for x, y in back} == set(front)


def test_targets_lie_where_both_sides_can_be_printed() -> None:
    uneven = press(left=mm(4), right=mm(16))
    sheet = sheet_of(printer=uneven, sheet=Size(mm(380), mm(270)))
    for _, side in sheet.sides:
        for x, _ in targets(tuple(marks_of(side))):
            assert (
                mm(16) + SETTINGS.target.half
                <= x
                <= sheet.size.width - mm(16) - SETTINGS.target.half
            )


def test_registration_marks_are_for_presses_unless_they_are_asked_for_by_name() -> None:
    kinds = frozenset({"crop", "registration"})
    large = Size(mm(380), mm(290))
    office = Printer(name="office", lead=mm(4), tail=mm(4), left=mm(4), right=mm(4))
    assert not marks_of(sheet_of(printer=office, sheet=large).front, "registration")
    assert not marks_of(sheet_of(sheet=large).front, "registration")
    assert marks_of(sheet_of(printer=press(), sheet=large).front, "registration")
    asked = sheet_of(printer=office, sheet=large, marks=MarkSettings(kinds=kinds))
    assert marks_of(asked.front, "registration")


@pytest.mark.parametrize(("printer", "ink"), [(None, "black"), (press(), "registration")])
def test_the_ink_of_the_marks(printer: Printer | None, ink: str) -> None:
    assert marked(printer=printer, sheet=Size(mm(380), mm(290))).mark_ink == ink


# -- slug ------------------------------------------------------------------------------


def test_the_words_name_title_sheet_side_stock_and_date() -> None:
    plan = marked(12, date="2024-05-01")
    words = [mark.text for sheet in plan.sheets for _, s in sheet.sides for mark in s.own_marks]
    slugs = [text for text in words if text]
    assert slugs[0] == "A book  |  sheet 1 of 3, front  |  test paper  |  2024-05-01"
    assert slugs[5] == "A book  |  sheet 3 of 3, back  |  test paper  |  2024-05-01"
    assert slug_text(("a", "", "b")) == "a  |  b"


def test_the_words_name_the_section() -> None:
    plan = marked(32, binding=Binding.SECTIONS, sheet=SRA3, section_pages=8)
    texts = [mark.text for mark in marks_of(plan.sheets[-1].front, "slug")]
    assert texts == ["A book  |  sheet 4 of 4, front  |  section 4  |  test paper"]


@given(st.integers(1, 80), st.lists(st.integers(0, 17), max_size=6))
def test_words_stand_clear_of_pages_and_marks(length: int, taken: list[int]) -> None:
    ground = Ground(SHEET, (TRIM,))
    marks = [
        Mark("crop", Shape.LINE, mm(10 * n), ZERO, mm(10 * n), mm(40), SETTINGS.weight)
        for n in taken
    ]
    place = slug_place(ground, marks, "x" * length)
    if place is None:
        return
    run = Length(HEIGHT.grains * 66 * length // 100)
    box = (
        Box(place.x, place.y, place.x + run, place.y + HEIGHT)
        if place.turn == 0
        else Box(place.x - HEIGHT, place.y, place.x, place.y + run)
    )
    assert SHEET.contains(box)
    assert not box.overlaps(TRIM)
    for mark in marks:
        assert not box.overlaps(grown(Box(mark.x0, mark.y0, mark.x1, mark.y1), Length(1)))


def test_words_and_targets_keep_clear_of_marks_that_creep() -> None:
    """96 pages of thick paper: fore-edges move by 5 mm, and with them their marks."""
    plan = marked(96, caliper=mm("0.22"), printer=press(lead=mm(3)), sheet=Size(mm(322), mm(224)))
    assert plan.creep.total > mm(5)
    checked = 0
    for sheet in plan.sheets:
        for _, side in sheet.sides:
            crops = [Box(m.x0, m.y0, m.x1, m.y1) for m in marks_of(side, "crop")]
            for mark in marks_of(side, "slug"):
                run = Length(HEIGHT.grains * len(mark.text) // 2)
                words = (
                    Box(mark.x0, mark.y0, mark.x0 + run, mark.y0 + HEIGHT)
                    if mark.turn == 0
                    else Box(mark.x0 - HEIGHT, mark.y0, mark.x0, mark.y0 + run)
                )
                checked += 1
                assert not any(words.overlaps(grown(crop, Length(1))) for crop in crops)
    assert checked == 48


# -- creep -----------------------------------------------------------------------------


def test_fore_edge_marks_move_with_their_line() -> None:
    plan = marked(12, caliper=mm("0.2"))
    for sheet in plan.sheets:
        for name, side in sheet.sides:
            xs = {m.x0 for m in side.own_marks if m.kind == "crop"}
            lines = {line.x0 for line in sheet.creep_lines}
            if name == "back":
                lines = {sheet.size.width - x for x in lines}
            assert xs == lines
    assert len({sheet.creep_lines[0].x0 for sheet in plan.sheets}) == 3


def test_a_mark_is_drawn_on_the_sheets_whose_fore_edge_can_be_printed() -> None:
    """The margin hides the fore-edge of the outer sheets; creep brings the inner ones out."""
    printer = Printer(name="office", lead=mm(3), tail=mm(3), left=mm(3), right=mm(3))
    plan = marked(40, caliper=mm("0.2"), printer=printer, sheet=Size(mm(300), mm(230)))
    # fore-edges at 2 mm from the paper's edge, moved in by 0.2 mm a sheet: printable from 3 mm
    drawn = [
        any(mark.kind == "crop" and mark.x0 == mark.x1 for mark in sheet.front.own_marks)
        for sheet in plan.sheets
    ]
    assert drawn == [False] * 5 + [True] * 5


def test_sheets_of_one_layout_share_one_group() -> None:
    plan = marked(40)
    assert len({id(sheet.front.marks[0]) for sheet in plan.sheets}) == 1


# -- collation -------------------------------------------------------------------------


def steps(plan: Plan) -> list[Mark]:
    return [mark for sheet in plan.sheets for mark in marks_of(sheet.front, "collation")]


def sections(**what: Any) -> Plan:
    given = {
        "binding": Binding.SECTIONS,
        "trim": A5,
        "sheet": Size(mm(450), mm(640)),
        "section_pages": 16,
    }
    return plan_of(what.pop("pages", 64), **(given | what))


@pytest.mark.parametrize("bound_at", [BoundAt.LEFT, BoundAt.RIGHT])
def test_each_section_has_a_step_one_lower_than_the_one_before(bound_at: BoundAt) -> None:
    plan = sections(bound_at=bound_at)
    marks = steps(plan)
    assert len(marks) == 4
    for lower, mark in enumerate(marks, start=1):
        top = next(p.trim.y1 for p in plan.sheets[0].front.placements if p.position == 1)
        assert mark.y1 == top - SETTINGS.step * lower
        assert (mark.x1 - mark.x0, mark.y1 - mark.y0) == (SETTINGS.step_width, SETTINGS.step)
    fold = plan.sheets[0].folds[-1].at
    assert (marks[0].x0 + marks[0].x1).half == fold


def test_steps_start_again_when_they_reach_the_foot() -> None:
    plan = sections(pages=16 * 45)
    room = A5.height // SETTINGS.step - 2
    tops = [mark.y1 for mark in steps(plan)]
    assert len(tops) == 45
    assert tops[room] == tops[0]
    assert len(set(tops)) == room


def test_only_the_outer_sheet_of_a_nested_section_has_a_step() -> None:
    plan = sections(up=4, sheet=SRA3)
    with_step = [sheet.number for sheet in plan.sheets if marks_of(sheet.front, "collation")]
    assert with_step == [1, 3, 5, 7]


def test_a_single_section_needs_no_step() -> None:
    assert steps(sections(pages=16)) == []


# -- what is left out ------------------------------------------------------------------


def note(plan: Plan, code: str) -> Finding | None:
    return next((finding for finding in plan.findings if finding.code == code), None)


def test_marks_without_room_are_left_out_and_named() -> None:
    plan = marked(sheet=A4)
    missing, words = note(plan, "mark-no-room"), note(plan, "slug-no-room")
    assert missing is not None
    assert "fold1, fore-edge" in missing.message
    assert words is not None
    assert not [m for sheet in plan.sheets for _, s in sheet.sides for m in marks_of(s)]


def test_a_note_about_fold_marks_does_not_need_crop_marks() -> None:
    plan = marked(sheet=A4, marks=MarkSettings(kinds=frozenset({"fold"})))
    missing = note(plan, "mark-no-room")
    assert missing is not None
    assert missing.message.endswith("fold1")
    assert note(plan, "slug-no-room") is None


def test_no_marks_are_drawn_that_are_not_asked_for() -> None:
    plan = marked(marks=MarkSettings(kinds=frozenset()))
    assert not [m for sheet in plan.sheets for _, s in sheet.sides for m in marks_of(s)]
    assert note(plan, "mark-no-room") is None
