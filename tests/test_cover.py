"""The cover: published examples, laws of its geometry, art, findings, the empty cover."""

from __future__ import annotations

import io
import re
import subprocess
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from benchplans import library, plan_for
from coverplans import (
    BIG,
    VALLEY,
    art_facts,
    codes,
    cover_job,
    covered,
    inch,
    sheet,
    with_art,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader
from test_make import numbered_pdf

from impose.cli.cover_command import BLANK_PDF, BLANK_PNG, write_blank
from impose.cli.main import run
from impose.errors import ExitCode, JobError
from impose.geometry.box import Edges, Size
from impose.geometry.sides import BoundAt, Edge
from impose.geometry.turning import Flip, Turnover
from impose.marks.scoremarks import GLUE_WORDS
from impose.model.facts import PageFacts
from impose.model.fields import ValueFault
from impose.model.inkreader import ink
from impose.model.inks import Ink
from impose.model.job import Cover, Job, NamedSize
from impose.model.machines import Bench, Binder
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file
from impose.model.stock import Grain
from impose.pdf.coverblank import BlankCover, blank_pdf, blank_png
from impose.pipeline import make
from impose.plan.coverfacts import CoverFacts
from impose.plan.parts import Line, LineKind, Mark, Sheet, When
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.schemes.coverlayout import CoverMeasures
from impose.schemes.coverplan import add_cover
from impose.schemes.coverrules import CoverRules, cover_rules
from impose.schemes.gutspaper import guts_paper
from impose.units import ZERO, Length, total
from impose.wishes import Wish

EXAMPLES = Path(__file__).parent.parent / "examples"

LEGAL = (inch("8.5"), inch("14"))


def facts_of(plan: Plan) -> CoverFacts:
    assert plan.cover is not None
    return plan.cover


def sheet_of(plan: Plan) -> Sheet:
    return next(one for one in plan.sheets if one.role == "cover")


def marks_of(plan: Plan, inside: bool = False) -> list[Mark]:
    side = sheet_of(plan).back if inside else sheet_of(plan).front
    return [*(m for group in side.marks for m in group.marks), *side.own_marks]


# -- published ------------------------------------------------------------------------------


def test_the_published_width_of_an_open_cover() -> None:
    """Page 8.5 x 11 in, spine 0.25 in: the cover is 17.25 in wide, the file with 1/8 in of bleed
    all round 17.5 x 11.25 in (telepathicgraphics.com/faq/perfect-binding)."""
    cover = {"spine": inch("0.25"), "sheets": (sheet("19in", "13in"),)}
    plan = covered(cover_job(cover, trim="8.5in x 11in", sheet="9in x 12in"))
    facts = facts_of(plan)
    assert facts.trim.size == Size(inch("17.25"), inch("11"))
    blank = blank_pdf(blank_of(plan, bleed=inch("1/8")))
    box = PdfReader(io.BytesIO(blank)).pages[0].mediabox
    assert (float(box.width) / 72, float(box.height) / 72) == pytest.approx((17.5, 11.25), abs=1e-4)


def test_glue_trap_and_glue_band_as_published() -> None:
    """Cover 1/8 in longer than the untrimmed block at head and foot; no ink on the spine and
    3/16 in beside it (bindtechinc.com); hinge 1/4 in (finishlinebinderies.com)."""
    facts = facts_of(covered(cover_job({"spine": inch("3/8")})))
    assert facts.guts_down == inch("1/8")
    assert facts.glue_strip == inch("3/16")
    assert facts.hinge == inch("1/4")


@pytest.mark.parametrize(
    ("gsm", "score_from", "scored"),
    [
        ("140", None, False),  # stock is scored from 150 g/m2: condat-pap.com
        ("150", None, True),
        ("140", "135", True),  # from 135 g/m2: pugetbindery.com
        ("130", "135", False),
    ],
)
def test_the_fold_of_a_saddle_cover_is_scored_when_it_is_heavy(
    gsm: str, score_from: str | None, scored: bool
) -> None:
    stock = replace(library().stock("cover-80lb"), grammage=Fraction(gsm))
    job = cover_job({"stock": stock}, binding="saddle", sheet="tabloid")
    assert job.cover is not None
    cover = replace(job.cover, score_from=Fraction(score_from) if score_from else None)
    job = replace(job, cover=cover)
    plan = add_cover(plan_for(job, 16), job, [])
    assert facts_of(plan).scored is scored
    kinds = {line.kind for line in sheet_of(plan).lines if line.of == "cover-fold"}
    assert kinds == {LineKind.SCORE if scored else LineKind.FOLD}
    assert "a setting" in facts_of(plan).why_scored


# -- laws ----------------------------------------------------------------------------------


def lengths(least: str, most: str) -> st.SearchStrategy[Length]:
    low, high = Length.mm(least).grains, Length.mm(most).grains
    return st.integers(low, high).map(Length)


@st.composite
def jobs(draw: st.DrawFn, sides: tuple[str, ...] = ("left", "right", "head")) -> Job:
    """Covers of all kinds on a sheet that has room for them."""
    flap = st.one_of(st.none(), lengths("20", "90"))
    binding = draw(st.sampled_from(["perfect", "sections", "saddle", "stab"]))
    cover = {
        "spine": draw(lengths("1", "40")),
        "hinge": draw(st.one_of(st.none(), lengths("0", "12"))),
        "flap_front": draw(flap),
        "flap_back": draw(flap),
        "lay": draw(st.sampled_from([None, "head", "foot", "centre"])),
        "sheets": (BIG,),
    }
    guts: dict[str, Any] = {"flip": draw(st.sampled_from([None, *Flip]))}
    if binding == "perfect":
        guts["grind"] = draw(st.one_of(st.just(ZERO), lengths("0", "4")))
    return cover_job(
        cover,
        bound_at=draw(st.sampled_from(sides)),
        binding=binding,
        guts=guts,
        sheet="sra2" if binding in ("sections", "saddle") else "tabloid",
        units="mm",
    )


@settings(max_examples=60, deadline=None)
@given(job=jobs())
def test_panels_spine_and_flaps_are_the_open_cover_exactly(job: Job) -> None:
    plan = covered(job, 32)
    facts, one = facts_of(plan), sheet_of(plan)
    panels, flaps = facts.panel.width * 2, facts.flap_back + facts.flap_front
    assert panels + facts.spine.width + flaps == facts.trim.width
    assert facts.panel == plan.leaf
    whole = facts.trim.width if facts.cut_first else one.size.width
    assert facts.front_distance + facts.spine.width + facts.back_distance == whole
    measures = CoverMeasures(
        panel=facts.panel,
        spine=facts.spine.width,
        hinge=facts.hinge,
        flap_front=facts.flap_front,
        flap_back=facts.flap_back,
    )
    boxes = measures.boxes(ZERO, ZERO)
    assert total(box.width for box in boxes.values()) == measures.size.width == facts.trim.width
    assert all(ZERO < line.x0 < one.size.width for line in one.lines if line.upright)


@settings(max_examples=40, deadline=None)
@given(job=jobs(sides=("left",)))
def test_a_right_bound_cover_is_the_mirror(job: Job) -> None:
    left = covered(replace(job, bound_at=BoundAt.LEFT), 32)
    right = covered(replace(job, bound_at=BoundAt.RIGHT), 32)
    width = sheet_of(left).size.width
    lines = sheet_of(left).lines
    mirror = {replace(ln, x0=width - ln.x1, x1=width - ln.x0) for ln in lines}
    assert mirror == set(sheet_of(right).lines)
    for name in ("front_distance", "back_distance", "head", "foot"):
        assert getattr(facts_of(left), name) == getattr(facts_of(right), name)
    steps = [(s.of, s.distance, s.at_stop, s.face_up) for s in left.score_steps]
    assert steps == [(s.of, s.distance, s.at_stop, s.face_up) for s in right.score_steps]


@settings(max_examples=60, deadline=None)
@given(job=jobs())
def test_every_score_mark_lies_on_its_score_line_outside_the_trim(job: Job) -> None:
    plan = covered(job, 32)
    one, trim = sheet_of(plan), facts_of(plan).trim
    for inside in (False, True):
        lines = [ln.x0 for ln in one.lines if ln.kind is not LineKind.CUT]
        cuts = [ln.x0 if ln.upright else ln.y0 for ln in one.lines if ln.kind is LineKind.CUT]
        there = trim
        if inside:
            there = one.turned.over(trim, one.size)
            lines = [one.turned.point(x, ZERO, one.size)[0] for x in lines]
            cuts = [at for ln in one.lines if ln.kind is LineKind.CUT for at in _turned(ln, one)]
        marks = marks_of(plan, inside)
        scores = [m for m in marks if m.kind in ("score", "fold")]
        assert {m.x0 for m in scores} == set(lines)
        assert all(m.x0 == m.x1 for m in scores)
        assert all(m.y1 <= there.y0 or m.y0 >= there.y1 for m in scores)
        crops = [m for m in marks if m.kind == "crop"]
        assert all((m.x0 if m.x0 == m.x1 else m.y0) in cuts for m in crops)
        assert len(crops) == 8
        for mark in marks:
            assert min(mark.x0, mark.x1) >= ZERO and max(mark.x0, mark.x1) <= one.size.width
            assert min(mark.y0, mark.y1) >= ZERO and max(mark.y0, mark.y1) <= one.size.height


def _turned(line: Line, one: Sheet) -> list[Length]:
    x, y = one.turned.point(line.x0, line.y0, one.size)
    return [x if line.upright else y]


@settings(max_examples=40, deadline=None)
@given(job=jobs())
def test_the_cover_laid_over_its_guts(job: Job) -> None:
    """The front panel is the guts' trim after grind; head and foot line up at the lay."""
    plan = covered(job, 32)
    facts = facts_of(plan)
    guts = guts_paper(plan)
    assert facts.panel == plan.leaf
    # From the spine edge the front panel ends where the guts are cut at the fore-edge.
    first = next(one for one in plan.sheets if one.role == "guts").front.placements
    page = next(p for p in first if p.position in (1, plan.faces))
    assert page.art.size == facts.panel
    name = "cover-front" if facts.cut_first else "fore-edge"
    edge = (Fraction(1), facts.trim.x1) if facts.front_at_right else (Fraction(-1), facts.trim.x0)
    way, fore = edge
    lines = {ln.of: ln.x0 for ln in sheet_of(plan).lines if ln.kind is not LineKind.CUT}
    spine_x = lines["spine-front" if facts.spine.width else "cover-fold"]
    assert any(ln.x0 == fore for ln in sheet_of(plan).lines if ln.of == name)
    assert (fore - spine_x) * way == plan.leaf.width + facts.flap_front
    # Laid so that the guts' head edge is `guts_down` below the cover's, the trims meet.
    assert facts.guts_down + guts.head == facts.head
    assert facts.guts_up + guts.foot == facts.foot
    assert facts.head + facts.panel.height + facts.foot == facts.paper.height
    if facts.lay == "head":
        assert facts.guts_down == facts.glue_trap_head
    if facts.lay == "foot":
        assert facts.guts_up == facts.glue_trap_foot


@settings(max_examples=30, deadline=None)
@given(job=jobs())
def test_the_plan_with_its_cover_survives_the_wire_and_reads_as_before(job: Job) -> None:
    plan = covered(job, 32)
    assert from_text(to_text(plan)) == plan
    assert plan.reading_order() == tuple(range(1, 33))
    assert covered(job, 32) == plan


def test_the_example_of_the_bench() -> None:
    """Letter guts, trim centred: the cover's head margin is theirs plus the glue trap."""
    plan = covered(cover_job({"spine": inch("3/8")}))
    facts = facts_of(plan)
    assert (facts.front_distance, facts.back_distance) == (inch("8 13/16"), inch("8 13/16"))
    assert facts.guts.head == inch("1 1/4")
    assert facts.head == inch("1 3/8")
    assert facts.foot == inch("2 1/8")
    ids = {line.of for line in sheet_of(plan).lines if line.kind is LineKind.CUT}
    assert ids == {"head", "foot", "fore-edge"}
    assert ids == {cut.id for cut in plan.cuts}


def test_a_guts_job_without_cover_is_left_as_it_is() -> None:
    job = replace(cover_job(), cover=None)
    plan = covered(job)
    assert plan.cover is None
    assert plan.score_steps == ()
    assert {one.role for one in plan.sheets} == {"guts"}


# -- flaps and folds ---------------------------------------------------------------------------


def test_flaps_are_cut_first_and_the_guts_at_the_fore_edge_before_the_cover_goes_on() -> None:
    cover = {"spine": inch("3/8"), "flap_front": inch("3"), "sheets": (BIG,)}
    plan = covered(cover_job(cover))
    facts = facts_of(plan)
    when = {cut.id: cut.when for cut in plan.cuts}
    assert facts.cut_first
    assert when["cover-front"] is when["cover-back"] is when["fore-edge"] is When.BEFORE_BINDING
    assert when["head"] is when["foot"] is When.AFTER_BINDING
    assert facts.front_distance == inch("8.5")  # panel + flap
    assert facts.back_distance == inch("5.5")
    flap = next(s for s in plan.score_steps if s.of == "flap-front")
    assert flap.distance == inch("3")
    assert flap.inside_fold.value == "inside"


def test_a_saddle_cover_is_folded_with_its_outside_out() -> None:
    job = cover_job(binding="saddle", sheet="tabloid")
    plan = covered(job, 16)
    one, facts = sheet_of(plan), facts_of(plan)
    assert facts.spine.width == ZERO
    assert facts.trim.width == plan.leaf.width * 2
    fold = one.folds[0]
    assert fold.under and fold.moving is Edge.LEFT
    assert fold.at == facts.trim.x0 + plan.leaf.width
    assert facts.guts_down == ZERO
    # The guts count the cover's caliper among those outside them.
    assert plan.creep.total >= facts.stock.caliper


# -- art -------------------------------------------------------------------------------------


def open_cover(spine: str) -> Size:
    return Size(inch("11") + inch(spine), inch("8.5"))


def test_wide_art_lies_on_the_whole_open_cover() -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    plan = covered(job, art=(art_facts(open_cover("3/8"), inch("1/8")),))
    placement = sheet_of(plan).front.placements[0]
    assert placement.page == 101
    assert placement.position > plan.faces
    assert placement.trim == placement.art == facts_of(plan).trim
    assert placement.bleed.head == placement.bleed.spine == Length.mm(3)
    assert plan.pages[100].box.size == facts_of(plan).trim.size
    assert not {code for code in codes(plan) if code.startswith("cover-art")}


def test_art_for_another_spine_is_centred_not_stretched() -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    art = art_facts(open_cover("0.25"), inch("1/8"))
    plan = covered(job, art=(art,))
    fit = plan.pages[100]
    assert art.trim is not None
    assert fit.scale == 1
    assert fit.box.x0 == art.trim.x0 - inch("1/16")
    finding = next(f for f in plan.findings if f.code == "cover-art-spine")
    assert "0.25 in" in finding.message and "0.375 in" in finding.message
    assert finding.file == "art1.pdf"


@pytest.mark.parametrize(
    ("size", "code"),
    [
        (Size(inch("10.9"), inch("8.5")), "cover-art-size"),  # less than no spine
        (Size(inch("11.3"), inch("8.3")), "cover-art-small"),
        (Size(inch("11.375"), inch("11")), "cover-art-size"),
    ],
)
def test_art_that_is_too_small_or_of_another_size(size: Size, code: str) -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    plan = covered(job, art=(art_facts(size, ZERO, box=False),))
    finding = next(f for f in plan.findings if f.code == code)
    assert finding.severity.value == "error"
    assert "11.375 x 8.5 in" in finding.message


def test_art_without_bleed_is_a_warning() -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    plan = covered(job, art=(art_facts(open_cover("3/8")),))
    finding = next(f for f in plan.findings if f.code == "cover-bleed")
    assert finding.severity.value == "warning"


def test_art_without_a_trim_box_is_the_page_less_its_bleed() -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    plan = covered(job, art=(art_facts(open_cover("3/8"), inch("1/8"), box=False),))
    assert plan.pages[100].supplied.left == inch("1/8")
    assert not {code for code in codes(plan) if code.startswith("cover-art")}


def test_front_art_alone_leaves_back_and_spine_white() -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(front=True)})
    plan = covered(job, art=(art_facts(Size(inch("5.5"), inch("8.5")), inch("1/8")),))
    pages = [p.page for p in sheet_of(plan).front.placements]
    assert pages == [None, None, 101]
    front = sheet_of(plan).front.placements[2]
    assert front.spine_at is Edge.LEFT
    assert front.bleed.spine == ZERO
    assert front.bleed.fore_edge == Length.mm(3)
    boxes = [p.trim for p in sheet_of(plan).front.placements]
    whole = boxes[0].join(boxes[1]).join(boxes[2])
    assert whole == facts_of(plan).trim  # the TrimBox of cover.pdf


@pytest.mark.parametrize("flip", [Flip.LONG_EDGE, Flip.SHORT_EDGE])
def test_inside_faces_lie_behind_their_outsides(flip: Flip) -> None:
    panel = art_facts(Size(inch("5.5"), inch("8.5")), inch("1/8"))
    job = cover_job(
        {"spine": inch("3/8"), "art": with_art(front=True), "inside": with_art(front=True)},
        guts={"flip": flip},
    )
    plan = covered(job, art=(panel, panel))
    one = sheet_of(plan)
    outside = next(p for p in one.front.placements if p.page)
    inside = next(p for p in one.back.placements if p.page)
    assert one.turned.over(outside.trim, one.size) == inside.trim
    assert inside.turn == (180 if one.turned is Turnover.ABOUT_HORIZONTAL else 0)
    assert {"cover-glue-band"} <= codes(plan)


def test_the_inside_shows_where_the_glue_goes() -> None:
    plan = covered(cover_job({"spine": inch("3/8")}))
    facts = facts_of(plan)
    glue = [m for m in marks_of(plan, inside=True) if m.kind == "glue"]
    lines = [m for m in glue if m.y0 == m.y1 and not m.text]
    assert len(lines) == 2
    assert all(m.x1 - m.x0 == facts.spine.width + facts.glue_strip * 2 for m in lines)
    assert any(m.text == GLUE_WORDS for m in glue)
    centre = [m for m in marks_of(plan) if m.kind == "spine-centre"]
    assert {m.x0 for m in centre} == {facts.paper.width.half}


def test_the_number_of_art_pages_must_be_that_of_the_job() -> None:
    job = cover_job({"art": with_art(wide=True)})
    with pytest.raises(ValueError, match="1 pages of art, 0 are given"):
        covered(job)


# -- findings --------------------------------------------------------------------------------


def binder(**limits: Length) -> Binder:
    return Binder(name="test binder", **limits)


@pytest.mark.parametrize(
    ("limits", "code"),
    [
        ({"spine_min": inch("1/2")}, "spine-binder"),
        ({"spine_max": inch("1/4")}, "spine-binder"),
        ({"spine_length_min": inch("12")}, "spine-binder-length"),
        # The 5 in of common practice is a profile value: letter guts are 11 in long.
        ({"spine_length_max": inch("10")}, "spine-binder-length"),
        ({"spine_length_min": inch("5")}, ""),
    ],
)
def test_what_the_binder_does_not_take(limits: dict[str, Length], code: str) -> None:
    job = cover_job({"spine": inch("3/8")})
    job = replace(job, bench=Bench(binder=binder(**limits), creaser=VALLEY))
    found = {f.code: f for f in covered(job).findings if f.severity.value == "error"}
    assert set(found) == ({code} if code else set())
    for finding in found.values():
        assert len(finding.numbers) == 2
        assert all(str(number) in finding.message for number in finding.numbers.values())


def test_a_cover_not_longer_than_the_untrimmed_guts() -> None:
    plan = covered(cover_job({"spine": inch("3/8"), "sheets": (sheet("17in", "11in"),)}))
    finding = next(f for f in plan.findings if f.code == "cover-length")
    assert "11 in" in finding.message
    assert facts_of(plan).head == inch("1 3/8")


def test_a_cover_that_does_not_reach_below_the_guts() -> None:
    plan = covered(cover_job({"spine": inch("3/8"), "sheets": (sheet("17in", "11.1in"),)}))
    assert "cover-glue-trap" in codes(plan)


def test_a_cover_that_cannot_lie_at_the_lay_says_how_far_down_the_guts_sit() -> None:
    plan = covered(cover_job({"spine": inch("3/8"), "lay": "centre"}))
    finding = next(f for f in plan.findings if f.code == "cover-lay")
    assert "0.5 in below" in finding.message
    assert facts_of(plan).guts_down == inch("0.5")


@pytest.mark.parametrize(("grain", "warned"), [(Grain.LONG, True), (Grain.SHORT, False)])
def test_scores_against_the_grain(grain: Grain, warned: bool) -> None:
    """Grain parallel to the spine (bindtechinc.com, pugetbindery.com)."""
    stock = replace(library().stock("cover-80lb"), grain=grain)
    plan = covered(cover_job({"spine": inch("3/8"), "stock": stock}))
    assert ("score-grain" in codes(plan)) is warned


@pytest.mark.parametrize(("spine", "warned"), [("0.1", True), ("0.124", True), ("3/8", False)])
def test_art_for_a_spine_too_thin_for_words(spine: str, warned: bool) -> None:
    """Under about 1/8 in: common practice, a setting."""
    job = cover_job({"spine": inch(spine), "art": with_art(spine=True)})
    plan = covered(job, art=(art_facts(Size(inch(spine), inch("8.5")), inch("1/8")),))
    assert ("spine-thin" in codes(plan)) is warned


def test_a_hinge_wider_than_the_panel_is_refused_with_both() -> None:
    with pytest.raises(JobError) as caught:
        covered(cover_job({"spine": inch("3/8"), "hinge": inch("6")}))
    fault = caught.value.faults[0]
    assert fault.code == "hinge-too-wide"
    assert "6 in" in fault.message and "5.5 in" in fault.message


def test_a_sheet_too_small_for_the_open_cover_is_refused_with_both() -> None:
    with pytest.raises(JobError) as caught:
        covered(cover_job({"spine": inch("3/8"), "sheets": (sheet("11in", "8.5in"),)}))
    fault = caught.value.faults[0]
    assert fault.code == "cover-sheet-too-small"
    assert "11.375 x 8.5 in" in fault.message and "11 x 8.5 in" in fault.message


def test_the_smallest_usual_sheet_is_taken_and_said_when_none_is_named() -> None:
    plan = covered(cover_job({"spine": inch("3/8"), "sheets": ()}))
    assert "cover-sheet-assumed" in codes(plan)
    assert sheet_of(plan).size == Size(inch("18"), inch("12"))


def test_a_cover_too_large_for_the_printer_is_printed_elsewhere() -> None:
    """The printer of the guts takes its own sheets; a gripper is not passed over in silence."""
    printer = replace(library().printer("office-laser-long-edge"), sheet_max=Size(*LEGAL))
    plan = covered(cover_job({"spine": inch("3/8")}, guts={"printer": printer}))
    assert "cover-printer" in codes(plan)
    larger = replace(printer, sheet_max=Size(inch("13"), inch("19")))
    plan = covered(cover_job({"spine": inch("3/8")}, guts={"printer": larger}))
    assert "cover-printer" not in codes(plan)


NAVY = ink("cmyk 100 80 0 40")


def test_a_colour_lies_on_the_parts_without_art_out_to_the_bleed() -> None:
    """All of the cover where there is no art at all."""
    plan = covered(cover_job({"spine": inch("3/8"), "fill": NAVY}))
    side, facts = sheet_of(plan).front, facts_of(plan)
    assert {fill.ink for fill in side.fills} == {NAVY}
    whole = side.fills[0].box
    for fill in side.fills[1:]:
        whole = whole.join(fill.box)
    assert whole == facts.trim.grown(Edges.all(Length.mm(3)))
    assert not sheet_of(plan).back.fills
    assert from_text(to_text(plan)) == plan


def test_marks_keep_out_of_a_colour_that_ends_with_the_paper() -> None:
    """A sheet 4 mm higher than the cover: 2 mm of bleed at one end, and a mark in it would stay
    on the book when the knife is a little off.  Said, and no mark is drawn there."""
    named = NamedSize(size=Size(inch(14), inch("8.5") + Length.mm(4)), name="to suit", unit="in")
    options = {"spine": inch("3/8"), "fill": NAVY, "lay": "centre", "sheets": (named,)}
    plan = covered(cover_job(options))
    (told,) = [f for f in plan.findings if f.code == "cover-bleed-room"]
    assert told.numbers["least"] == Length.mm(2).text(plan.unit)
    assert "at head, foot:" in told.message
    fields = [fill.box for fill in sheet_of(plan).front.fills]
    for mark in marks_of(plan):
        x, y = (mark.x0 + mark.x1).half, (mark.y0 + mark.y1).half
        assert not any(f.x0 < x < f.x1 and f.y0 < y < f.y1 for f in fields), mark
    assert "score" not in {mark.kind for mark in marks_of(plan)}
    assert any(f.code == "cover-mark-no-room" for f in plan.findings)


@pytest.mark.parametrize("bound_at", ["left", "right"])
def test_a_colour_beside_front_art_ends_at_the_spine_edge(bound_at: str) -> None:
    options = {"spine": inch("3/8"), "art": with_art(front=True), "fill": NAVY}
    job = cover_job(options, bound_at=bound_at)
    plan = covered(job, art=(art_facts(Size(inch("5.5"), inch("8.5")), inch("1/8")),))
    side = sheet_of(plan).front
    front = next(p for p in side.placements if p.page)
    assert len(side.fills) == 1  # back and spine
    assert not any(fill.box.overlaps(front.trim) for fill in side.fills)
    edge = front.trim.x0 if bound_at == "left" else front.trim.x1
    assert edge in {x for fill in side.fills for x in (fill.box.x0, fill.box.x1)}


@pytest.mark.parametrize(
    ("written", "space", "parts"),
    [
        ("CMYK 0 20 80 0", "cmyk", ("0", "1/5", "4/5", "0")),
        ("grey 30%", "grey", ("3/10",)),
        ("rgb 255, 0, 51", "rgb", ("1", "0", "1/5")),
        ("#ff0033", "rgb", ("1", "0", "1/5")),
    ],
)
def test_colours_as_people_write_them(written: str, space: str, parts: tuple[str, ...]) -> None:
    assert ink(written) == Ink(space, tuple(map(Fraction, parts)))
    assert ink("white") is None


@pytest.mark.parametrize("written", ["navy", "cmyk 0 20 80", "grey -1", "rgb 300 0 0", "#12345"])
def test_colours_that_are_none(written: str) -> None:
    with pytest.raises(ValueFault, match=re.escape(f"'{written}'")):
        ink(written)


@pytest.mark.parametrize("unit", ["grey 30", "cmyk 0 20 80 0", "#c82828"])
def test_the_colour_is_seen_on_the_written_cover(tmp_path: Path, unit: str) -> None:
    """Front art alone: back and spine in the colour, out to the bleed and no farther; the
    front as it was.  Rendered by pdfium."""
    numbered_pdf(tmp_path / "p.pdf", 96)
    numbered_pdf(tmp_path / "front.pdf", 1)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "perfect"\ntrim = "a5"\n[guts]\nsheet = "a4"\n'
        f'[cover]\nart = {{ front = "front.pdf" }}\nspine = "measured 6mm"\nfill = "{unit}"\n'
        'sheet = "sra3"\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--only", "cover,plan", "--no-check",
                "--quiet"]) == 0  # fmt: skip
    facts = facts_of(from_text((out / "plan.json").read_text()))
    with pypdfium2.PdfDocument(out / "cover.pdf") as pdf:
        image = pdf[0].render(scale=2).to_pil().convert("RGB")

    def at(x: Length, y: Length) -> tuple[int, ...]:
        return image.getpixel((float(x.as_points) * 2, image.height - float(y.as_points) * 2))

    trim, mm = facts.trim, Length.mm
    middle = (trim.y0 + trim.y1).half
    colour = at(trim.x0 + mm(20), middle)
    assert colour != (255, 255, 255)
    assert at(trim.x0 - mm(2), middle) == colour
    assert at(trim.x0 + facts.panel.width + mm(3), middle) == colour  # the spine
    assert at(trim.x0 + mm(20), trim.y0 - mm(2)) == colour
    assert at(trim.x0 - mm(4), middle) == (255, 255, 255)
    assert at(trim.x1 - mm(20), middle) == (255, 255, 255)  # the front's own white
    assert subprocess.run(["qpdf", "--check", out / "cover.pdf"], check=False).returncode == 0


def test_limits_of_the_job_win_over_the_usual_ones() -> None:
    light = replace(library().stock("silk-cover-250gsm"), grammage=Fraction(140))
    plan = covered(cover_job({"stock": light}, binding="saddle", sheet="sra3"))
    assert not facts_of(plan).scored
    scored = cover_job(
        {"stock": light, "score_from": Fraction(135)}, binding="saddle", sheet="sra3"
    )
    facts = facts_of(covered(scored))
    assert facts.scored and "135 g/m2" in facts.why_scored and "the job" in facts.why_scored
    assert cover_rules(Cover(thin_spine=inch("1/4"))).thin_spine == inch("1/4")
    assert cover_rules(None) == CoverRules()


def test_leaves_bound_in_besides_count_in_the_spine() -> None:
    plain = facts_of(covered(cover_job({})))
    job = replace(cover_job({}), extra_leaves=4)
    more = facts_of(covered(job))
    assert more.spine.thicknesses == plain.spine.thicknesses + 4
    assert more.spine.width == plain.spine.width + job.guts.stock.caliper * 4
    assert "+ 4 extra" in more.spine.source


# -- the empty cover -----------------------------------------------------------------------------


def blank_of(plan: Plan, bleed: Length) -> BlankCover:
    return BlankCover(
        title=plan.title,
        unit=plan.unit,
        cover=facts_of(plan),
        bound_at=plan.bound_at,
        bleed=bleed,
        spine_clear=inch("1/16"),
    )


def test_the_empty_cover_is_drawn_to_size_with_its_measures() -> None:
    plan = covered(cover_job({"spine": inch("3/8")}))
    data = blank_pdf(blank_of(plan, inch("1/8")))
    assert data == blank_pdf(blank_of(plan, inch("1/8")))
    page = PdfReader(io.BytesIO(data)).pages[0]
    trim = [9, 9, 9 + 11.375 * 72, 9 + 612]
    assert [float(n) for n in page.trimbox] == pytest.approx(trim, abs=1e-3)
    words = page.extract_text()
    for text in ("BACK", "FRONT", "spine 0.375 in", "5.5 x 8.5 in trimmed", "hinge 0.25 in",
                 "bleed 0.125 in", "live area (grey) 0.125 in"):  # fmt: skip
        assert text in words
    image = Image.open(io.BytesIO(blank_png(data, 72)))
    assert image.size == (837, 630)
    assert [round(float(n)) for n in image.info["dpi"]] == [72, 72]


def test_the_empty_cover_of_a_head_bound_book_reads_upright() -> None:
    plan = covered(cover_job({"spine": inch("3/8"), "sheets": (BIG,)}, bound_at="head"))
    page = PdfReader(io.BytesIO(blank_pdf(blank_of(plan, inch("1/8"))))).pages[0]
    assert page.rotation == 90
    words = page.extract_text(orientations=(90,))  # upright as it is read
    assert "FRONT" in words and "5.5 x 8.5 in trimmed" in words and "spine 0.375 in" in words
    assert float(page.mediabox.width) == pytest.approx((2 * 8.5 + 0.375 + 0.25) * 72, abs=1e-3)


def test_the_command_writes_an_empty_cover(tmp_path: Path) -> None:
    pages = numbered_pdf(tmp_path / "pages.pdf", 8, (inch("5.5"), inch("8.5")))
    job = cover_job({"spine": inch("3/8")})
    job = replace(job, pages=(replace(job.pages[0], file=pages),), folder=tmp_path)
    speak = {"strict": False, "as_json": False, "quiet": True}
    assert write_blank(job, tmp_path / "out", 50, speak) == ExitCode.FINE
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == [BLANK_PDF, BLANK_PNG]


def test_art_turned_in_its_file_is_read_upright() -> None:
    """A page stored on its side (/Rotate 90) is the same art."""
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    upright = art_facts(open_cover("3/8").turned, inch("1/8"))
    turned = PageFacts(media=upright.media, crop=upright.crop, trim=upright.trim, rotate=90)
    plan = covered(job, art=(turned,))
    assert not {code for code in codes(plan) if code.startswith("cover-art")}
    placing = plan.pages[100].placing(sheet_of(plan).front.placements[0])
    assert placing.box(plan.pages[100].box) == facts_of(plan).trim


# -- the whole way ----------------------------------------------------------------------------


def test_cover_pdf_of_the_example_is_the_open_trimmed_cover(tmp_path: Path) -> None:
    """Its TrimBox is back + spine + front, read by another reader; the guts' trim is its panel."""
    job = job_from_file(EXAMPLES / "perfect.toml", Overrides(spine="from stock"), library())
    made = make(job, tmp_path, Wish(only=("guts", "cover", "plan"), look=False))
    facts = facts_of(made.plan)
    for page in PdfReader(tmp_path / "cover.pdf").pages:
        box = page.trimbox
        size = facts.trim.size
        assert float(box.width) == pytest.approx(float(size.width.as_points), abs=1e-3)
        assert float(box.height) == pytest.approx(float(size.height.as_points), abs=1e-3)
    guts = PdfReader(tmp_path / "guts.pdf").pages[0].trimbox
    assert float(guts.width) == pytest.approx(float(facts.panel.width.as_points), abs=1e-3)
    plan = from_text((tmp_path / "plan.json").read_text())
    assert plan.cover == facts
    assert plan.score_steps == made.plan.score_steps


def test_a_cover_without_art_is_written_too(tmp_path: Path) -> None:
    """Marks and scores alone."""
    pages = numbered_pdf(tmp_path / "pages.pdf", 8, (inch("5.5"), inch("8.5")))
    job = cover_job({"spine": inch("3/8")})
    job = replace(job, pages=(replace(job.pages[0], file=pages),), folder=tmp_path)
    make(job, tmp_path / "out", Wish(only=("cover",), look=False))
    assert len(PdfReader(tmp_path / "out" / "cover.pdf").pages) == 2
