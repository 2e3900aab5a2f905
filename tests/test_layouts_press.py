"""Layouts compared on a press: sheetwise, work-and-turn, work-and-tumble, two copies bound as one.

The law of `test_layouts` holds rows of all of these to their plans; here are figures worked by
hand, what is kept of the job, and the command.
"""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from strategies import Asked, asked_for, mm
from test_layouts import A5, PRESSES, SRA2, at_hand, compared, hold_to_plan, inches
from test_layouts_cases import octavo
from test_make import numbered_pdf

from impose.bench.layoutrow import LayoutRow
from impose.bench.layouts import compare
from impose.cli.main import run
from impose.geometry.turning import Flip
from impose.model.job import Binding, Cover
from impose.model.machines import LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work
from impose.model.prices import Prices
from impose.plan.wire import from_text
from impose.schemes.planning import comparable

#: A press that takes no paper away, for sheets that are filled to the edge.
BARE = Printer(name="a press", press=True, leads=LeadingEdge.LONG, side_lay="left")


def on_press(pages: int, printer: Printer = PRESSES[0], **more: Any) -> Asked:
    """A sewn A5 book on SRA2, a thousand copies unless it is said."""
    said = {"copies": 1000, "binding": Binding.SECTIONS, **more}
    return at_hand(asked_for(pages, trim=A5, sheet=SRA2, printer=printer, **said), SRA2)


def ways_of(rows: tuple[LayoutRow, ...]) -> set[tuple[Work | None, TwoUp | None]]:
    return {(row.way.guts.work, row.way.guts.two_up) for row in rows}


def test_the_eight_page_work_and_turn_saves_plates_not_paper() -> None:
    """Half of a 25 x 38 in sheet carries an 8-page forme that is worked and turned, so that two
    copies of 8 pages come out of each (S. J. Vaughn, Printing and Bookbinding for Schools):
    1,000 copies take 500 sheets and one set of plates, cut in two before folding.  The same
    eight pages sheetwise, four to a side, take 1,000 sheets of half the size and two sets."""
    half, quarter = inches("19", "25"), inches("12.5", "19")
    wanted = at_hand(octavo(8, half, copies=1000, printer=BARE), half, quarter)
    rows = [row for row in compared(wanted).rows if row.up in (4, 8) and not row.way.guts.two_up]
    turned = [r for r in rows if r.way.guts.work is Work.TURN and r.way.sheet.size == half]
    wise = [r for r in rows if r.way.guts.work is Work.SHEETWISE and r.way.sheet.size == quarter]
    assert turned and wise
    for row, printed, plates in ((turned[0], 500, 1), (wise[0], 1000, 2)):
        hold_to_plan(row, wanted)
        assert (row.printed, row.press.sides, row.sheets) == (printed, plates, 1)
        assert row.press.clicks == printed * 2
        assert row.folds == 2000  # each copy is folded twice
        assert row.paper.waste == Fraction(458, 100)
    assert turned[0].before.strokes == 1  # the cut between the halves
    assert turned[0].way.name.endswith("4 pages a side, sections of 8, work-and-turn")


def test_two_copies_are_parted_by_one_cut_and_folded_once() -> None:
    """Once they are apart, each pile is trimmed by its own figures: head, foot and fore-edge."""
    wanted = on_press(32)
    found = compared(wanted).rows
    pair = next(row for row in found if row.way.guts.two_up)
    assert pair.way.name.endswith("sheetwise, two copies head to head")
    single = next(
        row
        for row in found
        if row.way.guts == replace(pair.way.guts, two_up=None) and row.way.sheet == pair.way.sheet
    )
    for row in (pair, single):
        hold_to_plan(row, wanted)
    assert pair.printed * 2 == single.printed
    assert pair.folds * 2 == single.folds
    assert pair.press.sides == single.press.sides
    assert single.after.strokes == 3
    assert pair.after.strokes == 1 + 2 * single.after.strokes


def test_plates_decide_where_they_are_dear() -> None:
    """One forme for both sides: half the plates of the same pages a side."""
    prices = Prices(plate=Fraction(100), click=Fraction(1, 100))
    wanted = on_press(4, copies=100)
    rows = compared(replace(wanted, job=replace(wanted.job, prices=prices))).rows
    first = rows[0]
    assert first.cost == 100 * first.press.sides + Fraction(first.press.clicks, 100)
    assert first.way.guts.work in (Work.TURN, Work.TUMBLE)
    assert first.press.sides == 1


# -- what is compared ------------------------------------------------------------------


def test_all_are_compared_where_the_job_says_nothing() -> None:
    assert ways_of(compared(on_press(64)).rows) == {
        (Work.SHEETWISE, None),
        (Work.TURN, None),
        (Work.TUMBLE, None),
        (Work.SHEETWISE, TwoUp.HEADS),
    }
    perfecting = {work for work, _ in ways_of(compared(on_press(64, PRESSES[2])).rows)}
    assert perfecting == {Work.PERFECTING, Work.TURN, Work.TUMBLE}


@pytest.mark.parametrize("work", list(Work))
def test_the_work_that_is_said_is_kept(work: Work) -> None:
    rows = compared(on_press(64, work=work)).rows
    assert {one for one, _ in ways_of(rows)} == {work}
    assert all(work.value.replace(" ", "-") in row.way.name for row in rows)


@pytest.mark.parametrize("two_up", list(TwoUp))
def test_two_copies_that_are_said_are_kept(two_up: TwoUp) -> None:
    rows = compared(on_press(64, two_up=two_up)).rows
    assert {one for _, one in ways_of(rows)} == {two_up}


def test_without_a_press_the_job_decides() -> None:
    """An office printer has no plates to save, nor has a press whose side lay is not known."""
    for printer in (None, Printer(name="a copier"), replace(PRESSES[0], side_lay="")):
        assert ways_of(compared(on_press(64, printer)).rows) == {(None, None)}
    kept = compared(on_press(64, None, work=Work.TURN)).rows
    assert ways_of(kept) == {(Work.TURN, None)}
    flipped = compared(on_press(64, flip=Flip.SHORT_EDGE)).rows
    assert {work for work, _ in ways_of(flipped)} == {None}


@pytest.mark.parametrize(
    "said",
    [
        {"binding": Binding.LOOSE},
        {"binding": Binding.PERFECT, "lay": "head"},
        {"binding": Binding.PERFECT, "cover": Cover()},
    ],
    ids=["loose", "a lay of its own", "a cover"],
)
def test_what_cannot_be_bound_as_one_is_not_offered(said: dict[str, Any]) -> None:
    assert {two for _, two in ways_of(compared(on_press(64, **said)).rows)} == {None}


def test_one_copy_has_no_use_for_several() -> None:
    found = compared(on_press(64, copies=1))
    assert ways_of(found.rows) == {(Work.SHEETWISE, None)}
    out = {one.name: one.reason for one in found.unfit}
    assert out["sheet 0 portrait, work-and-turn"] == "it makes 2 copies at once, the job wants 1"


def test_leaves_put_in_go_with_one_copy_a_sheet() -> None:
    wanted = on_press(64)
    asked = comparable(wanted.job, wanted.pages, wanted.faces)
    rows = compare(asked, one_copy_a_sheet=True).rows
    assert ways_of(rows) == {(Work.SHEETWISE, None)}


def test_the_colour_bar_gives_way_and_it_is_said() -> None:
    """8 mm of the tail are kept for the bar unless the pages need them."""
    high = replace(SRA2, height=mm(210) * 2 + mm("12.7") + mm(12) + mm(5))
    wanted = at_hand(on_press(64), replace(SRA2, width=high.height, height=SRA2.height))
    bare = [row for row in compared(wanted).rows if any("colour bar" in n for n in row.notes)]
    assert bare
    hold_to_plan(bare[0], wanted)


# -- the command -----------------------------------------------------------------------


@pytest.fixture
def job(tmp_path: Path) -> Path:
    numbered_pdf(tmp_path / "pages.pdf", 32)
    file = tmp_path / "job.toml"
    file.write_text(
        '[book]\npages = ["pages.pdf"]\ntrim = "a5"\nbinding = "sections"\ncopies = 500\n'
        '[guts]\nsheet = "sra2"\nprinter = "large-press"\novers = 20\n'
        'stock = { caliper = "0.1mm" }\n'
    )
    return file


@pytest.mark.parametrize("kind", ["sheetwise", "work-and-turn", "work-and-tumble", "two copies"])
def test_make_takes_the_row_with_its_work(
    job: Path, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["layouts", str(job), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["layouts"]
    row = next(row for row in rows if kind in row["name"])
    for wish in (str(row["number"]), row["name"]):
        out = job.parent / "out"
        args = ["make", str(job), "--layout", wish, "--out", str(out), "--no-check", "--quiet"]
        assert run([*args, "--only", "guts,plan,report"]) == 0
        plan = from_text((out / "plan.json").read_text("utf-8"))
        assert plan.press is not None and plan.cut_facts is not None
        assert plan.press.work == row["work"]
        assert (plan.two_up or None) == row["two_up"]
        assert plan.press.formes == row["plates"]
        assert plan.press.sheets + plan.press.overs == row["printed"]
        facts = plan.cut_facts
        assert facts.before.strokes + facts.after.strokes == row["cuts"]
        assert float(facts.waste) == row["waste_percent"]
        report = (out / "report.html").read_text("utf-8")
        if row["number"] <= 12:
            assert f"{row['name']}" in report
        assert report.count("(this run)") == 2
