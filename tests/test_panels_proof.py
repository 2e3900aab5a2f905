"""Folded panels end to end: the proof, folded and slit out of the written sheets, is the source."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import jsonschema
import proofbook
import pypdfium2
import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from impose.cli.main import run
from impose.geometry.box import Size
from impose.plan.wire import from_text
from impose.units import Length

#: Pixels of some 90,000 at 100 to the inch: edges that two renderings round differently.
ALLOWED = 40
SCHEMA = Path(__file__).parent.parent / "impose/plan/plan.schema.json"


def mm(value: object) -> Length:
    return Length.mm(str(value))


def size(width: object, height: object) -> Size:
    return Size(mm(width), mm(height))


def source(target: Path, sizes: Sequence[Size]) -> Path:
    """Numbered pages, each of its own size, art off all edges, no two sides alike."""
    canvas = Canvas(str(target), invariant=1)
    b = float(mm(3).as_points)
    for number, one in enumerate(sizes, start=1):
        w, h = float(one.width.as_points), float(one.height.as_points)
        canvas.setPageSize((w + 2 * b, h + 2 * b))
        proofbook.draw_page(canvas, one, mm(3), number, 36)
        canvas.showPage()
    canvas.save()
    return target


def made(folder: Path, sizes: Sequence[Size], *options: str) -> Path:
    """The folder of a finished job of these pages."""
    pages = source(folder / "source.pdf", sizes)
    out = folder / "out"
    code = run(["make", str(pages), "--out", str(out), "--quiet", "--no-check", *options])
    assert code == 0
    data = json.loads((out / "plan.json").read_text("utf-8"))
    jsonschema.validate(data, json.loads(SCHEMA.read_text("utf-8")))
    return out


def unlike(folder: Path, pages: int) -> list[str]:
    """What differs between the proof, page by page, and the source."""
    faults = []
    with (
        pypdfium2.PdfDocument(folder / "out/proof.pdf") as proof,
        pypdfium2.PdfDocument(folder / "source.pdf") as given,
    ):
        for index in range(len(proof)):
            number = index + 1
            said = proofbook._number_on(proof[index])
            if said != (str(number) if number <= pages else ""):
                faults.append(f"page {number} says {said!r}")
            if number > pages:
                continue
            page, art = proofbook._rendered(proof[index]), proofbook._rendered(given[index])
            if abs(page.width - art.width) > 1 or abs(page.height - art.height) > 1:
                faults.append(f"page {number} is {page.size}, not {art.size}")
                continue
            box = (3, 3, min(page.width, art.width) - 3, min(page.height, art.height) - 3)
            off = proofbook.count_unlike(page.crop(box), art.crop(box))
            if off > ALLOWED:
                faults.append(f"page {number} differs in {off} pixels")
    return faults


CASES: list[tuple[list[Size], list[str]]] = [
    ([size("74.25", 105)] * 8, ["--binding", "one sheet", "--sheet", "a4"]),
    ([size(60, 90)] * 7, ["--binding", "one sheet", "--sheet", "a4", "--trim", "60mm x 90mm",
                          "--bound-at", "right"]),
    ([size(90, 60)] * 8, ["--binding", "one sheet", "--sheet", "a4", "--trim", "90mm x 60mm",
                          "--bound-at", "head"]),
    ([size(60, 90)] * 16, ["--binding", "one sheet", "--sheet", "a4", "--trim", "60mm x 90mm"]),
    ([size(60, 90)] * 13, ["--binding", "one sheet", "--sheet", "a4", "--trim", "60mm x 90mm",
                           "--bound-at", "right"]),
    ([size(70, 100)] * 5, ["--binding", "concertina", "--sheet", "a4"]),
    ([size(70, 100)] * 13, ["--binding", "concertina", "--sheet", "a4", "--panels", "7"]),
    ([size(70, 100)] * 12, ["--binding", "concertina", "--sheet", "a4", "--panels", "6",
                            "--bound-at", "right"]),
    ([size(90, 99)] * 3, ["--binding", "leaflet", "--fold", "z", "--sheet", "a4",
                          "--trim", "90mm x 99mm"]),
    ([size(90, 99)] * 3 + [size(88, 99)] * 2 + [size(90, 99)],
     ["--binding", "leaflet", "--fold", "letter fold", "--nest", "2mm", "--sheet", "a4"]),
    ([size(60, 99)] * 3 + [size(58, 99), size(56, 99), size(56, 99), size(58, 99), size(60, 99)],
     ["--binding", "leaflet", "--fold", "roll", "--nest", "2mm", "--sheet", "a4",
      "--bound-at", "right"]),
    ([size(49, 99)] * 3 + [size(100, 99), size(49, 99), size(100, 99)],
     ["--binding", "leaflet", "--fold", "gate", "--nest", "2mm", "--sheet", "a4"]),
    ([size(60, 99), *[size(58, 99)] * 3, size(60, 99), size(60, 99), size(58, 99), size(60, 99)],
     ["--binding", "leaflet", "--fold", "double gate", "--nest", "2mm", "--sheet", "a4"]),
    ([size(60, 99), size(58, 99), *[size(60, 99)] * 4, size(58, 99), size(60, 99)],
     ["--binding", "leaflet", "--fold", "double parallel", "--nest", "2mm", "--sheet", "a4"]),
    ([size(90, 60)] * 2, ["--binding", "leaflet", "--fold", "tent", "--sheet", "a4"]),
    ([size(90, 60)] * 4, ["--binding", "leaflet", "--fold", "tent", "--sheet", "a4"]),
    ([size(90, 99)] * 4, ["--binding", "leaflet", "--fold", "half", "--sheet", "a4"]),
]  # fmt: skip


@pytest.mark.parametrize("flip", ["long edge", "short edge"])
@pytest.mark.parametrize("case", range(len(CASES)))
def test_the_proof_is_the_source(tmp_path: Path, case: int, flip: str) -> None:
    sizes, options = CASES[case]
    out = made(tmp_path, sizes, *options, "--flip", flip, "--proof", "single pages",
               "--only", "guts,proof,plan")  # fmt: skip
    assert unlike(tmp_path, len(sizes)) == []
    plan = from_text((out / "plan.json").read_text("utf-8"))
    sides = 1 if plan.one_sided("guts") else 2
    assert len(PdfReader(out / "guts.pdf").pages) == len(plan.sheets) * sides


@pytest.mark.parametrize("flip", ["long edge", "short edge"])
@pytest.mark.parametrize("bound_at", ["left", "right"])
def test_flat_sides_are_printed_as_they_are(tmp_path: Path, flip: str, bound_at: str) -> None:
    """Two flat sides of a letter fold on A4: the inside stands upright when the sheet is turned
    over, and each panel of the proof is a part of its side."""
    made(
        tmp_path, [size(270, 180)] * 2, "--binding", "leaflet", "--fold", "letter", "--sheet", "a4",
        "--flip", flip, "--bound-at", bound_at, "--only", "guts,proof,plan",
    )  # fmt: skip
    with pypdfium2.PdfDocument(tmp_path / "out/proof.pdf") as proof:
        with pypdfium2.PdfDocument(tmp_path / "source.pdf") as given:
            inside, art = proofbook._rendered(proof[2]), proofbook._rendered(given[1])
        assert len(proof) == 4  # closed, opened once, laid open, from behind
        assert abs(inside.width - art.width) <= 1
        box = (3, 3, min(inside.width, art.width) - 3, min(inside.height, art.height) - 3)
        assert proofbook.count_unlike(inside.crop(box), art.crop(box)) <= ALLOWED


def test_a_reader_meets_what_the_folds_show(tmp_path: Path) -> None:
    """The proof in spreads: letter fold closed, opened, laid open, from behind; two booklets."""
    sizes = [size(90, 99)] * 3 + [size(88, 99)] * 2 + [size(90, 99)]
    made(
        tmp_path, sizes, "--binding", "leaflet", "--fold", "letter", "--nest", "2mm",
        "--sheet", "a4", "--only", "guts,proof,plan",
    )  # fmt: skip
    assert views(tmp_path, [[1], [2, 5], [2, 3, 4], [6]]) == []


def test_sixteen_pages_are_two_booklets_of_one_sheet(tmp_path: Path) -> None:
    made(
        tmp_path, [size(60, 90)] * 16, "--binding", "one sheet", "--trim", "60mm x 90mm",
        "--sheet", "a4", "--only", "guts,proof,plan",
    )  # fmt: skip
    shown = [[1], [2, 3], [4, 5], [6, 7], [8]]
    again = [[number + 8 for number in view] for view in shown]
    assert views(tmp_path, [*shown, *again]) == []


def views(folder: Path, wanted: Sequence[Sequence[int]]) -> list[str]:
    """What of the proof is not these source pages side by side, one list for each of its pages."""
    faults = []
    with (
        pypdfium2.PdfDocument(folder / "out/proof.pdf") as proof,
        pypdfium2.PdfDocument(folder / "source.pdf") as given,
    ):
        assert len(proof) == len(wanted)
        for at, numbers in enumerate(wanted):
            page = proofbook._rendered(proof[at])
            exact = 2.0  # both renderings have two pixels beyond the trim at each side
            for number in numbers:
                art = proofbook._rendered(given[number - 1])
                left, _, right, _ = given[number - 1].get_trimbox()
                x, wide = round(exact), art.width - 4
                art = art.crop((4, 4, wide, art.height - 4))
                high = min(page.height - 4, art.height + 4)
                art = art.crop((0, 0, art.width, high - 4))
                off = min(  # where a page begins within a pixel is not known
                    proofbook.count_unlike(
                        page.crop((x + by + 2, 4, x + by + 2 + art.width, high)), art
                    )
                    for by in (-1, 0, 1)
                )
                if off > ALLOWED:
                    faults.append(f"view {at + 1} does not show page {number} there")
                exact += (right - left) * proofbook.DOTS / 72
            if abs(page.width - exact - 2) > 1:
                faults.append(f"view {at + 1} is {page.width} wide, its pages {exact + 2}")
    return faults


NEAR = {"near-fold", "near-slit", "near-paper-edge"}

# -- what is found on the pages ------------------------------------------------------------


def words_at(folder: Path, x: float, y: float, *options: str) -> list[dict[str, Any]]:
    """The findings of eight pages whose page 3 has a word at x, y millimetres."""
    canvas = Canvas(str(folder / "p.pdf"), invariant=1)
    width, height = (float(mm(n).as_points) for n in ("74.25", "105"))
    for number in range(1, 9):
        canvas.setPageSize((width, height))
        canvas.setFont("Helvetica", 10)
        if number == 3:
            canvas.drawString(float(mm(x).as_points), float(mm(y).as_points), "kerb")
        canvas.drawString(width / 2, height / 2, f"page {number}")
        canvas.showPage()
    canvas.save()
    out = folder / "out"
    run(["make", str(folder / "p.pdf"), "--binding", "one sheet", "--sheet", "a4",
         "--out", str(out), "--quiet", "--only", "plan", *options])  # fmt: skip
    found: list[dict[str, Any]] = json.loads((out / "plan.json").read_text())["findings"]
    return found


@pytest.mark.parametrize(
    ("x", "y", "code", "side"),
    [
        (1, 50, "near-fold", "spine"),
        (40, 101, "near-slit", "head"),
        (40, 1, "near-paper-edge", "foot"),
    ],
)
def test_words_near_fold_slit_and_edge(
    tmp_path: Path, x: float, y: float, code: str, side: str
) -> None:
    """Page 3 has the slit at its head, a fold at its spine, the paper's edge at its foot."""
    (one,) = [f for f in words_at(tmp_path, x, y) if f["code"] in NEAR]
    assert (one["code"], one["pages"]) == (code, [3])
    assert f"at the {side}" in one["message"] and "3.175 mm is safe" in one["message"]


def test_words_in_the_middle_are_let_be(tmp_path: Path) -> None:
    assert not [f for f in words_at(tmp_path, 20, 30) if f["code"] in NEAR]


def test_what_a_printer_cannot_reach_is_said_with_its_own_margin(tmp_path: Path) -> None:
    found = words_at(tmp_path, 20, 30, "--printer", "office-laser-long-edge")
    assert "paper-edge" not in {f["code"] for f in found}
    assert "paper-edge" in {f["code"] for f in words_at(tmp_path, 20, 30)}


def test_words_across_a_fold_of_a_flat_side(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "p.pdf"), invariant=1)
    canvas.setPageSize((float(mm(297).as_points), float(mm(210).as_points)))
    for words, x in (("across", 94), ("within", 30)):
        canvas.setFont("Helvetica", 14)
        canvas.drawString(float(mm(x).as_points), 300, words)
        canvas.showPage()
    canvas.save()
    out = tmp_path / "out"
    run(["make", str(tmp_path / "p.pdf"), "--binding", "leaflet", "--fold", "z", "--sheet", "a4",
         "--out", str(out), "--quiet", "--only", "plan"])  # fmt: skip
    found = json.loads((out / "plan.json").read_text())["findings"]
    (one,) = [f for f in found if f["code"] == "across-fold"]
    assert one["pages"] == [1] and "'across'" in one["message"]


def test_the_cut_list_ticket_and_report_tell_of_it(tmp_path: Path) -> None:
    out = made(tmp_path, [size(105, 148)] * 10, "--binding", "concertina", "--panels", "5",
               "--trim", "a6", "--sheet", "a4")  # fmt: skip
    cuts = words_of(out / "cuts.pdf")
    assert "Glue the next sheet onto the tab of each sheet but the last" in cuts
    assert "Cut the last sheet (3) off behind its last panel" in cuts
    assert "cap the knife" in cuts and "window open" in cuts
    ticket = words_of(out / "ticket.pdf")
    assert "525 x 148 mm, joined of 3 sheets" in ticket
    assert "2 + 2 + 1 panels, a tab of 10 mm" in ticket
    report = (out / "report.html").read_text("utf-8")
    assert "Fold the strip to and fro" in report and "covers 10 mm" in report


def words_of(path: Path) -> str:
    text = " ".join(page.extract_text() for page in PdfReader(path).pages)
    return " ".join(text.split())
