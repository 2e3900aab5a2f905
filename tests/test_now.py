"""What to do now: for every binding there is, with the figures of the plan, each word explained."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from benchplans import library
from coverplans import cover_job, covered, inch
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas
from strategies import asked_for

from impose.bench.program import add_cuts
from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip, Turnover
from impose.model.job import Binding, Job
from impose.model.machines import Printer
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file, job_from_options
from impose.pdf.prepare import opened
from impose.pipeline import plan_job
from impose.plan.cutsteps import StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.reports.cutlist_pdf import cutlist_pdf
from impose.reports.glossary import GLOSSARY, Explainer, term_line
from impose.reports.guide import Guide, guide
from impose.reports.guide_bindings import GENERAL, WAYS, binding_of
from impose.reports.guide_parts import Book, Refill, Turn
from impose.reports.report_html import report_html
from impose.reports.ticket_pdf import ticket_pdf
from impose.reports.ticket_rows import short_words
from impose.units import Length

mm = Length.mm
A5, A4, SRA3 = Size(mm(148), mm(210)), Size(mm(210), mm(297)), Size(mm(320), mm(450))


def planned(pages: int, binding: Binding, sheet: Size, **more: object) -> tuple[Plan, Job]:
    asked = asked_for(pages, binding=binding, trim=A5, sheet=sheet, **more)  # type: ignore[arg-type]
    return add_cuts(asked.planned(), asked.job), asked.job


BOOKS = {
    "saddle": lambda: planned(24, Binding.SADDLE, SRA3),
    "saddle, one sheet": lambda: planned(4, Binding.SADDLE, SRA3),
    "saddle, four up": lambda: planned(32, Binding.SADDLE, Size(mm(450), mm(640)), up=4),
    "saddle, right-bound": lambda: planned(10, Binding.SADDLE, SRA3, bound_at=BoundAt.RIGHT),
    "perfect": lambda: planned(60, Binding.PERFECT, A4, up=1),
    "perfect, two up": lambda: planned(60, Binding.PERFECT, SRA3),
    "perfect, sections": lambda: planned(
        64, Binding.PERFECT, Size(mm(640), mm(450)), section_pages=16, grind=mm(3)
    ),
    "sections": lambda: planned(64, Binding.SECTIONS, Size(mm(640), mm(450)), section_pages=16),
    "stab": lambda: planned(40, Binding.STAB, A4, up=1),
    "punched": lambda: planned(40, Binding.PUNCHED, SRA3),
    "loose": lambda: planned(12, Binding.LOOSE, SRA3),
    "french, glued": lambda: planned(24, Binding.PERFECT, SRA3, french_fold=True),
    "french, stab": lambda: planned(24, Binding.STAB, SRA3, french_fold=True),
    "one side at a time": lambda: planned(24, Binding.SADDLE, SRA3, one_side=True),
    "head-bound": lambda: planned(24, Binding.STAB, A4, bound_at=BoundAt.HEAD),
}


def words(found: Guide) -> str:
    return " ".join(" ".join((task.title, *task.steps)) for task in found.tasks)


@pytest.fixture(params=BOOKS, ids=str)
def book(request: pytest.FixtureRequest) -> tuple[Plan, Job]:
    return BOOKS[request.param]()


def test_every_binding_has_a_page_from_paper_to_the_finished_copy(book: tuple[Plan, Job]) -> None:
    plan, job = book
    found = guide(plan, job)
    titles = [task.title for task in found.tasks]
    assert titles[0] == "Get ready" and titles[-1] == "Look at the first copy"
    assert titles.index("Print") < titles.index("Check the first sheet")
    assert len(set(titles)) == len(titles)
    text = words(found)
    sheets = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    assert f"{len(sheets)} sheet" in text
    assert "actual size" in text
    for task in found.tasks:
        for step in task.steps:
            assert step[0].isupper() and step.rstrip()[-1] in ".)", step
            assert "  " not in step and "None" not in step, step


def test_whatever_uses_a_blade_glue_needle_or_punch_says_take_care(
    book: tuple[Plan, Job],
) -> None:
    dangerous = re.compile(r"\b(?:Trim the|Cut off|glue on|staples|Pierce|Punch a few|scores)\b")
    for task in guide(*book).tasks:
        if dangerous.search(" ".join(task.steps)):
            assert task.cautions, task.title


def test_trim_figures_are_those_of_the_program(book: tuple[Plan, Job]) -> None:
    plan, job = book
    text = words(guide(plan, job))
    last = [
        step
        for step in plan.cut_steps
        if step.kind is StepKind.CUT and step.when is When.AFTER_BINDING and step.setting
    ]
    for step in last:
        assert step.setting is not None
        if not step.setting.on_marks:
            gauge = short_words(step.setting.gauge, plan.unit)
            assert f"{gauge} from {step.setting.reckoned_from}" in text
    before = [step for step in plan.cut_steps if step.when is When.BEFORE_BINDING]
    cuts = [step for step in before if step.kind is StepKind.CUT]
    if cuts:
        assert f"{cuts[0].number}" in text and "cuts.pdf" in text


def test_a_word_is_explained_once_and_only_when_it_is_used(book: tuple[Plan, Job]) -> None:
    plan, job = book
    found = guide(plan, job)
    told = [term for task in found.tasks for term in task.terms]
    assert len(told) == len(set(told))
    so_far = ""
    for task in found.tasks:
        here = "\n".join((task.title, *task.steps, *(c.text for c in task.cautions)))
        for term in GLOSSARY:
            used = term.found_in(here) is not None
            known = term.found_in(so_far) is not None
            assert (term in task.terms) is (used and not known), (term.word, task.title)
        so_far += "\n" + here


def test_it_is_on_the_ticket_and_read_by_another_reader(book: tuple[Plan, Job]) -> None:
    plan, job = book
    pages = PdfReader(io.BytesIO(ticket_pdf(plan, job))).pages
    texts = [" ".join(page.extract_text().split()) for page in pages]
    first = next(n for n, text in enumerate(texts) if text.startswith("What to do now"))
    assert first >= 1
    after = " ".join(texts[first:])
    for number, task in enumerate(guide(plan, job).tasks, start=1):
        assert f"{number}. {task.title}" in after
        for step in task.steps:
            assert step in after


# -- single bindings, by hand ------------------------------------------------------------------


def test_a_press_has_plates_and_no_print_dialog() -> None:
    plan, job = planned(24, Binding.SADDLE, SRA3)
    office = words(guide(plan, job))
    assert "in the print dialog choose" in office and "plates" not in office
    press = replace(job, guts=replace(job.guts, printer=library().printer("small-press")))
    told = words(guide(plan, press))
    assert "the plates are made at actual size, 100 %" in told and "print dialog" not in told
    assert "the side lay are set until they do" in told and "impose register" not in told


def test_the_zine_of_twenty_four_pages() -> None:
    """Six sheets, 12 and 13 in the middle; 1.25 in of paper at the head of 8.5 x 11 would make
    other staples; here 450 x 320: 55 mm at head and foot, a quarter of 210 from the trims."""
    plan, job = BOOKS["saddle"]()
    text = words(guide(plan, job))
    assert "all with the back up, from the bottom to the top: sheet 1 shows 2 and 23;" in text
    assert "sheet 6 shows 12 and 13. You look at page 12 and page 13" in text
    assert "107.5 mm from the head and 107.5 mm from the foot of the paper" in text
    assert "turning on the short edge" in text and "like the page of a book" in text
    pile = short_words(job.guts.stock.caliper * 6, "mm")
    assert f"all 6 sheets together are about {pile} thick" in text


def test_sheets_that_must_be_folded_one_by_one() -> None:
    plan, job = BOOKS["saddle, four up"]()
    (task,) = [t for t in guide(plan, job).tasks if t.title == "Fold and lay inside each other"]
    fold = plan.sheets[0].folds[0]
    assert short_words(fold.at, "mm") in task.steps[0]
    assert "then fold" in task.steps[0]
    assert "sheet 1 is the outermost, sheet 4 the innermost" in task.steps[-1]


def test_a_zine_that_fills_its_sheets_speaks_of_no_marks() -> None:
    """A5 on A4: no room for marks or for the line, and only a sliver at the fore-edge."""
    plan, job = planned(8, Binding.SADDLE, A4)
    text = words(guide(plan, job))
    assert "fold marks" not in text and "in half, edge on edge" in text
    assert "There is no room for a line to measure" in text
    assert "0.6 mm falls away there: the edge may stay as it is" in text
    assert "in half, along its fold marks" in words(guide(*BOOKS["saddle"]()))


def test_leaves_in_no_file_and_what_was_asked_for_have_their_steps() -> None:
    plan, job = planned(60, Binding.PERFECT, SRA3)
    asked = replace(job, extra_leaves=2, instructions=("round the corners",))
    tasks = guide(plan, asked).tasks
    titles = [task.title for task in tasks]
    put_in = titles.index("Put in what is bound in besides")
    assert "2 leaves (end papers, plates) for each copy" in tasks[put_in].steps[0]
    assert put_in < next(n for n, title in enumerate(titles) if title.startswith("Glue"))
    asked_for = titles.index("What was asked for besides")
    assert tasks[asked_for].steps == ("round the corners",)
    assert asked_for > next(n for n, title in enumerate(titles) if title.startswith("Trim"))


def test_the_picture_shows_how_this_sheet_is_turned() -> None:
    for flip in Flip:
        printer = Printer(name="p", flip=flip)
        plan, job = planned(24, Binding.SADDLE, SRA3, printer=printer)
        (task,) = [t for t in guide(plan, job).tasks if t.title == "Print"]
        assert isinstance(task.picture, Turn)
        first = plan.sheets[0]
        assert task.picture.landscape is first.size.landscape
        horizontal = first.turned is Turnover.ABOUT_HORIZONTAL
        assert task.picture.about_horizontal is horizontal
        assert f"turning on the {flip.value}" in " ".join(task.steps)


def test_one_side_at_a_time_tries_the_first_sheet_before_the_pile() -> None:
    """Six sheets; the usual printer draws the last one first, so sheet 1's back is page 6."""
    plan, job = BOOKS["one side at a time"]()
    tasks = guide(plan, job).tasks
    titles = [task.title for task in tasks]
    first, check = titles.index("Print"), titles.index("Check the first sheet")
    assert titles[check + 1] == "Print the other sheets" and first < check
    alone, pile = tasks[first], tasks[check + 1]
    assert "page 1 of guts-fronts.pdf alone" in alone.steps[0]
    assert "page 6 of guts-backs.pdf alone: it is the back of sheet 1" in alone.steps[2]
    assert "with pages 2 and 23" in alone.steps[2]
    assert "pages 2 to 6 of guts-fronts.pdf" in pile.steps[0]
    assert (
        "the back of sheet 6, whose front has pages 11 and 14, the back pages 12 and 13"
        in (pile.steps[2])
    )
    assert "then print pages 2 to 5 of guts-backs.pdf" in pile.steps[2]
    assert alone.picture == Refill(turn_over=False)
    assert pile.picture == Refill(turn_over=False, pile=True)
    assert "same number" not in words(guide(plan, job))  # sheets carry none


def test_french_folds_are_never_cut_and_printed_on_one_side() -> None:
    plan, job = BOOKS["french, glued"]()
    text = words(guide(plan, job))
    assert "on one side of the paper" in text
    assert "Never cut the fore-edge" in text
    assert "Behind page" not in text


def test_glued_sections_are_glued_and_sewn_ones_sewn() -> None:
    glued, sewn = (words(guide(*BOOKS[name]())) for name in ("perfect, sections", "sections"))
    assert "kettle stitch" not in glued and "the edge that is glued" in glued
    assert "kettle stitch" in sewn


def test_a_later_fold_is_measured_on_what_lies_there() -> None:
    """640 x 450, 16 pages: the left half goes under at 320, so the next upright fold lies 151.175
    mm from the left edge of what is left, not 471.175 mm from an edge that is folded away."""
    plan, job = BOOKS["sections"]()
    (task,) = [t for t in guide(plan, job).tasks if t.title == "Fold"]
    assert plan.sheets[0].folds[2].at == mm("471.175")
    assert "151.175 mm from the left edge of what lies there" in task.steps[0]


def test_folded_piles_are_named_in_the_cut_list_too() -> None:
    plan, _ = BOOKS["french, glued"]()
    (stack,) = [step for step in plan.cut_steps if step.kind is StepKind.STACK]
    assert stack.title == "Lay the piles on each other: from the top pile 1 and pile 2"
    assert not any("pile 0" in note for note in stack.notes)


INSETS = """
[book]
trim = "a5"
binding = "{binding}"
pages = [
  {{ file = "body.pdf", pages = "1-8" }},
  {{ file = "map.pdf", leaf = "fold-out", sheet = "a2" }},
  {{ file = "body.pdf", pages = "9-12"{stock} }},
  {{ file = "body.pdf", pages = "13-20" }},
]
[guts]
sheet = "sra3"
{guts}
"""


@pytest.mark.parametrize(
    ("binding", "guts"), [("perfect", ""), ("saddle", ""), ("sections", "section_pages = 8")]
)
def test_insets_and_other_paper_are_told_before_anything_is_held(
    binding: str, guts: str, tmp_path: Path
) -> None:
    stock = ', stock = "cover-65lb"' if binding == "saddle" else ""
    for name, count, wide in (("body", 20, 148), ("map", 2, 380)):
        canvas = Canvas(str(tmp_path / f"{name}.pdf"),
                        pagesize=(float(mm(wide).as_points), float(mm(210).as_points)))  # fmt: skip
        for _ in range(count):
            canvas.drawString(200, 300, name)
            canvas.showPage()
        canvas.save()
    (tmp_path / "job.toml").write_text(INSETS.format(binding=binding, guts=guts, stock=stock))
    with opened(job_from_file(tmp_path / "job.toml", Overrides())) as (ready, sources):
        plan, job = plan_job(ready.job, sources), ready.job
    found = guide(plan, job)
    titles = [task.title for task in found.tasks]
    at = titles.index("Make the insets and put them in")
    held = ("Glue", "Sew", "Staple", "Trim")
    assert all(n > at for n, title in enumerate(titles) if title.startswith(held))
    steps = " ".join(found.tasks[at].steps)
    assert "inset-1.pdf" in steps and "Put in the next leaf of inset 1" in steps
    assert "after page" in steps and "cuts.pdf" in steps
    others = [task for n, task in enumerate(found.tasks) if n != at]
    assert not any("Inset" in step for task in others for step in task.steps)
    if binding == "saddle":
        assert found.tasks[0].steps[1].count("sheet") >= 2  # two kinds of paper


def test_sections_name_their_sheets() -> None:
    plan, job = BOOKS["sections"]()
    (task,) = [t for t in guide(plan, job).tasks if t.title == "Gather"]
    gather = plan.gathering[0]
    assert str(gather.sheets[0]) in task.steps[0]
    assert any("section 1 on top" in step for step in task.steps)


def test_the_cover_has_its_paper_its_scores_and_its_place() -> None:
    job = cover_job({"spine": inch("3/8")}, title="The Lights of Pellantine")
    plan = add_cuts(covered(job, 96), job)
    assert plan.cover is not None
    text = words(guide(plan, job))
    assert "For the cover: 1 sheet of" in text
    assert "Press the 4 scores" in text
    down = short_words(plan.cover.guts_down, plan.unit)
    assert f"the guts' head {down} inside the cover's head edge" in text


def test_copies_and_overs_are_in_the_paper() -> None:
    plan, job = planned(24, Binding.SADDLE, SRA3, copies=30, overs=2)
    step = guide(plan, job).tasks[0].steps[1]
    assert "6 sheets of" in step and "180 for 30 copies, and 12 for spoilage: 192" in step


def test_a_book_that_would_be_spoiled_is_not_to_be_printed() -> None:
    plan, job = BOOKS["saddle"]()
    bad = replace(plan, findings=(Finding.error("cut-off", "words are cut off"),))
    assert guide(bad, job).stop.startswith("Do not print")
    assert guide(plan, job).stop == ""
    text = " ".join(p.extract_text() for p in PdfReader(io.BytesIO(ticket_pdf(bad, job))).pages)
    assert text.index("Do not print yet") > text.index("What to do now")


def test_a_binding_that_nobody_registered_is_told_from_the_plan() -> None:
    """Whatever comes later: folds, cuts and the binding step of the plan itself."""
    plan, job = BOOKS["sections"]()
    strange = replace(plan, scheme="marginal knots", binding="knots")
    assert binding_of(Book(strange, job)) is GENERAL
    text = words(guide(strange, job))
    fold = plan.sheets[0].folds[0]
    assert short_words(fold.at, "mm") in text
    bind = next(step for step in plan.cut_steps if step.kind is StepKind.BIND)
    assert bind.title in text
    last = [s for s in plan.cut_steps if s.when is When.AFTER_BINDING and s.setting]
    assert last and all(s.title in text for s in last)


def test_every_binding_of_a_job_file_is_registered() -> None:
    assert {binding.value for binding in Binding} <= set(WAYS)


# -- words ---------------------------------------------------------------------------------------


def test_meanings_are_one_line_and_words_are_said_once() -> None:
    assert len({term.word for term in GLOSSARY}) == len(GLOSSARY)
    for term in GLOSSARY:
        assert len(term_line(term)) <= 100, term.word
        assert not term.meaning.endswith(".") and "\n" not in term.meaning


@pytest.mark.parametrize(
    ("text", "used"),
    [
        ("Trim pad on top.", {"trim pad"}),
        ("The lay edges are marked.", {"lay edge"}),
        ("Lay them down.", set()),
        ("a lifting tool; 3 lifts", {"lift"}),
        ("Guts, leaves and feet", {"guts", "leaf", "foot"}),
        ("footnote spineless ahead", set()),
        ("perfectly well", set()),
        ("impose register finds it", set()),
        ("in register", {"register"}),
    ],
)
def test_words_are_told_from_others_that_look_like_them(text: str, used: set[str]) -> None:
    assert {term.word for term in Explainer().new_in(text)} == used


def test_the_cut_list_explains_a_word_beside_the_step_that_uses_it() -> None:
    plan, _ = BOOKS["perfect"]()
    pages = PdfReader(io.BytesIO(cutlist_pdf(plan))).pages
    text = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert text.count("crop mark: short lines outside the page") == 1
    assert "hinge: " not in text


def test_the_report_explains_words_in_the_part_that_uses_them_first(tmp_path: Path) -> None:
    plan, _ = BOOKS["saddle"]()
    page = report_html(plan)
    assert page.count("<dfn>creep</dfn>") == 1
    assert page.index("<dfn>creep</dfn>") < page.index('id="findings"')
    assert "<dfn>hinge</dfn>" not in page
    assert page.count("<dfn>") == len(set(re.findall(r"<dfn>(.*?)</dfn>", page)))


def test_a_title_with_a_term_in_it_explains_nothing() -> None:
    """Names are no words of the trade."""
    plan, _ = BOOKS["saddle"]()
    page = report_html(replace(plan, title="The kettle stitch <b>"))
    assert "<dfn>kettle stitch</dfn>" not in page and "<b>" not in page.split("<main>")[1][:200]


def test_staples_lie_at_a_quarter_of_the_trimmed_height() -> None:
    plan, job = BOOKS["saddle, one sheet"]()
    (task,) = [t for t in guide(plan, job).tasks if t.title.startswith("Staple")]
    paper = (plan.sheets[0].size.height - A5.height).half
    quarter = paper + A5.height * Fraction(1, 4)
    assert f"{quarter.text('mm')} from the head" in task.steps[0]
    assert "the sheet is about" in task.steps[1]


# -- books with holes and folded panels ----------------------------------------------------------


def from_options(folder: Path, pages: int, **options: str) -> tuple[Plan, Job]:
    """A plan made from pages of A5, as the command makes it."""
    canvas = Canvas(str(folder / "book.pdf"), pagesize=(420, 595))
    for number in range(1, pages + 1):
        canvas.drawString(200, 300, str(number))
        canvas.showPage()
    canvas.save()
    job = job_from_options(Overrides(pages=("book.pdf",), **options), folder)
    with opened(job) as (ready, sources):
        return plan_job(ready.job, sources), ready.job


def test_stab_sewing_is_told_as_the_list_has_it(tmp_path: Path) -> None:
    """The same places and cuts, in the same order, and each of them once."""
    plan, job = from_options(tmp_path, 20, binding="stab", trim="a5", sheet="a4")
    told = words(guide(plan, job))
    assert plan.holes is not None
    stages = ("Gather the leaves", "Trim the foot", "Trim the head", "Trim the fore-edge",
              "Pierce 4 holes", "Sew round the spine")  # fmt: skip
    order = [told.index(stage) for stage in stages]
    assert order == sorted(order)
    assert f"{short_words(plan.holes.from_spine, plan.unit)} from the spine" in told
    assert told.count("Pierce 4 holes") == 1 and "guide.pdf" in told


def test_stations_of_the_plan_are_those_of_the_page(tmp_path: Path) -> None:
    plan, job = from_options(
        tmp_path, 20, binding="sections", trim="a5", sheet="sra3", holes="sewn-4"
    )
    told = words(guide(plan, job))
    assert told.count("Pierce 4 holes") == 1
    assert "an even number between" not in told  # the words for a plan without stations


def test_the_slit_comes_between_the_folds(tmp_path: Path) -> None:
    plan, job = from_options(tmp_path, 8, binding="one sheet", sheet="a4", fit="scale")
    told = words(guide(plan, job))
    order = [told.index(one) for one in ("the long way", "Slit the two", "push the two ends")]
    assert order == sorted(order)
