"""Made bleed, rendered: the strip beyond the trim goes on with the art, the inside stays."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from PIL import Image, ImageChops
from pypdf import PdfReader
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from impose.cli.main import run
from impose.plan.parts import Placement, Sheet
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.units import Length

#: One point is three pixels; trims lie on whole points here, so that strips lie on whole pixels.
SCALE = 3
WIDE, HIGH = 240, 360
TRIM = f"{WIDE}pt x {HIGH}pt"
BLEED = 9
LOOSE = ["--trim", TRIM, "--binding", "loose", "--up", "1", "--sheet", "400pt x 500pt",
         "--make-bleed", "mirror"]  # fmt: skip


def picture() -> Image.Image:
    """A gradient across and up, so that a reflection is seen in each place."""
    image = Image.new("RGB", (240, 360))
    image.putdata([(x, (y * 255) // 360, 128) for y in range(360) for x in range(240)])
    return image


def source(path: Path, faces: list[str], rotate: int = 0) -> Path:
    """One page for each word: full, plain, top (art at the head only), vector, inset."""
    canvas = Canvas(str(path), pagesize=(WIDE, HIGH), invariant=True)
    for number, face in enumerate(faces, start=1):
        if face == "full":
            canvas.drawImage(ImageReader(picture()), 0, 0, WIDE, HIGH)
        elif face == "top":
            canvas.setFillColorRGB(0.8, 0.2, 0.2)
            canvas.rect(60, HIGH - 90, 120, 90, stroke=0, fill=1)
        elif face == "vector":
            canvas.setFillColorRGB(0.1, 0.3, 0.7)
            canvas.rect(0, 0, WIDE, HIGH, stroke=0, fill=1)
            canvas.setFillColorRGB(1, 0.9, 0.2)
            canvas.circle(WIDE, HIGH / 2, 60, stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.setFont("Helvetica", 30)
        canvas.drawCentredString(WIDE / 2, HIGH / 2, str(number))
        canvas.showPage()
    canvas.save()
    if rotate:
        turned = path.with_name(f"turned{rotate}.pdf")
        with pikepdf.open(path) as pdf:
            for page in pdf.pages:
                page.rotate(rotate, relative=False)
            pdf.save(turned)
        return turned
    return path


def made(
    folder: Path, faces: list[str], way: str, **options: str
) -> tuple[Plan, list[Image.Image]]:
    """The plan, and the sides of the sheets in pixels."""
    rotate = int(options.pop("rotate", "0"))
    pages = source(folder / "p.pdf", faces, rotate)
    trim = TRIM if rotate in (0, 180) else f"{HIGH}pt x {WIDE}pt"
    asked = {"binding": "loose", "up": "1", "sheet": "400pt x 500pt"} | options
    out = folder / way.replace(" ", "")
    arguments = [word for name, value in asked.items() for word in (f"--{name}", value)]
    code = run(["make", str(pages), "--trim", trim, "--bleed", f"{BLEED}pt", *arguments,
                "--make-bleed", way, "--out", str(out), "--quiet"])  # fmt: skip
    assert code in (0, 1)
    plan = from_text((out / "plan.json").read_text())
    with pypdfium2.PdfDocument(out / "guts.pdf") as pdf:
        images = [page.render(scale=SCALE).to_pil().convert("RGB") for page in pdf]
    return plan, images


def sides_of(plan: Plan) -> list[tuple[Sheet, Any]]:
    return [(sheet, side) for sheet in plan.sheets for _, side in sheet.sides]


def crop(image: Image.Image, sheet: Sheet, box: tuple[float, float, float, float]) -> Image.Image:
    """A box of the side in points, its origin at the lower left."""
    high = float(sheet.size.height.as_points)
    x0, y0, x1, y1 = box
    left, upper, right, lower = (round(n * SCALE) for n in (x0, high - y1, x1, high - y0))
    return image.crop((left, upper, right, lower))


def corners(placement: Placement) -> tuple[float, float, float, float]:
    trim = placement.trim
    return tuple(float(n.as_points) for n in (trim.x0, trim.y0, trim.x1, trim.y1))  # type: ignore[return-value]


def unlike(one: Image.Image, other: Image.Image) -> int:
    """The largest difference of a channel anywhere."""
    assert one.size == other.size
    return max(high for _, high in ImageChops.difference(one, other).getextrema())


@pytest.mark.parametrize("options", [
    {},
    {"bound-at": "right"},
    {"binding": "saddle", "up": "2", "sheet": "600pt x 450pt"},
    {"binding": "saddle", "up": "4", "sheet": "640pt x 900pt"},
    {"rotate": "90", "sheet": "500pt x 400pt"},
    {"rotate": "180"},
    {"rotate": "270", "sheet": "500pt x 400pt"},
])  # fmt: skip
def test_the_mirrored_strip_continues_the_art(tmp_path: Path, options: dict[str, str]) -> None:
    """Each strip beside a trim is the reflection of the strip within it; the inside is the
    same to the pixel as without."""
    faces = ["full"] * 8
    plan, images = made(tmp_path, faces, "mirror", **options)
    (tmp_path / "other").mkdir()
    _, plain = made(tmp_path / "other", faces, "as supplied", **options)
    strips = 0
    for (sheet, side), image, before in zip(sides_of(plan), images, plain, strict=True):
        for placement in side.placements:
            x0, y0, x1, y1 = corners(placement)
            inside = crop(image, sheet, (x0, y0, x1, y1))
            assert unlike(inside, crop(before, sheet, (x0, y0, x1, y1))) == 0
            bleed = placement.bleed.edges(placement.spine_at, placement.upside_down)
            for name, flip, box, across in (
                ("left", Image.Transpose.FLIP_LEFT_RIGHT, (x0 - BLEED, y0, x0, y1), 1),
                ("right", Image.Transpose.FLIP_LEFT_RIGHT, (x1, y0, x1 + BLEED, y1), 1),
                ("bottom", Image.Transpose.FLIP_TOP_BOTTOM, (x0, y0 - BLEED, x1, y0), 0),
                ("top", Image.Transpose.FLIP_TOP_BOTTOM, (x0, y1, x1, y1 + BLEED), 0),
            ):
                if getattr(bleed, name) < Length.points(BLEED):
                    continue
                shift = BLEED if name in ("left", "bottom") else -BLEED
                a, b, c, d = box
                twin = (a + shift * across, b + shift * (1 - across),
                        c + shift * across, d + shift * (1 - across))  # fmt: skip
                strip = crop(image, sheet, box)
                assert unlike(strip, crop(image, sheet, twin).transpose(flip)) <= 8
                strips += 1
    assert strips >= 16


def test_corners_are_reflected_about_both_lines(tmp_path: Path) -> None:
    plan, images = made(tmp_path, ["full", "full"], "mirror")
    (sheet, side), image = sides_of(plan)[0], images[0]
    _, _, x1, y1 = corners(side.placements[0])
    corner = crop(image, sheet, (x1, y1, x1 + BLEED, y1 + BLEED))
    twin = crop(image, sheet, (x1 - BLEED, y1 - BLEED, x1, y1))
    assert unlike(corner, twin.transpose(Image.Transpose.ROTATE_180)) <= 8
    assert len(side.strips) == 8


def test_stretched_strips_carry_the_colour_of_the_edge(tmp_path: Path) -> None:
    plan, images = made(tmp_path, ["full", "vector"], "stretch")
    (sheet, side), image = sides_of(plan)[0], images[0]
    x0, y0, x1, y1 = corners(side.placements[0])
    for step in range(BLEED):
        strip = crop(image, sheet, (x1 + step, y0, x1 + step + 1, y1))
        assert unlike(strip, crop(image, sheet, (x1 - 1, y0, x1, y1))) <= 8
    _, plain = made_again(tmp_path, ["full", "vector"])
    inside = (x0, y0, x1, y1)
    assert unlike(crop(image, sheet, inside), crop(plain[0], sheet, inside)) == 0


def made_again(folder: Path, faces: list[str]) -> tuple[Plan, list[Image.Image]]:
    other = folder / "plain"
    other.mkdir()
    return made(other, faces, "as supplied")


def test_only_sides_that_need_it(tmp_path: Path) -> None:
    """Art at the head alone, and a page without art at its edges."""
    plan, images = made(tmp_path, ["top", "plain"], "mirror")
    (sheet, front), (_, back) = sides_of(plan)
    assert len(front.strips) == 1 and not back.strips
    x0, y0, x1, y1 = corners(front.placements[0])
    assert crop(images[0], sheet, (x0, y1, x1, y1 + BLEED)).getextrema()[0][0] < 230
    y2, y3 = y0 + 2, y1 - 2  # crop marks begin on the trim's own lines
    below = (x0 + 2, y0 - BLEED, x1 - 2, y0)
    for box in ((x0 - BLEED, y2, x0, y3), (x1, y2, x1 + BLEED, y3), below):
        assert crop(images[0], sheet, box).getextrema() == ((255, 255),) * 3
    notes = {f.code: f for f in plan.findings}
    assert notes["bleed-made"].pages == (1,) and "(head)" in notes["bleed-made"].message
    assert "white-edge" not in notes


def test_nothing_is_made_unless_asked(tmp_path: Path) -> None:
    plan, _ = made(tmp_path, ["full", "top"], "as supplied")
    assert not any(side.strips for _, side in sides_of(plan))
    edges = [f for f in plan.findings if f.code == "white-edge"]
    assert edges and all('make_bleed = "mirror"' in f.hint for f in edges)


def test_vectors_stay_vectors_and_the_page_is_one_form(tmp_path: Path) -> None:
    made(tmp_path, ["vector", "vector"], "mirror")
    reader = PdfReader(tmp_path / "mirror" / "guts.pdf")
    for page in reader.pages:
        forms = page["/Resources"]["/XObject"]
        assert not [f for f in forms.values() if f.get_object()["/Subtype"] == "/Image"]
        drawn = (
            {f.idnum for name, f in forms.raw_items() if name.startswith("/P")}
            if hasattr(forms, "raw_items")
            else {forms.raw_get(n).idnum for n in forms if n.startswith("/P")}
        )
        assert len(drawn) == 1


def test_partial_bleed_goes_on_from_where_the_art_ends(tmp_path: Path) -> None:
    """A page with 9 pt of bleed whose art ends 3 pt beyond the trim: reflected about that line."""
    path = tmp_path / "p.pdf"
    canvas = Canvas(str(path), pagesize=(WIDE + 18, HIGH + 18), invariant=True)
    for _ in range(2):
        canvas.setTrimBox((9, 9, 9 + WIDE, 9 + HIGH))
        canvas.drawImage(ImageReader(picture()), 6, 6, WIDE + 6, HIGH + 6)
        canvas.showPage()
    canvas.save()
    out = tmp_path / "out"
    run(["make", str(path), *LOOSE, "--bleed", "9pt", "--out", str(out), "--quiet"])
    plan = from_text((out / "plan.json").read_text())
    sheet, side = sides_of(plan)[0]
    _, y0, x1, y1 = corners(side.placements[0])
    assert {round(float(s.clip.x0.as_points) - x1, 3) for s in side.strips
            if s.clip.x0 > side.placements[0].trim.x1} == {3.0}  # fmt: skip
    with pypdfium2.PdfDocument(out / "guts.pdf") as pdf:
        image = pdf[0].render(scale=SCALE).to_pil().convert("RGB")
    strip = crop(image, sheet, (x1 + 3, y0, x1 + 9, y1))
    twin = crop(image, sheet, (x1 - 3, y0, x1 + 3, y1)).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    assert unlike(strip, twin) <= 8


def test_the_proof_is_the_same_book(tmp_path: Path) -> None:
    """What the knife leaves is not changed by what lies outside the trim."""
    made(tmp_path, ["full", "top", "vector", "plain"], "mirror", binding="saddle", up="2",
         sheet="600pt x 450pt")  # fmt: skip
    (tmp_path / "other").mkdir()
    made(tmp_path / "other", ["full", "top", "vector", "plain"], "as supplied", binding="saddle",
         up="2", sheet="600pt x 450pt")  # fmt: skip
    both = []
    for proof in (
        tmp_path / "mirror" / "proof.pdf",
        tmp_path / "other" / "assupplied" / "proof.pdf",
    ):
        with pypdfium2.PdfDocument(proof) as pdf:
            both.append([page.render(scale=1).to_pil().convert("RGB") for page in pdf])
    for one, other in zip(*both, strict=True):
        assert unlike(one, other) == 0


def test_it_is_told_on_ticket_and_in_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pages = source(tmp_path / "p.pdf", ["full", "plain"])
    out = tmp_path / "out"
    run(["make", str(pages), *LOOSE, "--out", str(out), "--json", "--no-check"])
    codes = [f["code"] for f in json.loads(capsys.readouterr().out)["findings"]]
    assert "bleed-made" in codes
    ticket = " ".join(page.extract_text() for page in PdfReader(out / "ticket.pdf").pages)
    assert "made from the pages themselves" in " ".join(ticket.split())
    plan = from_text((out / "plan.json").read_text())
    bleeds = {p.bleed.head for _, side in sides_of(plan) for p in side.placements if p.page == 1}
    assert bleeds == {Length.mm(3)}  # the usual bleed, where none was named
