"""What is read at the bench: one numbering of cuts, papers by name, words that fit the work.

The pages of a booklet's sheets are reckoned by hand: of n sheets laid inside each other sheet k
has inside the pages 2k and 4n - 2k + 1 (common practice: two facing pages of one sheet add up
to the number of pages and one).
"""

from __future__ import annotations

import io
import re
import shlex
from dataclasses import replace
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from benchplans import cut_plan, job_for, plan_for
from test_guide import planned
from test_now import BOOKS, words

from impose.bench.guide import guide_layout
from impose.bench.program import add_cuts
from impose.cli.main import run
from impose.geometry.box import Box, Size
from impose.geometry.turning import Flip
from impose.model.job import Job, Order
from impose.model.machines import Printer
from impose.model.papernames import paper_name
from impose.pdf.pages import PageMaker
from impose.plan.cutsteps import StepKind
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.reports.cut_pictures import cut_pictures
from impose.reports.cutlist_pdf import cutlist_pdf
from impose.reports.cutlist_rows import facts_lines
from impose.reports.guide import guide
from impose.reports.guide_bindings import binding_of
from impose.reports.guide_laying import laid_words
from impose.reports.guide_parts import Book
from impose.reports.guide_pdf import guide_pdf
from impose.reports.pile_drawing import draw_cut
from impose.reports.ticket_facts import ticket_facts
from impose.reports.ticket_pdf import ticket_pdf
from impose.units import ZERO, Length

mm = Length.mm
A4 = Size(mm(210), mm(297))


def made(pages: int, **options: Any) -> tuple[Plan, Job]:
    job = job_for(**options)
    return add_cuts(plan_for(job, pages), job), job


def cards(pages: int = 4, **options: Any) -> tuple[Plan, Job]:
    return made(pages, trim="85mm x 55mm", binding="loose", sheet="a4", order=Order.REPEAT.value,
                **options)  # fmt: skip


def facts_text(plan: Plan) -> str:
    assert plan.cut_facts is not None
    return " ".join(facts_lines(plan, plan.cut_facts))


# -- the pile that is folded --------------------------------------------------------------


@pytest.mark.parametrize("flip", list(Flip))
@pytest.mark.parametrize("bound_at", ["left", "right"])
@pytest.mark.parametrize("pages", [8, 20])
def test_every_sheet_of_a_booklet_is_told_by_the_pages_that_show(
    pages: int, bound_at: str, flip: Flip
) -> None:
    job = job_for(binding="saddle", sheet="a4", bound_at=bound_at,
                  guts={"printer": Printer(name="p", flip=flip)})  # fmt: skip
    plan = plan_for(job, pages)
    said = laid_words(Book(plan, job).guts)
    assert said.startswith("all with the back up, from the bottom to the top: ")
    for number in range(1, pages // 4 + 1):
        low, high = 2 * number, pages - 2 * number + 1
        left, right = (low, high) if bound_at == "left" else (high, low)
        assert f"sheet {number} shows {left} and {right}" in said


def test_blank_pages_of_the_pile_are_said() -> None:
    job = job_for(binding="saddle", sheet="a4")
    assert "sheet 1 shows 2 and 7 (blank)" in laid_words(Book(plan_for(job, 6), job).guts)


# -- one numbering -------------------------------------------------------------------------


def test_a_cut_has_one_number_in_list_ticket_and_findings() -> None:
    plan, job = made(8, binding="saddle", sheet="a4")
    (cut,) = [step for step in plan.cut_steps if step.kind is StepKind.CUT]
    assert cut.number == 2
    (finding,) = [one for one in plan.findings if one.code == "waste-too-narrow"]
    assert finding.message.startswith("step 2 of the cut list (trim the fore-edge) takes off")
    assert [row.label for row in ticket_facts(plan, job).last_cuts] == [
        "Last cut, step 2, fore-edge"
    ]
    assert "Trim the fore-edge (step 2): 148 mm" in words(guide(plan, job))


@pytest.mark.parametrize("name", [*BOOKS])
def test_what_the_ticket_says_is_drawn_is_drawn(name: str) -> None:
    plan, job = BOOKS[name]()
    jogs = {step.number for step in plan.cut_steps if step.kind is StepKind.JOG}
    drawn = jogs | {*cut_pictures(plan)}
    text = words(guide(plan, job))
    named = re.findall(r"[Dd]rawn (?:in cuts\.pdf|there): steps? ([\d ,toand-]+\d)", text)
    for words_of in named:
        numbers = [int(number) for number in re.findall(r"\d+", words_of)]
        whole = " to " in words_of
        said = range(numbers[0], numbers[-1] + 1) if whole else numbers
        assert set(said) <= drawn, words_of


def test_steps_without_a_drawing_are_not_called_drawn() -> None:
    """Stab: gathering, three cuts, piercing, sewing."""
    plan, job = planned(binding="stab", sheet="a4", holes="stab-4")
    told = {task.title: task.steps[-1] for task in guide(plan, job).tasks}
    assert told["Lay in order"] == "In cuts.pdf: step 1."
    assert told["Cut"] == "Drawn in cuts.pdf: steps 2 to 4."
    assert told["Make the holes and sew"] == "In cuts.pdf: steps 5 and 6."


# -- cards ---------------------------------------------------------------------------------


def test_cards_are_sets_and_no_copies_of_a_book() -> None:
    """Ten up on A4 (2 x 5), two leaves: ten sets; 15 cuts in nine steps, as the list counts."""
    plan, job = cards(cutter="hand")
    assert plan.cut_facts is not None and plan.cut_facts.before.strokes == 15
    text = words(guide(plan, job))
    assert "9 steps with 15 cuts in all" in text
    assert "each is one set, leaf 1 on top, leaf 2 at the bottom" in text
    assert "Every pile is a set by itself: page 1 on top, page 4 at the bottom" in text
    assert "copy of the book" not in text and "now reads through" not in text
    assert "gauge" not in facts_text(plan) and "9 lines to measure" in facts_text(plan)
    assert not any("gauge" in note for step in plan.cut_steps for note in step.notes)


def test_one_card_is_the_same_in_every_pile() -> None:
    plan, job = cards(2, cutter="hand")
    text = words(guide(plan, job))
    assert "All pieces are alike: lay the piles on each other, page 1 up, page 2 behind it." in text
    assert "Leaf through" not in text


def test_several_sets_in_a_pile_are_counted() -> None:
    """25 copies of ten at once: three prints of each of the two sheets."""
    plan, _ = cards(cutter="hand", copies=25)
    assert "each holds 3 sets, leaf 1" in plan.cut_steps[-1].title


def test_a_guillotine_has_its_gauge_set() -> None:
    plan, _ = cards(cutter="guillotine-office")
    text = facts_text(plan)
    assert "the gauge set" in text and "for each lift" in text and "settings" not in text
    assert any("before the gauge is changed" in n for s in plan.cut_steps for n in s.notes)


# -- figures above the steps -----------------------------------------------------------------


def test_little_paper_is_weighed_in_grams_and_one_cut_is_one() -> None:
    """Two sheets of A4 at 80 g/m2: 2 x 0.210 x 0.297 x 80 = 9.98 g."""
    plan, _ = made(8, binding="saddle", sheet="a4", stock="80gsm")
    text = facts_text(plan)
    assert "2 sheets of A4, 297 x 210 mm, " in text and " 10 g;" in text
    assert "The book: 1 cut, 1 line to measure." in text
    heavy, _ = made(800, binding="perfect", sheet="a4", up=1, stock="80gsm")
    assert "2.00 kg" in facts_text(heavy)  # 400 sheets are 1.996 kg


def test_crop_marks_are_spoken_of_where_there_are_some() -> None:
    plan, _ = made(8, binding="saddle", sheet="a4")
    assert not plan.marked("crop")
    notes = [note for step in plan.cut_steps for note in step.notes]
    assert "Before you cut: check the trim, 148 x 210 mm." in notes


@pytest.mark.parametrize(
    ("asked", "size", "name"),
    [
        ("a4", A4, "A4"),
        ("a4", A4.turned, "A4"),
        ("letter", Size(Length.inches("8.5"), Length.inches(11)), "Letter"),
        ("300mm x 220mm", Size(mm(300), mm(220)), ""),
    ],
)
def test_papers_are_told_by_name(asked: str, size: Size, name: str) -> None:
    job = job_for(binding="saddle", sheet=asked, trim="a6")
    assert paper_name(job, size) == name
    plan, job = made(8, binding="saddle", sheet=asked, trim="a6")
    rows = {row.label: row.words for row in ticket_facts(plan, job).book}
    assert plan.cut_facts is not None and plan.cut_facts.sheet_name == name
    assert (f"2 for a copy, {name}, " in rows["Guts sheets"]) is bool(name)
    assert from_text(to_text(plan)) == plan


# -- holes -----------------------------------------------------------------------------------


def test_a_sewn_booklet_needs_an_awl_and_no_stapler_and_is_jogged_first() -> None:
    plan, job = planned(8, binding="saddle", sheet="a4", holes="pamphlet-3")
    tools = " ".join(binding_of(Book(plan, job)).tools)
    assert "awl" in tools and "stapler" not in tools
    text = words(guide(plan, job))
    assert "Fold and gather" not in text  # it is told before, as a task of its own
    pierce, sew = (s for s in plan.cut_steps if s.kind in (StepKind.PIERCE, StepKind.BIND))
    assert pierce.notes[0].startswith("Jog to the head and to the spine before you pierce")
    assert not any("Jog" in note for note in sew.notes)


@pytest.mark.parametrize(
    ("holes", "sheet", "title"),
    [
        ("wire-3-1", "a4", "Punch, and put the wire in"),
        ("coil-4-1", "a4", "Punch, and wind the coil in"),
        ("comb", "a4", "Punch, and put the comb in"),
        ("rings-3", "a4", "Punch, and put the leaves on the rings"),
    ],
)
def test_words_follow_what_goes_through_the_holes(holes: str, sheet: str, title: str) -> None:
    trim = "a4" if holes == "rings-3" else "a5"
    plan, job = planned(binding="punched", sheet=sheet, trim=trim, holes=holes)
    assert title in [task.title for task in guide(plan, job).tasks]
    text = words(guide(plan, job))
    assert "sew" not in text.lower() and "wire, coil" not in text
    assert from_text(to_text(plan)) == plan


def test_the_wire_is_chosen_by_the_thickness_of_the_block() -> None:
    """16 leaves of 0.2 mm: 3.2 mm and 3 mm more, rounded up to half a millimetre."""
    plan, _ = planned(binding="punched", sheet="a4", holes="wire-3-1",
                      guts={"stock": _stock(mm("0.2"))})  # fmt: skip
    last = plan.cut_steps[-1]
    assert (
        "The wire must be 6.5 mm across or the next size up: the block is 3.2 mm" in last.notes[0]
    )


def _stock(caliper: Length) -> Any:
    return replace(job_for(binding="punched").guts.stock, caliper=caliper)


def test_staples_are_no_sewing() -> None:
    plan, job = planned(8, binding="saddle", sheet="a4", holes="fold-staples-2")
    assert "Staple" in [task.title for task in guide(plan, job).tasks]
    assert "stapler" in " ".join(binding_of(Book(plan, job)).tools)


# -- drawings ----------------------------------------------------------------------------------


def page_of(data: bytes, number: int) -> Any:
    return pdfplumber.open(io.BytesIO(data)).pages[number]


def band(char: Any) -> tuple[float, float]:
    """From the baseline to the top of a figure, y up; figures are 0.73 of their size high."""
    base = char["matrix"][5]
    return base, base + 0.73 * char["size"]


@pytest.mark.parametrize(("holes", "trim", "sheet"), [("coil-4-1", "a4", "a3")])
def test_no_line_of_a_join_goes_through_a_figure(holes: str, trim: str, sheet: str) -> None:
    plan, job = planned(40, binding="punched", trim=trim, sheet=sheet, holes=holes)
    layout = guide_layout(plan, job)
    assert any(one.joins for one in layout.sheets)
    for one in layout.sheets:
        page = page_of(guide_pdf(plan, job), one.number - 1)
        for _, y in one.joins:
            at = float(y.as_points)
            for char in page.chars:
                low, high = band(char)
                inside = char["text"].isdigit() and char["x1"] < float(one.strip.x1.as_points)
                assert not (inside and low - 3 < at < high + 3), char["text"]


@pytest.mark.parametrize("bound_at", ["left", "right"])
def test_the_words_spine_edge_stand_at_the_spine_edge(bound_at: str) -> None:
    plan, job = planned(binding="punched", sheet="a4", holes="wire-3-1", bound_at=bound_at)
    (sheet,) = guide_layout(plan, job).sheets
    page = page_of(guide_pdf(plan, job), 0)
    found = page.search("SPINE EDGE", regex=False)
    inside = [w for w in found if float(sheet.strip.x0.as_points) < w["x0"] and
              w["x1"] < float(sheet.strip.x1.as_points)]  # fmt: skip
    (word,) = inside
    spine, other = (sheet.strip.x0, sheet.strip.x1)
    if bound_at == "right":
        spine, other = other, spine
    near = min(abs(word[end] - float(spine.as_points)) for end in ("x0", "x1"))
    far = min(abs(word[end] - float(other.as_points)) for end in ("x0", "x1"))
    assert near < far
    tips = [point for curve in page.curves for point in curve["pts"]]
    assert any(abs(x - float(spine.as_points)) < 0.01 for x, _ in tips)  # the arrow's


def test_thread_on_the_back_is_drawn_clear_of_the_figures() -> None:
    plan, job = planned(binding="stab", sheet="a4", holes="stab-4")
    page = page_of(guide_pdf(plan, job), 1)
    digits = [c for c in page.chars if c["text"].isdigit() and "Bold" in c["fontname"]
              and c["size"] < 8]  # fmt: skip
    assert len(digits) == 4 * 13  # four holes in thirteen drawings
    for digit in digits:
        low, high = band(digit)
        for line in page.lines:
            y = page.height - line["top"]
            across = line["height"] == 0 and line["x0"] < digit["x1"] and digit["x0"] < line["x1"]
            half = line["linewidth"] / 2
            assert not (across and low - half < y < high + half), digit["text"]


def test_names_of_edges_are_all_there_and_touch_no_bar() -> None:
    plan, _ = cards(cutter="hand")
    seen = 0
    for picture in cut_pictures(plan).values():
        page = PageMaker(Size(mm(66), mm(58)), "one")
        draw_cut(page, Box(ZERO, ZERO, mm(66), mm(58)), picture)
        drawn = page_of(page.to_bytes(), 0)
        upright = [char for char in drawn.chars if not char["upright"]]
        assert len({round(char["x1"] + char["x0"]) for char in upright}) >= 2
        bars = [rect for rect in drawn.rects if rect["height"] < 5 and rect["width"] > 20]
        knife = [line for line in drawn.lines if line["linewidth"] > 2]
        assert bars and knife
        for char in upright:
            for thing in (*bars, *knife):
                beside = char["x1"] <= thing["x0"] or thing["x1"] <= char["x0"]
                clear = char["bottom"] <= thing["top"] or thing["bottom"] <= char["top"]
                assert beside or clear, (picture.moment.step.number, char["text"])
            assert char["x0"] >= 0 and char["x1"] <= drawn.width
        seen += 1
    assert seen == 9


@pytest.mark.parametrize(
    ("binding", "holes"),
    [("stab", "stab-4"), ("punched", "coil-4-1"), ("sections", "sewn-4"), ("saddle", "pamphlet-5")],
)
def test_nothing_at_the_bench_is_smaller_than_seven_points(binding: str, holes: str) -> None:
    """A size that is still read at arm's length in a shop's light (from memory)."""
    plan, job = planned(64, binding=binding, sheet="sra3", holes=holes)
    for data in (guide_pdf(plan, job), cutlist_pdf(plan), ticket_pdf(plan, job)):
        with pdfplumber.open(io.BytesIO(data)) as pdf:
            for page in pdf.pages:
                for char in page.chars:
                    if char["upright"]:
                        assert char["size"] >= 6.99, char["text"]


def test_figures_of_many_piles_can_be_read() -> None:
    plan = cut_plan(4, binding="loose", trim="30mm x 20mm", sheet="a4", order="repeat")
    with pdfplumber.open(io.BytesIO(cutlist_pdf(plan))) as pdf:
        for page in pdf.pages:
            assert all(char["size"] >= 6.99 for char in page.chars if char["upright"])


# -- the register sheet ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("printer", "sheet", "units"),
    [("office inkjet short edge", "a4", []), ("office-one-side", "letter", ["--units", "in"])],
)
def test_the_command_on_the_register_sheet_can_be_typed(
    printer: str, sheet: str, units: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    out = tmp_path / "register.pdf"
    asked = ["register", "--printer", printer, "--sheet", sheet, *units]
    assert run([*asked, "--out", str(out)]) == 0
    with pdfplumber.open(out) as pdf:
        text = " ".join((pdf.pages[0].extract_text() or "").split())
        small = {c["size"] for page in pdf.pages for c in page.chars if c["upright"]}
    assert min(small) >= 6.99
    assert "..." not in text and "minus" in text
    found = re.search(r"(impose register [^:]*--read A .*--foot-line \S+)", text)
    assert found is not None, text
    typed = shlex.split(found[1])[1:]
    assert typed[:5] == asked[:5]
    assert any(part.startswith("-1") for part in typed)
    assert run(typed) == 0


def test_the_trial_of_one_side_names_its_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    asked = ["register", "--printer", "office-one-side", "--sheet", "a4"]
    assert run([*asked, "--one-side", "--out", str(tmp_path / "t.pdf")]) == 0
    with pdfplumber.open(tmp_path / "t-backs.pdf") as pdf:
        text = " ".join((pdf.pages[0].extract_text() or "").split())
    found = re.search(r"(impose register .*--answers \w+ \d \w+)", text)
    assert found is not None and run(shlex.split(found[1])[1:]) == 0
