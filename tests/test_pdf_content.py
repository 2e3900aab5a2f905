"""Pages that become forms: contents of every kind, annotations, groups, codings."""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from pdf_samples import (
    HEIGHT,
    WIDTH,
    Sample,
    annotation,
    appearance,
    armoured,
    figure,
    indirect,
    layer,
    numbered,
    scans,
    two_up,
)
from pikepdf import Array, Dictionary, Name, Object
from PIL import Image

from impose.pdf.read import open_sources
from impose.pdf.verify import verify_sheets
from impose.pdf.write import write_sheets
from impose.plan.parts import MarkGroup


@contextmanager
def sheets(source: Path) -> Iterator[pikepdf.Pdf]:
    """The source two-up, written, proved and opened again."""
    target = source.with_name("sheets.pdf")
    with open_sources([source]) as sources:
        plan = two_up(sources.facts, marks=MarkGroup())
        write_sheets(plan, sources, target)
        verify_sheets(plan, sources, target)
    with pikepdf.Pdf.open(target) as pdf:
        yield pdf


def forms(pdf: pikepdf.Pdf) -> list[Object]:
    """The form of each page, in reading order."""
    return [
        page.Resources.XObject[name]
        for page in pdf.pages
        for name in sorted(page.Resources.XObject.keys())
    ]


def picture(path: Path, page: int = 0, scale: float = 1) -> Image.Image:
    with pypdfium2.PdfDocument(path) as pdf:
        return pdf[page].render(scale=scale).to_pil().convert("RGB")


def colour(path: Path, x: float, y: float) -> tuple[int, ...]:
    """The colour of the first written sheet at a point of its first page."""
    image = picture(path.with_name("sheets.pdf"))
    found = image.getpixel((round(45 + x), image.height - round(50 + y)))
    assert isinstance(found, tuple)
    return found


# -- contents ---------------------------------------------------------------------------


def test_one_stream_is_carried_as_it_is(tmp_path: Path) -> None:
    source = numbered(tmp_path / "a.pdf", 3)
    with pikepdf.Pdf.open(source) as pdf:
        wanted = [page.Contents.read_raw_bytes() for page in pdf.pages]
    with sheets(source) as pdf:
        assert [form.read_raw_bytes() for form in forms(pdf)] == wanted
        assert {form.BBox.objgen for form in forms(pdf)} == {forms(pdf)[0].BBox.objgen}
        assert [float(v) for v in forms(pdf)[0].BBox] == [0, 0, WIDTH, HEIGHT]
        assert all("/Matrix" not in form for form in forms(pdf))


def test_contents_arrays_are_joined_with_a_break_between(tmp_path: Path) -> None:
    sample = Sample()
    parts = [sample.stream(part) for part in (b"0 0 1 rg 0 0", b"50 50 re", b"f")]
    sample.page(Array(parts))
    sample.page(sample.pdf.make_indirect(Array(parts[:2])))
    sample.page(Array([parts[0]]))
    with sheets(sample.save(tmp_path / "a.pdf")) as pdf:
        data = [form.read_bytes() for form in forms(pdf)]
    assert data == [b"0 0 1 rg 0 0\n50 50 re\nf", b"0 0 1 rg 0 0\n50 50 re", b"0 0 1 rg 0 0"]
    assert colour(tmp_path / "a.pdf", 20, 20) == (0, 0, 255)


def test_no_contents_give_an_empty_form(tmp_path: Path) -> None:
    sample = Sample()
    sample.page(None)
    sample.page(Array([]))
    with sheets(sample.save(tmp_path / "a.pdf")) as pdf:
        assert [form.read_bytes() for form in forms(pdf)] == [b"", b""]


def test_contents_shared_by_pages_are_one_form_or_copies(tmp_path: Path) -> None:
    sample = Sample()
    shared = sample.stream(b"q /S gs Q " + figure(1))
    other = Dictionary(Font=Dictionary(F1=sample.font), ExtGState=Dictionary(S=Dictionary(LW=2)))
    for resources in (sample.resources, sample.resources, other):
        sample.page(shared, Resources=resources)
    sample.page(Array([shared]), Rotate=90)
    source = sample.save(tmp_path / "a.pdf")
    with sheets(source) as pdf:
        one, two, three, four = forms(pdf)
        assert one.objgen == two.objgen
        assert len({one.objgen, three.objgen, four.objgen}) == 3
        assert len({form.read_raw_bytes() for form in (one, three, four)}) == 1
        assert three.Resources.ExtGState.S.LW == 2


def test_resources_written_in_every_page_are_shared(tmp_path: Path) -> None:
    sample = Sample()
    for number in range(1, 5):
        sample.numbered(number, Resources=Dictionary(Font=Dictionary(F1=sample.font)))
    with sheets(sample.save(tmp_path / "a.pdf")) as pdf:
        assert len({form.Resources.objgen for form in forms(pdf)}) == 1


def test_a_page_without_resources(tmp_path: Path) -> None:
    sample = Sample()
    del sample.page(b"0 0 1 rg 0 0 50 50 re f")["/Resources"]
    with sheets(sample.save(tmp_path / "a.pdf")):
        assert colour(tmp_path / "a.pdf", 20, 20) == (0, 0, 255)


def test_scans_are_told_apart_by_what_they_draw(tmp_path: Path) -> None:
    with sheets(scans(tmp_path / "a.pdf", 4)) as pdf:
        images = [form.Resources.XObject.Im0.read_bytes()[0] for form in forms(pdf)]
    assert images == [0, 40, 80, 120]


def test_contents_that_cannot_be_read_name_the_page(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    broken = pikepdf.Stream(sample.pdf, b"not deflated at all", Filter=Name.FlateDecode)
    sample.page(Array([sample.stream(b"q"), broken]))
    source = sample.save(tmp_path / "a.pdf")
    target = tmp_path / "sheets.pdf"
    with open_sources([source]) as sources:
        (said,) = write_sheets(two_up(sources.facts), sources, target)
    assert said.code == "content-damaged" and said.pages == (2,)
    assert str(source) in said.message and "page 2" in said.message
    with pikepdf.open(target) as pdf:
        assert b"q" in [form.read_bytes().strip() for form in forms(pdf)]


def test_everything_behind_references(tmp_path: Path) -> None:
    with sheets(indirect(tmp_path / "a.pdf")) as pdf:
        (form,) = forms(pdf)
        assert form.read_bytes() == figure(1)
        assert [float(v) for v in form.BBox] == [0, 0, 200.25, 300]
        assert form.Resources.Properties.P.Depth == -90
        assert form.Resources.Properties.P.get("/Nothing") is None


# -- codings ----------------------------------------------------------------------------


def test_the_ascii_coding_goes_and_what_is_in_it_stays(tmp_path: Path) -> None:
    source = armoured(tmp_path / "a.pdf", 3)
    with pikepdf.Pdf.open(source) as pdf:
        wanted = [page.Contents.read_bytes() for page in pdf.pages]
        assert [str(name) for name in pdf.pages[0].Contents.Filter] == [
            "/ASCII85Decode",
            "/FlateDecode",
        ]
    with sheets(source) as pdf:
        assert [form.read_bytes() for form in forms(pdf)] == wanted
        assert {str(form.Filter) for form in forms(pdf)} == {"/FlateDecode"}
        assert all(zlib.decompress(form.read_raw_bytes()) for form in forms(pdf))


def test_other_codings_stay(tmp_path: Path) -> None:
    sample = Sample()
    runs = bytes([6]) + b"0 0 1 r" + bytes([16]) + b"g 0 0 50 50 re f " + bytes([128])
    sample.page(pikepdf.Stream(sample.pdf, runs, Filter=Name.RunLengthDecode))
    parms = Dictionary(Predictor=12, Columns=4)
    rows = b"\x02" + b"0 0 " + b"\x02" + bytes(4)
    sample.page(
        pikepdf.Stream(sample.pdf, zlib.compress(rows), Filter=Name.FlateDecode, DecodeParms=parms)
    )
    none = pikepdf.StreamDecodeLevel.none
    source = sample.save(tmp_path / "a.pdf", compress_streams=False, stream_decode_level=none)
    with sheets(source) as pdf:
        one, two = forms(pdf)
        assert one.read_raw_bytes() == runs and one.Filter == Name.RunLengthDecode
        assert two.read_raw_bytes() == zlib.compress(rows)
        assert two.DecodeParms.Predictor == 12


def test_a_content_without_filter_is_deflated(tmp_path: Path) -> None:
    sample = Sample()
    sample.page(pikepdf.Stream(sample.pdf, figure(1) * 20))
    source = sample.save(tmp_path / "a.pdf", compress_streams=False)
    with sheets(source) as pdf:
        (form,) = forms(pdf)
        assert form.Filter == Name.FlateDecode
        assert form.read_bytes() == figure(1) * 20


def test_the_length_of_a_stream_may_be_a_reference_or_wrong(tmp_path: Path) -> None:
    source = numbered(tmp_path / "a.pdf", 2)
    with pikepdf.Pdf.open(source) as pdf:
        pdf.save(tmp_path / "b.pdf", object_stream_mode=pikepdf.ObjectStreamMode.disable)
    data = (tmp_path / "b.pdf").read_bytes()
    at = data.index(b"/Length ", data.index(b"stream"))
    length = data[at + 8 : data.index(b" ", at + 8)]
    wrong = str(int(length) + 3).encode()
    assert len(wrong) == len(length)
    (tmp_path / "b.pdf").write_bytes(data[: at + 8] + wrong + data[at + 8 + len(length) :])
    with pikepdf.Pdf.open(source) as pdf:
        wanted = [page.Contents.read_bytes() for page in pdf.pages]
    with sheets(tmp_path / "b.pdf") as pdf:
        assert [form.read_bytes() for form in forms(pdf)] == wanted


# -- groups -----------------------------------------------------------------------------


def test_a_page_s_group_becomes_the_form_s_and_stays_isolated(tmp_path: Path) -> None:
    sample = Sample()
    group = Dictionary(Type=Name.Group, S=Name.Transparency, CS=Name.DeviceCMYK)
    for number in (1, 2):
        sample.numbered(number, Group=group)
    sample.numbered(3)
    with sheets(sample.save(tmp_path / "a.pdf")) as pdf:
        one, two, three = forms(pdf)
        assert Name.DeviceCMYK == one.Group.CS and one.Group.I is True
        assert one.Group.objgen == two.Group.objgen
        assert "/Group" not in three


# -- annotations ------------------------------------------------------------------------


def annotated(path: Path, *found: Object, sample: Sample, **entries: object) -> Path:
    sample.page(b"0.9 g 0 0 200 300 re f", Annots=Array(list(found)), **entries)
    return sample.save(path)


RED = b"1 0 0 rg 0 0 40 40 re f"


def test_appearances_become_part_of_the_page(tmp_path: Path) -> None:
    sample = Sample()
    look = Dictionary(N=appearance(sample, RED))
    source = annotated(
        tmp_path / "a.pdf",
        annotation(sample, "Square", (20, 100, 100, 140), AP=look, F=4),
        annotation(sample, "Link", (0, 0, 10, 10)),
        sample=sample,
    )
    with sheets(source) as pdf:
        assert b"/Annots" not in b"".join(obj.unparse(True) for obj in pdf.objects)
    assert colour(source, 90, 130) == (255, 0, 0)  # twice as wide as its own box
    assert colour(source, 110, 130)[0] == colour(source, 110, 130)[1]


def test_the_matrix_of_an_appearance_counts(tmp_path: Path) -> None:
    """ISO 32000-1 12.5.5: the turned box is laid on the rectangle."""
    sample = Sample()
    half = b"1 0 0 rg 0 0 20 40 re f"  # the left half, which the quarter turn brings to the foot
    look = Dictionary(N=appearance(sample, half, Matrix=Array([0, 1, -1, 0, 7, 9])))
    source = annotated(
        tmp_path / "a.pdf",
        annotation(sample, "Stamp", (20, 100, 100, 140), AP=look, F=4),
        sample=sample,
    )
    with sheets(source):
        pass
    assert colour(source, 60, 105) == (255, 0, 0)
    assert colour(source, 60, 135) != (255, 0, 0)


@pytest.mark.parametrize(
    ("flags", "drawn"), [(0, True), (4, True), (2, False), (6, False), (32, False), (36, True)]
)
def test_hidden_annotations_are_not_drawn(tmp_path: Path, flags: int, drawn: bool) -> None:
    sample = Sample()
    look = Dictionary(N=appearance(sample, RED))
    source = annotated(
        tmp_path / "a.pdf",
        annotation(sample, "Square", (20, 100, 60, 140), AP=look, F=flags),
        sample=sample,
    )
    with sheets(source):
        pass
    assert (colour(source, 40, 120) == (255, 0, 0)) is drawn


def test_popups_are_not_drawn_and_states_are_chosen(tmp_path: Path) -> None:
    sample = Sample()
    states = Dictionary(N=Dictionary(Yes=appearance(sample, RED), Off=appearance(sample, b"")))
    fields = [
        annotation(sample, "Widget", (20, 100, 60, 140), AP=states, AS=Name.Yes, FT=Name.Btn),
        annotation(sample, "Widget", (80, 100, 120, 140), AP=states, AS=Name.Off, FT=Name.Btn),
        annotation(sample, "Widget", (80, 10, 120, 50), AP=states, AS=Name.Other, FT=Name.Btn),
    ]
    popup = annotation(
        sample, "Popup", (140, 100, 180, 140), AP=Dictionary(N=appearance(sample, RED))
    )
    sample.pdf.Root.AcroForm = Dictionary(Fields=Array(fields))
    source = annotated(tmp_path / "a.pdf", *fields, popup, sample=sample)
    with sheets(source):
        pass
    assert colour(source, 40, 120) == (255, 0, 0)
    for x, y in ((100, 120), (100, 30), (160, 120)):
        assert colour(source, x, y) != (255, 0, 0)


def test_an_annotation_on_a_layer_stays_on_it(tmp_path: Path) -> None:
    sample = Sample()
    group = layer(sample, "Remarks")
    look = Dictionary(N=appearance(sample, RED))
    source = annotated(
        tmp_path / "a.pdf",
        annotation(sample, "Square", (20, 100, 60, 140), AP=look, OC=group),
        sample=sample,
    )
    with pikepdf.Pdf.open(source, allow_overwriting_input=True) as pdf:
        hidden = pdf.pages[0].Annots[0].OC
        pdf.Root.OCProperties = Dictionary(OCGs=Array([hidden]), D=Dictionary(OFF=Array([hidden])))
        pdf.save(source)
    with sheets(source):
        pass
    assert colour(source, 40, 120) != (255, 0, 0)


def test_the_group_of_an_annotated_page_is_round_page_and_annotations(tmp_path: Path) -> None:
    sample = Sample()
    look = Dictionary(N=appearance(sample, RED))
    source = annotated(
        tmp_path / "a.pdf",
        annotation(sample, "Square", (20, 100, 60, 140), AP=look),
        sample=sample,
        Group=Dictionary(S=Name.Transparency, CS=Name.DeviceRGB),
    )
    with sheets(source) as pdf:
        (outer,) = forms(pdf)
        assert Name.DeviceRGB == outer.Group.CS
        assert "/Group" not in outer.Resources.XObject.P


def test_the_page_under_annotations_keeps_its_bytes(tmp_path: Path) -> None:
    sample = Sample()
    look = Dictionary(N=appearance(sample, RED))
    source = annotated(
        tmp_path / "a.pdf",
        annotation(sample, "Square", (20, 100, 60, 140), AP=look),
        sample=sample,
        Rotate=90,
    )
    with pikepdf.Pdf.open(source) as pdf:
        wanted = pdf.pages[0].Contents.read_raw_bytes()
    with sheets(source) as pdf:
        (outer,) = forms(pdf)
        assert outer.Resources.XObject.P.read_raw_bytes() == wanted
