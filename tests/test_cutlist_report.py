"""cuts.pdf and cuts.csv: what stands on them, how large, and that the two agree."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pdfplumber
import pypdf
import pytest
from benchplans import BLEED, cut_plan, job_for, library, plan_for, with_cutter

from impose.bench.program import add_cuts
from impose.geometry.box import Box, Size
from impose.pdf.pages import Align, PageMaker, Pen
from impose.plan.cutsteps import StepKind
from impose.plan.plan import Plan
from impose.reports.cautions import CREASER, GLUE, GUILLOTINE, HAND, for_cutting
from impose.reports.cutlist_csv import COLUMNS, cutlist_csv
from impose.reports.cutlist_pdf import cutlist_pdf
from impose.reports.cutlist_rows import rows
from impose.units import Length


@pytest.fixture(scope="module")
def n_up() -> Plan:
    return cut_plan(
        90, BLEED, binding="perfect", sheet="sra3", up=4, cutter="guillotine-office", grind="2mm"
    )


def words_of(pdf: bytes) -> str:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def table_of(plan: Plan) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(cutlist_csv(plan), newline="")))


def test_every_step_stands_on_the_pages(n_up: Plan) -> None:
    words = words_of(cutlist_pdf(n_up))
    for row in rows(n_up):
        for text in (row.title, row.on_table, row.falls, row.stays, *row.notes):
            assert " ".join(text.split()) in words
        if row.gauge:
            assert row.gauge.split(" (")[0] in words
            assert row.exact in words


def test_cautions_and_trained_people_are_on_the_first_page(n_up: Plan) -> None:
    for plan in (n_up, cut_plan(16, binding="saddle", sheet="sra3")):
        first = pypdf.PdfReader(io.BytesIO(cutlist_pdf(plan))).pages[0].extract_text()
        words = " ".join(first.split())
        assert plan.cut_facts is not None
        for caution in for_cutting(plan.cut_facts.hand):
            assert caution.text in words
            assert caution.source in words
    assert "two-hand control" in " ".join(caution.text for caution in GUILLOTINE)
    assert all("manual" in " ".join(c.text for c in group) for group in (GUILLOTINE, HAND))
    assert all(c.text and c.source for c in (*GUILLOTINE, *HAND, *CREASER, *GLUE))


def test_letters_are_big_and_the_gauge_is_the_biggest(n_up: Plan) -> None:
    with pdfplumber.open(io.BytesIO(cutlist_pdf(n_up))) as pdf:
        # the height of a letter that reads upward is its own width there
        chars = [char for page in pdf.pages for char in page.chars if char["upright"]]
    sizes = {round(char["size"], 3) for char in chars}
    assert min(sizes) >= 11
    biggest = "".join(char["text"] for char in chars if round(char["size"], 3) == max(sizes))
    expected = "".join(row.gauge.split(" (")[0] for row in rows(n_up) if row.gauge)
    assert biggest.replace(" ", "") == expected.replace(" ", "")


@pytest.mark.parametrize(("units", "size"), [("mm", (595.276, 841.89)), ("in", (612.0, 792.0))])
def test_the_page_follows_the_unit(units: str, size: tuple[float, float]) -> None:
    plan = cut_plan(40, binding="perfect", trim="half letter", sheet="letter", up=1, units=units)
    box = pypdf.PdfReader(io.BytesIO(cutlist_pdf(plan))).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)


def test_same_plan_same_bytes_and_fonts_embedded(n_up: Plan) -> None:
    pdf = cutlist_pdf(n_up)
    assert pdf == cutlist_pdf(n_up)
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            assert "/FontFile2" in font["/FontDescriptor"]


def test_nothing_runs_off_the_page() -> None:
    plan = cut_plan(64, BLEED, binding="loose", trim="a7", sheet="sra3", cutter="guillotine-office")
    with pdfplumber.open(io.BytesIO(cutlist_pdf(plan))) as pdf:
        for page in pdf.pages:
            for char in page.chars:
                assert char["x0"] >= 0 and char["x1"] <= page.width
                assert char["top"] >= 0 and char["bottom"] <= page.height


def test_knife_lines_stand_at_the_gauge_between_stop_and_front() -> None:
    """Half letter on letter: foot cut at 9 3/4 of 11 in, so the line is that far down the pile."""
    plan = cut_plan(
        40,
        binding="perfect",
        trim="half letter",
        sheet="letter",
        up=1,
        units="in",
        cutter="guillotine-office",
    )
    with pdfplumber.open(io.BytesIO(cutlist_pdf(plan))) as pdf:
        page = next(p for p in pdf.pages if "9 3/4 in" in p.extract_text())
        knives = [line for line in page.lines if line["linewidth"] == pytest.approx(2.2)]
        piles = [r for r in page.rects if r["linewidth"] == pytest.approx(1.2)]
    knife, pile = knives[0], piles[0]
    share = (knife["top"] - pile["top"]) / (pile["bottom"] - pile["top"])
    assert share == pytest.approx(9.75 / 11, abs=1e-3)


def test_a_spoiled_job_says_so_first() -> None:
    job = job_for(binding="perfect", sheet="a4", up=1)
    cutter = replace(library().cutter("guillotine-office"), clamp_opening=Length.mm(1))
    job = with_cutter(job, cutter)
    words = words_of(cutlist_pdf(add_cuts(plan_for(job, 100), job)))
    assert words.index("DO NOT PRINT OR CUT: the book is") < words.index("Before you cut")


def test_a_plan_with_nothing_to_cut_is_one_page_that_says_so() -> None:
    plan = cut_plan(2, binding="loose", sheet="a5", trim="a5")
    assert "Nothing is cut: the paper is at size." in words_of(cutlist_pdf(plan))
    assert table_of(plan) == []


def test_the_table_has_the_same_steps(n_up: Plan) -> None:
    table = table_of(n_up)
    assert tuple(table[0]) == COLUMNS
    assert len(table) == len(n_up.cut_steps)
    for line, step, row in zip(table, n_up.cut_steps, rows(n_up), strict=True):
        assert line["number"] == str(step.number)
        assert line["gauge reading"] == row.gauge
        assert line["notes"] == " ".join(step.notes)
        if step.kind is StepKind.CUT:
            assert step.setting is not None
            points = Fraction(line["gauge pt"].removeprefix("~"))
            assert abs(points - step.setting.gauge.as_points) < Fraction(1, 1000)
            assert line["set on marks"] == "no"


def test_words_for_a_hand_speak_of_a_rule_and_not_of_a_back_stop() -> None:
    plan = cut_plan(32, BLEED, binding="loose", trim="a6", sheet="sra3", up=8)
    words = words_of(cutlist_pdf(plan))
    assert "measured from the top edge" in words
    for machine in ("back stop", "clamp", "Trim pad"):
        assert machine not in words
    assert "two-hand" not in words


def test_right_bound_and_back_up_pictures_are_mirrored() -> None:
    """Spine to the right in every head and foot cut of the profile, whatever the binding side."""
    places = []
    for bound_at in ("left", "right"):
        plan = cut_plan(
            40, binding="perfect", sheet="a4", up=1, bound_at=bound_at, cutter="guillotine-office"
        )
        with pdfplumber.open(io.BytesIO(cutlist_pdf(plan))) as pdf:
            for page in pdf.pages:
                piles = [r for r in page.rects if r["linewidth"] == pytest.approx(1.2)]
                for char in page.chars:
                    # words at the sides read upward; "p" stands in "spine" alone
                    if not char["upright"] and char["text"] == "p":
                        near = min(piles, key=lambda r: abs(r["top"] - char["top"]))
                        places.append(char["x0"] > near["x1"])
    assert places == [True] * 4


# -- the page maker --------------------------------------------------------------------


def maker(**options: Any) -> PageMaker:
    return PageMaker(Size(Length.mm(100), Length.mm(100)), options.get("title", "a title"))


def test_words_are_placed_and_wrapped_to_the_width() -> None:
    page, mm, ten = maker(), Length.mm, Length.points(10)
    page.text(mm(50), mm(90), "middle", ten, align=Align.CENTRE)
    page.text(mm(95), mm(80), "end", ten, bold=True, align=Align.RIGHT)
    words = "some words that need more than one line, and averyveryverylongwordthatiscutapart"
    used = page.wrapped((mm(10), mm(70)), mm(30), words, ten)
    assert used == page.height(words, mm(30), ten)
    assert all(page.width(line, ten) <= mm(30) for line in page.broken(words, mm(30), ten))
    with pdfplumber.open(io.BytesIO(page.to_bytes())) as pdf:
        found = {w["text"]: w for w in pdf.pages[0].extract_words()}
    assert (found["middle"]["x0"] + found["middle"]["x1"]) / 2 == pytest.approx(141.73, abs=0.05)
    assert found["end"]["x1"] == pytest.approx(269.29, abs=0.05)


def test_letters_the_font_lacks_are_question_marks_and_titles_hold_no_controls() -> None:
    page = maker(title="a\u202eb\x07c")
    page.text(Length.mm(10), Length.mm(50), "gauge 北 ½", Length.mm(5))
    reader = pypdf.PdfReader(io.BytesIO(page.to_bytes()))
    assert reader.metadata is not None
    assert reader.metadata.title == "abc"
    assert reader.pages[0].extract_text().strip() == "gauge ? ½"


def test_shapes_and_pages() -> None:
    page, mm = maker(), Length.mm
    page.box(Box(mm(10), mm(10), mm(20), mm(30)), Pen(fill=Fraction(1, 4), dashed=True))
    page.hatch(Box(mm(40), mm(40), mm(60), mm(60)), mm(3))
    page.new_page()
    page.polygon([(mm(1), mm(1)), (mm(9), mm(1)), (mm(5), mm(9))])
    page.circle((mm(50), mm(50)), mm(5))
    page.arc(Box(mm(1), mm(1), mm(9), mm(9)), 0, 90)
    assert page.pages == 2
    with pdfplumber.open(io.BytesIO(page.to_bytes())) as pdf:
        assert len(pdf.pages) == 2
        (rect,) = [r for r in pdf.pages[0].rects if r["fill"]]
        assert rect["width"] == pytest.approx(28.346, abs=0.01)
        assert rect["non_stroking_color"] == pytest.approx(0.75)
