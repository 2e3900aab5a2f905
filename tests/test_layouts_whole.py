"""Layouts of flat work and of folded panels: figures by hand, what falls out, rows made."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from test_make import numbered_pdf

from impose.cli.main import run
from impose.plan.wire import from_text
from impose.units import Length

mm = Length.mm

ITEMS = """
[book]
binding = "flat"
[[items]]
title = "Card"
pages = "cards.pdf[1-2]"
trim = "85mm x 55mm"
amount = 300
[[items]]
title = "Badge"
pages = "cards.pdf[1]"
trim = "60mm x 40mm"
amount = 100
[guts]
sheet = ["a4", "sra3", "a6"]
gutter = "0mm"
stock = { caliper = "0.2mm", grain = "long" }
overs = 5
"""


@pytest.fixture
def here(tmp_path: Path) -> Path:
    numbered_pdf(tmp_path / "cards.pdf", 2, size=(mm(85), mm(55)))
    numbered_pdf(tmp_path / "pages.pdf", 8, size=(mm(105), mm(148)))
    numbered_pdf(tmp_path / "panels.pdf", 6, size=(mm(99), mm(210)))
    (tmp_path / "gang.toml").write_text(
        ITEMS.replace("amount = 100", 'fit = "scale"\namount = 100')
    )
    return tmp_path


def listed(capsys: pytest.CaptureFixture[str], args: list[str]) -> dict[str, Any]:
    assert run(["layouts", *args, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def card(here: Path, *more: str) -> list[str]:
    pages = str(here / "cards.pdf")
    return [pages, "--binding", "flat", "--trim", "85mm x 55mm", *more]


def jobs(here: Path) -> dict[str, list[str]]:
    pages, panels = str(here / "pages.pdf"), str(here / "panels.pdf")
    several = ["--sheet", "a4,a3", "--sheet", "sra3"]
    return {
        "cards": card(here, "--copies", "250", *several),
        "cards on a press": card(here, "--copies", "250", "--printer", "small-press", *several),
        "concertina": [pages, "--binding", "concertina", "--trim", "a6", "--copies", "9", *several],
        "one sheet": [pages, "--binding", "one sheet", "--trim", "a6", "--copies", "3", *several],
        "leaflet": [
            panels, "--binding", "leaflet", "--fold", "z", "--trim", "99mm x 210mm", *several
        ],
    }  # fmt: skip


@pytest.mark.parametrize(
    "name", ["cards", "cards on a press", "concertina", "one sheet", "leaflet"]
)
def test_every_row_is_made_as_it_is_promised(
    here: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    args = jobs(here)[name]
    rows = listed(capsys, args)["layouts"]
    assert [row["number"] for row in rows] == list(range(1, len(rows) + 1))
    assert len({row["name"] for row in rows}) == len(rows)
    for row in (rows[0], rows[-1]):
        hold_to_files(here, args, row)


def test_a_gang_on_the_sheets_at_hand(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "gang.toml").write_text(ITEMS.replace('pages = "cards.pdf[1]"', 'pages = "badge.pdf"'))
    numbered_pdf(here / "badge.pdf", 1, size=(mm(60), mm(40)))
    args = [str(here / "gang.toml")]
    found = listed(capsys, args)
    assert {row["kind"] for row in found["layouts"]} == {"ganged"}
    assert {row["sheet"]["name"] for row in found["layouts"]} == {"A4", "SRA3", "A6"}
    for row in found["layouts"]:
        hold_to_files(here, args, row)
    areas = [row["paper_square_metres"] for row in found["layouts"]]
    assert areas == sorted(areas)


def hold_to_files(here: Path, args: list[str], row: dict[str, Any]) -> None:
    out = here / "out"
    made = ["make", *args, "--layout", row["name"], "--out", str(out), "--no-check", "--quiet"]
    assert run([*made, "--only", "guts,plan,report"]) == 0
    plan = from_text((out / "plan.json").read_text("utf-8"))
    facts = plan.cut_facts
    assert facts is not None
    size = plan.sheets[0].size
    assert float(size.width.as_points) == pytest.approx(row["sheet"]["width"])
    assert float(size.height.as_points) == pytest.approx(row["sheet"]["height"])
    assert len(plan.sheets) == row["sheets"]
    assert facts.sheets + facts.overs == row["printed"]
    assert float(facts.waste) == row["waste_percent"]
    assert facts.before.strokes + facts.after.strokes == row["cuts"]
    assert facts.before.turns + facts.after.turns == row["turns"]
    most = max(plan.sheets, key=lambda sheet: (sheet.copies, len(sheet.front.placements)))
    assert len(most.front.placements) == row["up"]
    report = (out / "report.html").read_text("utf-8")
    assert report.count("(this run)") in (0, 2)  # none where there is no choice
    assert any(finding.code == "layout-taken" for finding in plan.findings)


# -- figures by hand -------------------------------------------------------------------


def test_cards_by_hand(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """85 x 55 mm without bleed on A4: 3 x 3 upright (255 x 165 mm) leave less than a card
    either way on 297 x 210 mm, and 5 rows of 2 (170 x 275 mm) leave a strip of 40 mm: ten, or
    nine and more turned; eleven is what goes.  250 cards take 23 sheets; on A3 (23) 11 sheets.
    46,750 square mm a sheet of ten; eleven cards are 51,425 of 62,370: 17.55 per cent waste."""
    rows = listed(capsys, card(here, "--copies", "250", "--sheet", "a4,a3"))["layouts"]
    of = {row["sheet"]["name"]: row for row in rows}
    assert (of["A4"]["up"], of["A4"]["printed"], of["A4"]["waste_percent"]) == (11, 23, 17.55)
    assert of["A3"]["printed"] == -(-250 // of["A3"]["up"])
    assert {row["kind"] for row in rows} == {"step and repeat"}


def test_without_an_amount_pieces_are_compared(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One sheet of each: the least paper for a card, not the smallest sheet, comes first."""
    found = listed(capsys, card(here, "--sheet", "a6,a3"))
    assert "for each piece" in found["rule"]
    each = [row["paper_square_metres"] / row["up"] for row in found["layouts"]]
    assert each == sorted(each)
    assert found["layouts"][0]["sheet"]["name"] == "A3"


def test_grain_is_said_of_the_items(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A strip of three cards (55 x 255 mm) on 60 x 260 mm: turned so that they fit, their long
    side runs with the long side of the sheet."""
    text = (
        '[book]\nbinding = "flat"\npages = ["cards.pdf"]\ntrim = "85mm x 55mm"\ncopies = 30\n'
        '[guts]\nsheet = "60mm x 260mm"\nstock = { caliper = "0.2mm", grain = "%s" }\n'
        'gutter = "0mm"\n'
    )
    for grain, said in (("long", "along"), ("short", "across")):
        (here / "job.toml").write_text(text % grain)
        rows = listed(capsys, [str(here / "job.toml")])["layouts"]
        assert [(row["up"], row["grain"]) for row in rows] == [(3, said)]


def test_a_concertina_by_hand(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Eight A6 panels are 840 mm long.  B1 (707 x 1000 mm) takes all of them lying long, without
    a tab: one sheet and seven folds; 8 x 105 x 148 of 707,000 square mm: 82.42 per cent waste."""
    pages = str(here / "pages.pdf")
    args = [pages, "--binding", "concertina", "--trim", "a6", "--sheet", "b1,a4"]
    of = {row["name"]: row for row in listed(capsys, args)["layouts"]}
    row = of["B1 landscape, folded panels"]
    assert (row["sheets"], row["up"], row["folds"], row["waste_percent"]) == (1, 8, 7, 82.42)
    assert of["A4 landscape, folded panels"]["sheets"] == 4  # two panels and a tab on each
    assert of["A4 landscape, folded panels"]["folds"] == 7


def test_a_booklet_of_one_sheet_is_its_paper(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Eight A7 pages are A4: nothing is cut off, three folds across and one along."""
    numbered_pdf(here / "a7.pdf", 8, size=(mm(74), mm(105)))
    args = [str(here / "a7.pdf"), "--binding", "one sheet", "--sheet", "a4,a5,sra3"]
    rows = listed(capsys, args)["layouts"]
    assert [row["name"] for row in rows] == ["A4 landscape, folded panels"]
    assert (rows[0]["up"], rows[0]["folds"]) == (8, 4)


# -- what falls out --------------------------------------------------------------------


def test_a_sheet_that_is_too_small_falls_out(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = listed(capsys, card(here, "--sheet", "50mm x 50mm,a4"))
    assert {row["sheet"]["name"] for row in found["layouts"]} == {"A4"}
    (out,) = found["out"]
    assert "85 x 55 mm" in out["reason"]
    pages = str(here / "pages.pdf")
    found = listed(capsys, [pages, "--binding", "one sheet", "--trim", "a6", "--sheet", "a4,sra3"])
    reasons = {one["name"]: one["reason"] for one in found["out"]}
    assert reasons["A4 portrait, folded panels"].endswith("(210 x 297 mm), lying portrait")


def test_a_printer_takes_only_its_range(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    args = card(here, "--sheet", "sra3,b1", "--printer", "small-press")
    assert {
        "name": "B1",
        "reason": "Small offset press, sheets to 13 x 19 in does not take it",
    } in (listed(capsys, args)["out"])


def test_a_fault_that_no_sheet_mends_is_an_error(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    args = [str(here / "pages.pdf"), "--binding", "concertina", "--trim", "a6", "--panels", "3"]
    assert run(["layouts", *args, "--sheet", "a3,a4"]) == 2
    assert "3 panels has 6 faces" in capsys.readouterr().err


def test_the_table_is_that_of_items(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["layouts", *card(here, "--copies", "250", "--sheet", "a4,a3")]) == 0
    said = capsys.readouterr()
    assert "step and repeat" in said.out
    assert "items on one side" in said.err and "spine" not in said.err


def test_the_report_draws_them(here: Path) -> None:
    out = here / "out"
    args = card(here, "--copies", "250", "--sheet", "a4,a3", "--out", str(out), "--no-check")
    assert run(["make", *args, "--quiet", "--only", "plan,report"]) == 0
    report = (out / "report.html").read_text("utf-8")
    assert report.count('class="sheet small"') == report.count("items on the front") > 1
    assert "11 items on the front" in report
