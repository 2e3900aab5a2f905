"""On which edge a printer turns the sheet: drawn on the trial sheet, found out, and kept."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest

from impose.bench.register import cross_places
from impose.cli.main import run
from impose.geometry.box import Size
from impose.geometry.turning import Flip, Turnover
from impose.model.profiles import Library
from impose.pdf.flippicture import LIKE, flip_name
from impose.pdf.registersheet import RegisterSheet, register_pdf
from impose.units import Length

A4 = Size(Length.mm(210), Length.mm(297))
BASE = ["register", "--printer", "office-laser-long-edge", "--sheet", "a4"]


@pytest.fixture(autouse=True)
def own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))


@pytest.mark.parametrize("turned", list(Turnover))
@pytest.mark.parametrize("landscape", [False, True])
def test_the_names_of_the_pictures_are_those_of_the_geometry(
    turned: Turnover, landscape: bool
) -> None:
    """Portrait: a page of a book turns about its long edge; landscape, about its short edge."""
    sheet = A4.turned if landscape else A4
    assert Flip(flip_name(turned, landscape)).on(sheet) is turned
    assert flip_name(Turnover.ABOUT_VERTICAL, False) == "long edge"
    assert flip_name(Turnover.ABOUT_VERTICAL, True) == "short edge"


@pytest.mark.parametrize("flip", list(Flip))
@pytest.mark.parametrize("size", [A4, A4.turned, Size(Length.mm(148), Length.mm(210))])
def test_both_pictures_are_on_the_trial_sheet_with_the_supposed_one_named(
    flip: Flip, size: Size, tmp_path: Path
) -> None:
    path = tmp_path / "sheet.pdf"
    sheet = RegisterSheet(sheet=size, flip=flip, printer="p", command="c", unit="mm")
    path.write_bytes(register_pdf(sheet))
    with pdfplumber.open(path) as pdf:
        words = " ".join(page.extract_text() for page in pdf.pages)
        page = next(p for p in pdf.pages if "made for" in p.extract_text())
        assert len(page.curves) >= 2  # the arcs of the two arrows
        boxes = {(c["text"]) for c in page.chars if c["text"] in "12" and c["size"] > 8}
        assert boxes == {"1", "2"}
        for char in page.chars:  # nothing is printed off the sheet
            assert char["x0"] >= 0 and char["x1"] <= page.width
    assert f"this sheet is made for: {flip.value}" in words
    for like in LIKE.values():
        assert like in words


def test_a_printer_that_turns_the_other_way_lays_letters_on_other_letters() -> None:
    """What the sheet asks for is a real difference: simulated, A lies on A when the printer turns
    the sheet as supposed, and on another letter when it turns it on the other edge."""
    for sheet in (A4, A4.turned):
        places = cross_places(sheet)
        for supposed in Turnover:
            for real in Turnover:
                for letter, place in places.items():
                    in_file = supposed.point(*place, sheet)
                    lands = real.point(*in_file, sheet)
                    assert (lands == places[letter]) is (supposed is real)
                    assert lands in places.values()


def test_the_answer_is_kept_and_the_next_sheet_and_jobs_follow(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run([*BASE, "--letters", "others"]) == 0
    assert "turns the sheet on the short edge" in capsys.readouterr().err
    assert Library(tmp_path).printer("office-laser-long-edge").flip is Flip.SHORT_EDGE
    assert run([*BASE, "--out", str(tmp_path / "again.pdf")]) == 0
    said = capsys.readouterr().err
    assert "turned over on the short edge, like the leaf of a wall calendar" in said
    assert run([*BASE, "--letters", "same"]) == 0
    assert Library(tmp_path).printer("office-laser-long-edge").flip is Flip.SHORT_EDGE
    assert run([*BASE, "--letters", "others"]) == 0
    assert Library(tmp_path).printer("office-laser-long-edge").flip is Flip.LONG_EDGE


def test_the_flip_is_kept_beside_corrections_and_refeeding(tmp_path: Path) -> None:
    assert run([*BASE, "--read", "A", "2mm", "1mm", "--read", "D", "2mm", "1mm"]) == 0
    assert run([*BASE, "--answers", "blank", "2", "same"]) == 0
    assert run([*BASE, "--letters", "others"]) == 0
    kept = Library(tmp_path).printer("office-laser-long-edge")
    assert kept.flip is Flip.SHORT_EDGE and len(kept.registers) == 1 and kept.refeed is not None


def test_readings_of_a_sheet_turned_the_wrong_way_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    reads = ["--read", "A", "2mm", "1mm", "--read", "D", "2mm", "1mm"]
    assert run([*BASE, "--letters", "others", *reads]) == 2
    assert "say nothing" in capsys.readouterr().err
    assert not Library(tmp_path).printer("office-laser-long-edge").registers
    assert run([*BASE, "--letters", "same", *reads]) == 0


def test_small_trial_sheets_for_one_side_at_a_time(tmp_path: Path) -> None:
    """The picture is left out where there is no room, never printed over the edge."""
    for sheet in ("a4", "a5 landscape", "105mm x 148mm"):
        out = ["--sheet", sheet, "--one-side", "--out", str(tmp_path / "trial.pdf")]
        assert run(["register", "--printer", "office-laser-long-edge", *out]) == 0
        with pdfplumber.open(tmp_path / "trial-backs.pdf") as pdf:
            for page in pdf.pages:
                assert all(r["top"] >= 0 and r["bottom"] <= page.height for r in page.rects)
                assert all(char["bottom"] <= page.height for char in page.chars)
                if sheet == "a4":
                    assert "opposite" in page.extract_text().splitlines()[-1]
