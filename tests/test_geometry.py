"""Boxes, sides, turning over and placing: equality, never closeness."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import box as polygon

from impose.geometry.box import NO_EDGES, Box, Edges, Size, box_inside
from impose.geometry.placing import Placing, box_onto
from impose.geometry.sides import BoundAt, Edge, PageSides, sides_of, spine_edge
from impose.geometry.turning import Flip, Turnover, half_turn, mirror_turn
from impose.model.facts import PageFacts
from impose.schemes.cells import art_edges
from impose.units import ZERO, Length

mm = Length.mm
grains = st.integers(-(10**9), 10**9).map(Length)
sizes_ = st.integers(1, 10**9).map(Length)
QUARTERS = st.sampled_from([0, 90, 180, 270])


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    return Box.at(draw(grains), draw(grains), Size(draw(sizes_), draw(sizes_)))


lengths = st.integers(0, 10**8).map(Length)
edges = st.builds(Edges, left=lengths, right=lengths, bottom=lengths, top=lengths)
page_sides = st.builds(PageSides, head=lengths, foot=lengths, spine=lengths, fore_edge=lengths)
placings = st.builds(Placing, QUARTERS, grains, grains)
sheets = st.builds(Size, sizes_, sizes_)
lefts = st.sampled_from([Edge.LEFT, Edge.RIGHT])


# -- boxes -----------------------------------------------------------------------------


@given(boxes(), boxes())
def test_boxes_agree_with_a_geometry_library(a: Box, b: Box) -> None:
    one, two = as_polygon(a), as_polygon(b)
    assert a.overlaps(b) == (one.intersection(two).area > 0)
    assert a.contains(b) == one.covers(two)
    joined = as_polygon(a.join(b))
    assert joined.bounds == one.union(two).bounds
    if a.overlaps(b):
        assert as_polygon(a.meet(b)).equals(one.intersection(two))
    else:
        assert a.meet(b).empty


def as_polygon(box: Box) -> polygon:
    return polygon(*(float(n.grains) for n in (box.x0, box.y0, box.x1, box.y1)))


def test_touching_boxes_do_not_overlap() -> None:
    left = Box(ZERO, ZERO, mm(10), mm(10))
    assert not left.overlaps(left.moved(mm(10), ZERO))
    assert left.overlaps(left.moved(mm(10) - Length(1), ZERO))
    assert left.contains(left)


@given(boxes(), edges)
def test_growing_and_moving_inward_cancel(box: Box, by: Edges) -> None:
    assert box_inside(box.grown(by), by) == box
    assert box.grown(NO_EDGES) == box
    assert box.grown(by).size == Size(
        box.width + by.left + by.right, box.height + by.bottom + by.top
    )


@given(edges)
def test_mirrored_edges_twice_are_the_same(by: Edges) -> None:
    assert by.mirrored.mirrored == by
    assert (by.mirrored.left, by.mirrored.right) == (by.right, by.left)


@pytest.mark.parametrize(
    ("size", "unit", "text"),
    [
        (Size(mm(148), mm(210)), "mm", "148 x 210 mm"),
        (Size(Length.inches("5.5"), Length.inches("8.5")), "in", "5.5 x 8.5 in"),
    ],
)
def test_a_size_in_words_has_its_unit_once(size: Size, unit: str, text: str) -> None:
    assert size.text(unit) == text
    assert size.turned.turned == size


def test_sizes_are_near_within_a_tolerance_only() -> None:
    a4 = Size(mm(210), mm(297))
    off = Size(mm("210.4"), mm("296.6"))
    assert a4.near(off, mm("0.4"))
    assert not a4.near(off, mm("0.39"))
    assert a4 != off


# -- placing ---------------------------------------------------------------------------


@given(placings, grains, grains)
def test_placing_and_its_inverse_cancel(placing: Placing, x: Length, y: Length) -> None:
    assert placing.inverse.point(*placing.point(x, y)) == (x, y)
    assert placing.point(*placing.inverse.point(x, y)) == (x, y)
    assert placing.then(placing.inverse) == Placing()
    assert placing.inverse.inverse == placing


@given(placings, placings, grains, grains)
def test_one_after_the_other_is_their_product(
    first: Placing, second: Placing, x: Length, y: Length
) -> None:
    assert first.then(second).point(x, y) == second.point(*first.point(x, y))


@given(placings, placings, placings)
def test_products_can_be_taken_in_any_grouping(a: Placing, b: Placing, c: Placing) -> None:
    assert a.then(b).then(c) == a.then(b.then(c))


@given(boxes())
def test_four_quarter_turns_are_the_identity(box: Box) -> None:
    turned = box
    for _ in range(4):
        turned = Placing(90).box(turned)
    assert turned == box
    quarter = Placing(90)
    assert quarter.then(quarter).then(quarter).then(quarter) == Placing()


@given(boxes(), boxes(), QUARTERS)
def test_a_box_is_laid_on_the_lower_left_of_its_target(source: Box, target: Box, turn: int) -> None:
    laid = box_onto(source, target, turn).box(source)
    assert (laid.x0, laid.y0) == (target.x0, target.y0)
    assert laid.size == (source.size if turn % 180 == 0 else source.size.turned)


@given(boxes(), QUARTERS, st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(3)]))
def test_placing_agrees_with_a_geometry_library(box: Box, turn: int, scale: Fraction) -> None:
    placing = Placing(turn, mm(3), mm(-7), scale)
    a, b, c, d = (float(n) for n in placing.matrix())
    e, f = float(placing.dx.grains), float(placing.dy.grains)
    expected = affinity.affine_transform(as_polygon(box), [a, c, b, d, e, f]).bounds
    got = placing.box(box)
    bounds = tuple(float(n.grains) for n in (got.x0, got.y0, got.x1, got.y1))
    assert bounds == pytest.approx(expected, abs=1)  # a scaled length is rounded once


def test_a_turned_page_stands_on_its_left_side() -> None:
    """A quarter turn is counter-clockwise: the right edge goes to the top."""
    x, y = Placing(90).point(mm(1), ZERO)
    assert (x, y) == (ZERO, mm(1))
    assert Edge.RIGHT.turned(90) is Edge.TOP


# -- turning over ----------------------------------------------------------------------


@given(boxes(), sheets, st.sampled_from(Turnover))
def test_turned_over_twice_a_box_is_where_it_was(box: Box, sheet: Size, turnover: Turnover) -> None:
    seen = turnover.over(box, sheet)
    assert turnover.over(seen, sheet) == box
    assert seen.size == box.size
    corner = turnover.point(box.x0, box.y0, sheet)
    assert corner[0] in (seen.x0, seen.x1)
    assert corner[1] in (seen.y0, seen.y1)


@given(boxes(), sheets)
def test_the_two_ways_to_turn_over_differ_by_half_a_turn(box: Box, sheet: Size) -> None:
    upright = Turnover.ABOUT_VERTICAL.over(box, sheet)
    assert Turnover.ABOUT_HORIZONTAL.over(box, sheet) == half_turn(upright, sheet)
    assert half_turn(half_turn(box, sheet), sheet) == box


A4, A4_TURNED = Size(mm(210), mm(297)), Size(mm(297), mm(210))


@pytest.mark.parametrize(
    ("sheet", "flip", "turnover"),
    [
        (A4, Flip.LONG_EDGE, Turnover.ABOUT_VERTICAL),
        (A4, Flip.SHORT_EDGE, Turnover.ABOUT_HORIZONTAL),
        (A4_TURNED, Flip.LONG_EDGE, Turnover.ABOUT_HORIZONTAL),
        (A4_TURNED, Flip.SHORT_EDGE, Turnover.ABOUT_VERTICAL),
    ],
    ids=["portrait long", "portrait short", "landscape long", "landscape short"],
)
def test_a_flip_is_resolved_against_the_sheet_as_it_lies(
    sheet: Size, flip: Flip, turnover: Turnover
) -> None:
    # Common practice: the edge the sheet is turned about is one of its long or short edges.
    assert flip.on(sheet) is turnover
    assert Flip.that_gives(turnover, sheet) is flip


@given(QUARTERS)
def test_a_mirrored_turn_twice_is_the_same(turn: int) -> None:
    assert mirror_turn(mirror_turn(turn)) == turn
    assert mirror_turn(turn) in (0, 90, 180, 270)


# -- sides of a page -------------------------------------------------------------------


@given(page_sides, lefts, st.booleans())
def test_sides_to_edges_and_back(sides: PageSides, spine_at: Edge, upside_down: bool) -> None:
    assert sides_of(sides.edges(spine_at, upside_down), spine_at, upside_down) == sides


@given(page_sides, lefts)
def test_an_upside_down_page_is_one_turned_half_round(sides: PageSides, spine_at: Edge) -> None:
    """Half a turn brings the spine to the other side and the head to the bottom."""
    upright, turned = sides.edges(spine_at, False), sides.edges(spine_at.opposite, True)
    assert (turned.left, turned.right) == (upright.right, upright.left)
    assert (turned.top, turned.bottom) == (upright.bottom, upright.top)


@given(st.sampled_from(Edge), st.integers(-4, 8))
def test_edges_go_round(edge: Edge, quarters: int) -> None:
    assert edge.turned(90 * quarters).turned(-90 * quarters) is edge
    assert edge.turned(360) is edge
    assert edge.turned(180) is edge.opposite
    assert edge.opposite.opposite is edge


@pytest.mark.parametrize(
    ("bound_at", "recto", "verso"),
    [
        (BoundAt.LEFT, Edge.LEFT, Edge.RIGHT),
        (BoundAt.RIGHT, Edge.RIGHT, Edge.LEFT),
        (BoundAt.HEAD, Edge.LEFT, Edge.RIGHT),
    ],
)
def test_the_spine_side_alternates(bound_at: BoundAt, recto: Edge, verso: Edge) -> None:
    assert spine_edge(True, bound_at) is recto
    assert spine_edge(False, bound_at) is verso


def test_head_bound_art_has_its_head_at_the_spine_of_the_recto() -> None:
    """Turned a quarter counter-clockwise, the head lies left, where a recto is bound, and a
    verso, bound at its right, has its foot there."""
    head_only = Edges(top=mm(3))
    laid = art_edges(head_only, BoundAt.HEAD)
    assert laid == Edges(left=mm(3))
    assert sides_of(laid, spine_edge(True, BoundAt.HEAD), False) == PageSides(spine=mm(3))
    assert sides_of(laid, spine_edge(False, BoundAt.HEAD), False) == PageSides(fore_edge=mm(3))
    assert BoundAt.HEAD.leaf_size(A4) == A4_TURNED


@given(edges)
def test_art_edges_are_the_edges_after_the_turn_of_the_art(upright: Edges) -> None:
    page = Box(ZERO, ZERO, mm(100), mm(200))
    art = page.grown(upright)
    for bound_at in BoundAt:
        turn = Placing(bound_at.art_turn)
        trim, whole = turn.box(page), turn.box(art)
        expected = Edges(
            left=trim.x0 - whole.x0,
            right=whole.x1 - trim.x1,
            bottom=trim.y0 - whole.y0,
            top=whole.y1 - trim.y1,
        )
        assert art_edges(upright, bound_at) == expected


@given(edges, QUARTERS)
def test_edges_of_a_rotated_page_as_it_is_read(own: Edges, rotate: int) -> None:
    """/Rotate turns clockwise (ISO 32000-1, table 30)."""
    media = Box(ZERO, ZERO, mm(100), mm(200))
    facts = PageFacts(media, media, rotate=rotate)
    turn = Placing((360 - rotate) % 360)
    inner, outer = turn.box(media), turn.box(media.grown(own))
    assert facts.upright_edges(own) == Edges(
        left=inner.x0 - outer.x0,
        right=outer.x1 - inner.x1,
        bottom=inner.y0 - outer.y0,
        top=outer.y1 - inner.y1,
    )
    assert facts.upright_size(media) == inner.size
