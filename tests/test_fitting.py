"""How a source page becomes a page of trim size: boxes, tolerance, overhang, scale, refusal."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import lengths, page_facts

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import Edge, PageSides
from impose.model.facts import BookPage, PageFacts
from impose.model.job import FitMode
from impose.plan.parts import Placement
from impose.plan.plan import PageFit
from impose.schemes.fitting import OVERHANG_LIMIT, Fitting, fit_pages, page_size
from impose.units import ZERO, Length

mm = Length.mm
A5 = Size(mm(148), mm(210))
TOLERANCE = mm("0.5")


def box(x0: Length, y0: Length, size: Size) -> Box:
    return Box.at(x0, y0, size)


def plain(size: Size, x: Length = ZERO, y: Length = ZERO, rotate: int = 0) -> PageFacts:
    """A page with a MediaBox alone, its corner at x, y."""
    media = box(x, y, size)
    return PageFacts(media, media, rotate=rotate)


def fit(
    *facts: PageFacts, trim: Size = A5, mode: FitMode = FitMode.ASK
) -> tuple[tuple[PageFit, ...], tuple[Finding, ...]]:
    pages = [BookPage(0, number, one) for number, one in enumerate(facts, start=1)]
    return fit_pages(pages, Fitting(trim=trim, mode=mode, tolerance=TOLERANCE, unit="mm"))


def refusal(*facts: PageFacts, trim: Size = A5) -> tuple[Finding, ...]:
    with pytest.raises(JobError) as caught:
        fit(*facts, trim=trim)
    return caught.value.faults


# -- what the page says ----------------------------------------------------------------


def test_a_page_of_trim_size_is_taken_as_it_is() -> None:
    (one,), findings = fit(plain(A5))
    assert one == PageFit(0, 1, box(ZERO, ZERO, A5))
    assert findings == ()


def test_an_odd_origin_stays_in_the_page_s_own_coordinates() -> None:
    (one,), findings = fit(plain(A5, mm(-20), mm(35)))
    assert one.box == box(mm(-20), mm(35), A5)
    assert findings == ()


def test_the_trim_box_says_where_the_page_is_and_the_bleed_box_what_lies_beyond() -> None:
    (one,), findings = fit(page_facts(A5, mm(3)))
    assert one.box == box(ZERO, ZERO, A5)
    assert one.supplied == Edges.all(mm(3))
    assert findings == ()


def test_without_a_bleed_box_the_crop_box_bounds_the_art() -> None:
    # PDF Reference 1.7, 10.10.1: a missing bleed box is the crop box.
    media = box(ZERO, ZERO, Size(mm(200), mm(260)))
    trim = box(mm(20), mm(20), A5)
    crop = trim.grown(Edges(left=mm(5), right=mm(6), bottom=mm(7), top=mm(8)))
    (one,), _ = fit(PageFacts(media, crop, trim=trim))
    assert one.supplied == Edges(left=mm(5), right=mm(6), bottom=mm(7), top=mm(8))


def test_bleed_reaches_no_farther_than_the_media() -> None:
    trim = box(mm(2), mm(2), A5)
    media = box(ZERO, ZERO, Size(mm(152), mm(214)))
    (one,), _ = fit(PageFacts(media, media, trim=trim, bleed=trim.grown(Edges.all(mm(9)))))
    assert one.supplied == Edges.all(mm(2))


def test_a_trim_box_as_large_as_the_media_says_nothing() -> None:
    larger = Size(mm(154), mm(216))
    media = box(ZERO, ZERO, larger)
    (one,), (note,) = fit(PageFacts(media, media, trim=media))
    assert one.box == box(mm(3), mm(3), A5)
    assert note.code == "page-centred"
    assert page_size(PageFacts(media, media, trim=media), TOLERANCE) == larger


def test_a_crop_box_that_hides_bleed_gives_way_to_a_media_box_of_trim_size() -> None:
    media = box(ZERO, ZERO, A5)
    cropped = PageFacts(media, box(mm(10), mm(10), Size(mm(128), mm(190))))
    (one,), findings = fit(cropped)
    assert one.box == media
    assert findings == ()


def test_the_edges_of_a_rotated_page_are_told_as_it_is_read() -> None:
    """Clockwise by a quarter: what lies at the page's own left is at the top when read."""
    trim = box(ZERO, ZERO, A5.turned)
    media = trim.grown(Edges(left=mm(4), right=mm(1), bottom=mm(2), top=mm(3)))
    (one,), findings = fit(PageFacts(media, media, trim=trim, rotate=90))
    assert one.box == trim
    assert one.rotate == 90
    assert one.supplied == Edges(top=mm(4), bottom=mm(1), left=mm(2), right=mm(3))
    assert findings == ()


# -- nearly the trim -------------------------------------------------------------------

# Real A4 files: 595 x 842 pt for 210 x 297 mm, 0.3 pt off.
A4 = Size(mm(210), mm(297))
A4_IN_POINTS = Size(Length.points(595), Length.points(842))


def test_a_page_within_half_a_millimetre_is_the_trim_centred_and_noted_once() -> None:
    fits, (note,) = fit(plain(A4_IN_POINTS), plain(A4_IN_POINTS), plain(A4), trim=A4)
    off = fits[0].box
    assert off.size == A4
    assert (off.x0 + off.x1).near(Length.points(595), Length(2))
    assert fits[2].box == box(ZERO, ZERO, A4)
    assert note.code == "size-off"
    assert note.pages == (1, 2)
    assert note.message == (
        "pages 1-2: ~209.903 x 297.039 mm instead of 210 x 297 mm: placed centred, not scaled"
    )


@pytest.mark.parametrize(("off", "is_trim"), [("0.5", True), ("0.501", False)])
def test_the_tolerance_is_half_a_millimetre(off: str, is_trim: bool) -> None:
    smaller = plain(Size(A5.width - mm(off), A5.height))
    if is_trim:
        assert fit(smaller)[1][0].code == "size-off"
    else:
        assert refusal(smaller)[0].code == "page-size"


# -- larger pages ----------------------------------------------------------------------


def test_a_larger_page_is_centred_and_what_overhangs_is_bleed() -> None:
    (one,), (note,) = fit(plain(Size(mm(154), mm(218))))
    assert one.box == box(mm(3), mm(4), A5)
    assert one.supplied == Edges(left=mm(3), right=mm(3), bottom=mm(4), top=mm(4))
    assert note.message.startswith("page 1: 154 x 218 mm centred on the trim of 148 x 210 mm")


def test_more_overhang_than_bleed_can_be_is_another_size() -> None:
    most = OVERHANG_LIMIT * 2
    assert fit(plain(Size(A5.width + most, A5.height)))[1][0].code == "page-centred"
    assert refusal(plain(Size(A5.width + most + Length(1), A5.height)))[0].code == "page-size"


def test_a_trim_box_of_another_size_is_not_centred_without_being_asked() -> None:
    media = box(ZERO, ZERO, Size(mm(170), mm(230)))
    other = PageFacts(media, media, trim=box(mm(10), mm(10), Size(mm(150), mm(210))))
    assert refusal(other)[0].code == "page-size"


# -- refused, scaled, centred ----------------------------------------------------------


def test_a_refusal_names_every_group_of_pages_both_sizes_and_the_choices() -> None:
    letter = Size(Length.inches("8.5"), Length.inches(11))
    faults = refusal(*[plain(A5)] * 2, *[plain(letter)] * 3, plain(A4), plain(letter))
    assert [(fault.code, fault.pages) for fault in faults] == [
        ("page-size", (3, 4, 5, 7)),
        ("page-size", (6,)),
    ]
    assert faults[0].message == "pages 3-5, 7: 215.9 x 279.4 mm, the trim is 148 x 210 mm"
    assert faults[1].message == "page 6: 210 x 297 mm, the trim is 148 x 210 mm"
    assert "--fit scale" in faults[0].hint
    assert "--fit centre" in faults[0].hint


def test_scaling_keeps_the_proportions_and_is_said() -> None:
    (one,), (note,) = fit(plain(A4), mode=FitMode.SCALE)
    assert one.scale == Fraction(148, 210)  # the width is the tighter: 0.7048, height 0.7071
    assert (one.box.width * one.scale).near(A5.width, Length(1))
    assert (one.box.height * one.scale).near(A5.height, Length(1))
    assert note.code == "page-scaled"
    assert note.numbers["scale"] == "70.5%"
    assert "210 x 297 mm scaled to 70.5% to fit the trim of 148 x 210 mm" in note.message


def test_supplied_bleed_of_a_scaled_page_is_what_is_left_of_it() -> None:
    (one,), _ = fit(page_facts(A4, mm(10)), mode=FitMode.SCALE)
    assert one.supplied.left.near(mm(10) * Fraction(148, 210), Length(2))


def test_a_page_of_trim_size_is_never_scaled() -> None:
    (one,), findings = fit(plain(A5), mode=FitMode.SCALE)
    assert one.scale == 1
    assert findings == ()


def test_centring_is_done_when_asked_whatever_the_size() -> None:
    for size in (A4, Size(mm(100), mm(100))):
        (one,), (note,) = fit(plain(size), mode=FitMode.CENTRE)
        assert one.box.size == A5
        assert (one.box.x0 + one.box.x1).near(size.width, Length(1))
        assert (one.box.y0 + one.box.y1).near(size.height, Length(1))
        assert note.code == "page-centred"


# -- laws ------------------------------------------------------------------------------


@given(
    st.sampled_from([0, 90, 180, 270]),
    st.builds(
        Edges, left=lengths(0, 12), right=lengths(0, 12), bottom=lengths(0, 12), top=lengths(0, 12)
    ),
)
def test_a_page_with_a_trim_box_is_placed_by_it_whatever_its_rotation(
    rotate: int, beyond: Edges
) -> None:
    own = A5 if rotate in (0, 180) else A5.turned
    trim = box(mm(7), mm(-3), own)
    media = trim.grown(beyond).grown(Edges.all(mm(1)))
    facts = PageFacts(media, media, trim=trim, bleed=trim.grown(beyond), rotate=rotate)
    (one,), _ = fit(facts)
    assert one.box == trim
    assert one.supplied == facts.upright_edges(beyond)


@given(st.sampled_from([0, 90, 180, 270]), st.sampled_from([0, 90, 180, 270]))
def test_a_placed_page_covers_its_art_exactly_and_stands_upright(rotate: int, turn: int) -> None:
    own = A5 if rotate in (0, 180) else A5.turned
    (one,), _ = fit(plain(own, mm(11), mm(-4), rotate))
    lying = A5 if turn in (0, 180) else A5.turned
    art = box(mm(20), mm(30), lying)
    placement = Placement(1, 1, art, art, turn, Edge.LEFT, False, PageSides(), ZERO, 1)
    placing = one.placing(placement)
    assert placing.box(one.box) == art
    # /Rotate is clockwise, the turn of the art counter-clockwise
    assert placing.turn == (turn - rotate) % 360
