"""The shipped font: a subset that other programs read, and no silent boxes."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ImageFont
from reportlab.pdfbase.ttfonts import TTFontFile

from impose.pdf.lettering import BOLD, FONTS, REGULAR, Lettering, clean
from impose.pdf.out import PdfOut
from impose.pdf.truetype import TrueType


@pytest.mark.parametrize("path", [REGULAR, BOLD])
def test_widths_and_coverage_agree_with_another_reader(path: Path) -> None:
    ours, theirs = TrueType(path), TTFontFile(str(path))
    for code in (*range(0x20, 0x600), 0x1E9E, 0x20AC, 0x2033, 0xFB01, 0x1D54A, 0x6F22):
        assert (ours.glyph(chr(code)) != 0) == (code in theirs.charToGlyph), hex(code)
        if code in theirs.charToGlyph:
            wanted = theirs.charWidths[code]
            assert ours.width(ours.glyph(chr(code))) == pytest.approx(wanted, abs=0.51), hex(code)
    ascent, descent = ImageFont.truetype(str(path), 1000).getmetrics()
    assert (ours.ascent, ours.descent) == pytest.approx((ascent, -descent), abs=1)


def test_a_subset_draws_the_same_letters() -> None:
    """Composite letters (the accented ones) bring their parts along."""
    font = TrueType(REGULAR)
    letters = "Aé½ǘ"
    data = font.subset({0x41 + i: font.glyph(letter) for i, letter in enumerate(letters)})
    assert len(data) < 20_000
    whole = ImageFont.truetype(str(REGULAR), 60)
    part = ImageFont.truetype(io.BytesIO(data), 60, encoding="armn")
    for i, letter in enumerate(letters):
        wanted = whole.getmask(letter)
        found = part.getmask(chr(0x41 + i))
        assert found.size == wanted.size
        assert bytes(found) == bytes(wanted)


def written(texts: list[str]) -> tuple[bytes, Lettering]:
    """A page for each text."""
    file = io.BytesIO()
    out = PdfOut(file, "1.7")
    lettering = Lettering(texts)
    font = lettering.embed(out)
    tree = out.number()
    pages = []
    for text in texts:
        words = lettering.string(text)
        content = out.add_own_stream(b"", b"BT/F 20 Tf 10 20 Td%bTj ET" % words)
        pages.append(
            out.add_new(
                b"<</Type/Page/Parent %d 0 R/MediaBox[0 0 900 60]/Contents %d 0 R"
                b"/Resources<</Font<</F %d 0 R>>>>>>" % (tree, content, font)
            )
        )
    kids = b" ".join(b"%d 0 R" % page for page in pages)
    out.add(tree, b"<</Type/Pages/Count %d/Kids[%b]>>" % (len(pages), kids))
    root = out.add_new(b"<</Type/Catalog/Pages %d 0 R>>" % tree)
    out.finish(root, out.add_new(b"<<>>"))
    return file.getvalue(), lettering


TEXTS = ["Größe (1) \\ 7½″", "Ελλάδα, Жёлтый", "ﬁ ﬂ “quoted” – € ©", "sheet 12 of 2500, front"]


def test_other_readers_find_the_words() -> None:
    data, lettering = written(TEXTS)
    assert lettering.lacking == ()
    pages = pypdf.PdfReader(io.BytesIO(data)).pages
    assert [page.extract_text().strip() for page in pages] == TEXTS
    with pypdfium2.PdfDocument(data) as pdf:
        assert [page.get_textpage().get_text_range() for page in pdf][3] == TEXTS[3]


def test_words_are_as_wide_as_the_letters_say() -> None:
    data, _ = written(["mmmmmmmm", "iiiiiiii"])
    with pypdfium2.PdfDocument(data) as pdf:
        for page, letter in zip(pdf, "mi", strict=True):
            boxes = [page.get_textpage().get_charbox(i) for i in (0, 7)]
            font = TrueType(REGULAR)
            step = font.width(font.glyph(letter)) * 20 / 1000
            assert boxes[1][0] - boxes[0][0] == pytest.approx(7 * step, abs=0.02)


def test_control_characters_and_overrides_of_direction_are_stripped() -> None:
    assert clean("a\u202eb\u2066c\u200fd\x00e\x1bf\u00adg") == "abcdefg"
    assert clean("a\tb\r\nc\u2028d") == "a b  c d"
    assert clean("cafe\u0301") == "caf\u00e9"


def test_what_the_font_lacks_is_told_apart() -> None:
    lettering = Lettering(["a漢b字"])
    assert lettering.lacking == ("字", "漢")
    assert lettering.string("a漢b") == b"(a?b)"
    finding = lettering.finding()
    assert finding is not None and "U+6F22" in finding.message
    assert Lettering(["abc"]).finding() is None


def test_more_characters_than_codes_are_said_too() -> None:
    many = "".join(chr(code) for code in range(0x400, 0x500))
    lettering = Lettering([many])
    assert 0 < len(lettering.lacking) < len(many)
    assert lettering.string(many).count(b"?") >= len(lettering.lacking)


@settings(max_examples=60)
@given(st.lists(st.text(max_size=30), min_size=1, max_size=4))
def test_any_text_can_be_embedded(texts: list[str]) -> None:
    data, lettering = written(texts)
    assert len(pypdf.PdfReader(io.BytesIO(data)).pages) == len(texts)
    for text in texts:
        assert lettering.string(text).startswith(b"(")


def test_the_licence_is_shipped() -> None:
    assert "Bitstream" in (FONTS / "LICENSE.txt").read_text(encoding="utf-8")
