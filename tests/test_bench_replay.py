"""The cut list followed by someone who reads nothing else leaves exactly the trims."""

from __future__ import annotations

from typing import Any

import pytest
from benchplans import BLEED, cut_plan, job_for, plan_for
from benchreplay import leaves_in_book, operator_for, outline, same
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from impose.bench.program import add_cuts
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_data, to_text
from impose.units import Length

CUTTERS = ("guillotine-office", "guillotine-hydraulic", "guillotine-book-order", None)
BOUND = [
    pytest.param({"binding": "saddle", "sheet": "sra3"}, id="saddle"),
    pytest.param({"binding": "saddle", "sheet": "a4", "trim": "a5"}, id="saddle at size"),
    pytest.param({"binding": "sections", "sheet": "sra3"}, id="sections"),
    pytest.param(
        {"binding": "perfect", "sheet": "sra3", "section_pages": 16, "grind": "3mm"},
        id="glued sections",
    ),
    pytest.param(
        {"binding": "perfect", "sheet": "letter", "trim": "half letter", "grind": "1/8in", "up": 1},
        id="one leaf a sheet",
    ),
    pytest.param(
        {"binding": "perfect", "sheet": "a4", "guts": {"centred": True}, "grind": "2mm"},
        id="centred",
    ),
    pytest.param({"binding": "perfect", "sheet": "sra3", "grind": "2mm"}, id="n-up perfect"),
    pytest.param({"binding": "perfect", "sheet": "a3", "up": 2, "grind": "1mm"}, id="2-up"),
    pytest.param({"binding": "stab", "sheet": "sra3", "up": 2}, id="stab"),
    pytest.param({"binding": "punched", "sheet": "a4", "up": 1}, id="punched"),
]


def check_book(plan: Plan) -> None:
    """The last cuts leave the trim of the book, and of each leaf its own trim."""
    data = to_data(plan)
    leaves = leaves_in_book(data)
    operator = operator_for(plan)
    block = outline(leaves, float(plan.grind.as_points))
    left = operator.trim_book(block)
    assert plan.cut_facts is not None
    width, height = (float(n.as_points) for n in (plan.leaf.width, plan.leaf.height))
    assert same(left, box(block.bounds[0], 0, width, height))
    for paper, trim in leaves:
        assert same(paper.intersection(left), trim), (paper.bounds, left.bounds, trim.bounds)
    after = plan.cut_facts.after
    assert (operator.strokes, operator.turns) == (after.strokes, after.turns)


def check_piles(plan: Plan, allowances: tuple[float, float]) -> None:
    """Each pile is the trim of the leaf of its place, grown by spine and other allowances."""
    spine, off = allowances
    operator = operator_for(plan)
    piles = operator.cut_sheets()
    places = to_data(plan)["sheets"][0]["front"]["placements"]
    assert len(piles) >= len(places)
    for number, place in enumerate(places, start=1):
        x0, y0, x1, y1 = place["trim"]
        left, right = (spine, off) if place["spine_at"] == "left" else (off, spine)
        wanted = box(x0 - left, y0 - off, x1 + right, y1 + off)
        found = piles["sheets" if len(piles) == 1 else f"pile {number}"]
        assert same(found, wanted), (number, found.bounds, wanted.bounds)
    facts = plan.cut_facts
    assert facts is not None
    count = facts.before
    assert (operator.strokes, operator.turns) == (count.strokes, count.turns)
    assert operator.settings == count.settings
    assert count.turns <= facts.plain.turns
    assert count.settings <= facts.plain.settings


@pytest.mark.parametrize("cutter", CUTTERS)
@pytest.mark.parametrize("options", BOUND)
@pytest.mark.parametrize("bound_at", ["left", "right", "head"])
def test_the_last_cuts_leave_exactly_the_trims(
    options: dict[str, Any], cutter: str | None, bound_at: str
) -> None:
    if bound_at == "head":
        options = options | {"sheet": "450mm x 640mm"}
    plan = cut_plan(40, BLEED, bound_at=bound_at, cutter=cutter, **options)
    check_book(plan)


@pytest.mark.parametrize("cutter", CUTTERS)
@pytest.mark.parametrize("bound_at", ["left", "right"])
@pytest.mark.parametrize(
    ("sheet", "up"), [("sra3", 4), ("sra3", 2), ("a3", 2), ("450mm x 640mm", None)]
)
def test_leaves_that_will_be_bound_keep_their_allowances(
    sheet: str, up: int | None, bound_at: str, cutter: str | None
) -> None:
    plan = cut_plan(
        60,
        BLEED,
        binding="perfect",
        sheet=sheet,
        up=up,
        grind="2mm",
        bound_at=bound_at,
        cutter=cutter,
        guts={"trim_off": Length.mm(4)},
    )
    check_piles(plan, (2 * 72 / 25.4, 4 * 72 / 25.4))
    check_book(plan)


@pytest.mark.parametrize("cutter", CUTTERS)
@pytest.mark.parametrize("trim", ["a7", "a6", "a5", "85mm x 55mm"])
@pytest.mark.parametrize("sheet", ["a4", "sra3", "500mm x 700mm"])
@pytest.mark.parametrize("bleed", [BLEED, Length()])
def test_loose_leaves_are_cut_to_size(
    trim: str, sheet: str, bleed: Length, cutter: str | None
) -> None:
    plan = cut_plan(200, bleed, binding="loose", trim=trim, sheet=sheet, cutter=cutter)
    check_piles(plan, (0, 0))


@given(
    columns=st.integers(1, 5),
    rows=st.integers(1, 5),
    gutter=st.sampled_from(["0mm", "4mm", "10mm"]),
    around=st.integers(0, 60),
    cutter=st.sampled_from(CUTTERS),
)
@settings(max_examples=60, deadline=None)
def test_any_grid_on_any_sheet(
    columns: int, rows: int, gutter: str, around: int, cutter: str | None
) -> None:
    gap = int(gutter.removesuffix("mm"))
    width = columns * 60 + (columns - 1) * gap + around
    height = rows * 90 + (rows - 1) * gap + around // 2
    job = job_for(
        binding="loose",
        trim="60mm x 90mm",
        sheet=f"{width}mm x {height}mm",
        up=columns * rows,
        cutter=cutter,
        guts={"gutter": Length.mm(gap)},
    )
    check_piles(add_cuts(plan_for(job, 2 * columns * rows), job), (0, 0))


def test_spine_lies_where_the_knife_enters() -> None:
    for bound_at in ("left", "right"):
        plan = cut_plan(
            40, binding="perfect", sheet="a4", up=1, bound_at=bound_at, cutter="guillotine-office"
        )
        operator = operator_for(plan)
        data = to_data(plan)
        operator.trim_book(outline(leaves_in_book(data), 0.0))
        assert operator.spine_sides == ["right", "right"]  # the profile's side; not at the stop


def test_between_head_and_foot_the_book_is_turned_over() -> None:
    plan = cut_plan(40, binding="perfect", sheet="a4", up=1, cutter="guillotine-office")
    foot, head, fore = (s for s in to_data(plan)["cut_steps"] if s["kind"] == "cut")
    assert head["present"]["turns"] == ["turned over"]
    assert {foot["present"]["face_up"], head["present"]["face_up"]} == {"front", "back"}
    assert fore["present"]["at_gauge"] == "spine"


def test_json_and_back_is_the_identity() -> None:
    for options in (BOUND[0].values[0], BOUND[6].values[0]):
        plan = cut_plan(40, BLEED, **options)  # type: ignore[arg-type]
        again = from_text(to_text(plan))
        assert again.cut_steps == plan.cut_steps
        assert again.cut_facts == plan.cut_facts
