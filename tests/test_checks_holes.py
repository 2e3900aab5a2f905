"""No hole goes through live matter: pages looked at and judged, by every side that is bound."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from reportlab.pdfgen.canvas import Canvas

from impose.cli.main import run

MM = 72 / 25.4
WIDE, HIGH = 148.0, 210.0
AT = '["30mm", "60mm", "120mm"]'


def book(path: Path, marks: dict[int, tuple[float, float]], pages: int = 4) -> None:
    """Pages with one word each: in the middle, or (page, from 1) at a place in mm from the left
    and from the foot, which is the middle of the word."""
    canvas = Canvas(str(path), pagesize=(WIDE * MM, HIGH * MM), invariant=1)
    for page in range(1, pages + 1):
        x, y = marks.get(page, (WIDE / 2, HIGH / 2))
        canvas.setFont("Helvetica", 8)
        canvas.drawCentredString(x * MM, y * MM - 3, "word")
        canvas.showPage()
    canvas.save()


def through(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    marks: dict[int, tuple[float, float]],
    more: str,
    holes: str = f'pattern = "stab-4"\nat = {AT}',
) -> dict[tuple[int, ...], str]:
    """Pages with a hole through their word, and what is said."""
    book(folder / "p.pdf", marks)
    job = folder / "job.toml"
    job.write_text(
        f'[book]\npages = ["p.pdf"]\ntrim = "a5"\n{more}\n[guts]\nsheet = "a3"\nup = 1\n'
        f"[holes]\n{holes}\n"
    )
    code = run(["check", str(job), "--json"])
    told = json.loads(capsys.readouterr().out)["findings"]
    found = {
        tuple(one["pages"]): one["message"] for one in told if one["code"] == "hole-through-matter"
    }
    assert (code == 1) or not found
    return found


STAB = 'binding = "stab"\nbound_at = '


@pytest.mark.parametrize(
    ("bound_at", "recto", "verso"),
    [
        # The first hole is 30 mm from the head and 12 mm from the spine, which is the left side
        # of a recto and the right side of a verso; the other way round when right-bound.
        ("left", (12, HIGH - 30), (WIDE - 12, HIGH - 30)),
        ("right", (WIDE - 12, HIGH - 30), (12, HIGH - 30)),
        # Head-bound: the spine is the recto's head and the verso's foot, and the book's head
        # lies at the right of both as they are read.
        ("head", (WIDE - 30, HIGH - 12), (WIDE - 30, 12)),
    ],
)
def test_the_hole_is_where_the_paper_is_pierced(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    bound_at: str,
    recto: tuple[float, float],
    verso: tuple[float, float],
) -> None:
    more = f'{STAB}"{bound_at}"'
    found = through(tmp_path, capsys, {1: recto, 4: verso}, more)
    assert set(found) == {(1,), (4,)} or set(found) == {(1, 4)}
    assert all("hole 1 (30 mm from the head)" in words for words in found.values())
    # The same words 10 mm further along the spine are in no hole.
    along = (10, 0) if bound_at == "head" else (0, -10)
    moved = [(place[0] - along[0], place[1] + along[1]) for place in (recto, verso)]
    assert through(tmp_path, capsys, {1: moved[0], 4: moved[1]}, more) == {}


def test_holes_on_a_fold_go_through_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = through(
        tmp_path, capsys, {1: (3, HIGH / 2), 3: (3, HIGH - 25)}, 'binding = "saddle"',
        'pattern = "pamphlet-3"',
    )  # fmt: skip
    assert found == {}


def test_a_wide_row_of_holes_names_those_that_go_through(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wire at three to the inch has a hole every 8.467 mm, 2.5 to 6.5 mm from the spine."""
    found = through(
        tmp_path, capsys, {3: (6, HIGH - 16.1)}, 'binding = "punched"', 'pattern = "wire-3-1"'
    )
    assert "hole 2 (16.1 mm from the head)" in found[3,]
    assert "the holes reach to 6.5 mm" in found[3,]
