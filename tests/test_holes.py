"""Holes and stations against the panel: laws of their places, the needle's way, the job's keys."""

from __future__ import annotations

import io
import itertools
import json
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from benchplans import job_for, library, plan_for
from coverplans import BIG, cover_job, covered
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pypdf import PdfReader

from impose.bench.holeplaces import hole_places
from impose.bench.holes import add_holes
from impose.bench.needle import needle_way, thread_of, way_length
from impose.bench.needlewords import hops, needle_steps
from impose.bench.program import add_cuts
from impose.errors import JobError
from impose.model.holes import Holes, HoleShape, Makes
from impose.model.job import Binding, Job
from impose.model.overrides import Overrides
from impose.model.profilefolders import Kind
from impose.model.resolve import job_from_file, job_from_options
from impose.plan.cutsteps import StepKind
from impose.plan.holes import Face, HolePlan, Move
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.reports.cutlist_pdf import cutlist_pdf
from impose.units import ZERO, Length, total

NAMES = library().names(Kind.PATTERNS)
SHEETS = {
    Binding.STAB: "a4",
    Binding.PUNCHED: "a4",
    Binding.SADDLE: "a4",
    Binding.SECTIONS: "a3",
}
mm = Length.mm


def pattern_holes(name: str, **more: Any) -> Holes:
    return Holes(pattern=library().pattern(name), **more)


def holed(name: str, pages: int = 32, **options: Any) -> tuple[Plan, Job]:
    binding = library().pattern(name).makes.binding
    given: dict[str, Any] = {"binding": binding.value, "sheet": SHEETS[binding], "holes": name}
    job = job_for(**(given | options))
    plan = add_holes(plan_for(job, pages), job)
    return add_cuts(plan, job), job


def holes_in(name: str, pages: int = 32, **options: Any) -> HolePlan:
    plan, _ = holed(name, pages, **options)
    assert plan.holes is not None
    return plan.holes


# -- places ---------------------------------------------------------------------------------


@settings(max_examples=120, deadline=None)
@given(
    name=st.sampled_from(NAMES),
    height=st.integers(mm(60).grains, mm(450).grains).map(Length),
)
def test_laws_of_the_places(name: str, height: Length) -> None:
    """Inside the trim, in order, mirrored, and their gaps are the height exactly."""
    holes = pattern_holes(name)
    pattern = holes.pattern
    try:
        places = hole_places(holes, height, "mm")
    except JobError as error:
        assert {fault.code for fault in error.faults} <= {"holes-no-room", "hole-outside",
                                                          "holes-too-near"}  # fmt: skip
        return
    half = pattern.along.half
    assert all(half < place < height - half for place in places)
    marks = [ZERO, *places, height]
    gaps = [after - before for before, after in itertools.pairwise(marks)]
    assert total(gaps) == height
    assert all(gap > pattern.along for gap in gaps[1:-1])
    for place, other in zip(places, reversed(places), strict=True):
        assert place.near(height - other, Length(1))  # one grain where a half is odd
    if pattern.count is not None:
        assert len(places) == pattern.count
    if pattern.pitch is None:
        ends = pattern.ends if pattern.ends_share is None else height * pattern.ends_share
        assert places[0] == ends and places[-1] == height - ends
    else:
        assert set(gaps[1:-1]) <= {pattern.pitch}
        if pattern.count is None:
            assert places[0] >= pattern.ends
            # One more would not fit.
            assert places[0] - pattern.pitch.half < pattern.ends


def test_four_holes_of_a_stab_bound_a5() -> None:
    """12 mm from head and foot (line of holes 10 to 15 mm from the spine: from memory)."""
    holes = holes_in("stab-4")
    assert [hole.from_head for hole in holes.holes] == [mm(12), mm(74), mm(136), mm(198)]
    assert holes.from_spine == mm(12)
    assert holes.gaps == (mm(12), mm(62), mm(62), mm(62), mm(12))
    # A5 on A4, centred: 43.5 mm beyond head and foot; told beside, though trimmed before.
    assert (holes.head, holes.foot, holes.untrimmed) == (mm("43.5"), mm("43.5"), mm(297))
    assert holes.untrimmed_from_head(holes.holes[0]) == mm("55.5")


@pytest.mark.parametrize(
    ("name", "height", "count"),
    [
        # 19 fingers of a comb on 11 in, 21 on A4; wire: 32 and 34 at 3 to the inch, 21 and 23 at
        # 2 to the inch (as such binders and punches are commonly sold: from memory).
        ("comb", Length.inches(11), 19),
        ("comb", mm(297), 21),
        ("wire-3-1", Length.inches(11), 32),
        ("wire-3-1", mm(297), 34),
        ("wire-2-1", Length.inches(11), 21),
        ("wire-2-1", mm(297), 23),
    ],
)
def test_as_many_as_fit(name: str, height: Length, count: int) -> None:
    assert len(hole_places(pattern_holes(name), height, "mm")) == count


def test_filing_holes_stand_in_the_middle() -> None:
    """80 mm apart (ISO 838:1974: from memory)."""
    assert hole_places(pattern_holes("filing-2"), mm(297), "mm") == (mm("108.5"), mm("188.5"))
    assert hole_places(pattern_holes("filing-2"), mm(210), "mm") == (mm(65), mm(145))


def test_kettle_stations_are_outermost_and_tapes_lie_between() -> None:
    holes = holes_in("sewn-tapes-3", 64)
    assert [hole.kettle for hole in holes.holes] == [True, *[False] * 6, True]
    inner = [hole.from_head for hole in holes.holes[1:-1]]
    assert [b - a for a, b in zip(inner[::2], inner[1::2], strict=True)] == [mm(12)] * 3
    middles = [(a + b).half for a, b in zip(inner[::2], inner[1::2], strict=True)]
    assert middles == [mm("58.5"), mm(105), mm("151.5")]
    assert holes.holes[0].from_head == mm(12) and holes.from_foot(holes.holes[-1]) == mm(12)


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"at": (mm(20), mm(215))}, "hole-outside"),
        ({"at": (mm("0.4"), mm(100))}, "hole-outside"),
        ({"at": (mm(20), mm(21))}, "holes-too-near"),
        ({"from_head": mm(110), "from_foot": mm(101)}, "holes-no-room"),
    ],
)
def test_what_lies_off_the_page_is_refused(more: dict[str, Any], code: str) -> None:
    with pytest.raises(JobError) as caught:
        hole_places(pattern_holes("stab-4", **more), mm(210), "mm")
    fault = caught.value.faults[0]
    assert fault.code == code
    assert fault.hint and fault.message.count("mm") >= 2


def test_ends_that_the_job_says_need_not_mirror() -> None:
    holes = pattern_holes("stab-4", from_head=mm(30), from_foot=mm(15))
    assert hole_places(holes, mm(210), "mm") == (mm(30), mm(85), mm(140), mm(195))
    punched = pattern_holes("filing-2", from_head=mm(20))
    assert hole_places(punched, mm(210), "mm") == (mm(20), mm(100))
    punched = pattern_holes("filing-2", from_foot=mm(20))
    assert hole_places(punched, mm(210), "mm") == (mm(110), mm(190))


def test_a_page_too_narrow_for_its_holes_is_refused() -> None:
    with pytest.raises(JobError, match="10 mm wide"):
        holed("stab-4", trim="10mm x 210mm")


def test_paper_that_tears_out_is_told() -> None:
    job = job_for(binding="stab", sheet="a4")
    assert job.holes is not None
    near = replace(job, holes=replace(job.holes, at=(mm(3), mm(100), mm(200))))
    plan = add_holes(plan_for(near, 8), near)
    told = [f for f in plan.findings if f.code == "hole-near-edge"]
    assert [f.numbers["left"] for f in told] == ["2.25 mm"]
    assert not [f for f in holed("stab-4")[0].findings if f.code == "hole-near-edge"]


# -- the needle ------------------------------------------------------------------------------


def walked(makes: Makes, count: int, tapes: bool = False) -> list[tuple[Move, int, int, Face]]:
    """Every move with the hole it came from; the way must be one thread."""
    way = needle_way(makes, HoleShape.PIERCED, count, tapes)
    assert way[0].move is Move.START and all(one.move is not Move.START for one in way[1:])
    moves = []
    for before, after in itertools.pairwise(way):
        if after.move is Move.ALONG:
            assert after.face is before.face and after.hole != before.hole
        else:
            assert after.face is before.face.other and after.hole == before.hole
        moves.append((after.move, before.hole, after.hole, after.face))
    return moves


def stretches(moves: list[tuple[Move, int, int, Face]]) -> Counter[tuple[int, int, Face]]:
    return Counter((min(a, b), max(a, b), face) for move, a, b, face in moves if move is Move.ALONG)


@pytest.mark.parametrize("count", range(3, 10))
def test_stab_sewing_covers_every_stretch_on_both_faces(count: int) -> None:
    moves = walked(Makes.STAB, count)
    want = {(n, n + 1, face): 1 for n in range(1, count) for face in (Face.FRONT, Face.BACK)}
    assert stretches(moves) == want
    assert Counter(a for move, a, _, _ in moves if move is Move.SPINE) == dict.fromkeys(
        range(1, count + 1), 1
    )
    assert [(move, a) for move, a, _, _ in moves if move in (Move.HEAD, Move.FOOT)] == [
        (Move.FOOT, count),
        (Move.HEAD, 1),
    ]
    way = needle_way(Makes.STAB, HoleShape.PIERCED, count)
    assert (way[0].hole, way[0].face) == (way[-1].hole, way[-1].face)  # the ends meet


@pytest.mark.parametrize("count", [3, 5, 7, 9])
@pytest.mark.parametrize(("makes", "start"), [(Makes.FOLD, Face.INSIDE), (Makes.SIDE, Face.BACK)])
def test_out_and_back_ends_where_it_began_over_the_long_stitch(
    makes: Makes, start: Face, count: int
) -> None:
    moves, middle = walked(makes, count), count // 2 + 1
    found = stretches(moves)
    assert found.pop((middle - 1, middle + 1, start)) == 1  # the one that is knotted over
    outer = {(n, n + 1, start.other): 1 for n in range(1, count)}
    inner = {(n, n + 1, start): 1 for n in range(1, count) if middle not in (n, n + 1)}
    assert found == outer | inner
    way = needle_way(makes, HoleShape.PIERCED, count)
    assert (way[0].hole, way[0].face) == (way[-1].hole, way[-1].face) == (middle, start)


@pytest.mark.parametrize(("count", "tapes"), [(4, False), (5, False), (6, True), (8, True)])
def test_a_section_is_sewn_all_along(count: int, tapes: bool) -> None:
    moves = walked(Makes.SEWN, count, tapes)
    inside = {(a, b) for a, b, face in stretches(moves) if face is Face.INSIDE}
    outside = {(a, b) for a, b, face in stretches(moves) if face is Face.OUTSIDE}
    pairs = {(n, n + 1) for n in range(2, count - 1, 2)}
    every = {(n, n + 1) for n in range(1, count)}
    assert (inside, outside) == ((every - pairs, pairs) if tapes else (every, set()))
    assert moves[-1][2:] == (count, Face.OUTSIDE)


@pytest.mark.parametrize(("makes", "count"), [(Makes.FOLD, 4), (Makes.SIDE, 2), (Makes.STAB, 2)])
def test_a_number_of_holes_that_cannot_be_sewn(makes: Makes, count: int) -> None:
    with pytest.raises(ValueError):
        needle_way(makes, HoleShape.PIERCED, count)


def test_thread_is_reckoned_along_the_way() -> None:
    """Three holes at 25, 105 and 185 mm: out, up 80, in, down 160, out, up 80, in; four times
    through two sheets of 0.1 mm; and twice 150 mm."""
    holes = holes_in("pamphlet-3", 8, stock="0.1mm")
    assert holes.thick == mm("0.2")
    assert way_length(holes, holes.way) == mm(320) + mm("0.8")
    assert holes.thread is not None
    assert holes.thread.length == mm("620.8")
    assert "320.8 mm" in holes.thread.basis and "from memory" in holes.thread.basis


def test_thread_of_stab_sewing_goes_round_the_edges() -> None:
    """Both faces of the three stretches, four times round the spine, twice round an end."""
    holes = holes_in("stab-4", 20, stock="0.1mm")
    thick = mm(1)
    along = mm(62) * 6
    edges = (mm(24) + thick) * 4 + (mm(24) + thick) * 2
    through = sum(one.move is Move.THROUGH for one in holes.way)
    assert way_length(holes, holes.way) == along + edges + thick * through


def test_thread_of_sections_counts_every_section() -> None:
    few, many = holes_in("sewn-5", 32), holes_in("sewn-5", 64)
    assert (few.pieces, many.pieces) == (2, 4)
    assert few.thread and many.thread
    tails = few.thread.tail * 2
    assert (many.thread.length - tails) == (few.thread.length - tails) * 2


def test_staples_and_wire_have_no_needle() -> None:
    for name in ("side-staples-2", "fold-staples-2", "wire-3-1", "comb"):
        holes = holes_in(name)
        assert holes.way == () and holes.thread is None and thread_of(holes, "mm") is None
        assert needle_steps(holes, "mm") == ()


def test_every_hop_is_told_once() -> None:
    holes = holes_in("pamphlet-5", 16)
    lines = needle_steps(holes, "mm")
    assert [one for hop in hops(holes.way) for one in hop] == list(holes.way)
    assert lines[0].startswith("Begin at hole 3 on the inside: leave 150 mm of thread")
    assert lines[1] == "Along the outside to hole 2, through hole 2 to the inside"
    assert "knot them over it" in lines[-1]
    assert len(lines) == len(hops(holes.way)) + 1


# -- in the plan -----------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("bound_at", ["left", "right", "head"])
def test_plan_to_json_and_back(name: str, bound_at: str) -> None:
    trim = {"trim": "a3", "sheet": "640mm x 900mm"} if name.startswith(("filing", "rings")) else {}
    if bound_at == "head" and not trim:
        trim = {"trim": "200mm x 180mm", "sheet": "450mm x 640mm"}
    plan, _ = holed(name, bound_at=bound_at, **trim)
    assert plan.holes is not None and plan.holes.height == plan.leaf.height
    text = to_text(plan)
    assert from_text(text) == plan
    schema = json.loads(files("impose.plan").joinpath("plan.schema.json").read_text("utf-8"))
    Draft202012Validator(schema).validate(json.loads(text))
    told = json.loads(text, parse_float=Decimal)["holes"]["holes"]
    assert [Length.points(hole["from_head"]) for hole in told] == [
        hole.from_head for hole in plan.holes.holes
    ]
    assert [Length.points(hole["from_untrimmed_head"]) for hole in told] == [
        plan.holes.head + hole.from_head for hole in plan.holes.holes
    ]


def test_a_plan_without_holes_says_nothing_of_them() -> None:
    job = job_for(binding="perfect", sheet="a4")
    plan = add_holes(plan_for(job, 8), job)
    assert plan.holes is None and "holes" not in json.loads(to_text(plan))


def kinds(plan: Plan) -> list[StepKind]:
    return [step.kind for step in plan.cut_steps]


@pytest.mark.parametrize("name", ["stab-4", "wire-3-1"])
def test_what_goes_round_the_edges_is_trimmed_before(name: str) -> None:
    plan, _ = holed(name, stock="0.1mm")
    cut, last = StepKind.CUT, [StepKind.PIERCE, StepKind.SEW]
    assert kinds(plan) == [StepKind.GATHER, cut, cut, cut, *last]
    cuts = [step for step in plan.cut_steps if step.kind is cut]
    assert {step.when for step in cuts} == {When.BEFORE_BINDING}
    assert [step.cuts for step in cuts] == [("foot",), ("head",), ("fore-edge",)]


@pytest.mark.parametrize("name", ["side-3", "pamphlet-3", "sewn-5"])
def test_what_goes_through_the_paper_is_trimmed_after(name: str) -> None:
    sheet = {"sheet": "sra3"} if name == "pamphlet-3" else {}
    plan, _ = holed(name, **sheet)
    cut = StepKind.CUT
    assert kinds(plan) == [StepKind.PIERCE, StepKind.BIND, cut, cut, cut]
    assert {step.when for step in plan.cut_steps if step.kind is cut} == {When.AFTER_BINDING}


def test_the_cut_list_has_the_cautions_of_its_steps() -> None:
    for name, words in (
        ("stab-4", "never pierce toward fingers"),
        ("comb", "punch's throat"),
        ("fold-staples-2", "Fingers clear of the stapler's head"),
    ):
        pages = PdfReader(io.BytesIO(cutlist_pdf(holed(name)[0]))).pages
        assert words in " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_book_with_nothing_to_cut_is_pierced_all_the_same() -> None:
    plan, _ = holed("stab-4", trim="a5", sheet="a5")
    assert kinds(plan) == [StepKind.GATHER, StepKind.PIERCE, StepKind.SEW]


def test_a_stab_bound_book_with_flaps_on_its_cover() -> None:
    """The fore-edge goes first, because of the flaps; head and foot before the holes."""
    job = cover_job({"flap_front": Length.inches(2), "flap_back": Length.inches(2),
                     "sheets": (BIG,)}, binding="stab")  # fmt: skip
    plan = add_cuts(add_holes(covered(job, 40), job), job)
    sides = [step.cuts[0] for step in plan.cut_steps if step.kind is StepKind.CUT and
             step.table and "book" in step.table.piles]  # fmt: skip
    assert sides == ["fore-edge", "foot", "head"]
    assert kinds(plan)[-2:] == [StepKind.PIERCE, StepKind.SEW]


def test_a_cover_opens_beyond_the_holes() -> None:
    for hinge, told in (("1/4", True), ("3/4", False)):
        job = cover_job({"hinge": Length.inches(hinge)}, binding="stab")
        plan = add_holes(covered(job, 40), job)
        found = [f for f in plan.findings if f.code == "hinge-before-holes"]
        assert bool(found) is told
        if told:
            assert "0.25 in" in found[0].message and "~0.5295 in" in found[0].message


def test_a_separate_cover_is_pierced_with_the_section() -> None:
    plain = holes_in("pamphlet-3", 8, stock="0.1mm")
    job = cover_job({}, binding="saddle", trim="a5", sheet="a4", holes="pamphlet-3")
    assert job.cover is not None and job.cover.stock is not None
    plan = add_holes(plan_for(job, 8), job)
    assert plan.holes is not None
    assert plan.holes.thick == plain.thick + job.cover.stock.caliper


# -- in the job file -------------------------------------------------------------------------


def from_toml(folder: Path, holes: str, binding: str = "stab", more: str = "") -> Job:
    path = folder / "job.toml"
    path.write_text(
        f'[book]\npages = ["p.pdf"]\nbinding = "{binding}"\ntrim = "a5"\n[guts]\nsheet = "a4"\n'
        f"{more}\n[holes]\n{holes}\n"
    )
    return job_from_file(path, Overrides(), library())


def test_a_job_changes_a_pattern(tmp_path: Path) -> None:
    job = from_toml(
        tmp_path, 'pattern = "stab-5"\nfrom_spine = "15mm"\ncount = 6\nfrom_head = "10mm"\n'
        'hole = "2mm"\nguide = "letter"'
    )  # fmt: skip
    holes = job.holes
    assert holes is not None
    pattern = holes.pattern
    assert (pattern.count, pattern.from_spine, pattern.along) == (6, mm(15), mm(2))
    assert holes.from_head == mm(10) and holes.guide and holes.guide.name == "Letter"
    places = hole_places(holes, mm(210), "mm")
    assert places[0] == mm(10) and places[-1] == mm(198) and len(places) == 6


def test_holes_named_one_by_one(tmp_path: Path) -> None:
    job = from_toml(tmp_path, 'at = ["20mm", "1 1/2in", "100mm"]')
    assert job.holes is not None
    assert hole_places(job.holes, mm(210), "mm") == (mm(20), Length.inches("3/2"), mm(100))


@pytest.mark.parametrize(
    ("binding", "pattern"),
    [("stab", "Four-hole stab sewing"), ("punched", "Wire, three holes to the inch")],
)
def test_bindings_that_need_holes_say_which_they_take(binding: str, pattern: str) -> None:
    job = job_for(binding=binding, sheet="a4")
    assert job.holes is not None and job.holes.pattern.name == pattern
    assert any(f.code == "holes-assumed" and pattern in f.message for f in job.findings)


@pytest.mark.parametrize("binding", ["perfect", "saddle", "sections", "loose"])
def test_other_bindings_have_none_unasked(binding: str) -> None:
    assert job_for(binding=binding, sheet="a4").holes is None


def test_sections_for_a_sewer_are_sewn() -> None:
    job = job_for(binding="sections", sheet="a3", binder="hand-sewing")
    assert job.holes is not None and job.holes.pattern.makes is Makes.SEWN


@pytest.mark.parametrize(
    ("binding", "holes", "more", "words"),
    [
        ("perfect", 'pattern = "stab-4"', "", "perfect books have no holes"),
        ("stab", 'pattern = "pamphlet-3"', "", "is fold stitch, for saddle books"),
        ("stab", 'pattern = "stab4"', "", "no pattern is called 'stab4'"),
        ("stab", "count = 2", "", "2 holes are too few"),
        ("saddle", 'pattern = "pamphlet-3"\ncount = 4', "", "one in the middle for the knot"),
        ("saddle", 'pattern = "pamphlet-3"\nfrom_spine = "3mm"', "", "holes on the fold"),
        ("sections", 'pattern = "sewn-5"', 'grind = "1mm"', "would cut the thread"),
        ("stab", 'at = ["30mm", "20mm"]', "", "20 mm comes after 30 mm"),
        ("stab", 'at = ["30mm"]\ncount = 4', "", "at names every hole"),
        ("stab", 'from_spine = "12"', "", "has no unit"),
        ("stab", 'holes_apart = "12mm"', "", "holes_apart"),
        ("stab", 'hole = "big"', "", "hole"),
        ("stab", 'guide = "a77"', "", "a77"),
    ],
)
def test_faults_of_the_table_are_told_with_their_line(
    tmp_path: Path, binding: str, holes: str, more: str, words: str
) -> None:
    with pytest.raises(JobError) as caught:
        from_toml(tmp_path, holes, binding, more)
    assert any(words in fault.message for fault in caught.value.faults), caught.value.faults
    assert all(fault.line for fault in caught.value.faults)


def test_an_option_names_the_pattern() -> None:
    job = job_from_options(
        Overrides(pages=("p.pdf",), binding="saddle", holes="pamphlet-5"), Path(), library()
    )
    assert job.holes is not None and len(job.holes.pattern.name) > 0
    with pytest.raises(JobError) as caught:
        job_from_options(
            Overrides(pages=("p.pdf",), binding="saddle", holes="stab-4"), Path(), library()
        )
    assert caught.value.faults[0].message.startswith("--holes: ")


@pytest.mark.parametrize("name", NAMES)
def test_patterns_have_sources_and_make_a_binding(name: str) -> None:
    pattern = library().pattern(name)
    assert pattern.source and pattern.description
    assert pattern.makes.on_fold == (pattern.from_spine == ZERO)
