"""End to end: the command line makes a book, in process and as a process of its own."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

import pdfplumber
import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from impose.cli.main import run
from impose.plan.wire import from_text
from impose.units import Length

EXAMPLES = Path(__file__).parent.parent / "examples"
A5 = (Length.mm(148), Length.mm(210))


def numbered_pdf(path: Path, pages: int, size: tuple[Length, Length] = A5, first: int = 1) -> Path:
    """Pages with their number large in the middle."""
    width, height = (float(side.as_points) for side in size)
    canvas = Canvas(str(path), pagesize=(width, height), invariant=True)
    for number in range(first, first + pages):
        canvas.setFont("Helvetica", 60)
        canvas.drawCentredString(width / 2, height / 2, str(number))
        canvas.showPage()
    canvas.save()
    return path


def make(*arguments: object) -> int:
    return run(["make", *map(str, arguments), "--no-check"])


def words_on(path: Path) -> list[list[str]]:
    """The page numbers on each side of the sheets, left to right, by an independent reader."""
    with pdfplumber.open(path) as pdf:
        found = []
        for page in pdf.pages:
            chars = [c for c in page.chars if c["size"] > 40 or c["width"] > 20]
            chars.sort(key=lambda c: c["x0"])
            words: list[str] = []
            last = None
            for char in chars:
                if last is not None and char["x0"] - last < 5:
                    words[-1] += char["text"]
                else:
                    words.append(char["text"])
                last = char["x1"]
            found.append(words)
        return found


def test_a_saddle_zine_from_a_plain_pdf(tmp_path: Path) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 8)
    code = make(
        zine, "--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--out", tmp_path / "o"
    )
    assert code == 0
    assert words_on(tmp_path / "o" / "guts.pdf") == [["8", "1"], ["2", "7"], ["6", "3"], ["4", "5"]]
    pages = PdfReader(tmp_path / "o" / "guts.pdf").pages
    assert [float(v) for v in pages[0].mediabox] == pytest.approx(
        [0, 0, float(Length.mm(297).as_points), float(Length.mm(210).as_points)], abs=1e-3
    )


def test_right_bound_reads_the_other_way(tmp_path: Path) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 4)
    options = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--bound-at", "right"]
    assert make(zine, *options, "--out", tmp_path / "o") == 0
    assert words_on(tmp_path / "o" / "guts.pdf") == [["1", "4"], ["3", "2"]]


def test_plan_json_says_where_pages_lie_and_text_is_found_there(tmp_path: Path) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 16)
    options = ["--binding", "saddle", "--trim", "a5", "--sheet", "sra3", "--stock", "0.1mm"]
    assert make(zine, *options, "--out", tmp_path / "o") == 0
    data = json.loads((tmp_path / "o" / "plan.json").read_text(), parse_float=Decimal)
    with pdfplumber.open(tmp_path / "o" / "guts.pdf") as pdf:
        sides = [side for sheet in data["sheets"] for side in (sheet["front"], sheet["back"])]
        for page, side in zip(pdf.pages, sides, strict=True):
            for placement in side["placements"]:
                x0, y0, x1, y1 = map(float, placement["art"])
                box = (x0, float(page.height) - y1, x1, float(page.height) - y0)
                text = "".join(c["text"] for c in page.within_bbox(box).chars if c["size"] > 40)
                assert text == str(placement["page"])
                middle = [
                    (c["x0"] + c["x1"]) / 2 for c in page.within_bbox(box).chars if c["size"] > 40
                ]
                assert sum(middle) / len(middle) == pytest.approx((x0 + x1) / 2, abs=0.5)


def test_perfect_bound_guts_of_the_example_lie_on_the_binding_edge(tmp_path: Path) -> None:
    options = ["--binding", "perfect", "--trim", "5.5in x 8.5in", "--sheet", "letter"]
    assert make(EXAMPLES / "pages.pdf", *options, "--grind", "1/8in", "--out", tmp_path) == 0
    sheets = json.loads((tmp_path / "plan.json").read_text())["sheets"]
    assert sheets[0]["front"]["placements"][0]["trim"] == [9, 90, 405, 702]
    assert sheets[0]["back"]["placements"][0]["trim"] == [207, 90, 603, 702]


def test_the_same_job_twice_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one", "two"):
        assert make(EXAMPLES / "zine.toml", "--out", tmp_path / name) == 0
    for file in ("guts.pdf", "plan.json"):
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "two" / file).read_bytes()


def test_plan_json_read_back_is_a_plan(tmp_path: Path) -> None:
    assert make(EXAMPLES / "sections.toml", "--out", tmp_path) == 0
    plan = from_text((tmp_path / "plan.json").read_text())
    assert [page for page in plan.reading_order() if page] == list(range(1, 25))


@pytest.mark.parametrize("name", ["zine", "perfect", "sections"])
def test_every_example_job_is_made_as_a_process(name: str, tmp_path: Path) -> None:
    environment = {**os.environ, "COLUMNS": "100"}
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "impose",
            "make",
            str(EXAMPLES / f"{name}.toml"),
            "--out",
            str(tmp_path),
        ],
        capture_output=True,
        text=True,
        env=environment,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert str(tmp_path / "guts.pdf") in done.stdout
    assert "Traceback" not in done.stderr
    if shutil.which("qpdf"):
        subprocess.run(
            ["qpdf", "--check", str(tmp_path / "guts.pdf")], check=True, capture_output=True
        )


def test_check_writes_nothing_and_speaks_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 6)
    monkeypatch.chdir(tmp_path)
    code = run(
        ["check", "zine.pdf", "--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--json"]
    )
    found = json.loads(capsys.readouterr().out)["findings"]
    assert code == 0
    assert {"blanks-added", "back-cover-blank"} <= {finding["code"] for finding in found}
    assert [path.name for path in tmp_path.iterdir()] == [zine.name]


def test_strict_makes_warnings_count(tmp_path: Path) -> None:
    zine = numbered_pdf(tmp_path / "zine.pdf", 6)
    options = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--out", str(tmp_path / "o")]
    assert make(zine, *options) == 0
    assert make(zine, *options, "--strict") == 1


class TestBadInput:
    """Each mistake: clear words with both numbers, the right exit code, nothing written."""

    def refused(
        self, capsys: pytest.CaptureFixture[str], code: int, out: Path, *arguments: object
    ) -> str:
        assert make(*arguments, "--out", out) == code
        words = capsys.readouterr().err
        assert "Traceback" not in words
        assert not list(out.glob("*")) if out.exists() else True
        return words

    def test_missing_file(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        words = self.refused(capsys, 3, tmp_path / "o", tmp_path / "no.pdf", "--binding", "saddle")
        assert "no.pdf" in words

    def test_not_a_pdf(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        (tmp_path / "a.pdf").write_text("no PDF at all")
        words = self.refused(capsys, 3, tmp_path / "o", tmp_path / "a.pdf", "--binding", "saddle")
        assert "a.pdf" in words

    def test_page_size(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        pages = numbered_pdf(tmp_path / "a4.pdf", 4, (Length.mm(210), Length.mm(297)))
        options = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4"]
        words = self.refused(capsys, 2, tmp_path / "o", pages, *options)
        assert "210 x 297 mm" in words and "148 x 210 mm" in words and "--fit scale" in words

    def test_page_range(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        numbered_pdf(tmp_path / "a.pdf", 4)
        words = self.refused(
            capsys, 2, tmp_path / "o", f"{tmp_path}/a.pdf[3-9]", "--binding", "saddle"
        )
        assert "3-9" in words and "the file has 4" in words

    def test_trim_larger_than_the_sheet(
        self, tmp_path: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        pages = numbered_pdf(tmp_path / "a.pdf", 4)
        options = ["--binding", "saddle", "--trim", "a5", "--sheet", "a5"]
        words = self.refused(capsys, 2, tmp_path / "o", pages, *options)
        assert "296 x 210 mm" in words and "148 x 210 mm" in words

    def test_bare_number(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        pages = numbered_pdf(tmp_path / "a.pdf", 4)
        words = self.refused(
            capsys, 2, tmp_path / "o", pages, "--binding", "saddle", "--bleed", "3"
        )
        assert "unit" in words and "mm" in words

    def test_output_over_an_input(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        guts = numbered_pdf(tmp_path / "guts.pdf", 4)
        before = guts.read_bytes()
        assert make(guts, "--binding", "saddle", "--sheet", "a4", "--out", tmp_path) == 4
        assert "input" in capsys.readouterr().err
        assert guts.read_bytes() == before


def test_scaled_and_centred_pages_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pages = numbered_pdf(tmp_path / "a4.pdf", 4, (Length.mm(210), Length.mm(297)))
    options = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4"]
    for fit, word in (("scale", "scaled to 70.5%"), ("centre", "centred")):
        assert make(pages, *options, "--fit", fit, "--out", tmp_path / fit) == 0
        assert word in capsys.readouterr().err


def test_a_second_proof_shows_a_bad_day_at_the_cutter(tmp_path: Path) -> None:
    """Every cut off by the tolerance in the cutter's profile; the true proof stays."""
    source = numbered_pdf(tmp_path / "p.pdf", 8)
    out = tmp_path / "out"
    arguments = ["--binding", "saddle", "--trim", "a5", "--sheet", "sra3", "--out", out]
    assert make(source, *arguments, "--drift", "--only", "proof", "--quiet") == 0
    assert {p.name for p in out.iterdir()} == {"proof.pdf", "proof-drift.pdf"}
    with pdfplumber.open(out / "proof-drift.pdf") as pdf:
        assert "cuts off by 0.5 mm" in pdf.pages[1].extract_text()
    with pdfplumber.open(out / "proof.pdf") as pdf:
        assert "cuts off" not in pdf.pages[1].extract_text()


def test_drift_without_a_proof_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = numbered_pdf(tmp_path / "p.pdf", 8)
    arguments = ["--binding", "saddle", "--trim", "a5", "--sheet", "sra3", "--out", tmp_path / "o"]
    assert make(source, *arguments, "--drift", "--only", "guts") == 2
    assert "--drift asks for a proof" in capsys.readouterr().err


@pytest.mark.parametrize(("shown", "pages"), [("spreads", 5), ("single pages", 8)])
def test_the_proof_in_spreads_or_single_pages(tmp_path: Path, shown: str, pages: int) -> None:
    source = numbered_pdf(tmp_path / "p.pdf", 8)
    out = tmp_path / "out"
    arguments = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--out", out]
    assert make(source, *arguments, "--proof", shown, "--only", "proof", "--quiet") == 0
    assert len(PdfReader(out / "proof.pdf").pages) == pages


BENCH_FAULTS = {
    "clamp-too-low": ("clamp_opening", "0.2mm", "perfect", "a5"),
    "cutter-too-narrow": ("widest", "100mm", "perfect", "a5"),
    "waste-too-narrow": ("waste_min", "60mm", "perfect", "a5"),
}


@pytest.mark.parametrize("code", BENCH_FAULTS)
def test_what_the_cutter_cannot_do_is_found_with_both_numbers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], code: str
) -> None:
    key, value, binding, trim = BENCH_FAULTS[code]
    source = numbered_pdf(tmp_path / "p.pdf", 20)
    folder = tmp_path / "profiles" / "cutters"
    folder.mkdir(parents=True)
    figures = {"widest": "500mm", "gauge_min": "20mm", "gauge_max": "500mm",
               "clamp_opening": "60mm", "waste_min": "2mm"} | {key: value}  # fmt: skip
    lines = [f'{name} = "{figure}"' for name, figure in figures.items()]
    (folder / "small.toml").write_text("\n".join(['kind = "cutter"', 'name = "Small"', *lines]))
    job = tmp_path / "job.toml"
    job.write_text(
        f'[book]\npages = ["{source.name}"]\nbinding = "{binding}"\ntrim = "{trim}"\n'
        '[guts]\nsheet = "a4"\nup = 1\nstock = { caliper = "0.1mm" }\n'
        '[bench]\ncutter = "small"\n'
    )
    arguments = ["make", str(job), "--out", str(tmp_path / "o"), "--no-check", "--json"]
    assert run(arguments) == (0 if code == "waste-too-narrow" else 1)
    findings = json.loads(capsys.readouterr().out)["findings"]
    (found, *_) = [finding for finding in findings if finding["code"] == code]
    assert value.removesuffix("mm") + " mm" in found["message"]
    assert found["message"].count(" mm") >= 2


def test_nothing_to_trim_and_no_cutter_are_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = numbered_pdf(tmp_path / "p.pdf", 8)
    out = tmp_path / "o"
    arguments = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--out", out]
    assert make(source, *arguments, "--json") == 0
    codes = {f["code"] for f in json.loads(capsys.readouterr().out)["findings"]}
    assert {"no-cut", "hand-cutter-assumed"} <= codes
    assert ",Trim the head," not in (out / "cuts.csv").read_text()
