"""What the bench meets: measured stacks, flaps, saddle covers, bare parts, limits told once."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from benchplans import library
from click.testing import CliRunner
from coverplans import BIG, VALLEY, art_facts, codes, cover_job, covered, inch, sheet, with_art
from test_make import numbered_pdf

from impose.bench.outline import outline_of
from impose.bench.paper import book_pile
from impose.bench.program import add_cuts
from impose.checks.machines import check_machine
from impose.checks.papers import check_score
from impose.cli.main import run
from impose.cli.spine_command import spine
from impose.errors import ExitCode, PlanMismatchError
from impose.geometry.box import Size
from impose.model.fields import ValueFault
from impose.model.inkreader import ink
from impose.model.job import Job
from impose.model.machines import Bench, Binder
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file
from impose.pdf.read import open_sources
from impose.pdf.verify import verify_sheets
from impose.pdf.write import write_sheets
from impose.pipeline import input_files, plan_job
from impose.plan.coverfacts import CoverFacts
from impose.plan.cutsteps import StepKind
from impose.plan.parts import LineKind, Sheet, When
from impose.plan.plan import Plan
from impose.reports.ticket_facts import ticket_facts
from impose.schemes.gutspaper import guts_paper
from impose.units import ZERO, Length


def facts_of(plan: Plan) -> CoverFacts:
    assert plan.cover is not None
    return plan.cover


def sheet_of(plan: Plan) -> Sheet:
    return next(one for one in plan.sheets if one.role == "cover")


def message(plan: Plan, code: str) -> str:
    return next(finding.message for finding in plan.findings if finding.code == code)


# -- bare parts -------------------------------------------------------------------------------


@pytest.mark.parametrize("bound_at", ["left", "right"])
@pytest.mark.parametrize(("flaps", "fields"), [(None, 1), (Length.mm(60), 2)])
def test_bare_neighbours_are_one_field_without_a_seam(
    bound_at: str, flaps: Length | None, fields: int
) -> None:
    """Back and spine (and back flap) are one; the front flap lies beyond the art."""
    cover = {
        "spine": inch("3/8"),
        "art": with_art(front=True),
        "fill": ink("grey 20"),
        "flap_front": flaps,
        "flap_back": flaps,
        "sheets": (BIG,),
    }
    job = cover_job(cover, bound_at=bound_at)
    plan = covered(job, art=(art_facts(Size(inch("5.5"), inch("8.5")), inch("1/8")),))
    front = next(p.trim for p in sheet_of(plan).front.placements if p.page)
    boxes = [fill.box for fill in sheet_of(plan).front.fills]
    assert len(boxes) == fields
    assert not any(box.overlaps(front) for box in boxes)
    whole = front
    for box in boxes:
        whole = whole.join(box)
    trim = facts_of(plan).trim
    beyond = trim.x0 - whole.x0, whole.x1 - trim.x1
    # Out to the bleed where a bare part ends the cover; the art has its own bleed.
    assert Length.mm(3) in beyond
    assert not sheet_of(plan).back.fills  # the glue is on the inside


@pytest.mark.parametrize("written", ["grey 0.5", "cmyk 0 0.2 0.8 0", "cmyk 0 0 0 1"])
def test_shares_of_one_are_no_per_cents(written: str) -> None:
    with pytest.raises(ValueFault, match="hardly any ink"):
        ink(written)
    assert ink("grey 0") is not None


def test_bleed_that_a_file_rounds_is_not_missing() -> None:
    job = cover_job({"spine": inch("3/8"), "art": with_art(wide=True)})
    size = Size(inch("11") + inch("3/8"), inch("8.5"))
    short = Length.mm(3) - Length.mm("0.001")
    assert "cover-bleed" not in codes(covered(job, art=(art_facts(size, short),)))
    short = Length.mm("2.9")
    assert "cover-bleed" in codes(covered(job, art=(art_facts(size, short),)))


# -- machines -----------------------------------------------------------------------------------


def test_a_binder_s_limit_is_told_once() -> None:
    job = cover_job({"spine": inch("3/8")})
    job = replace(job, bench=Bench(binder=Binder(name="Clamp", spine_max=inch("1/8"))))
    plan = covered(job)
    assert "spine-binder" in codes(plan)
    assert not check_machine(plan, job)
    bare = replace(job, cover=None)
    assert [f.code for f in check_machine(covered(bare), bare)] == ["spine-thickness"]


def test_extra_leaves_count_at_binder_and_cutter_too() -> None:
    job = replace(cover_job(), cover=None)
    more = replace(job, extra_leaves=10)
    plan = covered(job)
    ten = job.guts.stock.caliper * 10
    assert book_pile(plan, more).each == book_pile(plan, job).each + ten


@pytest.mark.parametrize("grind", ["0in", "1/8in"])
@pytest.mark.parametrize("lay", ["head", "foot"])
def test_cover_and_cut_list_agree_on_the_untrimmed_guts(grind: str, lay: str) -> None:
    job = cover_job({"spine": inch("3/8"), "lay": lay}, grind=grind)
    plan = covered(job)
    paper, outline = guts_paper(plan), outline_of(plan)
    assert paper.head == outline.gathered.y1 - plan.leaf.height
    assert paper.foot == -outline.gathered.y0
    assert paper.fore_edge == outline.gathered.x1 - plan.leaf.width
    assert paper == facts_of(plan).guts


# -- saddle covers and flaps ------------------------------------------------------------------


def saddle(sheets: str, height: str) -> tuple[Plan, Job]:
    """Half-letter pages on letter sheets: nothing to cut at head and foot of the guts."""
    cover = {"sheets": (sheet(sheets, height),)}
    job = cover_job(cover, binding="saddle", sheet="letter")
    return covered(job, 16), job


def test_a_saddle_cover_keeps_paper_where_its_guts_have_none() -> None:
    plan, job = saddle("17in", "11in")
    facts = facts_of(plan)
    assert facts.guts.head == ZERO
    assert facts.head == inch("1/8") == facts.guts_down
    lines = {ln.of for ln in sheet_of(plan).lines if ln.kind is LineKind.CUT}
    assert lines == {"head", "foot", "fore-edge"}
    assert "cover-oversize" not in codes(plan)
    assert "0.125 in below the cover's head edge" in message(plan, "cover-lay")
    assert "take the cover alone" in message(plan, "no-cut")
    steps = [s for s in add_cuts(plan, job).cut_steps if s.kind is StepKind.CUT]
    assert [s.cuts for s in steps] == [("foot",), ("head",), ("fore-edge",)]
    rows = {row.label: row.words for row in ticket_facts(plan, job).cover}
    assert rows["Guts' head"].startswith("1/8 in")


def test_a_saddle_cover_of_the_size_of_its_guts_lacks_nothing() -> None:
    plan, _ = saddle("11in", "8.5in")
    found = [f.message for f in plan.findings if f.code == "cover-oversize"]
    assert not any("head" in words or "foot" in words for words in found)
    assert "cover-lay" not in codes(plan)


def test_a_scored_fold_is_not_asked_for_again() -> None:
    plan, job = saddle("17in", "11in")
    assert facts_of(plan).scored
    assert not check_score(plan, job)


def test_the_fold_s_note_holds_where_the_fold_is_off_the_middle() -> None:
    flaps = {"flap_front": inch("3"), "sheets": (BIG,)}
    plan = covered(cover_job(flaps, binding="saddle", sheet="tabloid"), 16)
    step = next(s for s in plan.score_steps if s.of == "cover-fold")
    assert step.note == "fold to the printed mark; it is not in the paper's middle"


@pytest.mark.parametrize("binding", ["perfect", "sections", "saddle"])
def test_flaps_cut_fore_edges_first_in_the_list_and_on_the_ticket(binding: str) -> None:
    """The cover's two ends, then the guts' fore-edge, both before the cover goes on."""
    flap = {"spine": inch("3/8"), "flap_front": inch("3"), "flap_back": inch("3")}
    job = cover_job(flap | {"sheets": (BIG,)}, binding=binding, sheet="tabloid", grind="0in")
    plan = add_cuts(covered(job, 32), job)
    steps = [s for s in plan.cut_steps if s.kind is StepKind.CUT]
    done = [cut for step in steps for cut in step.cuts]
    bind = next(s.number for s in plan.cut_steps if s.kind is StepKind.BIND)
    fore = next(s for s in steps if "fore-edge" in s.cuts)
    assert max(done.index("cover-front"), done.index("cover-back")) < done.index("fore-edge")
    assert fore.number < bind and fore.when is When.BEFORE_BINDING
    assert fore.title == "Trim the fore-edge of the guts"
    assert any("without the cover: its flaps would be cut off" in note for note in fore.notes)
    assert {s.cuts[0] for s in steps if s.number > bind} == {"head", "foot"}
    assert plan.cut_facts is not None and "before the cover goes on" in plan.cut_facts.order_from
    rows = {row.label: row.words for row in ticket_facts(plan, job).last_cuts}
    assert facts_of(plan).width.text("mm") in rows["BEFORE scoring"]
    assert fore.setting is not None
    assert fore.setting.gauge.text("mm") in rows["BEFORE the cover goes on"]


def test_with_a_lay_at_the_foot_the_ticket_measures_from_there() -> None:
    job = cover_job({"spine": inch("3/8"), "lay": "foot"}, guts={"lay": "foot"})
    plan = covered(job)
    assert "cover-lay" not in codes(plan)
    rows = {row.label: row.words for row in ticket_facts(plan, job).cover}
    assert rows["Guts' foot"] == "1/8 in (3.175 mm) above the cover's"
    assert rows["Allowance for cover, glue"] == "none"


# -- measured stacks --------------------------------------------------------------------------


def asked(*arguments: str) -> tuple[int, dict[str, object], list[dict[str, str]]]:
    result = CliRunner().invoke(spine, [*arguments, "--json"], standalone_mode=False)
    assert result.exception is None, result.exception
    told = json.loads(result.stdout)
    return int(result.return_value), told["spine"], told["findings"]


def book(folder: Path, book: str = "", cover: str = "", binding: str = "perfect") -> str:
    numbered_pdf(folder / "p.pdf", 96, (inch("5.5"), inch("8.5")))
    path = folder / "job.toml"
    path.write_text(
        f'[book]\npages = ["p.pdf"]\nbinding = "{binding}"\nunits = "in"\n{book}'
        '[guts]\nsheet = "letter"\nstock = "0.004in"\n'
        f'[cover]\nsheet = "12in x 18in"\nstock = "cover-65lb"\n{cover}'
    )
    return str(path)


def test_a_stack_alone_is_an_answer() -> None:
    code, told, findings = asked("--measured", "9.5mm")
    assert (code, told["width"], told["source"]) == (ExitCode.FINE, "9.5 mm", "measured")
    assert not findings


def test_bulk_and_grammage_on_the_command_line() -> None:
    """160 leaves x 80 x 1.25 / 1000: formula in mathhelpforum.com/algebra/199582."""
    _, told, _ = asked("--pages", "320", "--stock", "80gsm bulk 1.25")
    assert (told["width"], told["from"]) == ("16 mm", "leaves x bulk x grammage")


def test_spine_and_make_count_alike(tmp_path: Path) -> None:
    """Extra leaves of the job count in both."""
    job = book(tmp_path, "extra_leaves = 4\n", 'allowance = "1/64in"\n')
    _, told, _ = asked(job)
    run(["make", job, "--out", str(tmp_path / "out"), "--only", "plan", "--no-check", "--quiet"])
    plan = json.loads((tmp_path / "out" / "plan.json").read_text())
    assert told["thicknesses"] == plan["cover"]["spine"]["thicknesses"] == 52
    assert told["width_pt"] == plan["cover"]["spine"]["width"]
    _, told, _ = asked(job, "--extra-leaves", "0")
    assert told["thicknesses"] == 48


def test_a_new_stack_says_what_moves_on_the_job_s_cover(tmp_path: Path) -> None:
    job = book(tmp_path, cover='spine = "measured 3/16in"\n')
    _, _, findings = asked(job, "--measured", "1/4in")
    moved = [one["message"] for one in findings if one["code"] == "cover-moved"]
    assert "the spine's width: 0.1875 in before, 0.25 in now (0.0625 in more)" in moved
    assert sum(words.startswith("score, ") for words in moved) == 4
    _, _, findings = asked(job, "--measured", "3/16in")
    assert "cover-moved" not in {one["code"] for one in findings}


def test_a_stack_that_the_cover_s_sheet_does_not_take(tmp_path: Path) -> None:
    code, told, findings = asked(book(tmp_path), "--measured", "7 1/2in + 2/16in")
    assert code == ExitCode.SPOILED
    assert told["width"] == "7.625 in"
    words = next(one["message"] for one in findings if one["code"] == "cover-sheet-too-small")
    assert "18.625 x 8.5 in" in words and "12 x 18 in" in words


def test_make_again_into_the_same_folder_says_what_moved(tmp_path: Path) -> None:
    out = tmp_path / "out"
    for width in ("3/16", "1/4"):
        job = book(tmp_path, cover=f'spine = "measured {width}in"\n')
        run(["make", job, "--out", str(out), "--only", "cover,ticket,plan", "--no-check",
             "--quiet"])  # fmt: skip
    plan = json.loads((out / "plan.json").read_text())
    moved = [one["message"] for one in plan["findings"] if one["code"] == "cover-moved"]
    assert "the spine's width: 0.1875 in before, 0.25 in now (0.0625 in more)" in moved
    assert any(words.startswith("front spine edge to front paper edge: 8.9062") or
               "front spine edge to front paper edge: ~8.9062 in before" in words
               for words in moved)  # fmt: skip


def test_a_saddle_book_has_no_spine(tmp_path: Path) -> None:
    _, _, findings = asked(book(tmp_path, binding="saddle").replace("\n", ""))
    assert "spine-none" in {one["code"] for one in findings}


def test_an_allowance_beside_a_measured_stack_is_not_passed_over() -> None:
    _, told, findings = asked("--pages", "100", "--stock", "0.1mm", "--measured", "5mm",
                              "--allowance", "0.5mm")  # fmt: skip
    assert told["allowance"] == "0 mm"
    words = next(one["message"] for one in findings if one["code"] == "spine-allowance")
    assert "0.5 mm" in words and "5 mm" in words


# -- nothing half written ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cover", "both"),
    [
        ('hinge = "6in"\n', ("6 in", "5.5 in")),
        ('spine = "measured 7 1/2in + 2/16in"\n', ("18.625 x 8.5 in", "12 x 18 in")),
    ],
)
def test_a_cover_that_cannot_be_leaves_nothing_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], cover: str, both: tuple[str, str]
) -> None:
    out = tmp_path / "out"
    code = run(["make", book(tmp_path, cover=cover), "--out", str(out), "--quiet"])
    told = capsys.readouterr().err
    assert code == ExitCode.USAGE
    assert all(number in told for number in both)
    assert not out.exists()


def test_a_creaser_that_reaches_nothing_is_told_with_both_numbers() -> None:
    job = cover_job({"spine": inch("3/8")})
    short = replace(VALLEY, stop_max=inch("5"), widest=inch("10"))
    plan = covered(replace(job, bench=Bench(creaser=short)))
    assert "8.5625 in" in message(plan, "score-reach") and "5 in" in message(plan, "score-reach")
    assert "12 in" in message(plan, "score-too-wide") and "10 in" in message(plan, "score-too-wide")


# -- what is written is what is planned -------------------------------------------------------


@pytest.mark.parametrize("change", ["ink", "box", "none at all"])
def test_a_written_field_of_colour_is_held_to_the_plan(tmp_path: Path, change: str) -> None:
    """Read back and compared: another colour, another place or a lost field is found."""
    path = Path(book(tmp_path, cover='fill = "cmyk 0 20 80 0"\n'))
    job = job_from_file(path, Overrides(), library())
    target = tmp_path / "cover.pdf"
    with open_sources(input_files(job)) as sources:
        plan = plan_job(job, sources)
        write_sheets(plan, sources, target, "cover")
        verify_sheets(plan, sources, target, "cover")
        one = sheet_of(plan)
        (fill,) = one.front.fills
        other = {
            "ink": (replace(fill, ink=ink("cmyk 0 20 70 0")),),
            "box": (replace(fill, box=fill.box.moved(Length.mm(1), ZERO)),),
            "none at all": (),
        }[change]
        wrong = replace(one, front=replace(one.front, fills=other))
        plan = replace(plan, sheets=tuple(wrong if s is one else s for s in plan.sheets))
        with pytest.raises(PlanMismatchError):
            verify_sheets(plan, sources, target, "cover")


def test_what_the_job_tells_the_bench_comes_first_on_the_ticket(tmp_path: Path) -> None:
    path = Path(book(tmp_path, 'instructions = ["Round the corners", "Wrap in tens"]\n'))
    job = job_from_file(path, Overrides(), library())
    plan = covered(cover_job())
    assert ticket_facts(plan, job).instructions[:2] == ("Round the corners", "Wrap in tens")
