"""The check line: 50 mm or 2 in on the front of every sheet, for printers that may fit pages."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
from reportlab.lib.pagesizes import A5, landscape
from reportlab.pdfgen.canvas import Canvas
from test_make import numbered_pdf

from impose.cli.main import run
from impose.plan.wire import from_text


def _made(tmp_path: Path, *more: str) -> Path:
    numbered_pdf(tmp_path / "p.pdf", 8)
    out = tmp_path / "out"
    arguments = ["--binding", "saddle", "--trim", "a5", "--out", str(out), "--no-check", "--quiet"]
    assert run(["make", str(tmp_path / "p.pdf"), *arguments, *more]) == 0
    return out


@pytest.mark.parametrize(("unit", "points"), [("mm", 50 / 25.4 * 72), ("in", 144.0)])
def test_its_length_is_what_it_says(tmp_path: Path, unit: str, points: float) -> None:
    """Read from the written sheets by an independent reader."""
    out = _made(tmp_path, "--sheet", "sra4", "--units", unit)
    with pdfplumber.open(out / "guts.pdf") as pdf:
        for number, page in enumerate(pdf.pages):
            words = page.extract_text()
            said = {"mm": "50 mm at actual size", "in": "2 in at actual size"}[unit]
            longs = [ln for ln in page.lines if abs(ln["width"] - points) < 0.001
                     or abs(ln["height"] - points) < 0.001]  # fmt: skip
            assert (said in words) == (number % 2 == 0)
            assert len(longs) == (1 if number % 2 == 0 else 0)


def test_a_sheet_without_room_says_so(tmp_path: Path) -> None:
    out = _made(tmp_path, "--sheet", "a4")
    plan = from_text((out / "plan.json").read_text())
    assert [f.code for f in plan.findings if f.code == "check-line-no-room"]


@pytest.mark.parametrize("bound_at", ["left", "right", "head"])
def test_without_room_the_words_of_a_page_are_the_ruler(tmp_path: Path, bound_at: str) -> None:
    """Told as an independent reader measures them on the written sheet."""
    upright = bound_at == "head"
    canvas = Canvas(str(tmp_path / "p.pdf"), pagesize=landscape(A5) if upright else A5)
    for number in range(8):
        canvas.drawString(40, 100, "Tide table")
        canvas.drawString(150 + number, 200, "of the outer harbour of Pellantine")
        canvas.showPage()
    canvas.save()
    out = tmp_path / "out"
    trim = "210mm x 148mm" if upright else "a5"
    options = ["--binding", "saddle", "--trim", trim, "--sheet", "a4", "--bound-at", bound_at]
    assert run(["make", str(tmp_path / "p.pdf"), *options, "--out", str(out), "--quiet"]) == 0
    plan = from_text((out / "plan.json").read_text())
    (told,) = [f for f in plan.findings if f.code == "measure-words"]
    page = int(told.numbers["page"])
    with pdfplumber.open(tmp_path / "p.pdf") as pdf:
        chars = pdf.pages[page - 1].chars
        reach = (max(c["x1"] for c in chars) - min(c["x0"] for c in chars)) * 25.4 / 72
    long = str(told.numbers["length"])
    assert abs(float(long.removesuffix(" mm")) - reach) < 0.6
    (front,) = plan.sheets[0].front.placements[:1]
    assert page in {p.page for p in plan.sheets[0].front.placements} and front.page
    with pdfplumber.open(out / "ticket.pdf") as pdf:
        words = " ".join(" ".join((p.extract_text() or "") for p in pdf.pages).split())
    assert f"Measure on page {page} from the letter farthest left" in words and long in words


def test_backs_in_a_file_of_their_own_have_the_line_too(tmp_path: Path) -> None:
    out = _made(tmp_path, "--sheet", "sra4", "--printing", "one side at a time")
    for name in ("guts-fronts.pdf", "guts-backs.pdf"):
        with pdfplumber.open(out / name) as pdf:
            for page in pdf.pages:
                sides = [max(ln["width"], ln["height"]) for ln in page.lines]
                assert [n for n in sides if abs(n - 50 / 25.4 * 72) < 0.001], name


def test_covers_have_it_too(tmp_path: Path) -> None:
    """On the outside, clear of everything else; said where there is no room."""
    numbered_pdf(tmp_path / "p.pdf", 8)
    options = ["--binding", "perfect", "--trim", "a5", "--sheet", "a4", "--no-check", "--quiet"]
    for size, drawn in (("a3", True), ("300mm x 214mm", False)):
        job = tmp_path / "job.toml"
        job.write_text(
            f'[book]\npages = ["p.pdf"]\n[cover]\nsheet = "{size}"\nstock = "cover-65lb"\n'
            'spine = "measured 3mm"\nfill = "grey 30"\n'
        )
        out = tmp_path / size.replace(" ", "")
        assert run(["make", str(job), *options, "--out", str(out)]) == 0
        with pdfplumber.open(out / "cover.pdf") as pdf:
            page = pdf.pages[0]
            longs = [
                ln for ln in page.lines
                if abs(max(ln["width"], ln["height"]) - 50 / 25.4 * 72) < 0.001
            ]  # fmt: skip
        assert bool(longs) is drawn
        codes = {f.code: f.message for f in from_text((out / "plan.json").read_text()).findings}
        assert ("check line" in codes.get("cover-mark-no-room", "")) is not drawn


def test_presses_have_none_unless_asked(tmp_path: Path) -> None:
    out = _made(tmp_path, "--sheet", "sra3", "--printer", "small press")
    plan = from_text((out / "plan.json").read_text())
    kinds = {
        m.kind for s in plan.sheets for _, side in s.sides for g in side.marks for m in g.marks
    }
    assert "registration" in kinds and "measure" not in kinds
