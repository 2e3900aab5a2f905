"""What a part of ISO 15930 bars, wherever else in a file it is: catalogue, outlines, boxes, intent.

The numbers are sections and tables of ISO 32000-1; which rule stands on what is said in
`impose.checks`.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from iccsamples import profile
from pdf_samples import Sample, annotation
from pikepdf import Array, Dictionary, Name, Stream, String
from readyplaces import (
    ALL,
    OLD,
    bare_font,
    drawn,
    hidden,
    icc,
    mask,
    on_the_page,
    picture,
    set_space,
)
from readysamples import Change, broken, content, image, root, sheet, state

from impose.checks.ready import check_ready
from impose.model.conditions import Part
from impose.pdf.sheetreading import read_sheets


def script() -> Dictionary:
    return Dictionary(S=Name.JavaScript, JS=String("beep()"))


def going() -> Dictionary:
    return Dictionary(S=Name.GoTo, D=Array([]))


def outlines(**entries: object) -> Change:
    """Table 153; the item lies below another."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        inner = s.pdf.make_indirect(Dictionary(Title=String("Two"), **entries))
        outer = s.pdf.make_indirect(Dictionary(Title=String("One"), First=inner, Last=inner))
        s.pdf.Root.Outlines = Dictionary(Type=Name.Outlines, First=outer, Last=outer)

    return change


def note_above(**entries: object) -> Change:
    """A note that only its popup, outside what is printed, leads to (table 183)."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        above = annotation(s, "Text", (0, 0, 4, 4), **entries)
        page.Annots = Array([annotation(s, "Popup", (0, 0, 4, 4), Parent=above)])

    return change


def outside_note(subtype: str, **entries: object) -> Change:
    def change(s: Sample, page: pikepdf.Object) -> None:
        page.Annots = Array([annotation(s, subtype, (0, 0, 4, 4), **entries)])

    return change


def with_file(make: Callable[[Sample, pikepdf.Object, pikepdf.Object], None]) -> Change:
    """A file specification that holds its file (7.11.4)."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        held = Stream(s.pdf, b"text", Type=Name.EmbeddedFile)
        spec = Dictionary(Type=Name.Filespec, F=String("a.txt"), EF=Dictionary(F=held))
        make(s, page, s.pdf.make_indirect(spec))

    return change


def file_of_a_note(s: Sample, page: pikepdf.Object, spec: pikepdf.Object) -> None:
    outside_note("FileAttachment", FS=spec)(s, page)


def file_of_the_document(s: Sample, page: pikepdf.Object, spec: pikepdf.Object) -> None:
    s.pdf.Root.AF = Array([spec])


def file_of_a_page(s: Sample, page: pikepdf.Object, spec: pikepdf.Object) -> None:
    page.AF = Array([spec])


def undrawn(**entries: object) -> Change:
    """A stream that hangs on the page and is never drawn."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        page.Thumb = Stream(s.pdf, bytes(8), Width=1, Height=1, **entries)

    return change


def font_program(**entries: object) -> Change:
    def change(s: Sample, page: pikepdf.Object) -> None:
        font = bare_font()
        program = Stream(s.pdf, b"glyphs", **entries)
        font.FontDescriptor = Dictionary(FontFile=program)
        page.Resources = Dictionary(Font=Dictionary(F=font))
        page.Contents = s.stream(b"BT /F 9 Tf (a) Tj ET")

    return change


def boxes(value: object, *names: str) -> Change:
    def change(s: Sample, page: pikepdf.Object) -> None:
        for name in names:
            page[f"/{name}"] = value

    return change


def inherited_crop(s: Sample, page: pikepdf.Object) -> None:
    """Table 30: a CropBox may come from above."""
    page.Parent.CropBox = Array([5, 5, 195, 280])


def inherited_trim(s: Sample, page: pikepdf.Object) -> None:
    """Table 30: a TrimBox may not."""
    page.Parent.TrimBox = page.TrimBox
    del page["/TrimBox"]


def intent(**entries: object) -> Change:
    def change(s: Sample, page: pikepdf.Object) -> None:
        one = s.pdf.Root.OutputIntents[0]
        for key, value in entries.items():
            if value is None:
                del one[f"/{key}"]
            else:
                one[f"/{key}"] = value

    return change


def channels(number: int) -> Change:
    def change(s: Sample, page: pikepdf.Object) -> None:
        s.pdf.Root.OutputIntents[0].DestOutputProfile.N = number

    return change


def of_grey(data: bytes) -> Change:
    """Sheets for black alone, with these colours in them."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        s.pdf.Root.OutputIntents[0].DestOutputProfile = Stream(s.pdf, profile(b"GRAY"))
        page.Contents = s.stream(data)

    return change


def no_profile(data: bytes) -> Change:
    def change(s: Sample, page: pikepdf.Object) -> None:
        intent(DestOutputProfile=None)(s, page)
        page.Contents = s.stream(data)

    return change


def newer_profile(version: int) -> Change:
    return hidden(on_the_page, set_space(icc(profile(b"RGB ", b"mntr", version))))


def blended(space: Name) -> Change:
    """The space of the page's group (table 147)."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        page.Group = Dictionary(S=Name.Transparency, CS=space)

    return change


def own_colours(number: int) -> Change:
    """A JPEG 2000 picture without colour space in PDF (7.4.9): the head of its colour box."""
    head = b"\0\0\0\x0fcolr\1\0\0" + number.to_bytes(4, "big")

    def change(s: Sample, page: pikepdf.Object) -> None:
        image(Filter=Name.JPXDecode)(s, page)
        shown = s.resources.XObject.I1
        del shown["/ColorSpace"]
        shown.write(head, filter=Name.JPXDecode)

    return change


def mark(flags: int) -> Change:
    return outside_note("PrinterMark", F=flags)


def line(*rect: float) -> Change:
    """A note round a line has no area."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        page.Annots = Array([annotation(s, "Line", rect)])

    return change


def fauxed(count: int) -> Change:
    """Table 366."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        outside_note("TrapNet", FontFauxing=Array([bare_font()] * count))(s, page)

    return change


def nested(deep: int) -> Change:
    """A form in a form in a form."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        inner = drawn(s, b"1 0 0 rg", Dictionary())
        for _ in range(deep):
            inner = drawn(s, b"/X Do", Dictionary(XObject=Dictionary(X=inner)))
        page.Resources = Dictionary(XObject=Dictionary(X=inner))
        page.Contents = s.stream(b"/X Do")

    return change


def round_about(s: Sample, page: pikepdf.Object) -> None:
    one = s.pdf.make_indirect(drawn(s, b"/X Do", Dictionary()))
    two = s.pdf.make_indirect(drawn(s, b"/X Do", Dictionary(XObject=Dictionary(X=one))))
    one.Resources = Dictionary(XObject=Dictionary(X=two))
    page.Resources = Dictionary(XObject=Dictionary(X=one))
    page.Contents = s.stream(b"/X Do")


def shared_picture(default: bool) -> Change:
    """The same picture under other defaults of the second page (8.6.5.6)."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        shown = s.pdf.make_indirect(mask(s, ColorSpace=Name.DeviceRGB))
        sound = Dictionary(DefaultRGB=icc(profile(b"RGB ", b"mntr"))(s))
        page.Resources = Dictionary(XObject=Dictionary(I=shown), ColorSpace=sound)
        page.Contents = s.stream(b"/I Do")
        second = s.page(b"/I Do", TrimBox=page.TrimBox)
        second.Resources = Dictionary(XObject=Dictionary(I=shown))
        if default:
            second.Resources.ColorSpace = sound

    return change


def base_words(s: Sample, page: pikepdf.Object) -> None:
    """Things called like actions and attached files that are none: a font, an element, a link's
    base (7.11, 12.6.4.7, 14.7)."""
    s.pdf.Root.URI = Dictionary(Base=String("/S /Launch (/EF << >>)"))
    element = s.pdf.make_indirect(Dictionary(Type=Name.StructElem, S=Name.Sound))
    s.pdf.Root.StructTreeRoot = Dictionary(K=Array([element]))
    font = bare_font()
    font.FontDescriptor = Dictionary(FontFile=Stream(s.pdf, b"glyphs"))
    page.Resources = Dictionary(Font=Dictionary(AA=font, JS=font, EF=font))
    page.Contents = s.stream(b"BT /AA 9 Tf (a) Tj /JS 9 Tf (a) Tj /EF 9 Tf (a) Tj ET")


PLAIN = content(b"0 g")
#: The rule, the parts that bar it, what breaks it and what does not.
ELSEWHERE: list[tuple[str, tuple[Part, ...], Change, Change]] = [
    ("action", ALL, outlines(A=script()), outlines(Dest=Array([]))),
    ("action", ALL, outlines(A=going()), outlines()),
    ("action", ALL, note_above(AA=Dictionary(K=script())), note_above()),
    ("action", ALL, note_above(A=script()), base_words),
    ("action", ALL, outside_note("Link", PA=going()), outside_note("Link", Dest=Array([]))),
    ("action", ALL, root(PageLabels=Dictionary(Next=script())),
     root(PageLabels=Dictionary(Nums=Array([0, Dictionary(S=Name.D)])))),
    ("action", ALL, root(Names=Dictionary(Pages=Dictionary(Names=Array([String("a"), script()])))),
     root(Names=Dictionary())),
    ("action", ALL, root(AcroForm=Dictionary(Fields=Array([]), XFA=String("x"))),
     root(AcroForm=Dictionary(Fields=Array([])))),
    ("attached", ALL, with_file(file_of_a_note), base_words),
    ("attached", ALL, with_file(file_of_the_document), root(AF=Array([]))),
    ("attached", ALL, with_file(file_of_a_page), PLAIN),
    ("attached", ALL, root(Collection=Dictionary()), PLAIN),
    ("filter", ALL, undrawn(Filter=Name.LZWDecode), undrawn(Filter=Name.RunLengthDecode)),
    ("filter", ALL, font_program(Filter=Name.LZWDecode), font_program()),
    ("foreign", ALL, font_program(F=String("lamp.ttf")), font_program()),
    ("foreign", ALL, undrawn(F=String("a.bin")), undrawn()),
    ("box-empty", ALL, boxes(Array([20, 20, 20, 20]), "TrimBox"),
     boxes(Array([190, 290, 10, 10]), "TrimBox")),
    ("box-empty", ALL, boxes(Array([5, 50, 195, 50]), "TrimBox"), PLAIN),
    ("box-unsound", ALL, boxes(Array([10, 10, 190]), "TrimBox"), PLAIN),
    ("box-unsound", ALL, boxes(Array([5, 5, 195, Name.Top]), "BleedBox"), PLAIN),
    ("box-unsound", ALL, boxes(String("5 5 195 295"), "CropBox"), PLAIN),
    ("box-missing", ALL, inherited_trim, PLAIN),
    ("newer", OLD, boxes(2, "UserUnit"), boxes(1, "UserUnit")),
    ("newer", OLD, newer_profile(4), newer_profile(2)),
    ("intent", ALL, intent(OutputConditionIdentifier=None), intent(Info=String("Quay"))),
    ("intent", ALL, intent(DestOutputProfile=None, OutputConditionIdentifier=None), PLAIN),
    ("intent", ALL, channels(3), channels(4)),
    ("colour", ALL, of_grey(b"1 0 0 rg"), of_grey(b"0 g")),
    ("colour", ALL[1:], of_grey(b"1 0 0 0 k"), of_grey(b"0 g")),
    ("printer-mark", ALL, mark(0), mark(68)),
    ("printer-mark", ALL, mark(4 | 64 | 2), mark(68)),
    ("layers", OLD, outside_note("Square", OC=Dictionary(Type=Name.OCG)), outside_note("Square")),
    ("font", ALL, fauxed(1), fauxed(0)),
    ("print-area", ALL, root(ViewerPreferences=Dictionary(PrintClip=Name.TrimBox)),
     root(ViewerPreferences=Dictionary(PrintArea=Name.BleedBox, ViewArea=Name.MediaBox))),
    ("box-nesting", ALL, boxes(Array([0, 0, 210, 300]), "CropBox"), PLAIN),
    ("annotation", ALL, line(20, 100, 90, 100), line(2, 100, 3, 100)),
    ("annotation", ALL, line(0, 100, 200, 100), line(0, 3, 200, 3)),
    ("unread", ALL, round_about, PLAIN),
    ("unread", ALL, nested(30), PLAIN),
    ("colour", ALL, nested(15), PLAIN),
]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "parts", "fault", "twin"),
    ELSEWHERE,
    ids=[f"{i}-{r[0]}" for i, r in enumerate(ELSEWHERE)],
)
def test_each_thing_is_found_wherever_the_file_has_it(
    code: str, parts: tuple[Part, ...], fault: Change, twin: Change, tmp_path: Path
) -> None:
    faulty, fine = sheet(tmp_path / "faulty.pdf", fault), sheet(tmp_path / "fine.pdf", twin)
    for part in Part:
        found = set(broken(faulty, part))
        if part is Part.X1A and code == "newer":
            found.discard("colour")  # any profile is one too many for it
        assert found == ({code} if part in parts else set()), part
        assert code not in broken(fine, part), part


def test_a_crop_box_of_the_page_tree_counts(tmp_path: Path) -> None:
    assert broken(sheet(tmp_path / "s.pdf", inherited_crop), Part.X4) == ["box-nesting"] * 2


def test_colours_that_cannot_both_be_meant(tmp_path: Path) -> None:
    both = sheet(tmp_path / "both.pdf", no_profile(b"1 0 0 rg 1 0 0 0 k"))
    one = sheet(tmp_path / "one.pdf", no_profile(b"1 0 0 rg"))
    assert broken(both, Part.X3) == ["colour"]
    assert broken(one, Part.X3) == []
    assert broken(one, Part.X4) == ["intent"]


def test_the_space_of_a_group_is_one_of_the_intent(tmp_path: Path) -> None:
    wrong = sheet(tmp_path / "wrong.pdf", blended(Name.DeviceRGB))
    right = sheet(tmp_path / "right.pdf", blended(Name.DeviceCMYK))
    assert broken(wrong, Part.X4) == ["blending"]
    assert broken(right, Part.X4) == []
    assert broken(wrong, Part.X3) == ["transparency"]


def test_pictures_that_say_their_colours_themselves(tmp_path: Path) -> None:
    def told(name: str, change: Change) -> list[str]:
        return broken(sheet(tmp_path / f"{name}.pdf", change), Part.X4)

    def under_rgb(s: Sample, page: pikepdf.Object) -> None:
        s.pdf.Root.OutputIntents[0].DestOutputProfile = Stream(s.pdf, profile(b"RGB "))
        own_colours(12)(s, page)

    assert told("cmyk", own_colours(12)) == []
    assert told("srgb", own_colours(16)) == []
    assert told("other", under_rgb) == ["colour"]
    assert told("strange", own_colours(99)) == ["unread"]


def test_a_picture_is_judged_anew_on_a_page_with_other_defaults(tmp_path: Path) -> None:
    assert broken(sheet(tmp_path / "a.pdf", shared_picture(False)), Part.X4) == ["colour"]
    assert broken(sheet(tmp_path / "b.pdf", shared_picture(True)), Part.X4) == []


def test_a_blend_mode_that_pdf_has_not(tmp_path: Path) -> None:
    """The first that is known is taken (11.6.3)."""
    odd = sheet(tmp_path / "odd.pdf", state(BM=Name.Tar))
    one = sheet(tmp_path / "one.pdf", state(BM=Array([Name.Tar, Name.Multiply])))
    assert broken(odd, Part.X4) == ["missing"]
    assert broken(odd, Part.X3) == ["missing", "transparency"]
    assert broken(one, Part.X4) == []
    assert broken(one, Part.X3) == ["transparency"]


def test_colours_with_a_profile_need_another_to_go_to(tmp_path: Path) -> None:
    def change(s: Sample, page: pikepdf.Object) -> None:
        intent(DestOutputProfile=None)(s, page)
        hidden(on_the_page, set_space(icc(profile(b"RGB ", b"mntr"))))(s, page)

    assert broken(sheet(tmp_path / "s.pdf", change), Part.X3) == ["intent"]


def test_a_damaged_file(tmp_path: Path) -> None:
    path = sheet(tmp_path / "s.pdf")
    data = path.read_bytes()
    path.write_bytes(data.replace(b"startxref\n", b"startxref\n1"))
    assert broken(path, Part.X4) == ["damaged"]
    path.write_bytes(data[:-40])
    assert "damaged" in broken(path, Part.X4)


def test_pages_of_streams_that_are_drawn_are_named(tmp_path: Path) -> None:
    """Tiles, glyphs and masks, with their filters; a link with its act."""

    def change(s: Sample, page: pikepdf.Object) -> None:
        tile = Stream(
            s.pdf, b"0 g", PatternType=1, PaintType=1, TilingType=1, BBox=Array([0, 0, 9, 9]),
            XStep=9, YStep=9, Resources=Dictionary(), Filter=Name("/TarTiles"),
        )  # fmt: skip
        glyph = Stream(s.pdf, b"0 g", Filter=Name("/TarGlyphs"))
        font = Dictionary(Type=Name.Font, Subtype=Name.Type3, CharProcs=Dictionary(a=glyph))
        page.Resources = picture(s, SMask=mask(s, Filter=Name("/TarMask"), BitsPerComponent=16))
        page.Resources.Pattern = Dictionary(P=tile)
        page.Resources.Font = Dictionary(T=font)
        page.Contents = s.stream(b"/Pattern cs /P scn /T 9 Tf /I Do")
        outside_note("Link", PA=going())(s, page)

    told = check_ready(read_sheets(sheet(tmp_path / "s.pdf", change)), Part.X3, "mm")
    found = {finding.code: finding for finding in told}
    assert {found[f"ready-{code}"].pages for code in ("filter", "newer", "action")} == {(1,)}
    for name in ("TarTiles", "TarGlyphs", "TarMask"):
        assert name in found["ready-filter"].message


def test_encryption_stream_by_stream(tmp_path: Path) -> None:
    """7.4.10; the library takes the filter off when it writes."""
    path = sheet(tmp_path / "s.pdf", undrawn(Filter=Name("/CrypX")))
    path.write_bytes(path.read_bytes().replace(b"/CrypX", b"/Crypt"))
    assert broken(path, Part.X4) == ["filter"]


def test_an_older_revision_with_its_references_in_a_stream(tmp_path: Path) -> None:
    """7.5.8: what an update of the file no longer uses is in it all the same."""
    path = sheet(tmp_path / "s.pdf")
    stale = b"\n99 0 obj\n<< /Type /XRef /Length 0 >>\nstream\n\nendstream\nendobj\n"
    head, mark, tail = path.read_bytes().rpartition(b"\nxref\n")
    start = len(head) + len(stale) + 1
    old = tail.rpartition(b"startxref\n")[0]
    path.write_bytes(head + stale + mark + old + b"startxref\n%d\n%%%%EOF\n" % start)
    assert broken(path, Part.X3) == ["object-streams"]
    assert broken(path, Part.X4) == []
