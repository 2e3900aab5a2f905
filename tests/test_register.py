"""Register: a printer with a known error is simulated, read, corrected, and must print true."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from pypdf.generic import ContentStream
from test_make import numbered_pdf

from impose.bench.register import Found, Readings, correction, cross_places
from impose.cli.main import run
from impose.errors import ImposeError, PlanMismatchError
from impose.geometry.box import Size
from impose.geometry.moving import STAY, Move, Point
from impose.geometry.turning import Flip, Turnover
from impose.model.machines import Printer
from impose.model.overrides import Overrides
from impose.model.printerfile import with_register
from impose.model.profiles import Library
from impose.model.registers import Register
from impose.model.resolve import job_from_file
from impose.pdf.read import open_sources
from impose.pdf.verify import verify_sheets
from impose.pdf.write import write_sheets
from impose.pipeline import plan_job
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.units import ZERO, Length

A4 = Size(Length.mm(210), Length.mm(297))
NEAR = Length.mm("0.1")


def mm(value: object) -> Length:
    return Length.mm(str(value))


class Crooked:
    """A printer that lays each side through a move of its own, in the side's own frame."""

    def __init__(self, front: Move, back: Move, turned: Turnover, sheet: Size = A4) -> None:
        self.front, self.back, self.turned, self.sheet = front, back, turned, sheet

    def lays_front(self, point: Point, file: Move = STAY) -> Point:
        """Where on the paper, seen from the front, a point of the front falls."""
        return self.front.point(file.point(point))

    def lays_back(self, point: Point, file: Move = STAY) -> Point:
        """Where on the paper, seen from the front, a point of the back falls."""
        return self.turned.point(*self.back.point(file.point(point)), self.sheet)

    def read(self, corners: str, front: Move = STAY, back: Move = STAY) -> Readings:
        """What a careful eye reads on a trial sheet printed with these corrections."""
        crosses = {}
        for corner in corners:
            place = cross_places(self.sheet)[corner]
            fore = self.lays_front(place, front)
            behind = self.lays_back(self.turned.point(*place, self.sheet), back)
            crosses[corner] = (behind[0] - fore[0], behind[1] - fore[1])
        origin = self.lays_front((ZERO, ZERO), front)
        return Readings(
            sheet=self.sheet,
            turned=self.turned,
            crosses=crosses,
            front_off=origin,
            front=front,
            back=back,
        )

    def apart(self, found: Found) -> Length:
        """The most by which a corrected back misses the place on the paper it was meant for."""
        worst = ZERO
        w, h = self.sheet.width, self.sheet.height
        for place in ((ZERO, ZERO), (w, ZERO), (ZERO, h), (w, h), (w.half, h.half)):
            fore = self.lays_front(place, found.front)
            behind = self.lays_back(self.turned.point(*place, self.sheet), found.back)
            for one in (*fore, *behind):
                assert isinstance(one, Length)
            worst = max(
                worst,
                *(abs(a - b) for a, b in zip(fore, place, strict=True)),
                *(abs(a - b) for a, b in zip(behind, place, strict=True)),
            )
        return worst


shifts = st.integers(-300, 300).map(lambda n: Length.mm(Fraction(n, 100)))
turns = st.sampled_from(list(Turnover))


@given(
    front=st.tuples(shifts, shifts),
    back=st.tuples(shifts, shifts),
    slope=st.integers(-80, 80),
    scales=st.tuples(st.integers(-60, 60), st.integers(-60, 60)),
    turned=turns,
)
@settings(max_examples=150, deadline=None)
def test_corrected_sheets_land_on_their_fronts(
    front: Point, back: Point, slope: int, scales: tuple[int, int], turned: Turnover
) -> None:
    """Any shift to 3 mm, slope to 0.8 % and two scales to 0.6 %, read at four corners."""
    t = Fraction(slope, 10_000)
    a, d = (1 + Fraction(n, 10_000) for n in scales)
    printer = Crooked(
        Move(e=front[0], f=front[1]), Move(a=a, b=t, c=-t, d=d, e=back[0], f=back[1]), turned
    )
    assert printer.apart(correction(printer.read("ABCD"))) <= NEAR


@given(back=st.tuples(shifts, shifts), slope=st.integers(-80, 80), scale=st.integers(-60, 60),
       turned=turns, corners=st.sampled_from(["AD", "BC", "AB", "AC"]))  # fmt: skip
@settings(max_examples=80, deadline=None)
def test_four_readings_give_shift_turn_and_one_scale(
    back: Point, slope: int, scale: int, turned: Turnover, corners: str
) -> None:
    t, s = Fraction(slope, 10_000), 1 + Fraction(scale, 10_000)
    printer = Crooked(STAY, Move(a=s, b=t, c=-t, d=s, e=back[0], f=back[1]), turned)
    found = correction(printer.read(corners))
    assert printer.apart(found) <= NEAR
    assert found.left_over <= Length(4)


@given(turned=turns, shift=st.tuples(shifts, shifts), first=st.tuples(shifts, shifts))
@settings(max_examples=40, deadline=None)
def test_a_second_reading_mends_what_the_first_left(
    turned: Turnover, shift: Point, first: Point
) -> None:
    """The sheet printed again with a correction in force, however wrong that was."""
    printer = Crooked(Move(e=shift[1]), Move(e=shift[0], f=shift[1]), turned)
    wrong = Move(e=first[0], f=first[1])
    found = correction(printer.read("ABCD", front=Move(e=first[1]), back=wrong))
    assert printer.apart(found) <= NEAR


@pytest.mark.parametrize(
    ("turned", "right", "up"),
    [(Turnover.ABOUT_VERTICAL, "2", "-1"), (Turnover.ABOUT_HORIZONTAL, "-2", "1")],
)
def test_the_sign_of_the_correction(turned: Turnover, right: str, up: str) -> None:
    """Seen from the front the back falls 2 mm to the right and 1 mm up (worked by hand: its own
    right is the front's left when turned about the vertical, its own up the front's down when
    turned about the horizontal)."""
    crosses = {corner: (mm(2), mm(1)) for corner in "AD"}
    found = correction(Readings(sheet=A4, turned=turned, crosses=crosses))
    assert found.back == Move(e=mm(right), f=mm(up))
    assert found.front == STAY
    assert found.shift == (mm(2), mm(1))


def test_reading_to_half_a_millimetre_says_what_remains() -> None:
    crosses = {
        "A": (mm("0.5"), mm(1)),
        "B": (mm(1), mm(1)),
        "C": (mm("0.5"), mm("0.5")),
        "D": (mm("0.5"), mm("0.5")),
    }
    found = correction(Readings(sheet=A4, turned=Turnover.ABOUT_VERTICAL, crosses=crosses))
    assert ZERO < found.left_over <= mm("0.5")


def test_readings_that_no_printer_gives() -> None:
    def of(**crosses: Point) -> Readings:
        return Readings(sheet=A4, turned=Turnover.ABOUT_VERTICAL, crosses=crosses)

    with pytest.raises(ImposeError, match="1 corner is read"):
        correction(of(A=(ZERO, ZERO)))
    with pytest.raises(ImposeError, match=r"the back comes out 11\.4% larger or smaller"):
        correction(of(A=(mm(-8), ZERO), B=(mm(8), ZERO), C=(mm(-8), ZERO)))
    with pytest.raises(ImposeError, match=r"turned by 7\.1 mm on 100 mm"):
        correction(of(A=(ZERO, mm(-5)), B=(ZERO, mm(5))))
    with pytest.raises(ImposeError, match="too small for a register sheet"):
        cross_places(Size(mm(90), mm(140)))


def test_the_printers_file_keeps_the_rest_and_replaces_the_same_sheets(tmp_path: Path) -> None:
    text = 'kind = "printer"\nname = "Shop"  # ours\nmargins = { lead = "5mm" }\n'
    one = Register(sheet=A4, flip=Flip.LONG_EDGE, back=Move(e=mm(1)), read_on="2031-04-02")
    two = Register(sheet=A4.turned, flip=Flip.LONG_EDGE, front=Move(f=mm("-0.25")))
    three = Register(
        sheet=A4, flip=Flip.LONG_EDGE, back=Move(a=Fraction(1001, 1000), e=Length(12345))
    )
    first = with_register(text, (), one)
    whole = with_register(with_register(first, (one,), two), (one, two), three)
    folder = tmp_path / "printers"
    folder.mkdir()
    (folder / "shop.toml").write_text(whole)
    printer = Library(user=tmp_path).printer("shop")
    assert printer.registers == (two, three)
    assert whole.startswith(text)


def _profile(folder: Path, register: Register) -> Printer:
    printers = folder / "profiles" / "printers"
    printers.mkdir(parents=True)
    text = 'kind = "printer"\nname = "Attic"\nflips = "long edge"\n'
    (printers / "attic.toml").write_text(with_register(text, (), register))
    return Library(folder).printer("attic")


def _job(folder: Path, register: Register, marks: str = "black") -> Path:
    numbered_pdf(folder / "pages.pdf", 8)
    _profile(folder, register)
    if marks != "black":
        path = folder / "profiles" / "printers" / "attic.toml"
        path.write_text(path.read_text().replace("flips", f'marks = "{marks}"\nflips', 1))
    job = folder / "job.toml"
    job.write_text(
        '[book]\ntitle = "Attic"\npages = ["pages.pdf"]\nbinding = "saddle"\ntrim = "a5"\n'
        '[guts]\nsheet = "a4 landscape"\nprinter = "attic"\n'
    )
    return job


def _simulated() -> tuple[Move, Register]:
    """A printer's error on landscape A4, and the correction that is read for it."""
    sheet = A4.turned
    error = Move(a=Fraction(1002, 1000), b=Fraction(3, 1000), c=Fraction(-3, 1000),
                 d=Fraction(999, 1000), e=mm("1.7"), f=mm("-2.2"))  # fmt: skip
    flip = Flip.SHORT_EDGE
    printer = Crooked(STAY, error, flip.on(sheet), sheet)
    found = correction(printer.read("ABCD"))
    return error, Register(sheet=sheet, flip=flip, front=found.front, back=found.back)


@pytest.mark.parametrize("ink", ["black", "registration"])
def test_backs_printed_by_that_printer_fall_on_their_fronts(tmp_path: Path, ink: str) -> None:
    """The file's own matrix, read by an independent reader, undoes the printer's error."""
    error, register = _simulated()
    job = _job(tmp_path, register, ink)
    job.write_text(job.read_text() + 'flip = "short edge"\n')
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    reader = PdfReader(out / "guts.pdf")
    for number, page in enumerate(reader.pages):
        operations = ContentStream(page.get_contents(), reader).operations
        first = [float(n) for n in operations[1][0]]
        if number % 2 == 0:
            assert operations[1][1] != b"cm"
            continue
        assert operations[0][1] == b"q" and operations[1][1] == b"cm"
        a, b, c, d, e, f = first
        for x, y in ((0.0, 0.0), (841.9, 0.0), (0.0, 595.3), (841.9, 595.3)):
            u, v = a * x + c * y + e, b * x + d * y + f
            p = float(error.a) * u + float(error.c) * v + float(error.e.as_points)
            q = float(error.b) * u + float(error.d) * v + float(error.f.as_points)
            assert abs(p - x) < 0.28 and abs(q - y) < 0.28  # 0.1 mm


def test_the_proof_shows_what_the_printer_makes_of_it(tmp_path: Path) -> None:
    """Corrected sheets, printed by the printer they are for, give the same book."""
    _, register = _simulated()
    job = _job(tmp_path, register)
    job.write_text(job.read_text() + 'flip = "short edge"\n')
    both = []
    for out in (tmp_path / "corrected", tmp_path / "plain"):
        assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
        with pdfplumber.open(out / "proof.pdf") as pdf:
            chars = [c for page in pdf.pages for c in page.chars if c["size"] > 40]
            both.append([(c["text"], c["x0"], c["top"]) for c in chars])
        job.write_text(job.read_text().replace('printer = "attic"', ""))
    assert (tmp_path / "corrected" / "guts.pdf").read_bytes() != (out / "guts.pdf").read_bytes()
    assert len(both[0]) == len(both[1]) >= 8
    for one, other in zip(*both, strict=True):
        assert one[0] == other[0]
        assert abs(one[1] - other[1]) < 0.05 and abs(one[2] - other[2]) < 0.05


def test_plan_json_carries_the_correction(tmp_path: Path) -> None:
    _, register = _simulated()
    path = _job(tmp_path, register)
    path.write_text(path.read_text().replace('"attic"\n', '"attic"\nflip = "short edge"\n'))
    job = job_from_file(path, Overrides())
    with open_sources([tmp_path / "pages.pdf"]) as sources:
        plan = plan_job(job, sources)
        assert {sheet.back.move for sheet in plan.sheets} == {register.back}
        assert {sheet.front.move for sheet in plan.sheets} == {STAY}
        assert from_text(to_text(plan)) == plan
        data = json.loads(to_text(plan), parse_float=Decimal)
        assert (
            data["sheets"][0]["back"]["move"]["factors"][0]
            == Decimal(register.back.a.numerator) / register.back.a.denominator
        )
        target = tmp_path / "guts.pdf"
        write_sheets(plan, sources, target)
        verify_sheets(plan, sources, target)
        with pytest.raises(PlanMismatchError, match="correction for the printer"):
            verify_sheets(_off_by_a_grain(plan), sources, target)
    notes = [f for f in plan.findings if f.code == "register-corrected"]
    assert len(notes) == 1 and "the back by" in notes[0].message


def _off_by_a_grain(plan: Plan) -> Plan:
    sheet = plan.sheets[-1]
    move = replace(sheet.back.move, e=sheet.back.move.e + Length(1))
    sheet = replace(sheet, back=replace(sheet.back, move=move))
    return replace(plan, sheets=(*plan.sheets[:-1], sheet))


def test_sheets_that_were_never_read_are_said(tmp_path: Path) -> None:
    register = Register(sheet=A4, flip=Flip.LONG_EDGE, back=Move(e=mm(1)))
    job = job_from_file(_job(tmp_path, register), Overrides())
    with open_sources([tmp_path / "pages.pdf"]) as sources:
        plan = plan_job(job, sources)
    found = [f for f in plan.findings if f.code == "register-unread"]
    assert len(found) == 1 and "297 x 210 mm" in found[0].message
    assert all(sheet.back.move.idle for sheet in plan.sheets)


def test_the_command_makes_reads_and_keeps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    base = ["register", "--printer", "office laser long edge", "--sheet", "a4"]
    sheet = tmp_path / "new" / "register.pdf"
    assert run([*base, "--out", str(sheet)]) == 0
    with pdfplumber.open(sheet) as pdf:
        assert len(pdf.pages) == 2
        fronts, backs = ({c["text"]: c for c in page.chars if c["size"] > 19} for page in pdf.pages)
        for corner in "ABCD":  # the same letter on the same place of the paper
            x = float(pdf.pages[0].width) - backs[corner]["x1"]
            assert abs(fronts[corner]["x0"] - x) < 0.1
    readings = ["--read", "A", "2mm", "1mm", "--read", "D", "2mm", "1mm", "--left-line", "20.5mm"]
    assert run([*base, *readings, "--date", "2031-04-02", "--keep-as", "attic"]) == 0
    said = capsys.readouterr().err
    assert "the back falls 2 mm right and 1 mm up" in said
    kept = Library(tmp_path).printer("attic")
    assert kept.registers == (
        Register(sheet=A4, flip=Flip.LONG_EDGE, front=Move(e=mm("-0.5")),
                 back=Move(e=mm("2.5"), f=mm(-1)), read_on="2031-04-02"),
    )  # fmt: skip
    again = tmp_path / "again.pdf"
    assert run(["register", "--printer", "attic", "--sheet", "a4", "--out", str(again)]) == 0
    first = PdfReader(again).pages[1].get_contents()
    assert first is not None
    assert first.get_data().startswith(b"q 1 0 0 1 7.0866142 -2.8346457 cm")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--read", "E", "0mm", "0mm"], "'E' is no corner"),
        (["--read", "A", "0mm", "0mm", "--read", "a", "0mm", "0mm"], "'a' is read twice"),
        (["--read", "A", "1", "0mm", "--read", "D", "0mm", "0mm"], "'1' has no unit"),
        (["--read", "A", "0mm", "0mm", "--read", "D", "0mm", "25mm"], "25 mm is more than 20 mm"),
        (["--read", "A", "0mm", "0mm", "--read", "D", "0mm", "0mm", "--keep-as", "../x"],
         "cannot be the name of a profile"),
    ],
)  # fmt: skip
def test_bad_readings_are_refused_in_words(
    more: list[str],
    words: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    base = ["register", "--printer", "office laser long edge", "--sheet", "a4"]
    assert run([*base, *more]) == 2
    assert words in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_readings_that_are_not_whole_say_what_belongs_to_them(
    capsys: pytest.CaptureFixture[str],
) -> None:
    base = ["register", "--printer", "office-one-side", "--sheet", "a4"]
    assert run([*base, "--read", "A", "2mm"]) == 2
    said = capsys.readouterr().err
    assert "--read CORNER RIGHT UP: What was read at a corner" in said
