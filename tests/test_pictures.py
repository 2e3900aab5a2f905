"""Pictures, folders and spreads as pages, through the command line and read by other readers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageChops, ImageDraw
from reportlab.pdfgen.canvas import Canvas
from test_make import numbered_pdf

from impose.cli.main import run
from impose.errors import InputError
from impose.pdf import pictures
from impose.pdf.pictures import Laying, write_picture
from impose.pdf.prepare import natural_key

#: A6 at 150 dots to the inch, about.
DOTS = (620, 874)
CORNERS = {"red": (255, 0, 0), "green": (0, 160, 0), "blue": (0, 0, 255), "black": (0, 0, 0)}


def marked(size: tuple[int, int] = DOTS) -> Image.Image:
    """A light field with a corner of its own colour each: red upper left, then clockwise."""
    image = Image.new("RGB", size, (230, 230, 230))
    draw = ImageDraw.Draw(image)
    w, h = size
    a, b = w // 4, h // 6
    for colour, box in zip(
        CORNERS.values(),
        ((0, 0, a, b), (w - a, 0, w, b), (w - a, h - b, w, h), (0, h - b, a, h)),
        strict=True,
    ):
        draw.rectangle(box, fill=colour)
    return image


def make(folder: Path, *inputs: object, **options: str) -> Path:
    """The job's folder of results."""
    out = folder / "out"
    asked = {"binding": "perfect", "trim": "a6", "sheet": "a5", "up": "1"} | options
    more = [word for name, value in asked.items() for word in (f"--{name}", value)]
    assert run(["make", *map(str, inputs), *more, "--out", str(out), "--no-check", "--quiet"]) == 0
    with pikepdf.open(out / "guts.pdf") as pdf:
        assert not pdf.check_pdf_syntax() if hasattr(pdf, "check_pdf_syntax") else not pdf.check()
    return out


def proof(out: Path) -> list[Image.Image]:
    """The pages of the proof, one by one, trims alone."""
    found = []
    with pypdfium2.PdfDocument(out / "proof.pdf") as pdf:
        for page in pdf:
            left, bottom, right, top = (n * 2 for n in page.get_trimbox())
            image = page.render(scale=2).to_pil().convert("RGB")
            upper, lower = image.height - round(top), image.height - round(bottom)
            found.append(image.crop((round(left) + 3, upper + 3, round(right) - 3, lower - 3)))
    return found


def seen_corners(page: Image.Image) -> list[str]:
    """The colours of the corners, clockwise from the upper left."""
    w, h = page.size
    names = []
    for at in ((8, 8), (w - 9, 8), (w - 9, h - 9), (8, h - 9)):
        pixel = page.getpixel(at)
        names.append(min(CORNERS, key=lambda n: sum(abs(a - b) for a, b in zip(
            CORNERS[n], pixel, strict=True))))  # fmt: skip
    return names


CLOCKWISE = ["red", "green", "blue", "black"]


# -- formats ------------------------------------------------------------------------------


def saved(path: Path, mode: str, **how: Any) -> Path:
    image = marked()
    if mode == "P":
        image = image.quantize(16)
    elif mode == "I;16":
        image = Image.new("I;16", DOTS, 40000)
    elif mode == "CMYK":
        image = image.convert("CMYK")
    elif mode in ("RGBA", "LA"):
        image = image.convert(mode)
        image.putalpha(Image.new("L", DOTS, 128))
    elif mode != "RGB":
        image = image.convert(mode)
    image.save(path, dpi=(150, 150), **how)
    return path


FORMATS = [
    ("a.jpg", "RGB"), ("a.jpg", "L"), ("a.jpg", "CMYK"), ("a.png", "RGB"), ("a.png", "L"),
    ("a.png", "1"), ("a.png", "P"), ("a.png", "I;16"), ("a.png", "RGBA"), ("a.png", "LA"),
    ("a.tif", "RGB"), ("a.tif", "CMYK"), ("a.tif", "1"), ("a.tif", "L"), ("a.webp", "RGB"),
    ("a.webp", "RGBA"), ("a.gif", "P"), ("a.bmp", "RGB"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "mode"), FORMATS)
def test_every_format_and_mode_looks_as_it_was(tmp_path: Path, name: str, mode: str) -> None:
    path = saved(tmp_path / name, mode)
    out = make(tmp_path, path, proof="single pages")
    page = proof(out)[0]
    if mode == "I;16":
        assert abs(page.getpixel((50, 50))[0] - 40000 // 257) < 4
        return
    with Image.open(path) as opened:
        wanted = opened.convert("RGBA")
    white = Image.new("RGBA", DOTS, (255, 255, 255, 255))
    white.alpha_composite(wanted)
    inner = [3 * whole / (part + 6) for whole, part in zip(white.size, page.size, strict=True)]
    box = (inner[0], inner[1], white.width - inner[0], white.height - inner[1])
    small = [
        page.resize((60, 84), Image.Resampling.BOX),
        white.convert("RGB").resize((60, 84), Image.Resampling.BOX, box),
    ]
    # CMYK is converted by whoever shows it, each in its own way.
    most = 130 if mode == "CMYK" else 60
    assert max(high for _, high in ImageChops.difference(*small).getextrema()) < most


def test_jpeg_data_is_carried_untouched(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.jpg", "RGB", quality=80)
    out = make(tmp_path, path)
    with pikepdf.open(out / "guts.pdf") as pdf:
        streams = [o for o in pdf.objects if isinstance(o, pikepdf.Stream)
                   and o.get("/Subtype") == pikepdf.Name.Image]  # fmt: skip
        assert [s.read_raw_bytes() for s in streams] == [path.read_bytes()]


@pytest.mark.parametrize(("mode", "space"), [("CMYK", "/DeviceCMYK"), ("L", "/DeviceGray")])
@pytest.mark.parametrize("name", ["a.jpg", "a.tif"])
def test_cmyk_and_grey_are_kept(tmp_path: Path, name: str, mode: str, space: str) -> None:
    out = make(tmp_path, saved(tmp_path / name, mode))
    with pikepdf.open(out / "guts.pdf") as pdf:
        (image,) = [o for o in pdf.objects if isinstance(o, pikepdf.Stream)
                    and o.get("/Subtype") == pikepdf.Name.Image]  # fmt: skip
        assert image.ColorSpace == pikepdf.Name(space)


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_turn_that_a_camera_notes_is_respected(
    tmp_path: Path, orientation: int, name: str
) -> None:
    """The stored picture is the upright one with the note's turn taken back: all eight."""
    back = {
        1: None, 2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM, 5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90, 7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[orientation]  # fmt: skip
    image = marked() if back is None else marked().transpose(back)
    exif = Image.Exif()
    exif[0x0112] = orientation
    image.save(tmp_path / name, dpi=(150, 150), exif=exif)
    out = make(tmp_path, tmp_path / name, proof="single pages")
    assert seen_corners(proof(out)[0]) == CLOCKWISE


def test_every_page_of_a_tiff_is_a_page(tmp_path: Path) -> None:
    pages = [Image.new("L", DOTS, 40 * n) for n in range(1, 6)]
    pages[0].save(tmp_path / "fax.tif", save_all=True, append_images=pages[1:], dpi=(150, 150))
    out = make(tmp_path, tmp_path / "fax.tif", proof="single pages")
    assert [page.getpixel((30, 30))[0] // 40 for page in proof(out)[:5]] == [1, 2, 3, 4, 5]


def test_moving_pictures_give_their_first_and_say_so(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    frames = [Image.new("RGB", DOTS, (n, n, n)) for n in (10, 200)]
    frames[0].save(tmp_path / "a.gif", save_all=True, append_images=frames[1:])
    out = make(tmp_path, tmp_path / "a.gif", proof="single pages")
    assert proof(out)[0].getpixel((30, 30))[0] < 30
    findings = json.loads((out / "plan.json").read_text())["findings"]
    assert [f["code"] for f in findings if f["code"] == "picture-frames"]


# -- sizes ----------------------------------------------------------------------------------


def facts_of(path: Path, **laying: Any) -> Any:
    return write_picture(path, path.with_suffix(".pdf"), Laying(**laying))[0]


def test_the_resolution_as_printed_is_told(tmp_path: Path) -> None:
    out = make(tmp_path, saved(tmp_path / "a.jpg", "RGB"))
    findings = json.loads((out / "plan.json").read_text())["findings"]
    (told,) = [f for f in findings if f["code"] == "pictures-as-pages"]
    assert told["numbers"] == {"least": 150, "most": 150}


def test_a_camera_says_72_and_is_not_believed(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    marked().save(path, dpi=(72, 72))
    with pytest.raises(InputError, match=r"620 x 874 dots, and nothing that can be believed"):
        facts_of(path)
    assert facts_of(path, dpi=310).dots == 310


def test_pictures_cover_trim_and_bleed_when_asked(tmp_path: Path) -> None:
    """A square picture over A6 and 3 mm: its sides are cut off, 111 of 154 mm remain."""
    path = tmp_path / "square.png"
    marked((800, 800)).save(path)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = [{ file = "square.png", fit = "trim and bleed" }]\ntrim = "a6"\n'
        'binding = "perfect"\n[guts]\nsheet = "a5"\nup = 1\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    plan = json.loads((out / "plan.json").read_text())
    (told,) = [f for f in plan["findings"] if f["code"] == "picture-cropped"]
    assert "28%" in told["message"]
    (placed, *_) = plan["sheets"][0]["front"]["placements"]
    assert placed["bleed"]["head"] > 8.5  # 3 mm


def test_pictures_within_the_trim_keep_their_shape(tmp_path: Path) -> None:
    path = tmp_path / "square.png"
    Image.new("RGB", (800, 800), (0, 0, 0)).save(path, dpi=(200, 200))
    page = proof(make(tmp_path, path, proof="single pages"))[0]
    dark = page.convert("L").point(lambda level: 255 if level < 128 else 0).getbbox()
    assert dark is not None
    wide, high = dark[2] - dark[0], dark[3] - dark[1]
    assert abs(wide - high) <= 7 and wide >= page.width - 1


def test_without_a_trim_the_picture_is_the_page(tmp_path: Path) -> None:
    path = saved(tmp_path / "a.png", "RGB")
    out = tmp_path / "out"
    assert run(["make", str(path), "--binding", "perfect", "--sheet", "a5", "--up", "1", "--out",
                str(out), "--no-check", "--quiet"]) == 0  # fmt: skip
    width, height = json.loads((out / "plan.json").read_text())["trim_size"]
    assert abs(width - 620 * 72 / 150) < 0.1 and abs(height - 874 * 72 / 150) < 0.1


# -- folders, mixtures, spreads ------------------------------------------------------------


@given(st.lists(st.tuples(st.sampled_from("abp"), st.integers(0, 3000)), unique=True))
def test_numbers_in_names_count_as_numbers(parts: list[tuple[str, int]]) -> None:
    names = [f"{letter}{number}.jpg" for letter, number in parts]
    wanted = [f"{letter}{number}.jpg" for letter, number in sorted(parts)]
    assert sorted(names, key=natural_key) == wanted


def test_page2_comes_before_page10() -> None:
    names = ["Page 10.png", "page 2.png", "page 3b.png", "cover.png"]
    wanted = ["cover.png", "page 2.png", "page 3b.png", "Page 10.png"]
    assert sorted(names, key=natural_key) == wanted


def test_a_folder_in_natural_order_with_pdfs_among_pictures(tmp_path: Path) -> None:
    folder = tmp_path / "scans"
    folder.mkdir()
    for number in (1, 2, 10):
        Image.new("RGB", DOTS, (number * 20, 0, 0)).save(folder / f"page{number}.png")
    numbered_pdf(folder / "page3.pdf", 1)
    (folder / ".hidden.png").write_bytes(b"no picture")
    (folder / "notes.txt").write_text("x")
    out = make(tmp_path, folder, fit="scale", proof="single pages")
    pages = proof(out)
    reds = [page.getpixel((30, 30))[0] for page in pages]
    assert [round(red / 20) for red in (reds[0], reds[1], reds[3])] == [1, 2, 10]
    findings = {f["code"]: f for f in json.loads((out / "plan.json").read_text())["findings"]}
    assert "notes.txt" in findings["files-skipped"]["message"]
    assert json.loads((out / "plan.json").read_text())["files"] == [
        "page1.png", "page2.png", "page3.pdf", "page10.png"]  # fmt: skip


def test_an_empty_folder_is_an_error(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "empty").mkdir()
    code = run(["make", str(tmp_path / "empty"), "--binding", "saddle", "--trim", "a6", "--out",
                str(tmp_path / "out")])  # fmt: skip
    assert code == 3
    assert "holds no pictures and no PDFs" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("order", ["left to right", "right to left"])
def test_two_page_scans_become_single_pages(tmp_path: Path, order: str) -> None:
    """Two shades beside each other on each picture; the proof reads them one by one."""
    for sheet in range(2):
        image = Image.new("L", (DOTS[0] * 2, DOTS[1]))
        for half in range(2):
            shade = 40 * (2 * sheet + half + 1)
            image.paste(shade, (DOTS[0] * half, 0, DOTS[0] * (half + 1), DOTS[1]))
        image.save(tmp_path / f"scan{sheet}.png", dpi=(150, 150))
    job = tmp_path / "job.toml"
    job.write_text(
        f'[book]\npages = [{{ file = "scan0.png", spreads = "{order}" }}, '
        f'{{ file = "scan1.png", spreads = "{order}" }}]\ntrim = "a6"\nbinding = "saddle"\n'
        'proof = "single pages"\n[guts]\nsheet = "a5"\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    shades = [round(page.convert("L").getpixel((80, 80)) / 40) for page in proof(out)]
    assert shades == ([1, 2, 3, 4] if order == "left to right" else [2, 1, 4, 3])


@pytest.mark.parametrize("rotate", [0, 90, 180, 270])
def test_spreads_of_a_pdf_are_cut_without_touching_the_streams(tmp_path: Path, rotate: int) -> None:
    """Pairs of pages side by side as they are read, whatever /Rotate; a cover stays whole."""
    path = tmp_path / "spreads.pdf"
    canvas = Canvas(str(path), invariant=True)
    canvas.setPageSize((298, 420))
    canvas.setFont("Helvetica", 40)
    canvas.drawString(100, 200, "1")
    canvas.showPage()
    for pair in ((2, 3), (4, 5)):
        canvas.setPageSize((596, 420))
        canvas.setFont("Helvetica", 40)
        for half, number in enumerate(pair):
            canvas.drawString(100 + 298 * half, 200, str(number))
        canvas.showPage()
    canvas.save()
    if rotate:
        with pikepdf.open(path, allow_overwriting_input=True) as pdf:
            for page in pdf.pages:
                box = [float(n) for n in page.mediabox]
                turn = {90: (0, 1, -1, 0, box[3], 0), 180: (-1, 0, 0, -1, box[2], box[3]),
                        270: (0, -1, 1, 0, 0, box[2])}[rotate]  # fmt: skip
                page.contents_add(f"{' '.join(map(str, turn))} cm".encode(), prepend=True)
                if rotate != 180:
                    page.mediabox = [0, 0, box[3], box[2]]
                page.rotate(rotate, relative=False)
            pdf.save(path)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = [{ file = "spreads.pdf", spreads = true }]\ntrim = "298pt x 420pt"\n'
        'binding = "perfect"\nproof = "single pages"\n[guts]\nsheet = "a5"\nup = 1\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    with pypdfium2.PdfDocument(out / "proof.pdf") as pdf:
        words = [page.get_textpage().get_text_bounded(*page.get_trimbox()).strip() for page in pdf]
    assert words[:5] == ["1", "2", "3", "4", "5"]


def test_a_picture_as_cover_art(tmp_path: Path) -> None:
    """A5 at 300 dots to the inch: 1748 x 2480."""
    numbered_pdf(tmp_path / "p.pdf", 40)
    marked((1748, 2480)).save(tmp_path / "front.jpg", dpi=(300, 300))
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "perfect"\ntrim = "a5"\n[guts]\nsheet = "a4"\n'
        '[cover]\nart = { front = "front.jpg" }\nspine = "measured 5mm"\nsheet = "sra3"\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    assert "front.jpg" in json.loads((out / "plan.json").read_text())["files"]
    with pikepdf.open(out / "cover.pdf") as pdf:
        pictures = [o for o in pdf.objects if isinstance(o, pikepdf.Stream)
                    and o.get("/Subtype") == pikepdf.Name.Image]  # fmt: skip
        data = (tmp_path / "front.jpg").read_bytes()
        assert [one.read_raw_bytes() for one in pictures] == [data]


# -- broken -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.webp"])
def test_a_picture_cut_short_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    path = tmp_path / name
    Image.effect_noise(DOTS, 90).convert("RGB").save(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 3])
    arguments = ["make", str(path), "--binding", "saddle", "--trim", "a6", "--sheet", "a5"]
    assert run([*arguments, "--out", str(tmp_path / "out"), "--quiet"]) == 3
    said = capsys.readouterr().err
    assert str(path) in said and "Traceback" not in said
    assert not (tmp_path / "out").exists()


def test_what_is_no_picture_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.png").write_bytes(b"GIF89a nonsense")
    arguments = ["make", str(tmp_path / "a.png"), "--binding", "saddle", "--trim", "a6"]
    assert run([*arguments, "--out", str(tmp_path / "out")]) == 3
    assert "cannot be read as a picture" in capsys.readouterr().err


def test_a_small_file_that_is_a_huge_picture_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bomb.png"
    Image.new("1", (2000, 2000)).save(path)
    monkeypatch.setattr(pictures, "MOST_PIXELS", 1_000_000)
    with pytest.raises(InputError, match=r"2000 x 2000 dots are 4 million; 1 million is the limit"):
        facts_of(path, dpi=300)


def test_inputs_keep_their_bytes_and_nothing_is_left_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "temporary"
    place.mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(place))
    path = saved(tmp_path / "a.jpg", "RGB")
    before = path.read_bytes()
    make(tmp_path, path)
    assert path.read_bytes() == before
    assert not list(place.iterdir())
