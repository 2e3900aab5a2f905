"""How the sheets go through the press: which edges lie at gripper and side lay in each pass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from impose.geometry.sides import Edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One printing of one side.

    `gripper` and `lay` are the edges at the grippers and at the side lay, as
    that side lies in the file; `paper_gripper` and `paper_lay` name the same
    edges of the paper as the front lies.  The lays are None where no press says
    on which side its side lay is.
    """

    number: int
    side: str  #: "front" or "back"
    gripper: Edge
    paper_gripper: Edge
    lay: Edge | None = None
    paper_lay: Edge | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PressFacts:
    """What is told of the press above the sheets.

    `work` is the word of a job file; `formes` counts the sets of plates, one
    plate for each ink in each; `copies` are those of the book that a set of
    sheets gives; `sheets` are to be printed for the run, `overs` not counted.
    """

    name: str
    work: str
    passes: tuple[Pass, ...]
    formes: int
    copies: int
    sheets: int
    overs: int = 0

    @property
    def one_pass(self) -> bool:
        """Both sides are printed while the sheet goes through once."""
        return self.work == "perfecting"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClickFacts:
    """A digital press, which counts the sides that it prints and has no plates.

    `sheets` are to be printed for the run, `overs` not counted; `sides` of each are
    printed, 1 or 2.
    """

    name: str
    sheets: int
    overs: int
    sides: int

    @property
    def clicks(self) -> int:
        """Sides printed, overs counted."""
        return (self.sheets + self.overs) * self.sides


def click_data(clicks: ClickFacts | None) -> dict[str, Any]:
    """`clicks` of `plan.json`; nothing for other printers."""
    if clicks is None:
        return {}
    said = {"name": clicks.name, "sheets": clicks.sheets, "overs": clicks.overs}
    return {"clicks": said | {"sides": clicks.sides, "clicks": clicks.clicks}}


def click_of(data: dict[str, Any]) -> ClickFacts | None:
    """And back."""
    said = data.get("clicks")
    if said is None:
        return None
    counts = {key: said[key] for key in ("sheets", "overs", "sides")}
    return ClickFacts(name=said["name"], **counts)


def press_data(press: PressFacts) -> dict[str, Any]:
    """For `plan.json`."""
    return {
        "name": press.name,
        "work": press.work,
        "passes": [
            {
                "number": one.number,
                "side": one.side,
                "gripper": one.gripper.value,
                "paper_gripper": one.paper_gripper.value,
                "lay": one.lay.value if one.lay else None,
                "paper_lay": one.paper_lay.value if one.paper_lay else None,
            }
            for one in press.passes
        ],
        "formes": press.formes,
        "copies": press.copies,
        "sheets": press.sheets,
        "overs": press.overs,
    }


def press_of(data: dict[str, Any]) -> PressFacts:
    """The inverse of `press_data`."""
    return PressFacts(
        name=data["name"],
        work=data["work"],
        passes=tuple(
            Pass(
                number=one["number"],
                side=one["side"],
                gripper=Edge(one["gripper"]),
                paper_gripper=Edge(one["paper_gripper"]),
                lay=Edge(one["lay"]) if one["lay"] else None,
                paper_lay=Edge(one["paper_lay"]) if one["paper_lay"] else None,
            )
            for one in data["passes"]
        ),
        formes=data["formes"],
        copies=data["copies"],
        sheets=data["sheets"],
        overs=data["overs"],
    )
