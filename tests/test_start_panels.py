"""impose start and folded panels: what it offers and writes makes a piece; faults in its words."""

from __future__ import annotations

import io
import re
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from impose.cli.main import run
from impose.geometry.box import Size
from impose.model.job import Binding
from impose.model.overrides import Overrides
from impose.model.panels import LeafletFold
from impose.model.readers import unit_of
from impose.model.resolve import job_from_file
from impose.pipeline import check
from impose.schemes.leafletfolds import panels_of
from impose.schemes.panelproposal import (
    Piece,
    advise_fold,
    advise_panel,
    folds_for,
    suits,
    white_off,
)
from impose.units import Length

mm = Length.mm
A4, A5, A6 = Size(mm(210), mm(297)), Size(mm(148), mm(210)), Size(mm(105), mm(148))
THIRD = Size(mm(99), mm(210))
#: What `impose start` has; a fault must not ask for anything else.
OWN = {
    "--printer", "--sheet", "--binding", "--bound-at", "--trim", "--fit", "--edge", "--holds",
    "--fold", "--panels", "--copies", "--title", "--units", "--file", "--overwrite", "--yes",
}  # fmt: skip


def pages(path: Path, count: int, size: Size, edge: bool = False) -> Path:
    wide, high = (float(n.as_points) for n in (size.width, size.height))
    canvas = Canvas(str(path), pagesize=(wide, high))
    for number in range(count):
        if edge:
            canvas.setFillGray(0.7)
            canvas.rect(0, 0, wide, high / 3, stroke=0, fill=1)
            canvas.setFillGray(0)
        canvas.drawString(wide / 4, high / 2, str(number + 1))
        canvas.showPage()
    canvas.save()
    return path


def answering(monkeypatch: pytest.MonkeyPatch, *answers: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in answers)))


@pytest.mark.parametrize(
    ("size", "count", "options", "written"),
    [
        (A5, 8, ["--binding", "one sheet"], {"trim": "a7", "fit": "scale"}),
        (A4, 16, ["--binding", "one sheet"], {"trim": "a7", "fit": "scale"}),
        (A5, 8, ["--binding", "leaflet"], {"fold": "double parallel", "fit": "scale"}),
        (THIRD, 6, ["--binding", "leaflet"], {"fold": "z"}),
        (THIRD, 6, ["--fold", "letter"], {"fold": "letter", "fit": "scale"}),
        (Size(mm("74.25"), mm(210)), 6, ["--fold", "gate"], {"fold": "gate", "fit": "scale"}),
        (A4.turned, 2, ["--binding", "leaflet"], {"fold": "letter"}),
        (A4.turned, 2, ["--fold", "tri-fold", "--sheet", "letter", "--units", "in"],
         {"fold": "letter", "fit": "scale"}),
        (Size(mm(400), mm(280)), 2, ["--fold", "gate"], {"fold": "gate", "fit": "scale"}),
        (A6, 4, ["--fold", "tent"], {"fold": "tent"}),
        (A6, 7, ["--binding", "concertina"], {"panels": 7, "trim": "a6"}),
        (A6, 14, ["--panels", "7"], {"panels": 7, "trim": "a6"}),
        (A4, 6, ["--binding", "concertina", "--bound-at", "right"], {"panels": 6, "fit": "scale"}),
        (A5, 8, ["--binding", "one sheet", "--fit", "centre"], {"fit": "centre"}),
        (A5, 8, ["--binding", "saddle", "--fit", "scale"], {"trim": "a5", "fit": "scale"}),
    ],
)  # fmt: skip
def test_what_is_written_makes_the_piece(
    size: Size, count: int, options: list[str], written: dict[str, object], tmp_path: Path
) -> None:
    """--yes with the fewest words; the job file is planned without a fault of its own."""
    pdf, job = pages(tmp_path / "p.pdf", count, size), tmp_path / "p.toml"
    assert run(["start", str(pdf), "--yes", *options]) == 0
    tables = tomllib.loads(job.read_text("utf-8"))
    said = {**tables["book"], **tables["guts"]}
    assert {key: said.get(key) for key in written} == written
    for key in ("fit", "fold", "panels"):
        assert (key in said) == (key in written)
    made = check(job_from_file(job, Overrides()))
    assert len(made.plan.pages) == count
    codes = {f.code for f in made.findings if f.severity.rank == 0}
    assert "centre" in options or not codes


def test_the_questions_of_a_leaflet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All three pieces are offered for six pages; a fold with too few panels is asked again."""
    pdf = pages(tmp_path / "p.pdf", 6, THIRD)
    answering(monkeypatch, "", "", "leaflet", "half", "letter fold", "", "", "yes")
    assert run(["start", str(pdf)]) == 0
    told = capsys.readouterr().err
    assert all(f"  {word}: " in told for word in ("one sheet", "leaflet", "concertina"))
    assert "How should it be folded?" in told and "From which side does it open?" in told
    assert "a half fold has 4 pages at most, and these are 6" in told
    assert tomllib.loads((tmp_path / "p.toml").read_text())["guts"]["fold"] == "letter"


def test_the_question_of_a_concertina(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf = pages(tmp_path / "p.pdf", 14, A6)
    answering(monkeypatch, "", "", "concertina", "6", "7", "", "", "yes")
    assert run(["start", str(pdf)]) == 0
    assert "'6' is no number of panels for 14 pages" in capsys.readouterr().err
    assert tomllib.loads((tmp_path / "p.toml").read_text())["guts"]["panels"] == 7


def test_pieces_are_offered_where_they_suit() -> None:
    def offered(count: int, size: Size, sheet: Size = A4) -> set[str]:
        pieces = (Binding.ONE_SHEET, Binding.LEAFLET, Binding.CONCERTINA)
        return {one.value for one in pieces if suits(one, count, size, sheet, "mm")}

    assert offered(8, A5) == {"one sheet", "leaflet"}  # no two A5 panels and a tab go on A4
    assert offered(14, A6) == {"one sheet", "concertina"}
    assert offered(2, A4) == {"leaflet"}
    assert offered(20, A5) == set()
    assert offered(40, A6) == set()


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--binding", "one sheet", "--trim", "a5"], "no room for a booklet of 4 by 2 panels"),
        (["--binding", "leaflet"], "a leaflet has at most 8 pages, and these are 20"),
        (["--binding", "one sheet"], "one sheet has 8 pages on a side, 16 in all"),
        (["--binding", "saddle", "--fold", "z"], "--fold belongs to a leaflet"),
        (["--binding", "one sheet", "--panels", "4"], "--panels belongs to a concertina"),
        (["--panels", "9"], "'9' is no number of panels for 20 pages"),
        (["--fold", "z"], "a z fold has 6 pages at most"),
        (["--fold", "quarter"], "'quarter' is not known here"),
        (["--binding", "perfect", "--trim", "a3"], "there is no room for"),
    ],
)
def test_faults_name_only_what_it_has(
    options: list[str], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    count = {"a5": 8, "z": 8, "quarter": 6}.get(options[-1], 20)
    pdf = pages(tmp_path / "p.pdf", count, A5)
    assert run(["start", str(pdf), "--yes", *options]) == 2
    told = capsys.readouterr().err
    assert words in told
    assert set(re.findall(r"--[a-z-]+", told)) <= OWN
    assert " = " not in told and "line " not in told and "guts." not in told
    assert not (tmp_path / "p.toml").exists()


def test_pictures_at_the_edge_of_one_sheet(tmp_path: Path) -> None:
    """White at the paper's edge unless a smaller page, cut all round, is wished for."""
    pdf, job = pages(tmp_path / "p.pdf", 8, A5, edge=True), tmp_path / "p.toml"
    assert run(["start", str(pdf), "--yes", "--binding", "one sheet"]) == 0
    assert "bleed" not in tomllib.loads(job.read_text())["book"]
    more = ["--edge", "smaller", "--overwrite"]
    assert run(["start", str(pdf), "--yes", "--binding", "one sheet", *more]) == 0
    assert tomllib.loads(job.read_text())["book"]["bleed"] == "2mm"
    made = check(job_from_file(job, Overrides()))
    assert {cut.title for cut in made.plan.cuts if not cut.side}
    assert not {f.code for f in made.findings if "edge" in f.code and f.severity.rank < 2}


@given(
    fold=st.sampled_from(list(LeafletFold)),
    count=st.integers(1, 16),
    width=st.integers(40, 420),
    height=st.integers(40, 420),
    binding=st.sampled_from([Binding.ONE_SHEET, Binding.LEAFLET, Binding.CONCERTINA]),
    unit=st.sampled_from(["mm", "in"]),
    head_bound=st.booleans(),
    cut=st.booleans(),
)
@settings(max_examples=150, deadline=None)
def test_law_a_proposed_panel_is_no_larger_than_its_room(
    fold: LeafletFold, count: int, width: int, height: int, binding: Binding, unit: str,
    head_bound: bool, cut: bool,
) -> None:  # fmt: skip
    assume(binding is not Binding.LEAFLET or fold in folds_for(count))
    page = Size(mm(width), mm(height))
    piece = Piece(binding=binding, pages=count, unit=unit, panels=count, head_bound=head_bound,
                  fold=fold if binding is Binding.LEAFLET else None)  # fmt: skip
    advice = advise_panel(page, A4, piece, *((white_off(A4, None),) if cut else ()))
    assert 0 < advice.scale <= 1
    assert (advice.scale == 1) >= (advice.trim == page)
    trim = advice.trim.turned if head_bound else advice.trim
    near = mm("0.5")
    assert trim.width <= advice.panel.width + near and trim.height <= advice.panel.height + near


@given(count=st.integers(1, 8), alike=st.booleans())
def test_law_the_proposed_fold_has_a_panel_for_every_page(count: int, alike: bool) -> None:
    fold = advise_fold(count, alike)
    assert fold in folds_for(count) and panels_of(fold) * 2 >= count


def test_a_size_in_two_units_is_read() -> None:
    """A width in inches, a height that is only whole in points."""
    assert unit_of("3.6875in x 559.9984252pt") == "in"
    assert unit_of("396 x 612pt") == "in"


def test_pages_made_smaller_for_their_panels_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A gate fold of pages of one size: its flaps are half as wide as its middle."""
    third = Size(Length.mm(99), Length.mm(210))
    pdf = pages(tmp_path / "p.pdf", 6, third)
    assert run(["start", str(pdf), "--yes", "--fold", "gate"]) == 0
    said = capsys.readouterr().err
    assert "Pages 1-3, 5 are scaled to 48%." in said
    assert run(["start", str(pages(tmp_path / "q.pdf", 6, third)), "--yes", "--fold", "z"]) == 0
    assert "scaled to" not in capsys.readouterr().err
