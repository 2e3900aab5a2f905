"""Laws of flat work: amounts, places, backs, cuts and marks of any gang of items.

The cut list is followed by the operator of `benchreplay`, who cuts polygons and
knows nothing of the program's own replay.
"""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest
from benchreplay import Operator
from flatplans import Work, works
from hypothesis import HealthCheck, given, settings
from test_wire import faults

from impose.bench.flatproof import cut_items, cut_pieces
from impose.bench.handcutter import cutter_of
from impose.geometry.box import Box, Size, box_inside
from impose.geometry.sides import Edge, PageSides, sides_of
from impose.plan.cutsteps import EdgeState, StepKind
from impose.plan.parts import LineKind, Shape, Sheet
from impose.plan.wire import from_text, to_data, to_text
from impose.units import ZERO, Length

#: Points: what the floats of shapely may be off by.
OFF = 1e-6


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(works())
def test_laws(work: Work | None) -> None:
    """Every drawn job is held to all laws; a failing one shows in the traceback."""
    if work is not None:
        for law in LAWS:
            law(work)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(works())
def test_plan_json_is_as_its_schema_says(work: Work | None) -> None:
    if work is not None:
        assert faults(to_data(work.plan)) == []


def the_amounts_are_met_and_over_runs_are_told(work: Work) -> None:
    plan = work.plan
    for item, asked in zip(plan.items, work.items, strict=True):
        assert item.amount == asked.amount
        assert item.made >= item.amount
        assert item.made == sum(n * s.copies for n, s in zip(item.on, plan.sheets, strict=True))
        assert item.over == item.made - item.amount
    told = any(finding.code == "over-run" for finding in plan.findings)
    assert told == any(item.over for item in plan.items)


def items_stand_as_often_as_the_plan_says(work: Work) -> None:
    for index, sheet in enumerate(work.plan.sheets):
        counted = Counter(placement.leaf for placement in sheet.front.placements)
        for number, (item, asked) in enumerate(
            zip(work.plan.items, work.items, strict=True), start=1
        ):
            assert counted[number] == item.on[index]
            up = (asked.wish or {}).get("up")
            assert up is None or counted[number] in (0, up)


def no_sheet_is_printed_in_vain(work: Work) -> None:
    """One print less of any layout would leave some item short, if no `up` is said."""
    items = work.plan.items
    for index, sheet in enumerate(work.plan.sheets):
        assert any(item.made - item.on[index] < item.amount for item in items if item.on[index]), (
            sheet.number
        )


def trims_have_the_size_of_their_item(work: Work) -> None:
    for sheet in work.plan.sheets:
        for _, side in sheet.sides:
            for p in side.placements:
                asked = work.items[p.leaf - 1]
                turned = p.turn in (90, 270)
                assert p.trim.size == (asked.size.turned if turned else asked.size)
                assert not turned or (asked.wish or {})["turn"]


def the_grain_runs_as_the_item_wants(work: Work) -> None:
    stock = work.job.guts.stock
    for sheet in work.plan.sheets:
        size = sheet.size
        if size.width == size.height:
            continue
        up = (stock.grain.value == "long") != size.landscape if stock.grain else None
        for p in sheet.front.placements:
            grain = (work.items[p.leaf - 1].wish or {})["grain"]
            if grain is not None and p.trim.width != p.trim.height:
                along = p.trim.size.landscape != up  # up the long side as it lies
                assert along == (grain.value == "long")


def nothing_overlaps_and_all_lies_on_the_sheet(work: Work) -> None:
    for sheet in work.plan.sheets:
        whole = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
        for _, side in sheet.sides:
            for p in side.placements:
                assert whole.contains(p.clip)
            for one, other in combinations(side.placements, 2):
                assert not one.trim.overlaps(other.trim)
                assert not one.clip.overlaps(other.trim)
                assert not other.clip.overlaps(one.trim)


def nothing_lies_in_the_gripper(work: Work) -> None:
    printer = work.job.guts.printer
    if printer is None or not printer.press:
        return
    for sheet in work.plan.sheets:
        margins = printer.margins(sheet.size)
        lead = "bottom" if margins.bottom == printer.lead and margins.top == printer.tail else ""
        for _, side in sheet.sides:
            for p in side.placements:
                if lead == "bottom":
                    assert p.clip.y0 >= printer.lead
                else:
                    assert p.clip.x0 >= printer.lead


def what_fits_is_kept_where_both_sides_print(work: Work) -> None:
    """Nothing reaches into a margin unless some item has no room between them."""
    printer = work.job.guts.printer
    if printer is None:
        return
    for sheet in work.plan.sheets:
        whole = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
        ink = box_inside(whole, printer.margins(sheet.size))
        both = ink.meet(sheet.turned.over(ink, sheet.size))
        inside = all(both.contains(p.clip) for p in sheet.front.placements)
        if not inside:
            assert any(f.code == "unprintable-margin" for f in work.plan.findings) or all(
                both.contains(p.trim) for one in work.plan.sheets for p in one.front.placements
            )


def bleeds_are_those_supplied_where_there_is_room(work: Work) -> None:
    gutter, said = work.job.guts.gutter, work.job.guts.bleed
    for sheet in work.plan.sheets:
        for _, side in sheet.sides:
            for p in side.placements:
                if p.page is None:
                    assert p.bleed == PageSides()
                    continue
                supplied = work.items[p.leaf - 1].supplied
                full = min(supplied, Length.mm(3) if said is None else said)
                room = full if gutter is None else min(full, gutter.half)
                for length in (p.bleed.head, p.bleed.foot, p.bleed.spine, p.bleed.fore_edge):
                    assert room <= length <= full


def backs_lie_behind_their_fronts(work: Work) -> None:
    plan = work.plan
    for sheet in plan.sheets:
        fronts = {p.trim: p for p in sheet.front.placements}
        backs = sheet.back.placements
        assert len(backs) in (0, len(fronts))
        assert plan.one_sided("guts") == (not backs)
        for back in backs:
            front = fronts.pop(sheet.turned.over(back.trim, sheet.size))
            item = plan.items[front.leaf - 1]
            assert back.leaf == front.leaf and back.position == front.position + 1
            assert front.page == item.faces[0]
            assert back.page == (item.faces[1] if len(item.faces) > 1 else None)
            assert _head(sheet, back.turn, behind=True) is (
                _head(sheet, front.turn, behind=False).opposite
                if item.head_to_foot
                else _head(sheet, front.turn, behind=False)
            )


def _head(sheet: Sheet, turn: int, behind: bool) -> Edge:
    """The edge of the paper, seen from the front, at which the head of a face lies."""
    edge = Edge.TOP.turned(turn)
    if not behind:
        return edge
    strips = {
        Edge.LEFT: (0, 1, 0, 3),
        Edge.RIGHT: (2, 3, 0, 3),
        Edge.BOTTOM: (0, 3, 0, 1),
        Edge.TOP: (0, 3, 2, 3),
    }
    three = Size(Length.mm(3), Length.mm(3))
    there = {
        Box(*(Length.mm(n) for n in (x0, y0, x1, y1))): one
        for one, (x0, x1, y0, y1) in strips.items()
    }
    x0, x1, y0, y1 = strips[edge]
    return there[sheet.turned.over(Box(*(Length.mm(n) for n in (x0, y0, x1, y1))), three)]


def another_operator_gets_exactly_the_items(work: Work) -> None:
    data = to_data(work.plan)
    many = len(work.plan.sheets) > 1
    first = 1
    for sheet in work.plan.sheets:
        operator = Operator(data)
        things = f"copies of sheet {sheet.number}" if many else "sheets"
        size = (float(sheet.size.width.as_points), float(sheet.size.height.as_points))
        piles = operator.cut_paper(things, *size)
        trims = [placement.trim for placement in sheet.front.placements]
        names = [f"pile {first + n}" for n in range(len(trims))] if len(trims) > 1 else [things]
        assert set(piles) == set(names)
        for name, trim in zip(names, trims, strict=True):
            wanted = [float(n.as_points) for n in (trim.x0, trim.y0, trim.x1, trim.y1)]
            assert list(piles[name].bounds) == pytest.approx(wanted, abs=OFF)
            assert piles[name].area == pytest.approx(piles[name].envelope.area)
        first += len(trims)


def the_counted_handling_is_what_the_operator_does(work: Work) -> None:
    facts = work.plan.cut_facts
    assert facts is not None
    strokes = turns = 0
    for sheet in work.plan.sheets:
        operator = Operator(to_data(work.plan))
        things = "sheets" if len(work.plan.sheets) == 1 else f"copies of sheet {sheet.number}"
        operator.cut_paper(
            things, float(sheet.size.width.as_points), float(sheet.size.height.as_points)
        )
        strokes, turns = strokes + operator.strokes, turns + operator.turns
    assert (facts.before.strokes, facts.before.turns) == (strokes, turns)


def piles_of_one_step_are_alike(work: Work) -> None:
    """What the list says of their size is so, of every pile that a step names."""
    plan = work.plan
    for sheet in plan.sheets:
        things = "sheets" if len(plan.sheets) == 1 else f"copies of sheet {sheet.number}"
        piles = {things: Box(ZERO, ZERO, sheet.size.width, sheet.size.height)}
        for step in plan.cut_steps:
            table, present, setting = step.table, step.present, step.setting
            if table is None or table.things != things or present is None or setting is None:
                continue
            level = present.at_gauge in ("bottom", "top")
            for at, name in enumerate(table.piles):
                box = piles.pop(name)
                assert table.size == (box.size if level else box.size.turned)
                parts = _cut(box, Edge(present.at_gauge), setting.gauge)
                for lump, part in zip((step.stays, step.falls), parts, strict=True):
                    assert lump is not None
                    assert lump.size == (part.size if level else part.size.turned)
                    if not lump.waste:
                        piles[lump.piles[at]] = part


def _cut(box: Box, edge: Edge, gauge: Length) -> tuple[Box, Box]:
    """What stays at that edge, and what lies in front of the knife."""
    if edge is Edge.LEFT:
        at = box.x0 + gauge
        return Box(box.x0, box.y0, at, box.y1), Box(at, box.y0, box.x1, box.y1)
    if edge is Edge.RIGHT:
        at = box.x1 - gauge
        return Box(at, box.y0, box.x1, box.y1), Box(box.x0, box.y0, at, box.y1)
    if edge is Edge.BOTTOM:
        at = box.y0 + gauge
        return Box(box.x0, box.y0, box.x1, at), Box(box.x0, at, box.x1, box.y1)
    at = box.y1 - gauge
    return Box(box.x0, at, box.x1, box.y1), Box(box.x0, box.y0, box.x1, at)


def finished_sizes_are_set_from_edges_to_trust(work: Work) -> None:
    """No gauge out of reach and none from a raw edge, unless the list says so."""
    cutter, plan = cutter_of(work.job), work.plan
    told = {finding.code for finding in plan.findings}
    for step in plan.cut_steps:
        if step.kind is not StepKind.CUT or step.setting is None or step.present is None:
            continue
        if not cutter.gauge_min <= step.setting.gauge <= cutter.gauge_max:
            assert "gauge-out-of-reach" in told
        assert step.setting.on_marks == (step.present.state is EdgeState.RAW)


def every_cut_of_the_list_is_a_line_of_the_plan(work: Work) -> None:
    plan = work.plan
    made = {cut for step in plan.cut_steps for cut in step.cuts}
    assert made == {cut.id for cut in plan.cuts}
    drawn = {line.of for sheet in plan.sheets for line in sheet.lines}
    assert drawn == made
    for sheet in plan.sheets:
        edges = {(True, x) for p in sheet.front.placements for x in (p.trim.x0, p.trim.x1)}
        edges |= {(False, y) for p in sheet.front.placements for y in (p.trim.y0, p.trim.y1)}
        for line in sheet.lines:
            assert line.kind is LineKind.CUT
            assert (line.upright, line.x0 if line.upright else line.y0) in edges
            for p in sheet.front.placements:
                trim = p.trim
                if line.upright:
                    inside = trim.x0 < line.x0 < trim.x1
                    assert not (inside and line.y0 < trim.y1 and trim.y0 < line.y1)
                else:
                    inside = trim.y0 < line.y0 < trim.y1
                    assert not (inside and line.x0 < trim.x1 and trim.x0 < line.x1)


def no_mark_enters_an_item_or_its_bleed(work: Work) -> None:
    for sheet in work.plan.sheets:
        for _, side in sheet.sides:
            keep_out = [p.clip for p in side.placements]
            for mark in [m for group in side.marks for m in group.marks]:
                if mark.shape not in (Shape.LINE, Shape.DASHED):
                    continue
                ends = Box(mark.x0, mark.y0, mark.x1, mark.y1)
                for clip in keep_out:
                    apart = (
                        ends.x1 < clip.x0
                        or clip.x1 < ends.x0
                        or ends.y1 < clip.y0
                        or clip.y1 < ends.y0
                    )
                    along_edge = mark.kind != "crop"
                    assert apart or _on_edge(ends, clip) or along_edge, (mark, clip)


def _on_edge(ends: Box, clip: Box) -> bool:
    """Runs beside the clip without entering it: a mark on the line of an item without bleed."""
    return not (
        ends.x0 < clip.x1 and clip.x0 < ends.x1 and ends.y0 < clip.y1 and clip.y0 < ends.y1
    ) and not (clip.x0 < ends.x0 < clip.x1 and ends.y0 < clip.y1 and clip.y0 < ends.y1)


def crop_marks_stand_on_cuts(work: Work) -> None:
    for sheet in work.plan.sheets:
        xs = {line.x0 for line in sheet.lines if line.upright}
        ys = {line.y0 for line in sheet.lines if not line.upright}
        for name, side in sheet.sides:
            for mark in [m for group in side.marks for m in group.marks if m.kind == "crop"]:
                x, y = mark.x0, mark.y0
                if name == "back":
                    x, y = sheet.turned.point(x, y, sheet.size)
                assert (x in xs) if mark.x0 == mark.x1 else (y in ys)


def plan_json_is_the_plan(work: Work) -> None:
    text = to_text(work.plan)
    assert from_text(text) == work.plan


def the_proof_cuts_out_every_item_the_right_way_up(work: Work) -> None:
    plan = work.plan
    by_place = {
        (sheet.number, name, p.trim): p
        for sheet in plan.sheets
        for name, side in sheet.sides
        for p in side.placements
    }
    faces = list(cut_items(plan))
    assert len(faces) == sum(len(item.faces) for item in plan.items)
    for item in plan.items:
        for page in item.faces:
            face = faces.pop(0)
            placement = by_place[face.sheet, face.side, face.region]
            assert placement.page == page
            assert (face.turn + placement.turn) % 360 == 0
            assert face.place.size == item.trim
            assert str(item.made) in face.name
            frame = sides_of_edges(placement.spine_at, placement.upside_down)
            assert frame == placement.turn
    assert len(cut_pieces(plan)) == sum(len(s.front.placements) for s in plan.sheets)


def sides_of_edges(spine_at: Edge, upside_down: bool) -> int:
    """The turn of a page whose left edge and head lie so, found by turning its edges."""
    from impose.geometry.box import Edges

    lying = Edges(left=Length(1), right=Length(2), bottom=Length(3), top=Length(4))
    sides = sides_of(lying, spine_at, upside_down)
    there = {Edge.LEFT: Length(1), Edge.RIGHT: Length(2), Edge.BOTTOM: Length(3)}
    there |= {Edge.TOP: Length(4)}
    for turn in (0, 90, 180, 270):
        head, left = there[Edge.TOP.turned(turn)], there[Edge.LEFT.turned(turn)]
        if (sides.head, sides.spine) == (head, left):
            assert sides.edges(spine_at, upside_down) == lying
            return turn
    raise AssertionError("mirrored")


LAWS = [
    the_amounts_are_met_and_over_runs_are_told,
    items_stand_as_often_as_the_plan_says,
    no_sheet_is_printed_in_vain,
    trims_have_the_size_of_their_item,
    the_grain_runs_as_the_item_wants,
    nothing_overlaps_and_all_lies_on_the_sheet,
    nothing_lies_in_the_gripper,
    what_fits_is_kept_where_both_sides_print,
    bleeds_are_those_supplied_where_there_is_room,
    backs_lie_behind_their_fronts,
    another_operator_gets_exactly_the_items,
    the_counted_handling_is_what_the_operator_does,
    piles_of_one_step_are_alike,
    finished_sizes_are_set_from_edges_to_trust,
    every_cut_of_the_list_is_a_line_of_the_plan,
    no_mark_enters_an_item_or_its_bleed,
    crop_marks_stand_on_cuts,
    plan_json_is_the_plan,
    the_proof_cuts_out_every_item_the_right_way_up,
]
