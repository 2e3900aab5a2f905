"""Which plates a page needs, read from its operators, pictures, spaces; the bar that shows them."""

from __future__ import annotations

import json
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import jsonschema
import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Object, Pdf, Stream
from PIL import Image
from reportlab.lib.colors import CMYKColor, CMYKColorSep
from reportlab.pdfgen.canvas import Canvas

import impose
from impose.model.inks import PROCESS
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_options
from impose.pdf.lookinks import InkReader
from impose.pipeline import Wish, make
from impose.plan.plan import Plan
from impose.plan.wire import from_text

C, M, Y, K = PROCESS
Shelves = Callable[[Pdf], Object]


def plates(content: bytes, shelves: Shelves | None = None, **entries: Shelves) -> tuple[str, ...]:
    """The process inks of a page with this content; `entries` are further keys of the page."""
    with Pdf.new() as pdf:
        page = pdf.add_blank_page(page_size=(200, 200)).obj
        page.Contents = Stream(pdf, content)
        page.Resources = shelves(pdf) if shelves else Dictionary()
        for key, made in entries.items():
            page["/" + key] = made(pdf)
        found = InkReader().page(page, page.Resources).plates
    return tuple(ink for ink in PROCESS if ink in found)


BOX = b" 10 10 50 50 re f "


@pytest.mark.parametrize(
    ("content", "inks"),
    [
        (b"1 0 0 0 k" + BOX, (C,)),
        (b"q 1 0 0 0 k" + BOX + b"Q 0 0 0 1 k" + BOX, (C, K)),
        (b"0 0.2 0 0 K 10 10 m 90 90 l S", (M,)),
        (b"0 0 0 0 k" + BOX, ()),
        (b"0.5 g" + BOX, (K,)),
        (b".5 g" + BOX, (K,)),
        (b"1 g" + BOX, ()),
        (b"1.0  g" + BOX, ()),
        (b"0.3 0.3 0.3 rg" + BOX, (K,)),
        (b"1 0 0 rg" + BOX, PROCESS),
        # black is what is painted before a colour is set, and again after it is put back
        (BOX, (K,)),
        (b"0 0 1 0 k 10 10 m 90 90 l S", (Y, K)),
        (b"q 1 0 0 0 k" + BOX + b"Q" + BOX, (C, K)),
        (b"/DeviceCMYK cs 0 0 0.5 0 scn" + BOX, (Y,)),
        (b"q 9 0 0 9 0 0 cm BI /W 1 /H 1 /BPC 8 /CS /G ID \x10 EI Q", (K,)),
        (b"q 9 0 0 9 0 0 cm BI /W 1 /H 1 /BPC 8 /CS /CMYK ID \x10\x00\x00\x00 EI Q", PROCESS),
        (b"", ()),
    ],
)
def test_operators(content: bytes, inks: tuple[str, ...]) -> None:
    assert plates(content) == inks


def picture(
    data: bytes, space: Object, *, jpeg: bool = False, decode: tuple[int, ...] = ()
) -> Shelves:
    def shelves(pdf: Pdf) -> Object:
        image = Stream(pdf, data)
        image.Type, image.Subtype = Name.XObject, Name.Image
        image.Width, image.Height, image.BitsPerComponent = len(data) // 4 or 1, 1, 8
        image.ColorSpace = space
        if jpeg:
            image.Width, image.Filter = 8, Name.DCTDecode
        if decode:
            image.Decode = Array(decode)
        return Dictionary(XObject=Dictionary(Im=image))

    return shelves


def test_pictures_are_looked_at_ink_by_ink() -> None:
    draw = b"q 90 0 0 90 0 0 cm /Im Do Q"
    two = bytes((9, 0, 0, 0, 0, 0, 0, 200))
    assert plates(draw, picture(two, Name.DeviceCMYK)) == (C, K)
    turned = bytes(255 - byte for byte in two)
    assert plates(draw, picture(turned, Name.DeviceCMYK, decode=(1, 0) * 4)) == (C, K)
    assert plates(draw, picture(b"\x00" * 4, Name.DeviceCMYK)) == ()
    assert plates(draw, picture(b"\x05" * 4, Name.DeviceGray)) == (K,)
    assert plates(draw, picture(b"\x05" * 4, Name.DeviceRGB)) == PROCESS
    assert plates(b"", picture(two, Name.DeviceCMYK)) == ()  # it is not drawn
    lossy = BytesIO()
    Image.new("CMYK", (8, 8), (200, 0, 0, 0)).save(lossy, "JPEG")
    assert plates(draw, picture(lossy.getvalue(), Name.DeviceCMYK, jpeg=True)) == PROCESS


def test_indexed_spaces_by_their_table() -> None:
    table = pikepdf.String(bytes((0, 0, 0, 0, 0, 0, 80, 0)))
    space = Array([Name.Indexed, Name.DeviceCMYK, 1, table])
    assert plates(b"/Im Do", picture(b"\x00\x01\x00\x01", space)) == (Y,)
    coloured = Array([Name.Indexed, Name.DeviceRGB, 0, pikepdf.String(b"\x10\x20\x30")])
    assert plates(b"/Im Do", picture(b"\x00\x00\x00\x00", coloured)) == PROCESS


def shelf(kind: str, make_it: Shelves) -> Shelves:
    return lambda pdf: Dictionary({kind: Dictionary(A=make_it(pdf))})


def tint(pdf: Pdf, count: int = 1) -> Object:
    return pdf.make_indirect(
        Dictionary(FunctionType=2, Domain=[0, 1] * count, C0=[0] * 4, C1=[0, 0, 0, 1], N=1)
    )


def test_spot_spaces_give_their_process_inks_alone() -> None:
    paint = b"/A cs 1 scn" + BOX

    def separation(name: str) -> Shelves:
        return shelf(
            "/ColorSpace",
            lambda pdf: Array([Name.Separation, Name("/" + name), Name.DeviceCMYK, tint(pdf)]),
        )

    assert plates(paint, separation("Magenta")) == (M,)
    assert plates(paint, separation("Sea Green")) == ()
    assert plates(paint, separation("All")) == ()
    assert plates(b"1 0 0 0 k" + BOX, separation("Magenta")) == (C,)  # it is not named
    both = shelf(
        "/ColorSpace",
        lambda pdf: Array(
            [Name.DeviceN, Array([Name.Cyan, Name("/Ochre")]), Name.DeviceCMYK, tint(pdf, 2)]
        ),
    )
    assert plates(b"/A cs 1 1 scn" + BOX, both) == (C,)


def test_gradients_count_for_all_that_their_space_has() -> None:
    def shading(space: Object) -> Shelves:
        return shelf(
            "/Shading",
            lambda pdf: Dictionary(
                ShadingType=2, ColorSpace=space, Coords=[0, 0, 9, 9], Function=tint(pdf)
            ),
        )

    assert plates(b"/A sh", shading(Name.DeviceGray)) == (K,)
    assert plates(b"/A sh", shading(Name.DeviceCMYK)) == PROCESS
    assert plates(b"", shading(Name.DeviceCMYK)) == ()


def test_forms_patterns_and_stamps_are_looked_into() -> None:
    def form(pdf: Pdf) -> Object:
        return Stream(pdf, b"0 1 0 0 k" + BOX, Type=Name.XObject, Subtype=Name.Form,
                      BBox=[0, 0, 99, 99])  # fmt: skip

    def pattern(pdf: Pdf) -> Object:
        return Stream(pdf, b"0 0 1 0 k" + BOX, PatternType=1, PaintType=1, TilingType=1,
                      BBox=[0, 0, 99, 99], XStep=99, YStep=99, Resources=Dictionary())  # fmt: skip

    def stamps(pdf: Pdf) -> Object:
        look = pdf.make_indirect(form(pdf))
        stamp = Dictionary(Type=Name.Annot, Subtype=Name.Stamp, Rect=[0, 0, 99, 99],
                           AP=Dictionary(N=look))  # fmt: skip
        return Array([stamp])

    assert plates(b"/A Do", shelf("/XObject", form)) == (M,)
    assert plates(b"/Pattern cs /A scn" + BOX, shelf("/Pattern", pattern)) == (Y,)
    assert plates(b"1 0 0 0 k" + BOX, Annots=stamps) == (C, M)


# -- in the sheets -----------------------------------------------------------------------


def two_inks(target: Path, *, spot: bool = False) -> Path:
    """Eight pages in cyan and black, or in black and a spot colour."""
    canvas = Canvas(str(target), pagesize=(300, 420), invariant=1)
    second = CMYKColor(1, 0, 0, 0)
    if spot:
        second = CMYKColorSep(0.8, 0, 0.6, 0.1, spotName="Sea Green", density=1)
    for number in range(8):
        canvas.setFillColor(CMYKColor(0, 0, 0, 1))
        canvas.drawString(150, 210, str(number + 1))
        canvas.setFillColor(second)
        canvas.rect(100, 100, 50, 50, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return target


def written(pages: Path, out: Path, *, look: bool = True) -> Plan:
    asked = Overrides(
        pages=(str(pages),), binding="sections", trim="300pt x 420pt", sheet="25in x 19in",
        printer="large-press", section_pages=8,
    )  # fmt: skip
    job = job_from_options(asked, pages.parent)
    make(job, out, Wish(only=("guts", "plan"), look=look))
    return from_text((out / "plan.json").read_text("utf-8"))


def shown(plan: Plan) -> set[str]:
    fills = [fill for sheet in plan.sheets for _, side in sheet.sides for fill in side.fills]
    assert fills
    names = {fill.ink.name for fill in fills if fill.ink.name}
    process = [fill.ink.parts for fill in fills if fill.ink.space == "cmyk"]
    return names | {ink for at, ink in enumerate(PROCESS) if any(parts[at] for parts in process)}


def test_the_bar_of_a_book_in_cyan_and_black_has_no_other_ink(tmp_path: Path) -> None:
    pages = two_inks(tmp_path / "pages.pdf")
    assert shown(written(pages, tmp_path / "looked")) == {C, K}


def test_without_a_look_the_bar_has_the_process_inks_and_that_is_said(tmp_path: Path) -> None:
    pages = two_inks(tmp_path / "pages.pdf")
    plan = written(pages, tmp_path / "blind", look=False)
    assert shown(plan) == set(PROCESS)
    (found,) = [f for f in plan.findings if f.code == "bar-inks-assumed"]
    assert "--no-check" in found.hint


def test_a_plan_with_a_spot_ink_keeps_its_schema(tmp_path: Path) -> None:
    pages = two_inks(tmp_path / "pages.pdf", spot=True)
    assert shown(written(pages, tmp_path / "out")) == {K, "Sea Green"}
    data = json.loads((tmp_path / "out" / "plan.json").read_text("utf-8"))
    schema = Path(str(impose.__file__)).parent / "plan" / "plan.schema.json"
    jsonschema.validate(data, json.loads(schema.read_text("utf-8")))
