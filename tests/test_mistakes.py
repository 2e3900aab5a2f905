"""Typical mistakes on the command line: each ends in words that say what to do, no traceback."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from test_make import numbered_pdf

from impose.cli.main import run

SADDLE = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--fit", "scale"]
ON_A3 = ["--binding", "saddle", "--trim", "a5", "--sheet", "a3", "--fit", "scale"]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Some pages of A5, things that are none, and job files with faults."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.chdir(tmp_path)
    numbered_pdf(tmp_path / "zine.pdf", 8)
    (tmp_path / "letter.docx").write_text("no pdf")
    (tmp_path / "empty.pdf").touch()
    (tmp_path / "scans").mkdir()
    (tmp_path / "broken.toml").write_text("[book\n")
    (tmp_path / "typo.toml").write_text('[book]\npages = ["zine.pdf"]\nbindng = "saddle"\n')
    (tmp_path / "bare.toml").write_text(
        '[book]\npages = ["zine.pdf"]\nbinding = "saddle"\nbleed = "3"\n'
    )
    (tmp_path / "job.toml").write_text('[book]\npages = ["zine.pdf"]\nbinding = "saddle"\n')
    yield tmp_path


REGISTER = ["register", "--printer", "office-laser-long-edge", "--sheet", "a4"]
MISTAKES = [
    (["make"], 2, "Missing argument", "impose start zine.pdf"),
    (["mak", "zine.pdf"], 2, "No such command", "make"),
    (["make", "zine.pdf", "--bindng", "saddle"], 2, "No such option", "--binding"),
    (["make", "zine.pdf"], 2, "the binding is not said", "impose start PAGES.pdf"),
    (["make", "zine.pdf", "--binding", "stapled"], 2, "'stapled'", "that is called saddle here"),
    (["make", "zine.pdf", "--binding", "spiral"], 2, "'spiral'", "that is called punched here"),
    (["make", "zine.pdf", "--binding", "velcro"], 2, "'velcro'", "impose start asks"),
    (["make", "gone.pdf", *SADDLE], 3, "does not exist", "check the name"),
    (["make", "letter.docx", *SADDLE], 3, "is not a PDF", "export it as PDF"),
    (["make", "empty.pdf", *SADDLE], 3, "is empty", "export it as PDF"),
    (["make", "scans", *SADDLE], 3, "holds no pictures", "name of the folder"),
    (["make", "gone.toml"], 3, "cannot be read", "impose start"),
    (["make", "broken.toml"], 2, "this is not TOML", "quotes"),
    (["make", "typo.toml"], 2, "line 3", "did you mean book.binding?"),
    (["make", "bare.toml"], 2, "'3' has no unit", "12mm"),
    (["make", "job.toml", "zine.pdf"], 2, "is a job file", "name the job file alone"),
    (["make", "zine.pdf", *SADDLE, "--trim", "148x210"], 2, "'148x210'", "148mm x 210mm"),
    (["make", "zine.pdf", *SADDLE, "--trim", "a55"], 2, "'a55'", "did you mean a5?"),
    (["make", "zine.pdf", *SADDLE, "--stock", "80"], 2, "'80'", '"80gsm"'),
    (["make", "zine.pdf", *SADDLE, "--printer", "hp"], 2, "'hp'", "office-laser-long-edge"),
    (["make", "zine.pdf", *SADDLE, "--only", "gut"], 2, "does not know gut", "it knows guts"),
    (["make", "zine.pdf", *SADDLE, "--up", "3"], 2, "up = 3", "choose one of these"),
    (["make", "zine.pdf", *SADDLE, "--bound-at", "top"], 2, "'top'", "left, right or head"),
    (["make", "zine.pdf", *SADDLE, "--out", "zine.pdf"], 4, "is a file", "--out"),
    (["make", "zine.pdf[9-12]", *SADDLE], 2, "the file has 8", "from 1 to 8"),
    (
        ["make", "zine.pdf", *ON_A3, "--printer", "office-laser-long-edge"],
        2, "too large for", "another printer",
    ),
    (
        ["make", "zine.pdf", "--binding", "saddle", "--trim", "a4", "--sheet", "a4"],
        2, "the trim is 210 x 297 mm", "--fit scale",
    ),
    (
        ["make", "zine.pdf", "--binding", "saddle", "--sheet", "a6"],
        2, "no room for 2 pages", "--fit scale",
    ),
    (["make", "zine.pdf", *SADDLE, "--flip", "vertical"], 2, "'vertical'", "long edge or short"),
    (["spine"], 2, "how many pages", "--pages 200"),
    (["register"], 2, "Missing option", "impose profiles list printers"),
    ([*REGISTER, "--read", "A", "2", "1"], 2, "'2' has no unit", "12mm"),
    ([*REGISTER, "--read", "A", "2mm", "1mm"], 2, "two are needed", "all four"),
    (["start", "gone.pdf", "--yes"], 2, "is not there", "name a PDF"),
    (["start", "--yes"], 2, "no pages are named", "impose start PAGES.pdf"),
    (["start", "job.toml", "--yes"], 2, "is a job file already", "impose make job.toml"),
    (["start", "zine.pdf", "--yes", "--binding", "glued"], 2, "'glued'", "called perfect here"),
]  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda m: " ".join(m[0]))
def test_says_what_is_wrong_and_what_to_do(
    mistake: tuple[list[str], int, str, str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments, code, wrong, hint = mistake
    before = sorted(folder.rglob("*"))
    assert run(arguments) == code
    said = capsys.readouterr()
    assert wrong in said.err
    assert hint in said.err
    assert "Traceback" not in said.err
    assert sorted(folder.rglob("*")) == before  # and nothing was left behind
