"""The ticket: its figures are those of plan and score list, read back by another reader."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from decimal import Decimal

import pdfplumber
import pytest
from benchplans import job_for, plan_for
from coverplans import BIG, cover_job, covered, inch
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from impose.bench.program import add_cuts
from impose.findings import Finding
from impose.model.job import Job
from impose.plan.cutsteps import StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.plan.wire import to_text
from impose.reports.ticket_facts import BLANKS, ticket_facts
from impose.reports.ticket_pdf import ticket_pdf
from impose.units import Length, both_units, parse_length


def whole(job: Job, pages: int = 100) -> Plan:
    return add_cuts(covered(job, pages), job)


def example() -> tuple[Plan, Job]:
    job = cover_job({"spine": inch("3/8")}, title="The Lights of Pellantine")
    return whole(job, 96), job


def read(data: bytes) -> str:
    """All words of the ticket in one line, single blanks between, by another reader."""
    pages = PdfReader(io.BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def sizes(data: bytes) -> list[float]:
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        return [char["size"] for page in pdf.pages for char in page.chars]


def test_ticket_score_list_and_plan_show_the_same_numbers() -> None:
    plan, job = example()
    words = read(ticket_pdf(plan, job))
    told = json.loads(to_text(plan), parse_float=Decimal)
    steps = [step for step in told["score_steps"] if step["kind"] == "score"]
    assert len(steps) == 4
    for step, row in zip(steps, ticket_facts(plan, job).scores, strict=True):
        distance = Length.points(step["distance"])
        assert row.reading == step["reading"]
        assert parse_length(row.reading.replace(" in", "in")) == distance
        assert row.exact == both_units(distance, "in")
        line = f"{step['number']} {step['title']} {step['face_up'].upper()} up"
        assert f"{line} {step['at_stop'].upper()} at stop {row.reading} {row.exact}" in words
        if step["turn"]:
            assert f"then {step['turn']}" in words
    cover = told["cover"]
    for name in ("front_distance", "back_distance"):
        assert f"8 13/16 in ({Length.points(cover[name]).text('mm')})" in words
    assert f"3/8 in ({Length.points(cover['spine']['width']).text('mm')})" in words
    assert plan.cover is not None
    assert plan.cover.trim.size.text("in") in words


@settings(max_examples=8, deadline=None)
@given(
    spine=st.integers(Length.mm(3).grains, Length.mm(30).grains).map(Length),
    hinge=st.integers(Length.mm(3).grains, Length.mm(9).grains).map(Length),
    unit=st.sampled_from(["mm", "in"]),
)
def test_figures_that_no_ruler_shows_are_given_with_what_they_are_off_by(
    spine: Length, hinge: Length, unit: str
) -> None:
    job = cover_job({"spine": spine, "hinge": hinge, "sheets": (BIG,)}, units=unit)
    plan = whole(job)
    facts = ticket_facts(plan, job)
    words = read(ticket_pdf(plan, job))
    for step, row in zip(plan.score_steps[1:], facts.scores, strict=True):
        assert row.exact == both_units(step.distance, unit)
        assert row.reading in words and row.exact in words
        mark, _, off = step.reading.partition(" (")
        assert row.reading == mark
        assert row.off == (f"exactly {off.rstrip(')')} than the reading" if off else "")
        assert row.off in words


def test_everything_the_binder_needs_is_on_one_page() -> None:
    plan, job = example()
    data = ticket_pdf(plan, job)
    first, second, *_ = PdfReader(io.BytesIO(data)).pages
    words = " ".join(first.extract_text().split())
    assert second.extract_text().startswith("What to do now")
    assert "The Lights of Pellantine" in words
    for label in BLANKS:
        assert label in words
    for text in (
        "96 pages, 48 leaves",
        "perfect, bound at the left",
        "5.5 x 8.5 in (139.7 x 215.9 mm)",
        "Guts untrimmed: 8.5 x 11 in",
        "Cover sheet: cover sheet, 18 x 12 in",
        "measured; 48 leaves x",
        "1/8 in (3.175 mm) below the cover's",
        "Glue band inside, no ink: 0.75 in (19.05 mm)",
        "First measure the cover's width edge to edge: planned 18 in",
        "planned measured",
        "BACK",
        "FRONT",
        "Cautions:",
    ):
        assert text in words, text
    assert min(sizes(data)) >= 10 - 1e-6
    assert max(sizes(data)) >= 14


def test_the_last_cuts_are_those_of_the_cut_list() -> None:
    plan, job = example()
    cuts = [
        step
        for step in plan.cut_steps
        if step.kind is StepKind.CUT and step.when is When.AFTER_BINDING
    ]
    rows = ticket_facts(plan, job).last_cuts
    assert [row.label for row in rows] == [
        "Last cut, step 2, foot",
        "Last cut, step 3, head",
        "Last cut, step 4, fore-edge",
    ]
    for step, row in zip(cuts, rows, strict=True):
        assert step.setting is not None
        assert step.setting.gauge.text("mm") in row.words
    bare = replace(plan, cut_steps=())
    assert len(ticket_facts(bare, job).last_cuts) == 3


def test_errors_come_first_and_say_why() -> None:
    plan, job = example()
    assert "DO NOT PRINT" not in read(ticket_pdf(plan, job))
    spoiled = replace(plan, findings=(Finding.error("test", "page 3 is cut off at the foot"),))
    words = read(ticket_pdf(spoiled, job))
    assert words.startswith("DO NOT PRINT • page 3 is cut off at the foot")


def test_warnings_are_special_instructions() -> None:
    plan, job = example()
    warned = replace(plan, findings=(Finding.warning("test", "the picture is near the trim"),))
    words = read(ticket_pdf(warned, job))
    assert "Special instructions • The picture is near the trim." in words


def test_grind_gives_both_figures() -> None:
    """The gauge from the ground spine, and the mark's distance from the unground edge."""
    job = cover_job({"spine": inch("3/8")}, grind="1/8in")
    facts = ticket_facts(whole(job), job)
    row = next(row for row in facts.book if row.label == "Grind")
    assert "5.5 in from the ground spine" in row.words
    assert "5.625 in from the unground edge" in row.words


def test_flaps_are_told() -> None:
    job = cover_job({"spine": inch("3/8"), "flap_front": inch("3"), "sheets": (BIG,)})
    plan = whole(job)
    facts = ticket_facts(plan, job)
    assert any(text.startswith("Flaps: cut the guts' fore-edge") for text in facts.instructions)
    assert "between the two cut ends" in facts.measure_first
    assert "FLAP" in read(ticket_pdf(plan, job))


def test_a_job_without_cover_has_a_ticket_too() -> None:
    job = job_for(binding="saddle", sheet="a4", units="mm")
    plan = add_cuts(plan_for(job, 16), job)
    words = read(ticket_pdf(plan, job))
    assert "16 pages, 8 leaves" in words
    assert "Creep" in words
    assert "Score list" not in words


def test_the_ticket_of_a_sewn_or_stapled_cover() -> None:
    job = cover_job(binding="saddle", sheet="tabloid")
    plan = whole(job, 16)
    words = read(ticket_pdf(plan, job))
    assert "fold of the cover" in words
    assert "scored: 216 g/m2" in words
    assert "Glue band" not in words


def test_same_plan_same_bytes() -> None:
    plan, job = example()
    assert ticket_pdf(plan, job) == ticket_pdf(plan, job)


@pytest.mark.parametrize("bound", ["left", "right"])
def test_the_sketch_adds_up(bound: str) -> None:
    job = cover_job({"spine": inch("3/8")}, bound_at=bound)
    sketch = ticket_facts(whole(job), job).sketch
    assert sketch is not None
    names = [name for name, _ in sketch.panels if name]
    assert names == (["BACK", "FRONT"] if bound == "left" else ["FRONT", "BACK"])
    near, far = sketch.split
    assert far - near == inch("3/8")
    assert len(sketch.scores) == 4
    assert (sketch.left, sketch.right) == ("8 13/16 in", "8 13/16 in")
