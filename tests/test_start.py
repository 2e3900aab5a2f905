"""impose start: the job file that it writes makes a book; bad answers are asked again."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from impose.cli.asking import Asker, Choice
from impose.cli.main import run
from impose.errors import ImposeError
from impose.geometry.box import Size
from impose.model.job import Binding
from impose.model.overrides import Overrides
from impose.model.profiles import Library
from impose.model.resolve import job_from_file
from impose.pipeline import check
from impose.reports.jobtext import toml_string
from impose.schemes.proposal import (
    advise_binding,
    advise_trim,
    panels_of,
    room_to_cut,
    runs_to_edge,
    takes,
)
from impose.units import Length

mm = Length.mm
A4 = Size(mm(210), mm(297))
A5 = Size(mm(148), mm(210))


def pages(path: Path, count: int, size: Size = A4, edge: bool = False) -> Path:
    wide, high = (float(n.as_points) for n in (size.width, size.height))
    canvas = Canvas(str(path), pagesize=(wide, high))
    for number in range(count):
        if edge:
            canvas.setFillGray(0.7)
            canvas.rect(0, 0, wide, high / 3, stroke=0, fill=1)
            canvas.setFillGray(0)
        canvas.drawString(wide / 4, high / 2, f"page {number + 1}")
        canvas.showPage()
    canvas.save()
    return path


def answering(monkeypatch: pytest.MonkeyPatch, *answers: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in answers)))


#: Findings that are the pages' own (their fonts), or say how the paper is.
OF_THE_PAGES = {"font-not-embedded", "waste-too-narrow", "refeed-unknown"}


def faults_of(job: Path) -> set[str]:
    """Codes of errors and warnings of a job as the file has it."""
    found = check(job_from_file(job, Overrides())).findings
    return {f.code for f in found if f.severity.rank < 2} - OF_THE_PAGES


@pytest.mark.parametrize(
    ("printer", "edge", "count"),
    [
        ("both sides", True, 10),
        ("ink both sides", True, 90),
        ("one side", False, 90),
        ("not known", True, 2),
        ("ink both sides", False, 8),
        ("one side", True, 8),
    ],
)
def test_what_it_proposes_makes_a_book_without_a_fault_of_the_file(
    printer: str, edge: bool, count: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf = pages(tmp_path / "my zine.pdf", count, edge=edge)
    assert run(["start", str(pdf), "--yes", "--printer", printer]) == 0
    job = tmp_path / "my zine.toml"
    assert capsys.readouterr().out.strip() == str(job)
    assert faults_of(job) == set()
    told = tomllib.loads(job.read_text())
    assert told["book"]["binding"] == ("loose" if count == 2 else "saddle" if count < 65 else
                                       "perfect")  # fmt: skip
    assert ("blanks" in told["book"]) is (count == 10)
    assert ("printing" in told["guts"]) is (printer == "one side")


LETTER = Size(Length.inches("8.5"), Length.inches(11))


@pytest.mark.parametrize("more", [(), ("--units", "in"), ("--sheet", "letter"), ("--sheet", "a4")])
@pytest.mark.parametrize("page", [LETTER, A4, Size(Length.mm(143), Length.mm("201.7"))])
def test_pages_of_one_land_on_the_paper_of_another(
    page: Size, more: tuple[str, ...], tmp_path: Path
) -> None:
    """A page scaled to half a sheet has no short figure in inches or millimetres."""
    pdf = pages(tmp_path / "zine.pdf", 8, page)
    assert run(["start", str(pdf), "--yes", *more]) == 0
    assert faults_of(tmp_path / "zine.toml") == set()


def test_the_whole_way_to_a_book(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Start, then the very command that it names."""
    pdf = pages(tmp_path / "zine.pdf", 8)
    assert run(["start", str(pdf), "--yes", "--title", 'The "quiet" shore']) == 0
    said = capsys.readouterr().err
    assert f"impose make {tmp_path / 'zine.toml'} --out print" in said
    out = tmp_path / "print"
    assert run(["make", str(tmp_path / "zine.toml"), "--out", str(out), "--quiet"]) == 0
    assert (out / "ticket.pdf").exists()
    text = (tmp_path / "zine.toml").read_text()
    assert tomllib.loads(text)["book"]["title"] == 'The "quiet" shore'
    assert "# (saddle: folded sheets laid inside each other" in text
    assert text.count("(saddle:") == 1  # explained where it first stands, and only there
    assert all(len(line) < 100 for line in text.splitlines() if line.startswith("#"))


def test_questions_in_plain_words_and_bad_answers_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    pages(tmp_path / "zine.pdf", 8)
    monkeypatch.chdir(tmp_path)
    answering(
        monkeypatch,
        "nowhere.pdf", "zine.pdf",
        "99", "hp", "one side",
        "a0", "30", "a4",
        "sticky tape", "glued", "1",
        "up", "right",
        "none", "3",
        "perhaps", "yes",
    )  # fmt: skip
    assert run(["start"]) == 0
    said = capsys.readouterr().err
    for words in (
        "'nowhere.pdf' is not there",
        "'99' is no printer that is known here",
        "does not go through",
        "measures need their unit",
        "that is called perfect here",
        "'up' is none of the answers: answer 1 to 3",
        "'none' is no number of copies",
        "'perhaps' is none of the answers: answer 1 to 2, or yes or no",
        "impose register --printer office-one-side",
    ):
        assert words in said, words
    told = tomllib.loads((tmp_path / "zine.toml").read_text())
    assert told["book"]["bound_at"] == "right" and told["book"]["copies"] == 3
    assert told["guts"] == {
        "sheet": "A4",
        "printer": "office-one-side",
        "printing": "one side at a time",
    }


def test_the_end_of_the_answers_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf = pages(tmp_path / "zine.pdf", 8)
    for many in (0, 2, 5):
        answering(monkeypatch, *[""] * many)
        assert run(["start", str(pdf)]) == 2
        assert "the answers ended before the last question" in capsys.readouterr().err
        assert list(tmp_path.iterdir()) == [pdf]
    answering(monkeypatch, "", "", "", "", "", "no")
    assert run(["start", str(pdf)]) == 0
    assert "Nothing was written" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == [pdf]


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
def test_an_interrupt_leaves_nothing(tmp_path: Path) -> None:
    """At the last question, when the job file is already being tried under its passing name."""
    pdf = pages(tmp_path / "zine.pdf", 8)
    process = subprocess.Popen(
        [sys.executable, "-m", "impose", "start", str(pdf)],
        stdin=subprocess.PIPE, stderr=subprocess.PIPE, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    assert process.stdin is not None and process.stderr is not None
    process.stdin.write(b"\n" * 5)
    process.stdin.flush()
    said = b""
    while b"Write this down" not in said:
        said += process.stderr.read1(4096)  # type: ignore[attr-defined]
    time.sleep(0.1)
    process.send_signal(signal.SIGINT)
    rest = process.communicate(timeout=20)[1]
    assert process.returncode == 130
    assert b"interrupted" in rest and b"Traceback" not in rest
    assert list(tmp_path.iterdir()) == [pdf]


def test_a_job_file_that_is_there_is_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pdf, job = pages(tmp_path / "zine.pdf", 8), tmp_path / "zine.toml"
    job.write_text("mine")
    assert run(["start", str(pdf), "--yes"]) == 4
    assert "is kept" in capsys.readouterr().err
    assert job.read_text() == "mine"
    other = tmp_path / "jobs" / "other.toml"
    assert run(["start", str(pdf), "--yes", "--file", str(other)]) == 0
    assert tomllib.loads(other.read_text())["book"]["pages"] == ["../zine.pdf"]
    assert faults_of(other) == set()  # the pages lie outside, and the file says so
    assert run(["start", str(pdf), "--yes", "--overwrite"]) == 0
    assert "binding" in job.read_text()


def test_wide_pages_are_asked_about(tmp_path: Path) -> None:
    pdf = pages(tmp_path / "scan.pdf", 6, Size(mm(297), mm(210)))
    assert run(["start", str(pdf), "--yes", "--holds", "spreads"]) == 0
    told = tomllib.loads((tmp_path / "scan.toml").read_text())
    assert told["book"]["pages"] == [{"file": "scan.pdf", "spreads": "left to right"}]
    assert told["book"]["trim"] == "148.5mm x 210mm"
    assert faults_of(tmp_path / "scan.toml") == set()


@pytest.mark.parametrize("name", ["blank", "odd[2].pdf", "a 'b' \"c\".pdf", "ümläut – 2.pdf"])
def test_names_of_files_come_through(name: str, tmp_path: Path) -> None:
    if name == "blank":  # a folder of that name; the short form of `pages` means empty pages
        (tmp_path / name).mkdir()
        pages(tmp_path / name / "1.pdf", 4, A5)
    else:
        pages(tmp_path / name, 4, A5)
    job = tmp_path / "job.toml"
    assert run(["start", str(tmp_path / name), "--yes", "--file", str(job)]) == 0
    assert faults_of(job) == set()


# -- rules -----------------------------------------------------------------------------------


@given(st.text(max_size=40))
def test_any_text_is_a_toml_string(text: str) -> None:
    clean = "".join(c for c in text if not 0xD800 <= ord(c) <= 0xDFFF)
    assert tomllib.loads(f"a = {toml_string(clean)}")["a"] == clean


def test_stapled_up_to_what_the_stapler_takes() -> None:
    """The published limits stand in the profile: 64 pages, and 2 mm of opened pile."""
    library = Library()
    stapler, gluer = library.binder("saddle-stapler"), library.binder("small-clamp-binder")

    def of(count: int, caliper: str) -> Binding:
        return advise_binding(count, mm(caliper), stapler, gluer).binding

    assert [of(n, "0.1") for n in (1, 2, 3, 64, 65)] == [
        Binding.LOOSE, Binding.LOOSE, Binding.SADDLE, Binding.SADDLE, Binding.PERFECT,
    ]  # fmt: skip
    assert of(40, "0.2") is Binding.SADDLE and of(44, "0.2") is Binding.PERFECT
    assert of(66, "0.04") is Binding.STAB  # 33 leaves are thinner than 1.5 mm


lengths = st.integers(40_000, 500_000).map(lambda n: Length(mm(n).grains // 1000))
sizes = st.builds(Size, lengths, lengths)


@settings(max_examples=200, deadline=None)
@given(page=sizes, sheet=sizes, folded=st.booleans(), unit=st.sampled_from(["mm", "in"]))
def test_a_proposed_page_goes_on_the_paper_and_keeps_its_shape(
    page: Size, sheet: Size, folded: bool, unit: str
) -> None:
    binding = Binding.SADDLE if folded else Binding.STAB
    advice = advise_trim(page, sheet, binding)
    near = mm("0.5")
    assert any(
        advice.trim.width <= panel.width + near and advice.trim.height <= panel.height + near
        for panel in panels_of(sheet, binding)
    )
    assert advice.scale <= 1
    if advice.trim is page:
        return
    shape = advice.trim.width.ratio(advice.trim.height) / page.width.ratio(page.height)
    assert abs(shape - 1) < 0.031
    smaller = runs_to_edge(page, advice, binding, None, unit)
    if smaller.trim.height > mm(30):
        assert smaller.trim.width < advice.panel.width and smaller.trim.height < advice.panel.height
        kept = smaller.trim.width.ratio(smaller.trim.height) / page.width.ratio(page.height)
        assert abs(kept - 1) < 0.001
        assert room_to_cut(smaller, binding)


def test_paper_that_no_printer_takes_is_not_offered() -> None:
    laser = Library().printer("office-laser-long-edge")
    assert takes(laser, A4) and takes(laser, A4.turned) and takes(None, Size(mm(900), mm(900)))
    assert not takes(laser, Size(mm(297), mm(420))) and not takes(laser, Size(mm(50), mm(80)))


def test_a_silent_asker_never_reads() -> None:
    choices = (Choice("a", "one"), Choice("b", "two"))
    assert Asker(silent=True).choose("?", choices, "b") == "b"
    with pytest.raises(ImposeError, match="none of the answers"):
        Asker().one_of("3", choices)
