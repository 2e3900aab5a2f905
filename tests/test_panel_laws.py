"""The laws of all plans that hold for folded panels, under random printers, bleeds and marks."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import strategies as st
from strategies import (
    Book,
    asked_for,
    common,
    lengths,
    made,
    mm,
    sheets_for,
)
from test_plan_laws import (
    all_sides,
    crop_marks_lie_on_cut_lines_and_fold_marks_on_folds,
    every_cut_line_belongs_to_a_cut_and_every_cut_shows,
    hold,
    marks_are_printed_and_stay_out_of_every_page_and_bleed,
    no_cut_crosses_a_trim,
    no_two_marks_run_into_each_other,
    no_two_trims_on_a_side_overlap_and_no_clip_enters_another,
    out_of_gripper,
    registration_marks_of_both_sides_lie_on_each_other,
    sheets_are_turned_as_the_flip_says,
    the_same_job_twice_gives_the_same_plan,
    to_text_and_back_is_the_identity,
)

from impose.bench.program import add_cuts
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.model.job import Binding, FitMode
from impose.model.panels import LeafletFold, PanelWish
from impose.plan.parts import SLIT
from impose.plan.plan import FLAT
from impose.schemes.boundbook import bind_book
from impose.schemes.leafletfolds import leaflet_strip
from impose.schemes.panelstrip import HAIR

#: One forme and two copies at once are for leaves and sections.
NO_PRESS_WORK = {"work": None, "two_up": None}


@st.composite
def one_sheet_books(draw: st.DrawFn) -> Book | None:
    said = draw(common()) | NO_PRESS_WORK
    said |= {"binding": Binding.ONE_SHEET, "pages": said["pages"][: draw(st.integers(1, 16))]}
    leaf = said["bound_at"].leaf_size(said["trim"])
    said["sheet"] = draw(sheets_for(Size(leaf.width * 4, leaf.height * 2), said))
    return made(asked_for(**_with_pages(said)))


@st.composite
def concertinas(draw: st.DrawFn) -> Book | None:
    said = draw(common()) | NO_PRESS_WORK
    panels, tab = draw(st.integers(2, 9)), draw(lengths(5, 15))
    said |= {
        "binding": Binding.CONCERTINA,
        "pages": said["pages"][: draw(st.integers(1, panels * 2))],
        "panel": PanelWish(panels=panels, tab=tab),
        "up": draw(st.sampled_from([None, None, 1, 2, 3])),
    }
    leaf = said["bound_at"].leaf_size(said["trim"])
    on = said["up"] or draw(st.integers(1, 3))
    said["sheet"] = draw(sheets_for(Size(leaf.width * on + tab, leaf.height), said))
    return made(asked_for(**_with_pages(said)))


@st.composite
def leaflets(draw: st.DrawFn) -> Book | None:
    """Pages of the front panel's size, centred on panels that are narrower."""
    said = draw(common()) | NO_PRESS_WORK
    fold, nest = draw(st.sampled_from(LeafletFold)), draw(lengths(0, 5))
    said |= {
        "binding": Binding.LEAFLET,
        "pages": tuple(range(1, draw(st.integers(3, 4)) + 1)),
        "fit": FitMode.CENTRE,
        "panel": PanelWish(fold=fold, nest=nest),
    }
    if fold is LeafletFold.TENT:
        said["bound_at"] = BoundAt.LEFT
    front = said["bound_at"].leaf_size(said["trim"])
    if fold is LeafletFold.TENT:
        need = Size(front.width, front.height * 2)
    else:
        need = Size(leaflet_strip(fold, front.width, nest, False).width, front.height)
    said["sheet"] = draw(sheets_for(Size(need.width + mm(1), need.height + mm(1)), said))
    return made(asked_for(**_with_pages(said)))


def _with_pages(said: dict[str, Any]) -> dict[str, Any]:
    """At least one source page, counted from 1, and blanks put where they can be."""
    order = list(said["pages"])
    if all(page is None for page in order):
        order.append(1)
    count = max(page for page in order if page is not None)
    blanks = said["blanks_at"]
    if blanks.before not in (None, -1) and blanks.before > count:
        said["blanks_at"] = type(blanks)()
    return said | {"pages": tuple(order)}


def pages_lie_on_the_sheet(book: Book) -> None:
    printer = book.asked.job.guts.printer
    for sheet, _, side in all_sides(book.plan):
        area = out_of_gripper(printer, sheet.size)
        for placement in side.placements:
            assert area.contains(placement.trim)
            assert area.contains(placement.clip)
            assert placement.trim == placement.art  # nothing creeps


def registration_marks_lie_on_each_other(book: Book) -> None:
    """Where both sides are printed."""
    if not book.plan.one_sided("guts"):
        registration_marks_of_both_sides_lie_on_each_other(book)


def the_paper_folded_from_its_lines_is_the_plan(book: Book) -> None:
    plan = book.plan
    bound = bind_book(plan)
    assert bound.findings == ()
    if plan.scheme in FLAT:  # a page as large as the open sheet
        return
    placed = {
        p.position: (sheet.number, name, p) for sheet, name, side in all_sides(plan)
        for p in side.placements
    }  # fmt: skip
    assert len(bound.faces) == len(placed)
    for position, face in enumerate(bound.faces, start=1):
        number, name, placement = placed[position]
        assert (face.sheet, face.side) == (number, name)
        assert (face.turn + placement.turn) % 360 == 0
        region, trim = face.region, placement.trim
        assert region.x0.near(trim.x0, HAIR) and region.x1.near(trim.x1, HAIR)
        assert region.y0.near(trim.y0, HAIR) and region.y1.near(trim.y1, HAIR)


def the_cut_list_is_proved(book: Book) -> None:
    """`add_cuts` replays it; the slit and the end of a strip are no cuts of the guillotine's."""
    steps = add_cuts(book.plan, book.asked.job).cut_steps
    assert steps
    for step in steps:
        assert SLIT not in step.cuts and "end" not in step.cuts


LAWS = [
    no_two_trims_on_a_side_overlap_and_no_clip_enters_another,
    pages_lie_on_the_sheet,
    sheets_are_turned_as_the_flip_says,
    every_cut_line_belongs_to_a_cut_and_every_cut_shows,
    no_cut_crosses_a_trim,
    marks_are_printed_and_stay_out_of_every_page_and_bleed,
    crop_marks_lie_on_cut_lines_and_fold_marks_on_folds,
    no_two_marks_run_into_each_other,
    registration_marks_lie_on_each_other,
    to_text_and_back_is_the_identity,
    the_same_job_twice_gives_the_same_plan,
    the_paper_folded_from_its_lines_is_the_plan,
    the_cut_list_is_proved,
]
SCHEMES = {"one sheet": one_sheet_books(), "concertina": concertinas(), "leaflet": leaflets()}


@pytest.mark.parametrize("scheme", SCHEMES)
def test_laws_of_panels(scheme: str) -> None:
    hold(SCHEMES[scheme], LAWS, examples=40)
