"""The score program in a plan: what is done at the creaser, score by score.

Every distance is measured from an edge of the paper that lies at the stop.  A
step names the faces of the cover, not those of the machine: the outside is the
face that is seen on the closed book.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

from impose.units import Length, points_text

Data = dict[str, Any]


class ScoreKind(Enum):
    """What a step is; only SCORE uses the machine."""

    MEASURE = "measure"
    SCORE = "score"


class CoverFace(Enum):
    """A face of the cover."""

    OUTSIDE = "outside"
    INSIDE = "inside"

    @property
    def other(self) -> CoverFace:
        return CoverFace.INSIDE if self is CoverFace.OUTSIDE else CoverFace.OUTSIDE


class PaperEnd(Enum):
    """An edge of the cover's paper: the one beyond the front panel, or beyond the back panel."""

    FRONT = "front"
    BACK = "back"

    @property
    def other(self) -> PaperEnd:
        return PaperEnd.BACK if self is PaperEnd.FRONT else PaperEnd.FRONT


class CoverTurn(Enum):
    """A move of the cover before a score."""

    HEAD_TO_FOOT = "turn over head to foot"  #: the same paper edge stays at the stop
    END_FOR_END = "turn over end for end"  #: the other paper edge goes to the stop
    HALF = "half turn, same face up"  #: the other paper edge goes to the stop

    @property
    def turns_over(self) -> bool:
        return self is not CoverTurn.HALF


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreStep:
    """One row of the score list.

    `of` is the id of the score lines it makes, empty for the measuring.
    `distance` is from the paper edge `at_stop` to the score; for the measuring
    it is the whole paper, edge to edge.  `inside_fold` is the face that ends
    inside the fold.  `folds` says the same seen at the machine.
    """

    number: int
    kind: ScoreKind
    of: str
    title: str
    face_up: CoverFace
    at_stop: PaperEnd
    distance: Length
    reading: str
    inside_fold: CoverFace
    folds: str
    turn: CoverTurn | None = None
    note: str = ""


def score_data(step: ScoreStep) -> Data:
    """A step for `plan.json`; lengths in points."""
    text = points_text(step.distance)
    return {
        "number": step.number,
        "kind": step.kind.value,
        "of": step.of,
        "title": step.title,
        "face_up": step.face_up.value,
        "at_stop": step.at_stop.value,
        "distance": float(text) if "." in text else int(text),
        "reading": step.reading,
        "inside_fold": step.inside_fold.value,
        "folds": step.folds,
        "turn": step.turn.value if step.turn else None,
        "note": step.note,
    }


def score_of(data: Data) -> ScoreStep:
    """The inverse of `score_data`; fractions must have been read as decimals."""
    return ScoreStep(
        number=data["number"],
        kind=ScoreKind(data["kind"]),
        of=data["of"],
        title=data["title"],
        face_up=CoverFace(data["face_up"]),
        at_stop=PaperEnd(data["at_stop"]),
        distance=Length.points(data["distance"]),
        reading=data["reading"],
        inside_fold=CoverFace(data["inside_fold"]),
        folds=data["folds"],
        turn=CoverTurn(data["turn"]) if data["turn"] else None,
        note=data["note"],
    )
