"""Opening inputs: boxes, turns and units settled, faults named."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pikepdf
import pytest
from pdf_samples import Sample, annotation, appearance, figure, indirect, numbered
from pikepdf import Array, Dictionary, Name, String

from impose.errors import ExitCode, InputError
from impose.geometry.box import Box
from impose.model.facts import PageFacts
from impose.pdf.pagetext import entries, fold, numbers, split_contents
from impose.pdf.read import open_sources
from impose.units import Length


def points(x0: str, y0: str, x1: str, y1: str) -> Box:
    return Box(*(Length.points(value) for value in (x0, y0, x1, y1)))


def facts_of(path: Path) -> PageFacts:
    with open_sources([path]) as sources:
        return sources.facts[0].pages[0]


def one_page(path: Path, **values: object) -> PageFacts:
    sample = Sample()
    sample.numbered(1, **values)
    return facts_of(sample.save(path))


# -- boxes ------------------------------------------------------------------------------


def test_all_four_boxes_are_read_exactly(tmp_path: Path) -> None:
    sample = Sample()
    page = sample.numbered(1)
    for name, text in (
        ("MediaBox", b"[ 0 0 220.1234567 330 ]"),
        ("CropBox", b"[ 1 1 219 329 ]"),
        ("BleedBox", b"[ 2 2 218 328 ]"),
        ("TrimBox", b"[ 10.5 10.5 209.5 319.5 ]"),
    ):
        page[f"/{name}"] = pikepdf.Object.parse(text)
    facts = facts_of(sample.save(tmp_path / "a.pdf"))
    assert facts.media == points("0", "0", "220.1234567", "330")
    assert facts.crop == points("1", "1", "219", "329")
    assert facts.bleed == points("2", "2", "218", "328")
    assert facts.trim == points("10.5", "10.5", "209.5", "319.5")


def test_missing_boxes_are_none_and_the_crop_is_the_media(tmp_path: Path) -> None:
    facts = one_page(tmp_path / "a.pdf")
    assert facts.crop == facts.media == points("0", "0", "200", "300")
    assert facts.trim is None and facts.bleed is None


def test_corners_in_any_order_and_an_odd_origin(tmp_path: Path) -> None:
    facts = one_page(tmp_path / "a.pdf", MediaBox=Array([150, 290, -50, -10]))
    assert facts.media == points("-50", "-10", "150", "290")


def test_boxes_count_only_within_the_media_box(tmp_path: Path) -> None:
    facts = one_page(
        tmp_path / "a.pdf",
        CropBox=Array([-20, 10, 400, 290]),
        TrimBox=Array([300, 400, 500, 600]),
    )
    assert facts.crop == points("0", "10", "200", "290")
    assert facts.trim is None


def test_user_unit_is_applied_to_every_box(tmp_path: Path) -> None:
    facts = one_page(tmp_path / "a.pdf", UserUnit=2, TrimBox=Array([5, 5, 195, 295]))
    assert facts.media == points("0", "0", "400", "600")
    assert facts.trim == points("10", "10", "390", "590")
    assert facts.user_unit == Fraction(2)


@pytest.mark.parametrize(
    ("written", "read"), [(0, 0), (90, 90), (-90, 270), (450, 90), (-540, 180), (720, 0)]
)
def test_rotate_is_any_multiple_of_ninety(tmp_path: Path, written: int, read: int) -> None:
    assert one_page(tmp_path / "a.pdf", Rotate=written).rotate == read


def test_attributes_are_inherited_through_the_page_tree(tmp_path: Path) -> None:
    sample = Sample()
    for number in (1, 2):
        del sample.numbered(number)["/MediaBox"]
    tree = sample.pdf.Root.Pages
    middle = sample.pdf.make_indirect(
        Dictionary(Type=Name.Pages, Parent=tree, Kids=tree.Kids, Count=2, Rotate=-90)
    )
    for kid in middle.Kids:
        kid.Parent = middle
    tree.Kids = Array([middle])
    tree.MediaBox = Array([0, 0, 100, 150])
    path = sample.save(tmp_path / "a.pdf")
    with open_sources([path]) as sources:
        first, second = sources.facts[0].pages
        assert first.media == points("0", "0", "100", "150")
        assert first.rotate == 270
        assert first is second
        assert sources.facts[0].findings == ()


def test_indirect_boxes_and_numbers(tmp_path: Path) -> None:
    with open_sources([indirect(tmp_path / "a.pdf")]) as sources:
        (facts,) = sources.facts[0].pages
        assert sources.facts[0].findings == ()
    assert facts.media == facts.crop == points("0", "0", "300.375", "450")
    assert facts.trim == points("15.75", "15.75", "285.75", "450")
    assert (facts.rotate, facts.user_unit) == (270, Fraction(3, 2))


def test_entries_inside_other_dictionaries_are_not_the_page_s(tmp_path: Path) -> None:
    private = Dictionary(
        TrimBox=Array([1, 1, 2, 2]), Note=String("/Rotate 90 >> << (("), Rotate=90, UserUnit=3
    )
    facts = one_page(tmp_path / "a.pdf", AA=private, PieceInfo=Dictionary(X=private))
    assert facts == one_page(tmp_path / "b.pdf")


def test_equal_pages_share_one_value(tmp_path: Path) -> None:
    sample = Sample()
    for number in range(1, 6):
        sample.numbered(number, StructParents=number)
    with open_sources([sample.save(tmp_path / "a.pdf")]) as sources:
        assert len({id(page) for page in sources.facts[0].pages}) == 1


def test_unusable_entries_are_ignored_and_said(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    sample.numbered(2, TrimBox=Array([5, 5, 5, 5]), Rotate=45, UserUnit=-1)
    sample.numbered(3, TrimBox=Array([0, 0, Name.Wide, 5]))
    path = sample.save(tmp_path / "a.pdf")
    with open_sources([path]) as sources:
        facts = sources.facts[0]
    assert facts.pages[1] == facts.pages[2] == facts.pages[0]
    said = {finding.numbers["entry"]: finding.pages for finding in facts.findings}
    assert said == {"TrimBox": (2, 3), "Rotate": (2,), "UserUnit": (2,)}
    assert all(finding.file == str(path) and finding.hint for finding in facts.findings)


# -- the text of a page -----------------------------------------------------------------


def test_folding_leaves_only_the_top_level() -> None:
    text = rb"/A << /B [ << /C (\)>> ) >> ] >> /D <ab01> /E (x (y\) [) /F [ 1 [ 2 ] ] /G 3 0 R >>"
    folded = fold(text.replace(rb"(x (y", rb"(x \(y"))
    assert entries(folded) == {
        b"A": b"@",
        b"D": b"@",
        b"E": b"@",
        b"F": b"[ 1 [ 2 ] ]",
        b"G": b"3 0 R",
    }


def test_contents_are_split_off_only_where_they_are_one_reference() -> None:
    assert split_contents(b"<< /Contents 12 0 R /Type /Page >>") == (b"12 0", b"/Type /Page >>")
    for text in (
        b"<< /Contents [ 12 0 R 13 0 R ] /Type /Page >>",
        b"<< /Annots [ << /Contents 4 0 R >> ] /Contents 12 0 R >>",
        b"<< /Type /Page >>",
    ):
        assert split_contents(text) == (b"", text)


def test_numbers_of_boxes() -> None:
    assert numbers(b"[ 0 -.5 5. +7 ]") == (0, Fraction(-1, 2), 5, 7)
    assert numbers(b"[ 0 0 null 5 ]") is None
    assert numbers(b"[ 0 0 NaN 5 ]") is None


# -- faults -----------------------------------------------------------------------------


def refused(path: Path, *passwords: str) -> InputError:
    with pytest.raises(InputError) as caught:
        open_sources([path], passwords)
    fault = caught.value
    assert str(path) in fault.message
    assert fault.hint
    assert fault.exit_code is ExitCode.INPUT
    return fault


def test_a_missing_file(tmp_path: Path) -> None:
    assert "does not exist" in refused(tmp_path / "none.pdf").message


def test_a_folder(tmp_path: Path) -> None:
    assert "cannot be read" in refused(tmp_path).message


@pytest.mark.parametrize(
    ("data", "words"), [(b"", "is empty"), (b"PK\x03\x04 a word file", "is not a PDF")]
)
def test_something_else_than_a_pdf(tmp_path: Path, data: bytes, words: str) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(data)
    assert words in refused(path).message


def test_damaged_beyond_repair(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(b"%PDF-1.7\n" + b"garbage " * 200)
    assert "beyond repair" in refused(path).message


def test_no_pages(tmp_path: Path) -> None:
    assert "no pages" in refused(Sample().save(tmp_path / "a.pdf")).message


def test_a_page_without_area_is_named(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    sample.numbered(2, MediaBox=Array([0, 0, 0, 300]))
    fault = refused(sample.save(tmp_path / "a.pdf"))
    assert "page 2" in fault.message and "[ 0 0 0 300 ]" in fault.message


def test_passwords(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    sample = Sample()
    sample.numbered(1)
    sample.save(path, encryption=pikepdf.Encryption(owner="own", user="open"))
    assert "--password" in refused(path).hint
    assert "no given password" in refused(path, "other").message
    for password in ("open", "own"):
        with open_sources([path], ["other", password]) as sources:
            assert len(sources.facts[0].pages) == 1


def test_an_empty_user_password_needs_none(tmp_path: Path) -> None:
    sample = Sample()
    sample.numbered(1)
    path = sample.save(tmp_path / "a.pdf", encryption=pikepdf.Encryption(owner="own", user=""))
    assert facts_of(path).media == points("0", "0", "200", "300")


def test_a_repaired_file_is_said(tmp_path: Path) -> None:
    whole = numbered(tmp_path / "whole.pdf", 3).read_bytes()
    path = tmp_path / "cut.pdf"
    path.write_bytes(whole[: whole.rindex(b"xref")])
    with open_sources([path]) as sources:
        assert len(sources.facts[0].pages) == 3
        (finding,) = sources.facts[0].findings
    assert finding.code == "repaired"
    assert int(finding.numbers["faults"]) > 0


def test_a_missing_media_box_is_letter_and_said(tmp_path: Path) -> None:
    sample = Sample()
    for number in (1, 2, 3):
        sample.numbered(number)
    del sample.pdf.pages[1].obj["/MediaBox"]
    path = sample.save(tmp_path / "a.pdf")
    with open_sources([path]) as sources:
        assert sources.facts[0].pages[1].media == points("0", "0", "612", "792")
        missing = [f for f in sources.facts[0].findings if f.code == "media-box-missing"]
    assert [finding.pages for finding in missing] == [(2,)]


def test_all_files_are_closed_when_one_is_refused(tmp_path: Path) -> None:
    good = numbered(tmp_path / "good.pdf", 1)
    with pytest.raises(InputError):
        open_sources([good, tmp_path / "none.pdf"])
    good.unlink()


def test_closing_twice_is_harmless(tmp_path: Path) -> None:
    sources = open_sources([numbered(tmp_path / "a.pdf", 1)])
    sources.close()
    sources.close()
    assert sources.paths == ()


# -- annotations ------------------------------------------------------------------------


def test_annotations_without_an_appearance_are_said_with_their_pages(tmp_path: Path) -> None:
    sample = Sample()
    note = annotation(sample, "Text", (10, 10, 30, 30))
    look = Dictionary(N=appearance(sample, b"0 0 40 40 re f"))
    empty = annotation(sample, "Widget", (10, 10, 30, 30), FT=Name.Tx, T=String("empty"))
    sample.pdf.Root.AcroForm = Dictionary(Fields=Array([empty]))
    fine = [
        annotation(sample, "Link", (10, 10, 30, 30)),
        annotation(sample, "Popup", (10, 10, 30, 30)),
        annotation(sample, "Text", (10, 10, 30, 30), F=2),
        annotation(sample, "Text", (10, 10, 30, 30), F=32),
        annotation(sample, "Text", (10, 10, 10, 10)),
        empty,
        annotation(sample, "Square", (10, 10, 30, 30), AP=look),
    ]
    sample.numbered(1, Annots=Array([note]))
    sample.numbered(2, Annots=Array(fine))
    sample.numbered(3, Annots=sample.pdf.make_indirect(Array([*fine, note])))
    with open_sources([sample.save(tmp_path / "a.pdf")]) as sources:
        (finding,) = sources.facts[0].findings
    assert (finding.code, finding.pages) == ("annotation-lost", (1, 3))


def test_fields_that_leave_their_looks_to_the_reader_get_them(tmp_path: Path) -> None:
    sample = Sample()
    field = annotation(
        sample, "Widget", (10, 10, 150, 40), FT=Name.Tx, T=String("name"), V=String("Ada"),
        DA=String("/F1 12 Tf 0 g"), F=4,
    )  # fmt: skip
    sample.page(figure(1), Annots=Array([field]))
    sample.pdf.Root.AcroForm = Dictionary(
        Fields=Array([field]), NeedAppearances=True, DR=Dictionary(Font=Dictionary(F1=sample.font))
    )
    with open_sources([sample.save(tmp_path / "a.pdf")]) as sources:
        assert sources.facts[0].findings == ()
