"""The file format: objects are found again, whichever way they are listed."""

from __future__ import annotations

import io
import zlib

import pikepdf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from impose.pdf.out import PdfOut, _predicted


def small_file(packed: bool, objects: int = 450) -> bytes:
    """An empty page, many objects, and streams short and long."""
    file = io.BytesIO()
    out = PdfOut(file, "1.7" if packed else "1.4", packed)
    numbers = [out.add_new(b"[%d(\\))]" % count) for count in range(objects)]
    short = out.add_own_stream(b"", b"short")
    long = out.add_own_stream(b"/Kind/Long", b"long " * 100)
    tree = out.number()
    page = out.add_new(b"<</Type/Page/Parent %d 0 R/MediaBox[0 0 9 9]/Resources<<>>>>" % tree)
    out.add(tree, b"<</Type/Pages/Count 1/Kids[%d 0 R]>>" % page)
    listed = b" ".join(b"%d 0 R" % number for number in numbers)
    root = out.add_new(
        b"<</Type/Catalog/Pages %d 0 R/All[%b]/Short %d 0 R/Long %d 0 R>>"
        % (tree, listed, short, long)
    )
    out.finish(root, out.add_new(b"<</Title(x)>>"))
    return file.getvalue()


@pytest.mark.parametrize("packed", [True, False])
@pytest.mark.parametrize("objects", [0, 1, 196, 450])
def test_another_reader_finds_every_object(packed: bool, objects: int) -> None:
    data = small_file(packed, objects)
    with pikepdf.Pdf.open(io.BytesIO(data)) as pdf:
        assert [(int(x[0]), str(x[1])) for x in pdf.Root.All] == [(k, ")") for k in range(objects)]
        assert pdf.Root.Short.read_raw_bytes() == b"short"
        assert pdf.Root.Long.read_bytes() == b"long " * 100
        assert len(pdf.Root.Long.read_raw_bytes()) < 100
        assert pdf.check_pdf_syntax() == []
    assert (b"/ObjStm" in data) is packed
    assert (b"\nxref\n" in data) is not packed


def test_equal_content_has_equal_identifiers() -> None:
    assert small_file(True) == small_file(True)
    assert small_file(True, 450)[-200:] != small_file(True, 449)[-200:]


class Far(io.BytesIO):
    """Stands for a file of which only the end is looked at."""


def test_files_beyond_four_gigabytes_get_wider_numbers() -> None:
    file = Far()
    out = PdfOut(file, "1.7")
    out._at = 5 << 32
    number = out.add_new_stream(b"", b"x", 0)
    out.finish(number, number)
    data = file.getvalue()
    assert b"/W[1 8 1]" in data and b"/Columns 10" in data
    at = data.rindex(b">>stream\n") + len(b">>stream\n")
    rows = zlib.decompress(data[at : data.index(b"\nendstream", at)])
    assert rows[12:22] == bytes([1]) + (5 << 32).to_bytes(8, "big") + bytes([0])
    assert int(data.split(b"startxref\n")[1].split()[0]) > 5 << 32


@given(st.integers(1, 12), st.binary(max_size=600))
def test_rows_less_the_one_above(columns: int, data: bytes) -> None:
    rows = data[: len(data) // columns * columns]
    if not rows:
        return
    found = _predicted(rows, columns)
    above = bytes(columns)
    for start in range(0, len(rows), columns):
        at = start // columns * (columns + 1)
        assert found[at] == 2
        less = found[at + 1 : at + 1 + columns]
        row = bytes((a + b) & 0xFF for a, b in zip(less, above, strict=True))
        assert row == rows[start : start + columns]
        above = row
