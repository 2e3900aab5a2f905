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


# -- the cover ------------------------------------------------------------------------------


def cover_through(
    folder: Path,
    capsys: pytest.CaptureFixture[str],
    places: dict[str, tuple[float, float]],
    bound_at: str,
) -> set[tuple[str, str]]:
    """Panels with a hole through their word, and the first hole named; panels of the outside,
    or with ` inside` after their name, of the inside."""
    book(folder / "p.pdf", {})
    for name, at in places.items():
        book(folder / f"{name}.pdf", {1: at}, pages=1)
    outside = [name for name in places if "inside" not in name]
    inner = [name for name in places if "inside" in name]
    art = ", ".join(f'{name} = "{name}.pdf"' for name in outside)
    within = ", ".join(f'{name.split()[0]} = "{name}.pdf"' for name in inner)
    job = folder / "job.toml"
    job.write_text(
        f'[book]\npages = ["p.pdf"]\ntrim = "a5"\n{STAB}"{bound_at}"\n[guts]\nsheet = "a3"\n'
        f'up = 1\n[holes]\npattern = "stab-4"\nat = {AT}\n[cover]\nstock = "cover-65lb"\n'
        'spine = "measured 6mm"\nsheet = "12in x 18in"\n'
        + (f"art = {{ {art} }}\n" if art else 'fill = "grey 30"\n')
        + (f"inside = {{ {within} }}\n" if within else "")
    )
    run(["check", str(job), "--json"])
    told = json.loads(capsys.readouterr().out)["findings"]
    said = [one["message"] for one in told if one["code"] == "cover-hole-through-matter"]
    return {(m.split(" on the ")[1].split()[0], m.split("(")[1].split(" f")[0]) for m in said}


@pytest.mark.parametrize(
    ("bound_at", "front", "back"),
    [("left", 12, WIDE - 12), ("right", WIDE - 12, 12)],
)
def test_holes_through_the_cover_are_found_on_both_faces(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], bound_at: str, front: float, back: float
) -> None:
    """The spine is at the left of the outside of a left-bound book's front, and 12 mm from it
    the holes; the insides are the other way round."""
    places = {"front": (front, HIGH - 30), "back": (back, HIGH - 60)}
    assert cover_through(tmp_path, capsys, places, bound_at) == {
        ("front", "30 mm"), ("back", "60 mm"),
    }  # fmt: skip
    away = {"front": (front, HIGH - 42), "back": (WIDE - back, HIGH - 60)}
    assert cover_through(tmp_path, capsys, away, bound_at) == set()
    inner = {"front inside": (back, HIGH - 120), "back inside": (back, HIGH - 30)}
    assert cover_through(tmp_path, capsys, inner, bound_at) == {("front", "120 mm")}


def test_a_cover_that_is_sewn_on_has_no_band_for_glue(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    cover_through(tmp_path, capsys, {"front": (70, 70)}, "left")
    out = tmp_path / "out"
    assert run(["make", str(tmp_path / "job.toml"), "--out", str(out), "--quiet"]) == 0
    plan = json.loads((out / "plan.json").read_text())
    assert plan["cover"]["glue_strip"] == 0
    assert "glue: no ink" not in (out / "plan.json").read_text()
