"""Books worked out by hand: positions, order, creep, flips, and what is refused in which words."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from strategies import asked_for, mm, plan_of, stock_of

from impose.errors import JobError
from impose.findings import Finding, Severity
from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt, Edge, PageSides
from impose.geometry.turning import Flip, Turnover
from impose.model.job import Binding, BlanksAt, Cover, NamedSize, Order
from impose.model.machines import LeadingEdge, Printer
from impose.plan.parts import LineKind, Placement, Sheet, Side, When
from impose.plan.plan import Plan
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

pt, inch = Length.points, Length.inches
A3, A4, A5, A6 = (
    Size(mm(297), mm(420)),
    Size(mm(210), mm(297)),
    Size(mm(148), mm(210)),
    Size(mm(105), mm(148)),
)
SRA3 = Size(mm(320), mm(450))
LETTER = Size(pt(612), pt(792))
HALF_LETTER = Size(pt(396), pt(612))


def points(box: Box) -> tuple[Fraction, ...]:
    return tuple(n.as_points for n in (box.x0, box.y0, box.x1, box.y1))


def edges(box: Box) -> tuple[Length, ...]:
    return (box.x0, box.y0, box.x1, box.y1)


def rows(side: Side) -> list[list[str]]:
    """Positions as they lie, rows from the top; `v` is a page upside down."""
    by_row: dict[int, list[Placement]] = {}
    for p in side.placements:
        by_row.setdefault(p.trim.y0.grains, []).append(p)
    return [
        [f"{p.position}{'v' if p.upside_down else '^'}" for p in sorted(by_row[y], key=_left)]
        for y in sorted(by_row, reverse=True)
    ]


def _left(p: Placement) -> int:
    return p.trim.x0.grains


def pages_on(side: Side) -> list[int | None]:
    return [p.page for p in sorted(side.placements, key=_left)]


def codes(plan: Plan) -> list[str]:
    return [finding.code for finding in plan.findings]


def found(plan: Plan, code: str) -> Finding:
    (finding,) = [one for one in plan.findings if one.code == code]
    return finding


def refused(pages: int = 8, **what: Any) -> Finding:
    with pytest.raises(JobError) as caught:
        plan_of(pages, **what)
    (fault,) = caught.value.faults
    return fault


# -- one leaf a sheet, the spine on the sheet's edge -------------------------------------


def one_up(bound_at: BoundAt) -> Sheet:
    plan = plan_of(
        4,
        binding=Binding.PERFECT,
        trim=HALF_LETTER,
        sheet=LETTER,
        up=1,
        grind=pt(9),
        bound_at=bound_at,
    )
    assert len(plan.sheets) == 2
    return plan.sheets[0]


def test_the_spine_lies_on_the_binding_edge_and_alternates() -> None:
    """Letter sheet, 396 x 612 pt trim, 1/8 in grind (own arithmetic: 612 - 9 - 396 = 207 and
    (792 - 612) / 2 = 90)."""
    sheet = one_up(BoundAt.LEFT)
    (first,), (second,) = sheet.front.placements, sheet.back.placements
    assert points(first.trim) == (9, 90, 405, 702)
    assert points(second.trim) == (207, 90, 603, 702)
    assert (first.spine_at, second.spine_at) == (Edge.LEFT, Edge.RIGHT)


def test_right_bound_it_is_the_other_way_round() -> None:
    sheet = one_up(BoundAt.RIGHT)
    (first,), (second,) = sheet.front.placements, sheet.back.placements
    assert points(first.trim) == (207, 90, 603, 702)
    assert points(second.trim) == (9, 90, 405, 702)
    assert (first.spine_at, second.spine_at) == (Edge.RIGHT, Edge.LEFT)


def test_three_sides_are_cut_after_binding_and_the_spine_is_not() -> None:
    sheet = one_up(BoundAt.LEFT)
    cuts = {line.of: line for line in sheet.lines if line.kind is LineKind.CUT}
    assert set(cuts) == {"head", "foot", "fore-edge"}
    assert cuts["fore-edge"].x0 == pt(405)
    assert (cuts["head"].y0, cuts["foot"].y0) == (pt(702), pt(90))


def test_a_centred_leaf_is_cut_at_the_spine_before_binding() -> None:
    plan = plan_of(
        2,
        binding=Binding.PERFECT,
        trim=HALF_LETTER,
        sheet=LETTER,
        up=1,
        grind=pt(9),
        centred=True,
    )
    (leaf,) = plan.sheets[0].front.placements
    assert points(leaf.trim) == (108, 90, 504, 702)
    spine = next(line for line in plan.sheets[0].lines if line.of == "spine")
    assert spine.x0 == pt(99)  # trim less grind
    assert [cut.id for cut in plan.cuts if cut.when is When.BEFORE_BINDING] == ["spine"]


@pytest.mark.parametrize("centred", [True, False])
def test_sides_that_lie_on_the_paper_s_edge_are_not_cut_and_that_is_said(centred: bool) -> None:
    plan = plan_of(
        2, binding=Binding.STAB, trim=A5, sheet=Size(mm(160), mm(210)), up=1, centred=centred
    )
    assert found(plan, "no-cut").message.startswith("nothing to cut at head and foot: the sheet")
    assert "head" not in {cut.id for cut in plan.cuts}


@pytest.mark.parametrize(("lay", "foot"), [("foot", 18), ("head", 792 - 18 - 612)])
def test_a_lay_edge_moves_the_leaf_to_its_trim_off(lay: str, foot: int) -> None:
    plan = plan_of(
        2,
        binding=Binding.STAB,
        trim=HALF_LETTER,
        sheet=LETTER,
        up=1,
        lay=lay,
        trim_off=pt(18),
    )
    assert plan.sheets[0].front.placements[0].trim.y0 == pt(foot)


def test_head_bound_leaves_have_the_recto_s_head_and_the_verso_s_foot_at_the_spine() -> None:
    """A wall calendar (common practice): turned up at the head, the back reads upright."""
    plan = plan_of(
        2,
        binding=Binding.STAB,
        trim=A5,
        sheet=A4,
        up=1,
        bound_at=BoundAt.HEAD,
        flip=Flip.SHORT_EDGE,
    )
    sheet = plan.sheets[0]
    (recto,), (verso,) = sheet.front.placements, sheet.back.placements
    assert sheet.size == A4.turned
    assert sheet.turned is Turnover.ABOUT_VERTICAL
    # Turned counter-clockwise by a quarter, a page has its head at the left.
    assert (recto.turn, recto.spine_at) == (90, Edge.LEFT)
    assert (verso.turn, verso.spine_at) == (90, Edge.RIGHT)
    assert recto.trim.x0 == ZERO
    assert verso.trim.x1 == sheet.size.width
    assert recto.trim.size == A5.turned


# -- saddle ------------------------------------------------------------------------------


def test_a5_on_a4_fills_the_sheet_from_the_fold() -> None:
    """Own arithmetic: fold at 148.5, leaf k pushed out by k x 0.10 mm, nothing to cut at head
    and foot."""
    plan = plan_of(12, binding=Binding.SADDLE, trim=A5, sheet=A4, caliper=mm("0.1"))
    assert [pages_on(sheet.front) for sheet in plan.sheets] == [[12, 1], [10, 3], [8, 5]]
    assert [pages_on(sheet.back) for sheet in plan.sheets] == [[2, 11], [4, 9], [6, 7]]
    inner = plan.sheets[2]
    assert inner.size == A4.turned
    assert inner.folds[0].at == mm("148.5")
    left, right = sorted(inner.front.placements, key=_left)
    assert edges(right.trim) == (mm("148.5"), ZERO, mm("296.3"), mm(210))
    assert edges(right.art) == (mm("148.3"), ZERO, mm("296.3"), mm(210))
    assert edges(left.trim) == (mm("0.7"), ZERO, mm("148.5"), mm(210))
    assert (left.shift, right.shift) == (mm("0.2"), mm("0.2"))
    assert found(plan, "no-cut").message == (
        "nothing to cut at head and foot: the sheet of 297 x 210 mm leaves no paper beyond the "
        "trim of 148 x 210 mm there"
    )


def test_bleed_at_the_fore_edge_grows_with_what_creep_leaves_to_cut_off() -> None:
    plan = plan_of(12, binding=Binding.SADDLE, trim=A5, sheet=A4, caliper=mm("0.1"), supplied=mm(3))
    bleeds = [sheet.front.placements[0].bleed for sheet in plan.sheets]
    assert [bleed.fore_edge for bleed in bleeds] == [mm("0.5"), mm("0.6"), mm("0.7")]
    assert {(bleed.head, bleed.foot, bleed.spine) for bleed in bleeds} == {(ZERO, ZERO, ZERO)}


def test_creep_of_sixteen_sheets() -> None:
    """Linear model, 16 sheets of 0.10 mm: 15 x 0.10 = 1.50 mm (own arithmetic)."""
    plan = plan_of(64, binding=Binding.SADDLE, trim=A5, sheet=A4, caliper=mm("0.1"))
    assert len(plan.sheets) == 16
    assert plan.creep.total == mm("1.5")
    assert plan.creep.per_level == mm("0.1")
    shifts = [sheet.front.placements[0].shift for sheet in plan.sheets]
    assert shifts == [mm("0.1") * depth for depth in range(16)]


def test_a_separate_cover_lies_outside_every_sheet() -> None:
    """The same with a cover of the same stock: 1.60 mm (own arithmetic)."""
    plan = plan_of(
        64, binding=Binding.SADDLE, trim=A5, sheet=A4, caliper=mm("0.1"), cover=Cover(stock=None)
    )
    assert plan.creep.total == mm("1.6")
    assert plan.sheets[0].front.placements[0].shift == mm("0.1")
    board = Cover(stock=stock_of(mm("0.3"), "board"))
    thick = plan_of(64, binding=Binding.SADDLE, trim=A5, sheet=A4, caliper=mm("0.1"), cover=board)
    assert thick.creep.total == mm("1.8")


def test_creep_by_a_printer_s_formula() -> None:
    """pages / 4 x thickness, and by the number of sheets for the step (a printer's answer quoted
    at desktoppub.about.com, 12 Oct 2006): 64 pages of .0038 in give .0608 in, a step of
    .0038 in.  The formula counts one sheet more than there are steps between 16 sheets, as a
    cover of the same stock does (own arithmetic)."""
    thickness, pages = inch("0.0038"), 64
    formula = thickness * (pages // 4)
    assert formula == inch("0.0608")
    what: dict[str, Any] = {
        "binding": Binding.SADDLE,
        "trim": HALF_LETTER,
        "sheet": LETTER,
        "caliper": thickness,
    }
    plain = plan_of(pages, **what)
    assert plain.creep.per_level == formula * Fraction(1, len(plain.sheets)) == inch("0.0038")
    assert plain.creep.total == inch("0.057")
    assert plan_of(pages, cover=Cover(stock=None), **what).creep.total == formula


def test_equal_steps_as_in_a_handbook() -> None:
    """Brossard, Le Correcteur typographe 2 (1934), p. 257, item 8: the white between facing
    pages falls 96, 93, 90 pt on nested sheets; a page moves by half of that (own arithmetic)."""
    white = [96, 93, 90]
    steps = {Fraction(a - b, 2) for a, b in pairwise(white)}
    assert steps == {Fraction(3, 2)}
    step = pt("1.5")
    plan = plan_of(12, binding=Binding.SADDLE, trim=A5, sheet=SRA3, caliper=step)
    shifts = [sheet.front.placements[0].shift for sheet in plan.sheets]
    assert shifts == [ZERO, step, step * 2]


def test_a_measured_creep_is_that_of_the_innermost_leaf() -> None:
    plan = plan_of(
        64, binding=Binding.SADDLE, trim=A5, sheet=A4, caliper=mm("0.1"), creep_total=mm("1.8")
    )
    shifts = [sheet.front.placements[0].shift for sheet in plan.sheets]
    assert shifts[0] == ZERO
    assert shifts[-1] == plan.creep.total == mm("1.8")
    assert shifts[5] == mm("0.6")
    assert plan.creep.source == "measured"


def test_blanks_at_the_end_take_the_last_page_off_the_back_and_that_is_said() -> None:
    plan = plan_of(10, binding=Binding.SADDLE, trim=A5, sheet=A4)
    assert plan.reading_order() == (*range(1, 11), None, None)
    warning = found(plan, "back-cover-blank")
    assert warning.severity is Severity.WARNING
    assert "page 10 is the last of 10, the booklet has 12 pages" in warning.message


def test_blanks_before_the_last_page_keep_it_on_the_back() -> None:
    plan = plan_of(10, binding=Binding.SADDLE, trim=A5, sheet=A4, blanks_at=BlanksAt(before=-1))
    assert plan.reading_order() == (*range(1, 10), None, None, 10)
    assert pages_on(plan.sheets[0].front) == [10, 1]
    assert "back-cover-blank" not in codes(plan)


def test_right_bound_the_first_page_lies_left_of_the_fold() -> None:
    plan = plan_of(8, binding=Binding.SADDLE, trim=A5, sheet=A4, bound_at=BoundAt.RIGHT)
    assert pages_on(plan.sheets[0].front) == [1, 8]
    assert pages_on(plan.sheets[0].back) == [7, 2]


def test_a_folio_of_the_handbook() -> None:
    # Cowie's Printer's Pocket-Book and Manual, p. 31, two folio sheets quired; mirrored.
    plan = plan_of(8, binding=Binding.SADDLE, trim=A5, sheet=A4)
    assert [pages_on(sheet.front) for sheet in plan.sheets] == [[8, 1], [6, 3]]
    assert [pages_on(sheet.back) for sheet in plan.sheets] == [[2, 7], [4, 5]]


# -- sections ----------------------------------------------------------------------------


def test_a_section_of_sixteen_is_the_octavo_table() -> None:
    # Brossard, Le Correcteur typographe 2 (1934), pp. 255 and 321, octavo; mirrored.
    plan = plan_of(16, binding=Binding.SECTIONS, trim=A5, sheet=Size(mm(450), mm(640)))
    (sheet,) = plan.sheets
    assert rows(sheet.front) == [["5v", "12v", "9v", "8v"], ["4^", "13^", "16^", "1^"]]
    assert rows(sheet.back) == [["7v", "10v", "11v", "6v"], ["2^", "15^", "14^", "3^"]]
    assert sheet.turned is Turnover.ABOUT_VERTICAL


def test_a_section_of_sixteen_from_nested_quartos() -> None:
    """Two quarto sheets, one in the other: pages 1-4 and 13-16 outside."""
    plan = plan_of(16, binding=Binding.SECTIONS, trim=A5, sheet=SRA3, up=4)
    outer, inner = plan.sheets
    assert rows(outer.front) == [["13v", "4v"], ["16^", "1^"]]
    assert rows(outer.back) == [["3v", "14v"], ["2^", "15^"]]
    assert rows(inner.front) == [["9v", "8v"], ["12^", "5^"]]
    assert rows(inner.back) == [["7v", "10v"], ["6^", "11^"]]
    assert [step.sheets for step in plan.gathering] == [(1, 2)]


def test_creep_restarts_with_each_section() -> None:
    plan = plan_of(48, binding=Binding.SECTIONS, trim=A5, sheet=SRA3, up=4, caliper=mm("0.1"))
    shifts = {p.leaf: p.shift for s in plan.sheets for p in s.front.placements}
    one = [mm("0.1") * depth for depth in (0, 1, 2, 3, 3, 2, 1, 0)]
    assert [shifts[leaf] for leaf in range(1, 25)] == one * 3
    assert plan.creep.total == mm("0.3")


def test_the_shortened_section_goes_before_the_last() -> None:
    plan = plan_of(
        72,
        binding=Binding.SECTIONS,
        trim=A5,
        sheet=Size(mm(450), mm(640)),
        last_section="short",
    )
    sheets = {sheet.number: sheet for sheet in plan.sheets}
    leaves = [
        len({p.leaf for n in step.sheets for p in sheets[n].front.placements})
        for step in plan.gathering
    ]
    assert leaves == [8, 8, 8, 4, 8]
    assert plan.reading_order() == tuple(range(1, 73))
    short = sheets[plan.gathering[3].sheets[0]]
    assert short.section == 4
    assert rows(short.front) == [["53v", "52v"], ["56^", "49^"]]


def test_a_shortened_section_of_twelve_is_a_quarto_round_a_folio() -> None:
    plan = plan_of(
        28,
        binding=Binding.SECTIONS,
        trim=A5,
        sheet=Size(mm(450), mm(640)),
        last_section="short",
    )
    assert [step.sheets for step in plan.gathering] == [(1, 2), (3,)]
    assert [len(sheet.front.placements) for sheet in plan.sheets] == [4, 2, 8]


def test_the_last_section_is_filled_with_blanks_by_default() -> None:
    plan = plan_of(20, binding=Binding.SECTIONS, trim=A5, sheet=Size(mm(450), mm(640)))
    assert plan.faces == 32
    assert found(plan, "blanks-added").message == (
        "12 blank pages added at the end: 20 pages make 32"
    )


def test_a_measured_creep_of_a_deep_section_is_not_given_to_a_shallow_one() -> None:
    plan = plan_of(
        24,
        binding=Binding.SECTIONS,
        trim=A5,
        sheet=A4,
        up=2,
        last_section="short",
        creep_total=mm("0.6"),
    )
    by_section: dict[int, list[Length]] = {}
    for sheet in plan.sheets:
        by_section.setdefault(sheet.section, []).append(sheet.front.placements[0].shift)
    assert by_section[1] == [ZERO, mm("0.2")]
    assert by_section[2] == [ZERO, mm("0.2"), mm("0.4"), mm("0.6")]


def test_allowances_are_per_page_and_the_glued_gap_is_twice_the_grind() -> None:
    plan = plan_of(
        16,
        binding=Binding.PERFECT,
        trim=A6,
        sheet=SRA3.turned,
        section_pages=16,
        up=8,
        grind=mm(2),
        head_allowance=mm(4),
        fore_edge_allowance=mm(3),
        caliper=mm("0.1"),
    )
    lower = sorted((p for p in plan.sheets[0].front.placements if not p.upside_down), key=_left)
    gaps = [
        b.art.x0 + b.shift - (a.art.x1 - a.shift)
        for a, b in zip(lower[::2], lower[1::2], strict=True)
    ]
    assert gaps == [mm(4), mm(4)]
    middle = lower[2].art.x0 - lower[2].shift - (lower[1].art.x1 + lower[1].shift)
    assert middle == mm(6)
    upper = max(p.trim.y0 for p in plan.sheets[0].front.placements)
    assert upper - lower[0].trim.y1 == mm(8)


def test_a_lip_makes_one_half_longer_and_moves_the_fold() -> None:
    for on, wide in (("front", Edge.RIGHT), ("back", Edge.LEFT)):
        plan = plan_of(
            4,
            binding=Binding.SADDLE,
            trim=A5,
            sheet=Size(mm(320), mm(220)),
            lip=mm(8),
            lip_on=on,
        )
        sheet = plan.sheets[0]
        fold = sheet.folds[0].at
        halves = {Edge.RIGHT: sheet.size.width - fold, Edge.LEFT: fold}
        assert halves[wide] - halves[wide.opposite] == mm(8)
        first = next(p for p in sheet.front.placements if p.position == 1)
        assert first.trim.x0 == fold
        behind = next(p for p in sheet.back.placements if p.position == 2)
        assert behind.trim.x1 == sheet.size.width - fold


# -- several leaves a sheet --------------------------------------------------------------


def test_cut_piles_laid_on_each_other_read_through() -> None:
    """20 pages four up are 10 leaves on 3 sheets: piles of 3, 3, 3 and 1."""
    plan = plan_of(20, binding=Binding.PERFECT, trim=A6, sheet=SRA3, up=4)
    assert [[p.page for p in sheet.front.placements] for sheet in plan.sheets] == [
        [1, 7, 13, 19],
        [3, 9, 15],
        [5, 11, 17],
    ]
    assert [(step.cell, step.sheets) for step in plan.gathering] == [
        (0, (1, 2, 3)),
        (1, (1, 2, 3)),
        (2, (1, 2, 3)),
        (3, (1,)),
    ]
    sheets = {sheet.number: sheet for sheet in plan.sheets}
    read = [
        side.placements[step.cell or 0].page
        for step in plan.gathering
        for number in step.sheets
        for _, side in sheets[number].sides
    ]
    assert read == list(range(1, 21))


def test_repeats_print_the_same_leaf_in_every_place() -> None:
    plan = plan_of(4, binding=Binding.LOOSE, trim=A6, sheet=SRA3, up=4, order=Order.REPEAT)
    assert [[p.page for p in sheet.front.placements] for sheet in plan.sheets] == [[1] * 4, [3] * 4]
    assert [[p.page for p in sheet.back.placements] for sheet in plan.sheets] == [[2] * 4, [4] * 4]
    assert plan.reading_order() == (1, 2, 3, 4)


def test_what_is_cut_before_binding_is_trim_grind_and_trim_off() -> None:
    """Trim 105 x 148, grind 3 mm, trim-off 1/8 in = 3.175 mm: 111.175 x 154.35 (own arithmetic)."""
    plan = plan_of(8, binding=Binding.PERFECT, trim=A6, sheet=SRA3, up=4, grind=mm(3))
    early = {cut.id for cut in plan.cuts if cut.when is When.BEFORE_BINDING}
    lines = [line for line in plan.sheets[0].lines if line.of in early]
    xs = sorted(line.x0.grains for line in lines if line.upright)
    ys = sorted(line.y0.grains for line in lines if not line.upright)
    assert [Length(b - a) for a, b in pairwise(xs)] == [mm("111.175")] * 2
    assert [Length(b - a) for a, b in pairwise(ys)] == [mm("154.35")] * 2
    assert [cut.id for cut in plan.cuts if cut.when is When.AFTER_BINDING] == [
        "head",
        "foot",
        "fore-edge",
    ]


def test_loose_leaves_keep_bleed_apart_with_a_gutter_of_twice_the_bleed() -> None:
    plan = plan_of(8, binding=Binding.LOOSE, trim=A6, sheet=SRA3, up=4, supplied=mm(3))
    left, right = sorted({p.trim.x0.grains for p in plan.sheets[0].front.placements})
    assert Length(right - left) == A6.width + mm(6)
    assert all(p.bleed == PageSides.all(mm(3)) for p in plan.sheets[0].front.placements)


# -- flips -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sheet", "trim", "flip", "upside_down"),
    [
        (A4.turned, A5, Flip.SHORT_EDGE, False),
        (A4.turned, A5, Flip.LONG_EDGE, True),
        (A4, Size(mm(100), mm(290)), Flip.LONG_EDGE, False),
        (A4, Size(mm(100), mm(290)), Flip.SHORT_EDGE, True),
    ],
    ids=["landscape short", "landscape long", "portrait long", "portrait short"],
)
def test_a_home_duplexer_s_flip_decides_how_the_back_is_printed(
    sheet: Size, trim: Size, flip: Flip, upside_down: bool
) -> None:
    plan = plan_of(4, binding=Binding.SADDLE, trim=trim, sheet=sheet, flip=flip)
    (one,) = plan.sheets
    assert one.size == sheet
    back = one.back.placements
    assert {p.upside_down for p in back} == {upside_down}
    assert {p.turn for p in back} == {180 if upside_down else 0}
    # Turned about the horizontal, page 2 stays behind page 1: at the right of the sheet.
    assert pages_on(one.back) == ([3, 2] if upside_down else [2, 3])


def test_the_printer_s_flip_counts_where_the_job_says_none() -> None:
    printer = Printer(name="duplexer", flip=Flip.LONG_EDGE)
    plan = plan_of(4, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=printer)
    assert plan.sheets[0].turned is Turnover.ABOUT_HORIZONTAL
    said = plan_of(
        4, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=printer, flip=Flip.SHORT_EDGE
    )
    assert said.sheets[0].turned is Turnover.ABOUT_VERTICAL


# -- presses -----------------------------------------------------------------------------


def press(leads: LeadingEdge = LeadingEdge.LONG) -> Printer:
    return Printer(
        name="the press", press=True, leads=leads, lead=mm(12), tail=mm(5), left=mm(4), right=mm(4)
    )


def test_a_gripper_pushes_the_layout_off_the_centre_only_as_far_as_it_must() -> None:
    far = plan_of(4, binding=Binding.SADDLE, trim=A5, sheet=Size(mm(320), mm(240)), printer=press())
    near = plan_of(
        4, binding=Binding.SADDLE, trim=A5, sheet=Size(mm(320), mm(225)), printer=press()
    )
    assert far.sheets[0].front.placements[0].trim.y0 == mm(15)
    assert near.sheets[0].front.placements[0].trim.y0 == mm(12)


@pytest.mark.parametrize("bound_at", [BoundAt.LEFT, BoundAt.RIGHT])
def test_a_gripper_at_the_side_is_kept_free_whichever_side_is_bound(bound_at: BoundAt) -> None:
    """The short edge leads a sheet that lies wide: its gripper is at the left of both sides when
    it is turned about the horizontal."""
    plan = plan_of(
        4,
        binding=Binding.SADDLE,
        trim=A5,
        sheet=Size(mm(312), mm(230)),
        printer=press(LeadingEdge.SHORT),
        flip=Flip.LONG_EDGE,
        bound_at=bound_at,
        supplied=mm(3),
    )
    for _, side in plan.sheets[0].sides:
        assert min(p.clip.x0 for p in side.placements) >= mm(12)
        assert max(p.clip.x1 for p in side.placements) <= mm(312)


def test_equal_margins_do_not_hide_where_the_gripper_is() -> None:
    even = Printer(
        name="even",
        press=True,
        leads=LeadingEdge.SHORT,
        lead=mm(6),
        tail=mm(6),
        left=mm(6),
        right=mm(6),
    )
    plan = plan_of(
        2,
        binding=Binding.LOOSE,
        trim=A5,
        sheet=Size(mm(218), mm(150)),
        bound_at=BoundAt.HEAD,
        printer=even,
        flip=Flip.LONG_EDGE,
    )
    assert plan.sheets[0].front.placements[0].trim.x0 == mm(6)


# -- refused, with both numbers ----------------------------------------------------------


def test_a_sheet_that_is_too_small_for_two_pages() -> None:
    fault = refused(binding=Binding.SADDLE, trim=A5, sheet=A5)
    assert fault.code == "sheet-too-small"
    assert fault.message == (
        "there is no room for 2 pages on a side (296 x 210 mm) on sheet0 (148 x 210 mm), "
        "either way round"
    )


def test_a_sheet_that_is_too_small_less_a_gripper() -> None:
    fault = refused(binding=Binding.SADDLE, trim=A5, sheet=A4, printer=press())
    assert fault.message == (
        "there is no room for 2 pages on a side (296 x 210 mm) on sheet0 (210 x 297 mm), "
        "less the gripper of the press, either way round"
    )


def test_a_sheet_that_is_too_small_for_a_leaf_and_its_grind() -> None:
    fault = refused(binding=Binding.PERFECT, trim=A5, sheet=Size(mm(150), mm(210)), grind=mm(3))
    assert "a leaf with its grind (151 x 210 mm) on sheet0 (150 x 210 mm)" in fault.message


def test_a_sheet_that_is_too_small_for_a_number_of_leaves() -> None:
    """Four A6 leaves with 1/8 in at three sides: 2 x 108.175 wide and 2 x 154.35 high."""
    fault = refused(binding=Binding.PERFECT, trim=A6, sheet=A4, up=4)
    assert "4 leaves with what is cut off (216.35 x 308.7 mm) on sheet0" in fault.message


def test_pages_of_another_size_are_named_with_both_sizes() -> None:
    asked = asked_for(3, binding=Binding.SADDLE, trim=A5, sheet=A4)
    other = asked_for(3, binding=Binding.SADDLE, trim=A4, sheet=A3)
    pages = (asked.pages[0], *other.pages[1:])
    with pytest.raises(JobError) as caught:
        plan_sheets(asked.job, pages, (1, 2, 3), ["pages.pdf"])
    (fault,) = caught.value.faults
    assert (fault.code, fault.pages) == ("page-size", (2, 3))
    assert fault.message == "pages 2-3: 210 x 297 mm, the trim is 148 x 210 mm"


def test_bleed_larger_than_half_the_gutter() -> None:
    fault = refused(binding=Binding.LOOSE, trim=A6, sheet=SRA3, up=4, bleed=mm(3), gutter=mm(4))
    assert fault.code == "bleed-gutter"
    assert fault.message == (
        "a bleed of 3 mm on both sides needs a gutter of 6 mm; the gutter is 4 mm"
    )


def test_bleed_larger_than_what_is_trimmed_off() -> None:
    fault = refused(binding=Binding.PERFECT, trim=A6, sheet=SRA3, up=4, bleed=mm(5), trim_off=mm(3))
    assert fault.code == "bleed-trim-off"
    assert fault.message == "a bleed of 5 mm needs at least as much to trim off; trim_off is 3 mm"


@pytest.mark.parametrize(
    ("up", "side", "words"),
    [(4, "head", "heads"), (8, "fore_edge", "fore-edges"), (16, "foot", "feet")],
)
def test_a_closed_fold_that_nothing_is_cut_off(up: int, side: str, words: str) -> None:
    fault = refused(
        binding=Binding.SECTIONS,
        trim=A6,
        sheet=Size(mm(640), mm(900)),
        section_pages=32,
        up=up,
        **{f"{side}_allowance": ZERO},
    )
    assert fault.code == "closed-fold"
    assert f"with {up} pages on a side the {words} lie at a fold" in fault.message
    assert f"{side}_allowance is 0 mm" in fault.message


def test_without_a_word_about_up_a_fold_that_opens_is_chosen() -> None:
    plan = plan_of(
        16, binding=Binding.SECTIONS, trim=A6, sheet=SRA3, head_allowance=ZERO, section_pages=16
    )
    assert {len(sheet.front.placements) for sheet in plan.sheets} == {2}


def test_a_number_of_pages_that_no_fold_gives() -> None:
    assert "up = 6" in refused(binding=Binding.SADDLE, trim=A6, sheet=SRA3, up=6).message
    fault = refused(binding=Binding.SECTIONS, trim=A6, sheet=SRA3, up=8, section_pages=8)
    assert "up = 8 makes sheets of 16 pages; a section of 8 pages" in fault.message


def test_a_sheet_that_the_printer_does_not_take() -> None:
    printer = Printer(name="the printer", sheet_max=Size(mm(216), mm(356)))
    fault = refused(binding=Binding.SADDLE, trim=A4, sheet=A3, printer=printer)
    assert fault.code == "sheet-printer"
    assert "(297 x 420 mm) is too large for the printer, whose limit is 216 x 356 mm" in (
        fault.message
    )


# -- said, with both numbers -------------------------------------------------------------


def test_a_grind_that_does_not_reach_the_inner_leaves() -> None:
    """Levels x caliper: 8 leaves are 4 levels of 0.1 mm (own arithmetic)."""
    what: dict[str, Any] = {
        "binding": Binding.PERFECT,
        "trim": A6,
        "sheet": SRA3.turned,
        "section_pages": 16,
        "up": 8,
        "caliper": mm("0.1"),
    }
    error = found(plan_of(16, grind=mm("0.3"), **what), "grind-too-small")
    assert error.severity is Severity.ERROR
    assert "the grind is 0.3 mm; sections of 4 nested levels of 0.1 mm need 0.4 mm" in (
        error.message
    )
    assert "grind-too-small" not in codes(plan_of(16, grind=mm("0.4"), **what))


def test_a_grind_of_sewn_sections_is_not_used_and_that_is_said() -> None:
    what: dict[str, Any] = {"binding": Binding.SECTIONS, "trim": A5, "sheet": SRA3, "up": 4}
    plan = plan_of(16, grind=mm(3), **what)
    assert "the grind of 3 mm is not used" in found(plan, "grind-unused").message
    assert plan.grind == ZERO
    assert plan.sheets == plan_of(16, **what).sheets
    fault = refused(2, binding=Binding.STAB, trim=A5, sheet=A4, grind=mm(3))
    assert fault.message == "grind is 3 mm, but the spine of a stab book is not ground"


def test_bleed_that_is_asked_for_and_not_supplied() -> None:
    plan = plan_of(4, binding=Binding.SADDLE, trim=A5, sheet=SRA3, supplied=mm(2), bleed=mm(3))
    warning = found(plan, "bleed-missing")
    assert warning.message == (
        "a bleed of 3 mm is asked for; 4 of 4 pages have less, the least is 2 mm"
    )
    assert warning.pages == (1, 2, 3, 4)


def test_pages_that_reach_into_the_white_margin_of_a_printer() -> None:
    printer = Printer(name="the printer", lead=mm(5), tail=mm(5), left=mm(4), right=mm(4))
    plan = plan_of(4, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=printer)
    note = found(plan, "unprintable-margin")
    assert "the printer cannot print (up to 5 mm)" in note.message
    assert "left, right, lower, upper" in note.message


def test_a_deep_margin_may_be_reached_on_the_back_alone() -> None:
    """Turned about the horizontal, the deep margin at the trailing end lies at the foot of the
    front's paper on the back."""
    printer = Printer(name="the printer", tail=mm(12), flip=Flip.SHORT_EDGE)
    plan = plan_of(
        2,
        binding=Binding.STAB,
        trim=A5,
        sheet=Size(mm(160), mm(230)),
        up=1,
        lay="foot",
        trim_off=mm(5),
        printer=printer,
    )
    assert plan.sheets[0].turned is Turnover.ABOUT_HORIZONTAL
    note = found(plan, "unprintable-margin")
    assert "(up to 12 mm) at the upper edge of its back: what" in note.message


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ((Length.points("419.53"), Length.points("595.28")), "148 x 210 mm"),
        (
            (Length.points(420), Length.points(595)),
            "~148.167 x ~209.903 mm, which is meant as A5, 148 x 210 mm",
        ),
    ],
)
def test_a_page_with_few_decimals_is_the_size_it_is_meant_to_be(
    written: tuple[Length, Length], words: str
) -> None:
    """Two pages of 148.167 mm do not go on A4; A5 was meant (both are usual ways to write it)."""
    asked = asked_for(8, binding=Binding.SADDLE, trim=Size(*written), sheet=A4)
    sizes = (NamedSize(size=Size(mm(210), mm(297)), name="A4"), NamedSize(size=A5, name="A5"))
    plan = replace(asked, job=replace(asked.job, trim=None, page_sizes=sizes)).planned()
    assert plan.trim == A5 and len(plan.sheets) == 2
    said = found(plan, "trim-from-page").message
    assert said == f"no trim size was given: taken from all pages, {words}"


def test_a_trim_that_nobody_named_is_taken_from_the_pages() -> None:
    asked = asked_for(3, binding=Binding.SADDLE, trim=A5, sheet=A4)
    plan = replace(asked, job=replace(asked.job, trim=None)).planned()
    assert plan.trim == A5
    assert found(plan, "trim-from-page").message == (
        "no trim size was given: taken from all pages, 148 x 210 mm"
    )
