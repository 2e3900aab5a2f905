"""Whole grains say the same as the plan's lengths."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st
from pdf_samples import plan_of

from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge, PageSides
from impose.model.facts import PageFacts, SourceFacts
from impose.pdf.operators import Numbers, factor_text
from impose.pdf.placed import Places, side_boxes
from impose.plan.parts import Placement, Side
from impose.plan.plan import PageFit
from impose.units import ZERO, Length

lengths = st.integers(-(10**10), 10**10).map(Length)
spans = st.integers(1, 10**9).map(Length)
sides = st.builds(
    PageSides, **{name: st.integers(0, 10**8).map(Length) for name in
                  ("head", "foot", "spine", "fore_edge")}
)  # fmt: skip
turns = st.sampled_from([0, 90, 180, 270])
scales = st.fractions(Fraction(1, 4), Fraction(4), max_denominator=1000)


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    return Box.at(draw(lengths), draw(lengths), Size(draw(spans), draw(spans)))


@st.composite
def placements(draw: st.DrawFn) -> Placement:
    spine_at = draw(st.sampled_from([Edge.LEFT, Edge.RIGHT]))
    return Placement(
        1, 1, draw(boxes()), draw(boxes()), draw(turns), spine_at, draw(st.booleans()),
        draw(sides), ZERO, 1,
    )  # fmt: skip


@given(placements(), boxes(), turns, scales, st.fractions(Fraction(1, 8), 8, max_denominator=64))
def test_placements_are_those_of_the_plan(
    placement: Placement, box: Box, rotate: int, scale: Fraction, unit: Fraction
) -> None:
    fit = PageFit(0, 1, box, rotate, scale)
    plan = plan_of([fit], [], ["a.pdf"])
    facts = SourceFacts("a.pdf", (PageFacts(box, box, user_unit=unit),))
    places = Places(plan, (facts,))
    (placed,) = places.on(Side((placement,)))
    assert tuple(map(Length, placed.clip)) == (
        placement.clip.x0, placement.clip.y0, placement.clip.x1, placement.clip.y1,
    )  # fmt: skip
    placing = fit.placing(placement)
    assert (Length(placed.e), Length(placed.f)) == (placing.dx, placing.dy)
    assert places.linears[placed.linear] == tuple(part * unit for part in placing.matrix())


@given(st.lists(placements(), max_size=4))
def test_boxes_of_a_side_are_those_round_its_placements(found: list[Placement]) -> None:
    box = Box(ZERO, ZERO, Length(1), Length(1))
    places = Places(
        plan_of([PageFit(0, 1, box)], [], ["a"]), (SourceFacts("a", (PageFacts(box, box),)),)
    )
    media = Box(Length(-(10**12)), Length(-(10**12)), Length(10**12), Length(10**12))
    trim, clip = side_boxes(places.on(Side(tuple(found))), (0, 0, 10**12, 10**12))
    if not found:
        assert trim == clip == (0, 0, 10**12, 10**12)
        return
    trims, clips = found[0].trim, found[0].clip
    for one in found[1:]:
        trims, clips = trims.join(one.trim), clips.join(one.clip)
    clips = clips.meet(Box(ZERO, ZERO, media.x1, media.y1))
    assert tuple(map(Length, trim)) == (trims.x0, trims.y0, trims.x1, trims.y1)
    assert tuple(map(Length, clip)) == (clips.x0, clips.y0, clips.x1, clips.y1)


@given(lengths)
def test_numbers_read_back_are_the_same_length(length: Length) -> None:
    text = Numbers()[length.grains].decode()
    assert Length.points(Decimal(text)) == length


@given(st.fractions(-16, 16))
def test_factors_are_off_by_half_of_the_last_decimal(factor: Fraction) -> None:
    text = factor_text(factor).decode()
    assert "e" not in text.lower()
    assert abs(Fraction(text) - factor) <= Fraction(1, 2 * 10**10)
