"""The bound book worked out from sheets alone, how it is opened, and the proof as a file."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proofbook import (
    ALLOWED,
    BLEED,
    TRIM,
    check_proof,
    count_unlike,
    make_job,
    make_source,
    plan_numbers,
    read_numbers,
    write_book,
)
from reportlab.pdfgen.canvas import Canvas

from impose.errors import JobError, OutputError, PlanMismatchError
from impose.geometry.box import Box, Edges, Size
from impose.geometry.sides import BoundAt, Edge
from impose.geometry.turning import Turnover
from impose.model.facts import BookPage, PageFacts
from impose.model.job import Cover
from impose.model.presswork import TwoUp, Work
from impose.pdf.drifting import turned_edges, worst_drifts
from impose.pdf.proof import CoverFaces, ProofLook, write_proof
from impose.pdf.read import open_sources
from impose.pdf.write import write_sheets
from impose.plan.parts import Gather, Sheet, Side
from impose.plan.plan import Plan
from impose.schemes.boundbook import Face, bind_book
from impose.schemes.openings import Desk
from impose.schemes.paperpile import fold_paper, leaf_pieces
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

MM = Length.mm
SADDLE: dict[str, Any] = {"binding": "saddle", "up": 2, "sheet": "a5"}
STACKED: dict[str, Any] = {"binding": "perfect", "up": 4, "sheet": "a4", "grind": "2mm"}

# -- the bound book agrees with the placements, and does not know them -------------------


@st.composite
def books(draw: st.DrawFn) -> Plan:
    """Plans of every scheme; placements of leaves that were copied over a sheet included."""
    binding = draw(
        st.sampled_from(["saddle", "sections", "perfect", "glued", "stab", "punched", "loose"])
    )
    up = draw(st.sampled_from([2, 4, 8, 16]))
    options: dict[str, Any] = {
        "binding": "perfect" if binding == "glued" else binding,
        "bound_at": draw(st.sampled_from(["left", "right", "head"])),
        "flip": draw(st.sampled_from(["long edge", "short edge"])),
        "sheet": {2: "a4", 4: "a3", 8: "a2", 16: "a1"}[up],
        "up": up,
    }
    guts: dict[str, Any] = {}
    if binding in ("perfect", "glued"):
        options["grind"] = draw(st.sampled_from(["0mm", "2mm", "5mm"]))
    if binding in ("saddle", "sections", "glued"):
        options["section_pages"] = None if binding == "saddle" else max(16, 2 * up)
        if binding == "sections":
            guts["last_section"] = draw(st.sampled_from(["fill", "short"]))
            guts["lip"] = draw(st.sampled_from([None, MM(7)]))
            guts["lip_on"] = draw(st.sampled_from(["front", "back"]))
    elif binding == "loose":
        options["up"] = draw(st.sampled_from([1, 2, 3, 6, None]))
        options["order"] = draw(st.sampled_from(["cut and stack", "repeat"]))
        options["bleed"] = draw(st.sampled_from(["0mm", "2mm", None]))
    else:
        options["up"] = draw(st.sampled_from([1, 2, 4, 6, None]))
        guts["centred"] = draw(st.booleans()) and options["up"] == 1
        guts["lay"] = draw(st.sampled_from([None, "head", "foot"]))
    guts["work"] = draw(st.sampled_from([None, None, *Work]))
    if binding != "loose":
        guts["two_up"] = draw(st.sampled_from([None, None, *TwoUp]))
    return plan_numbers(draw(st.integers(1, 70)), guts, **options)


def trims_of(plan: Plan) -> dict[int, set[tuple[int, str, Box]]]:
    """Where the plan's placements say each face of the book lies."""
    found: dict[int, set[tuple[int, str, Box]]] = defaultdict(set)
    for sheet in plan.sheets:
        for name, side in sheet.sides:
            for placement in side.placements:
                found[placement.position].add((sheet.number, name, placement.trim))
    return found


def without_placements(plan: Plan) -> Plan:
    sheets = tuple(replace(sheet, front=Side(()), back=Side(())) for sheet in plan.sheets)
    return replace(plan, sheets=sheets)


@settings(max_examples=120, deadline=None)
@given(st.data())
def test_every_face_is_where_the_plan_put_it(data: st.DataObject) -> None:
    """Exactly: to the grain, in reading order, nothing left over, nothing to complain of."""
    try:
        plan = data.draw(books())
    except JobError:
        return  # this trim does not go on that sheet
    trims = trims_of(plan)
    seen = set()
    for copy in range(1, plan.per_sheet + 1):
        book = bind_book(plan, copy)
        assert len(book.faces) == plan.faces == len(trims)
        for position, face in enumerate(book.faces, start=1):
            place = (face.sheet, face.side, face.region)
            assert place in trims[position]
            assert place not in seen
            seen.add(place)
        assert book.findings == ()
        assert bind_book(without_placements(plan), copy) == book
    if plan.per_sheet > 1 and plan.scheme != "leaves":
        assert len(seen) == sum(len(places) for places in trims.values())


@settings(max_examples=30, deadline=None)
@given(st.integers(1, 70), st.sampled_from([2, 4, 8]), st.sampled_from(["left", "right"]))
def test_measured_creep_is_one_plane(pages: int, up: int, bound_at: str) -> None:
    sheet = {2: "a4", 4: "a3", 8: "a2"}[up]
    plan = plan_numbers(
        pages, {"creep_total": MM("2.5")}, binding="saddle", up=up, sheet=sheet, bound_at=bound_at
    )
    book = bind_book(plan)
    assert book.findings == ()
    trims = trims_of(plan)
    for position, face in enumerate(book.faces, start=1):
        ((_, _, trim),) = trims[position]
        assert all(
            abs((here - there).grains) <= 2 * pages  # shared out with one rounding a level
            for here, there in zip(_corners(face.region), _corners(trim), strict=True)
        )


@pytest.mark.parametrize("measured", [None, MM(2)])
@pytest.mark.parametrize("bound_at", ["left", "right"])
def test_a_cover_outside_pushes_every_leaf_out(measured: Length | None, bound_at: str) -> None:
    """The outermost leaf is narrower by the cover's caliper; the fore-edge is one plane."""
    job = make_job("book.pdf", {"creep_total": measured}, bound_at=bound_at, **SADDLE)
    board = replace(job.guts.stock, caliper=MM("0.25"))
    job = replace(job, cover=Cover(stock=board, separate=True))
    media = Box.at(ZERO, ZERO, TRIM)
    pages = [BookPage(0, number, PageFacts(media, media)) for number in range(1, 17)]
    plan = plan_sheets(job, pages, tuple(range(1, 17)), ("book.pdf",))
    book = bind_book(plan)
    assert book.findings == ()
    first = book.faces[0]
    assert first.region.width < TRIM.width
    if measured is None:
        assert TRIM.width - first.region.width == MM("0.25")
    ends = {face.place.x1 if face.spine_at is Edge.LEFT else face.place.x0 for face in book.faces}
    assert {end.near(TRIM.width, MM("0.001")) or end.near(ZERO, MM("0.001")) for end in ends} == {
        True
    }


def _corners(box: Box) -> tuple[Length, ...]:
    return box.x0, box.y0, box.x1, box.y1


# -- what is on the page -----------------------------------------------------------------


def test_one_leaf_a_sheet_by_hand() -> None:
    """Letter sheet, trim 396 x 612 pt, left-bound, grind 9 pt: design example, by hand."""
    pt = Length.points
    job = make_job(
        "book.pdf",
        trim="396pt x 612pt",
        sheet="letter",
        binding="perfect",
        up=1,
        grind="9pt",
        flip="long edge",
    )
    plan = _planned(job, Size(pt(396), pt(612)))
    recto, verso, *_ = bind_book(plan).faces
    assert recto.region == Box(pt(9), pt(90), pt(405), pt(702))
    assert verso.region == Box(pt(207), pt(90), pt(603), pt(702))
    assert (recto.turn, recto.spine_at, verso.spine_at) == (0, Edge.LEFT, Edge.RIGHT)
    assert recto.place == verso.place == Box(ZERO, ZERO, pt(396), pt(612))
    assert recto.cut == {Edge.TOP, Edge.BOTTOM, Edge.RIGHT}
    assert verso.cut == {Edge.TOP, Edge.BOTTOM, Edge.LEFT}


def _planned(job: Any, size: Size) -> Plan:
    facts = PageFacts(Box.at(ZERO, ZERO, size), Box.at(ZERO, ZERO, size))
    return plan_sheets(job, [BookPage(0, n, facts) for n in (1, 2)], (1, 2), ("book.pdf",))


def test_paper_folded_to_size_has_no_cut_and_its_edge_is_the_edge() -> None:
    """A6 pages on A5 leave nothing to cut but what creep pushes out."""
    plan = plan_numbers(8, trim="105mm x 148mm", binding="saddle", up=2, sheet="a5", fit="centre")
    book = bind_book(plan)
    assert book.findings == ()
    outer, inner = book.faces[0], book.faces[2]
    assert outer.cut == frozenset()
    assert inner.cut == {Edge.RIGHT}
    assert inner.place.x0 == plan.creep.per_level
    assert inner.place.x1 == plan.trim.width


def test_a_narrow_leaf_lies_at_the_fore_edge() -> None:
    plan = plan_numbers(16, {"creep_total": MM(3)}, **SADDLE)
    faces = bind_book(plan).faces
    widths = [face.region.width for face in faces]
    assert widths[0] == TRIM.width
    assert min(widths) == widths[6] == TRIM.width - MM(3)
    assert (faces[6].place.x0, faces[6].place.x1) == (MM(3), TRIM.width)  # recto
    assert (faces[7].place.x0, faces[7].place.x1) == (ZERO, TRIM.width - MM(3))  # verso


def test_head_bound_pages_are_turned_upright() -> None:
    faces = bind_book(plan_numbers(4, bound_at="head", binding="stab", sheet="a5", up=1)).faces
    assert [face.turn for face in faces] == [270] * 4
    assert [face.spine_at for face in faces] == [Edge.TOP, Edge.BOTTOM] * 2
    assert {face.place.size for face in faces} == {TRIM}


# -- paper alone -------------------------------------------------------------------------


def test_gutters_and_margins_are_no_leaves() -> None:
    plan = plan_numbers(12, binding="loose", up=6, sheet="a4", bleed="3mm")
    sheet = plan.sheets[0]
    pieces = leaf_pieces(sheet.size, sheet.lines, (), plan.leaf)
    assert [piece.box for piece in pieces] == [p.trim for p in sheet.front.placements]
    assert {piece.cut for piece in pieces} == {frozenset(Edge)}


def test_a_leaf_that_is_the_whole_sheet_has_no_cut() -> None:
    (piece,) = leaf_pieces(Size(MM(100), MM(150)), (), (), Size(MM(90), MM(140)))
    assert piece.box == Box(ZERO, ZERO, MM(100), MM(150))
    assert piece.cut == frozenset()


def test_folded_paper_is_as_wide_as_its_parts() -> None:
    plan = plan_numbers(32, {"lip": MM(6)}, binding="sections", up=8, sheet="a3", section_pages=32)
    sheet = plan.sheets[0]
    folded = fold_paper(sheet, Edge.LEFT)
    layers = [*folded.upper, *folded.lower]
    area = sum(layer.paper.width.grains * layer.paper.height.grains for layer in layers)
    assert area == sheet.size.width.grains * sheet.size.height.grains
    assert len(folded.upper) == len(folded.lower) == 4
    assert [layer.front_up for layer in layers] == [True, False] * 4
    for layer in layers:
        assert layer.flat(layer.lying(layer.paper)) == layer.paper
        assert layer.lying(layer.paper).x0 == folded.spine
        assert Edge.LEFT in layer.folds


# -- bad plans ---------------------------------------------------------------------------


def codes(plan: Plan) -> list[str]:
    return [finding.code for finding in bind_book(plan).findings]


def test_a_sheet_that_is_never_gathered_is_said() -> None:
    plan = plan_numbers(48, binding="sections", up=4, sheet="a4", section_pages=16)
    assert codes(replace(plan, gathering=plan.gathering[:-1])) == [
        "proof-faces",
        "proof-sheet-unused",
    ]


def test_heads_left_closed_are_said() -> None:
    plan = plan_numbers(16, binding="sections", up=4, sheet="a4", section_pages=16)
    sheets = tuple(
        replace(s, lines=tuple(line for line in s.lines if line.of != "head")) for s in plan.sheets
    )
    assert codes(replace(plan, sheets=sheets)) == ["proof-size", "proof-fold-closed"]


@pytest.mark.parametrize(
    ("options", "gathering"),
    [
        (STACKED, Gather("pile", (99,), 0)),
        (STACKED, Gather("pile", (1,), 4)),
        (STACKED, Gather("section", (1,))),
    ],
)
def test_no_book_can_be_made(options: dict[str, Any], gathering: Gather) -> None:
    plan = plan_numbers(8, **options)
    with pytest.raises(PlanMismatchError, match="sheet"):
        bind_book(replace(plan, gathering=(gathering,)))


# -- opened before the reader ------------------------------------------------------------


def opened(pages: int, bound_at: str, spreads: bool = True) -> list[list[tuple[int, Box]]]:
    plan = plan_numbers(pages, bound_at=bound_at, binding="stab", sheet="a5", up=1)
    faces = bind_book(plan).faces
    at = {id(face): number for number, face in enumerate(faces, start=1)}
    desk = Desk(trim=TRIM, bound_at=BoundAt(bound_at), room=MM(10), spreads=spreads)
    return [[(at[id(s.face)], s.page) for s in o.shown] for o in desk.open(faces)]


def test_spreads_as_a_reader_sees_them() -> None:
    near, middle_x, middle_y = MM(10), MM(10) + TRIM.width, MM(10) + TRIM.height
    left, right = Box.at(near, near, TRIM), Box.at(middle_x, near, TRIM)
    upper = Box.at(near, middle_y, TRIM)
    assert opened(4, "left") == [[(1, right)], [(2, left), (3, right)], [(4, left)]]
    assert opened(4, "right") == [[(1, left)], [(2, right), (3, left)], [(4, right)]]
    assert opened(4, "head") == [[(1, left)], [(2, upper), (3, left)], [(4, upper)]]
    assert opened(2, "left", spreads=False) == [[(1, left)], [(2, left)]]


def test_the_proof_in_spreads_shows_the_same_pages(tmp_path: Path) -> None:
    made = write_book(tmp_path, 8, **SADDLE)
    spreads = tmp_path / "spreads.pdf"
    assert write_proof(made.plan, made.guts, spreads, look=ProofLook(swallowed=ZERO)) == ()
    width = float(TRIM.width.as_points)
    for index, numbers in enumerate([(None, 1), (2, 3), (4, 5), (6, 7), (8, None)]):
        for half, number in enumerate(numbers):
            if number:
                here = seen(spreads, index, half * width)
                assert count_unlike(here, seen(made.proof, number - 1, 0)) <= ALLOWED


def seen(path: Path, index: int, right: float) -> Any:
    """A page of trim size, `right` points to the right in its opening, less its very edges."""
    with pypdfium2.PdfDocument(path) as pdf:
        image = pdf[index].render(scale=1, grayscale=True).to_pil()
    width, height = (round(float(n.as_points)) for n in (TRIM.width, TRIM.height))
    x, y = round(24 + right) + 3, 24 + 3
    return image.crop((x, y, x + width - 6, y + height - 6))


# -- the swallowed strip, drift ----------------------------------------------------------


def shades(path: Path, index: int) -> Any:
    with pypdfium2.PdfDocument(path) as pdf:
        return pdf[index].render(scale=2, grayscale=True).to_pil()


@pytest.mark.parametrize(
    ("binding", "shaded"), [("perfect", True), ("stab", True), ("punched", False)]
)
def test_what_the_binding_swallows_is_shaded(tmp_path: Path, binding: str, shaded: bool) -> None:
    made = write_book(tmp_path, 2, binding=binding, sheet="a6", up=1)
    target = tmp_path / "shaded.pdf"
    write_proof(made.plan, made.guts, target, spreads=False)
    y = 2 * (24 + 60)
    plain, now = (shades(path, 0).getpixel((2 * 24 + 8, y)) for path in (made.proof, target))
    assert (now < plain - 15) == shaded
    beside = [shades(path, 0).getpixel((2 * (24 + 72), y)) for path in (made.proof, target)]
    assert beside[0] == beside[1]


def drifted(folder: Path, inset: float) -> tuple[Plan, Path]:
    """One black page whose art ends `inset` points inside its trim at the right, written."""
    source = folder / "source.pdf"
    b, w, h = (float(n.as_points) for n in (BLEED, TRIM.width, TRIM.height))
    canvas = Canvas(str(source), pagesize=(w + 2 * b, h + 2 * b), invariant=1)
    canvas.setTrimBox((b, b, b + w, b + h))
    right = b + w - inset if inset >= 0 else w + 2 * b
    canvas.rect(0, 0, right, h + 2 * b, stroke=0, fill=1)
    canvas.showPage()
    canvas.save()
    job = make_job(str(source), binding="perfect", sheet="a5", up=1)
    with open_sources([source]) as sources:
        book = [BookPage(0, 1, sources.facts[0].pages[0])]
        plan = plan_sheets(job, book, (1, None), ("source.pdf",))
        write_sheets(plan, sources, folder / "guts.pdf")
    return plan, folder / "guts.pdf"


@pytest.mark.parametrize(
    ("inset", "outward"),
    [(-1, False), (0, True), (12, False)],
    ids=["art bleeds", "art ends at the trim", "art ends far inside"],
)
def test_the_worst_direction_of_each_cut(tmp_path: Path, inset: float, outward: bool) -> None:
    plan, guts = drifted(tmp_path, inset)
    faces = bind_book(plan).faces
    drift = MM(1)
    moves = worst_drifts(guts, {(1, "front"): 0, (1, "back"): 1}, faces, drift)
    assert moves[0] == Edges(
        left=ZERO, right=drift if outward else -drift, top=-drift, bottom=-drift
    )
    assert moves[1] == Edges(left=-drift, right=ZERO, top=-drift, bottom=-drift)


def test_the_drifted_proof_shows_what_is_lost_and_the_true_trim(tmp_path: Path) -> None:
    plan, guts = drifted(tmp_path, 0)
    true, off = tmp_path / "true.pdf", tmp_path / "off.pdf"
    look = ProofLook(swallowed=ZERO)
    for target, drift in ((true, None), (off, MM(2))):
        assert write_proof(plan, guts, target, drift=drift, spreads=False, look=look) == ()
    black, hatched = 30, 150
    room = 24 + float(MM(2).as_points)
    lost = (2 * (room + 60), 2 * (room + 3))  # inside the trim, 3 pt below the head
    x, y = map(round, lost)
    assert shades(off, 0).getpixel((x, y)) > hatched
    assert shades(true, 0).getpixel((2 * 84, 2 * 27)) < black
    with pypdfium2.PdfDocument(off) as pdf:
        image = pdf[0].render(scale=2).to_pil()
        trim = pdf[0].get_trimbox()
    edge, knife = round(2 * trim[2]), round(2 * (trim[2] + float(MM(2).as_points)))
    at_trim = [image.getpixel((x, y)) for x in range(edge - 2, edge + 3) for y in range(90, 120)]
    assert any(red > green + 60 for red, green, _ in at_trim)
    assert min(image.getpixel((edge + 6, y))[0] for y in range(90, 120)) > 250  # a white edge
    at_knife = [image.getpixel((x, 100))[0] for x in range(knife - 2, knife + 3)]
    assert min(at_knife) < 220  # and where it ends


@given(st.sampled_from([0, 90, 180, 270]))
def test_turned_edges_follow_the_edge(turn: int) -> None:
    edges = Edges(left=MM(1), right=MM(2), bottom=MM(3), top=MM(4))
    turned = turned_edges(edges, turn)
    for edge in Edge:
        assert getattr(turned, edge.turned(turn).value) == getattr(edges, edge.value)
    assert turned_edges(turned, -turn % 360) == edges


# -- the file ----------------------------------------------------------------------------


def test_same_bytes_twice(tmp_path: Path) -> None:
    made = write_book(tmp_path, 8, **SADDLE)
    for name in ("one.pdf", "two.pdf"):
        write_proof(made.plan, made.guts, tmp_path / name, drift=MM("0.5"))
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_a_long_proof_is_about_as_large_as_its_sheets(tmp_path: Path) -> None:
    made = write_book(tmp_path, 200, **SADDLE)
    more = made.proof.stat().st_size - made.guts.stat().st_size
    assert more / 200 < 450  # bytes a page: the operators that place it, and a label


def test_the_sheets_are_not_written_over(tmp_path: Path) -> None:
    made = write_book(tmp_path, 4, **SADDLE)
    before = made.guts.read_bytes()
    with pytest.raises(OutputError, match="is an input"):
        write_proof(made.plan, made.guts, made.guts)
    assert made.guts.read_bytes() == before


def test_other_sheets_than_the_plans_are_refused(tmp_path: Path) -> None:
    made = write_book(tmp_path, 8, **SADDLE)
    other = plan_numbers(16, **SADDLE)
    with pytest.raises(PlanMismatchError, match="has 4 pages, the plan 8 sides"):
        write_proof(other, made.guts, tmp_path / "other.pdf")
    assert not (tmp_path / "other.pdf").exists()


def test_what_cannot_be_read_or_written_is_said(tmp_path: Path) -> None:
    made = write_book(tmp_path, 4, **SADDLE)
    with pytest.raises(OutputError, match="cannot be read back"):
        write_proof(made.plan, tmp_path / "none.pdf", tmp_path / "p.pdf")
    with pytest.raises(OutputError, match="cannot be written"):
        write_proof(made.plan, made.guts, tmp_path / "no" / "p.pdf")


def test_the_cover_goes_round_the_guts(tmp_path: Path) -> None:
    """A cover sheet of two panels and a spine, front of the sheet outside."""
    made = write_book(tmp_path, 4, **SADDLE)
    width, spine, height = TRIM.width, MM(10), TRIM.height
    size = Size(width * 2 + spine, height)
    sheet = Sheet(
        number=9,
        size=size,
        turned=Turnover.ABOUT_VERTICAL,
        front=Side(()),
        back=Side(()),
        role="cover",
    )
    pdf = tmp_path / "cover.pdf"
    _write_cover(pdf, size)
    plan = replace(made.plan, sheets=(sheet, *made.plan.sheets))
    panels = {
        "front": ("front", width + spine, Edge.LEFT),
        "back": ("front", ZERO, Edge.RIGHT),
        "inside front": ("back", ZERO, Edge.RIGHT),
        "inside back": ("back", width + spine, Edge.LEFT),
    }
    page = Box.at(ZERO, ZERO, TRIM)
    faces = [
        _cover_face(name, side, page.moved(x, ZERO), page, edge)
        for name, (side, x, edge) in panels.items()
    ]
    back = Box(width, ZERO, width + spine, height)
    faces.append(_cover_face("spine", "front", back, back, Edge.LEFT))
    look = ProofLook(cover=CoverFaces(pdf=pdf, faces=tuple(faces)))
    target = tmp_path / "whole.pdf"
    write_proof(plan, made.guts, target, spreads=False, look=look)
    inside = ["inside front", "1", "2", "3", "4", "inside back"]
    assert read_numbers(target) == ["front", *inside, "back", "spine"]
    write_proof(plan, made.guts, target, look=look)
    with pypdfium2.PdfDocument(target) as proof:
        assert len(proof) == 6
        sizes = [tuple(round(n) for n in page.get_size()) for page in proof]
    assert len(set(sizes[:5])) == 1
    assert sizes[5][0] == round(float(spine.as_points) + 48)


def _cover_face(name: str, side: str, region: Box, place: Box, spine_at: Edge) -> Face:
    return Face(
        sheet=9,
        side=side,
        region=region,
        turn=0,
        place=place,
        spine_at=spine_at,
        cut=frozenset(),
        name=name,
    )


def _write_cover(target: Path, size: Size) -> None:
    width, height = float(size.width.as_points), float(size.height.as_points)
    panel = float(TRIM.width.as_points)
    canvas = Canvas(str(target), pagesize=(width, height), invariant=1)
    for left, right in (("back", "front"), ("inside front", "inside back")):
        canvas.setFont("Helvetica", 12)
        canvas.drawCentredString(panel / 2, height / 2, left)
        canvas.drawCentredString(width - panel / 2, height / 2, right)
        if right == "front":
            canvas.setFont("Helvetica", 8)
            canvas.drawCentredString(width / 2, height / 2, "spine")
        canvas.showPage()
    canvas.save()


def test_a_source_that_is_no_book_of_numbers_is_not_read_as_one(tmp_path: Path) -> None:
    """The reader of the tests itself: it says what is there, blanks as nothing."""
    source = make_source(tmp_path / "source.pdf", 3)
    assert read_numbers(source) == ["1", "2", "3"]


# -- several copies out of one set of sheets ----------------------------------------------


@pytest.mark.parametrize("copy", [1, 2])
@pytest.mark.parametrize(
    ("guts", "options"),
    [
        ({"work": Work.TURN}, {"binding": "saddle", "up": 2, "sheet": "a4"}),
        (
            {"work": Work.TUMBLE},
            {"binding": "sections", "up": 4, "section_pages": 8, "sheet": "a3"},
        ),
        ({"work": Work.TURN}, {"binding": "perfect", "up": 2, "sheet": "a3", "grind": "2mm"}),
        ({"two_up": TwoUp.HEADS}, {"binding": "perfect", "up": 2, "sheet": "a3", "grind": "2mm"}),
        ({"two_up": TwoUp.FEET}, {"binding": "saddle", "up": 2, "sheet": "a4"}),
        (
            {"two_up": TwoUp.SAME_WAY},
            {"binding": "sections", "up": 2, "section_pages": 8, "sheet": "a3"},
        ),
    ],
)
def test_every_copy_reads_through(
    tmp_path: Path, guts: dict[str, Any], options: dict[str, Any], copy: int
) -> None:
    """From the written sheets, page for page like the source."""
    made = write_book(tmp_path, 14, guts, copy=copy, **options)
    assert check_proof(made, 14) == []


def test_four_copies_of_one_set_of_sheets_read_through(tmp_path: Path) -> None:
    guts = {"work": Work.TURN, "two_up": TwoUp.HEADS}
    for copy in range(1, 5):
        folder = tmp_path / str(copy)
        folder.mkdir()
        made = write_book(
            folder, 9, guts, copy=copy, binding="sections", up=4, section_pages=8, sheet="a2"
        )
        assert made.plan.per_sheet == 4
        assert check_proof(made, 9) == []


def test_a_forme_with_its_halves_exchanged_is_found_out(tmp_path: Path) -> None:
    """The same plates the other way round: both halves of every sheet read wrongly."""

    def exchanged(plan: Plan) -> Plan:
        sheets = []
        for sheet in plan.sheets:
            side = replace(sheet.front, placements=tuple(
                replace(p, page=other.page)
                for p, other in zip(sheet.front.placements, sheet.back.placements, strict=True)
            ))  # fmt: skip
            sheets.append(replace(sheet, front=side, back=side))
        return replace(plan, sheets=tuple(sheets))

    made = write_book(
        tmp_path, 8, {"work": Work.TURN}, printed=exchanged, binding="saddle", up=2, sheet="a4"
    )
    assert check_proof(made, 8, pixels=False) != []
