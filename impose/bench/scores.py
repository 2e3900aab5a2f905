"""The score program: in which order, which face up, which paper edge at the stop, how far.

The rule (common practice): a creaser raises a bead, and the bead belongs inside
the fold (colorfxweb.com).  In the finished book the cover bends at the spine
edges, at the folds of flaps and at the fold of a saddle cover with its inside
inside the fold; at the hinges, when the cover is opened, with its outside.
Most creasers make folds toward the face that lies up.  Every distance is
measured from the edge of the paper, which is why the list begins with
measuring it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final

from impose.bench.scorelimits import ORDER, Score, check_scores, reachable_end
from impose.findings import Finding
from impose.model.job import Job
from impose.model.machines import Creaser, Creasing
from impose.plan.coverfacts import CoverFacts
from impose.plan.parts import LineKind, Sheet
from impose.plan.plan import Plan
from impose.plan.scoresteps import CoverFace, CoverTurn, PaperEnd, ScoreKind, ScoreStep
from impose.units import ZERO, reading_text

_HINGES: Final = ("hinge-front", "hinge-back")


def add_scores(plan: Plan, job: Job) -> Plan:
    """The plan with its score steps, the channel for them, and findings about the creaser.

    A plan without cover, or whose cover is not scored, is given back as it is.
    """
    cover = plan.cover
    if cover is None or not cover.scored:
        return plan
    sheet = next(sheet for sheet in plan.sheets if sheet.number == cover.sheet)
    creaser = job.bench.creaser
    scores = _scores(sheet, cover)
    found = list(check_scores(scores, cover, creaser, job.unit))
    if creaser:
        scores = [replace(s, end=reachable_end(s.distances, s.end, creaser)) for s in scores]
    else:
        found.append(_no_creaser())
    steps = (_measuring(cover, job.unit), *_steps(scores, cover, creaser, job.unit))
    return replace(
        plan,
        cover=_with_channel(cover, creaser, job.unit),
        score_steps=steps,
        findings=(*plan.findings, *found),
    )


def _no_creaser() -> Finding:
    return Finding.note(
        "creaser-assumed",
        "no creaser is named: the score list is for one that folds toward the face that lies "
        "up, without limits",
        hint='fold a test strip, and name the machine: creaser = "..." in [bench]',
    )


def _scores(sheet: Sheet, cover: CoverFacts) -> list[Score]:
    """The scores drawn on the sheet, in the order of the bench."""
    left, right = (cover.trim.x0, cover.trim.x1) if cover.cut_first else (ZERO, cover.paper.width)
    lines = {line.of: line.x0 for line in sheet.lines if line.kind is LineKind.SCORE}
    found = []
    for of in ORDER:
        if of in lines:
            ends = right - lines[of], lines[of] - left
            front, back = ends if cover.front_at_right else (ends[1], ends[0])
            found.append(
                Score(
                    of=of,
                    inside_fold=CoverFace.OUTSIDE if of in _HINGES else CoverFace.INSIDE,
                    end=PaperEnd.BACK if of.endswith("back") else PaperEnd.FRONT,
                    distances={PaperEnd.FRONT: front, PaperEnd.BACK: back},
                )
            )
    return found


def _with_channel(cover: CoverFacts, creaser: Creaser | None, unit: str) -> CoverFacts:
    """Channel width = factor x caliper + rule width; the factor is the machine's setting."""
    if creaser is None:
        return cover
    factor, caliper = creaser.channel_factor, cover.stock.caliper
    width = caliper * factor + creaser.rule_width
    rule = (
        f"{float(factor):g} x {caliper.text(unit)} caliper + {creaser.rule_width.text(unit)} rule"
    )
    return replace(cover, creaser=creaser.name, channel=width, channel_rule=rule)


# -- the order ----------------------------------------------------------------------------


def face_up(inside_fold: CoverFace, creaser: Creaser | None) -> CoverFace:
    """Which face lies up so that `inside_fold` ends inside; the outside when it does not matter."""
    folds = creaser.folds if creaser else Creasing.TOWARD_UPPER
    if folds is Creasing.BOTH:
        return CoverFace.OUTSIDE
    return inside_fold if folds is Creasing.TOWARD_UPPER else inside_fold.other


def _steps(
    scores: Sequence[Score], cover: CoverFacts, creaser: Creaser | None, unit: str
) -> tuple[ScoreStep, ...]:
    steps: list[ScoreStep] = []
    lies = (CoverFace.OUTSIDE, PaperEnd.FRONT)
    for score in _ordered(scores, creaser):
        up = face_up(score.inside_fold, creaser)
        number = len(steps) + 1
        steps.append(
            ScoreStep(
                number=number,
                kind=ScoreKind.SCORE,
                of=score.of,
                title=score.title,
                face_up=up,
                at_stop=score.end,
                distance=score.distance,
                reading=reading_text(score.distance, unit),
                inside_fold=score.inside_fold,
                folds=_folds_words(up, score.inside_fold),
                turn=_turn(lies, (up, score.end)) if steps else None,
                note=_note(score, cover, unit),
            )
        )
        lies = (up, score.end)
    return tuple(steps)


def _ordered(scores: Sequence[Score], creaser: Creaser | None) -> list[Score]:
    """Front end first; with one turn-over, everything on one face before the other."""
    one_turn = creaser is not None and creaser.one_turn
    ends = {score.of: score.end for score in scores}
    faces = [face_up(score.inside_fold, creaser) for score in scores]
    first = faces[0] if faces else CoverFace.OUTSIDE

    def key(item: tuple[int, Score]) -> tuple[int, int, int]:
        index, score = item
        second_face = face_up(score.inside_fold, creaser) is not first
        back = ends[score.of] is PaperEnd.BACK
        if not one_turn:
            return int(back), int(second_face), index
        # The end at the stop stays there when the cover is turned over.
        return int(second_face), int(back != second_face), index

    return [score for _, score in sorted(enumerate(scores), key=key)]


def _turn(
    before: tuple[CoverFace, PaperEnd], after: tuple[CoverFace, PaperEnd]
) -> CoverTurn | None:
    """The move that brings a face up and an end to the stop."""
    over, other_end = before[0] is not after[0], before[1] is not after[1]
    if over:
        return CoverTurn.END_FOR_END if other_end else CoverTurn.HEAD_TO_FOOT
    return CoverTurn.HALF if other_end else None


def _folds_words(up: CoverFace, inside_fold: CoverFace) -> str:
    way = "toward the face that lies up" if up is inside_fold else "away from the face that lies up"
    return f"{way}; the {inside_fold.value} ends inside the fold"


def _note(score: Score, cover: CoverFacts, unit: str) -> str:
    """The sum by which a distance of the back pair follows from the measured width."""
    if score.of == "cover-fold":
        if cover.front_distance == cover.back_distance:
            return "fold to the paper's middle or to the printed mark; they should be one"
        return "fold to the printed mark; it is not in the paper's middle"
    if score.end is PaperEnd.FRONT:
        return ""
    rest = cover.width - score.distance
    return f"measured width - {rest.text(unit)}"


def _measuring(cover: CoverFacts, unit: str) -> ScoreStep:
    """The first row: real paper is not nominal."""
    where = "between the two cut ends" if cover.cut_first else "edge to edge"
    return ScoreStep(
        number=0,
        kind=ScoreKind.MEASURE,
        of="",
        title=f"measure the cover's width {where}",
        face_up=CoverFace.OUTSIDE,
        at_stop=PaperEnd.FRONT,
        distance=cover.width,
        reading=reading_text(cover.width, unit),
        inside_fold=CoverFace.INSIDE,
        folds="",
        note=back_sum(cover, unit),
    )


def back_sum(cover: CoverFacts, unit: str) -> str:
    """Back distance = measured width - front distance - spine, with the planned figures."""
    front, spine = cover.front_distance.text(unit), cover.spine.width.text(unit)
    planned = f"planned: {cover.width.text(unit)} - {front} - {spine} = "
    return (
        "back spine edge to back paper edge = measured width - front distance - spine "
        f"({planned}{cover.back_distance.text(unit)}); where sum and printed score mark differ, "
        "the mark decides"
    )


def count_turns(steps: Iterable[ScoreStep]) -> int:
    """How often the cover is turned over."""
    return sum(1 for step in steps if step.turn is not None and step.turn.turns_over)
