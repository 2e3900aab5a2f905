"""Mixed directions: leaves lying both ways on one sheet, parted by one cut of the guillotine."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from proofbook import check_proof, write_book
from strategies import Asked, asked_for, lengths, mm
from test_layouts import SRA3, at_hand, compared, hold_to_plan, made
from test_make import numbered_pdf

from impose.bench.layoutrow import LayoutRow
from impose.bench.replay import replay_sheets
from impose.cli.main import run
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import BoundAt, Edge, PageSides, side_edges, sides_of
from impose.geometry.turning import Flip
from impose.marks.drawing import add_marks
from impose.model.job import Binding, Order
from impose.model.sheetway import SheetWay
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.schemes.boundbook import bind_book
from impose.units import ZERO

SCHEMA = Path(__file__).parent.parent / "impose" / "plan" / "plan.schema.json"
BOOK = Size(mm(120), mm(170))


def mixed_rows(wanted: Asked) -> list[LayoutRow]:
    return [row for row in compared(wanted).rows if "turned" in row.way.name]


def book(pages: int = 40, **more: Any) -> Asked:
    """Three upright leaves and two turned ones on SRA3, where one direction takes four."""
    said: dict[str, Any] = {"binding": Binding.PERFECT, "trim": BOOK, "supplied": mm(3)} | more
    return at_hand(asked_for(pages, sheet=SRA3, **said), SRA3)


#: A trim and a sheet on which both directions together take more.
PAIRS = [
    (BOOK, SRA3),
    (Size(mm(90), mm(50)), Size(mm(210), mm(297))),
    (Size(mm(60), mm(90)), Size(mm(200), mm(170))),
    (Size(mm(60), mm(90)), Size(mm(170), mm(201))),
]


@st.composite
def sheets_of_both(draw: st.DrawFn) -> tuple[Asked, LayoutRow]:
    """Jobs that have a mixed layout, with it."""
    binding = draw(st.sampled_from([Binding.PERFECT, Binding.STAB, Binding.LOOSE]))
    trim, sheet = draw(st.sampled_from(PAIRS))
    wanted = asked_for(
        draw(st.integers(12, 80)),
        binding=binding,
        trim=trim,
        sheet=Size(sheet.width + draw(lengths(0, 8)), sheet.height + draw(lengths(0, 8))),
        bound_at=draw(st.sampled_from(BoundAt)),
        flip=draw(st.sampled_from([None, *Flip])),
        supplied=draw(st.sampled_from([ZERO, mm(3)])),
        grind=draw(st.sampled_from([None, mm(1)])) if binding is Binding.PERFECT else None,
        copies=draw(st.sampled_from([1, 20])),
    )
    wanted = at_hand(wanted, wanted.job.guts.sheets[0].size)
    rows = mixed_rows(wanted)
    assume(rows)
    return wanted, draw(st.sampled_from(rows))


@given(sheets_of_both())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_a_mixed_layout_is_what_it_promises(drawn: tuple[Asked, LayoutRow]) -> None:
    wanted, row = drawn
    hold_to_plan(row, wanted)
    plan, job = made(row, wanted)
    hold_sheets(plan)
    hold_cuts(plan)
    if job.guts.order is Order.CUT_AND_STACK:
        hold_book(plan)
    again = from_text(to_text(plan))
    assert (again.gathering, again.sheets) == (plan.gathering, plan.sheets)


def hold_sheets(plan: Plan) -> None:
    """No two trims share paper, all lie on the sheet, and each back lies behind its front."""
    for sheet in plan.sheets:
        whole = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
        for _, side in sheet.sides:
            boxes = [p.clip for p in side.placements]
            assert all(whole.contains(box) for box in boxes)
            trims = [p.trim for p in side.placements]
            for i, box in enumerate(boxes):
                assert not any(box.overlaps(other) for other in trims[:i] + trims[i + 1 :])
        for front, back in zip(sheet.front.placements, sheet.back.placements, strict=True):
            assert front.leaf == back.leaf
            assert sheet.turned.over(back.trim, sheet.size) == front.trim
            assert (front.turn - back.turn) % 180 == 0


def hold_book(plan: Plan) -> None:
    """Read from lines and gathering alone, the leaves come out in order, the right way up."""
    bound = bind_book(plan)
    assert not bound.findings
    assert len(bound.faces) == plan.faces
    for position, face in enumerate(bound.faces, start=1):
        sheet = plan.sheets[face.sheet - 1]
        side = sheet.front if face.side == "front" else sheet.back
        inside = [p for p in side.placements if face.region.contains(p.trim)]
        assert [p.position for p in inside] == [position]
        assert (inside[0].turn + face.turn) % 360 == 0


def hold_cuts(plan: Plan) -> None:
    """The cut list leaves one pile for each place with a leaf."""
    piles, _ = replay_sheets(plan.cut_steps, plan.sheets[0].size)
    for placement in plan.sheets[0].front.placements:
        assert sum(box.contains(placement.trim) for box in piles.values()) == 1
    for box in piles.values():
        assert sum(box.overlaps(p.trim) for p in plan.sheets[0].front.placements) <= 1


# -- sides of a page that lies a quarter turn round ------------------------------------

SIDES = st.builds(
    PageSides,
    head=lengths(0, 9),
    foot=lengths(0, 9),
    spine=lengths(0, 9),
    fore_edge=lengths(0, 9),
)


@given(SIDES, st.sampled_from(Edge), st.booleans())
def test_sides_and_edges_are_inverse(sides: PageSides, spine_at: Edge, upside_down: bool) -> None:
    edges = sides.edges(spine_at, upside_down)
    assert sides_of(edges, spine_at, upside_down) == sides
    lying = side_edges(spine_at, upside_down)
    assert getattr(edges, lying["spine"].value) == sides.spine
    assert getattr(edges, lying["head"].value) == sides.head
    assert getattr(edges, lying["foot"].value) == sides.foot
    assert getattr(edges, lying["fore-edge"].value) == sides.fore_edge
    assert lying["spine"] is spine_at
    assert isinstance(edges, Edges)


# -- cases -----------------------------------------------------------------------------


def test_five_by_hand() -> None:
    """Three of 123.175 mm are 369.525 of 450; 176.35 above 123.175 are 299.525 of 320; two of
    176.35 are 352.7.  40 pages are 20 leaves: 4 sheets instead of 5."""
    rows = mixed_rows(book())
    assert [row.way.name for row in rows] == [
        "sheet 0 landscape, 3 x 1 leaves and below them 2 x 1 turned, cut and stack"
    ]
    assert (rows[0].up, rows[0].sheets, rows[0].number) == (5, 4, 1)
    used, whole = 5 * 120 * 170, 320 * 450
    assert abs(float(rows[0].paper.waste) - 100 * (whole - used) / whole) < 0.005


def plan_of_book(**more: Any) -> Plan:
    wanted = book(**more)
    return made(mixed_rows(wanted)[0], wanted)[0]


def test_the_list_parts_first_and_says_what_to_turn() -> None:
    steps = plan_of_book().cut_steps
    assert steps[1].cuts == ("part",)
    assert steps[1].falls is not None and steps[1].falls.piles == ("piles 4, 5",)
    stack = next(step for step in steps if step.title.startswith("Lay the piles"))
    assert "First turn piles 4, 5 a quarter turn right, each with the front up." in stack.notes


def test_plan_json_keeps_to_its_schema() -> None:
    wanted = book()
    plan, job = made(mixed_rows(wanted)[0], wanted)
    text = to_text(add_marks(plan, job))
    jsonschema.validate(json.loads(text), json.loads(SCHEMA.read_text("utf-8")))
    assert [g.get("turn", 0) for g in json.loads(text)["gathering"]] == [0, 0, 0, 270, 270]


def test_few_leaves_lie_one_way() -> None:
    """Two leaves on one sheet: nothing would lie turned."""
    found = compared(book(pages=4))
    assert not [row for row in found.rows if "turned" in row.way.name]
    assert any("no leaf would lie turned" in one.reason for one in found.unfit)


@pytest.mark.parametrize("bound_at", ["left", "right", "head"])
@pytest.mark.parametrize("flip", ["long edge", "short edge"])
@pytest.mark.parametrize("binding", ["perfect", "loose"])
def test_the_written_sheets_make_the_book(
    tmp_path: Path, bound_at: str, flip: str, binding: str
) -> None:
    """Cut and stacked, the pages of the proof are those of the source, pixel by pixel."""
    head = bound_at == "head"
    way = SheetWay(
        landscape=not head,
        columns=1 if head else 3,
        rows=3 if head else 1,
        turned_columns=1 if head else 2,
        turned_rows=2 if head else 1,
        split_across=not head,
    )
    options = {"binding": binding, "sheet": "200mm x 170mm", "bound_at": bound_at, "flip": flip}
    written = write_book(tmp_path, 28, {"up": 5, "way": way}, **options)
    assert {p.turn % 180 for p in written.plan.sheets[0].front.placements} == {0, 90}
    assert check_proof(written, 28) == []


def test_the_command_makes_it(tmp_path: Path) -> None:
    """Written, read back and compared; the report draws it."""
    numbered_pdf(tmp_path / "p.pdf", 30)
    args = ["make", str(tmp_path / "p.pdf"), "--binding", "perfect", "--trim", "120mm x 170mm"]
    args += ["--sheet", "sra3", "--fit", "centre", "--no-check", "--quiet"]
    args += ["--layout", "SRA3 landscape, 3 x 1 leaves and below them 2 x 1 turned, cut and stack"]
    assert run([*args, "--out", str(tmp_path / "out")]) == 0
    plan = from_text((tmp_path / "out" / "plan.json").read_text("utf-8"))
    assert [gather.turn for gather in plan.gathering] == [0, 0, 0, 270, 270]
    assert "(this run)" in (tmp_path / "out" / "report.html").read_text("utf-8")
