"""Several covers on one sheet, the whole way: written, read by others, cut apart, in the proof.

What is compared was read from the written files by independent readers
(pdfplumber for words and lines, pdfium for pixels), never from the plan's values.
"""

from __future__ import annotations

import csv
import json
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from PIL import Image, ImageChops
from reportlab.pdfgen.canvas import Canvas
from test_make import numbered_pdf

from impose.cli.main import run
from impose.errors import PlanMismatchError
from impose.pdf.verifypieces import check_alike
from impose.units import Length

MM = Length.mm
#: What independent readers, with their 32-bit floats, are held to, in points.
CLOSE = 0.01


def points(length: Length) -> float:
    return float(length.as_points)


def art(path: Path, width: Length, height: Length, word: str) -> None:
    """A page of art with 3 mm of bleed: a field that reaches the bleed, a word in its middle."""
    bleed = points(MM(3))
    w, h = points(width), points(height)
    canvas = Canvas(str(path), pagesize=(w + 2 * bleed, h + 2 * bleed), invariant=1)
    canvas.setFillColorCMYK(0.2, 0.5, 0, 0)
    canvas.rect(0, 0, w + 2 * bleed, h + 2 * bleed, fill=1, stroke=0)
    canvas.setFillColorCMYK(0, 0, 0, 1)
    canvas.setFont("Helvetica", 14)
    canvas.drawCentredString(bleed + w * 0.3, bleed + h / 2, word)
    canvas.save()


WIDE_MM = """
[book]
title = "Ferry Tales"
pages = ["pages.pdf"]
trim = "a5"
binding = "perfect"
bound_at = "{bound}"
copies = 25
[guts]
stock = {{ grammage = "80gsm", caliper = "0.1mm" }}
sheet = "b2"
printer = "large-press"
overs = 3
[cover]
art = {{ back = "back.pdf", front = "front.pdf" }}
inside = "inside.pdf"
stock = {{ grammage = "250gsm", caliper = "0.3mm", grain = "short" }}
sheet = "b1"
spine = "measured 7mm"
flaps = "60mm"
up = "2 x 2"
gutter = "5mm"
[bench]
cutter = "guillotine-hydraulic"
creaser = "valley-creaser"
"""
INCHES = """
[book]
title = "Ferry Tales"
pages = ["pages.pdf"]
trim = "5.5in x 8.5in"
binding = "perfect"
bound_at = "{bound}"
copies = 25
[guts]
stock = {{ caliper = "0.004in" }}
sheet = "letter"
[cover]
art = "front.pdf"
inside = "inside.pdf"
stock = {{ caliper = "0.012in", grain = "long" }}
sheet = "20in x 26in"
spine = "measured 1/4in"
up = 2
[bench]
creaser = "valley-creaser"
"""


class Made:
    """A job that was made into a folder, and what is read from its files."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        told = json.loads((folder / "plan.json").read_text(), parse_float=Decimal)
        self.plan: dict[str, Any] = told
        self.cover: dict[str, Any] = told["cover"]
        self.boxes = [[float(n) for n in box] for box in self.cover["pieces"]["boxes"]]

    def on(self, page: Any, side: int) -> list[list[float]]:
        """The pieces as they lie on a side, from where the words of the art were found."""
        if side == 0:
            return self.boxes
        sheet = next(s for s in self.plan["sheets"] if s["role"] == "cover")
        width, height = float(page.width), float(page.height)
        if sheet["turned"] == "about horizontal":
            return [[x0, height - y1, x1, height - y0] for x0, y0, x1, y1 in self.boxes]
        return [[width - x1, y0, width - x0, y1] for x0, y0, x1, y1 in self.boxes]


@pytest.fixture(scope="module", params=["mm left", "mm right", "in left"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Made:
    unit, bound = request.param.split()
    folder = tmp_path_factory.mktemp("covers")
    if unit == "mm":
        width, height, text = MM(148), MM(210), WIDE_MM
        art(folder / "back.pdf", width, height, "BACKWORD")
        art(folder / "front.pdf", width, height, "FRONTWORD")
        art(folder / "inside.pdf", width * 2 + MM(127), height, "INSIDEWORD")
    else:
        width, height, text = Length.inches("5.5"), Length.inches("8.5"), INCHES
        wide = width * 2 + Length.inches("1/4")
        art(folder / "front.pdf", wide, height, "FRONTWORD")
        art(folder / "inside.pdf", wide, height, "INSIDEWORD")
    numbered_pdf(folder / "pages.pdf", 16, (width, height))
    (folder / "job.toml").write_text(text.format(bound=bound))
    out = folder / "out"
    code = run(["make", str(folder / "job.toml"), "--out", str(out), "--quiet"])
    assert code in (0, 1)
    return Made(out)


def places_of(page: Any, letter: str) -> list[tuple[float, float]]:
    """Where a letter of the art stands, which is larger than the words of the marks: its left
    end and its foot, from the lower left of the page."""
    found = [c for c in page.chars if c["size"] > 12 and c["text"] == letter]
    return sorted((c["x0"], float(page.height) - c["bottom"]) for c in found)


def test_every_cover_shows_the_same_word_at_the_same_place_of_its_piece(made: Made) -> None:
    with pdfplumber.open(made.folder / "cover.pdf") as pdf:
        assert len(pdf.pages) == 2
        for side, letter in ((0, "F"), (1, "S")):
            page = pdf.pages[side]
            places = places_of(page, letter)
            boxes = made.on(page, side)
            assert len(places) == len(boxes)
            inner = []
            for x0, y0, x1, y1 in boxes:
                (here,) = [p for p in places if x0 <= p[0] <= x1 and y0 <= p[1] <= y1]
                inner.append((here[0] - x0, here[1] - y0))
            for x, y in inner:
                assert x == pytest.approx(inner[0][0], abs=CLOSE)
                assert y == pytest.approx(inner[0][1], abs=CLOSE)


def test_score_marks_of_every_cover_stand_at_the_distances_of_the_list(made: Made) -> None:
    """Measured on the written sheet from the edges where cuts.csv parts the covers."""
    cover = made.cover
    ends = (0.0, float(cover["paper"][0]))
    if cover["cut_first"]:
        ends = float(cover["trim"][0]), float(cover["trim"][2])
    steps = [step for step in made.plan["score_steps"] if step["kind"] == "score"]
    assert len(steps) == (6 if cover["cut_first"] else 4)
    with pdfplumber.open(made.folder / "cover.pdf") as pdf:
        page = pdf.pages[0]
        upright = [
            (line["x0"], float(page.height) - line["bottom"])
            for line in page.lines
            if abs(line["x0"] - line["x1"]) < CLOSE
        ]
    for x0, y0, x1, y1 in made.boxes:
        here = {x for x, y in upright if x0 <= x <= x1 and y0 <= y <= y1}
        for step in steps:
            at_right = (step["at_stop"] == "front") == (cover["front_at"] == "right")
            distance = float(step["distance"])
            x = x0 + (ends[1] - distance if at_right else ends[0] + distance)
            assert any(abs(x - found) < CLOSE for found in here), step["title"]


def test_the_covers_look_alike_where_the_knife_leaves_them(made: Made) -> None:
    """Both sides at 72 dpi, each piece's printed part against the first."""
    trim = [float(n) for n in made.cover["trim"]]
    with pypdfium2.PdfDocument(made.folder / "cover.pdf") as pdf:
        for side in range(2):
            page = pdf[side]
            image = page.render(scale=1).to_pil().convert("RGB")
            height = page.get_height()
            boxes = [[x0 + trim[0], y0 + trim[1], x0 + trim[2], y0 + trim[3]]
                     for x0, y0, _, _ in made.boxes]  # fmt: skip
            if side == 1:
                back = Made(made.folder)
                back.boxes = boxes
                with pdfplumber.open(made.folder / "cover.pdf") as other:
                    boxes = back.on(other.pages[1], 1)
            cut = [_crop(image, box, height) for box in boxes]
            for one in cut[1:]:
                # a part of a pixel: pieces need not begin on whole points
                off = ImageChops.difference(cut[0], one).convert("L").point(lambda v: v > 90)
                dark = off.histogram()[255] if len(off.histogram()) > 255 else 0
                assert dark <= 0.01 * off.width * off.height


def _crop(image: Image.Image, box: list[float], height: float) -> Image.Image:
    x0, y0, x1, y1 = box
    left, top = round(x0) + 1, round(height - y1) + 1
    return image.crop((left, top, left + int(x1 - x0) - 2, top + int(y1 - y0) - 2))


def test_the_cut_list_parts_the_covers_before_anything_is_scored(made: Made) -> None:
    with (made.folder / "cuts.csv").open(newline="", encoding="utf-8-sig") as file:
        table = list(csv.DictReader(file))
    phases = [row["phase"] for row in table]
    first = phases.index("before scoring")
    last = len(phases) - 1 - phases[::-1].index("before scoring")
    assert set(phases[first : last + 1]) == {"before scoring"}
    assert "after binding" not in phases[: last + 1]
    words = " ".join(" ".join(str(v) for v in row.values()) for row in table[first : last + 1])
    assert "cover sheets" in words and "The covers are apart" in words


def test_the_proof_has_the_first_cover_and_the_ticket_says_the_order(made: Made) -> None:
    with pdfplumber.open(made.folder / "proof.pdf") as pdf:
        text = " ".join(page.extract_text() for page in pdf.pages)
    assert "FRONTWORD" in text
    with pdfplumber.open(made.folder / "ticket.pdf") as pdf:
        ticket = re.sub(r"\s+", " ", pdf.pages[0].extract_text() or "")
    assert "cut the covers apart" in ticket
    up = len(made.boxes)
    assert f"print {-(-25 // up)} sheets" in ticket


def test_the_report_draws_the_whole_sheet(made: Made) -> None:
    html = (made.folder / "report.html").read_text()
    pieces = made.cover["pieces"]
    assert f"{len(made.boxes)} up ({pieces['columns']} x {pieces['rows']}" in html


def test_the_same_job_gives_the_same_bytes(made: Made, tmp_path: Path) -> None:
    job = made.folder.parent / "job.toml"
    out = tmp_path / "again"
    run(["make", str(job), "--out", str(out), "--quiet", "--only", "cover"])
    assert (out / "cover.pdf").read_bytes() == (made.folder / "cover.pdf").read_bytes()


def test_a_cover_that_is_another_is_found_when_the_file_is_read_back() -> None:
    boxes = [(0, 0, 100, 100), (100, 0, 200, 100)]
    first = (b"7", ((10, 10, 90, 90), b"1 0 0 1", 5, 5))
    alike = (b"7", ((110, 10, 190, 90), b"1 0 0 1", 105, 5))
    check_alike([first, alike], boxes, "sheet 1, front")
    for other in (
        (b"8", alike[1]),
        (b"7", ((110, 10, 190, 90), b"1 0 0 1", 106, 5)),
        (b"7", ((111, 10, 190, 90), b"1 0 0 1", 105, 5)),
    ):
        with pytest.raises(PlanMismatchError, match="cover 2 is another than cover 1"):
            check_alike([first, other], boxes, "sheet 1, front")
    with pytest.raises(PlanMismatchError, match="on none of the covers"):
        check_alike([first, (b"7", ((90, 10, 190, 90), b"1 0 0 1", 105, 5))], boxes, "sheet")


def test_too_many_covers_end_with_the_exit_code_of_a_wrong_job(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    numbered_pdf(tmp_path / "pages.pdf", 8, (MM(148), MM(210)))
    (tmp_path / "job.toml").write_text(
        '[book]\npages = ["pages.pdf"]\ntrim = "a5"\nbinding = "perfect"\n'
        '[guts]\nstock = "0.1mm"\nsheet = "a4"\n[cover]\nsheet = "sra2"\nup = 8\n'
    )
    assert run(["make", str(tmp_path / "job.toml"), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "8 covers, each on a piece of" in said and "the most that fit are" in said
    assert not (tmp_path / "out" / "cover.pdf").exists()
