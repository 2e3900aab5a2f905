"""Rules of ISO 15930 that can be told without its text: each with a fault and a harmless twin."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from hostilefiles import bomb, bomb_in_a_form
from iccsamples import profile
from pdf_samples import Sample, layer, spot_colour
from pikepdf import Array, Dictionary, Name, Stream, String
from readysamples import (
    Change,
    broken,
    content,
    form,
    icc_space,
    image,
    note,
    root,
    sheet,
    state,
    tiles,
)

from impose.checks.ready import check_ready, not_a_claim
from impose.cli.main import run
from impose.errors import InputError
from impose.model.conditions import Part
from impose.pdf.sheetreading import read_sheets

# -- changes ---------------------------------------------------------------------------


def box(name: str, *corners: float) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        page[f"/{name}"] = Array(list(corners))

    return change


def no_box(sample: Sample, page: pikepdf.Object) -> None:
    del page["/TrimBox"]


def only_art_box(sample: Sample, page: pikepdf.Object) -> None:
    page.ArtBox = page.TrimBox
    del page["/TrimBox"]


def intent(subtype: str = "/GTS_PDFX", data: bytes | None = None, count: int = 1) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        one = sample.pdf.Root.OutputIntents[0]
        one.S = Name(subtype)
        if data is not None:
            one.DestOutputProfile = Stream(sample.pdf, data)
        sample.pdf.Root.OutputIntents = Array([one] * count)

    return change


def named_intent(sample: Sample, page: pikepdf.Object) -> None:
    del sample.pdf.Root.OutputIntents[0]["/DestOutputProfile"]


def rgb_intent(sample: Sample, page: pikepdf.Object) -> None:
    intent(data=profile(b"RGB "))(sample, page)
    page.Contents = sample.stream(b"0 g 1 1 2 2 re f")


def font(embedded: bool, kind: str = "/TrueType") -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        descriptor = Dictionary(Type=Name.FontDescriptor, FontName=Name.Lamp)
        if embedded:
            descriptor.FontFile2 = Stream(sample.pdf, b"glyphs")
        made = Dictionary(
            Type=Name.Font, Subtype=Name(kind), BaseFont=Name.Lamp, FontDescriptor=descriptor
        )
        if kind == "/Type0":
            del made["/FontDescriptor"]
            below = Dictionary(Type=Name.Font, Subtype=Name.CIDFontType2, FontDescriptor=descriptor)
            made.DescendantFonts = Array([below])
        sample.resources.Font = Dictionary(F9=made)
        page.Contents = sample.stream(b"BT /F9 12 Tf (lamp) Tj ET")

    return change


def unused_font(sample: Sample, page: pikepdf.Object) -> None:
    font(False)(sample, page)
    page.Contents = sample.stream(b"0 g 1 1 2 2 re f")


def drawn_glyphs(data: bytes) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        glyphs = Dictionary(a=Stream(sample.pdf, data))
        made = Dictionary(
            Type=Name.Font, Subtype=Name.Type3, CharProcs=glyphs, Resources=Dictionary()
        )
        sample.resources.Font = Dictionary(F9=made)
        page.Contents = sample.stream(b"BT /F9 12 Tf (a) Tj ET")

    return change


def soft_image(sample: Sample, page: pikepdf.Object) -> None:
    mask = Stream(
        sample.pdf, b"\x80", Type=Name.XObject, Subtype=Name.Image, Width=1, Height=1,
        ColorSpace=Name.DeviceGray, BitsPerComponent=8,
    )  # fmt: skip
    image(SMask=mask)(sample, page)


def space(value: Callable[[Sample], object]) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        sample.resources.ColorSpace = Dictionary(C1=value(sample))
        page.Contents = sample.stream(b"/C1 cs 1 scn 1 1 2 2 re f")

    return change


def spot(alternate: Name) -> Callable[[Sample], object]:
    def value(sample: Sample) -> object:
        made = spot_colour(sample.pdf)
        made[2] = alternate
        return made

    return value


def shading(sample: Sample, page: pikepdf.Object) -> None:
    colours = Dictionary(ShadingType=2, ColorSpace=Name.DeviceRGB, Coords=Array([0, 0, 1, 1]))
    sample.resources.Pattern = Dictionary(P1=Dictionary(PatternType=2, Shading=colours))
    page.Contents = sample.stream(b"/Pattern cs /P1 scn 1 1 2 2 re f")


def default_rgb(sample: Sample, page: pikepdf.Object) -> None:
    sample.resources.ColorSpace = Dictionary(DefaultRGB=icc_space(3)(sample))
    page.Contents = sample.stream(b"1 0 0 rg 1 1 2 2 re f")


def layers(sample: Sample, page: pikepdf.Object) -> None:
    group = layer(sample, "Notes")
    sample.pdf.Root.OCProperties = Dictionary(OCGs=Array([group]), D=Dictionary())


def outside_data(sample: Sample, page: pikepdf.Object) -> None:
    image()(sample, page)
    sample.resources.XObject.I1.F = String("elsewhere.bin")


def lzw(sample: Sample, page: pikepdf.Object) -> None:
    page.Contents = Stream(
        sample.pdf, b"\x80\x0b\x60\x50\x22\x0c\x0c\x85\x01", Filter=Name.LZWDecode
    )


SCRIPT = Dictionary(S=Name.JavaScript, JS=String("beep()"))
OLD, ALL = (Part.X1A, Part.X3), tuple(Part)

#: What is broken, in which parts, by which change; and a change that breaks nothing there.
RULES: list[tuple[str, tuple[Part, ...], Change, Change]] = [
    ("box-missing", ALL, no_box, only_art_box),
    ("box-both", ALL, box("ArtBox", 10, 10, 190, 290), only_art_box),
    ("box-nesting", ALL, box("TrimBox", 4, 10, 190, 290), box("TrimBox", 5, 5, 195, 295)),
    ("box-nesting", ALL, box("CropBox", 6, 5, 195, 295), box("CropBox", 5, 5, 195, 295)),
    ("box-nesting", ALL, box("BleedBox", -1, 0, 200, 300), box("BleedBox", 0, 0, 200, 300)),
    ("layers", OLD, layers, content(b"0 g")),
    ("intent", ALL, intent("/GTS_PDFA1"), intent()),
    ("intent", ALL, intent(count=2), intent()),
    ("intent", (Part.X4,), named_intent, intent()),
    ("intent", ALL, intent(data=b"no profile"), intent(data=profile(b"GRAY"))),
    ("intent", ALL, intent(data=profile(device=b"mntr")), intent(data=profile(name="Other"))),
    ("intent", (Part.X1A,), rgb_intent, intent(data=profile())),
    ("intent-version", OLD, intent(data=profile(version=4)), intent(data=profile(version=2))),
    ("action", ALL, root(OpenAction=SCRIPT), root(OpenAction=Array([]))),
    ("action", ALL, root(AA=Dictionary(WC=SCRIPT)), root(PageMode=Name.UseNone)),
    ("action", ALL, root(Names=Dictionary(JavaScript=Dictionary(Names=Array()))),
     root(Names=Dictionary(Dests=Dictionary(Names=Array())))),
    ("attached", ALL, root(Names=Dictionary(EmbeddedFiles=Dictionary(Names=Array()))),
     root(Names=Dictionary(Dests=Dictionary(Names=Array())))),
    ("annotation", ALL, note("Square", 20, 20, 60, 60), note("Square", 0, 0, 4, 4)),
    ("annotation", ALL, note("Stamp", 20, 20, 60, 60), note("PrinterMark", 20, 20, 60, 60)),
    ("font", ALL, font(False), font(True)),
    ("font", ALL, font(False, "/Type0"), font(True, "/Type0")),
    ("font", ALL, font(False), unused_font),
    ("transparency", OLD, state(ca=0.5), state(ca=1)),
    ("transparency", OLD, state(BM=Name.Multiply), state(BM=Name.Normal)),
    ("transparency", OLD, state(SMask=Dictionary(S=Name.Alpha)), state(False, ca=0.5)),
    ("transparency", OLD, soft_image, image()),
    ("transparency", OLD, form(Group=Dictionary(S=Name.Transparency)), form()),
    ("newer", OLD, image(BitsPerComponent=16), image()),
    ("newer", OLD, image(Filter=Name.JPXDecode), image(Filter=Name.DCTDecode)),
    ("filter", ALL, lzw, content(b"0 g")),
    ("foreign", ALL, outside_data, image()),
    ("foreign", ALL, form(Ref=Dictionary()), form()),
    ("foreign", ALL, image(Alternates=Array([])), image()),
    ("transfer", ALL, state(TR=Name.Identity), state(TR2=Name.Default)),
    ("colour", ALL, content(b"1 0 0 rg 1 1 2 2 re f"), content(b"(1 0 0 rg) pop 0 g")),
    ("colour", ALL, form(b"1 0 0 RG"), form(b"0 0 0 1 K")),
    ("colour", ALL, image(ColorSpace=Name.DeviceRGB), image(ColorSpace=Name.DeviceGray)),
    ("colour", ALL, shading, tiles(b"0 1 0 0 k 0 0 1 1 re f")),
    ("colour", ALL, tiles(b"0 1 0 rg 0 0 1 1 re f"), tiles(b"0.5 g 0 0 1 1 re f")),
    ("colour", ALL, drawn_glyphs(b"1 0 0 rg"), drawn_glyphs(b"0 g")),
    ("colour", ALL, space(spot(Name.DeviceRGB)), space(spot(Name.DeviceCMYK))),
    ("colour", ALL, content(b"BI /W 1 /H 1 /BPC 8 /CS /RGB ID abc EI "),
     content(b"BI /W 1 /H 1 /BPC 8 /CS /G ID a EI ")),
    ("colour", (Part.X1A,), space(icc_space(3)), space(lambda sample: Array([Name.DeviceGray]))),
    ("colour", (Part.X1A,), default_rgb, content(b"0 g")),
    ("unread", ALL, content(b"q 1 0 0 1 (never closed"), content(b"q 1 0 0 1 0 0 cm Q")),
]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "parts", "fault", "twin"), RULES, ids=[f"{i}-{r[0]}" for i, r in enumerate(RULES)]
)
def test_each_rule_finds_its_fault_and_passes_its_twin(
    code: str, parts: tuple[Part, ...], fault: Change, twin: Change, tmp_path: Path
) -> None:
    faulty, fine = sheet(tmp_path / "faulty.pdf", fault), sheet(tmp_path / "fine.pdf", twin)
    for part in Part:
        assert broken(faulty, part) == ([code] if part in parts else []), part
        assert code not in broken(fine, part), part


def test_a_sound_sheet_breaks_no_rule(tmp_path: Path) -> None:
    path = sheet(tmp_path / "sheet.pdf")
    assert [broken(path, part) for part in Part] == [[], [], []]


def test_versions_and_object_streams(tmp_path: Path) -> None:
    packed = {"object_stream_mode": pikepdf.ObjectStreamMode.generate}
    new = sheet(tmp_path / "new.pdf", force_version="1.6", **packed)
    assert broken(new, Part.X3) == ["version", "object-streams"]
    assert broken(new, Part.X4) == []
    newer = sheet(tmp_path / "newer.pdf", force_version="1.7")
    assert broken(newer, Part.X4) == ["version"]
    told = check_ready(read_sheets(newer), Part.X4, "mm")[0]
    assert "1.7" in told.message and "1.6" in told.message and told.hint


def test_encryption(tmp_path: Path) -> None:
    def lock(name: str, user: str) -> Path:
        locks = pikepdf.Encryption(owner="own", user=user, R=4)
        return sheet(tmp_path / name, encryption=locks, force_version="1.6")

    assert broken(lock("open.pdf", ""), Part.X4) == ["encrypted"]
    closed = lock("closed.pdf", "user")
    with pytest.raises(InputError, match="locked"):
        read_sheets(closed)


def test_boxes_are_told_with_pages_and_both_sets_of_numbers(tmp_path: Path) -> None:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        for _ in range(3):
            sample.page(b"0 g", TrimBox=Array([0, 0, 144, 144]), BleedBox=Array([0, 0, 144, 72]))

    path = sheet(tmp_path / "s.pdf", change)
    (told,) = check_ready(read_sheets(path), Part.X4, "in")
    assert told.pages == (2, 3, 4)
    assert "s.pdf, pages 2-4" in told.message
    assert "y 0 in to 2 in" in told.message and "y 0 in to 1 in" in told.message


def test_it_says_that_it_is_no_certificate(tmp_path: Path) -> None:
    plain = read_sheets(sheet(tmp_path / "plain.pdf"))
    assert "does not call itself PDF/X" in not_a_claim(plain, Part.X4).message

    def claim(sample: Sample, page: pikepdf.Object) -> None:
        sample.pdf.docinfo["/GTS_PDFXVersion"] = "PDF/X-3:2003"

    told = not_a_claim(read_sheets(sheet(tmp_path / "claims.pdf", claim)), Part.X3).message
    assert "calls itself PDF/X-3:2003" in told and "no certificate" in told


@pytest.mark.parametrize("maker", [bomb, bomb_in_a_form])
def test_what_inflates_without_end_is_not_read(
    maker: Callable[[Path], Path], tmp_path: Path
) -> None:
    assert "unread" in broken(maker(tmp_path / "b.pdf"), Part.X4)


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    fine = sheet(tmp_path / "fine.pdf")
    bad = sheet(tmp_path / "bad.pdf", content(b"1 0 0 rg 1 1 2 2 re f"))
    assert run(["print-ready", str(fine), "--ready", "x-1a"]) == 0
    assert "no rule broken" in capsys.readouterr().out
    assert run(["print-ready", str(fine), str(bad), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    assert [(f["code"], f["file"]) for f in found if f["severity"] != "note"] == [
        ("ready-colour", "bad.pdf")
    ]
    assert run(["print-ready", str(tmp_path / "no.pdf")]) == 3
    (tmp_path / "text.pdf").write_text("no PDF")
    assert run(["print-ready", str(tmp_path / "text.pdf")]) == 3
    assert "no PDF" in capsys.readouterr().err


def test_as_a_process(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "impose", "print-ready", str(sheet(tmp_path / "s.pdf"))],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "s.pdf" in done.stdout and "no certificate" in done.stderr
