"""Folded panels: laws of the simulators, and what they make of one sheet, a strip, a leaflet.

The order of the eight-page booklet is the one zine makers print on templates
(common practice); that of a letter fold the one of printers' templates (common
practice: outside 5 6 1, inside 2 3 4).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from benchplans import job_for
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import page_facts

from impose.bench.program import add_cuts
from impose.errors import JobError, PlanMismatchError
from impose.geometry.box import Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.marks.drawing import add_marks
from impose.model.facts import BookPage
from impose.model.panels import LeafletFold
from impose.plan.cutsteps import StepKind
from impose.plan.parts import SLIT, FoldStep, LineKind, Sheet
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.schemes.boundbook import bind_book
from impose.schemes.leafletfolds import front_width, leaflet_strip, panels_of
from impose.schemes.panelgrid import BOOKLET, PanelGrid, PanelRead, folded_places, read_panels
from impose.schemes.panelstrip import (
    HAIR,
    Shown,
    clear_of_hinges,
    flat_pile,
    fold_pile,
    fold_states,
    read_strip,
)
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

STRIPS = [fold for fold in LeafletFold if fold is not LeafletFold.TENT]


def mm(value: object) -> Length:
    return Length.mm(str(value))


def plan_of(sizes: Sequence[Size], **options: Any) -> Plan:
    """A plan of pages of these sizes, with cuts and marks."""
    job = job_for(**{"trim": None} | options)
    pages = [BookPage(0, n, page_facts(size)) for n, size in enumerate(sizes, start=1)]
    plan = plan_sheets(job, pages, tuple(range(1, len(pages) + 1)), ["pages.pdf"])
    return add_cuts(add_marks(plan, job), job)


# -- the grid of hinges ------------------------------------------------------------------


def rows_of(reads: Sequence[PanelRead], grid: PanelGrid) -> list[list[str]]:
    """Page numbers as they lie on the sheet, the upper row first, `'` behind those upside down."""
    found = {read.at: f"{n}{chr(39) * read.upside_down}" for n, read in enumerate(reads, start=1)}
    return [[found[c, r] for c in range(grid.columns)] for r in reversed(range(grid.rows))]


def test_the_eight_page_booklet_is_the_template_of_zine_makers() -> None:
    reads = read_panels(BOOKLET, (3, 0), Edge.LEFT)
    assert rows_of(reads, BOOKLET) == [["5'", "4'", "3'", "2'"], ["6", "7", "8", "1"]]
    mirrored = read_panels(BOOKLET, (0, 0), Edge.RIGHT)
    assert rows_of(mirrored, BOOKLET) == [["2'", "3'", "4'", "5'"], ["1", "8", "7", "6"]]


def test_the_booklet_folds_flat_and_every_page_stands_upright() -> None:
    """All panels end in one place; a page is upside down on the sheet exactly when its panel
    is mirrored between head and foot an odd number of times, by folds over the head."""
    reads = read_panels(BOOKLET, (3, 0), Edge.LEFT)
    assert set(folded_places(reads)) == {(3, 0)}
    assert all(read.upside_down == (read.at[1] == 1) for read in reads)
    spines = [read.spine_at.opposite if read.upside_down else read.spine_at for read in reads]
    assert spines == [Edge.LEFT, Edge.RIGHT] * 4  # recto, verso


def test_only_a_slit_between_the_inner_panels_makes_a_booklet() -> None:
    """Of all ways of slitting the middle, the two inner pairs alone leave a ring of eight pages
    that can be read (slit on to one end it is a strip); that is the slit of the plan."""
    pairs = [((column, 0), (column, 1)) for column in range(4)]
    good = []
    for count in range(5):
        for slits in combinations(pairs, count):
            grid = PanelGrid(4, 2, frozenset(slits))
            try:
                reads = read_panels(grid, (3, 0), Edge.LEFT)
            except ValueError:
                continue
            if any(grid.beyond(reads[-1].at, edge) == (3, 0) for edge in Edge):
                good.append((frozenset(slits), len(reads)))
    assert good == [(BOOKLET.slits, 8)]


@given(st.integers(2, 40))
def test_a_strip_is_read_once_along_and_folds_into_one_place(panels: int) -> None:
    grid = PanelGrid(panels, 1)
    reads = read_panels(grid, (0, 0), Edge.LEFT)
    assert [read.at for read in reads] == [(n, 0) for n in range(panels)]
    assert set(folded_places(reads)) == {(0, 0)}
    assert [read.spine_at for read in reads] == [
        Edge.RIGHT if n % 2 else Edge.LEFT for n in range(panels)
    ]


@given(st.integers(2, 12))
def test_a_strip_that_begins_with_an_opening_is_read_too(panels: int) -> None:
    reads = read_panels(PanelGrid(panels, 1), (0, 0), Edge.RIGHT)
    assert [read.spine_at for read in reads] == [
        Edge.LEFT if n % 2 else Edge.RIGHT for n in range(panels)
    ]


def test_paper_that_forks_or_hinges_at_the_head_is_refused() -> None:
    with pytest.raises(ValueError, match="forks"):
        read_panels(PanelGrid(3, 2), (0, 0), Edge.LEFT)
    with pytest.raises(ValueError, match="of 8 panels"):
        read_panels(
            PanelGrid(4, 2, frozenset({((0, 0), (0, 1)), *BOOKLET.slits})), (3, 0), Edge.LEFT
        )


# -- leaflets ----------------------------------------------------------------------------

lengths = st.integers(3_000_000, 700_000_000).map(Length)
nests = st.integers(0, 20_000_000).map(Length)


@given(st.sampled_from(STRIPS), lengths, nests, st.booleans())
def test_an_inner_panel_is_never_wider_than_the_one_that_closes_over_it(
    fold: LeafletFold, front: Length, nest: Length, mirrored: bool
) -> None:
    assume(nest * 8 < front)
    strip = leaflet_strip(fold, front, nest, mirrored)
    closed = fold_states(strip.widths, strip.steps)[-1]
    if fold is LeafletFold.GATE:  # nothing closes over its flaps; together they fit the middle
        assert strip.widths[0] + strip.widths[2] <= strip.widths[1]
        return
    for layer in closed[1:-1]:
        for outer in (closed[0], closed[-1]):
            assert layer.x1 - layer.x0 <= outer.x1 - outer.x0
            assert outer.x0 <= layer.x0 and layer.x1 <= outer.x1
    gap = clear_of_hinges(strip.widths, strip.steps)
    if fold in (LeafletFold.LETTER, LeafletFold.ROLL, LeafletFold.DOUBLE_GATE):
        assert gap == nest


@given(st.sampled_from([LeafletFold.LETTER, LeafletFold.ROLL, LeafletFold.DOUBLE_GATE]), lengths)
def test_a_panel_a_hair_too_wide_is_folded_through(fold: LeafletFold, front: Length) -> None:
    """The simulator itself refuses what the widths are narrowed for."""
    strip = leaflet_strip(fold, front, ZERO, False)
    fold_states(strip.widths, strip.steps)  # nothing to spare, but it closes
    wider = (strip.widths[0] + HAIR * 2, *strip.widths[1:])
    steps = [
        FoldStep(id=s.id, across=False, at=s.at + HAIR * 2, moving=s.moving, under=s.under)
        for s in strip.steps
    ]
    if fold is LeafletFold.ROLL:
        steps[1] = FoldStep(id="x", across=False, at=steps[1].at, moving=Edge.LEFT, under=True)
    with pytest.raises(ValueError, match="lies across"):
        fold_states(wider, steps)


@given(st.sampled_from(STRIPS), st.booleans())
def test_every_face_of_a_leaflet_is_read_once(fold: LeafletFold, mirrored: bool) -> None:
    strip = leaflet_strip(fold, mm(100), mm(2), mirrored)
    book = read_strip(strip.widths, strip.steps, leftward=mirrored)
    faces = {Shown(panel, front) for panel in range(len(strip.widths)) for front in (True, False)}
    assert len(book.pages) == len(faces) == 2 * panels_of(fold)
    assert set(book.pages) == faces
    assert {one for view in book.views for one in view} == faces


@pytest.mark.parametrize(
    ("fold", "front", "back"),
    [
        (LeafletFold.HALF, [4, 1], [2, 3]),
        (LeafletFold.LETTER, [5, 6, 1], [2, 3, 4]),
        (LeafletFold.ROLL, [6, 7, 8, 1], [2, 3, 4, 5]),
        (LeafletFold.Z, [1, 2, 3], [4, 5, 6]),
        (LeafletFold.GATE, [2, 6, 1], [3, 4, 5]),
        (LeafletFold.DOUBLE_GATE, [3, 8, 1, 2], [4, 5, 6, 7]),
        (LeafletFold.DOUBLE_PARALLEL, [2, 3, 8, 1], [4, 5, 6, 7]),
    ],
)
def test_the_pages_of_each_fold(fold: LeafletFold, front: list[int], back: list[int]) -> None:
    """From the left of each side of the flat sheet; right-bound they are the mirror of it."""
    for mirrored in (False, True):
        strip = leaflet_strip(fold, mm(100), mm(2), mirrored)
        pages = read_strip(strip.widths, strip.steps, leftward=mirrored).pages
        number = {shown: n for n, shown in enumerate(pages, start=1)}
        panels = list(range(len(strip.widths)))
        seen = [number[Shown(p, True)] for p in panels]
        behind = [number[Shown(p, False)] for p in reversed(panels)]
        assert (seen, behind) == ((front[::-1], back[::-1]) if mirrored else (front, back))


def test_what_is_seen_when_a_letter_fold_is_opened() -> None:
    strip = leaflet_strip(LeafletFold.LETTER, mm(100), mm(3), False)
    book = read_strip(strip.widths, strip.steps)
    number = {shown: n for n, shown in enumerate(book.pages, start=1)}
    assert [[number[one] for one in view] for view in book.views] == [[1], [2, 5], [2, 3, 4], [6]]
    assert [width.as_mm for width in strip.widths] == [97, 100, 100]


@given(st.sampled_from(STRIPS), lengths, nests)
def test_the_front_panel_of_a_whole_sheet(fold: LeafletFold, whole: Length, nest: Length) -> None:
    """The panels fill the sheet but for a grain or so each."""
    assume(nest * 20 < whole)
    strip = leaflet_strip(fold, front_width(fold, whole, nest), nest, False)
    assert abs(strip.width - whole) < Length(5)


def test_letter_paper_and_a4_by_the_usual_narrowing() -> None:
    """8 1/2 x 11 in makes 3 5/8, 3 11/16, 3 11/16 in; A4 97, 100, 100 mm (common practice)."""
    letter = Length.inches(11)
    front = front_width(LeafletFold.LETTER, letter, Length.inches("1/16"))
    strip = leaflet_strip(LeafletFold.LETTER, front, Length.inches("1/16"), False)
    assert [w.text("in") for w in strip.widths] == [
        Length.inches(text).text("in") for text in ("3.625", "3.6875", "3.6875")
    ]
    assert front_width(LeafletFold.LETTER, mm(297), mm(3)) == mm(100)


# -- plans -------------------------------------------------------------------------------


def check_panels(plan: Plan) -> None:
    """Every page once; nothing overlaps; backs lie on panels of their fronts; the proof agrees."""
    order = [page for page in plan.reading_order() if page]
    assert sorted(order) == list(range(1, len(plan.pages) + 1))
    for sheet in plan.sheets:
        for name, side in sheet.sides:
            boxes = [p.trim for p in side.placements]
            whole = Size(sheet.size.width, sheet.size.height)
            assert all(b.x0 >= ZERO and b.x1 <= whole.width for b in boxes), name
            assert all(b.y0 >= ZERO and b.y1 <= whole.height for b in boxes), name
            assert not any(a.overlaps(b) for a, b in combinations(boxes, 2))
        if sheet.back.placements and sheet.front.placements:
            over = {sheet.turned.over(p.trim, sheet.size) for p in sheet.back.placements}
            assert over == {p.trim for p in sheet.front.placements}
    book = bind_book(plan)
    assert book.findings == ()
    assert from_text(to_text(plan)) == plan
    _check_faces(plan, book.faces)


def _check_faces(plan: Plan, faces: Sequence[Any]) -> None:
    """The proof, which knows lines alone, finds each page where the plan put it, and as turned."""
    placed = {
        p.position: (sheet.number, name, p)
        for sheet in plan.sheets
        for name, side in sheet.sides
        for p in side.placements
    }
    for position, face in enumerate(faces, start=1):
        number, name, placement = placed[position]
        assert (face.sheet, face.side) == (number, name)
        assert face.region.size.near(placement.trim.size, HAIR)
        assert face.region.x0.near(placement.trim.x0, HAIR)
        assert face.region.y0.near(placement.trim.y0, HAIR)
        assert (face.turn + placement.turn) % 360 == 0


@given(
    pages=st.integers(1, 16),
    bound_at=st.sampled_from(["left", "right", "head"]),
    flip=st.sampled_from(["long edge", "short edge"]),
    sheet=st.sampled_from(["a4", "letter", "a3", "297mm x 210.1mm"]),
    trim=st.sampled_from([None, "48mm x 68mm"]),
)
@settings(max_examples=40, deadline=None)
def test_laws_of_the_one_sheet_booklet(
    pages: int, bound_at: str, flip: str, sheet: str, trim: str | None
) -> None:
    options: dict[str, Any] = {"binding": "one sheet", "bound_at": bound_at, "flip": flip}
    size = Size(mm(48), mm(68))
    if trim is None:
        probe = plan_of([size], fit="centre", sheet=sheet, **options)
        size = probe.trim
    plan = plan_of([size] * pages, sheet=sheet, trim=trim, **options)
    assert plan.faces == (8 if pages <= 8 else 16)
    check_panels(plan)
    check_slit(plan.sheets[0])
    assert plan.one_sided("guts") == (pages <= 8)
    outer = {cut.id for cut in plan.cuts if cut.side == ""}
    assert bool(outer) == (trim is not None)


def check_slit(sheet: Sheet) -> None:
    """Half as long as the sheet of panels, along its middle, from the first to the last hinge."""
    (slit,) = [line for line in sheet.lines if line.of == SLIT]
    hinges = sorted(
        (ln.x0 for ln in sheet.lines if ln.kind is LineKind.FOLD and ln.upright),
        key=lambda n: n.grains,
    )
    assert (slit.x0, slit.x1) == (hinges[0], hinges[-1])
    across = [ln for ln in sheet.lines if ln.kind is LineKind.FOLD and not ln.upright]
    assert all(line.y0 == slit.y0 for line in across)
    assert not any(line.x0 < slit.x1 and slit.x0 < line.x1 for line in across)


@given(
    panels=st.integers(2, 11),
    both=st.booleans(),
    less=st.integers(0, 1),
    bound_at=st.sampled_from(["left", "right", "head"]),
    flip=st.sampled_from(["long edge", "short edge"]),
    sheet=st.sampled_from(["a4", "a3", "letter"]),
    tab=st.sampled_from(["10mm", "3/8in", "7mm"]),
)
@settings(max_examples=50, deadline=None)
def test_laws_of_the_concertina(
    panels: int, both: bool, less: int, bound_at: str, flip: str, sheet: str, tab: str
) -> None:
    size = Size(mm(70), mm(100))
    pages = max(1, panels * (2 if both else 1) - less)
    plan = plan_of(
        [size] * pages, binding="concertina", trim="70mm x 100mm", panels=panels, sheet=sheet,
        bound_at=bound_at, flip=flip, tab=tab,
    )  # fmt: skip
    check_panels(plan)
    on = [len(one.front.placements) for one in plan.sheets]
    assert sum(on) == panels
    assert len(set(on[:-1])) <= 1 and on[-1] <= on[0]
    assert plan.one_sided("guts") == (pages <= panels)


def test_a_tab_lies_beyond_the_last_panel_of_every_sheet_but_the_last() -> None:
    """Five panels of A6 on A4: 2 + 2 + 1; block 220 mm wide, centred: from 38.5 mm."""
    size = Size(mm(105), mm(148))
    plan = plan_of([size] * 5, binding="concertina", trim="a6", sheet="a4")
    first, _, last = plan.sheets
    folds = sorted(ln.x0.as_mm for ln in first.lines if ln.kind is LineKind.FOLD)
    assert folds == [mm("143.5").as_mm, mm("248.5").as_mm]
    assert {ln.x0.as_mm for ln in first.lines if ln.kind is LineKind.CUT and ln.upright} == {
        mm("38.5").as_mm,
        mm("258.5").as_mm,
    }
    assert [ln.x0 for ln in last.lines if ln.of == "end"] == [mm("143.5")]
    right = plan_of([size] * 5, binding="concertina", trim="a6", sheet="a4", bound_at="right")
    over = Turnover.ABOUT_VERTICAL.over
    assert [p.trim for p in right.sheets[0].front.placements] == [
        over(p.trim, first.size) for p in first.front.placements
    ]


@given(
    fold=st.sampled_from(list(LeafletFold)),
    bound_at=st.sampled_from(["left", "right", "head"]),
    flip=st.sampled_from(["long edge", "short edge"]),
    nest=st.sampled_from(["0mm", "1mm", "2mm", "1/16in"]),
    sheet=st.sampled_from(["a4", "a3"]),
)
@settings(max_examples=50, deadline=None)
def test_laws_of_leaflets(
    fold: LeafletFold, bound_at: str, flip: str, nest: str, sheet: str
) -> None:
    sizes = panel_sizes(fold, Size(mm(70), mm(95)), nest)
    trim = "70mm x 95mm"
    if bound_at == "head":
        assume(fold is not LeafletFold.TENT)
        sizes, trim = [size.turned for size in sizes], "95mm x 70mm"
    plan = plan_of(
        sizes, binding="leaflet", fold=fold.value, trim=trim, nest=nest, sheet=sheet,
        bound_at=bound_at, flip=flip,
    )  # fmt: skip
    check_panels(plan)
    assert plan.faces == len(sizes)


def panel_sizes(fold: LeafletFold, front: Size, nest: str) -> list[Size]:
    """The size of each page of a leaflet, in reading order."""
    if fold is LeafletFold.TENT:
        return [front] * 4
    narrow = mm(0) if nest == "0mm" else Length.inches("1/16") if "in" in nest else mm(nest[0])
    strip = leaflet_strip(fold, front.width, narrow, False)
    pages = read_strip(strip.widths, strip.steps).pages
    return [Size(strip.widths[shown.panel], front.height) for shown in pages]


def test_a_sheet_with_no_slit_is_no_booklet() -> None:
    plan = plan_of([Size(mm("74.25"), mm(105))] * 8, binding="one sheet", sheet="a4")
    sheet = plan.sheets[0]
    lines = tuple(line for line in sheet.lines if line.of != SLIT)
    across = [line for line in lines if not line.upright and line.kind is LineKind.FOLD]
    whole = replace(across[0], x0=across[0].x0, x1=across[-1].x1)
    uncut = replace(plan, sheets=(replace(sheet, lines=(*lines, whole)),))
    with pytest.raises(PlanMismatchError, match="forks"):
        bind_book(uncut)


def test_the_steps_of_a_booklet_and_of_a_leaflet() -> None:
    size = Size(mm("74.25"), mm(105))
    plan = plan_of([size] * 16, binding="one sheet", sheet="a4")
    kinds = [step.kind for step in plan.cut_steps]
    assert kinds == [StepKind.FOLD, StepKind.FOLD, StepKind.SLIT, *[StepKind.FOLD] * 3]
    assert "148.5 mm long" in plan.cut_steps[2].notes[0]
    leaflet = plan_of(
        panel_sizes(LeafletFold.LETTER, Size(mm(100), mm(210)), "3mm"),
        binding="leaflet", fold="letter fold", sheet="a4", nest="3mm",
    )  # fmt: skip
    titles = [step.title for step in leaflet.cut_steps]
    assert titles == [
        "Lay the sheet with pages 2, 3 and 4 up. "
        "Fold the right part over, 97 mm from the right edge",
        "Fold the left part over, 100 mm from the left edge",
        "Press it flat: page 1 is up now",
    ]


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ({"binding": "leaflet"}, "fold of the leaflet is not said"),
        ({"binding": "saddle", "fold": "z"}, 'belongs to binding = "leaflet"'),
        ({"binding": "one sheet", "tab": "10mm"}, 'belongs to binding = "concertina"'),
        ({"binding": "loose", "panels": 4}, 'belongs to binding = "concertina"'),
        ({"binding": "leaflet", "fold": "half", "spine": "3mm"}, "a cover is described"),
        ({"binding": "one sheet", "grind": "1mm"}, "nothing is gathered"),
        ({"binding": "leaflet", "fold": "quarter"}, "is not known here"),
        ({"binding": "leaflet", "fold": "tent", "bound_at": "head"}, "a tent hinges at the head"),
    ],
)
def test_keys_that_go_ill_together(options: dict[str, Any], code: str) -> None:
    with pytest.raises(JobError) as caught:
        job_for(sheet="a4", **options)
    assert any(code in f"{fault.message} {fault.hint}" for fault in caught.value.faults)


def test_too_many_pages_and_pages_of_the_wrong_size_say_what_is_needed() -> None:
    size = Size(mm("74.25"), mm(105))
    with pytest.raises(JobError, match="16 in all; the job has 17"):
        plan_of([size] * 17, binding="one sheet", sheet="a4")
    with pytest.raises(JobError, match="a concertina of 3 panels has 6 faces"):
        plan_of([size] * 7, binding="concertina", panels=3, sheet="a4")
    with pytest.raises(JobError) as caught:
        plan_of([Size(mm(100), mm(180))] * 6, binding="leaflet", fold="letter", sheet="a4",
                trim="100mm x 210mm")  # fmt: skip
    said = " ".join(fault.message for fault in caught.value.faults)
    assert "pages 4-5: 100 x 180 mm, the trim is 97 x 210 mm" in said
    assert "pages 1, 2, 3, 6: 100 x 210 mm; pages 4, 5: 97 x 210 mm" in said
    alike = plan_of([Size(mm(100), mm(210))] * 6, binding="leaflet", fold="letter", sheet="a4")
    (told,) = [finding for finding in alike.findings if finding.code == "panel-sizes"]
    assert told.severity.value == "warning" and "pages 4, 5: 97 x 210 mm" in told.message
    with pytest.raises(JobError, match="no room"):
        plan_of([Size(mm(100), mm(150))] * 8, binding="one sheet", sheet="a4", trim="100mm x 150mm")


def test_the_page_is_a_panel_of_the_sheet_when_it_is_nearly_that() -> None:
    """A7 is 74 x 105 mm, an eighth of A4 74.25 x 105: nothing is cut off."""
    plan = plan_of([Size(mm(74), mm(105))] * 8, binding="one sheet", sheet="a4", trim="a7")
    assert plan.trim == Size(mm("74.25"), mm(105))
    assert [cut.side for cut in plan.cuts] == [SLIT]
    codes = [finding.code for finding in plan.findings]
    assert "size-off" in codes and "paper-edge" in codes


def test_flat_pile_and_fold_pile_keep_their_coordinates() -> None:
    pile = flat_pile([mm(10), mm(20)])
    step = FoldStep(id="f", across=False, at=mm(10), moving=Edge.RIGHT, under=False)
    folded = fold_pile(pile, step)
    assert [(one.panel, one.x0, one.x1, one.flipped) for one in folded] == [
        (0, mm(0), mm(10), False),
        (1, mm(-10), mm(10), True),
    ]
