"""Every broken and hostile file of `hostilefiles`: made right, or refused in words."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import hostilefiles as hostile
import pikepdf
import pypdfium2 as pdfium
import pytest
from corpus import comparing
from hostilefiles import MADE, Maker
from pypdf import PdfReader

from impose.cli.main import run
from impose.pdf import limits, look
from impose.pdf.look import look_at

SADDLE = ["--binding", "saddle", "--trim", "a6", "--sheet", "a5", "--fit", "scale"]
BOMBS = {maker for maker in MADE if maker.__name__.startswith("bomb")}


def make(source: Path, out: Path, *more: str) -> int:
    return run(["make", str(source), *SADDLE, "--out", str(out), *more])


@pytest.mark.parametrize("maker", MADE, ids=lambda maker: maker.__name__)
def test_made_right_or_refused_in_words(
    maker: Maker,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    source, out = maker(tmp_path / "in.pdf"), tmp_path / "out"
    before = source.read_bytes(), source.stat().st_mtime_ns
    codes, words = MADE[maker]
    code = make(source, out, *(["--no-check"] if maker in BOMBS else []))
    said = capsys.readouterr().err
    assert code in codes, said
    assert words in said
    assert (source.read_bytes(), source.stat().st_mtime_ns) == before
    left = os.listdir(out) if out.exists() else []
    assert not [name for name in left if name.startswith(".impose")]
    if code > 1:
        assert "ERROR" in said and not left
        return
    assert "guts.pdf" in left and "plan.json" in left
    sides = len(PdfReader(out / "guts.pdf").pages)
    with pikepdf.open(out / "guts.pdf") as pdf, pdfium.PdfDocument(out / "guts.pdf") as seen:
        assert pdf.get_warnings() == []
        assert len(pdf.pages) == len(seen) == sides
    monkeypatch.setattr(comparing, "PAGES", 8)
    _, differing = comparing.compare(out, str(source))
    assert differing == []


def test_pages_after_unbalanced_ones_lie_where_they_should(tmp_path: Path) -> None:
    """Drawn side by side on one sheet, and each equal to its source."""
    source = hostile.unbalanced(tmp_path / "in.pdf")
    assert make(source, tmp_path / "out", "--no-check") == 0
    plan = json.loads((tmp_path / "out" / "plan.json").read_text("utf-8"))
    assert len(plan["pages"]) == 8 and len(plan["sheets"]) == 2
    comparing_all = comparing.PAGES
    try:
        comparing.PAGES = 8
        assert comparing.compare(tmp_path / "out", str(source)) == (8, [])
    finally:
        comparing.PAGES = comparing_all


def test_a_password_opens(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source = hostile.locked(tmp_path / "in.pdf")
    assert make(source, tmp_path / "out", "--no-check", "--password", "wrong") == 3
    assert "no given password opens it" in capsys.readouterr().err
    for password in ("open", "own"):
        assert make(source, tmp_path / "out", "--password", password) == 0
        assert "3" in PdfReader(tmp_path / "out" / "guts.pdf").pages[1].extract_text()
    with pikepdf.open(tmp_path / "out" / "guts.pdf") as pdf:
        assert not pdf.is_encrypted
    assert (
        b"open" not in (tmp_path / "out" / "plan.json").read_bytes().split(b'"passwords"')[-1][:20]
    )


@pytest.mark.parametrize("more", [[], ["--only", "guts,cover", "--cover"]])
def test_nothing_active_is_carried_over(tmp_path: Path, more: list[str]) -> None:
    source = hostile.active(tmp_path / "in.pdf")
    art = [str(source) + "[1]"] if more else []
    make(source, tmp_path / "out", "--no-check", *more, *art)
    names = ("guts.pdf", "cover.pdf", "proof.pdf")
    written = [tmp_path / "out" / n for n in names if (tmp_path / "out" / n).exists()]
    assert written
    for path in written:
        with pikepdf.open(path) as pdf:
            texts = [obj.unparse(True) for obj in pdf.objects if isinstance(obj, pikepdf.Object)]
            streams = [o.read_bytes() for o in pdf.objects if isinstance(o, pikepdf.Stream)]
            assert set(pdf.Root.keys()) <= {"/Type", "/Pages"}
        whole = b"\n".join(texts + streams)
        for evil in (b"JavaScript", b"/JS", b"Launch", b"calc.exe", b"EVIL", b"x.exe", b"TITLE",
                     b"/AA", b"/OpenAction", b"/Names", b"/EF"):  # fmt: skip
            assert evil not in whole, (path.name, evil)
    with pikepdf.open(tmp_path / "out" / "guts.pdf") as pdf:
        looks = [o for o in pdf.objects if isinstance(o, pikepdf.Stream) and "/BBox" in o]
        assert b"0 0 1 rg 0 0 50 20 re f" in [o.read_bytes() for o in looks]


def test_very_many_annotations(tmp_path: Path) -> None:
    source = hostile.many_annotations(tmp_path / "in.pdf", 200_000)
    began = time.monotonic()
    assert make(source, tmp_path / "out", "--no-check", "--only", "guts,plan") == 0
    assert time.monotonic() - began < 60
    with pdfium.PdfDocument(tmp_path / "out" / "guts.pdf") as seen:
        assert len(seen) == 2


# -- looking ---------------------------------------------------------------------------

#: A child that does something to itself at page 2 of each file.
CHILD = """
import os, signal, sys, time
from impose.pdf import lookchild, lookfile
look = lookfile.LookFile.look
def other(self, index, number, *more):
    if number == 2:
        {what}
    return look(self, index, number, *more)
lookchild.LookFile.look = other
lookchild.main()
"""
MISFORTUNES = {
    "killed": "os.kill(os.getpid(), signal.SIGKILL)",
    "crashed": "os.kill(os.getpid(), signal.SIGSEGV)",
    "silent": "time.sleep(600)",
    "greedy": "bytearray(100 << 30)",
    "gone": "os._exit(0)",
    "garbled": "os.write(1, b'nonsense'); os._exit(1)",
}


@pytest.mark.parametrize("what", MISFORTUNES)
def test_a_looker_that_ends_badly_costs_one_page(
    what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    source = hostile.sound(tmp_path / "in.pdf")

    def start() -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-c", CHILD.format(what=MISFORTUNES[what])],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p)},
        )

    monkeypatch.setattr(look, "_start", start)
    monkeypatch.setattr(look, "PATIENCE", 2.0)
    looks = look_at([source], [(0, number) for number in range(1, 5)])
    assert [one.looked for one in looks] == [True, False, True, True]
    assert looks[1].trouble
    assert make(source, tmp_path / "out", "--only", "guts,plan") in (0, 1)
    assert "page 2" in capsys.readouterr().err
    assert (tmp_path / "out" / "guts.pdf").exists()


# -- memory ----------------------------------------------------------------------------


def test_data_are_inflated_within_bounds() -> None:
    bomb = hostile._deflated_blanks()
    with pytest.raises(limits.TooLargeError):
        limits.check_inflated(bomb)
    with pytest.raises(limits.TooLargeError):
        limits.inflated(bomb)
    assert limits.inflated(bomb[:200])[1] is False
    assert limits.inflated(b"nothing") == (b"", False)


def test_an_object_stream_that_inflates_without_end(tmp_path: Path) -> None:
    """It is the library that inflates these; it gets no more memory than there is for it."""
    path = tmp_path / "in.pdf"
    path.write_bytes(objects_in_a_bomb(512 << 20))
    code = (
        # What the parent had in memory counts as the child's own first peak.
        "import sys, resource; from impose.cli.main import run;"
        "first = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss;"
        "from impose.pdf import limits; limits._TO_READ = 128 << 20;"
        f"code = run(['check', {str(path)!r}, *{SADDLE!r}]);"
        "peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss;"
        "sys.exit(code if peak < max(400 << 10, first + (100 << 10)) else 99)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode in (0, 1, 3), done.stderr  # the second reader may open it
    assert (b"ERROR" in done.stderr) == (done.returncode == 3)
    assert b"Traceback" not in done.stderr


def objects_in_a_bomb(size: int) -> bytes:
    """A file whose page tree lies in an object stream of that size, nearly all of it blanks."""
    import zlib

    head = b"2 0 3 64 "
    first = head + b"<</Type/Pages/Kids[3 0 R]/Count 1>>".ljust(64) + b"<</Type/Page>>"
    deflating = zlib.compressobj(9)
    piece = b" " * (1 << 26)
    parts = [deflating.compress(first), *(deflating.compress(piece) for _ in range(size >> 26))]
    data = b"".join([*parts, deflating.flush()])
    catalogue = b"1 0 obj\n<</Type/Catalog/Pages 2 0 R>>\nendobj\n"
    stream = (
        b"4 0 obj\n<</Type/ObjStm/N 2/First %d/Filter/FlateDecode/Length %d>>\nstream\n%b\n"
        b"endstream\nendobj\n" % (len(head), len(data), data)
    )
    start = b"%PDF-1.7\n"
    at = [len(start), len(start) + len(catalogue)]
    xref_at = at[1] + len(stream)
    rows = b"".join(
        kind.to_bytes(1, "big") + where.to_bytes(4, "big") + index.to_bytes(1, "big")
        for kind, where, index in (
            (0, 0, 0), (1, at[0], 0), (2, 4, 0), (2, 4, 1), (1, at[1], 0), (1, xref_at, 0),
        )
    )  # fmt: skip
    xref = (
        b"5 0 obj\n<</Type/XRef/Size 6/W[1 4 1]/Root 1 0 R/Length %d>>\n"
        b"stream\n%b\nendstream\nendobj\n" % (len(rows), rows)
    )
    return start + catalogue + stream + xref + b"startxref\n%d\n%%%%EOF\n" % xref_at
