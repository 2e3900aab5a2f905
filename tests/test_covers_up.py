"""Several covers on one sheet: laws of the pieces, refusals, amounts, the papers."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from benchplans import job_for, library, plan_for
from coverplans import VALLEY, art_facts, codes, cover_job, inch, with_art
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import printers
from test_wire import faults

from impose.bench.program import add_cuts
from impose.bench.replay import replay_sheets
from impose.bench.scores import add_scores
from impose.bench.sheetsteps import COVER_SHEETS
from impose.errors import JobError
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Flip
from impose.marks.around import extent
from impose.marks.coversup import step_covers
from impose.marks.drawing import add_marks
from impose.marks.pressmarks import GRIPPER, LAY
from impose.marks.scoremarks import add_cover_marks
from impose.model.coverups import CoversUp, covers_up
from impose.model.facts import BookPage, PageFacts
from impose.model.fields import ValueFault
from impose.model.inkreader import ink
from impose.model.job import Job, NamedSize
from impose.model.machines import LeadingEdge, Printer
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_file
from impose.model.stock import Grain
from impose.plan.coverfacts import CoverFacts
from impose.plan.coverpieces import APART, CoverPieces
from impose.plan.coverview import piece_of, piece_view
from impose.plan.parts import LineKind, Mark, Sheet, Side
from impose.plan.plan import Plan
from impose.plan.scoresteps import PaperEnd, ScoreKind
from impose.plan.wire import from_text, to_text
from impose.reports.cutlist_rows import facts_lines, rows
from impose.reports.guide import guide
from impose.reports.press_rows import cover_press_rows
from impose.reports.ticket_facts import ticket_facts
from impose.schemes.boundcover import bind_cover
from impose.schemes.coverplan import add_cover
from impose.schemes.registering import add_register
from impose.units import ZERO, Length, parse_length

B1 = NamedSize(size=Size(Length.mm(1400), Length.mm(1000)), name="large sheet")


def up_plan(job: Job, pages: int = 32, art: tuple[PageFacts, ...] = ()) -> Plan:
    """As the pipeline plans it, without a PDF."""
    plan = add_marks(plan_for(job, pages), job)
    files = tuple(f"art{number}.pdf" for number in range(1, len(art) + 1))
    book = [BookPage(index, 1, facts) for index, facts in enumerate(art, start=1)]
    plan = add_cover(replace(plan, files=(*plan.files, *files)), job, book)
    plan = step_covers(add_scores(add_cover_marks(plan, job), job), job)
    return add_register(add_cuts(plan, job), job)


def facts_of(plan: Plan) -> CoverFacts:
    assert plan.cover is not None
    return plan.cover


def pieces_of(plan: Plan) -> CoverPieces:
    pieces = facts_of(plan).pieces
    assert pieces is not None
    return pieces


def sheet_of(plan: Plan) -> Sheet:
    return next(one for one in plan.sheets if one.role == "cover")


def marks_of(side: Side) -> list[Mark]:
    return [*(mark for group in side.marks for mark in group.marks), *side.own_marks]


# -- laws ------------------------------------------------------------------------------------


def lengths(least: str, most: str) -> st.SearchStrategy[Length]:
    low, high = Length.mm(least).grains, Length.mm(most).grains
    return st.integers(low, high).map(Length)


@st.composite
def up_jobs(draw: st.DrawFn, printer: Printer | None = None) -> Job:
    """Covers of all kinds, so many on a sheet, for all kinds of books and printers."""
    flap = st.one_of(st.none(), lengths("20", "60"))
    binding = draw(st.sampled_from(["perfect", "sections", "saddle", "stab"]))
    count = draw(st.integers(2, 4))
    up = CoversUp(count=count)
    if draw(st.booleans()):
        columns = draw(st.sampled_from([n for n in range(1, count + 1) if count % n == 0]))
        up = CoversUp(count=count, columns=columns, rows=count // columns)
    unit = draw(st.sampled_from(["mm", "in"]))
    cover: dict[str, Any] = {
        "spine": draw(lengths("1", "30")),
        "hinge": draw(st.one_of(st.none(), lengths("0", "12"))),
        "flap_front": draw(flap),
        "flap_back": draw(flap),
        "lay": draw(st.sampled_from([None, "head", "foot", "centre"])),
        "sheets": (B1,),
        "up": up,
        "gutter": draw(st.one_of(st.just(ZERO), lengths("3", "20"))),
    }
    guts: dict[str, Any] = {
        "flip": draw(st.sampled_from([None, *Flip])),
        "overs": draw(st.integers(0, 9)),
        "printer": draw(printers()),
    }
    job = cover_job(
        cover,
        bound_at=draw(st.sampled_from(["left", "right", "head"])),
        binding=binding,
        trim=draw(st.sampled_from(["a5", "5.5in x 8.5in", "a6"])),
        guts=guts,
        sheet="sra2" if binding in ("sections", "saddle") else "tabloid",
        units=unit,
    )
    return replace(job, copies=draw(st.integers(1, 120)))


def planned(job: Job, art: tuple[PageFacts, ...] = ()) -> Plan:
    """Where they fit; what does not is refused, and is tried by itself."""
    try:
        return up_plan(job, 32, art)
    except JobError as error:
        assume("cover-up-no-room" not in {fault.code for fault in error.faults})
        assume("sheet-too-small" not in {fault.code for fault in error.faults})
        raise


@settings(max_examples=60, deadline=None)
@given(job=up_jobs())
def test_every_piece_of_the_replayed_cuts_has_the_cover_where_the_score_list_says(
    job: Job,
) -> None:
    plan = planned(job)
    facts, pieces, one = facts_of(plan), pieces_of(plan), sheet_of(plan)
    left, _ = replay_sheets(plan.cut_steps, pieces.sheet, COVER_SHEETS)
    assert sorted(left.values(), key=str) == sorted(pieces.boxes, key=str)
    assert {box.size for box in left.values()} == {facts.paper}
    ends = {"cover": Box.at(ZERO, ZERO, facts.paper)}
    if facts.cut_first:
        ends, _ = replay_sheets(plan.cut_steps, facts.paper, "cover")
    scores = [step for step in plan.score_steps if step.kind is ScoreKind.SCORE]
    for paper in left.values():
        cut = ends["cover"].moved(paper.x0, paper.y0)
        lines = {
            line.of: line.x0
            for line in one.lines
            if line.kind is LineKind.SCORE and paper.x0 < line.x0 < paper.x1
            and paper.y0 <= line.y0 and line.y1 <= paper.y1
        }  # fmt: skip
        assert set(lines) == {step.of for step in scores}
        for step in scores:
            at_right = (step.at_stop is PaperEnd.FRONT) == facts.front_at_right
            from_end = cut.x1 - lines[step.of] if at_right else lines[step.of] - cut.x0
            assert from_end == step.distance
        trims = [p.trim for p in one.front.placements if paper.contains(p.trim)]
        whole = trims[0]
        for trim in trims[1:]:
            whole = whole.join(trim)
        assert whole == facts.trim.moved(paper.x0, paper.y0)
        assert paper.y1 - whole.y1 == facts.head and whole.y0 - paper.y0 == facts.foot


def crosses(thin: Box, clip: Box) -> bool:
    """A line, a letter's foot or a ring is within; its ends may touch."""

    def shared(a: Length, b: Length, low: Length, high: Length) -> bool:
        return low < a < high if a == b else max(a, low) < min(b, high)

    return shared(thin.x0, thin.x1, clip.x0, clip.x1) and shared(thin.y0, thin.y1, clip.y0, clip.y1)


@settings(max_examples=60, deadline=None)
@given(job=up_jobs(), inside=st.booleans())
def test_no_mark_is_in_a_bleed_and_all_is_where_it_can_be_printed(job: Job, inside: bool) -> None:
    """Trims and bleeds keep clear of gripper and margins, on both sides."""
    assert job.cover is not None
    faces = 2 if inside else 1
    art = with_art(wide=True)
    job = replace(job, cover=replace(job.cover, art=art, inside=art if inside else None))
    open_cover = facts_of(planned(replace(job, cover=replace(job.cover, art=None, inside=None))))
    read = job.bound_at.leaf_size(open_cover.trim.size)
    plan = planned(job, (art_facts(read, Length.mm(3)),) * faces)
    one, printer = sheet_of(plan), job.guts.printer
    area = Box(ZERO, ZERO, one.size.width, one.size.height)
    if printer is not None:
        margins = printer.margins(one.size)
        area = Box(margins.left, margins.bottom, area.x1 - margins.right, area.y1 - margins.top)
    for name, side in one.sides:
        clips = [p.clip for p in side.placements]
        assert len(clips) == pieces_of(plan).up
        if name == "front" or inside:
            assert all(
                clip.size != p.trim.size for clip, p in zip(clips, side.placements, strict=True)
            )
        assert all(area.contains(clip) for clip in clips)
        for mark in marks_of(side):
            box = extent(mark)
            assert area.contains(box), mark
            assert not any(crosses(box, clip) for clip in clips), mark
        for fill in side.fills:
            assert area.contains(fill.box)
            assert not any(fill.box.overlaps(clip) for clip in clips)


@settings(max_examples=40, deadline=None)
@given(job=up_jobs())
def test_a_piece_is_a_cover_printed_alone_on_paper_of_that_size(job: Job) -> None:
    """Measures, lines, placements and score list, seen from both sides."""
    assert job.cover is not None
    cover = replace(job.cover, flap_back=job.cover.flap_front)  # else no spine is in the middle
    job = replace(job, guts=replace(job.guts, printer=None, flip=None), cover=cover)
    plan = planned(job)
    paper = facts_of(plan).paper
    assume(paper.landscape)  # a cover alone would be tried the other way round first
    own = NamedSize(size=paper, name="own sheet")
    single = replace(job, cover=replace(cover, up=None, piece=None, gutter=ZERO, sheets=(own,)))
    alone = up_plan(single)
    assume(sheet_of(alone).size == paper)
    pieces = pieces_of(plan)
    for number in range(pieces.up):
        piece = piece_of(sheet_of(plan), pieces, number)
        for mine, other in zip(piece.sides, sheet_of(alone).sides, strict=True):
            assert mine[1].placements == other[1].placements
            drawn = {m for m in marks_of(other[1]) if m.kind != "slug"}
            assert drawn <= set(marks_of(mine[1]))
        assert piece.lines == sheet_of(alone).lines
        assert piece.folds == sheet_of(alone).folds
    assert plan.score_steps == alone.score_steps
    same = replace(facts_of(alone), stock=facts_of(plan).stock, pieces=pieces)
    assert facts_of(plan) == same


@settings(max_examples=40, deadline=None)
@given(job=up_jobs())
def test_the_pieces_stand_in_a_grid_and_the_inside_lies_behind_its_outside(job: Job) -> None:
    plan = planned(job)
    pieces, one = pieces_of(plan), sheet_of(plan)
    assert job.cover is not None and job.cover.up is not None
    assert pieces.up == pieces.columns * pieces.rows == job.cover.up.count
    first = pieces.boxes[0]
    for number, box in enumerate(pieces.boxes):
        row, column = divmod(number, pieces.columns)
        assert box.x0 == first.x0 + (first.width + pieces.gutter) * column
        assert box.y0 == first.y0 - (first.height + pieces.gutter) * row
        assert Box(ZERO, ZERO, one.size.width, one.size.height).contains(box)
    fronts, backs = ([p.trim for p in side.placements] for _, side in one.sides)
    assert [one.turned.over(trim, one.size) for trim in fronts] == backs


@settings(max_examples=12, deadline=None)
@given(job=up_jobs())
def test_the_plan_survives_the_wire_is_as_the_schema_says_and_binds_alike(job: Job) -> None:
    plan = planned(job)
    text = to_text(plan)
    assert from_text(text) == plan
    assert faults(json.loads(text)) == []
    assert plan.reading_order() == tuple(range(1, 33))
    pieces = pieces_of(plan)
    faces = [bind_cover(plan, number) for number in range(pieces.up)]
    first = pieces.boxes[0]
    for box, made in zip(pieces.boxes, faces, strict=True):
        for face, like in zip(made, faces[0], strict=True):
            dx, dy = box.x0 - first.x0, box.y0 - first.y0
            if face.side == "back":
                ax, ay = sheet_of(plan).turned.point(box.x0, box.y0, pieces.sheet)
                bx, by = sheet_of(plan).turned.point(first.x0, first.y0, pieces.sheet)
                dx, dy = ax - bx, ay - by
            assert face.region == like.region.moved(dx, dy)
            assert (face.name, face.turn, face.spine_at) == (like.name, like.turn, like.spine_at)


# -- amounts and choices -----------------------------------------------------------------------


def two_up(cover: dict[str, Any] | None = None, **options: Any) -> Job:
    given_ = {"spine": inch("3/8"), "up": CoversUp(count=2), "sheets": (big("20in", "28in"),)}
    return cover_job(given_ | (cover or {}), **options)


def big(width: str, height: str) -> NamedSize:
    size = Size(parse_length(width), parse_length(height))
    return NamedSize(size=size, name=f"{width} x {height}")


@pytest.mark.parametrize(
    ("copies", "overs", "up", "sheets", "spoilage"),
    [(101, 5, 2, 51, 3), (100, 0, 2, 50, 0), (1, 1, 2, 1, 1), (10, 4, 3, 4, 2)],
)
def test_copies_and_overs_are_divided_by_the_covers_on_a_sheet(
    copies: int, overs: int, up: int, sheets: int, spoilage: int
) -> None:
    job = two_up({"up": CoversUp(count=up), "sheets": (B1,)}, guts={"overs": overs})
    plan = up_plan(replace(job, copies=copies))
    assert (pieces_of(plan).sheets, pieces_of(plan).overs) == (sheets, spoilage)
    jog = next(step for step in plan.cut_steps if step.table and step.table.things == COVER_SHEETS)
    assert jog.table is not None
    assert jog.table.count == sheets
    assert jog.table.height == facts_of(plan).stock.caliper * sheets


def test_pieces_share_a_cut_or_are_cut_twice_where_a_gutter_lies_between() -> None:
    """Two beside each other on a sheet with paper all round: 3 upright cuts, or 4."""
    for gutter, upright in ((ZERO, 3), (inch("1/4"), 4)):
        job = two_up({"up": CoversUp(count=2, columns=2, rows=1), "gutter": gutter})
        one = sheet_of(up_plan(job))
        apart = [line for line in one.lines if line.of.startswith(APART)]
        assert sum(line.upright for line in apart) == upright
        assert sum(not line.upright for line in apart) == 2


def test_the_grain_runs_along_the_spine_where_a_sheet_can_be_turned_so() -> None:
    """Scores run up the sheet: long grain wants it upright, short grain lying wide."""
    for grain, wide in ((Grain.LONG, False), (Grain.SHORT, True)):
        stock = replace(library().stock("cover-80lb"), grain=grain)
        plan = up_plan(two_up({"stock": stock, "sheets": (big("26in", "28in"),)}))
        assert pieces_of(plan).sheet.landscape is wide
        assert facts_of(plan).stock.along is True
        assert "score-grain" not in codes(plan)


def test_a_piece_that_is_named_is_the_paper_of_each_cover() -> None:
    piece = Size(inch("12 1/2"), inch("13"))
    plan = up_plan(two_up({"piece": piece, "up": CoversUp(count=2, columns=1, rows=2)}))
    facts = facts_of(plan)
    assert facts.paper == piece
    assert facts.front_distance == facts.back_distance == inch("6 1/16")
    assert {box.size for box in pieces_of(plan).boxes} == {piece}


def test_a_piece_is_a_figure_of_the_ruler_and_has_room_for_its_marks() -> None:
    """Bleed of 3 mm, 5 mm of crop mark: 5/16 in and a bit at each end, so 11/16 in in all."""
    plan = up_plan(two_up())
    facts = facts_of(plan)
    assert facts.paper.width == facts.trim.width + inch("11/16")
    assert facts.guts_down == facts.glue_trap_head
    for unit, step in (("in", inch("1/16")), ("mm", Length.mm(1))):
        paper = facts_of(up_plan(two_up({"spine": Length.mm("7.3")}, units=unit))).paper
        assert paper.width.grains % step.grains == paper.height.grains % step.grains == 0
    assert not codes(plan) & {"cover-mark-no-room", "cover-oversize", "cover-glue-trap"}


# -- the press ---------------------------------------------------------------------------------


def press(**more: Any) -> Printer:
    given_: dict[str, Any] = {
        "name": "the press", "press": True, "leads": LeadingEdge.LONG, "lead": Length.mm(12),
        "tail": Length.mm(5), "left": Length.mm(5), "right": Length.mm(5),
        "registration_ink": True, "side_lay": "left", "bar": Length.mm(8),
    }  # fmt: skip
    return Printer(**(given_ | more))


def test_a_press_gets_its_marks_round_the_covers_and_gives_its_lays_to_the_knife() -> None:
    plan = up_plan(two_up(sheet="26in x 40in", guts={"printer": press()}))
    one, pieces = sheet_of(plan), pieces_of(plan)
    kinds = {mark.kind for mark in marks_of(one.front)}
    assert {"crop", "score", "registration", GRIPPER, LAY} <= kinds
    assert one.front.fills and one.back.fills
    targets = [m for m in marks_of(one.front) if m.kind == "registration"]
    assert len(targets) >= 9
    assert not any(box.overlaps(fill.box) for box in pieces.boxes for fill in one.front.fills)
    gripper = Edge.BOTTOM if one.size.landscape else Edge.LEFT
    assert gripper in pieces.lay
    jog = next(step for step in plan.cut_steps if step.table and step.table.things == COVER_SHEETS)
    assert gripper.value in jog.title
    assert "the edges the press fed the sheets by" in " ".join(jog.notes)


@pytest.mark.parametrize("inside", [False, True])
def test_the_plates_of_the_cover_are_told_with_its_passes(inside: bool) -> None:
    """Marks alone are no reason to print the inside."""
    job = two_up(sheet="26in x 40in", guts={"printer": press()})
    assert job.cover is not None
    sides = {"inside": with_art(wide=True)} if inside else {}
    job = replace(job, cover=replace(job.cover, **sides))
    page = Size(inch("11.375"), inch("8.5"))
    media = Box(ZERO, ZERO, page.width, page.height)
    plan = up_plan(job, art=(PageFacts(media, media),) if inside else ())
    ((label, told),) = cover_press_rows(plan, job)
    assert label == "Cover plates" and "gripper at the" in told
    assert told.startswith("2 sets, outside and inside" if inside else "1 set, the outside alone")
    assert ("for the inside turned" in told) is inside
    assert not list(cover_press_rows(up_plan(two_up()), two_up()))


def test_what_the_bar_would_keep_is_given_up_before_a_cover_is_refused() -> None:
    """12 + 5 + 8 mm of 530 mm are kept: two pieces of 10 3/16 in are 517.5 mm."""
    sheet = NamedSize(size=Size(Length.mm(700), Length.mm(530)), name="sheet")
    up = CoversUp(count=2, columns=1, rows=2)
    cover = {"sheets": (sheet,), "up": up, "piece": Size(inch("13"), inch("10"))}
    job = two_up(cover, sheet="26in x 40in", guts={"printer": press(leads=LeadingEdge.LONG)})
    plan = up_plan(job)
    area = sheet_of(plan).size.height - Length.mm(12)
    assert all(p.clip.y0 >= Length.mm(12) for p in sheet_of(plan).front.placements)
    assert pieces_of(plan).block.height <= area + inch("2")


def test_covers_are_kept_within_the_largest_image_of_the_press() -> None:
    small = Size(inch("20"), inch("12"))
    words = refused(two_up(sheet="26in x 40in", guts={"printer": press(image_max=small)}))
    assert "within the largest image of 20 x 12 in: only one fits" in words


# -- when it does not fit ------------------------------------------------------------------------


def refused(job: Job) -> str:
    with pytest.raises(JobError) as caught:
        up_plan(job)
    (fault,) = caught.value.faults
    assert fault.code in ("cover-up-no-room", "cover-piece-small")
    return f"{fault.message}; {fault.hint}"


def test_too_many_covers_are_refused_with_both_sizes_and_the_most_that_fit() -> None:
    words = refused(two_up({"up": CoversUp(count=9)}))
    assert "9 covers, each on a piece of 11.625 x 11.25 in" in words
    assert "34.875 x 33.75 in" in words
    assert "20in x 28in (20 x 28 in)" in words
    assert 'the most that fit are 2 (2 x 1, columns x rows); up = "2 x 1"' in words


def test_where_only_one_or_none_fits_it_is_said() -> None:
    assert "only one fits; leave up out" in refused(two_up({"sheets": (big("18in", "12in"),)}))
    assert "not even one fits" in refused(two_up({"sheets": (big("12in", "11in"),)}))


def test_a_piece_smaller_than_the_cover_is_refused() -> None:
    words = refused(two_up({"piece": Size(inch("11"), inch("9"))}))
    assert "piece is 11 x 9 in, the open cover is 11.375 x 8.5 in" in words


# -- the job file -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "grids"),
    [
        (2, ((2, 1), (1, 2))),
        ("2", ((2, 1), (1, 2))),
        ("2 x 1", ((2, 1),)),
        ("2\N{MULTIPLICATION SIGN}3", ((2, 3),)),
        (6, ((6, 1), (3, 2), (2, 3), (1, 6))),
    ],
)
def test_how_many_covers_as_people_write_it(
    written: object, grids: tuple[tuple[int, int], ...]
) -> None:
    assert covers_up(written).grids == grids


@pytest.mark.parametrize("written", [0, "0 x 2", "two", True, 65, "2 x", "-2", 1.5])
def test_numbers_of_covers_that_are_none(written: object) -> None:
    with pytest.raises(ValueFault):
        covers_up(written)


def job_file(folder: Path, cover: str) -> Path:
    path = folder / "job.toml"
    path.write_text(
        '[book]\npages = ["pages.pdf"]\ntrim = "a5"\nbinding = "perfect"\n'
        f'[guts]\nstock = "0.1mm"\nsheet = "a4"\n[cover]\nsheet = "sra2"\n{cover}\n'
    )
    return path


def test_the_keys_of_a_job_file_are_read(tmp_path: Path) -> None:
    (tmp_path / "pages.pdf").write_bytes(b"")
    keys = 'up = "1 x 2"\npiece = "320mm x 225mm"\ngutter = "6mm"'
    job = job_from_file(job_file(tmp_path, keys), Overrides(), library())
    assert job.cover is not None
    assert job.cover.up == CoversUp(count=2, columns=1, rows=2)
    assert job.cover.piece == Size(Length.mm(320), Length.mm(225))
    assert job.cover.gutter == Length.mm(6)
    alone = job_from_file(job_file(tmp_path, "up = 1"), Overrides(), library())
    assert alone.cover is not None and alone.cover.up is None


@pytest.mark.parametrize("keys", ['gutter = "6mm"', 'up = 1\npiece = "300mm x 220mm"'])
def test_what_belongs_to_several_covers_is_refused_for_one(tmp_path: Path, keys: str) -> None:
    (tmp_path / "pages.pdf").write_bytes(b"")
    with pytest.raises(JobError) as caught:
        job_from_file(job_file(tmp_path, keys), Overrides(), library())
    assert "several covers on a sheet" in str(caught.value.faults[0].message)


# -- the papers ---------------------------------------------------------------------------------


def test_ticket_cut_list_and_guide_say_what_comes_first() -> None:
    job = replace(two_up({"flap_front": inch("2")}, guts={"overs": 2}), copies=9)
    job = replace(job, cover=replace(job.cover, sheets=(B1,)) if job.cover else None)
    plan = up_plan(job)
    ticket = ticket_facts(plan, job)
    said = {row.label: row.words for row in (*ticket.cover, *ticket.last_cuts)}
    assert "print 5 sheets, and 1 for spoilage" in said["Cover sheets"]
    assert said["Order"] == "cut the covers apart, then score, then bind, then trim"
    assert "cut the covers apart" in said["FIRST, before scoring"]
    labels = [row.label for row in ticket.last_cuts]
    assert labels[:2] == ["FIRST, before scoring", "BEFORE scoring"]
    assert plan.cut_facts is not None
    lines = " ".join(facts_lines(plan, plan.cut_facts))
    assert "5 sheets of covers (and 1 printed for spoilage), 2 up" in lines
    phases = [row.phase for row in rows(plan) if row.phase == "before scoring"]
    apart = [step for step in plan.cut_steps if step.table and step.table.things == COVER_SHEETS]
    assert len(phases) == len(apart) + 1
    things = [step.table.things for step in plan.cut_steps if step.table]
    assert things.index(COVER_SHEETS) < things.index("cover")
    ends = next(step for step in plan.cut_steps if step.table and step.table.things == "cover")
    assert ends.table is not None and ends.table.count == 10
    tasks = [task.title for task in guide(plan, job).tasks]
    first = tasks.index("Cut the covers apart, before they are scored")
    assert first < tasks.index("Cut before the cover goes on") < tasks.index("Score the cover")


@pytest.mark.parametrize("binding", ["saddle", "stab", "perfect", "sections", "punched"])
def test_every_binding_is_told_once_to_cut_the_covers_apart(binding: str) -> None:
    sheet = "sra2" if binding in ("saddle", "sections") else "tabloid"
    job = two_up({"sheets": (B1,)}, binding=binding, sheet=sheet)
    plan = up_plan(job)
    tasks = guide(plan, job).tasks
    titles = [task.title for task in tasks]
    assert sum(title.startswith("Cut the covers apart, before they are") for title in titles) == 1
    others = [s for t in tasks if not t.title.startswith("Cut the covers apart") for s in t.steps]
    assert not any("cover sheets" in step for step in others)


def test_a_cover_alone_on_its_sheet_is_planned_as_ever() -> None:
    job = cover_job({"spine": inch("3/8")})
    plan = up_plan(job)
    assert facts_of(plan).pieces is None
    assert piece_view(plan) is plan
    assert "pieces" not in to_text(plan)
    assert not any(cut.id.startswith(APART) for cut in plan.cuts)


def test_a_job_without_a_cover_is_left_alone() -> None:
    job = job_for(binding="perfect", sheet="a4", stock="0.1mm", bench={"creaser": VALLEY})
    plan = add_marks(plan_for(job, 8), job)
    assert step_covers(plan, job) is plan


def test_light_saddle_covers_are_folded_not_scored_and_the_papers_say_so() -> None:
    stock = replace(library().stock("cover-80lb"), grammage=Fraction(100))
    job = two_up({"stock": stock, "sheets": (B1,)}, binding="saddle", sheet="sra2")
    plan = up_plan(job)
    assert not facts_of(plan).scored
    assert {row.phase for row in rows(plan) if "overs" in row.title} == {"before folding the cover"}
    said = {row.label: row.words for row in ticket_facts(plan, job).cover}
    assert said["Order"] == "cut the covers apart, then fold, then bind, then trim"
    assert len(sheet_of(plan).folds) == len(piece_view(plan).sheets[-1].folds) == 1
    middle = piece_view(plan).sheets[-1].folds[0].at
    assert middle == facts_of(plan).paper.width.half


def test_an_office_printer_leaves_what_is_for_presses_away() -> None:
    office = Printer(
        name="office", lead=Length.mm(4), tail=Length.mm(4), left=Length.mm(4), right=Length.mm(4)
    )
    for printer in (None, office, replace(office, sheet_max=Size(inch("12"), inch("18")))):
        plan = up_plan(two_up(guts={"printer": printer}))
        kinds = {mark.kind for _, side in sheet_of(plan).sides for mark in marks_of(side)}
        assert not kinds & {"registration", GRIPPER, LAY}
        assert {"crop", "score", "slug"} <= kinds
        assert not sheet_of(plan).front.fills


@pytest.mark.parametrize("inside", [False, True])
def test_art_that_would_lie_in_the_margin_is_refused_bare_paper_is_not(inside: bool) -> None:
    """On a sheet 24 in wide two pieces of 12 in lie in a margin of 1/8 in; their bleeds do not."""
    margin = inch("1/8") if inside else inch("1/2")
    office = Printer(name="office", lead=margin, tail=margin, left=margin, right=margin)
    sheet = big("24in", "13in")
    up = CoversUp(count=2, columns=2, rows=1)
    job = two_up(
        {"sheets": (sheet,), "up": up, "piece": Size(inch("12"), inch("12"))},
        guts={"printer": office},
    )
    if not inside:
        assert "clear of gripper and margins" in refused(job)
        return
    plan = up_plan(job)
    assert pieces_of(plan).block.x0 == ZERO
    assert all(
        margin <= clip.x0 and clip.x1 <= inch("24") - margin
        for clip in (p.clip for p in sheet_of(plan).front.placements)
    )


@pytest.mark.parametrize("bound_at", ["left", "right"])
def test_a_colour_lies_on_every_piece_and_no_mark_in_its_bleed(bound_at: str) -> None:
    cover = {"art": with_art(front=True), "fill": ink("grey 20")}
    job = two_up(cover, bound_at=bound_at, guts={"printer": press()}, sheet="26in x 40in")
    plan = up_plan(job, art=(art_facts(Size(inch("5.5"), inch("8.5")), inch("1/8")),))
    one, pieces = sheet_of(plan), pieces_of(plan)
    colours = [fill.box for fill in one.front.fills if fill.ink == ink("grey 20")]
    assert len(colours) == pieces.up
    for box in colours:
        assert sum(piece.contains(box) for piece in pieces.boxes) == 1
        assert not any(crosses(extent(mark), box) for mark in marks_of(one.front))
