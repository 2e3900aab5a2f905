"""The cut program: what it says, what it refuses, what it counts."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from benchplans import BLEED, cut_plan, job_for, library, plan_for, with_cutter
from benchreplay import leaves_in_book, operator_for, outline, same
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from impose.bench.axis import Axis, runs, ways
from impose.bench.grid import Grid, best_order
from impose.bench.outline import outline_of
from impose.bench.program import add_cuts
from impose.bench.proving import Proof, prove
from impose.bench.sheetgrid import sheet_cuts
from impose.errors import PlanMismatchError
from impose.findings import Finding, Severity
from impose.geometry.box import Size
from impose.model.job import Cover, Job, NamedSize, Order
from impose.model.machines import Cutter
from impose.plan.cutsteps import CutStep, EdgeState, Setting, StepKind, Turn
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.plan.wire import to_data
from impose.schemes.coverplan import add_cover
from impose.units import Length

OFFICE = library().cutter("guillotine-office")


def cuts_of(plan: Plan) -> list[CutStep]:
    return [step for step in plan.cut_steps if step.kind is StepKind.CUT]


def found(plan: Plan, code: str) -> list[Finding]:
    return [finding for finding in plan.findings if finding.code == code]


def one_up(cutter: Cutter, pages: int = 40, **options: Any) -> Plan:
    job = job_for(**({"binding": "perfect", "sheet": "a4", "up": 1} | options))
    job = with_cutter(job, cutter)
    return add_cuts(plan_for(job, pages), job)


# -- what the cutter cannot do ---------------------------------------------------------


def test_clamp_too_low_for_one_book_is_an_error_with_both_numbers() -> None:
    plan = one_up(replace(OFFICE, clamp_opening=Length.mm(2)), pages=100)
    (finding,) = found(plan, "clamp-too-low")
    assert finding.severity is Severity.ERROR
    assert finding.numbers["limit"] == "2 mm"
    assert "5.28 mm" in finding.numbers["height"]  # 50 leaves of 80 gsm copy paper


def test_trim_wider_than_the_cutter_is_an_error() -> None:
    plan = one_up(replace(OFFICE, widest=Length.mm(200)))
    assert {f.numbers["limit"] for f in found(plan, "cutter-too-narrow")} == {"200 mm"}
    assert all(f.severity is Severity.ERROR for f in found(plan, "cutter-too-narrow"))


def test_waste_too_narrow_to_hold_is_a_warning() -> None:
    plan = cut_plan(
        40, binding="perfect", sheet="150mm x 213mm", trim="a5", up=1, cutter="guillotine-office"
    )
    warned = found(plan, "waste-too-narrow")
    assert {f.numbers["strip"] for f in warned} == {"1.5 mm"}  # head and foot; the fore-edge has 2
    assert {f.severity for f in warned} == {Severity.WARNING}


def test_gauge_out_of_reach_is_an_error_with_both_numbers() -> None:
    for limits, limit in (({"gauge_max": 200}, "200 mm"), ({"gauge_min": 160}, "160 mm")):
        cutter = replace(OFFICE, **{k: Length.mm(v) for k, v in limits.items()})
        plan = one_up(cutter)
        errors = found(plan, "gauge-out-of-reach")
        assert errors
        assert all(f.severity is Severity.ERROR for f in errors)
        assert {f.numbers["limit"] for f in errors} == {limit}
        told = [s for s in cuts_of(plan) if any("OUT OF REACH" in n for n in s.notes)]
        assert {s.setting.gauge.text("mm") for s in told if s.setting} == {
            f.numbers["gauge"] for f in errors
        }


def test_a_gauge_out_of_reach_from_one_end_is_set_from_the_other_or_the_pile_is_parted() -> None:
    plan = cut_plan(
        90, BLEED, binding="perfect", sheet="sra3", up=4, cutter="guillotine-office", grind="2mm"
    )
    assert not found(plan, "gauge-out-of-reach")
    for step in cuts_of(plan):
        assert step.setting is not None
        assert OFFICE.gauge_min <= step.setting.gauge <= OFFICE.gauge_max
        assert not step.setting.on_marks
    assert cuts_of(plan)[0].title == "Cut off piles 3, 4"  # 441 mm cannot be set: halved first


def test_narrow_pieces_are_cut_while_waste_stays_at_the_gauge() -> None:
    mm = Length.mm
    cutter = replace(OFFICE, gauge_min=mm(60))
    marks = (mm(70), mm(90), mm(110), mm(130))
    axis = Axis(
        length=mm(140),
        cuts=marks,
        kept=(False, True, True, True, False),
        low=EdgeState.LAY,
        high=EdgeState.RAW,
    )
    way = ways(axis, cutter)[0]
    assert all(chop.in_reach(cutter) for chop in way)
    assert [chop.gauge for chop in way] == [mm(130), mm(110), mm(90), mm(70)]
    assert [chop.front for chop in way][1:] == [mm(20)] * 3


def test_a_first_cut_with_no_lay_edge_at_the_stop_is_set_on_the_marks() -> None:
    plan = one_up(replace(OFFICE, trim_order=("head", "foot", "fore-edge")))
    head, foot, _ = cuts_of(plan)
    assert head.setting is not None and foot.setting is not None
    assert head.setting.on_marks
    assert any("crop marks" in note for note in head.notes)
    assert not foot.setting.on_marks


def test_no_cutter_is_said_and_a_hand_cutter_assumed() -> None:
    plan = cut_plan(40, binding="perfect", sheet="a4", up=1)
    assert [f.severity for f in found(plan, "hand-cutter-assumed")] == [Severity.NOTE]
    assert plan.cut_facts is not None and plan.cut_facts.assumed
    assert [f.severity for f in found(plan, "thick-by-hand")] == [Severity.NOTE]
    assert not [f for f in plan.findings if f.severity is Severity.ERROR]
    named = cut_plan(40, binding="perfect", sheet="a4", up=1, cutter="hand")
    assert not found(named, "hand-cutter-assumed")
    assert [f.severity for f in found(named, "thick-by-hand")] == [Severity.WARNING]


def test_nothing_to_trim_is_no_step_and_is_said() -> None:
    plan = cut_plan(16, binding="saddle", sheet="a4", trim="a5", cutter="guillotine-office")
    assert [step.cuts for step in cuts_of(plan)] == [("fore-edge",)]  # creep pushes some out
    assert len(found(plan, "no-cut")) == 1
    assert plan.cut_facts is not None
    assert sum("Nothing to cut at the" in note for note in plan.cut_facts.notes) == 2
    bare = cut_plan(4, binding="saddle", sheet="296mm x 210mm", trim="a5")
    assert not cuts_of(bare) and not bare.cut_steps
    at_size = cut_plan(2, binding="loose", sheet="a5", trim="a5")
    assert not at_size.cut_steps
    assert at_size.cut_facts is not None
    assert "Nothing is cut: the paper is at size." in at_size.cut_facts.notes


def test_leaves_that_reach_unequally_at_the_lay_edge_are_a_warning() -> None:
    plan = cut_plan(
        36, binding="sections", sheet="sra3", section_pages=16, guts={"last_section": "short"}
    )
    assert [f.severity for f in found(plan, "lay-differs")] == [Severity.WARNING]
    even = cut_plan(32, binding="sections", sheet="sra3", section_pages=16)
    assert not found(even, "lay-differs")


# -- piles -----------------------------------------------------------------------------


def test_a_pile_higher_than_the_clamp_is_cut_in_lifts() -> None:
    cutter = replace(OFFICE, clamp_opening=Length.mm(10))
    job = with_cutter(job_for(binding="perfect", sheet="sra3", up=4), cutter)
    plan = add_cuts(plan_for(job, 1200), job)  # 150 sheets
    table = cuts_of(plan)[0].table
    assert table is not None
    each = job.guts.stock.caliper
    assert table.height == each * 150
    a_lift = cutter.clamp_opening // each
    assert table.lifts == -(-150 // a_lift) == 2
    assert each * a_lift <= cutter.clamp_opening


def test_cut_and_stack_says_which_pile_goes_on_which_and_what_is_blank() -> None:
    plan = cut_plan(90, binding="perfect", sheet="sra3", up=4)
    (stack,) = [step for step in plan.cut_steps if step.kind is StepKind.STACK]
    assert stack.title == (
        "Lay the piles on each other: from the top pile 1, pile 2, pile 3 and pile 4"
    )
    # 45 leaves on 12 sheets: the last pile has 9 of 12.
    assert "First take 3 blank leaves away from the bottom of pile 4." in stack.notes


def test_piles_without_a_leaf_are_said_to_be_blank() -> None:
    plan = cut_plan(10, binding="loose", trim="a6", sheet="sra3", up=8)  # 5 leaves, 8 places
    (stack,) = [step for step in plan.cut_steps if step.kind is StepKind.STACK]
    assert stack.title.endswith("pile 4 and pile 5")
    assert "The piles after pile 5 are blank." in stack.notes


def test_piles_of_repeats_stay_apart() -> None:
    plan = cut_plan(8, binding="loose", trim="a6", sheet="a4", guts={"order": Order.REPEAT})
    (stack,) = [step for step in plan.cut_steps if step.kind is StepKind.STACK]
    assert "apart" in stack.title


def test_paper_and_count() -> None:
    plan = cut_plan(40, binding="perfect", trim="half letter", sheet="letter", up=1, units="in")
    facts = plan.cut_facts
    assert facts is not None
    assert (facts.sheets, facts.overs) == (20, 0)
    assert any("spoilage" in note for note in facts.notes)
    assert facts.waste == 50  # half letter is half of letter
    # 20 lb bond: 500 sheets of 17 x 22 in weigh 20 lb (CIP4 XJDF App. B), so 20 letter
    # sheets, a quarter of that size each, weigh 0.2 lb of 453.59237 g; the profile's 75.2 gsm
    # is that rounded.
    assert facts.weight is not None
    assert abs(facts.weight - Fraction("90.718")) < Fraction(1, 2)


# -- order and words -------------------------------------------------------------------


def test_centred_leaves_lose_their_spine_side_before_binding() -> None:
    job = job_for(
        binding="perfect",
        sheet="a4",
        guts={"centred": True},
        grind="2mm",
        cutter="guillotine-office",
    )
    plan = add_cuts(plan_for(job, 40), job)
    first = cuts_of(plan)[0]
    assert (first.when, first.cuts) == (When.BEFORE_BINDING, ("spine",))
    assert first.present is not None and first.setting is not None
    assert (first.present.at_gauge, first.present.state) == ("right", EdgeState.LAY)
    # A4 is 210 wide, the trim of 148 is centred at 31, the spine cut at 31 - 2.
    assert first.setting.gauge == Length.mm(210 - 29)


def test_grind_gives_both_distances() -> None:
    plan = cut_plan(
        40,
        binding="perfect",
        trim="half letter",
        sheet="letter",
        up=1,
        grind="1/8in",
        units="in",
        cutter="guillotine-office",
    )
    (bind,) = [step for step in plan.cut_steps if step.kind is StepKind.BIND]
    assert any("5.625 in" in note and "5.5 in" in note for note in bind.notes)
    fore = cuts_of(plan)[-1]
    assert fore.setting is not None
    assert fore.setting.gauge == Length.inches("5.5")
    assert fore.setting.reading == "5 1/2 in"


def test_gripper_and_side_lay_of_a_press_are_the_lay_edges() -> None:
    plan = cut_plan(
        64,
        binding="perfect",
        sheet="450mm x 640mm",
        printer="large-press",
        cutter="guillotine-hydraulic",
    )
    assert plan.cut_facts is not None
    # the long edge leads: it lies at the left of the file, and what is left of it at the top
    assert plan.cut_facts.lay_edges == ("top", "left")


def test_finished_sizes_are_set_from_true_or_lay_edges_only() -> None:
    for options in ({"trim": "a6", "sheet": "sra3"}, {"trim": "a7", "sheet": "500mm x 700mm"}):
        plan = cut_plan(64, BLEED, binding="loose", cutter="guillotine-hydraulic", **options)
        states = {step.present.state for step in cuts_of(plan) if step.present}
        assert EdgeState.RAW not in states


# -- covers ----------------------------------------------------------------------------


def covered(flap: Length | None, **options: Any) -> tuple[Plan, Job]:
    job = job_for(cutter="guillotine-hydraulic", **options)
    sheet = NamedSize(size=Size(Length.mm(600), Length.mm(320)), name="cover sheet")
    stock = library().stock("silk-cover-250gsm")
    cover = Cover(stock=stock, sheets=(sheet,), flap_front=flap, flap_back=flap)
    job = replace(job, cover=cover)
    return add_cuts(add_cover(plan_for(job, 96, BLEED), job, []), job), job


@pytest.mark.parametrize("bound_at", ["left", "right"])
@pytest.mark.parametrize("binding", ["perfect", "sections", "saddle"])
def test_the_block_is_the_union_of_guts_and_cover(binding: str, bound_at: str) -> None:
    sheet = "a4" if binding == "perfect" else "sra3"
    plan, _ = covered(None, binding=binding, sheet=sheet, bound_at=bound_at)
    assert plan.cover is not None
    data = to_data(plan)
    block = outline(leaves_in_book(data), 0.0)
    cover = plan.cover
    around = box(
        0,
        -float(cover.foot.as_points),
        float(cover.front_distance.as_points),
        float((plan.leaf.height + cover.head).as_points),
    )
    left = operator_for(plan).trim_book(box(*block.union(around).bounds))
    width, height = (float(n.as_points) for n in (plan.leaf.width, plan.leaf.height))
    assert same(left, box(0, 0, width, height))
    foot = cuts_of(plan)[0]
    assert foot.setting is not None
    assert foot.setting.gauge == plan.leaf.height + cover.head
    if cover.head > cover.guts.head:
        assert "cover" in foot.setting.reckoned_from


@pytest.mark.parametrize("binding", ["perfect", "sections"])
def test_with_flaps_the_fore_edge_is_cut_before_the_cover_goes_on(binding: str) -> None:
    sheet = "a4" if binding == "perfect" else "sra3"
    plan, _ = covered(Length.mm(60), binding=binding, sheet=sheet, grind="2mm")
    kinds = [(s.kind, s.table.things if s.table else "", s.cuts) for s in plan.cut_steps]
    assert [cuts for _, things, cuts in kinds if things == "book"] == [
        ("fore-edge",),
        ("foot",),
        ("head",),
    ]
    bind = [kind for kind, _, _ in kinds].index(StepKind.BIND)
    assert kinds[bind - 1][2] == ("fore-edge",)
    fore = plan.cut_steps[bind - 1]
    assert fore.setting is not None
    assert fore.setting.gauge == plan.leaf.width + plan.grind  # from the unground edge
    ends = [s for s in cuts_of(plan) if s.table and s.table.things == "cover"]
    assert {cut for step in ends for cut in step.cuts} == {"cover-front", "cover-back"}
    assert plan.cut_facts is not None and "flaps" in plan.cut_facts.order_from


@pytest.mark.parametrize("bound_at", ["left", "right"])
@pytest.mark.parametrize("binding", ["perfect", "sections"])
def test_flaps_replayed_by_someone_who_reads_only_the_list(binding: str, bound_at: str) -> None:
    """The cover keeps flaps and panels to a hair; the guts end at the trim under them."""
    sheet = "a4" if binding == "perfect" else "sra3"
    grind = "2mm" if binding == "perfect" else None
    plan, _ = covered(Length.mm(60), binding=binding, sheet=sheet, grind=grind, bound_at=bound_at)
    data = to_data(plan)
    cover = plan.cover
    assert cover is not None
    width, height = next(s["size"] for s in data["sheets"] if s["role"] == "cover")
    paper = operator_for(plan).cut_paper("cover", width, height)["cover"]
    x0, _, x1, _ = paper.bounds
    open_cover = cover.panel.width * 2 + cover.spine.width + Length.mm(60) * 2
    assert abs(x1 - x0 - float(open_cover.as_points)) < 1e-6
    for cut in data["cuts"]:  # the leaves as they are gathered, the fore-edge not cut yet
        cut["when"] = "after binding" if cut["id"] == "fore-edge" else cut["when"]
    gathered = outline(leaves_in_book(data), 0.0)
    left = operator_for(plan).cut_gathered(gathered)
    assert abs(left.bounds[2] - float(plan.leaf.width.as_points)) < 1e-6
    bound = box(
        left.bounds[0] + float(plan.grind.as_points),
        -float(cover.foot.as_points),
        left.bounds[2],
        float((plan.leaf.height + cover.head).as_points),
    )
    book = operator_for(plan).trim_book(box(*bound.union(left).bounds))
    assert abs(book.bounds[1]) < 1e-6
    assert abs(book.bounds[3] - float(plan.leaf.height.as_points)) < 1e-6


# -- refusal ---------------------------------------------------------------------------


def changed(plan: Plan, index: int, **fields: Any) -> tuple[CutStep, ...]:
    steps = list(plan.cut_steps)
    steps[index] = replace(steps[index], **fields)
    return tuple(steps)


def proof_of(plan: Plan, job: Job) -> Proof:
    return Proof(sheet_cuts(plan, job), None, outline_of(plan))


def test_a_program_that_does_not_leave_the_trims_is_refused() -> None:
    job = job_for(binding="perfect", sheet="sra3", up=4, cutter="guillotine-office")
    plan = add_cuts(plan_for(job, 90, BLEED), job)
    proof = proof_of(plan, job)
    prove(plan, proof, plan.cut_steps)
    for index, step in enumerate(plan.cut_steps):
        if step.setting is None:
            continue
        off = replace(step.setting, gauge=step.setting.gauge + Length.mm("0.1"))
        with pytest.raises(PlanMismatchError):
            prove(plan, proof, changed(plan, index, setting=off))
        with pytest.raises(PlanMismatchError):
            prove(plan, proof, plan.cut_steps[:index] + plan.cut_steps[index + 1 :])
    wrong_edge = next(i for i, s in enumerate(plan.cut_steps) if s.cuts == ("head",))
    present = plan.cut_steps[wrong_edge].present
    assert present is not None
    with pytest.raises(PlanMismatchError):
        turned = replace(present, at_gauge="head")
        prove(plan, proof, changed(plan, wrong_edge, present=turned))


def test_a_gauge_beyond_the_pile_is_refused() -> None:
    job = job_for(binding="perfect", sheet="a4", up=1)
    plan = add_cuts(plan_for(job, 40), job)
    far = Setting(gauge=Length.mm(900), reading="900 mm", reckoned_from="")
    with pytest.raises(PlanMismatchError, match="900 mm"):
        prove(plan, proof_of(plan, job), changed(plan, 1, setting=far))


def test_the_same_job_gives_the_same_program() -> None:
    one, other = (cut_plan(90, BLEED, binding="perfect", sheet="sra3", up=4) for _ in range(2))
    assert one.cut_steps == other.cut_steps and one.cut_facts == other.cut_facts


# -- laws of the order -----------------------------------------------------------------


@st.composite
def axes(draw: st.DrawFn) -> Axis:
    widths = draw(st.lists(st.integers(2, 120), min_size=1, max_size=7))
    kept = [draw(st.booleans()) for _ in widths]
    kept[draw(st.integers(0, len(widths) - 1))] = True
    cuts, at = [], 0
    for width in widths[:-1]:
        at += width
        cuts.append(Length.mm(at))
    lay = draw(st.booleans())
    return Axis(
        length=Length.mm(at + widths[-1]),
        cuts=tuple(cuts),
        kept=tuple(kept),
        low=EdgeState.LAY if lay else EdgeState.RAW,
        high=EdgeState.RAW if lay else EdgeState.LAY,
    )


def plain_cost(grid: Grid, cutter: Cutter) -> tuple[int, int]:
    """Turns and settings of rows first, then each strip from its first cut to its last.

    Every strip is turned a quarter once, and half round as often as its cuts need.
    """
    rows, columns = (ways(axis, cutter)[0] for axis in (grid.y, grid.x))
    strips = sum(grid.y.kept)
    halves = [max(0, len(runs(way)) - 1) for way in (rows, columns)]
    quarters = strips if rows and columns else 0
    return (
        halves[0] + quarters + (strips * halves[1] if columns else 0),
        len(rows) + strips * len(columns),
    )


@given(x=axes(), y=axes(), least=st.integers(1, 60), most=st.integers(200, 900))
@settings(max_examples=80, deadline=None)
def test_never_worse_than_rows_then_columns(x: Axis, y: Axis, least: int, most: int) -> None:
    cutter = replace(OFFICE, gauge_min=Length.mm(least), gauge_max=Length.mm(most))
    grid = Grid(x=x, y=y)
    order, _ = best_order(grid, cutter)
    turns, settings_ = plain_cost(grid, cutter)
    assert order.count.turns <= turns
    assert order.count.settings <= settings_


@given(axis=axes(), least=st.integers(1, 60))
@settings(max_examples=80, deadline=None)
def test_every_mark_is_cut_once_and_each_gauge_is_true(axis: Axis, least: int) -> None:
    cutter = replace(OFFICE, gauge_min=Length.mm(least), gauge_max=Length.mm(900))
    for way in ways(axis, cutter):
        assert sorted(chop.at for chop in way) == list(range(1, len(axis.cuts) + 1))
        parts = {(0, len(axis.cuts) + 1)}
        for chop in way:
            parts.remove((chop.first, chop.last))
            parts |= {(chop.first, chop.at), (chop.at, chop.last)}
            ends = axis.points[chop.first], axis.points[chop.last]
            place = axis.points[chop.at]
            assert chop.gauge == (place - ends[0] if chop.low_at_gauge else ends[1] - place)


def test_turn_words_are_the_four_there_are() -> None:
    assert {turn.value for turn in Turn} == {
        "quarter turn left",
        "quarter turn right",
        "half turn",
        "turned over",
    }


def test_cards_for_a_rule_and_a_knife_have_every_line_at_one_glance() -> None:
    """Ten cards of 85 x 55 mm on A4: 20 mm are left at both sides, 11 mm at head and foot."""
    plan = cut_plan(2, binding="loose", trim="85mm x 55mm", sheet="a4", order="repeat",
                    cutter="hand")  # fmt: skip
    (line,) = (note for note in plan.cut_steps[0].notes if note.startswith("The lines"))
    assert "from the left edge 20 mm, 105 mm, 190 mm" in line
    assert "from the top edge 11 mm, 66 mm, 121 mm, 176 mm, 231 mm, 286 mm" in line
    plan = cut_plan(2, binding="loose", trim="85mm x 55mm", sheet="a4", cutter="guillotine-office")
    assert not any(note.startswith("The lines") for note in plan.cut_steps[0].notes)


def test_pages_a_hair_larger_than_their_trim_have_no_bleed() -> None:
    """0.1 mm of paper beyond the trim would part every two leaves by a strip of 0.2 mm."""
    plan = cut_plan(32, Length.mm("0.1"), binding="loose", trim="74mm x 52mm", sheet="a4")
    falls = [step.falls for step in plan.cut_steps if step.falls is not None and step.falls.waste]
    assert all(part.size.height > Length.mm("0.4") for part in falls)
    assert not any("strip between" in step.title for step in plan.cut_steps)
