"""Scores, and what a creaser can do of them: reach of the stop, width, smallest gap."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from impose.findings import Finding
from impose.model.machines import Creaser
from impose.plan.coverfacts import CoverFacts
from impose.plan.scoresteps import CoverFace, PaperEnd
from impose.units import Length

#: The order of the bench: the front pair, then the back pair.
ORDER: Final = {
    "hinge-front": "front hinge",
    "spine-front": "front spine edge",
    "flap-front": "front flap fold",
    "hinge-back": "back hinge",
    "spine-back": "back spine edge",
    "flap-back": "back flap fold",
    "cover-fold": "fold of the cover",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """One score before its place in the order is known.

    `distances` are from either end of the paper.
    """

    of: str
    inside_fold: CoverFace
    end: PaperEnd
    distances: dict[PaperEnd, Length]

    @property
    def title(self) -> str:
        return ORDER[self.of]

    @property
    def distance(self) -> Length:
        return self.distances[self.end]


def reaches(creaser: Creaser, distance: Length) -> bool:
    """The stop can be set to this distance."""
    return creaser.stop_min <= distance <= creaser.stop_max


def reachable_end(
    distances: Mapping[PaperEnd, Length], wanted: PaperEnd, creaser: Creaser
) -> PaperEnd:
    """The paper edge to put at the stop: the one wanted, unless only the other reaches."""
    if not reaches(creaser, distances[wanted]) and reaches(creaser, distances[wanted.other]):
        return wanted.other
    return wanted


def check_scores(
    scores: Sequence[Score], cover: CoverFacts, creaser: Creaser | None, unit: str
) -> Iterator[Finding]:
    """Findings about scores (at their wanted edges) on this machine."""
    if creaser is None:
        return
    for score in scores:
        if not reaches(creaser, score.distance):
            yield _out_of_reach(score, creaser, unit)
    height = cover.paper.height
    if height > creaser.widest:
        yield Finding.error(
            "score-too-wide",
            f"the scores are {height.text(unit)} long from head to foot, {creaser.name} takes "
            f"sheets up to {creaser.widest.text(unit)} wide",
            hint="cut the cover's sheet shorter at head and foot first, or use another creaser",
            length=height.text(unit),
            limit=creaser.widest.text(unit),
        )
    yield from _gaps(scores, creaser, unit)


def _out_of_reach(score: Score, creaser: Creaser, unit: str) -> Finding:
    distance, other = score.distance, score.distances[score.end.other]
    low = distance < creaser.stop_min
    limit = (creaser.stop_min if low else creaser.stop_max).text(unit)
    what = (
        f"the {score.title} is {distance.text(unit)} from the {score.end.value} paper edge, "
        f"{'nearer' if low else 'farther'} than the stop of {creaser.name} goes ({limit})"
    )
    numbers = (distance.text(unit), limit)
    if reaches(creaser, other):
        return Finding.warning(
            "score-reach",
            f"{what}; it is reached from the {score.end.other.value} paper edge, at "
            f"{other.text(unit)}",
            hint="the score list gives it from there; measure the cover's width first",
            distance=numbers[0],
            limit=numbers[1],
        )
    return Finding.error(
        "score-reach",
        f"{what}; from the {score.end.other.value} paper edge it is {other.text(unit)}, which is "
        "out of reach too",
        hint="use another sheet for the cover, or another creaser",
        distance=numbers[0],
        limit=numbers[1],
    )


def _gaps(scores: Sequence[Score], creaser: Creaser, unit: str) -> Iterator[Finding]:
    """Neighbours that lie too near each other for the tool."""
    ordered = sorted(scores, key=lambda score: score.distances[PaperEnd.BACK].grains)
    for one, other in pairwise(ordered):
        gap = other.distances[PaperEnd.BACK] - one.distances[PaperEnd.BACK]
        if gap < creaser.score_gap_min:
            yield Finding.warning(
                "score-gap",
                f"{one.title} and {other.title} are {gap.text(unit)} apart; {creaser.name} wants "
                f"{creaser.score_gap_min.text(unit)} between two scores",
                hint="score once in the middle of the spine, or leave one out and fold by hand",
                gap=gap.text(unit),
                limit=creaser.score_gap_min.text(unit),
            )
