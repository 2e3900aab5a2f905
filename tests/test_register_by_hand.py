"""Register of sheets that are put back by hand: read, kept, and undone in the files of a job."""

from __future__ import annotations

from pathlib import Path

import pdfplumber
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream
from test_make import numbered_pdf

from impose.bench.register import cross_places
from impose.cli.main import run
from impose.geometry.box import Size
from impose.geometry.moving import Move, Point
from impose.geometry.turning import Flip
from impose.model.printerfile import with_refeed
from impose.model.profiles import Library
from impose.model.refeeding import Refeed
from impose.schemes.oneside import put_back
from impose.units import ZERO, Length

A4 = Size(Length.mm(210), Length.mm(297))
#: 0.1 mm, in points.
NEAR = 0.2835
ONE_SIDE = ["--printing", "one side at a time"]


def mm(value: object) -> Length:
    return Length.mm(str(value))


#: What this printer does to a sheet in its second pass, in the frame of the file it prints.
ERROR = Move(e=mm("1.5"), f=mm("-2.25"))


def shifted(x: float, y: float) -> tuple[float, float]:
    return x + float(ERROR.e.as_points), y + float(ERROR.f.as_points)


def half_turned(point: tuple[float, float], sheet: Size, turned: bool) -> tuple[float, float]:
    x, y = point
    wide, high = (float(n.as_points) for n in (sheet.width, sheet.height))
    return (wide - x, high - y) if turned else point


def crosses_in(path: Path) -> list[tuple[float, float]]:
    """The middles of the long lines' crossings: each cross is a level line and an upright one."""
    with pdfplumber.open(path) as pdf:
        page = pdf.pages[0]
        level = [ln for ln in page.lines if ln["height"] < 0.01 < ln["width"]]
        upright = [ln for ln in page.lines if ln["width"] < 0.01 < ln["height"]]
        middles = [((ln["x0"] + ln["x1"]) / 2, (ln["y0"] + ln["y1"]) / 2) for ln in level]
        others = [((ln["x0"] + ln["x1"]) / 2, (ln["y0"] + ln["y1"]) / 2) for ln in upright]
        return [(x, y) for x, y in middles if any(abs(x - u) + abs(y - v) < 0.1 for u, v in others)]


def _folder(folder: Path, same_edge: bool) -> Path:
    numbered_pdf(folder / "pages.pdf", 8)
    printers = folder / "config" / "impose" / "profiles" / "printers"
    printers.mkdir(parents=True)
    text = 'kind = "printer"\nname = "Attic"\nflips = "long edge"\nleads = "short edge"\n'
    refeed = Refeed(turn_over=False, last_first=True, same_edge=same_edge)
    (printers / "attic.toml").write_text(with_refeed(text, refeed))
    job = folder / "job.toml"
    job.write_text(
        '[book]\npages = ["pages.pdf"]\nbinding = "saddle"\ntrim = "a5"\n[guts]\n'
        'sheet = "a4 landscape"\nprinter = "attic"\nprinting = "one side at a time"\n'
    )
    return job


def _read(folder: Path, flip: Flip, half_turn: bool) -> list[str]:
    """What a person reads on the paper held to the light, seen from the front."""
    sheet = A4.turned
    found = crosses_in(folder / "register-backs.pdf")
    assert len(found) == 4
    on_paper = [half_turned(shifted(*at), sheet, half_turn) for at in found]
    turned = flip.on(sheet)
    said: list[str] = []
    for corner, place in cross_places(sheet).items():
        behind = turned.point(*place, sheet)
        at = tuple(float(n.as_points) for n in behind)
        x, y = min(on_paper, key=lambda p: abs(p[0] - at[0]) + abs(p[1] - at[1]))
        seen: Point = turned.point(Length.points(f"{x:.4f}"), Length.points(f"{y:.4f}"), sheet)
        right, up = seen[0] - place[0], seen[1] - place[1]
        as_mm = [f"{float(n.as_points) * 25.4 / 72:.2f}mm" for n in (right, up)]
        said += ["--read", corner, *as_mm]
    return said


@pytest.mark.parametrize("same_edge", [True, False])
@pytest.mark.parametrize("flip", list(Flip))
def test_backs_put_back_by_hand_fall_on_their_fronts(
    same_edge: bool, flip: Flip, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The half turn of a back, and the correction inside it, from sheet to job."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    sheet = A4.turned
    job = _folder(tmp_path, same_edge)
    base = ["register", "--printer", "attic", "--sheet", "a4 landscape", "--flip", flip.value,
            *ONE_SIDE, "--folder", str(tmp_path)]  # fmt: skip
    assert run([*base, "--out", str(tmp_path / "register.pdf")]) == 0
    assert not (tmp_path / "register.pdf").exists()
    half_turn = put_back(sheet, flip.on(sheet), Library(tmp_path).printer("attic")).half_turn
    assert run([*base, *_read(tmp_path, flip, half_turn)]) == 0

    out = tmp_path / "out"
    options = ["--flip", flip.value, "--out", str(out), "--no-check", "--quiet"]
    assert run(["make", str(job), *options]) == 0
    reader = PdfReader(out / "guts-backs.pdf")
    for page in reader.pages:
        operations = ContentStream(page.get_contents(), reader).operations
        moves = [[float(n) for n in given] for given, name in operations[:4] if name == b"cm"]
        moves = moves[: 2 if half_turn else 1]
        assert len(moves) == (2 if half_turn else 1)
        for corner in ((0.0, 0.0), (841.9, 0.0), (0.0, 595.3), (841.9, 595.3)):
            x, y = corner
            for a, b, c, d, e, f in reversed(moves):
                x, y = a * x + c * y + e, b * x + d * y + f
            x, y = half_turned(shifted(x, y), sheet, half_turn)
            assert abs(x - corner[0]) < NEAR and abs(y - corner[1]) < NEAR


def test_a_correction_of_turned_sheets_is_not_used_by_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The paper runs otherwise: nothing is moved, and the command that reads it is named."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    job = _folder(tmp_path, True)
    base = ["register", "--printer", "attic", "--sheet", "a4 landscape", "--folder", str(tmp_path)]
    readings = ["--read", "A", "2mm", "1mm", "--read", "D", "2mm", "1mm"]
    assert run([*base, *readings]) == 0
    capsys.readouterr()
    assert run(["check", str(job)]) == 0
    assert '--printing "one side at a time"' in capsys.readouterr().err
    kept = Library(tmp_path).printer("attic").registers
    assert [one.by_hand for one in kept] == [False] and kept[0].back != Move(e=ZERO)


def test_the_sheets_say_how_they_are_put_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    _folder(tmp_path, True)
    out = tmp_path / "r.pdf"
    base = ["register", "--printer", "attic", "--sheet", "a4", "--folder", str(tmp_path)]
    assert run([*base, *ONE_SIDE, "--out", str(out)]) == 0
    with pdfplumber.open(tmp_path / "r-fronts.pdf") as pdf:
        assert len(pdf.pages) == 1
        text = " ".join((pdf.pages[0].extract_text() or "").split())
    assert "do not turn it over, put it back into the tray and print the back" in text
    assert "Print both sides" not in text
    with pdfplumber.open(tmp_path / "r-backs.pdf") as pdf:
        assert len(pdf.pages) == 1


def test_a_profile_beside_the_job_that_hides_the_correction_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    _folder(tmp_path, True)
    beside = tmp_path / "profiles" / "printers"
    beside.mkdir(parents=True)
    (beside / "attic.toml").write_text('kind = "printer"\nname = "Attic"\n')
    base = ["register", "--printer", "attic", "--sheet", "a4", "--folder", str(tmp_path)]
    assert run([*base, "--read", "A", "2mm", "1mm", "--read", "D", "2mm", "1mm"]) == 0
    said = capsys.readouterr().err
    assert f"{beside / 'attic.toml'} wins over it" in said
    assert run([*base, "--read", "A", "2mm", "1mm", "--read", "D", "2mm", "1mm",
                "--keep-as", "loft"]) == 0  # fmt: skip
    assert "wins over it" not in capsys.readouterr().err


def test_insets_are_parted_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    job = _folder(tmp_path, True)
    numbered_pdf(tmp_path / "plate.pdf", 2)
    job.write_text(
        job.read_text()
        .replace('binding = "saddle"', 'binding = "perfect"')
        .replace("a4 landscape", "a4")
        .replace('["pages.pdf"]', '["pages.pdf", { file = "plate.pdf", stock = "silk-150gsm" }]')
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    whole = PdfReader(out / "inset-1.pdf").pages
    fronts, backs = (PdfReader(out / f"inset-1-{which}.pdf").pages for which in ("fronts", "backs"))
    assert len(whole) == 2 and len(fronts) == len(backs) == 1
    assert whole[0].extract_text() == fronts[0].extract_text()
    assert whole[1].extract_text() == backs[0].extract_text()
    assert '"inset-1-backs.pdf"' in (out / "plan.json").read_text()
