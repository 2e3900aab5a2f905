"""Layouts compared: figures worked by hand, prices, what falls out, and the command."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from benchplans import library
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Asked, asked_for, mm
from test_layouts import A4, A5, SRA3, at_hand, compared, hold_to_plan, inches, made
from test_make import numbered_pdf

from impose.bench.axis import Axis, ways
from impose.bench.grid import Grid, _carried_out, best_order, least_handling
from impose.bench.layoutrow import LayoutRow
from impose.bench.layouts import _rank
from impose.bench.ordercount import Told, chops_of, count_weave, weaves, whole_count
from impose.cli.main import run
from impose.errors import JobError
from impose.findings import Severity
from impose.geometry.box import Size
from impose.model.athand import takes
from impose.model.job import Binding, NamedSize, Order
from impose.model.machines import Bench, Printer
from impose.model.prices import Prices, amount_text
from impose.model.stock import Grain
from impose.plan.cutsteps import EdgeState
from impose.plan.wire import from_text
from impose.units import Length

BOOK_PAGE = inches("6.125", "9.25")
EIGHTH = Length.inches("1/8")


def octavo(pages: int, *sizes: Size, **more: Any) -> Asked:
    """A sewn book whose untrimmed leaf is the octavo of half a 25 x 38 in sheet, 6 1/4 x
    9 1/2 in: 1/8 in goes at head, foot and fore-edge (Vaughn, Printing and Bookbinding for
    Schools: trim must be left round each pair of leaves); no creep, so that the sum stays that
    of the flat sheet."""
    wanted = asked_for(
        pages,
        binding=Binding.SECTIONS,
        trim=BOOK_PAGE,
        sheet=sizes[0],
        head_allowance=EIGHTH,
        foot_allowance=EIGHTH,
        fore_edge_allowance=EIGHTH,
        creep_total=Length(),
        **more,
    )
    return at_hand(wanted, *sizes)


def row_of(wanted: Asked, *words: str) -> LayoutRow:
    """The one row whose name has all of these words."""
    rows = [row for row in compared(wanted).rows if all(word in row.way.name for word in words)]
    assert len(rows) == 1, [row.way.name for row in rows]
    hold_to_plan(rows[0], wanted)
    return rows[0]


@pytest.mark.parametrize(("up", "pages"), [(2, 4), (4, 8), (8, 16)])
def test_half_of_25_x_38_gives_folio_quarto_and_octavo(up: int, pages: int) -> None:
    """Book paper is 25 x 38 in; its half, 19 x 25, makes 4 pages folded once, 8 twice, 16
    three times (chestofbooks.com, Books And Book Making)."""
    wanted = octavo(pages, inches("19", "25"))
    found = [r for r in compared(wanted).rows if r.up == up and r.way.guts.section_pages == pages]
    assert len(found) == (1 if up == 8 else 2)  # folio and quarto of the octavo page lie both ways
    assert {row.sheets for row in found} == {1}
    assert {row.folds for row in found} == {{2: 1, 4: 2, 8: 3}[up]}


def test_the_waste_of_the_full_sheet_by_hand() -> None:
    """Sixteen pages of 6 1/8 x 9 1/4 in are 906.5 of the 950 square inches of 25 x 38 in: 43.5
    are waste, 4.58 per cent.  Nothing is left over: 4 x 6 1/4 = 25, 4 x 9 1/2 = 38.  The same
    holds for eight on 19 x 25 and four on 12 1/2 x 19: the sheet is only halved."""
    full, half, quarter = inches("25", "38"), inches("19", "25"), inches("12.5", "19")
    for size, up, sheets in ((full, "16", 1), (half, "8", 2), (quarter, "4", 4)):
        row = row_of(octavo(32, size), f"{up} pages a side", "sections of 32")
        assert row.paper.waste == Fraction(458, 100)
        assert row.sheets == sheets


def test_the_eight_page_work_and_turn_of_half_a_sheet() -> None:
    """Half of a 25 x 38 in sheet carries an 8-page forme that is worked and turned, so two
    copies of 8 pages come out of each half sheet (S. J. Vaughn, Printing and Bookbinding for
    Schools).  1,000 copies need 500 half sheets, 250 full ones: the same paper as quarto
    sheets of 12 1/2 x 19 in, cut from halves (two out) or from full sheets (four out)."""
    quarter = inches("12.5", "19")
    for parent, out, count in ((inches("19", "25"), 2, 500), (inches("25", "38"), 4, 250)):
        mill = NamedSize(size=parent, name="mill")
        wanted = octavo(8, quarter, copies=1000, parent=mill)
        row = row_of(wanted, "4 pages a side", "sections of 8")
        assert row.printed == 1000
        assert row.parent is not None
        assert (row.parent.out, row.parent.count, row.parent.waste) == (out, count, 0)
        assert row.paper.waste == Fraction(458, 100)


def test_leaves_on_sra3_by_hand() -> None:
    """A5 with 1/8 in (3.175 mm) at three sides needs 151.175 x 216.35 mm: 2 x 2 on 320 x 450.
    100 leaves make 25 sheets; 4 x 148 x 210 = 124,320 of 144,000 square mm: 13.67 % waste."""
    wanted = at_hand(asked_for(200, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3)
    row = row_of(wanted, "2 x 2 leaves, cut and stack")
    assert (row.up, row.sheets, row.paper.waste) == (4, 25, Fraction(1367, 100))
    assert row.before.strokes >= 4


def test_overs_and_copies_are_counted() -> None:
    """25 sheets, 10 copies, 3 overs of each sheet: 250 + 75; two clicks each."""
    asked = asked_for(
        200, binding=Binding.PERFECT, trim=A5, sheet=SRA3, copies=10, overs=3, order_said=True
    )
    row = row_of(at_hand(asked, SRA3), "2 x 2 leaves")
    assert (row.printed, row.press.clicks, row.press.sides) == (325, 650, 50)


def test_repeats_for_copies() -> None:
    """One leaf of 2 pages, 100 copies, 2 x 2 on a sheet: 25 sheets either way."""
    wanted = at_hand(asked_for(2, binding=Binding.PERFECT, trim=A5, sheet=SRA3, copies=100), SRA3)
    assert row_of(wanted, "2 x 2 leaves, repeat").printed == 25
    alone = at_hand(asked_for(2, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3)
    out = [one for one in compared(alone).unfit if one.name.endswith("repeat")]
    assert out and "the job wants 1" in out[0].reason


def test_grain_across_comes_last() -> None:
    wanted = at_hand(asked_for(64, binding=Binding.SECTIONS, trim=A5, sheet=SRA3), SRA3, A4)
    stock = replace(wanted.job.guts.stock, grain=Grain.LONG)
    rows = compared(at_hand(wanted, SRA3, A4, guts={"stock": stock})).rows
    grains = [row.grain for row in rows]
    assert set(grains) == {"along", "across"}
    assert grains == sorted(grains, key=("along", "across").index)


def test_the_grain_of_a_parent_decides() -> None:
    """Grain along the 38 in of the parent: 19 x 25 in halves have it along their short edge."""
    half = inches("19", "25")
    stock = replace(octavo(16, half).job.guts.stock, grain=Grain.LONG)
    mill = NamedSize(size=inches("25", "38"), name="mill")
    wanted = at_hand(octavo(16, half), half, guts={"stock": stock, "parent": mill})
    row = row_of(wanted, "8 pages a side", "sections of 16")
    assert row.parent is not None
    assert row.grain == "along"  # the sheet lies 25 in across, the spine along its short edge
    assert row.parent.out == 2


# -- prices ----------------------------------------------------------------------------


def test_cost_by_hand() -> None:
    """25 sheets x 0.12 + 50 clicks x 0.015 + the strokes x 0.07, nothing rounded."""
    wanted = at_hand(asked_for(200, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3)
    prices = Prices(
        currency="EUR", sheet=Fraction(12, 100), click=Fraction(15, 1000), cut=Fraction(7, 100)
    )
    priced = replace(wanted, job=replace(wanted.job, prices=prices))
    row = row_of(priced, "2 x 2 leaves, cut and stack")
    assert row.cost == Fraction(3) + Fraction(3, 4) + row.lifted * Fraction(7, 100)


def test_handling_goes_before_the_number_of_sheets() -> None:
    """The stated rule, term by term, on rows made up: cost or area, handling, sheets."""
    row = compared(at_hand(asked_for(40, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3)).rows[
        0
    ]
    plain = replace(row, cost=None, grain="", folds=0)
    more_cuts = replace(plain, before=replace(plain.before, strokes=plain.before.strokes + 1))
    more_folds = replace(plain, folds=2)
    more_sheets = replace(plain, printed=plain.printed + 5)
    dearer = replace(plain, paper=replace(plain.paper, area=plain.paper.area + 1))
    across = replace(plain, grain="across")
    best_first = [plain, more_sheets, more_cuts, more_folds, dearer, across]
    assert sorted(reversed(best_first), key=lambda one: _rank(one, False)) == best_first
    assert sorted([dearer, across], key=lambda one: _rank(one, True)) == [across, dearer]


def test_plates_are_paid_for_each_ink() -> None:
    prices = Prices(currency="EUR", plate=Fraction(9), plates_a_side=4)
    wanted = at_hand(asked_for(8, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3)
    row = compared(replace(wanted, job=replace(wanted.job, prices=prices))).rows[0]
    assert row.cost == 9 * 4 * row.press.sides


def test_the_cheapest_comes_first_and_no_price_last() -> None:
    wanted = at_hand(asked_for(200, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3, A4)
    dear = Prices(sheets={SRA3: Fraction(1), A4: Fraction(1, 100)})
    rows = compared(replace(wanted, job=replace(wanted.job, prices=dear))).rows
    assert rows[0].way.sheet.size == A4
    assert [row.cost for row in rows] == sorted(row.cost for row in rows if row.cost is not None)
    one = Prices(sheets={SRA3: Fraction(1)})
    rows = compared(replace(wanted, job=replace(wanted.job, prices=one))).rows
    assert rows[0].cost is not None and rows[-1].cost is None


@pytest.mark.parametrize(
    ("amount", "text"),
    [
        (Fraction(0), "0.00 EUR"),
        (Fraction(5, 2), "2.50 EUR"),
        (Fraction(1, 8), "0.125 EUR"),
        (Fraction(123456, 10000), "12.3456 EUR"),
    ],
)
def test_amounts_keep_every_place(amount: Fraction, text: str) -> None:
    assert amount_text(amount, "EUR") == text


# -- what falls out --------------------------------------------------------------------


def test_what_does_not_fit_says_by_how_much() -> None:
    wanted = at_hand(asked_for(16, binding=Binding.SADDLE, trim=A5, sheet=A4), A4)
    reasons = {one.name: one.reason for one in compared(wanted).unfit}
    assert reasons["sheet 0 portrait, 2 pages a side, folded"] == (
        "does not fit: 296 x 210 mm is needed, 210 x 297 mm is there: too wide by 86 mm"
    )


def test_a_glued_section_needs_its_grind() -> None:
    wanted = at_hand(asked_for(64, binding=Binding.PERFECT, trim=A5, sheet=SRA3), SRA3)
    found = compared(wanted)
    assert not [row for row in found.rows if "sections" in row.way.name]
    assert any("the glue does not reach" in one.reason for one in found.unfit)
    ground = compared(at_hand(wanted, SRA3, guts={"grind": mm(3)}))
    assert [row for row in ground.rows if "sections" in row.way.name]


def test_a_printer_takes_only_its_range() -> None:
    small = Printer(name="small", sheet_max=A4)
    assert takes(small, A4) and takes(small, A4.turned) and not takes(small, SRA3)
    asked = asked_for(16, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=small)
    found = compared(at_hand(asked, A4, SRA3))
    assert found.rows
    assert [one.reason for one in found.unfit if one.name == "sheet 1"] == [
        "small does not take it"
    ]


@pytest.mark.parametrize("cutter", ["guillotine-office", "guillotine-hydraulic"])
def test_what_the_cutter_cannot_do_is_refused_by_the_plan_as_well(cutter: str) -> None:
    """And what is listed has no such error: `hold_to_plan` looks."""
    card = Size(mm(85), mm(18))
    asked = asked_for(2, binding=Binding.LOOSE, trim=card, sheet=SRA3, copies=40)
    bench = Bench(cutter=library().cutter(cutter))
    wanted = at_hand(asked, SRA3, bench=bench)
    found = compared(wanted)
    refused = [one for one in found.unfit if one.way is not None]
    assert refused
    for one in refused:
        assert one.way is not None
        row = LayoutRow.__new__(LayoutRow)
        object.__setattr__(row, "way", one.way)
        try:
            plan, _ = made(row, wanted)
        except JobError:
            continue
        assert [f for f in plan.findings if f.severity is Severity.ERROR], one
    for row in found.rows:
        hold_to_plan(row, wanted)


# -- counting --------------------------------------------------------------------------

STATES = st.sampled_from(EdgeState)


@st.composite
def axes(draw: st.DrawFn) -> Axis:
    cuts = sorted(draw(st.sets(st.integers(5, 500), max_size=7)))
    kept = draw(st.lists(st.booleans(), min_size=len(cuts) + 1, max_size=len(cuts) + 1))
    if not any(kept):
        kept[0] = True
    return Axis(
        length=mm(510),
        cuts=tuple(mm(at) for at in cuts),
        kept=tuple(kept),
        low=draw(STATES),
        high=draw(STATES),
    )


@given(axes(), axes(), st.sampled_from(["hand", "guillotine-office"]))
@settings(max_examples=60, deadline=None)
def test_counting_an_order_is_carrying_it_out(x: Axis, y: Axis, name: str) -> None:
    grid, cutter = Grid(x, y), library().cutter(name)
    for x_way in ways(x, cutter)[:2]:
        for y_way in ways(y, cutter)[:2]:
            across, upright = Told(y, y_way, cutter), Told(x, x_way, cutter)
            for weave in weaves(upright, across):
                counted = count_weave(upright, across, weave)
                real = _carried_out(grid, tuple(chops_of(upright, across, weave)), cutter)
                assert counted.count == real.count
                assert (counted.too_wide, counted.half_turns) == (real.too_wide, real.half_turns)
                knives = whole_count(upright, across, weave, counted).knives
                assert {gauge for gauge, _ in knives} == {c.chop.gauge for c in real.cuts}
                widths = {
                    (c.chop.gauge, grid.along(piece, c.across))
                    for c in real.cuts
                    for piece in c.pieces
                }
                assert set(knives) == widths
    assert least_handling(grid, cutter)[0].count == best_order(grid, cutter)[0].count


# -- the command -----------------------------------------------------------------------


@pytest.fixture
def job(tmp_path: Path) -> Path:
    numbered_pdf(tmp_path / "pages.pdf", 24)
    file = tmp_path / "job.toml"
    file.write_text(
        '[book]\npages = ["pages.pdf"]\ntrim = "a5"\nbinding = "perfect"\ncopies = 3\n'
        '[guts]\nsheet = ["a4", "sra3"]\nstock = { caliper = "0.1mm", grain = "long" }\n'
        'overs = 1\nparent = "sra1"\n'
        '[prices]\ncurrency = "EUR"\nsheet = { a4 = 0.01, sra3 = "0.035" }\nclick = 0.0125\n'
        "cut = 0.1\n"
    )
    return file


def test_the_table_and_its_words(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["layouts", str(job)]) == 0
    said = capsys.readouterr()
    head, first = said.out.splitlines()[:2]
    for word in ("no.", "layout", "sheets", "waste", "cuts", "turns", "folds", "grain", "parents"):
        assert word in head
    assert first.split()[0] == "1" and first.endswith("EUR")
    assert "Ranked:" in said.err and "--layout NUMBER" in said.err
    assert run(["layouts", str(job), "--all"]) == 0
    assert "out: A4 portrait, 2 pages a side, folded: does not fit" in capsys.readouterr().out


def test_make_takes_a_layout_by_number_and_by_name(
    job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The numbers promised are those of the files."""
    assert run(["layouts", str(job), "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["layouts"]
    assert [row["number"] for row in rows] == list(range(1, len(rows) + 1))
    for row in (rows[0], rows[-1]):
        for wish in (str(row["number"]), row["name"].lower()):
            out = job.parent / "out"
            args = ["make", str(job), "--layout", wish, "--out", str(out), "--no-check", "--quiet"]
            assert run([*args, "--only", "guts,plan,report"]) == 0
            plan = from_text((out / "plan.json").read_text("utf-8"))
            facts = plan.cut_facts
            assert facts is not None and facts.parent is not None
            assert len(plan.sheets) == row["sheets"]
            assert float(facts.waste) == row["waste_percent"]
            parts = (facts.before, facts.after, facts.parent.handling)
            assert sum(part.strokes for part in parts) == row["cuts"]
            assert sum(part.turns for part in parts) == row["turns"]
            assert facts.parent.count == row["parent"]["count"]
            assert any(found.code == "layout-taken" for found in plan.findings)
            report = (out / "report.html").read_text("utf-8")
            assert report.count("(this run)") >= 1
            assert report.count('class="sheet small"') == min(len(rows), 12)


def test_a_job_file_names_its_layout(job: Path) -> None:
    name = "SRA3 portrait, one leaf"
    text = job.read_text().replace("[guts]\n", f'[guts]\nlayout = "{name}"\n')
    job.write_text(text)
    out = job.parent / "out"
    assert (
        run(["make", str(job), "--out", str(out), "--no-check", "--quiet", "--only", "plan"]) == 0
    )
    plan = from_text((out / "plan.json").read_text("utf-8"))
    assert plan.sheets[0].size == Size(mm(320), mm(450))
    assert len(plan.sheets) == 12


@pytest.mark.parametrize(
    ("wish", "words"),
    [
        ("99", "there is no layout 99"),
        ("0", "0 is too few"),
        ("sra3 portait, one leaf", "did you mean 'SRA3 portrait, one leaf'"),
        ("A4 portrait, 4 pages a side, folded", "does not fit"),
    ],
)
def test_a_layout_that_is_not_there(
    job: Path, wish: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["make", str(job), "--layout", wish, "--out", str(job.parent / "out")]) == 2
    assert words in capsys.readouterr().err


def test_sheets_may_be_named_again(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pages = str(job.parent / "pages.pdf")
    args = ["layouts", pages, "--trim", "a5", "--binding", "saddle", "--json"]
    assert run([*args, "--sheet", "a4", "--sheet", "a3,sra3"]) == 0
    rows = json.loads(capsys.readouterr().out)["layouts"]
    assert {row["sheet"]["name"] for row in rows} == {"A4", "A3", "SRA3"}


def test_a_printer_brings_its_range(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pages = str(job.parent / "pages.pdf")
    args = ["layouts", pages, "--trim", "a5", "--binding", "saddle", "--json"]
    assert run([*args, "--printer", "digital-press"]) == 0
    found = json.loads(capsys.readouterr().out)
    names = {row["sheet"]["name"] for row in found["layouts"]}
    assert {"A4", "SRA3", "12 x 18"} & names and "25 x 38" not in names
    for row in found["layouts"]:
        assert max(row["sheet"]["width"], row["sheet"]["height"]) <= 19 * 72


def test_no_layout_at_all(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pages = str(job.parent / "pages.pdf")
    args = ["layouts", pages, "--trim", "a5", "--binding", "saddle", "--sheet", "a5"]
    assert run(args) == 1
    said = capsys.readouterr()
    assert "No layout of this job can be made" in said.err
    assert "does not fit" in said.out


@pytest.mark.parametrize(
    ("prices", "words"),
    [
        ('sheet = "2 EUR"', "is not an amount"),
        ("click = -1", "below zero"),
        ("sheet = { nosuch = 1 }", "nosuch"),
        ("klick = 1", "did you mean"),
    ],
)
def test_faulty_prices(
    job: Path, prices: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    text = job.read_text()
    job.write_text(text[: text.index("[prices]")] + f"[prices]\n{prices}\n")
    assert run(["layouts", str(job)]) == 2
    assert words in capsys.readouterr().err


def test_orders_that_are_said_are_kept() -> None:
    """With the order in the job, the other one is not compared."""
    for order, other in ((Order.REPEAT, "cut and stack"), (Order.CUT_AND_STACK, "repeat")):
        asked = asked_for(
            8, binding=Binding.PERFECT, trim=A5, sheet=SRA3, copies=8, order=order, order_said=True
        )
        names = [row.way.name for row in compared(at_hand(asked, SRA3)).rows]
        assert any(order.value in name for name in names)
        assert not any(other in name for name in names)
