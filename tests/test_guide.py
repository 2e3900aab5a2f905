"""The guide at full size, read back by another reader, and a run that makes a book with holes."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from benchplans import job_for, plan_for
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from test_make import numbered_pdf

from impose.bench.guide import MARGIN, OVERLAP, guide_layout
from impose.bench.holes import add_holes
from impose.bench.program import add_cuts
from impose.cli.main import run
from impose.errors import JobError
from impose.geometry.box import Size
from impose.model.holes import HoleShape
from impose.model.job import Job, NamedSize
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.reports.guide import guide
from impose.reports.guide_pdf import guide_pdf
from impose.reports.ticket_facts import ticket_facts
from impose.reports.ticket_pdf import ticket_pdf
from impose.units import Length, both_units

#: Independent readers are held to 0.001 pt.
NEAR = 0.001
mm = Length.mm


def planned(pages: int = 32, **options: Any) -> tuple[Plan, Job]:
    job = job_for(**options)
    plan = add_holes(plan_for(job, pages), job)
    return add_cuts(plan, job), job


def pt(length: Length) -> float:
    return float(length.as_points)


def circles(page: Any, filled: bool = False) -> list[tuple[float, float, float]]:
    """Middle and diameter of each round outline (or dot); y from the foot of the paper."""
    found = []
    for curve in page.curves:
        wide, high = curve["x1"] - curve["x0"], curve["y1"] - curve["y0"]
        if bool(curve["fill"]) is filled and abs(wide - high) < NEAR and len(curve["pts"]) > 4:
            x, y = (curve["x0"] + curve["x1"]) / 2, (curve["y0"] + curve["y1"]) / 2
            found.append((x, y, wide))
    return found


class Strip:
    """The strip as it is drawn on one page, found by its lines alone."""

    def __init__(self, page: Any) -> None:
        upright = [ln for ln in page.lines if ln["height"] > 100]
        solid = [ln for ln in upright if not ln["dash"][0]]
        self.left, self.right = (at(ln["x0"] for ln in solid) for at in (min, max))
        self.top, self.bottom = max(ln["y1"] for ln in solid), min(ln["y0"] for ln in solid)
        self.fold = next((ln["x0"] for ln in upright if ln["dash"][0]), None)
        across = [ln for ln in page.lines if abs(ln["width"] - (self.right - self.left)) < NEAR]
        self.joins = sorted((ln["y0"] for ln in across if abs(ln["linewidth"] - 0.35) < 0.01),
                            reverse=True)  # fmt: skip


def words(data: bytes) -> str:
    pages = PdfReader(io.BytesIO(data)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


BOOKS: list[dict[str, Any]] = [
    {"binding": "stab", "sheet": "a4", "holes": "stab-4"},
    {"binding": "stab", "sheet": "a4", "holes": "stab-5", "bound_at": "right"},
    {"binding": "punched", "sheet": "a4", "holes": "wire-3-1"},
    {"binding": "punched", "sheet": "a4", "holes": "coil-4-1", "bound_at": "right"},
    {"binding": "saddle", "sheet": "a4", "holes": "pamphlet-5"},
    {"binding": "sections", "sheet": "a3", "holes": "sewn-tapes-2"},
    {"binding": "stab", "sheet": "letter", "trim": "5.5in x 8.5in", "units": "in"},
    {"binding": "punched", "sheet": "tabloid", "trim": "letter", "units": "in"},
    {"binding": "stab", "sheet": "sra3", "trim": "a4", "holes": "stab-6"},
    {"binding": "punched", "sheet": "450mm x 640mm", "trim": "a3", "holes": "coil-4-1"},
]


@pytest.mark.parametrize("options", BOOKS, ids=lambda o: "-".join(map(str, o.values())))
def test_every_hole_is_drawn_at_full_size(options: dict[str, Any]) -> None:
    """Cut out and joined, the strip is as long as the paper it is laid on and has every hole where
    the plan has it; measured on the drawn lines alone."""
    plan, job = planned(**options)
    holes = plan.holes
    assert holes is not None
    before, whole = holes.head, holes.untrimmed
    if holes.makes.trim_first:
        before, whole = Length(), holes.height
    found: list[float] = []
    start, end, join = 0.0, 0.0, 0.0  # along the strip: the page's upper end, its lower, the join
    with pdfplumber.open(io.BytesIO(guide_pdf(plan, job))) as pdf:
        parts = [page for page in pdf.pages if circles(page)]
        for number, page in enumerate(parts):
            strip = Strip(page)
            if number:
                start = join - (strip.top - strip.joins[0])
            spine = strip.fold
            if spine is None:
                spine = strip.right if plan.bound_at.mirrored else strip.left
            for x, y, wide in circles(page):
                assert wide == pytest.approx(pt(holes.along), abs=NEAR)
                assert abs(x - spine) == pytest.approx(pt(holes.from_spine), abs=NEAR)
                place = start + strip.top - y
                if all(abs(place - other) > 1 for other in found):  # in an overlap: drawn twice
                    found.append(place)
            end = start + strip.top - strip.bottom
            join = start + strip.top - strip.joins[-1] if strip.joins else end
    assert sorted(found) == pytest.approx(
        [pt(before + hole.from_head) for hole in holes.holes], abs=NEAR
    )
    room = mm(277) if plan.unit == "mm" else Length.inches(11) - mm(20)
    if len(parts) == 1:  # the foot may be beyond the paper
        whole = min(whole, room)
    assert end == pytest.approx(pt(whole), abs=NEAR)


@pytest.mark.parametrize(("unit", "long"), [("mm", mm(50)), ("in", Length.inches(2))])
def test_every_sheet_has_a_line_to_measure_and_says_actual_size(unit: str, long: Length) -> None:
    plan, job = planned(binding="sections", sheet="640mm x 900mm", trim="a2", holes="sewn-6",
                        units=unit)  # fmt: skip
    layout = guide_layout(plan, job)
    assert len(layout.sheets) == 3
    with pdfplumber.open(io.BytesIO(guide_pdf(plan, job))) as pdf:
        for page in pdf.pages[:3]:
            across = [line for line in page.lines if line["height"] == 0]
            assert any(abs(line["width"] - pt(long)) < NEAR for line in across)
            text = " ".join((page.extract_text() or "").split())
            assert "PRINT AT ACTUAL SIZE (100 %), never fit to page." in text
            assert f"This line is {long.text(unit)} long" in text


def test_head_foot_spine_and_every_distance_are_said() -> None:
    plan, job = planned(binding="stab", sheet="a4", holes="stab-4")
    text = words(guide_pdf(plan, job))
    assert plan.holes is not None
    for word in ("HEAD", "FOOT", "SPINE EDGE", "Four-hole stab sewing", "12 + 62 + 62 + 62 + 12"):
        assert word in text
    for hole in plan.holes.holes:
        assert f"{hole.number} {both_units(hole.from_head, 'mm')}" in text
        assert f"untrimmed {(mm('43.5') + hole.from_head).text('mm')}" not in text  # is cut first
    assert "never pierce toward fingers" in text
    assert "Round the head" in text and "knot both ends at hole 2" in text


def test_a_guide_used_before_the_cut_says_both_distances() -> None:
    plan, job = planned(binding="saddle", sheet="a4", trim="148mm x 200mm", fit="centre",
                        holes="pamphlet-3")  # fmt: skip
    text = words(guide_pdf(plan, job))
    assert plan.holes is not None and plan.holes.head == mm(5)
    for hole in plan.holes.holes:
        assert f"{hole.number} {both_units(hole.from_head, 'mm')}" in text
        assert f"untrimmed {(mm(5) + hole.from_head).text('mm')}" in text


def test_the_guide_of_staples_shows_both_legs() -> None:
    plan, job = planned(binding="stab", sheet="a4", holes="side-staples-2")
    assert plan.holes is not None and plan.holes.shape is HoleShape.STAPLE
    with pdfplumber.open(io.BytesIO(guide_pdf(plan, job))) as pdf:
        legs = sorted(y for _, y, _ in circles(pdf.pages[0], filled=True))
    assert len(legs) == 4 and legs[1] - legs[0] == pytest.approx(pt(mm(13)), abs=NEAR)
    assert legs[3] - legs[2] == pytest.approx(pt(mm(13)), abs=NEAR)


@settings(max_examples=40, deadline=None)
@given(
    height=st.integers(mm(60).grains, mm(900).grains).map(Length),
    paper=st.sampled_from(["a4", "letter", "a3"]),
    name=st.sampled_from(["stab-4", "coil-4-1"]),
)
def test_parts_cover_the_strip_and_overlap(height: Length, paper: str, name: str) -> None:
    """No part leaves the paper's margins; every hole lies whole on one of them at least."""
    binding = "stab" if name == "stab-4" else "punched"
    job = job_for(binding=binding, holes=name, sheet="1000mm x 1000mm", guts={"up": 1})
    assert job.holes is not None
    job = replace(job, trim=NamedSize(size=Size(mm(148), height), name="page"))
    sizes = {"a4": Size(mm(210), mm(297)), "a3": Size(mm(297), mm(420)),
             "letter": Size(Length.inches("8.5"), Length.inches(11))}  # fmt: skip
    job = replace(job, holes=replace(job.holes, guide=NamedSize(size=sizes[paper], name=paper)))
    plan = add_holes(plan_for(job, 4), job)
    layout = guide_layout(plan, job)
    assert plan.holes is not None
    total = sum((sheet.strip.height.grains for sheet in layout.sheets), 0)
    want = plan.holes.height
    if len(layout.sheets) == 1:
        want = min(want, layout.paper.height - MARGIN * 2)
    assert layout.sheets[-1].bottom_is_edge == (want == plan.holes.height)
    assert total - OVERLAP.grains * (len(layout.sheets) - 1) == want.grains
    numbers = {hole.number for sheet in layout.sheets for hole in sheet.holes}
    assert numbers == {hole.number for hole in plan.holes.holes}
    for sheet in layout.sheets:
        assert sheet.strip.y0 >= MARGIN and sheet.strip.y1 <= layout.paper.height - MARGIN
        assert sheet.strip.x0 >= MARGIN and sheet.strip.x1 <= layout.paper.width - MARGIN
        assert not sheet.strip.overlaps(layout.words)
        for hole in sheet.holes:
            assert sheet.strip.y0 <= hole.middle[1] <= sheet.strip.y1
        joins = [letter for letter, _ in sheet.joins]
        near = [chr(ord("A") + n) for n in (sheet.number - 2, sheet.number - 1)]
        assert set(near[sheet.number == 1 : 2 - (sheet.number == sheet.of)]) <= set(joins)
        for _, y in sheet.joins:
            assert sheet.strip.y0 < y < sheet.strip.y1


def test_a_paper_too_small_for_the_guide_is_refused() -> None:
    job = job_for(binding="stab", sheet="a4")
    assert job.holes is not None
    small = NamedSize(size=Size(mm(105), mm(148)), name="a6")
    job = replace(job, holes=replace(job.holes, guide=small))
    plan = add_holes(plan_for(job, 4), job)
    with pytest.raises(JobError, match=r"at least .* wide; its paper is 105 x 148 mm"):
        guide_pdf(plan, job)


def test_the_kettle_stitch_is_drawn_where_there_is_one() -> None:
    for pages, there in ((32, False), (48, True)):
        plan, job = planned(pages, binding="sections", sheet="a3", holes="sewn-4")
        assert ("behind the thread below" in words(guide_pdf(plan, job))) is there


def test_a_right_bound_block_is_drawn_with_its_head_at_the_right() -> None:
    text = {
        side: words(guide_pdf(*planned(binding="stab", sheet="a4", bound_at=side)))
        for side in ("left", "right")
    }
    assert all(f"the head at the {side}" in text[side] for side in text)
    assert "SPINE EDGE" in text["right"]


def test_a_pattern_of_ones_own(tmp_path: Path) -> None:
    folder = tmp_path / "profiles" / "patterns"
    folder.mkdir(parents=True)
    (folder / "mine.toml").write_text(
        'kind = "pattern"\nname = "Mine"\nmakes = "punching"\nshape = "rectangular"\n'
        'hole = "6mm x 3mm"\nfrom_spine = "5mm"\npitch = "20mm"\nends = "8mm"\n'
    )
    assert run(["profiles", "check", str(folder / "mine.toml")]) == 0
    numbered_pdf(tmp_path / "p.pdf", 8)
    (tmp_path / "job.toml").write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "punched"\ntrim = "a5"\n[guts]\nsheet = "a4"\n'
        '[holes]\npattern = "mine"\n'
    )
    assert make(tmp_path / "job.toml", "--out", tmp_path / "o") == 0
    plan = from_text((tmp_path / "o" / "plan.json").read_text("utf-8"))
    assert plan.holes is not None
    assert [hole.from_head for hole in plan.holes.holes] == [mm(15 + 20 * n) for n in range(10)]
    with pdfplumber.open(tmp_path / "o" / "guide.pdf") as pdf:
        boxes = [r for r in pdf.pages[0].rects if r["width"] == pytest.approx(pt(mm(3)), abs=NEAR)]
    assert len(boxes) == 10
    assert all(box["height"] == pytest.approx(pt(mm(6)), abs=NEAR) for box in boxes)


def test_the_same_plan_gives_the_same_bytes() -> None:
    plan, job = planned(binding="stab", sheet="a4")
    assert guide_pdf(plan, job) == guide_pdf(plan, job)


def test_a_long_title_and_foreign_letters_do_no_harm() -> None:
    plan, job = planned(binding="stab", sheet="a4", title="Łódź \U0001f4d5 " * 40)
    assert "Łódź" in words(guide_pdf(plan, job))


# -- ticket ----------------------------------------------------------------------------------


def test_the_ticket_lists_every_hole_with_the_untrimmed_length() -> None:
    plan, job = planned(binding="sections", sheet="a3", holes="sewn-5")
    assert plan.holes is not None
    text = words(ticket_pdf(plan, job))
    rows = {row.label: row.words for row in ticket_facts(plan, job).holes}
    for hole in plan.holes.holes:
        label = f"Hole {hole.number}" + (", kettle" if hole.kettle else "")
        told = rows[label]
        assert hole.from_head.text("mm") in told
        assert f"{(plan.holes.head + hole.from_head).text('mm')} from the untrimmed" in told
        assert label in text
    assert "the same in all 2 sections" in rows["Pattern"]
    assert "never pierce toward fingers" in text


def test_many_holes_are_told_by_the_first_the_pitch_and_the_last() -> None:
    plan, job = planned(binding="punched", sheet="a4", holes="wire-3-1")
    labels = [row.label for row in ticket_facts(plan, job).holes]
    assert labels[3:6] == ["Hole 1", "Then every", "Hole 24"]
    assert "Cut before the holes, step 2, foot" in {
        row.label for row in ticket_facts(plan, job).last_cuts
    }
    assert "punch's throat" in words(ticket_pdf(plan, job))


# -- a whole run -----------------------------------------------------------------------------


def make(*arguments: object) -> int:
    return run(["make", *map(str, arguments), "--no-check", "--quiet"])


def test_a_stab_bound_book_end_to_end(tmp_path: Path) -> None:
    book = numbered_pdf(tmp_path / "book.pdf", 12)
    options = ["--binding", "stab", "--trim", "a5", "--sheet", "a4", "--out", tmp_path / "o"]
    assert make(book, *options) == 0
    out = tmp_path / "o"
    data = json.loads((out / "plan.json").read_text("utf-8"), parse_float=Decimal)
    assert "guide.pdf" in data["made"]
    plan = from_text((out / "plan.json").read_text("utf-8"))
    assert plan.holes is not None and len(plan.holes.holes) == 4
    with pdfplumber.open(out / "guide.pdf") as pdf:
        ys = sorted({round(y, 3) for _, y, _ in circles(pdf.pages[0])}, reverse=True)
    assert ys[0] - ys[-1] == pytest.approx(pt(mm(186)), abs=2 * NEAR)
    report = (out / "report.html").read_text("utf-8")
    assert 'id="holes"' in report and "Round the spine" in report and "guide.pdf" in report
    cuts = (out / "cuts.csv").read_text("utf-8")
    assert "Pierce 4 holes by the guide" in cuts and "Sew round the spine" in cuts


def test_holes_change_neither_sheets_nor_proof(tmp_path: Path) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 8)
    options = [zine, "--binding", "saddle", "--trim", "a5", "--sheet", "a4"]
    assert make(*options, "--out", tmp_path / "plain") == 0
    assert make(*options, "--holes", "pamphlet-3", "--out", tmp_path / "sewn") == 0
    for name in ("guts.pdf", "proof.pdf"):
        plain, sewn = (tmp_path / folder / name for folder in ("plain", "sewn"))
        assert plain.read_bytes() == sewn.read_bytes()
    assert not (tmp_path / "plain" / "guide.pdf").exists()
    assert (tmp_path / "sewn" / "guide.pdf").exists()


def test_the_guide_alone(tmp_path: Path) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 8)
    options = [zine, "--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--only", "guide"]
    assert make(*options, "--holes", "pamphlet-3", "--out", tmp_path / "o") == 0
    assert [path.name for path in (tmp_path / "o").iterdir()] == ["guide.pdf"]


def test_a_guide_of_a_book_without_holes_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 8)
    options = [zine, "--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--only", "guide"]
    assert make(*options, "--out", tmp_path / "o") == 2
    assert "the book has none" in capsys.readouterr().err


def test_holes_that_do_not_go_on_the_page_end_with_2(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    card = numbered_pdf(tmp_path / "card.pdf", 4, (mm(60), mm(40)))
    options = ["--trim", "60mm x 40mm", "--sheet", "a4", "--out", tmp_path / "o"]
    assert make(card, "--binding", "saddle", "--holes", "pamphlet-3", *options) == 2
    told = capsys.readouterr().err
    assert "40 mm long" in told and "50 mm" in told and "Traceback" not in told


@pytest.mark.parametrize(("sheet", "trims"), [("a4", False), ("sra3", True)])
def test_french_folds_with_holes_are_told_once_and_all(sheet: str, trims: bool) -> None:
    """Folding, cutting the spine side, head and foot before the holes, the holes: each once."""
    plan, job = planned(24, binding="stab", sheet=sheet, holes="stab-4", french_fold=True)
    tasks = guide(plan, job).tasks
    told = [words for task in tasks for words in task.steps]
    for once in ("Fold every leaf", "Cut the spine side of the folded leaves", "Pierce 4 holes"):
        assert len([words for words in told if words.startswith(once)]) == 1, once
    assert any(words.startswith("Trim the foot") for words in told) is trims
    titles = [task.title for task in tasks]
    assert titles.index("Fold every leaf") < titles.index("Make the holes and sew")
