"""One side at a time: a printer is simulated sheet by sheet, tried, and must print the book."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from pypdf import PdfReader
from test_make import numbered_pdf

from impose.cli.main import run
from impose.geometry.box import Size
from impose.geometry.turning import Turnover
from impose.model.machines import LeadingEdge, Printer
from impose.model.printerfile import with_refeed
from impose.model.profiles import Library
from impose.model.refeeding import Refeed, refeed_from_trial
from impose.pdf.refeedtrial import trial_pdfs
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.schemes.oneside import one_side, turned_by
from impose.schemes.onesidewords import one_side_steps
from impose.units import Length

HALF_TURN = b"q -1 0 0 -1 841.8897638 595.2755906 cm"
A4 = Size(Length.mm(210), Length.mm(297))


@dataclass
class Paper:
    """One sheet in a pile: which face lies up (0 or 1), which short edge leads (0 or 1), and
    what was printed: face, leading edge then, number of the page."""

    up: int
    edge: int
    printed: tuple[tuple[int, int, int], ...] = ()


@dataclass(frozen=True)
class Device:
    """A printer that draws from the top of its tray, and the way its owner refills it.

    `prints_upper`: the face that lies up in the tray is printed; `stacks_up`: the printed face
    lies up in the delivery; `spins`: put back as it comes out, the other edge leads.
    """

    prints_upper: bool
    stacks_up: bool
    spins: bool

    def run(self, tray: list[Paper]) -> list[Paper]:
        """The delivered pile, from the top; sheets fall on each other."""
        out: list[Paper] = []
        for number, sheet in enumerate(tray, start=1):
            face = sheet.up if self.prints_upper else 1 - sheet.up
            up = face if self.stacks_up else 1 - face
            done = Paper(up, sheet.edge, (*sheet.printed, (face, sheet.edge, number)))
            out.insert(0, done)
        return out

    def refill(self, pile: list[Paper], turn_over: bool) -> list[Paper]:
        """As it lies, or turned over like a page so that the edge that was first stays first."""
        moved = [
            Paper(p.up ^ turn_over, p.edge ^ self.spins, p.printed)
            for p in (reversed(pile) if turn_over else pile)
        ]
        return moved

    def tried(self) -> Refeed:
        """The trial of two sheets, its three questions answered from what came out."""
        first = self.run([Paper(0, 0), Paper(0, 0)])
        second = self.run(self.refill(first, turn_over=False))
        drawn_first = next(p for p in second if p.printed[1][2] == 1)
        (face, edge, number), (face_again, edge_again, _) = drawn_first.printed
        return refeed_from_trial(
            blank_side=face != face_again,
            second_first=number == 2,
            arrows_same=edge == edge_again,
        )


DEVICES = [Device(*choice) for choice in product((False, True), repeat=3)]


@pytest.mark.parametrize("device", DEVICES, ids=str)
@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("turned", list(Turnover))
def test_every_back_falls_on_its_front(
    device: Device, landscape: bool, turned: Turnover, tmp_path: Path
) -> None:
    """Face-up and face-down stackers, both faces of the tray, both edges, both flips."""
    sheet = A4.turned if landscape else A4
    plan = _plan(tmp_path, sheet)
    plan = replace(plan, sheets=tuple(replace(s, turned=turned, size=sheet) for s in plan.sheets))
    refeed = device.tried()
    wish = one_side(plan, Printer(name="attic", refeed=refeed))
    count = len(plan.sheets)
    order = range(count, 0, -1) if wish.last_first else range(1, count + 1)
    backs = list(order)
    pile = device.run([Paper(0, 0) for _ in range(count)])
    done = device.run(device.refill(pile, refeed.turn_over))
    for paper in done:
        (face, edge, front), (face_again, edge_again, at) = paper.printed
        assert face != face_again, "printed over the front"
        assert backs[at - 1] == front
        # The same edge leading twice makes it the same edge of both files (see turned_by).
        came_out = turned_by(edge == edge_again, LeadingEdge.SHORT, sheet)
        assert (came_out is turned) != wish.half_turn


@pytest.mark.parametrize("device", DEVICES, ids=str)
def test_the_first_sheet_alone_and_then_the_pile_as_the_words_say(
    device: Device, tmp_path: Path
) -> None:
    """The page numbers in the words, followed at every kind of printer, print the book."""
    refeed = device.tried()
    plan = _plan(tmp_path, A4.turned)
    printer = Printer(name="attic", refeed=refeed)
    wish = one_side_steps(plan, printer)
    count = len(plan.sheets)
    assert count == 3
    last_first = one_side(plan, printer).last_first
    backs = list(range(count, 0, -1)) if last_first else list(range(1, count + 1))
    alone = [int(n) for n in re.findall(r"Print page (\d+) of", " ".join(wish.first))]
    assert alone[0] == 1 and backs[alone[1] - 1] == 1
    fronts = [int(n) for n in re.findall(r"\d+", wish.rest[0])]
    assert fronts == [2, count]
    first, more = re.findall(r"[Pp]rint pages? (\d+)[^.]* of guts-backs", wish.rest[2])
    printed = [int(first), int(more)]
    pile = device.run([Paper(0, 0) for _ in range(count - 1)])
    for paper in device.run(device.refill(pile, refeed.turn_over)):
        (_, _, front), (_, _, at) = paper.printed
        assert backs[printed[at - 1] - 1] == front + 1
    said = re.search(
        r"the back of sheet (\d+), whose front has pages (\d+) and (\d+)", wish.rest[2]
    )
    assert said is not None
    sheet = plan.sheets[int(said[1]) - 1]
    assert backs[printed[0] - 1] == int(said[1])
    assert sorted(p.position for p in sheet.front.placements) == [int(said[2]), int(said[3])]


def _plan(folder: Path, sheet: Size) -> Plan:
    numbered_pdf(folder / "p.pdf", 12)
    out = folder / "out"
    size = "a4 landscape" if sheet.landscape else "a4"
    trim = "a5" if sheet.landscape else "140mm x 99mm"
    arguments = ["--binding", "saddle", "--trim", trim, "--sheet", size, "--fit", "scale"]
    assert run(["make", str(folder / "p.pdf"), *arguments, "--out", str(out), "--no-check",
                "--quiet", "--only", "plan"]) == 0  # fmt: skip
    return from_text((out / "plan.json").read_text())


def test_the_sheet_as_the_worked_example() -> None:
    """By hand: portrait A4 fed by its short edge, the same edge first for both sides. That edge
    is the foot of both files, so heads lie on heads: turned about the vertical."""
    assert turned_by(True, LeadingEdge.SHORT, A4) is Turnover.ABOUT_VERTICAL
    assert turned_by(False, LeadingEdge.SHORT, A4) is Turnover.ABOUT_HORIZONTAL
    assert turned_by(True, LeadingEdge.SHORT, A4.turned) is Turnover.ABOUT_HORIZONTAL
    assert turned_by(True, LeadingEdge.LONG, A4.turned) is Turnover.ABOUT_VERTICAL


def _numbers(path: Path) -> list[list[str]]:
    with pdfplumber.open(path) as pdf:
        return [sorted({c["text"] for c in page.chars if c["size"] > 40}) for page in pdf.pages]


def test_fronts_and_backs_are_files_of_their_own(tmp_path: Path) -> None:
    """Order and turn of the backs, read by independent readers."""
    numbered_pdf(tmp_path / "p.pdf", 8)
    folder = tmp_path / "profiles" / "printers"
    folder.mkdir(parents=True)
    refeed = Refeed(turn_over=False, last_first=True, same_edge=True)
    text = with_refeed('kind = "printer"\nname = "Attic"\nflips = "short edge"\n', refeed)
    (folder / "attic.toml").write_text(text)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "saddle"\ntrim = "a5"\n[guts]\n'
        'sheet = "a4 landscape"\nprinter = "attic"\nprinting = "one side at a time"\n'
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    assert _numbers(out / "guts.pdf") == [["1", "8"], ["2", "7"], ["3", "6"], ["4", "5"]]
    assert _numbers(out / "guts-fronts.pdf") == [["1", "8"], ["3", "6"]]
    assert _numbers(out / "guts-backs.pdf") == [["4", "5"], ["2", "7"]]
    # Turned on the short edge a landscape sheet turns about the vertical; the same short edge
    # leading twice gives the horizontal: each back must be turned half round.
    both = [PdfReader(out / name).pages for name in ("guts.pdf", "guts-backs.pdf")]
    data = both[1][1].get_contents()
    assert data is not None and data.get_data().startswith(HALF_TURN)
    plain, turned = ([float(n) for n in page.trimbox] for page in (both[0][1], both[1][1]))
    width, height = (float(n) for n in both[0][1].mediabox[2:])
    x0, y0, x1, y1 = plain
    assert turned == pytest.approx([width - x1, height - y1, width - x0, height - y0])
    made = from_text((out / "plan.json").read_text())
    assert not [f for f in made.findings if f.code == "refeed-unknown"]


def test_a_printer_that_was_never_tried_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    numbered_pdf(tmp_path / "p.pdf", 8)
    arguments = ["--binding", "saddle", "--trim", "a5", "--sheet", "a4", "--printing"]
    out = ["--out", str(tmp_path / "out"), "--no-check"]
    assert run(["make", str(tmp_path / "p.pdf"), *arguments, "one side at a time", *out]) == 0
    said = capsys.readouterr()
    assert "was never tried" in said.err
    assert "guts-backs.pdf" in said.out
    assert "do not change the order" in said.err
    assert "print one side at a time at actual size, the first sheet alone" in said.err
    assert "print both sides" not in said.err and "same number" not in said.err


def test_the_trial_is_made_and_its_answers_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    base = ["register", "--printer", "office inkjet short edge", "--sheet", "letter"]
    assert run([*base, "--one-side", "--out", str(tmp_path / "trial.pdf")]) == 0
    with pdfplumber.open(tmp_path / "trial-backs.pdf") as pdf:
        assert [page.extract_text().startswith("PRINTED FIRST") for page in pdf.pages] == [
            True,
            False,
        ]
    assert run([*base, "--answers", "printed", "1", "opposite"]) == 0
    kept = Library(tmp_path).printer("office inkjet short edge").refeed
    assert kept == Refeed(turn_over=True, last_first=True, same_edge=False)
    assert run([*base, "--answers", "blank", "2", "same"]) == 0
    kept = Library(tmp_path).printer("office inkjet short edge").refeed
    assert kept == Refeed(turn_over=False, last_first=True, same_edge=True)
    assert run([*base, "--answers", "both", "2", "same"]) == 2
    assert "'both' is no answer for FACE" in capsys.readouterr().err


def _inked(page: Any) -> list[tuple[float, float, float, float]]:
    """Everything on a page, left, bottom, right and top."""
    things = (*page.chars, *page.lines, *page.rects, *page.curves)
    return [(t["x0"], t["y0"], t["x1"], t["y1"]) for t in things]


@pytest.mark.parametrize(
    "size",
    [A4, A4.turned, Size(Length.mm(148), Length.mm(210)), Size(Length.mm(105), Length.mm(148))],
)
def test_a_back_of_the_trial_printed_over_its_front_can_be_read(size: Size) -> None:
    """The same way up, and turned half round: nothing lies on anything."""
    front, back = trial_pdfs(size, "impose register --printer attic --sheet a4")
    with pdfplumber.open(io.BytesIO(front)) as one, pdfplumber.open(io.BytesIO(back)) as other:
        wide, high = float(one.pages[0].width), float(one.pages[0].height)
        fronts, backs = _inked(one.pages[0]), _inked(other.pages[0])
    turned = [(wide - x1, high - y1, wide - x0, high - y0) for x0, y0, x1, y1 in backs]
    assert len(fronts) > 100 and len(backs) > 100
    for lying in (backs, turned):
        for a in lying:
            for b in fronts:
                apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
                assert apart, (a, b)
