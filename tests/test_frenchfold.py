"""French-folded leaves: one face of the paper, the fold at the fore-edge, never cut there."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from benchplans import BLEED, job_for, library, plan_for
from benchreplay import operator_for, same
from coverplans import BIG
from hypothesis import given, settings
from hypothesis import strategies as st
from proofbook import check_proof, write_book
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas
from shapely.geometry import box
from test_make import numbered_pdf

from impose.bench import proving
from impose.bench.program import add_cuts
from impose.bench.scores import add_scores
from impose.checks.live import cut_sides
from impose.cli.main import run
from impose.errors import JobError, PlanMismatchError
from impose.geometry.sides import Edge
from impose.model.job import Cover
from impose.plan.cutsteps import StepKind
from impose.plan.parts import LineKind, When
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_data, to_text
from impose.schemes.boundbook import bind_book
from impose.schemes.coverplan import add_cover
from impose.units import Length


def mm(value: object) -> Length:
    return Length.mm(str(value))


def french(pages: int = 12, **options: Any) -> Plan:
    asked = {"binding": "perfect", "sheet": "a4", "trim": "a6", "french_fold": True}
    job = job_for(**(asked | options))
    return add_cuts(plan_for(job, pages, BLEED), job)


@pytest.mark.parametrize("flip", ["long edge", "short edge"])
@pytest.mark.parametrize(
    ("pages", "options", "guts"),
    [
        (12, {"binding": "perfect", "sheet": "a5"}, {}),
        (7, {"binding": "stab", "sheet": "a5", "bound_at": "right"}, {}),
        (8, {"binding": "punched", "sheet": "148mm x 96mm"}, {}),
        (10, {"binding": "perfect", "sheet": "a4", "grind": "2mm", "up": 4}, {}),
        (18, {"binding": "stab", "sheet": "a3", "bound_at": "right"}, {}),
        (6, {"binding": "perfect", "sheet": "a4", "bound_at": "head"}, {}),
    ],
)
def test_the_proof_reads_and_looks_like_the_source(
    tmp_path: Path, pages: int, options: dict[str, Any], guts: dict[str, Any], flip: str
) -> None:
    made = write_book(tmp_path, pages, guts, flip=flip, french_fold=True, **options)
    assert made.plan.french
    assert check_proof(made, pages) == []
    assert bind_book(made.plan).findings == ()
    assert len(PdfReader(made.guts).pages) == len(made.plan.sheets)  # the fronts alone


def test_where_a_leaf_lies_by_hand() -> None:
    """A6 (105 x 148 mm) on landscape A5 (210 x 148): no paper is left; on A4 with a grind of
    2 mm, one leaf: the fold in the middle at 148.5, trims out to 43.5 and 253.5, the spine cut
    2 mm beyond."""
    plan = french(4, up=2, grind="2mm")
    (sheet, _) = plan.sheets
    assert sheet.size.landscape
    recto, verso = sheet.front.placements
    assert (recto.page, verso.page) == (1, 2)
    assert (recto.trim.x0, recto.trim.x1) == (mm("43.5"), mm("148.5"))
    assert (verso.trim.x0, verso.trim.x1) == (mm("148.5"), mm("253.5"))
    assert (recto.spine_at, verso.spine_at) == (Edge.LEFT, Edge.RIGHT)
    assert recto.bleed.fore_edge == verso.bleed.fore_edge == Length()
    spines = sorted(ln.x0.as_mm for ln in sheet.lines if ln.of == "spine")
    assert spines == [mm("41.5").as_mm, mm("255.5").as_mm]
    assert [ln.x0 for ln in sheet.lines if ln.kind is LineKind.FOLD] == [mm("148.5")]
    assert {cut.side for cut in plan.cuts} == {"spine", "head", "foot"}
    mirrored = french(4, up=2, grind="2mm", bound_at="right").sheets[0].front.placements
    assert [p.trim for p in mirrored] == [verso.trim, recto.trim]


@given(
    pages=st.integers(1, 60),
    up=st.sampled_from([2, 4, 6, None]),
    bound_at=st.sampled_from(["left", "right", "head"]),
    grind=st.sampled_from(["0mm", "1mm", "1/8in"]),
    binding=st.sampled_from(["perfect", "stab"]),
)
@settings(max_examples=50, deadline=None)
def test_laws(pages: int, up: int | None, bound_at: str, grind: str, binding: str) -> None:
    """Every page once and in order, the fore-edge never cut, the list leaves the trims."""
    more = {"grind": grind} if binding == "perfect" else {}
    try:
        plan = french(pages, sheet="sra3", up=up, bound_at=bound_at, binding=binding, **more)
    except JobError:
        assert up == 6
        return
    order = plan.reading_order()
    assert [page for page in order if page] == list(range(1, pages + 1))
    assert not any(cut.side == "fore-edge" for cut in plan.cuts)
    assert not any("fore-edge" in step.title for step in plan.cut_steps)
    book = bind_book(plan)
    assert book.findings == () and len(book.faces) == plan.faces
    assert from_text(to_text(plan)) == plan
    operator = operator_for(plan)
    first = plan.sheets[0]
    flat = operator.cut_sheets()
    for paper in flat.values():
        inside = [p for p in first.front.placements if _in(paper, p.trim)]
        assert len(inside) in (0, 2)
    _check_folded(plan, next(iter(flat.values())))


def _in(paper: Any, trim: Any) -> bool:
    corners = [float(n.as_points) for n in (trim.x0, trim.y0, trim.x1, trim.y1)]
    return bool(paper.buffer(1e-6).contains(box(*corners)))


def _check_folded(plan: Plan, flat: Any) -> None:
    """Folded in half, the pile cut by the list is trim and grind wide, measured from the fold."""
    x0, y0, x1, y1 = flat.bounds
    half = (x1 - x0) / 2
    left = operator_for(plan).cut_paper("folded leaves", half, y1 - y0)["folded leaves"]
    reach = float((plan.leaf.width + plan.grind).as_points)
    spine = any(cut.id == "spine" for cut in plan.cuts)
    wide = reach if spine else half
    wanted = box(0, 0, wide, y1 - y0)
    if not plan.bound_at.mirrored:  # the fold lies at the right
        wanted = box(half - wide, 0, half, y1 - y0)
    assert same(left, wanted, 1e-5)


def test_the_list_folds_then_cuts_the_spine_side_then_binds() -> None:
    plan = french(12, up=4, grind="2mm", sheet="sra3")
    kinds = [(step.kind, step.title) for step in plan.cut_steps]
    titles = [title for _, title in kinds]
    fold = next(i for i, title in enumerate(titles) if title.startswith("Fold every leaf"))
    assert titles[fold + 1] == "Cut the spine side of the folded leaves"
    bind = [kind for kind, _ in kinds].index(StepKind.BIND)
    assert fold + 1 < bind
    cut = plan.cut_steps[fold + 1]
    assert cut.setting is not None and cut.setting.gauge == mm(107)
    assert cut.setting.reckoned_from == "the folds (jogged)"
    assert cut.table is not None and cut.table.height == cut.table.count * (
        plan_stock().caliper * 2
    )
    assert [s.title for s in plan.cut_steps[bind + 1 :]] == ["Trim the foot", "Trim the head"]
    assert plan.cut_facts is not None
    assert "The fore-edge is a fold: it is never cut." in plan.cut_facts.notes


def plan_stock() -> Any:
    return job_for(binding="perfect", sheet="a4").guts.stock


def test_a_list_that_cuts_the_fold_is_refused() -> None:
    plan = french(12, up=4, grind="2mm", sheet="sra3")
    at, step = next(
        (i, s) for i, s in enumerate(plan.cut_steps) if s.title.startswith("Cut the spine side")
    )
    assert step.present is not None
    wrong = replace(step, present=replace(step.present, at_gauge="left"))
    steps = (*plan.cut_steps[:at], wrong, *plan.cut_steps[at + 1 :])
    with pytest.raises(PlanMismatchError, match="folded leaves"):
        proving.prove_folded(plan, steps)


def test_a_cover_is_cut_to_size_first_and_the_spine_counts_double() -> None:
    job = job_for(binding="perfect", sheet="a4", trim="a6", french_fold=True, stock="0.1mm")
    cover = Cover(stock=library().stock("silk-cover-250gsm"), sheets=(BIG,))
    job = replace(job, cover=cover)
    plan = add_cover(plan_for(job, 80), job, [])
    plan = add_cuts(add_scores(plan, job), job)
    assert plan.cover is not None
    assert plan.cover.spine.width == mm("0.1") * 80  # 40 leaves, each the paper twice
    assert plan.cover.cut_first
    ends = {cut.id: cut.when for cut in plan.cuts if cut.id.startswith("cover-")}
    assert ends == dict.fromkeys(("cover-front", "cover-back"), When.BEFORE_BINDING)
    assert not any(cut.id == "fore-edge" for cut in plan.cuts)
    text = json.dumps(to_data(plan)["cut_steps"])
    assert "Trim the fore-edge" not in text
    assert cut_sides(plan, job) == ("head", "foot"), "nothing on a page may be cut at its fold"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--binding", "saddle"], "bound at their open edges; binding is saddle"),
        (["--binding", "perfect", "--section-pages", "16"], "section_pages is 16"),
        (["--binding", "perfect", "--up", "3"], "up = 3"),
        (["--binding", "perfect", "--trim", "a4", "--sheet", "a4"], "420 x 297 mm"),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], words: str
) -> None:
    source = numbered_pdf(tmp_path / "p.pdf", 8)
    base = ["make", str(source), "--trim", "a6", "--sheet", "a4", "--french-fold", "--fit", "scale"]
    assert run([*base, "--out", str(tmp_path / "o"), "--no-check", *more]) == 2
    assert words in capsys.readouterr().err
    assert not (tmp_path / "o").exists()


def near_fold(folder: Path, x: float) -> dict[str, Any] | None:
    """The finding of a word whose right end lies `x` mm from the fore-edge of page 1."""
    width, height = (float(mm(n).as_points) for n in (105, 148))
    canvas = Canvas(str(folder / "p.pdf"), pagesize=(width, height), invariant=True)
    for number in range(4):
        canvas.setFont("Helvetica", 10)
        if number == 0:
            canvas.drawRightString(width - float(mm(x).as_points), height / 2, "margin")
        canvas.drawString(width / 3, height / 3, f"page {number}")
        canvas.showPage()
    canvas.save()
    out = folder / "out"
    run(["make", str(folder / "p.pdf"), "--binding", "stab", "--trim", "a6", "--sheet", "a4",
         "--french-fold", "--out", str(out), "--quiet", "--only", "plan"])  # fmt: skip
    found = json.loads((out / "plan.json").read_text())["findings"]
    return next((one for one in found if one["code"] == "near-fold"), None)


def test_words_near_the_fold_are_found(tmp_path: Path) -> None:
    one = near_fold(tmp_path, 1.5)
    assert one is not None and one["side"] == "fore-edge" and one["pages"] == [1]
    assert "3.175 mm is safe" in one["message"]
    assert near_fold(tmp_path, 6) is None


def test_the_whole_job_from_the_command_line(tmp_path: Path) -> None:
    numbered_pdf(tmp_path / "p.pdf", 10)
    job = tmp_path / "job.toml"
    job.write_text(
        '[book]\npages = ["p.pdf"]\nbinding = "stab"\ntrim = "a5"\n[guts]\nsheet = "sra4"\n'
        "french_fold = true\n"
    )
    out = tmp_path / "out"
    assert run(["make", str(job), "--out", str(out), "--no-check", "--quiet"]) == 0
    assert len(PdfReader(out / "guts.pdf").pages) == 5
    assert "Fold every leaf" in (out / "cuts.csv").read_text()
    ticket = " ".join(page.extract_text() for page in PdfReader(out / "ticket.pdf").pages)
    assert "printed on one face and folded at the fore-edge" in " ".join(ticket.split())
    assert "printed on one side" in " ".join(ticket.split())
