"""The cut program against published figures; each names its source.

GRAY: Niel Gray Jr., Paper-Cutting Machines, UTA Typographic Technical Series
Part I No. 10 (1918).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from benchplans import BLEED, cut_plan, job_for, plan_for

from impose.bench.axis import Axis, ways
from impose.bench.grid import Grid, best_order
from impose.bench.handcutter import HAND
from impose.bench.program import add_cuts
from impose.geometry.box import Size
from impose.model.machines import Cutter
from impose.plan.cutsteps import CutStep, EdgeState, StepKind
from impose.plan.plan import Plan
from impose.units import Length

BIG = Cutter(
    name="any large guillotine",
    widest=Length.inches(60),
    gauge_min=Length.inches(1),
    gauge_max=Length.inches(60),
    clamp_opening=Length.inches(4),
)


def cuts_of(plan: Plan) -> list[CutStep]:
    return [step for step in plan.cut_steps if step.kind is StepKind.CUT]


def gauges(plan: Plan) -> list[Length]:
    return [step.setting.gauge for step in cuts_of(plan) if step.setting]


def sides(plan: Plan) -> list[str]:
    return [step.cuts[0] for step in cuts_of(plan)]


def axis(length: Length, *cuts: Length, kept: tuple[bool, ...]) -> Axis:
    return Axis(length=length, cuts=cuts, kept=kept, low=EdgeState.LAY, high=EdgeState.RAW)


def test_halving_a_sheet_of_40_inches_in_two_cuts() -> None:
    """technifoldusa.com, bindery-success-blog, 22 Dec 2011: gauge 39.940, then 19.970."""
    squared, half = Length.inches("39.940"), Length.inches("19.970")
    way = ways(axis(Length.inches(40), half, squared, kept=(True, True, False)), BIG)[0]
    assert [chop.gauge for chop in way] == [squared, half]
    assert [chop.state for chop in way] == [EdgeState.LAY, EdgeState.LAY]
    assert [chop.front_kept for chop in way] == [False, True]


def test_nested_cut_blocks() -> None:
    """CIP4 XJDF schema samples, NestedCutBlock: a sheet of 1200 x 600 (points) first in blocks
    of 0-400 and 400-1200, then each halved at 300 high."""
    pt = Length.points
    grid = Grid(
        x=axis(pt(1200), pt(400), kept=(True, True)), y=axis(pt(600), pt(300), kept=(True, True))
    )
    order, plain = best_order(grid, BIG)
    left = [grid.whole]
    for cut in order.cuts:
        for piece in cut.pieces:
            left.remove(piece)
            left.extend(piece.parted(cut.chop.at, cut.across))
    x, y = grid.x.points, grid.y.points
    sizes = sorted(
        (int((x[p.x1] - x[p.x0]).as_points), int((y[p.y1] - y[p.y0]).as_points)) for p in left
    )
    assert sizes == [(400, 300), (400, 300), (800, 300), (800, 300)]
    assert order.count.strokes == 3
    assert order.count.turns <= plain.turns == 2


def test_squaring_a_pile_takes_four_cuts_two_over_size_and_two_exact() -> None:
    """GRAY: about 1/8 in over size, one edge, the next; then exact, the third, the fourth."""
    plan = cut_plan(
        2,
        binding="loose",
        trim="8in x 10in",
        sheet="8 1/4in x 10 1/4in",
        cutter="guillotine-office",
        units="in",
        guts={"gutter": Length()},
    )
    eighth = Length.inches("1/8")
    first, second, third, fourth = gauges(plan)
    exact = {Length.inches(8), Length.inches(10)}
    assert {first - eighth, second - eighth} == exact
    assert {third, fourth} == exact
    states = [step.present.state for step in cuts_of(plan) if step.present]
    assert states == [EdgeState.LAY, EdgeState.LAY, EdgeState.TRUE, EdgeState.TRUE]
    turns = [len(step.present.turns) for step in cuts_of(plan) if step.present]
    assert turns == [0, 1, 1, 1]


def test_book_trim_order_of_the_primer() -> None:
    """GRAY: books are cut at the fore-edge, then at the tail, then at the head."""
    plan = cut_plan(
        40, binding="perfect", sheet="a4", up=1, cutter="guillotine-book-order", grind="2mm"
    )
    assert sides(plan) == ["fore-edge", "foot", "head"]
    assert plan.cut_facts is not None
    assert "profile" in plan.cut_facts.order_from


@pytest.mark.parametrize(
    ("lay", "order"),
    [("head", ["foot", "head", "fore-edge"]), ("foot", ["head", "foot", "fore-edge"])],
)
def test_usual_trim_order_by_lay(lay: str, order: list[str]) -> None:
    """Common practice: the first of the pair is set from the lay edge."""
    plan = cut_plan(
        40, binding="perfect", sheet="a4", up=1, cutter="guillotine-office", guts={"lay": lay}
    )
    assert sides(plan) == order
    first = cuts_of(plan)[0]
    assert first.present is not None
    assert first.present.at_gauge == lay
    assert first.present.state is EdgeState.LAY


def test_a_quarter_inch_between_books_bound_two_up() -> None:
    """GRAY: bound two or more on, 1/4 in between books (1/8 + 1/8) for the knife's bevel.

    Books of 8 in lie head to foot: the double cut takes out exactly 1/4 in.
    """
    inch = Length.inches
    marks = (inch("1/8"), inch("8.125"), inch("8.375"), inch("16.375"))
    up = axis(inch("16.5"), *marks, kept=(False, True, False, True, False))
    way = ways(up, BIG)[0]
    taken = sorted(chop.front for chop in way if not chop.front_kept)
    assert taken == [inch("1/8"), inch("1/8"), inch("1/4")]
    assert inch(8) in [chop.gauge for chop in way]  # the last book from a true edge


def test_trim_off_of_each_leaf_makes_a_quarter_inch_between_trims() -> None:
    """GRAY: 1/8 + 1/8; pugetbindery.com: 1/8 in three-side trim."""
    plan = cut_plan(40, binding="perfect", trim="5in x 8in", sheet="12in x 18in", up=4, units="in")
    trims = sorted({p.trim.y0 for p in plan.sheets[0].front.placements})
    low, high = trims
    assert high - low - Length.inches(8) == Length.inches("1/4")


def test_blank_books_lose_a_quarter_inch_in_height_and_three_sixteenths_in_width() -> None:
    """GRAY: 18 x 23 in folded to 11 1/2 x 18 is trimmed to 11 5/16 x 17 3/4 (derived there)."""
    job = job_for(
        binding="sections",
        trim="11 5/16in x 17 3/4in",
        sheet="18in x 23in",
        section_pages=4,
        units="in",
        cutter="guillotine-hydraulic",
    )
    eighth = Length.inches("1/8")
    job = replace(
        job,
        guts=replace(
            job.guts,
            up=2,
            head_allowance=eighth,
            foot_allowance=eighth,
            fore_edge_allowance=Length.inches("3/16"),
        ),
    )
    plan = add_cuts(plan_for(job, 16), job)
    waste = {step.cuts[0]: step.falls.size.height for step in cuts_of(plan) if step.falls}
    assert waste == {"head": eighth, "foot": eighth, "fore-edge": Length.inches("3/16")}
    kept = [step.stays.size for step in cuts_of(plan) if step.stays][-1]
    assert kept == Size(Length.inches("17.75"), Length.inches("11.3125"))


def test_equal_strips_are_cut_without_pulling_the_pile_out() -> None:
    """GRAY: setting the strip's width again and again takes nearly three times the handling;
    so strips fall in front, and the gauge comes nearer by the strip each time."""
    mm = Length.mm
    strips = axis(mm(400), mm(100), mm(200), mm(300), kept=(True,) * 4)
    way = ways(strips, BIG)[0]
    assert [chop.gauge for chop in way] == [mm(300), mm(200), mm(100)]
    assert all(a.gauge - b.gauge == mm(100) for a, b in pairwise(way))


def test_the_assumed_hand_cutter_has_the_figures_of_the_shipped_profile() -> None:
    from benchplans import library

    shipped = library().cutter("hand")
    assert replace(shipped, description="", source="") == HAND


def test_saddle_allowances() -> None:
    """GRAY: stitched, 1/8 in on three sides."""
    plan = cut_plan(
        16,
        binding="saddle",
        trim="half letter",
        sheet="8 3/4in x 11 1/4in",
        units="in",
        cutter="guillotine-office",
    )
    waste = {step.cuts[0]: step.falls.size.height for step in cuts_of(plan) if step.falls}
    assert waste["head"] == waste["foot"] == Length.inches("1/8")
    assert waste["fore-edge"] >= Length.inches("1/8")


def test_bleed_gutter_is_cut_twice() -> None:
    """Common practice: bleed on both sides of a gutter needs a double cut."""
    plan = cut_plan(
        32, BLEED, binding="loose", trim="a6", sheet="sra3", up=8, cutter="guillotine-hydraulic"
    )
    strips = [step for step in cuts_of(plan) if step.title.startswith("Double cut")]
    assert strips
    for step in strips:
        assert step.falls is not None
        assert (step.falls.size.height, step.falls.waste) == (BLEED * 2, True)
