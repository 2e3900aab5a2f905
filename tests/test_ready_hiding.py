"""Each thing that a part of ISO 15930 bars, in every place of a page where it can hide.

Which rule stands on what is said in `impose.checks`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from iccsamples import profile
from pdf_samples import Sample, layer
from pikepdf import Array, Dictionary, Name, Stream, String
from readyplaces import (
    ALL,
    OLD,
    PLACES,
    Place,
    Thing,
    bare_font,
    drawn,
    hidden,
    icc,
    in_a_soft_mask,
    mask,
    picture,
    set_space,
)
from readysamples import broken, sheet

from impose.model.conditions import Part


def shown(**entries: object) -> Thing:
    return lambda s: (b"/I Do", picture(s, **entries))


def set_state(**entries: object) -> Thing:
    return lambda s: (
        b"/G gs 1 1 2 2 re f",
        Dictionary(ExtGState=Dictionary(G=Dictionary(**entries))),
    )


def tint() -> Dictionary:
    return Dictionary(FunctionType=2, Domain=Array([0, 1]), N=1)


def inks(alternate: Name, colorant: Name) -> Callable[[Sample], object]:
    """DeviceN, with an ink described by itself (8.6.6.5, table 71)."""

    def make(s: Sample) -> object:
        one = Array([Name.Separation, Name.Tar, colorant, tint()])
        attributes = Dictionary(Colorants=Dictionary(Tar=one))
        names = Array([Name.Cyan, Name.Tar])
        return Array([Name.DeviceN, names, alternate, tint(), attributes])

    return make


def many_inks(count: int) -> Callable[[Sample], object]:
    def make(s: Sample) -> object:
        names = Array([Name(f"/Tar{n}") for n in range(count)])
        return Array([Name.DeviceN, names, Name.DeviceCMYK, tint()])

    return make


def colours_of_a_shading(s: Sample) -> tuple[bytes, Dictionary]:
    shades = Dictionary(ShadingType=2, ColorSpace=Name.DeviceRGB, Coords=Array([0, 0, 1, 1]))
    return b"/S sh", Dictionary(Shading=Dictionary(S=shades))


def colours_of_a_shading_pattern(s: Sample) -> tuple[bytes, Dictionary]:
    shades = Dictionary(ShadingType=2, ColorSpace=Name.DeviceRGB, Coords=Array([0, 0, 1, 1]))
    pattern = Dictionary(PatternType=2, Shading=shades)
    return b"/Pattern cs /P scn 1 1 2 2 re f", Dictionary(Pattern=Dictionary(P=pattern))


def state_of_a_shading_pattern(s: Sample) -> tuple[bytes, Dictionary]:
    """Table 76, ExtGState."""
    data, resources = colours_of_a_shading_pattern(s)
    resources.Pattern.P.Shading.ColorSpace = Name.DeviceGray
    resources.Pattern.P.ExtGState = Dictionary(TR=Name.Identity)
    return data, resources


def form_with(**entries: object) -> Thing:
    return lambda s: (b"/X Do", Dictionary(XObject=Dictionary(X=drawn(s, b"0 g", **entries))))


def postscript(s: Sample) -> tuple[bytes, Dictionary]:
    """8.8.2."""
    made = Stream(s.pdf, b"showpage", Type=Name.XObject, Subtype=Name.PS)
    return b"/X Do", Dictionary(XObject=Dictionary(X=made))


def screen(**entries: object) -> Thing:
    return set_state(HT=Dictionary(Type=Name.Halftone, **{"HalftoneType": 1, **entries}))


def font_by(operators: bytes, **resources: object) -> Thing:
    return lambda s: (operators, Dictionary(**resources))


def font_of_a_state(s: Sample) -> tuple[bytes, Dictionary]:
    made = s.pdf.make_indirect(bare_font())
    return b"/G gs BT (a) Tj ET", Dictionary(
        ExtGState=Dictionary(G=Dictionary(Font=Array([made, 9])))
    )


def font_of_a_fake_program(s: Sample) -> tuple[bytes, Dictionary]:
    """A program without a byte."""
    made = bare_font()
    made.FontDescriptor = Dictionary(FontFile2=Stream(s.pdf, b""))
    return b"BT /F 9 Tf (a) Tj ET", Dictionary(Font=Dictionary(F=made))


def opentype(s: Sample) -> tuple[bytes, Dictionary]:
    made = bare_font()
    made.FontDescriptor = Dictionary(FontFile3=Stream(s.pdf, b"OTTO", Subtype=Name.OpenType))
    return b"BT /F 9 Tf (a) Tj ET", Dictionary(Font=Dictionary(F=made))


#: What it is, its rule, the parts that bar it, and content with resources.
THINGS: list[tuple[str, str, tuple[Part, ...], Thing]] = [
    ("rgb", "colour", ALL, lambda s: (b"1 0 0 RG", Dictionary())),
    ("rgb picture", "colour", ALL, shown(ColorSpace=Name.DeviceRGB)),
    ("rgb indexed", "colour", ALL, shown(
        ColorSpace=Array([Name.Indexed, Name.DeviceRGB, 0, String("abc")]))),
    ("rgb inline indexed", "colour", ALL, lambda s: (
        b"BI /W 1 /H 1 /BPC 8 /CS [/I /RGB 0 <000000>] ID a EI", Dictionary())),
    ("rgb inline named", "colour", ALL, set_space(
        lambda s: Array([Name.Indexed, Name.DeviceRGB, 0, String("abc")]),
        b"BI /W 1 /H 1 /BPC 8 /CS /C ID a EI")),
    ("rgb shading", "colour", ALL, colours_of_a_shading),
    ("rgb shading pattern", "colour", ALL, colours_of_a_shading_pattern),
    ("rgb under a pattern", "colour", ALL, set_space(
        lambda s: Array([Name.Pattern, Name.DeviceRGB]))),
    ("rgb for DeviceN", "colour", ALL, set_space(inks(Name.DeviceRGB, Name.DeviceCMYK))),
    ("rgb for one ink", "colour", ALL, set_space(inks(Name.DeviceCMYK, Name.DeviceRGB))),
    ("rgb under a name", "colour", ALL, set_space(lambda s: Name.DeviceRGB, b"/C CS")),
    ("rgb by a broken profile", "colour", ALL, set_space(icc(b"none"))),
    ("rgb by a profile cut short", "colour", ALL, set_space(icc(profile(b"RGB ")[:-1]))),
    ("rgb by a profile for CMYK", "colour", ALL, set_space(icc(profile()))),
    ("default of grey", "colour", (Part.X1A,), lambda s: (b"0 g", Dictionary(
        ColorSpace=Dictionary(DefaultGray=Array([Name.CalGray, Dictionary()]))))),
    ("no tint transform", "missing", ALL, set_space(
        lambda s: Array([Name.Separation, Name.All, Name.DeviceCMYK]))),
    ("no such space", "missing", ALL, lambda s: (b"/C9 cs", Dictionary())),
    ("a space of no kind", "missing", ALL, set_space(lambda s: Array([Name.Tar, 1]))),
    ("no such font", "missing", ALL, lambda s: (b"BT /F9 9 Tf (a) Tj ET", Dictionary())),
    ("no such picture", "missing", ALL, lambda s: (b"/I9 Do", Dictionary())),
    ("no such state", "missing", ALL, lambda s: (b"/G9 gs", Dictionary())),
    ("no such shading", "missing", ALL, lambda s: (b"/S9 sh", Dictionary())),
    ("no such pattern", "missing", ALL, lambda s: (b"/Pattern cs /P9 scn", Dictionary())),
    ("font", "font", ALL, font_by(
        b"BT /F 9 Tf (a) Tj ET", Font=Dictionary(F=bare_font()))),
    ("font of a state", "font", ALL, font_of_a_state),
    ("font without program", "font", ALL, font_of_a_fake_program),
    ("opentype", "newer", OLD, opentype),
    ("16 bits", "newer", OLD, shown(BitsPerComponent=16)),
    ("16 bits of a mask", "newer", OLD, lambda s: (
        b"/I Do", picture(s, Mask=mask(s, ImageMask=True, BitsPerComponent=16)))),
    ("jpeg 2000", "newer", OLD, shown(Filter=Name.JPXDecode)),
    ("layer of a picture", "layers", OLD, shown(OC=Dictionary(Type=Name.OCG))),
    ("layer of a form", "layers", OLD, form_with(OC=Dictionary(Type=Name.OCG))),
    ("layer in the content", "layers", OLD, lambda s: (
        b"/OC /L BDC 0 g EMC", Dictionary(Properties=Dictionary(L=layer(s, "Notes"))))),
    ("nine inks", "newer", OLD, set_space(many_inks(9))),
    ("see-through strokes", "transparency", OLD, set_state(CA=0.5)),
    ("blend mode", "transparency", OLD, set_state(BM=Array([Name.Multiply, Name.Normal]))),
    ("soft mask", "transparency", OLD, lambda s: (b"/I Do", picture(s, SMask=mask(s)))),
    ("group", "transparency", OLD, form_with(Group=Dictionary(S=Name.Transparency))),
    ("lzw", "filter", ALL, shown(Filter=Name.LZWDecode)),
    ("lzw below flate", "filter", ALL, shown(Filter=Array([Name.FlateDecode, Name.LZWDecode]))),
    ("lzw of a mask", "filter", ALL, lambda s: (
        b"/I Do", picture(s, Mask=mask(s, ImageMask=True, Filter=Name.LZWDecode)))),
    ("lzw inline", "filter", ALL, lambda s: (
        b"BI /W 1 /H 1 /BPC 8 /CS /G /F /LZW ID a EI", Dictionary())),
    ("no filter of PDF", "filter", ALL, shown(Filter=Name.TarDecode)),
    ("elsewhere", "foreign", ALL, shown(F=String("elsewhere.bin"))),
    ("mask elsewhere", "foreign", ALL, lambda s: (
        b"/I Do", picture(s, Mask=mask(s, ImageMask=True, F=String("elsewhere.bin"))))),
    ("OPI of a picture", "foreign", ALL, shown(OPI=Dictionary())),
    ("OPI of a form", "foreign", ALL, form_with(OPI=Dictionary())),
    ("alternates", "foreign", ALL, shown(Alternates=Array([]))),
    ("alternates of a mask", "foreign", ALL, lambda s: (
        b"/I Do", picture(s, Mask=mask(s, ImageMask=True, Alternates=Array([]))))),
    ("another file's page", "foreign", ALL, form_with(Ref=Dictionary())),
    ("PostScript", "foreign", ALL, postscript),
    ("PostScript as a form", "foreign", ALL, form_with(Subtype2=Name.PS)),
    ("PostScript of a form", "foreign", ALL, form_with(PS=Dictionary())),
    ("curve", "transfer", ALL, set_state(TR=Name.Identity)),
    ("newer curve", "transfer", ALL, set_state(TR2=Name.Identity)),
    ("curve of a pattern", "transfer", ALL, state_of_a_shading_pattern),
    ("curve of a screen", "transfer", ALL, screen(TransferFunction=Name.Identity)),
    ("curve of an ink", "transfer", ALL, screen(
        HalftoneType=5, Default=Dictionary(HalftoneType=1),
        Black=Dictionary(HalftoneType=1, TransferFunction=Name.Identity))),
    ("screen of a kind", "halftone", ALL, screen(HalftoneType=6)),
    ("screen by name", "halftone", ALL, screen(HalftoneName=String("Fine"))),
    ("screen of an ink", "halftone", ALL, screen(
        HalftoneType=5, Default=Dictionary(HalftoneType=10))),
    ("cut short", "unread", ALL, lambda s: (b"0 g (never closed", Dictionary())),
]  # fmt: skip


@pytest.mark.parametrize(("name", "code", "parts", "what"), THINGS, ids=[t[0] for t in THINGS])
def test_each_thing_is_found_in_every_place(
    name: str,
    code: str,
    parts: tuple[Part, ...],
    what: Thing,
    tmp_path: Path,
) -> None:
    for place in PLACES:
        path = sheet(tmp_path / f"{place.__name__}.pdf", hidden(place, what))
        for part in Part:
            found = set(broken(path, part))
            if place is in_a_soft_mask and part.older:
                assert "transparency" in found
                found -= {"transparency"} - {code}
            assert found == ({code} if part in parts else set()), (place.__name__, part)


@pytest.mark.parametrize("place", PLACES, ids=[p.__name__ for p in PLACES])
def test_every_place_passes_what_is_harmless(place: Place, tmp_path: Path) -> None:
    def fine(sample: Sample) -> tuple[bytes, Dictionary]:
        resources = picture(sample, Mask=mask(sample, ImageMask=True, BitsPerComponent=1))
        resources.ColorSpace = Dictionary(C=inks(Name.DeviceCMYK, Name.DeviceCMYK)(sample))
        screens = Dictionary(
            HalftoneType=5, Default=Dictionary(HalftoneType=1),
            Tar=Dictionary(HalftoneType=1, TransferFunction=Name.Identity),
        )  # fmt: skip
        resources.ExtGState = Dictionary(G=Dictionary(HT=screens, ca=1, TR2=Name.Default))
        font = bare_font()
        font.FontDescriptor = Dictionary(FontFile=Stream(sample.pdf, b"glyphs"))
        resources.Font = Dictionary(F=font, Unused=bare_font())
        data = b"/G gs /C cs 1 1 scn 0 1 0 0 K /I Do BT /F 9 Tf (a) Tj ET /Span <</MCID 0>> BDC EMC"
        return data, resources

    path = sheet(tmp_path / "fine.pdf", hidden(place, fine))
    for part in Part:
        only = ["transparency"] if place is in_a_soft_mask and part.older else []
        assert broken(path, part) == only, part
