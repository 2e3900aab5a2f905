"""What the bench is told of folded panels: backs, folds, drawings, joints, views; from the plan.

What is measured and marked for a fold that meets no edge is common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from benchplans import job_for
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import (
    Book,
    asked_for,
    many_up_books,
    one_up_books,
    page_facts,
    saddle_books,
    section_books,
)

from impose.bench.leafletsteps import folding_of, folds_of
from impose.bench.program import add_cuts
from impose.errors import JobError
from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt
from impose.marks.drawing import add_marks
from impose.model.facts import BookPage
from impose.model.job import Binding, Job
from impose.model.panels import LeafletFold
from impose.pdf.pages import PLAIN, Align, Pen, Point
from impose.plan.cutsteps import StepKind
from impose.plan.plan import Plan
from impose.reports.cut_pictures import cut_pictures
from impose.reports.cutlist_rows import rows
from impose.reports.guide import guide
from impose.reports.guide_backs import back_to_back
from impose.reports.panel_pictures import draw_panels
from impose.schemes.boundbook import bind_book
from impose.schemes.leafletfolds import leaflet_strip
from impose.schemes.panelstrip import fold_pile, read_strip
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

STRIPS = [fold for fold in LeafletFold if fold is not LeafletFold.TENT]


def mm(value: object) -> Length:
    return Length.mm(str(value))


def planned(sizes: Sequence[Size], **options: Any) -> tuple[Plan, Job]:
    """A plan of pages of these sizes, with marks and steps, and its job."""
    job = job_for(**{"trim": None} | options)
    pages = [BookPage(0, n, page_facts(size)) for n, size in enumerate(sizes, start=1)]
    plan = plan_sheets(job, pages, tuple(range(1, len(pages) + 1)), ["pages.pdf"])
    return add_cuts(add_marks(plan, job), job), job


def leaflet(fold: LeafletFold, front: Size, nest: str = "3mm", **more: Any) -> tuple[Plan, Job]:
    """A leaflet with a page for every panel."""
    strip = leaflet_strip(fold, front.width, mm(nest[:-2]), False)
    pages = read_strip(strip.widths, strip.steps).pages
    sizes = [Size(strip.widths[shown.panel], front.height) for shown in pages]
    trim = f"{front.width.text('mm').replace(' ', '')} x {front.height.text('mm').replace(' ', '')}"
    options = {"binding": "leaflet", "fold": fold.value, "nest": nest, "trim": trim, "sheet": "a4"}
    return planned(sizes, **options | more)


def checked(plan: Plan, job: Job) -> str:
    """The sentence that says what lies behind what, empty where there is none."""
    (task,) = [t for t in guide(plan, job).tasks if t.title == "Check the first sheet"]
    return next((step for step in task.steps if "Behind" in step), "")


# -- what lies behind what ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("sizes", "options", "words"),
    [
        ([Size(mm(99), mm(210))] * 6, {"binding": "leaflet", "fold": "z"},
         "Behind page 1 must lie page 6, the same way up"),
        ([Size(mm("74.25"), mm(105))] * 16, {"binding": "one sheet"},
         "Behind page 1 must lie page 14, the same way up"),
        ([Size(mm(40), mm(100))] * 14, {"binding": "concertina", "panels": 7},
         "Behind page 1 must lie page 14, the same way up"),
        ([Size(mm("72.75"), mm(210))] * 3
         + [Size(mm("148.5"), mm(210)), Size(mm("72.75"), mm(210)), Size(mm("148.5"), mm(210))],
         {"binding": "leaflet", "fold": "gate"},
         "Behind page 1 must lie page 3, the same way up"),
        ([Size(mm(297), mm(210))] * 2, {"binding": "leaflet", "fold": "letter"},
         "Behind page 1 must lie page 2, the same way up"),
        ([Size(mm(148), mm(105))] * 4, {"binding": "leaflet", "fold": "tent"},
         "Behind page 1 must lie page 2, head to foot"),
        ([Size(mm("74.25"), mm(105))] * 8, {"binding": "one sheet"}, ""),
        ([Size(mm(99), mm(210))] * 3, {"binding": "leaflet", "fold": "z"}, ""),
    ],
)  # fmt: skip
@pytest.mark.parametrize("flip", ["long edge", "short edge"])
def test_the_page_behind_is_the_one_that_lies_there(
    sizes: list[Size], options: dict[str, Any], words: str, flip: str
) -> None:
    said = checked(*planned(sizes, sheet="a4", flip=flip, **options))
    assert words in said if words else said == ""


def test_a_blank_behind_is_not_what_the_turn_is_checked_by() -> None:
    """Five pages of a z-fold: behind page 1 nothing is printed, behind page 2 lies page 5."""
    plan, job = planned([Size(mm(99), mm(210))] * 5, binding="leaflet", fold="z", sheet="a4")
    assert "Behind page 2 must lie page 5" in checked(plan, job)


@given(st.one_of(saddle_books(), section_books(), one_up_books(), many_up_books()))
@settings(max_examples=60, deadline=None)
def test_law_the_pages_named_are_the_two_sides_of_one_leaf(book: Book | None) -> None:
    """In every bound book; by the leaf of a face, which is not where it lies."""
    assume(book is not None and not book.plan.one_sided("guts"))
    assert book is not None
    head_bound = book.plan.bound_at is BoundAt.HEAD
    for sheet in book.plan.sheets:
        pairs = list(back_to_back(sheet))
        assert len(pairs) == len(sheet.front.placements)
        assert all(pair.front.leaf == pair.back.leaf for pair in pairs)
        assert {pair.turn for pair in pairs} <= {180 if head_bound else 0}


def test_books_say_what_they_said() -> None:
    for binding in (Binding.SADDLE, Binding.SECTIONS, Binding.PERFECT, Binding.STAB):
        asked = asked_for(24, binding=binding, trim=Size(mm(148), mm(210)),
                          sheet=Size(mm(320), mm(450)))  # fmt: skip
        plan = add_cuts(asked.planned(), asked.job)
        assert "Behind page 1 must lie page 2, the same way up" in checked(plan, asked.job)


# -- folds -------------------------------------------------------------------------------


@given(
    fold=st.sampled_from(STRIPS),
    bound_at=st.sampled_from(["left", "right"]),
    nest=st.sampled_from(["0mm", "2mm", "3mm"]),
)
@settings(max_examples=40, deadline=None)
def test_law_of_the_folds_as_the_folder_sees_them(
    fold: LeafletFold, bound_at: str, nest: str
) -> None:
    """Folding by the words alone gives the same pile; edges are laid on each other only where
    the piece is then no wider than the part that stays; page 1 comes to lie up."""
    plan, _ = leaflet(fold, Size(mm(60), mm(95)), nest, bound_at=bound_at)
    folding = folding_of(plan)
    for at, (state, found) in enumerate(zip(folding.states, folds_of(folding), strict=False)):
        assert fold_pile(state, found.step) == folding.states[at + 1]
        ends = min(one.x0 for one in state), max(one.x1 for one in state)
        low = found.from_edge.value == "left"
        assert found.reach == (found.step.at - ends[0] if low else ends[1] - found.step.at)
        parts = found.step.at - ends[0], ends[1] - found.step.at
        near = Length.mm("0.01")
        assert found.flush == (parts[0].near(parts[1], near))
    steps = plan.cut_steps
    assert "page 1 is up" in steps[-1].title or "pages 1 and 2 are up" in steps[-1].title
    for step in steps:
        if any(shown.startswith("fold") for shown in step.shows):
            text = " ".join(step.notes)
            assert ("Mark" in text) != ("Nothing to mark" in text)


def folds_in_words(plan: Plan) -> list[str]:
    return [
        f"{step.title}. {' '.join(step.notes)}"
        for step in plan.cut_steps
        if step.kind is StepKind.FOLD
    ]


def test_a_flap_that_meets_nothing_is_measured_and_marked() -> None:
    """Letter fold of A4, 99, 99, 96 mm (common practice: 3 mm narrower)."""
    first, second, last = folds_in_words(leaflet(LeafletFold.LETTER, Size(mm(99), mm(210)))[0])
    assert "Mark 96 mm from the right edge, lightly, at the head and at the foot" in first
    assert "top edges and the bottom edges lie in line" in first and "corners" not in first
    assert "Its edge ends 3 mm short of the fold" in first
    assert "lay the edge on the fold" in second and "corners meet" in second
    assert "page 1 is up" in last and "Turn" not in last


def test_a_gate_comes_up_to_its_other_half() -> None:
    first, second, last = folds_in_words(leaflet(LeafletFold.GATE, Size(mm(140), mm(200)))[0])
    assert "Lay the sheet with pages 3, 4 and 5 up. Fold the left part over" in first
    assert "corners" not in first + second
    assert "Its edge ends 3 mm short of the edge" in second
    assert "pages 1 and 2 are up" in last
    meeting = folds_in_words(leaflet(LeafletFold.GATE, Size(mm(140), mm(200)), "0mm")[0])
    assert "comes up to the edge that lies there, not over it" in meeting[1]


@pytest.mark.parametrize(
    ("fold", "up", "front"),
    [("gate", "page 2 up", "its front, in two halves, is up"),
     ("letter", "page 2 up", "its front panel is up"),
     ("z", "page 1 up", "its front panel is up")],
)  # fmt: skip
def test_flat_sides_say_which_side_is_up(fold: str, up: str, front: str) -> None:
    plan, _ = planned([Size(mm(297), mm(210))] * 2, binding="leaflet", fold=fold, sheet="a4")
    words = folds_in_words(plan)
    assert f"Lay the sheet with {up}" in words[0] and front in words[-1]


def test_one_flat_side_is_laid_print_down() -> None:
    plan, _ = planned([Size(mm(297), mm(210))], binding="leaflet", fold="letter", sheet="a4")
    assert "Lay the sheet with its blank side up" in folds_in_words(plan)[0]


# -- drawings ----------------------------------------------------------------------------


class Recorder:
    """A drawing that remembers what is drawn on it."""

    def __init__(self) -> None:
        self.words: list[tuple[str, Length]] = []
        self.boxes: list[Box] = []
        self.lines: list[tuple[Point, Point, Pen]] = []
        self.hatched: list[Box] = []

    def text(
        self, x: Length, y: Length, words: str, size: Length, bold: bool = False,
        align: Align = Align.LEFT,
    ) -> None:  # fmt: skip
        self.words.append((words, x))

    def text_up(self, x: Length, y: Length, words: str, size: Length) -> None:
        self.words.append((words, x))

    def width(self, words: str, size: Length, bold: bool = False) -> Length:
        return size * len(words)

    def line(self, start: Point, end: Point, pen: Pen = PLAIN) -> None:
        self.lines.append((start, end, pen))

    def box(self, box: Box, pen: Pen = PLAIN) -> None:
        self.boxes.append(box)

    def polygon(self, points: Sequence[Point], pen: Pen = PLAIN, closed: bool = True) -> None:
        pass

    def hatch(self, box: Box, gap: Length, pen: Pen = PLAIN) -> None:
        self.hatched.append(box)

    def figures(self) -> list[str]:
        """Page numbers from left to right."""
        found = [(x, words) for words, x in self.words if words.isdecimal()]
        return [words for _, words in sorted(found, key=lambda one: one[0].grains)]


def drawn(plan: Plan, index: int) -> Recorder:
    recorder = Recorder()
    folds = [step for step in plan.cut_steps if step.kind is StepKind.FOLD]
    draw_panels(recorder, Box(ZERO, ZERO, mm(66), mm(58)), plan, folds[index])
    return recorder


@pytest.mark.parametrize(
    ("fold", "seen"),
    [
        (LeafletFold.Z, [["1", "2", "3"], ["4", "1"]]),
        (LeafletFold.LETTER, [["2", "3", "4"], ["2", "5"]]),
        (LeafletFold.GATE, [["3", "4", "5"], ["1", "4", "5"]]),
        (LeafletFold.HALF, [["2", "3"]]),
        (LeafletFold.ROLL, [["2", "3", "4", "5"], ["2", "3", "6"], ["2", "7"]]),
    ],
)
def test_the_paper_is_drawn_as_it_lies_before_the_fold(
    fold: LeafletFold, seen: list[list[str]]
) -> None:
    """By the pages that lie up: of a z-fold whose right part is folded under, page 1 at the
    right and the back of panel 3 at the left; the fold between them thick."""
    plan, _ = leaflet(fold, Size(mm(140 if fold is LeafletFold.GATE else 70), mm(95)))
    for index, figures in enumerate(seen):
        recorder = drawn(plan, index)
        assert recorder.figures() == figures
        thick = [ends for *ends, pen in recorder.lines if pen.weight == Length.points(2)]
        assert len(thick) == 1
    last = drawn(plan, len(seen))
    on_top = "pages 1 and 2 above" if fold is LeafletFold.GATE else "page 1 above"
    assert any(on_top in words for words, _ in last.words)


def test_the_second_fold_of_a_z_is_drawn_at_the_left_of_page_one() -> None:
    plan, _ = leaflet(LeafletFold.Z, Size(mm(99), mm(210)))
    recorder = drawn(plan, 1)
    ((start, _),) = [ends for *ends, pen in recorder.lines if pen.weight == Length.points(2)]
    place = {words: x for words, x in recorder.words if words.isdecimal()}
    assert place["4"] < start[0] < place["1"]
    assert "Fold the left part under" in plan.cut_steps[1].title


def test_flat_sides_are_numbered_by_their_side() -> None:
    plan, _ = planned([Size(mm(297), mm(210))] * 2, binding="leaflet", fold="gate", sheet="a4")
    assert drawn(plan, 0).figures() == ["2", "2", "2"]
    assert drawn(plan, 1).figures() == ["1", "2", "2"]


# -- concertina and knife ----------------------------------------------------------------


def test_the_strip_is_cut_off_by_a_measure_that_is_still_there() -> None:
    """Seven panels of A6 on A4; the crop mark of the end is gone when head and foot are cut."""
    plan, job = planned([Size(mm(105), mm(148))] * 7, binding="concertina", panels=7,
                        trim="a6", sheet="a4")  # fmt: skip
    by_kind = {step.kind: step for step in plan.cut_steps}
    cut = " ".join(by_kind[StepKind.SLIT].notes)
    assert "Tick 105 mm from its left edge at the head and at the foot" in cut
    assert "crop mark" not in cut and "folded edge" not in cut
    join = by_kind[StepKind.JOIN]
    words = f"{join.title}. {' '.join(join.notes)}"
    assert words.index("lay it flat again") < words.index("thin glue on the tab's front")
    titles = [task.title for task in guide(plan, job).tasks]
    assert "Cut off, join and fold, in this order" in titles
    assert not any("slit" in title for title in titles)


def test_with_a_knife_the_waste_is_hatched_on_whichever_side_it_lies() -> None:
    plan, _ = leaflet(LeafletFold.LETTER, Size(mm(99), mm(210)))
    pictures, told = cut_pictures(plan), rows(plan)
    (step,) = [s for s in plan.cut_steps if s.setting and s.setting.gauge == mm("1.5")]
    picture, row = pictures[step.number], told[step.number - 1]
    assert picture.waste == picture.moment.stays and picture.falls_words == "hatched: waste"
    assert row.falls == "waste, a strip of 1.5 mm" and row.stays.startswith("the sheets")
    machine = replace(plan, cut_facts=replace(plan.cut_facts, hand=False))  # type: ignore[type-var]
    assert cut_pictures(machine)[step.number].waste is None
    assert rows(machine)[step.number - 1].falls.startswith("sheets (good work)")


# -- views and sizes ---------------------------------------------------------------------


@pytest.mark.parametrize("bound_at", ["left", "right", "head"])
@pytest.mark.parametrize("fold", STRIPS)
def test_no_paper_is_seen_twice_in_a_view(fold: LeafletFold, bound_at: str) -> None:
    """Open parts lie side by side, and together are no wider than the piece laid open."""
    front = Size(mm(60), mm(95))
    strip = leaflet_strip(fold, front.width, mm(3), False)
    pages = read_strip(strip.widths, strip.steps).pages
    sizes = [Size(strip.widths[shown.panel], front.height) for shown in pages]
    trim = "60mm x 95mm"
    if bound_at == "head":
        sizes, trim = [size.turned for size in sizes], "95mm x 60mm"
    plan, _ = planned(sizes, binding="leaflet", fold=fold.value, nest="3mm", trim=trim,
                      sheet="a4", bound_at=bound_at)  # fmt: skip
    for view in bind_book(plan).views:
        boxes = view.open or tuple(box for _, box in view.faces)
        assert all(not one.overlaps(other) for one, other in pairwise(boxes))
        along = sum(((b.height if bound_at == "head" else b.width) for b in boxes), ZERO)
        assert along <= strip.width
        for part, (_, page) in zip(boxes, view.faces, strict=True):
            assert part.meet(page) == part


def test_a_gate_half_open_shows_half_of_what_is_behind() -> None:
    """Flap, what it leaves of the middle panel, and the other flap laid open."""
    view = bind_book(leaflet(LeafletFold.GATE, Size(mm(140), mm(200)))[0]).views[1]
    assert [box.width for box in view.open] == [mm("68.5"), mm("71.5"), mm("68.5")]
    assert [page.width for _, page in view.faces] == [mm("68.5"), mm(140), mm("68.5")]


def test_pages_all_alike_of_a_gate_are_its_flaps() -> None:
    """A4 in four: pages of 74.25 mm make a folded piece of 148.5 mm."""
    sizes = [Size(mm("74.25"), mm(210))] * 6
    with pytest.raises(JobError) as refused:
        planned(sizes, binding="leaflet", fold="gate", sheet="a4")
    (fault,) = [one for one in refused.value.faults if one.code == "panel-sizes"]
    assert "a gate fold of 148.5 x 210 mm" in fault.message
    assert "pages 4, 6: 148.5 x 210 mm" in fault.message and "35.6" not in fault.message
    assert '--trim "148.5mm x 210mm"' in str(fault.hint)
