"""The score list: the worked example of the bench, orders, reach, channels, grain of faces."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from coverplans import BIG, VALLEY, codes, cover_job, covered, inch, sheet
from hypothesis import given, settings
from hypothesis import strategies as st

from impose.bench.scores import count_turns
from impose.model.machines import Bench, Creaser, Creasing
from impose.model.stock import CaliperFrom, Stock
from impose.plan.parts import LineKind
from impose.plan.plan import Plan
from impose.plan.scoresteps import (
    CoverFace,
    CoverTurn,
    PaperEnd,
    ScoreKind,
    ScoreStep,
    score_data,
    score_of,
)
from impose.units import ZERO, Length


def listed(plan: Plan) -> list[ScoreStep]:
    return [step for step in plan.score_steps if step.kind is ScoreKind.SCORE]


def plan_on(creaser: Creaser | None, **cover: object) -> Plan:
    job = cover_job({"spine": inch("3/8")} | cover)
    return covered(replace(job, bench=Bench(creaser=creaser)))


def rows(plan: Plan) -> list[tuple[str, str, str, str]]:
    return [
        (step.title, step.face_up.value, step.at_stop.value, step.reading) for step in listed(plan)
    ]


def test_the_worked_example_of_the_bench() -> None:
    """18 in sheet, spine 3/8 in centred, hinge 1/4 in: the project's own example."""
    plan = plan_on(VALLEY)
    assert rows(plan) == [
        ("front hinge", "outside", "front", "8 9/16 in"),
        ("front spine edge", "inside", "front", "8 13/16 in"),
        ("back hinge", "outside", "back", "8 9/16 in"),
        ("back spine edge", "inside", "back", "8 13/16 in"),
    ]
    assert [step.turn for step in listed(plan)] == [
        None,
        CoverTurn.HEAD_TO_FOOT,
        CoverTurn.END_FOR_END,
        CoverTurn.HEAD_TO_FOOT,
    ]
    assert [step.number for step in listed(plan)] == [1, 2, 3, 4]
    first = plan.score_steps[0]
    assert (first.kind, first.reading) == (ScoreKind.MEASURE, "18 in")
    assert "18 in - 8.8125 in - 0.375 in = 8.8125 in" in first.note


def test_faces_are_reversed_where_folds_go_away_from_the_upper_face() -> None:
    away = replace(VALLEY, folds=Creasing.AWAY_FROM_UPPER)
    valley, ridge = rows(plan_on(VALLEY)), rows(plan_on(away))
    assert [row[1] for row in ridge] == ["inside", "outside", "inside", "outside"]
    assert [(r[0], *r[2:]) for r in ridge] == [(r[0], *r[2:]) for r in valley]


def test_a_creaser_for_both_ways_is_never_turned_over() -> None:
    plan = plan_on(replace(VALLEY, folds=Creasing.BOTH))
    steps = listed(plan)
    assert count_turns(steps) == 0
    assert [s.turn for s in steps] == [None, None, CoverTurn.HALF, None]
    assert [s.folds.split(";")[0] for s in steps] == [
        "toward the face that lies up",
        "away from the face that lies up",
    ] * 2


def test_an_order_with_one_turn_over() -> None:
    plan = plan_on(replace(VALLEY, one_turn=True))
    steps = listed(plan)
    assert [s.of for s in steps] == ["hinge-front", "hinge-back", "spine-back", "spine-front"]
    assert [s.turn for s in steps] == [None, CoverTurn.HALF, CoverTurn.HEAD_TO_FOOT, CoverTurn.HALF]
    assert count_turns(steps) == 1
    assert count_turns(listed(plan_on(VALLEY))) == 3


def lie(step: ScoreStep) -> tuple[CoverFace, PaperEnd]:
    return step.face_up, step.at_stop


@settings(max_examples=60, deadline=None)
@given(
    folds=st.sampled_from(list(Creasing)),
    one_turn=st.booleans(),
    spine=st.integers(1, 40),
    hinge=st.integers(0, 12),
    flaps=st.sampled_from([(None, None), (60, None), (None, 50), (70, 70)]),
    stops=st.sampled_from([(0, 900), (10, 300), (170, 900)]),
)
def test_every_step_follows_from_the_sheet_and_the_moves(
    folds: Creasing,
    one_turn: bool,
    spine: int,
    hinge: int,
    flaps: tuple[int | None, int | None],
    stops: tuple[int, int],
) -> None:
    """Doing the moves brings the face up and the edge to the stop; distances lie on the lines."""
    creaser = replace(
        VALLEY,
        folds=folds,
        one_turn=one_turn,
        stop_min=Length.mm(stops[0]),
        stop_max=Length.mm(stops[1]),
    )
    front, back = (Length.mm(f) if f else None for f in flaps)
    cover = {
        "spine": Length.mm(spine),
        "hinge": Length.mm(hinge),
        "flap_front": front,
        "flap_back": back,
        "sheets": (BIG,),
    }
    plan = plan_on(creaser, **cover)
    facts = plan.cover
    assert facts is not None
    one = next(s for s in plan.sheets if s.role == "cover")
    lines = {ln.of: ln.x0 for ln in one.lines if ln.kind is LineKind.SCORE}
    steps = listed(plan)
    assert sorted(s.of for s in steps) == sorted(lines)
    start, end = (facts.trim.x0, facts.trim.x1) if facts.cut_first else (ZERO, one.size.width)
    face, at_stop = lie(steps[0])
    for step in steps:
        if step.turn is CoverTurn.HEAD_TO_FOOT:
            face = face.other
        elif step.turn is CoverTurn.END_FOR_END:
            face, at_stop = face.other, at_stop.other
        elif step.turn is CoverTurn.HALF:
            at_stop = at_stop.other
        assert (face, at_stop) == lie(step)
        x = end - step.distance if step.at_stop is PaperEnd.FRONT else start + step.distance
        assert x == lines[step.of]
        toward = step.face_up is step.inside_fold
        assert folds is Creasing.BOTH or toward == (folds is Creasing.TOWARD_UPPER)
        hinges = step.of.startswith("hinge")
        assert step.inside_fold is (CoverFace.OUTSIDE if hinges else CoverFace.INSIDE)
        assert score_of(score_data(step)) == step
        within = creaser.stop_min <= step.distance <= creaser.stop_max
        assert within or "score-reach" in codes(plan)


def test_a_score_out_of_reach_is_made_from_the_other_edge() -> None:
    short = replace(VALLEY, stop_max=inch("8.6"))
    plan = plan_on(short, sheets=(sheet("16in", "12in"),), flap_front=None)
    assert "score-reach" not in codes(plan)
    long = replace(VALLEY, stop_min=inch("8.7"), stop_max=inch("9.5"))
    plan = plan_on(long)
    finding = next(f for f in plan.findings if f.code == "score-reach")
    assert finding.severity.value == "warning"
    assert "front hinge is 8.5625 in from the front paper edge" in finding.message
    assert "reached from the back paper edge, at 9.4375 in" in finding.message
    hinge = next(s for s in listed(plan) if s.of == "hinge-front")
    assert (hinge.at_stop, hinge.distance) == (PaperEnd.BACK, inch("9.4375"))
    assert hinge.note == "measured width - 8.5625 in"


def test_a_score_that_no_edge_reaches_is_an_error() -> None:
    plan = plan_on(replace(VALLEY, stop_max=inch("5")))
    found = [f for f in plan.findings if f.code == "score-reach"]
    assert len(found) == 4
    assert {f.severity.value for f in found} == {"error"}
    assert all("5 in" in f.message for f in found)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"widest": inch("10")}, "score-too-wide"),
        ({"score_gap_min": inch("0.3")}, "score-gap"),
        ({"score_gap_min": inch("0.25")}, ""),
    ],
)
def test_limits_of_the_creaser(change: dict[str, Length], code: str) -> None:
    found = codes(plan_on(replace(VALLEY, **change)))
    assert {c for c in found if c.startswith("score")} == ({code} if code else set())


@pytest.mark.parametrize(
    ("factor", "width"),
    [
        ("1.5", "1.15"),  # 1.5 x caliper + rule width: kiper-p.com
        ("1.3", "1.09"),  # 1.3 to 1.5, the low end along the grain: haoyucn.net
        ("2", "1.3"),  # 2 x thickness + knife: condat-pap.com
    ],
)
def test_channel_width_by_published_rules(factor: str, width: str) -> None:
    """Board of 0.3 mm and a rule of 0.7 mm, each formula with its source."""
    board = Stock(name="board", caliper=Length.mm("0.3"), caliper_from=CaliperFrom.STATED)
    plan = plan_on(replace(VALLEY, channel_factor=Fraction(factor)), stock=board)
    assert plan.cover is not None
    assert plan.cover.channel == Length.mm(width)
    assert plan.cover.channel_rule.startswith(f"{float(factor):g} x")


def test_without_a_creaser_the_assumption_is_said() -> None:
    plan = plan_on(None)
    assert rows(plan) == rows(plan_on(VALLEY))
    assert "creaser-assumed" in codes(plan)
    assert plan.cover is not None and plan.cover.channel is None


@pytest.mark.parametrize(
    ("folds", "up"),
    [
        (Creasing.TOWARD_UPPER, "inside"),
        (Creasing.AWAY_FROM_UPPER, "outside"),
        (Creasing.BOTH, "outside"),
    ],
)
def test_the_fold_of_a_saddle_cover(folds: Creasing, up: str) -> None:
    """One score on the fold, its inside inside the fold, at the middle of the paper."""
    job = cover_job(binding="saddle", sheet="tabloid")
    plan = covered(replace(job, bench=Bench(creaser=replace(VALLEY, folds=folds))), 16)
    (step,) = listed(plan)
    assert (step.of, step.face_up.value, step.inside_fold.value) == ("cover-fold", up, "inside")
    assert step.distance == inch("9")
