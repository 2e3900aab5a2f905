"""Broken and odd files: made, or refused in words; never a traceback."""

from __future__ import annotations

import random
from pathlib import Path

import pikepdf
import pytest
from corpus import fuzzcases
from pypdf import PdfReader

from impose.cli.main import run

SCALARS = b"""%PDF-1.4
1 0 obj
<</Type/Catalog/Pages 2 0 R>>
endobj
2 0 obj
<</Type/Pages/Kids[3 0 R]/Count 1>>
endobj
3 0 obj
<</Type/Page/Parent 2 0 R/MediaBox[0 0 420 595]/Contents 4 0 R
/Resources<</Font<</F1 5 0 R>>>>>>
endobj
4 0 obj
<</Length 6 0 R>>
stream
BT /F1 40 Tf 100 100 Td (Hi) Tj ET
endstream
endobj
5 0 obj
<</Type/Font/Subtype/Type1/BaseFont/Helvetica/FirstChar 7 0 R/Odd 8 0 R/Gone 9 0 R>>
endobj
6 0 obj
34
endobj
7 0 obj
32
endobj
8 0 obj
true
endobj
trailer <</Root 1 0 R>>
"""


def make(source: Path, out: Path) -> int:
    options = ["--binding", "saddle", "--sheet", "sra2", "--fit", "centre"]
    products = ["--only", "guts,plan", "--no-check", "--quiet"]
    return run(["make", str(source), *options, *products, "--out", str(out)])


def test_numbers_and_nothing_behind_references_are_carried(tmp_path: Path) -> None:
    source = tmp_path / "odd.pdf"
    source.write_bytes(SCALARS)
    assert make(source, tmp_path / "o") == 0
    assert "Hi" in PdfReader(tmp_path / "o" / "guts.pdf").pages[0].extract_text()
    with pikepdf.open(tmp_path / "o" / "guts.pdf") as pdf:
        forms = [form for form in pdf.pages[0].Resources.XObject.values() if "/Resources" in form]
        fonts = [
            form.Resources.Font.F1 for form in forms if "/F1" in form.Resources.get("/Font", {})
        ]
        assert [font.FirstChar for font in fonts] == [32]
        assert [bool(font.Odd) for font in fonts] == [True]


def test_a_page_whose_contents_are_empty(tmp_path: Path) -> None:
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(420, 595))
    pdf.pages[0].Contents = pdf.make_stream(b"")
    pdf.save(tmp_path / "empty.pdf")
    assert make(tmp_path / "empty.pdf", tmp_path / "o") == 0


@pytest.mark.parametrize("seed", range(20))
def test_damaged_files_end_in_words(
    seed: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ten files a seed, cut short or with bytes changed: 200 cases, the same every time."""
    rng = random.Random(seed)
    whole = (Path(__file__).parent.parent / "examples" / "pages.pdf").read_bytes()
    for number in range(10):
        data = bytearray(rng.choice([SCALARS, whole[:60_000] + whole[-4_000:]]))
        if rng.random() < 0.3:
            del data[rng.randrange(10, len(data)) :]
        else:
            for _ in range(rng.choice([1, 3, 10, 60])):
                data[rng.randrange(len(data))] = rng.randrange(256)
        source = tmp_path / f"{number}.pdf"
        source.write_bytes(data)
        code = make(source, tmp_path / "o")
        assert code in (0, 1, 2, 3)
        words = capsys.readouterr().err
        assert "Traceback" not in words
        if code >= 2:
            assert "ERROR" in words
        assert source.read_bytes() == bytes(data)
        assert not list(tmp_path.glob("o/.impose-*"))


@pytest.fixture(scope="module")
def small_files(tmp_path_factory: pytest.TempPathFactory) -> list[bytes]:
    return fuzzcases.fixtures(tmp_path_factory.mktemp("fixtures"))


@pytest.mark.filterwarnings("ignore::pikepdf.exceptions.PikepdfWarning")
@pytest.mark.parametrize("number", [392, 814, 943, 2069, 3009, 3441, 3565, 4436, 4553])
def test_cases_that_once_ended_otherwise(
    number: int, small_files: list[bytes], tmp_path: Path
) -> None:
    """Found by `python -m tests.corpus.fuzz`."""
    assert fuzzcases.case(number, small_files, tmp_path) in ("made", "error")
