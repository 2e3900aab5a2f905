"""Sheets written, looked at with independent readers."""

from __future__ import annotations

import hashlib
import shutil
import subprocess
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pdfplumber
import pikepdf
import pypdf
import pypdfium2
import pytest
from pdf_samples import (
    HEIGHT,
    SHEET,
    TRIM,
    WIDTH,
    Sample,
    crop_marks,
    figure,
    fit,
    layered,
    numbered,
    output_intents,
    place,
    plan_of,
    pt,
    slug,
    spot_colour,
    two_up,
    with_side,
)
from pikepdf import Array, Dictionary, Name, String
from PIL import Image, ImageChops

from impose.errors import OutputError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.sides import PageSides
from impose.geometry.turning import Turnover
from impose.pdf.read import Sources, open_sources
from impose.pdf.verify import verify_sheets
from impose.pdf.write import write_sheets
from impose.plan.parts import MarkGroup, Sheet, Side
from impose.plan.plan import Plan
from impose.units import Length


def write(plan: Plan, sources: Sources, target: Path, role: str = "guts") -> tuple[Finding, ...]:
    """Written and read back, as every delivery is."""
    said = write_sheets(plan, sources, target, role)
    verify_sheets(plan, sources, target, role)
    return said


def made(folder: Path, *files: Path, **options: object) -> Path:
    """A two-up file of all pages of the inputs."""
    target = folder / "guts.pdf"
    with open_sources(files) as sources:
        write(two_up(sources.facts, **options), sources, target)  # type: ignore[arg-type]
    return target


def operators(page: pikepdf.Page) -> bytes:
    """The content of a page, its streams joined."""
    page.contents_coalesce()
    return bytes(page.Contents.read_bytes())


def render(path: Path, page: int, dots: int = 144) -> Image.Image:
    with pypdfium2.PdfDocument(path) as pdf:
        return pdf[page].render(scale=dots / 72).to_pil().convert("RGB")


def differing(one: Image.Image, other: Image.Image, threshold: int = 40) -> int:
    """How many pixels differ clearly."""
    assert one.size == other.size
    difference = ImageChops.difference(one, other).convert("L")
    return sum(difference.point(lambda value: 255 if value > threshold else 0).histogram()[255:])


def forms_in(pdf: pikepdf.Pdf) -> list[pikepdf.Object]:
    return [obj for obj in pdf.objects if isinstance(obj, pikepdf.Stream) and "/BBox" in obj]


def crop(image: Image.Image, x: float, y: float, size: Size, dots: int = 144) -> Image.Image:
    """The part of a rendered sheet where a trim lies (points from the lower left)."""
    scale = dots / 72
    left, top = x * scale, image.height - (y + float(size.height.as_points)) * scale
    width, height = float(size.width.as_points) * scale, float(size.height.as_points) * scale
    return image.crop((round(left), round(top), round(left + width), round(top + height)))


# -- where things lie -------------------------------------------------------------------


def test_independent_readers_find_the_pages_where_the_plan_has_them(tmp_path: Path) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 8), shift=pt("1.2345678"))
    with pdfplumber.open(target) as pdf:
        assert len(pdf.pages) == 4
        for index, page in enumerate(pdf.pages):
            moved = 1.2345678 * (index // 2)
            big = [char for char in page.chars if char["size"] > 50]
            assert [char["text"] for char in big] == [str(2 * index + 1), str(2 * index + 2)]
            for char, x in zip(big, (45 + moved, 255 - moved), strict=True):
                assert char["matrix"][4] == pytest.approx(x + 60, abs=0.001)
                assert char["matrix"][5] == pytest.approx(50 + 130, abs=0.001)


def test_boxes_of_a_side(tmp_path: Path) -> None:
    bleed = PageSides.all(pt(5))
    target = made(
        tmp_path,
        numbered(tmp_path / "a.pdf", 3),
        change=lambda one: replace(one, bleed=bleed if one.page else PageSides()),
    )
    page = pypdf.PdfReader(target).pages[0]
    assert [float(v) for v in page.mediabox] == [0, 0, 500, 400]
    assert [float(v) for v in page.trimbox] == [45, 50, 455, 350]
    assert [float(v) for v in page.bleedbox] == [40, 45, 460, 355]
    back = pypdf.PdfReader(target).pages[1]
    assert [float(v) for v in back.trimbox] == [45, 50, 455, 350]
    assert [float(v) for v in back.bleedbox] == [40, 45, 455, 355]


def test_the_bleed_box_ends_at_the_sheet(tmp_path: Path) -> None:
    with open_sources([numbered(tmp_path / "a.pdf", 1)]) as sources:
        one = place(1, pt(0), pt(50), bleed=PageSides.all(pt(9)))
        sheet = Sheet(1, SHEET, Turnover.ABOUT_VERTICAL, Side((one,)), Side(()))
        plan = plan_of([fit(sources.facts[0], 1)], [sheet], ["a.pdf"])
        write(plan, sources, tmp_path / "o.pdf")
    front, back = pypdf.PdfReader(tmp_path / "o.pdf").pages
    assert [float(v) for v in front.bleedbox] == [0, 41, 209, 359]
    assert [float(v) for v in back.trimbox] == [0, 0, 500, 400]


@pytest.mark.parametrize("rotate", [0, 90, 180, -90])
@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_page_looks_as_in_its_file_in_every_turn(tmp_path: Path, rotate: int, turn: int) -> None:
    """Odd origin, UserUnit, /Rotate and the plan's turn together, against the source's picture."""
    sample = Sample()
    unit = 1.25
    x, y = -30, 17
    media = Array([x, y, x + WIDTH, y + HEIGHT])
    sample.numbered(1, x, y, MediaBox=media, Rotate=rotate, UserUnit=unit)
    source = sample.save(tmp_path / "a.pdf")
    upright = (HEIGHT, WIDTH) if rotate % 180 else (WIDTH, HEIGHT)
    size = Size(*(pt(Fraction(side) * Fraction(unit)) for side in upright))
    laid = size.turned if turn % 180 else size
    with open_sources([source]) as sources:
        one = place(1, pt(36), pt(18), turn=turn, size=laid)
        sheet = Sheet(1, Size(pt(450), pt(432)), Turnover.ABOUT_VERTICAL, Side((one,)), Side(()))
        plan = plan_of([fit(sources.facts[0], 1)], [sheet], ["a.pdf"])
        write(plan, sources, tmp_path / "o.pdf")
    wanted = render(source, 0, round(144 * unit)).rotate(turn, expand=True)
    found = crop(render(tmp_path / "o.pdf", 0), 36, 18, laid)
    wanted = wanted.resize(found.size) if wanted.size != found.size else wanted
    assert differing(wanted, found) < 150


def test_a_scaled_page(tmp_path: Path) -> None:
    scale = Fraction(2, 3)
    size = Size(TRIM.width * scale, TRIM.height * scale)
    with open_sources([numbered(tmp_path / "a.pdf", 1)]) as sources:
        one = place(1, pt(30), pt(40), size=size)
        sheet = Sheet(1, SHEET, Turnover.ABOUT_VERTICAL, Side((one,)), Side(()))
        plan = plan_of([fit(sources.facts[0], 1, scale=scale)], [sheet], ["a.pdf"])
        write(plan, sources, tmp_path / "o.pdf")
    with pdfplumber.open(tmp_path / "o.pdf") as pdf:
        (char,) = pdf.pages[0].chars
    wanted = (2 / 3, 0, 0, 2 / 3, 30 + 60 * 2 / 3, 40 + 130 * 2 / 3)
    assert char["matrix"] == pytest.approx(wanted, abs=0.001)


def test_art_is_clipped_at_trim_and_bleed(tmp_path: Path) -> None:
    sample = Sample()
    sample.page(b"0 0 1 rg -50 -50 500 500 re f", MediaBox=Array([-50, -50, 250, 350]),
                TrimBox=Array([0, 0, WIDTH, HEIGHT]))  # fmt: skip
    source = sample.save(tmp_path / "a.pdf")
    bleed = PageSides(head=pt(10), foot=pt(0), spine=pt(0), fore_edge=pt(20))
    with open_sources([source]) as sources:
        one = place(1, pt(100), pt(50), bleed=bleed)
        sheet = Sheet(1, SHEET, Turnover.ABOUT_VERTICAL, Side((one,)), Side(()))
        write(plan_of([fit(sources.facts[0], 1)], [sheet], ["a.pdf"]), sources, tmp_path / "o.pdf")
    image = render(tmp_path / "o.pdf", 0, 72)
    inked = ImageChops.invert(image.convert("L")).getbbox()
    assert inked == (100, 400 - 360, 320, 400 - 50)


def test_a_content_that_ends_in_the_middle_hurts_nothing_after_it(tmp_path: Path) -> None:
    sample = Sample()
    sample.page(b"q 1 0 0 1 50 50 cm q 0.5 g 0 0 20 20 re W n BT /F1 5 Tf (open")
    sample.page(b"Q Q Q Q 1 0 0 1 9 9 cm")
    sample.numbered(3)
    sample.numbered(4)
    source = sample.save(tmp_path / "a.pdf")
    target = made(tmp_path, source)
    plain = made(tmp_path, numbered(tmp_path / "b.pdf", 4))
    assert differing(render(target, 1), render(plain, 1)) == 0
    clean = crop(render(plain, 0), 45, 50, TRIM)
    marks_only = ImageChops.difference(render(target, 0), render(plain, 0))
    left = marks_only.crop((0, 0, marks_only.width, 90))
    assert left.getbbox() is None and clean.getbbox() is not None


def test_blanks_draw_nothing(tmp_path: Path) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 1), marks=MarkGroup())
    with pikepdf.Pdf.open(target) as pdf:
        first, second = (operators(page) for page in pdf.pages)
    assert first.count(b" Do ") == 1
    assert b" Do" not in second


def test_a_page_placed_often_is_one_form(tmp_path: Path) -> None:
    with open_sources([numbered(tmp_path / "a.pdf", 2)]) as sources:
        placements = tuple(place(1, pt(45 + 210 * k), pt(50)) for k in (0, 1))
        sheets = [
            Sheet(k, SHEET, Turnover.ABOUT_VERTICAL, Side(placements), Side(placements))
            for k in (1, 2)
        ]
        plan = plan_of([fit(sources.facts[0], 1), fit(sources.facts[0], 2)], sheets, ["a.pdf"])
        write(plan, sources, tmp_path / "o.pdf")
    pdf = pikepdf.Pdf.open(tmp_path / "o.pdf")
    contents = {page.Contents.objgen for page in pdf.pages}
    assert len(forms_in(pdf)) == 1 and len(contents) == 1


def test_many_sides_hang_in_a_balanced_tree(tmp_path: Path) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 300))
    pdf = pikepdf.Pdf.open(target)
    assert len(pdf.pages) == 150
    assert pdf.Root.Pages.Count == 150
    assert max(len(kid.Kids) for kid in pdf.Root.Pages.Kids) <= 64
    text = [page.extract_text() for page in pypdf.PdfReader(target).pages[148:]]
    assert "297" in text[0] and "300" in text[1]


# -- what is carried, what is not -------------------------------------------------------


def raw_streams(path: Path) -> set[bytes]:
    pdf = pikepdf.Pdf.open(path)
    return {bytes(o.read_raw_bytes()) for o in pdf.objects if isinstance(o, pikepdf.Stream)}


def coloured(path: Path) -> Path:
    """Two pages with a spot colour, an ICC profile, a JPEG, and everything that must go."""
    sample = Sample()
    pdf = sample.pdf
    profile = sample.stream(b"not really a profile" * 20, N=3, Alternate=Name.DeviceRGB)
    jpeg = pikepdf.Stream(pdf, b"\xff\xd8\xff\xe0 stands for a picture \xff\xd9")
    jpeg.update(
        {
            "/Type": Name.XObject,
            "/Subtype": Name.Image,
            "/Width": 1,
            "/Height": 1,
            "/ColorSpace": Name.DeviceRGB,
            "/BitsPerComponent": 8,
            "/Filter": Name.DCTDecode,
        }
    )
    resources = Dictionary(
        Font=Dictionary(F1=sample.font),
        ColorSpace=Dictionary(S=spot_colour(pdf), I=Array([Name.ICCBased, profile])),
        XObject=Dictionary(Im=jpeg),
    )
    for number in (1, 2):
        sample.page(
            b"/S cs 1 scn 0 0 50 50 re f /I cs 1 0 0 scn 60 0 50 50 re f " + figure(number),
            Resources=resources,
            Thumb=pikepdf.Stream(pdf, b"thumb"),
            AA=Dictionary(O=Dictionary(S=Name.JavaScript, JS=String("app.alert(1)"))),
            B=Array([]),
        )
    first = pdf.pages[0].obj
    root = pdf.Root
    root.OutputIntents = output_intents(pdf, "FOGRA51")
    root.OpenAction = Array([first, Name.Fit])
    root.Names = Dictionary(
        JavaScript=Dictionary(
            Names=Array([String("x"), Dictionary(S=Name.JavaScript, JS=String("app.alert(2)"))])
        )
    )
    root.Outlines = pdf.make_indirect(
        Dictionary(First=pdf.make_indirect(Dictionary(Title=String("one"), Dest=Array([first]))))
    )
    root.Metadata = pikepdf.Stream(pdf, b"<x:xmpmeta>secret</x:xmpmeta>", Type=Name.Metadata)
    pdf.trailer["/AdditionalStreams"] = Array([pikepdf.Stream(pdf, b"the office file")])
    with pdf.open_metadata(set_pikepdf_as_editor=False):
        pass
    pdf.docinfo["/Author"] = String("Nobody")
    pdf.docinfo["/CreationDate"] = String("D:20200101000000Z")
    return sample.save(path)


def test_streams_are_carried_byte_for_byte(tmp_path: Path) -> None:
    source = coloured(tmp_path / "a.pdf")
    pdf = pikepdf.Pdf.open(source)
    page = pdf.pages[0].obj
    wanted = {
        bytes(stream.read_raw_bytes())
        for stream in (
            page.Contents,
            pdf.pages[1].obj.Contents,
            page.Resources.XObject.Im,
            page.Resources.ColorSpace.I[1],
        )
    }
    assert wanted <= raw_streams(made(tmp_path, source))


def test_colours_intents_and_names_of_inks_survive(tmp_path: Path) -> None:
    target = made(tmp_path, coloured(tmp_path / "a.pdf"))
    pdf = pikepdf.Pdf.open(target)
    resources = pdf.pages[0].Resources.XObject.P1.Resources
    space = resources.ColorSpace.S
    assert space[0] == Name.Separation and str(space[1]) == "/Deep#20Red"
    assert resources.ColorSpace.I[0] == Name.ICCBased
    (intent,) = pdf.Root.OutputIntents
    assert str(intent.OutputConditionIdentifier) == "FOGRA51"
    assert intent.DestOutputProfile.read_bytes() == b"profile"


def test_only_the_whitelist_is_left_of_the_catalogue(tmp_path: Path) -> None:
    target = made(tmp_path, coloured(tmp_path / "a.pdf"), title="A (fine) title \u00e9")
    pdf = pikepdf.Pdf.open(target)
    assert set(pdf.Root.keys()) == {"/Type", "/Pages", "/OutputIntents"}
    assert set(pdf.trailer.Info.keys()) == {"/Title", "/Producer"}
    assert str(pdf.trailer.Info.Title) == "A (fine) title \u00e9"
    assert "/AdditionalStreams" not in pdf.trailer
    everything = b"".join(obj.unparse(True) for obj in pdf.objects)
    for word in (b"/JavaScript", b"/OpenAction", b"/Outlines", b"/Names", b"/Annots", b"/Thumb"):
        assert word not in everything
    assert len([obj for obj in pdf.objects if b"/Type /Page " in obj.unparse(True)]) == 2
    assert not {b"thumb", b"the office file"} & raw_streams(target)


def test_layers_of_one_file_survive_as_they_are(tmp_path: Path) -> None:
    source = layered(tmp_path / "a.pdf", "Notes", 1, hidden=True)
    target = made(tmp_path, source)
    pdf = pikepdf.Pdf.open(target)
    (group,) = pdf.Root.OCProperties.OCGs
    assert str(group.Name) == "Notes"
    used = pdf.pages[0].Resources.XObject.P1.Resources.Properties.L
    assert used.is_same_object_as(group)
    assert pdf.Root.OCProperties.D.OFF[0].is_same_object_as(group)
    blank = crop(render(target, 0), 45, 50, TRIM)
    assert blank.convert("L").getextrema() == (255, 255)


def test_layers_of_several_files_are_joined_each_in_its_state(tmp_path: Path) -> None:
    hidden = layered(tmp_path / "a.pdf", "Hidden", 1, hidden=True)
    shown = layered(tmp_path / "b.pdf", "Shown", 2, hidden=False)
    with pikepdf.Pdf.open(shown, allow_overwriting_input=True) as pdf:
        pdf.Root.OCProperties.D.BaseState = Name.OFF
        pdf.Root.OCProperties.D.ON = Array(list(pdf.Root.OCProperties.OCGs))
        pdf.save(shown)
    target = made(tmp_path, hidden, shown, marks=MarkGroup())
    pdf = pikepdf.Pdf.open(target)
    config = pdf.Root.OCProperties.D
    assert [str(group.Name) for group in pdf.Root.OCProperties.OCGs] == ["Hidden", "Shown"]
    assert [str(group.Name) for group in config.ON] == ["Shown"]
    assert [str(group.Name) for group in config.OFF] == ["Hidden"]
    assert len(config.Order) == 2
    image = render(target, 0)
    assert crop(image, 45, 50, TRIM).convert("L").getextrema() == (255, 255)
    assert crop(image, 255, 50, TRIM).convert("L").getextrema() == (0, 255)


def test_the_first_output_intent_wins_and_a_difference_is_said(tmp_path: Path) -> None:
    files = []
    for name, condition in (("a", "FOGRA51"), ("b", "FOGRA51"), ("c", "SWOP")):
        sample = Sample()
        sample.numbered(1)
        sample.pdf.Root.OutputIntents = output_intents(sample.pdf, condition)
        files.append(sample.save(tmp_path / f"{name}.pdf"))
    with open_sources([numbered(tmp_path / "0.pdf", 1), *files]) as sources:
        said = write(two_up(sources.facts), sources, tmp_path / "o.pdf")
    (finding,) = said
    assert finding.code == "output-intent-differs"
    assert finding.file == str(files[2])
    assert (finding.numbers["kept"], finding.numbers["dropped"]) == ("FOGRA51", "SWOP")
    with pikepdf.Pdf.open(tmp_path / "o.pdf") as pdf:
        (intent,) = pdf.Root.OutputIntents
        assert str(intent.OutputConditionIdentifier) == "FOGRA51"


def test_pages_of_several_files(tmp_path: Path) -> None:
    one, two = numbered(tmp_path / "a.pdf", 1), numbered(tmp_path / "b.pdf", 7)
    text = [page.extract_text() for page in pypdf.PdfReader(made(tmp_path, one, two)).pages]
    assert [sorted(set(t) & set("1234567")) for t in text] == [
        ["1"], ["1", "2", "3"], ["2", "4", "5"], ["2", "6", "7"],
    ]  # fmt: skip


def test_a_locked_input_gives_an_open_output(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    sample.pdf.pages[0].obj.Resources = Dictionary(
        Font=Dictionary(F1=sample.font), Properties=Dictionary(M=Dictionary(Note=String("words")))
    )
    locked = sample.save(tmp_path / "a.pdf", encryption=pikepdf.Encryption(owner="o", user="u"))
    with open_sources([locked], ["u"]) as sources:
        write(two_up(sources.facts), sources, tmp_path / "o.pdf")
    pdf = pikepdf.Pdf.open(tmp_path / "o.pdf")
    assert not pdf.is_encrypted
    assert str(pdf.pages[0].Resources.XObject.P1.Resources.Properties.M.Note) == "words"
    plain = made(tmp_path, numbered(tmp_path / "b.pdf", 1))
    assert differing(render(tmp_path / "o.pdf", 0), render(plain, 0)) == 0


def test_inputs_of_an_older_pdf_x_get_no_object_streams(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    sample.pdf.docinfo["/GTS_PDFXVersion"] = String("PDF/X-1:2001")
    source = sample.save(tmp_path / "a.pdf", force_version="1.3")
    target = made(tmp_path, source)
    data = target.read_bytes()
    assert data.startswith(b"%PDF-1.4") and b"/ObjStm" not in data and b"\nxref\n" in data


def test_the_highest_version_of_the_inputs_is_kept(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    source = sample.save(tmp_path / "a.pdf", force_version="2.0")
    assert made(tmp_path, source).read_bytes().startswith(b"%PDF-2.0")
    assert made(tmp_path, numbered(tmp_path / "b.pdf", 1)).read_bytes().startswith(b"%PDF-1.7")


# -- marks ------------------------------------------------------------------------------


def test_marks_are_drawn_once_for_all_sides_and_in_all_inks(tmp_path: Path) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 8), ink="registration")
    pdf = pikepdf.Pdf.open(target)
    groups = {page.Resources.XObject.M1.objgen for page in pdf.pages}
    assert len(groups) == 1
    form = pdf.pages[0].Resources.XObject.M1
    (space,) = form.Resources.ColorSpace.as_dict().values()
    assert [str(part) for part in list(space)[:3]] == ["/Separation", "/All", "/DeviceCMYK"]
    assert list(space[3].C1) == [1, 1, 1, 1]
    assert b"/K CS 1 SCN" in form.read_bytes()
    image = render(target, 0)
    assert image.getpixel((80, image.height - 30))[0] < 200  # the crop mark at x 40, y 5 to 25


def test_black_marks_need_no_colour_space(tmp_path: Path) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 1))
    with pikepdf.Pdf.open(target) as pdf:
        resources = pdf.pages[0].Resources
        assert "/ColorSpace" not in resources
        assert "/ColorSpace" not in resources.XObject.M1.Resources


@pytest.mark.parametrize("ink", ["black", "registration"])
def test_shapes_lie_where_the_plan_has_them(tmp_path: Path, ink: str) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 1), ink=ink)
    with pdfplumber.open(target) as pdf:
        page = pdf.pages[0]
        lines = sorted((line["x0"], line["y0"], line["x1"], line["y1"]) for line in page.lines)
        assert lines == [(40, 5, 40, 25), (250, 370, 250, 390)]
        (curve,) = page.curves
        assert (curve["x0"], curve["y0"], curve["x1"], curve["y1"]) == (10, 200, 20, 210)
        assert (470, 200, 480, 230) in [(r["x0"], r["y0"], r["x1"], r["y1"]) for r in page.rects]
        word = [char for char in page.chars if char["size"] == 8]
        assert "".join(char["text"] for char in word) == "Marks"
        assert word[0]["matrix"][4:] == (60, 380)


def test_a_slug_of_its_own_on_every_side(tmp_path: Path) -> None:
    target = made(tmp_path, numbered(tmp_path / "a.pdf", 12))
    text = [page.extract_text() for page in pypdf.PdfReader(target).pages]
    for index, words in enumerate(text):
        assert f"sheet {index // 2 + 1} {'back' if index % 2 else 'front'}" in words
    pdf = pikepdf.Pdf.open(target)
    shared = {page.Contents[0].objgen for page in pdf.pages}
    assert len(shared) == 1
    fonts = {page.Resources.Font.F.objgen for page in pdf.pages}
    assert len(fonts) == 1


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_turned_words(tmp_path: Path, turn: int) -> None:
    with open_sources([numbered(tmp_path / "a.pdf", 1)]) as sources:
        plan = with_side(two_up(sources.facts), own_marks=(slug("turned", turn),))
        write(plan, sources, tmp_path / "o.pdf")
    with pdfplumber.open(tmp_path / "o.pdf") as pdf:
        first = next(char for char in pdf.pages[0].chars if char["text"] == "t")
    cos, sin = {90: (0, 1), 180: (-1, 0), 270: (0, -1)}[turn]
    assert first["matrix"] == (cos, sin, -sin, cos, 100, 8)


def test_marks_alone_without_any_input(tmp_path: Path) -> None:
    side = Side((), (crop_marks(),))
    sheet = Sheet(1, SHEET, Turnover.ABOUT_VERTICAL, side, Side(()), role="cover")
    with open_sources([]) as sources:
        write(plan_of([], [sheet], []), sources, tmp_path / "o.pdf", "cover")
    assert "Marks" in pypdf.PdfReader(tmp_path / "o.pdf").pages[0].extract_text()


def test_a_character_the_font_lacks_is_said_and_replaced(tmp_path: Path) -> None:
    with open_sources([numbered(tmp_path / "a.pdf", 1)]) as sources:
        words = "Ελλάδα \u6f22 \u202ecafe\u0301\x07 (1)\\2"
        plan = with_side(two_up(sources.facts), own_marks=(slug(words),))
        (finding,) = write(plan, sources, tmp_path / "o.pdf")
    assert (finding.code, finding.numbers["characters"]) == ("slug-character", "\u6f22")
    text = pypdf.PdfReader(tmp_path / "o.pdf").pages[0].extract_text()
    assert "Ελλάδα ? caf\u00e9 (1)\\2" in text


# -- the file ---------------------------------------------------------------------------


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    source = coloured(tmp_path / "a.pdf")
    one = made(tmp_path, source, ink="registration").read_bytes()
    two = made(tmp_path, source, ink="registration").read_bytes()
    assert one == two
    identifier = pypdf.PdfReader(tmp_path / "guts.pdf").trailer["/ID"]
    made(tmp_path, source, ink="black")
    assert pypdf.PdfReader(tmp_path / "guts.pdf").trailer["/ID"] != identifier


def test_guts_then_cover_from_the_same_sources(tmp_path: Path) -> None:
    """A second write neither suffers from the first nor carries its pages."""
    files = [numbered(tmp_path / "a.pdf", 4), numbered(tmp_path / "b.pdf", 1)]
    with open_sources(files) as sources:
        plan = two_up(sources.facts)
        *guts, cover = plan.sheets
        plan = replace(plan, sheets=(*guts, replace(cover, role="cover")))
        write(plan, sources, tmp_path / "guts.pdf")
        write(plan, sources, tmp_path / "cover.pdf", "cover")
        again = tmp_path / "again.pdf"
        write(plan, sources, again)
    assert again.read_bytes() == (tmp_path / "guts.pdf").read_bytes()
    for name, count in (("guts", 4), ("cover", 1)):
        with pikepdf.Pdf.open(tmp_path / f"{name}.pdf") as pdf:
            assert len(pdf.pages) == 2
            assert len(forms_in(pdf)) == count + 1  # the pages and the marks


def test_inputs_are_not_changed(tmp_path: Path) -> None:
    source = coloured(tmp_path / "a.pdf")
    before = hashlib.sha256(source.read_bytes()).digest()
    made(tmp_path, source)
    assert hashlib.sha256(source.read_bytes()).digest() == before


def test_an_input_is_never_written_over(tmp_path: Path) -> None:
    source = numbered(tmp_path / "a.pdf", 1)
    link = tmp_path / "link.pdf"
    link.symlink_to(source)
    before = source.read_bytes()
    with open_sources([source]) as sources:
        for target in (source, link, tmp_path / "x" / ".." / "a.pdf"):
            with pytest.raises(OutputError):
                write_sheets(two_up(sources.facts), sources, target)
    assert source.read_bytes() == before


def test_nothing_is_left_behind_when_writing_fails(tmp_path: Path) -> None:
    source = numbered(tmp_path / "a.pdf", 1)
    target = tmp_path / "out" / "guts.pdf"
    with open_sources([source]) as sources:
        with pytest.raises(OutputError) as caught:
            write_sheets(two_up(sources.facts), sources, target)
        assert str(target) in caught.value.message
        target.parent.mkdir()
        target.write_bytes(b"the old one")
        plan = with_side(two_up(sources.facts), own_marks=(replace(slug("x"), turn=45),))
        with pytest.raises(KeyError):
            write_sheets(plan, sources, target)
    assert [path.name for path in target.parent.iterdir()] == ["guts.pdf"]
    assert target.read_bytes() == b"the old one"


def test_a_role_without_sheets_is_a_mistake_of_the_caller(tmp_path: Path) -> None:
    with open_sources([numbered(tmp_path / "a.pdf", 1)]) as sources, pytest.raises(ValueError):
        write_sheets(two_up(sources.facts), sources, tmp_path / "o.pdf", "cover")


@pytest.mark.skipif(shutil.which("qpdf") is None, reason="qpdf is not installed")
@pytest.mark.parametrize("count", [1, 9, 270])
def test_another_program_finds_no_fault(tmp_path: Path, count: int) -> None:
    target = made(
        tmp_path, numbered(tmp_path / "a.pdf", count), ink="registration", shift=Length.mm("0.037")
    )
    checked = subprocess.run(["qpdf", "--check", target], capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout + checked.stderr


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm is not installed")
def test_a_third_renderer_agrees(tmp_path: Path) -> None:
    sample = Sample()
    for grey in (0.2, 0.6):
        sample.page(f"{grey} g 20 30 100 200 re f 150 150 m 190 290 l 110 290 l f".encode())
    target = made(tmp_path, sample.save(tmp_path / "a.pdf"))
    prefix = tmp_path / "page"
    subprocess.run(["pdftoppm", "-r", "144", "-png", target, prefix], check=True)
    pictures: Sequence[Path] = sorted(tmp_path.glob("page*.png"))
    with Image.open(pictures[0]) as image:
        theirs, ours = image.convert("RGB"), render(target, 0)
    for x in (45, 255):
        assert differing(crop(theirs, x, 50, TRIM), crop(ours, x, 50, TRIM), 120) < 40
