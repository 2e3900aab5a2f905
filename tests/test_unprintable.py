"""What the printer leaves white: art that lies there is found, and guts move out of it.

Margins in these tests are made up.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas
from strategies import asked_for, page_facts

from impose.bench.program import add_cuts
from impose.checks.unprintable import BY_GEOMETRY, CODE
from impose.errors import JobError
from impose.findings import Finding, Severity
from impose.geometry.box import Box, Size, box_inside
from impose.geometry.moving import Move
from impose.geometry.turning import Flip
from impose.model.job import Binding
from impose.model.machines import LeadingEdge, Printer
from impose.model.overrides import Overrides
from impose.model.profiles import Library
from impose.model.registers import Register
from impose.model.resolve import job_from_options
from impose.pipeline import check
from impose.plan.plan import Plan
from impose.units import ZERO, Length

mm = Length.mm
A5, A4 = Size(mm(148), mm(210)), Size(mm(210), mm(297))
PRINTER = """
kind = "printer"
name = "the attic printer"
leads = "short edge"
margins = {{ lead = "4mm", tail = "14mm", left = "5mm", right = "5mm" }}
flips = "{flip}"
marks = "black"
"""


def job_with(folder: Path, flip: str = "long edge", **options: str):  # type: ignore[no-untyped-def]
    profiles = folder / "profiles" / "printers"
    profiles.mkdir(parents=True, exist_ok=True)
    (profiles / "attic.toml").write_text(PRINTER.format(flip=flip))
    wish = {"binding": "saddle", "trim": "a5", "sheet": "a4", "printer": "attic", **options}
    return job_from_options(
        Overrides(pages=("pages.pdf",), **wish),  # type: ignore[arg-type]
        folder,
        Library(folder),
    )


def pdf(path: Path, size: Size, pages: int, at: tuple[str, str], words: str = "far out") -> None:
    """Pages with words at `at` from the lower left, and some in the middle."""
    wide, high = (float(n.as_points) for n in (size.width, size.height))
    canvas = Canvas(str(path), pagesize=(wide, high))
    x, y = (float(Length.mm(n).as_points) for n in at)
    for number in range(pages):
        canvas.drawString(x, y, words)
        canvas.drawString(wide / 2, high / 2, f"page {number + 1}")
        canvas.showPage()
    canvas.save()


def told(folder: Path, **options: str) -> list[Finding]:
    return [f for f in check(job_with(folder, **options)).findings if f.code in (CODE, BY_GEOMETRY)]


def test_words_in_the_white_margin_are_lost_and_both_numbers_are_said(tmp_path: Path) -> None:
    pdf(tmp_path / "pages.pdf", A5, 4, ("30", "2"))
    (finding,) = told(tmp_path)
    assert finding.severity is Severity.ERROR
    assert finding.pages == (1, 2, 3, 4) and finding.side == "foot"
    assert '"far out"' in finding.message
    assert "the attic printer cannot print 5 mm there: it is lost" in finding.message
    assert "from the edge of the sheet at the foot" in finding.message
    assert finding.numbers["margin"] == "5 mm" and finding.numbers["nearest_page"] == 1


def test_pages_with_nothing_there_are_not_spoken_of(tmp_path: Path) -> None:
    """The trims do reach into the margin: without a look at the pages that is all one knows."""
    pdf(tmp_path / "pages.pdf", A5, 4, ("30", "20"))
    assert told(tmp_path) == []


@pytest.mark.parametrize(("up", "lost"), [(mm(-3), True), (mm(3), False)])
def test_margins_are_looked_at_where_a_corrected_side_is_sent(
    tmp_path: Path, up: Length, lost: bool
) -> None:
    """Words 6.5 mm from the foot of the sheet, a margin of 5 mm: moved down they are lost."""
    pdf(tmp_path / "pages.pdf", A5, 4, ("30", "6.5"))
    job = job_with(tmp_path)
    printer = job.guts.printer
    assert printer is not None
    flips = [Flip.LONG_EDGE, Flip.SHORT_EDGE]
    registers = tuple(Register(sheet=A4.turned, flip=flip, front=Move(f=up)) for flip in flips)
    moved = replace(job, guts=replace(job.guts, printer=replace(printer, registers=registers)))
    found = [f for f in check(moved).findings if f.code == CODE]
    assert bool(found) is lost
    assert not [f for f in check(job).findings if f.code == CODE]


def test_what_is_cut_off_anyway_does_not_count(tmp_path: Path) -> None:
    """A colour that runs into the bleed of a page whose trim lies clear of the margins."""
    size = Size(mm(126), mm(186))
    wide, high = (float(n.as_points) for n in (size.width, size.height))
    canvas = Canvas(str(tmp_path / "pages.pdf"), pagesize=(wide, high))
    for _ in range(4):
        canvas.rect(-9, -9, 900, 900, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    assert told(tmp_path, trim="120mm x 180mm") == []


def test_a_colour_to_the_edge_is_a_warning_of_a_white_edge(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "pages.pdf"), pagesize=(419.53, 595.28))
    for _ in range(4):
        canvas.setFillGray(0.5)
        canvas.rect(0, 200, 500, 100, stroke=0, fill=1)
        canvas.showPage()
    canvas.save()
    found = told(tmp_path)
    assert {f.severity for f in found} == {Severity.WARNING}
    assert {(f.side, f.pages, f.numbers["margin"]) for f in found} == {
        ("fore-edge", (1, 2), "14 mm"),
        ("fore-edge", (3, 4), "4 mm"),
    }
    assert all("a white edge is left" in f.message for f in found)


def test_no_look_no_ink_so_the_geometry_speaks(tmp_path: Path) -> None:
    from impose.pdf.prepare import opened
    from impose.pipeline import plan_job

    pdf(tmp_path / "pages.pdf", A5, 4, ("30", "20"))
    with opened(job_with(tmp_path)) as (ready, sources):
        plan = plan_job(ready.job, sources)
    assert BY_GEOMETRY in {finding.code for finding in plan.findings}


def test_the_hint_to_move_is_given_only_where_moving_helps(tmp_path: Path) -> None:
    """Single leaves on A5: there is room between head and foot to come out of the deep margin at
    the tail; across, the spine lies on the edge of the paper."""
    size = Size(mm(105), mm(190))
    pdf(tmp_path / "pages.pdf", size, 2, ("60", "186"))
    options = {"binding": "stab", "trim": "105mm x 190mm", "sheet": "a5"}
    (finding,) = told(tmp_path, **options)
    assert finding.side == "head" and "on_sheet" in finding.hint
    assert told(tmp_path, on_sheet="clear of margins", **options) == []
    pdf(tmp_path / "pages.pdf", size, 2, ("1", "95"), words="i")
    found = told(tmp_path, **options)
    assert {f.side for f in found} == {"spine"}
    assert all("on_sheet" not in f.hint for f in found)


# -- moved on the sheet ----------------------------------------------------------------------

lengths = st.integers(0, 15).map(mm)


@settings(max_examples=60, deadline=None)
@given(
    margins=st.tuples(lengths, lengths, lengths, lengths),
    flip=st.sampled_from(Flip),
    leads=st.sampled_from(LeadingEdge),
    binding=st.sampled_from([Binding.SADDLE, Binding.STAB, Binding.LOOSE, Binding.SECTIONS]),
    bound=st.sampled_from(["left", "right"]),
    spare=st.tuples(st.integers(0, 40).map(mm), st.integers(0, 40).map(mm)),
    pages=st.integers(1, 20),
)
def test_moved_guts_keep_all_laws(
    margins: tuple[Length, ...],
    flip: Flip,
    leads: LeadingEdge,
    binding: Binding,
    bound: str,
    spare: tuple[Length, Length],
    pages: int,
) -> None:
    """Whatever can be is out of the margins; backs still lie on their fronts; the cuts, which
    are proved by a replay, still leave the trims; folds stay in the middle."""
    from impose.geometry.sides import BoundAt

    lead, tail, left, right = margins
    printer = Printer(
        name="p", leads=leads, lead=lead, tail=tail, left=left, right=right, flip=flip
    )
    trim = Size(mm(70), mm(100))
    folded = binding in (Binding.SADDLE, Binding.SECTIONS)
    sheet = Size(trim.width * (2 if folded else 1) + spare[0], trim.height + spare[1])
    asked = asked_for(
        pages, binding=binding, trim=trim, sheet=sheet, printer=printer, caliper=mm("0.1"),
        bound_at=BoundAt(bound), clear_of_margins=True, up=None if not folded else 2,
        section_pages=8 if binding is Binding.SECTIONS else None,
    )  # fmt: skip
    try:
        plan = add_cuts(asked.planned(), asked.job)
    except JobError:
        return
    _registers(plan)
    _clear(plan, printer, held=folded or (binding is Binding.STAB))


def _registers(plan: Plan) -> None:
    for sheet in plan.sheets:
        backs = {p.leaf: p.trim for p in sheet.back.placements}
        for front in sheet.front.placements:
            assert sheet.turned.over(front.trim, sheet.size) == backs[front.leaf]
        for fold in sheet.folds:
            whole = sheet.size.height if fold.across else sheet.size.width
            assert fold.at == whole.half


def _clear(plan: Plan, printer: Printer, *, held: bool) -> None:
    """Up the sheet, and across it where nothing holds the pages."""
    for sheet in plan.sheets:
        size = sheet.size
        inside = box_inside(Box(ZERO, ZERO, size.width, size.height), printer.margins(size))
        both = inside.meet(sheet.turned.over(inside, size))
        trims = [p.trim for _, side in sheet.sides for p in side.placements]
        for trim in trims:
            top, low = max(t.y1 for t in trims), min(t.y0 for t in trims)
            if top - low <= both.height and not any(f.across for f in sheet.folds):
                assert inside.y0 <= trim.y0 and trim.y1 <= inside.y1
            wide = max(t.x1 for t in trims) - min(t.x0 for t in trims)
            if not held and wide <= both.width:
                assert inside.x0 <= trim.x0 and trim.x1 <= inside.x1


def test_only_along_the_fold() -> None:
    """Folded sheets: up the sheet the pages move out of the deep margin, across they stay."""
    printer = Printer(name="p", leads=LeadingEdge.LONG, tail=mm(14), lead=mm(3))
    sheet = Size(mm(297), mm(230))
    plan = asked_for(
        4, binding=Binding.SADDLE, trim=A5, sheet=sheet, printer=printer, clear_of_margins=True
    ).planned()
    (one,) = plan.sheets
    assert one.size == sheet
    assert {p.trim.y0 for p in one.front.placements} == {mm(6)}
    assert {p.trim.y0 for p in one.back.placements} == {mm(6)}
    assert one.folds[0].at == sheet.width.half


def test_no_room_and_no_printer_are_said() -> None:
    printer = Printer(name="p", tail=mm(14), lead=mm(3), left=mm(3), right=mm(3))
    plan = asked_for(
        4, binding=Binding.SADDLE, trim=A5, sheet=A4, printer=printer, clear_of_margins=True
    ).planned()
    note = next(f for f in plan.findings if f.code == "on-sheet-no-room")
    assert "13.5 mm into the margins of p" in note.message
    plan = asked_for(4, binding=Binding.SADDLE, trim=A5, sheet=A4, clear_of_margins=True).planned()
    assert "on-sheet-no-printer" in {f.code for f in plan.findings}


def test_a_lay_edge_and_the_margins_cannot_both_decide(tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(
        '[book]\npages = ["a.pdf"]\nbinding = "stab"\n[guts]\non_sheet = "clear of margins"\n'
        'lay = "head"\n'
    )
    from impose.model.resolve import job_from_file

    with pytest.raises(JobError) as error:
        job_from_file(tmp_path / "job.toml", Overrides())
    assert "both say where" in error.value.faults[0].message


def test_a_page_that_is_a_hair_too_large_has_no_bleed() -> None:
    """Real A4 files are 0.1 to 1 pt off: A4 pages go on A4 paper as loose leaves."""
    facts = page_facts(A4, Length.points("0.003"))
    assert facts.media.size != A4
    plan = asked_for(
        2, binding=Binding.LOOSE, trim=A4, sheet=A4, supplied=Length.points("0.003")
    ).planned()
    assert plan.sheets[0].front.placements[0].trim == Box(ZERO, ZERO, A4.width, A4.height)


@pytest.mark.parametrize("flip", list(Flip))
@pytest.mark.parametrize("clear", [False, True])
def test_marks_lie_where_the_printer_prints(flip: Flip, clear: bool) -> None:
    """All of them, words and check line too, on both sides, whether the guts are moved or not."""
    printer = Printer(name="p", tail=mm(14), lead=mm(3), left=mm(6), right=mm(4), flip=flip)
    for binding, sheet in ((Binding.SADDLE, Size(mm(350), mm(250))), (Binding.STAB, A4)):
        moved = {"printer": printer, "clear_of_margins": clear}
        plan = asked_for(8, binding=binding, trim=A5, sheet=sheet, **moved).planned()  # type: ignore[arg-type]
        drawn = 0
        for one in plan.sheets:
            whole = Box(ZERO, ZERO, one.size.width, one.size.height)
            inside = box_inside(whole, printer.margins(one.size))
            for _, side in one.sides:
                marks = [m for group in side.marks for m in group.marks] + list(side.own_marks)
                drawn += len(marks)
                for mark in marks:
                    for x, y in ((mark.x0, mark.y0), (mark.x1, mark.y1)):
                        assert inside.x0 <= x <= inside.x1 and inside.y0 <= y <= inside.y1, mark
        assert drawn > 20
