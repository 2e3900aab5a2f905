"""The check line: 50 mm or 2 in on the front of every sheet, for printers that may fit pages."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
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


def test_presses_have_none_unless_asked(tmp_path: Path) -> None:
    out = _made(tmp_path, "--sheet", "sra3", "--printer", "digital press")
    plan = from_text((out / "plan.json").read_text())
    kinds = {
        m.kind for s in plan.sheets for _, side in s.sides for g in side.marks for m in g.marks
    }
    assert "registration" in kinds and "measure" not in kinds
