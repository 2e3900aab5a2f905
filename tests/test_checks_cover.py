"""What lies on the cover's art: each fault found on a real PDF, and its harmless twin silent."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from reportlab.pdfgen.canvas import Canvas
from test_make import numbered_pdf

from impose.cli.main import run
from impose.units import Length

MM = float(Length.mm(1).as_points)
#: A5 pages, a spine of 8 mm, bleed of 3 mm round the open cover.
PANEL, HIGH, SPINE, BLEED = 148 * MM, 210 * MM, 8 * MM, 3 * MM
WIDE, TALL = PANEL * 2 + SPINE, HIGH
Draw = Callable[[Canvas], None]


def art(path: Path, draw: Draw, wide: float = WIDE) -> Path:
    """One page of art; its origin is the trim's lower left."""
    canvas = Canvas(str(path), pagesize=(wide + 2 * BLEED, TALL + 2 * BLEED), invariant=True)
    canvas.setTrimBox((BLEED, BLEED, BLEED + wide, BLEED + TALL))
    canvas.translate(BLEED, BLEED)
    draw(canvas)
    canvas.showPage()
    canvas.save()
    return path


def found(
    folder: Path, draw: Draw, inside: bool = False, more: str = ""
) -> dict[str, dict[str, Any]]:
    """The findings about the cover by code, through the command line."""
    numbered_pdf(folder / "pages.pdf", 40)
    art(folder / "outside.pdf", draw if not inside else background)
    lines = '\ninside = "inside.pdf"' if inside else ""
    if inside:
        art(folder / "inside.pdf", draw)
    job = folder / "job.toml"
    job.write_text(
        '[book]\npages = ["pages.pdf"]\nbinding = "perfect"\ntrim = "a5"\n'
        '[guts]\nsheet = "a4"\nup = 1\nstock = { caliper = "0.1mm" }\n'
        f'[cover]\nart = "outside.pdf"{lines}\nsheet = "sra3"\nspine = "measured 8mm"\n{more}'
    )
    text = io.StringIO()
    with contextlib.redirect_stdout(text):
        run(["check", str(job), "--json"])
    listed = json.loads(text.getvalue())["findings"]
    codes = ("cover-cut-off", "cover-may-be-cut", "cover-hinge", "spine-text", "spine-thin",
             "cover-glue-ink")  # fmt: skip
    return {one["code"]: one for one in listed if one["code"] in codes}


def background(canvas: Canvas) -> None:
    canvas.setFillGray(0.8)
    canvas.rect(-BLEED, -BLEED, WIDE + 2 * BLEED, TALL + 2 * BLEED, stroke=0, fill=1)
    canvas.setFillGray(0)


def words(x: float, y: float, text: str = "PELLANTINE", size: float = 12) -> Draw:
    def draw(canvas: Canvas) -> None:
        background(canvas)
        canvas.setFont("Helvetica", size)
        canvas.drawString(x * MM, y * MM, text)

    return draw


def spine_words(size: float) -> Draw:
    """Along the spine, in the middle of it."""

    def draw(canvas: Canvas) -> None:
        background(canvas)
        canvas.setFont("Helvetica", size)
        canvas.translate(PANEL + SPINE / 2, 60 * MM)
        canvas.rotate(90)
        canvas.drawString(0, -0.36 * size, "THE LIGHTS")

    return draw


def test_words_near_the_outer_edges(tmp_path: Path) -> None:
    one = found(tmp_path, words(30, 1.5))["cover-may-be-cut"]
    assert one["side"] == "foot" and one["severity"] == "warning"
    assert '"PELLANTINE"' in one["message"] and "3.175 mm is safe" in one["message"]
    off = found(tmp_path, words(-1, 50))["cover-cut-off"]
    assert off["side"] == "fore-edge" and off["severity"] == "error"
    assert not found(tmp_path, words(30, 10))


def test_words_too_large_for_the_spine(tmp_path: Path) -> None:
    one = found(tmp_path, spine_words(26))["spine-text"]
    assert "8 mm wide" in one["message"] and "about 1.588 mm is clear" in one["message"]
    assert "spine-text" not in found(tmp_path, spine_words(9))


def test_how_far_spine_words_keep_clear_is_a_setting(tmp_path: Path) -> None:
    assert not found(tmp_path, spine_words(15))
    assert found(tmp_path, spine_words(15), more='spine_text_clear = "3mm"\n')["spine-text"]


def test_small_words_on_a_hinge(tmp_path: Path) -> None:
    """The hinge is pressed 1/4 in, 6.35 mm, from the spine edge."""
    beside = (PANEL + SPINE) / MM + 3
    one = found(tmp_path, words(beside, 60, "Vol. 3"))["cover-hinge"]
    assert "6.35 mm from the spine" in one["message"]
    assert not found(tmp_path, words(beside + 10, 60, "Vol. 3"))


def test_a_title_across_the_whole_cover_is_meant_so(tmp_path: Path) -> None:
    assert not found(tmp_path, words(20, 60, "THE LIGHTS OF PELLANTINE", 48))


def test_ink_where_the_glue_holds(tmp_path: Path) -> None:
    """The band is the spine and 3/16 in beside it: 8 mm + 2 x 4.7625 mm."""
    one = found(tmp_path, background, inside=True)["cover-glue-ink"]
    assert "17.525 mm where the glue holds" in one["message"]

    def two_panels(canvas: Canvas) -> None:
        canvas.setFillGray(0.5)
        canvas.rect(20 * MM, 20 * MM, 100 * MM, 100 * MM, stroke=0, fill=1)

    assert not found(tmp_path, two_panels, inside=True)


def test_words_on_a_spine_thinner_than_the_job_allows(tmp_path: Path) -> None:
    """The limit is a setting: 8 mm is wide enough, unless the job says otherwise."""
    draw = words(148 + 2.5, 100, "I", 8)
    assert "spine-thin" not in found(tmp_path, draw)
    one = found(tmp_path, draw, more='thin_spine = "10mm"\n')["spine-thin"]
    assert "8 mm wide" in one["message"] and "under 10 mm" in one["message"]
