"""Marks for the press, and what the press cannot do, on plans and in written files."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pikepdf
import pypdfium2
import pytest
from reportlab.lib.colors import CMYKColor, CMYKColorSep
from reportlab.pdfgen.canvas import Canvas
from strategies import asked_for, mm, plan_of

from impose.bench.program import add_cuts
from impose.checks.machines import check_machine
from impose.errors import JobError
from impose.geometry.box import Size
from impose.geometry.moving import Move
from impose.geometry.sides import Edge
from impose.geometry.turning import Flip
from impose.marks.inksused import inks_used
from impose.marks.pressmarks import folding_words
from impose.model.inks import PROCESS, named_ink
from impose.model.job import Binding, MarkSettings
from impose.model.looks import PageLook
from impose.model.machines import Bench, Binder, LeadingEdge, Printer
from impose.model.overrides import Overrides
from impose.model.presswork import TwoUp, Work
from impose.model.registers import Register
from impose.model.resolve import job_from_file, job_from_options
from impose.pipeline import Wish, check, make
from impose.plan.parts import FoldStep, Shape, Sheet, Side
from impose.plan.plan import Plan
from impose.plan.wire import from_text
from impose.reports.cutlist_rows import facts_lines
from impose.reports.press_rows import press_rows
from impose.schemes.registering import add_register
from impose.units import Length

PRESS = Printer(
    name="the press", press=True, leads=LeadingEdge.LONG, lead=mm(12), tail=mm(5), left=mm(5),
    right=mm(5), registration_ink=True, side_lay="left", bar=mm(8),
)  # fmt: skip


def quarto(work: Work, printer: Printer = PRESS, **more: Any) -> Plan:
    """Eight pages that lie best on a landscape sheet, whose long edge leads at the bottom."""
    trim = Size(mm(105), mm(148)) if work is Work.TURN else Size(mm(148), mm(105))
    said = {"trim": trim, "sheet": Size(mm(700), mm(500))} | more
    return plan_of(
        8, binding=Binding.SECTIONS, up=4, section_pages=8, work=work, printer=printer, **said
    )


def texts(side: Side) -> list[str]:
    marks = [*side.own_marks, *(mark for group in side.marks for mark in group.marks)]
    return [mark.text for mark in marks if mark.shape is Shape.TEXT]


def lay_lines(sheet: Sheet, side: Side) -> set[Edge]:
    """The edges at which there are guide marks."""
    marks = [mark for group in side.marks for mark in group.marks]
    found = set()
    for m in marks:
        if m.kind == "lay" and m.shape is Shape.LINE:
            if m.x0 == m.x1:
                low = m.y0 < sheet.size.height - m.y1
                found.add(Edge.BOTTOM if low else Edge.TOP)
            else:
                found.add(Edge.LEFT if m.x0 < sheet.size.width - m.x1 else Edge.RIGHT)
    return found


# -- where the marks are -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("work", "front", "back"),
    [
        # the paper's left edge is at the side lay; turned side to side it lies at the right
        (Work.SHEETWISE, {Edge.BOTTOM, Edge.LEFT}, {Edge.BOTTOM, Edge.RIGHT}),
        (Work.PERFECTING, {Edge.BOTTOM, Edge.LEFT}, {Edge.BOTTOM, Edge.LEFT}),
        # one forme has the marks of both passes
        (Work.TURN, {Edge.BOTTOM, Edge.LEFT, Edge.RIGHT}, {Edge.BOTTOM, Edge.LEFT, Edge.RIGHT}),
        (Work.TUMBLE, {Edge.BOTTOM, Edge.LEFT}, {Edge.BOTTOM, Edge.LEFT}),
    ],
)
def test_guides_stand_at_gripper_and_side_lay_of_each_pass(
    work: Work, front: set[Edge], back: set[Edge]
) -> None:
    (sheet,) = quarto(work).sheets
    assert lay_lines(sheet, sheet.front) == front
    assert lay_lines(sheet, sheet.back) == back
    assert "GRIPPER" in texts(sheet.front)


def test_on_a_turned_forme_the_side_lays_say_their_pass() -> None:
    (sheet,) = quarto(Work.TURN).sheets
    assert {"SIDE LAY 1", "SIDE LAY 2"} <= set(texts(sheet.front))
    (sheet,) = quarto(Work.TUMBLE).sheets
    assert "SIDE LAY" in texts(sheet.front)


def test_the_bar_has_the_inks_in_their_tints_from_the_solid_down() -> None:
    marks = MarkSettings(inks=("black", "Sea Green"), tints=(Fraction(1), Fraction(2, 5)))
    (sheet,) = quarto(Work.SHEETWISE, marks=marks).sheets
    for side in (sheet.front, sheet.back):
        inks = [fill.ink for fill in side.fills[:4]]
        assert inks == [
            named_ink("black", Fraction(1)), named_ink("black", Fraction(2, 5)),
            named_ink("Sea Green", Fraction(1)), named_ink("Sea Green", Fraction(2, 5)),
        ]  # fmt: skip
        assert all(fill.box.size == Size(marks.patch, marks.bar_height) for fill in side.fills)
        assert all(fill.box.y1 == sheet.size.height - PRESS.tail for fill in side.fills)


def test_a_press_without_room_for_a_bar_has_none_and_a_tight_sheet_says_so() -> None:
    (sheet,) = quarto(Work.SHEETWISE, replace(PRESS, bar=mm(0))).sheets
    assert not sheet.front.fills
    tight = quarto(Work.SHEETWISE, sheet=Size(mm(310), mm(231)))
    assert {"bar-no-room", "press-mark-no-room"} <= {f.code for f in tight.findings}


def test_folding_in_words() -> None:
    folds = (
        FoldStep(id="fold1", across=False, at=mm(1), moving=Edge.LEFT, under=True),
        FoldStep(id="fold2", across=True, at=mm(1), moving=Edge.TOP, under=False),
    )
    assert folding_words(folds) == "front up, fold 1: left under, 2: top over"


# -- what the press cannot do ------------------------------------------------------------


def test_an_image_larger_than_the_largest_spoils_the_job() -> None:
    small = replace(PRESS, image_max=Size(mm(290), mm(230)), bar=mm(0))
    plan = quarto(Work.SHEETWISE, small)
    (found,) = [f for f in plan.findings if f.code == "image-too-large"]
    assert "296 x 216.35 mm" in found.message and "290 x 230 mm" in found.message
    roomy = quarto(Work.SHEETWISE, replace(small, image_max=Size(mm(300), mm(230))))
    assert "image-too-large" not in {f.code for f in roomy.findings}


def test_perfecting_wants_a_press_that_does_and_paper_that_is_square() -> None:
    codes = {f.code for f in quarto(Work.PERFECTING).findings}
    assert {"press-perfecting", "paper-squared"} <= codes
    codes = {f.code for f in quarto(Work.PERFECTING, replace(PRESS, perfects=True)).findings}
    assert "press-perfecting" not in codes and "paper-squared" in codes


@pytest.mark.parametrize("work", [Work.TUMBLE, Work.PERFECTING])
def test_both_leading_edges_keep_the_gripper_margin(work: Work) -> None:
    # two rows of 105 mm, 1/8 in at each head, and 12 mm: perfected at both edges of the sheet,
    # tumbled at one of each half
    tight, roomy = (mm(236), mm(242)) if work is Work.PERFECTING else (mm(450), mm(460))
    with pytest.raises(JobError):
        quarto(work, replace(PRESS, bar=mm(0)), sheet=Size(mm(1000), tight))
    fits = quarto(work, replace(PRESS, bar=mm(0)), sheet=Size(mm(1000), roomy))
    for side in (fits.sheets[0].front, fits.sheets[0].back):
        assert min(p.trim.y0 for p in side.placements) >= mm(12)
        assert max(p.trim.y1 for p in side.placements) <= fits.sheets[0].size.height - mm(12)


@pytest.mark.parametrize(
    ("guts", "words"),
    [
        ('work = "work and turn"\nflip = "long edge"', "flip is long edge"),
        ('work = "work and turn"\nprinting = "one side at a time"', "would be the same"),
        ('work = "perfecting"\nfrench_fold = true', "French-folded"),
        ('two_up = "head to head"\nlay = "head"', "own place"),
        ('two_up = "head to head"\nfrench_fold = true', "French-folded"),
        ('work = "work and twist"', "work and turn"),
    ],
)
def test_what_does_not_go_together_is_refused_with_both(
    tmp_path: Path, guts: str, words: str
) -> None:
    file = tmp_path / "job.toml"
    file.write_text(f'[book]\npages = ["a.pdf"]\nbinding = "perfect"\n[guts]\n{guts}\n')
    with pytest.raises(JobError) as caught:
        job_from_file(file, Overrides())
    assert any(words in f"{fault.message} {fault.hint}" for fault in caught.value.faults)


def test_two_up_is_for_bound_books_without_a_cover(tmp_path: Path) -> None:
    for options, words in (
        ({"binding": "loose"}, "binding is loose"),
        ({"binding": "perfect", "spine": "from stock"}, "has a cover"),
    ):
        said = Overrides(pages=("a.pdf",), two_up="head to head", **options)
        with pytest.raises(JobError) as caught:
            job_from_options(said, tmp_path)
        assert any(words in fault.message for fault in caught.value.faults)


# -- the inks in use ---------------------------------------------------------------------


def test_inks_in_use() -> None:
    plain = PageLook(file=0, number=1, process=("black",))
    blank = PageLook(file=0, number=2)
    assert inks_used([plain, blank]) == ("black",)
    assert inks_used([blank]) == ("black",)
    assert inks_used([plain, replace(plain, process=PROCESS)]) == PROCESS
    assert inks_used([plain, replace(plain, process=("cyan",))]) == ("cyan", "black")
    assert inks_used([replace(plain, looked=False)]) == PROCESS
    spots = replace(plain, spots=("Sea Green", "All", "Black", "Ochre"))
    assert inks_used([spots, plain]) == ("black", "Ochre", "Sea Green")
    assert inks_used([replace(blank, spots=("Ochre",))]) == ("Ochre",)


def spotted(target: Path) -> Path:
    """Eight pages in black, one with something in a spot colour."""
    canvas = Canvas(str(target), pagesize=(300, 420), invariant=1)
    for number in range(8):
        canvas.setFillColor(CMYKColor(0, 0, 0, 1))
        canvas.drawString(150, 210, str(number + 1))
        if number == 2:
            canvas.setFillColor(CMYKColorSep(0.8, 0, 0.6, 0.1, spotName="Sea Green", density=1))
            canvas.rect(100, 100, 50, 50, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    return target


def test_an_ink_of_the_bar_that_no_page_has_is_told(tmp_path: Path) -> None:
    text = (
        f'[book]\npages = ["{spotted(tmp_path / "a.pdf").name}"]\ntrim = "300pt x 420pt"\n'
        'binding = "sections"\n[guts]\nsheet = "25in x 19in"\nprinter = "large-press"\n'
        'section_pages = 8\n[marks]\ninks = ["black", "Sea Green", "Sea Geen"]\n'
    )
    (tmp_path / "job.toml").write_text(text)
    found = check(job_from_file(tmp_path / "job.toml", Overrides())).findings
    (told,) = [f for f in found if f.code == "bar-ink-unused"]
    assert told.numbers == {"inks": "Sea Geen"} and "Sea Green" not in told.message


def test_patches_of_a_spot_colour_are_in_the_pages_own_space(tmp_path: Path) -> None:
    """Looked at: black and the spot; the Separation is that of the page, its plates are two."""
    options = {"binding": "sections", "trim": "300pt x 420pt", "sheet": "25in x 19in"}
    job = job_from_options(
        Overrides(
            pages=(str(spotted(tmp_path / "a.pdf")),), printer="large-press", section_pages=8,
            work="work and turn", up=4, **options,
        ),
        tmp_path,
    )  # fmt: skip
    made = make(job, tmp_path / "out", Wish(only=("guts", "plan")))
    fills = made.plan.sheets[0].front.fills
    inks = {(fill.ink.space, fill.ink.name) for fill in fills}
    assert inks == {("cmyk", ""), ("spot", "Sea Green")}
    assert all(fill.ink.parts[:3] == (0, 0, 0) for fill in fills if fill.ink.space == "cmyk")
    with pikepdf.open(tmp_path / "out" / "guts.pdf") as pdf:
        assert len(pdf.pages) == 1
        spaces = pdf.pages[0].Resources.ColorSpace
        own = spaces["/S1"]
        assert str(own[1]) == "/Sea Green"
        forms = pdf.pages[0].Resources.XObject
        drawn = [
            space
            for form in forms.values()
            for space in (form.Resources.get("/ColorSpace") or {}).values()
        ]
        assert own.objgen in {space.objgen for space in drawn} or own in drawn
    assert from_text((tmp_path / "out" / "plan.json").read_text()) == made.plan
    with pypdfium2.PdfDocument(tmp_path / "out" / "guts.pdf") as pdf:
        picture = pdf[0].render(scale=1).to_pil()
        patch = next(fill.box for fill in fills if fill.ink.name and fill.ink.parts == (1,))
        x = float((patch.x0 + patch.x1).half.as_points)
        y = picture.height - float((patch.y0 + patch.y1).half.as_points)
        red, green, blue = picture.getpixel((round(x), round(y)))[:3]
    assert green > red and green > blue


# -- in plain words ----------------------------------------------------------------------


def test_the_words_say_which_edge_is_where_in_each_pass() -> None:
    words = dict(press_rows(quarto(Work.TURN, copies=500)))
    assert words["Pass 1, front"] == "gripper at the bottom; side lay at the left"
    assert "the same edge stays in the grippers" in words["Pass 2, back"]
    assert "side lay at the right, the same edge of the paper" in words["Pass 2, back"]
    assert words["Plates"].startswith("1 set, a plate for each ink")
    assert words["Sheets to print"] == "250; a set of sheets gives 2 copies"
    words = dict(press_rows(quarto(Work.TUMBLE)))
    assert "the other edge goes to the grippers" in words["Pass 2, back"]
    assert "gripper at the bottom (the top edge of the front)" in words["Pass 2, back"]
    words = dict(press_rows(quarto(Work.PERFECTING)))
    assert "tail to gripper" in words["Unit 2, back"]


def test_the_cut_list_begins_with_the_edges_the_press_fed_by() -> None:
    asked = asked_for(
        8, binding=Binding.SECTIONS, up=4, section_pages=8, work=Work.TURN, printer=PRESS,
        trim=Size(mm(105), mm(148)), sheet=Size(mm(700), mm(500)),
    )  # fmt: skip
    plan = add_cuts(asked.planned(), asked.job)
    assert plan.cut_facts is not None
    assert "Printed work and turn: gripper bottom, side lay left" in " ".join(
        facts_lines(plan, plan.cut_facts)
    )
    first, cut, over = plan.cut_steps[:3]
    assert first.title == "Jog the whole sheets to the bottom and the left edge"
    assert cut.present is not None and cut.present.at_gauge == "left"
    assert over.title == "Turn pile 1 over and lay it on pile 2, sheet by sheet"


def test_no_side_of_one_forme_is_moved_alone() -> None:
    sheet = Size(mm(700), mm(500))
    found = Register(sheet=sheet, flip=Flip.SHORT_EDGE, back=Move(e=mm(1), f=mm(0)))
    printer = replace(PRESS, registers=(found,))
    asked = asked_for(
        8, binding=Binding.SECTIONS, up=4, section_pages=8, work=Work.TURN, printer=printer,
        trim=Size(mm(105), mm(148)), sheet=sheet,
    )  # fmt: skip
    plan = add_register(asked.planned(), asked.job)
    assert all(side.move.idle for sheet in plan.sheets for _, side in sheet.sides)
    assert "register-one-forme" in {finding.code for finding in plan.findings}


def test_a_book_too_short_for_the_binder_may_be_bound_two_up() -> None:
    """By hand: 105 mm and 1/8 in at head and foot are 111.35 mm; two head to head 222.7 mm."""
    binder = Binder(name="the binder", spine_length_min=mm(120), spine_length_max=mm(220))
    said: dict[str, Any] = {"binding": Binding.PERFECT, "up": 2, "trim": Size(mm(74), mm(105))}
    said |= {"sheet": Size(mm(320), mm(450)), "bench": Bench(binder=binder)}
    messages = []
    for way in (None, TwoUp.HEADS):
        asked = asked_for(8, two_up=way, **said)
        (found,) = [
            f for f in check_machine(asked.planned(), asked.job) if f.code == "spine-length"
        ]
        messages.append((found.message, found.hint))
    (short, hint), (long, other) = messages
    assert "111.35 mm; the least that the binder takes is 120 mm" in short and "two_up" in hint
    assert "two copies bound as one is 222.7 mm; the most that the binder takes is 220 mm" in long
    assert "leave two_up out" in other


def test_a_sheet_outside_the_range_of_the_press_is_left_out_or_refused() -> None:
    ranged = replace(PRESS, sheet_min=Size(mm(350), mm(500)), sheet_max=Size(mm(720), mm(1020)))
    large, fits = Size(mm(900), mm(1200)), Size(mm(700), mm(500))
    plan = quarto(Work.SHEETWISE, ranged, sheet=(large, fits))
    assert plan.sheets[0].size == fits
    (found,) = [f for f in plan.findings if f.code == "sheet-printer"]
    assert "900 x 1200 mm" in found.message and "720 x 1020 mm" in found.message
    for size, word in ((large, "large"), (Size(mm(320), mm(450)), "small")):
        with pytest.raises(JobError) as caught:
            quarto(Work.SHEETWISE, ranged, sheet=size)
        assert f"too {word}" in caught.value.faults[0].message


def test_sizes_of_marks_are_settings(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    said = 'bar_height = "1/4in"\npatch = "6mm"\ntints = ["100%", "40%"]\ninks = ["black"]\n'
    said += 'target = "8mm"\nguide = "7mm"\nstep = "10pt"\nstep_width = "4pt"\n'
    book = '[book]\npages = ["a.pdf"]\nbinding = "saddle"\n[marks]\n'
    file.write_text(book + said)
    marks = job_from_file(file, Overrides()).marks
    assert (marks.bar_height, marks.patch) == (Length.inches("1/4"), mm(6))
    assert (marks.tints, marks.inks) == ((Fraction(1), Fraction(2, 5)), ("black",))
    assert (marks.target, marks.guide) == (mm(8), mm(7))
    assert (marks.step, marks.step_width) == (Length.points(10), Length.points(4))
    for wrong in ('["120%"]', '["half"]', "[]"):
        file.write_text(f"{book}tints = {wrong}\n")
        with pytest.raises(JobError):
            job_from_file(file, Overrides())
