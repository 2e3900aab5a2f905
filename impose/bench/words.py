"""The words of the cut list, for a machine and for a hand with knife and rule."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.bench.axis import Chop
from impose.geometry.box import Size
from impose.geometry.sides import Edge
from impose.model.machines import Cutter
from impose.plan.cutsteps import EdgeState
from impose.units import Length


def pile_names(cells: Sequence[int], whole: int, things: str) -> str:
    """What a part of the pile is called after the places of leaves it still holds."""
    if len(cells) == whole:
        return things
    if len(cells) == 1:
        return f"pile {cells[0]}"
    return f"piles {', '.join(map(str, cells))}"


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _all(count: int) -> str:
    return "both" if count == 2 else f"all {count}"


def edge_words(edge: Edge, state: EdgeState) -> str:
    """An edge of the sheet seen from its front, with what it is worth."""
    worth = {
        EdgeState.LAY: "lay edge",
        EdgeState.TRUE: "cut, true",
        EdgeState.RAW: "raw",
    }[state]
    return f"the {edge.value} edge ({worth})"


def side_words(side: str, state: EdgeState) -> str:
    """A side of the book, with what it is worth."""
    worth = {EdgeState.LAY: "jogged", EdgeState.TRUE: "cut, true", EdgeState.RAW: "uncut"}
    return f"the {side} ({worth[state]})"


@dataclass(frozen=True, slots=True)
class Notes:
    """Writes the notes of a step in the job's unit."""

    cutter: Cutter
    unit: str
    marked: bool = True  #: crop marks stand on the sheets

    def before_binding(self, chop: Chop, piles: int, lifts: int) -> tuple[str, ...]:
        """Notes of a cut of sheets."""
        said = []
        if chop.state is EdgeState.RAW:
            said.append(ON_MARKS)
        if chop.front_kept:
            where = "lies beyond the cut" if self.cutter.hand else "falls in front of the knife"
            said.append(f"What {where} is good work: keep it in order.")
        if piles > 1:
            said.append(self._alike(piles))
        if lifts > 1:
            said.append(f"The same setting for {_all(lifts)} lifts.")
        said.extend(self.limits(chop.gauge, None if chop.front_kept else chop.front))
        return tuple(said)

    def _alike(self, piles: int) -> str:
        """The same cut in several piles: a knife and a rule have no gauge to set."""
        if self.cutter.hand:
            return f"Make this cut in {_all(piles)} piles, measured alike."
        return f"Make this cut in {_all(piles)} piles before the gauge is changed."

    def finishing(self, trim: Size) -> str:
        """Before a cut that cannot be taken back."""
        before = "you cut" if self.cutter.hand else "the knife comes down"
        marks = ", and the crop marks where they are still on the paper" if self.marked else ""
        return f"Before {before}: check the trim, {trim.text(self.unit)}{marks}."

    def limits(self, gauge: Length, waste: Length | None) -> tuple[str, ...]:
        """What this cutter cannot do, or does badly; `waste` is what is cut off, if waste."""
        cutter, unit = self.cutter, self.unit
        said = []
        if not cutter.gauge_min <= gauge <= cutter.gauge_max:
            said.append(
                f"OUT OF REACH: this cutter sets {cutter.gauge_min.text(unit)} to "
                f"{cutter.gauge_max.text(unit)}."
            )
        if waste is not None and waste < cutter.waste_min:
            said.append(
                f"Only {waste.text(unit)} falls away, less than the {cutter.waste_min.text(unit)} "
                "that can be held: try it on waste first."
            )
        return tuple(said)


ON_MARKS = "No edge to trust is at the stop: set the knife on the crop marks, not by the figure."
