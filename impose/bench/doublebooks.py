"""Two copies bound as one: the cut that parts them, before either is trimmed.

Jogged to one end, the pile is parted at the line between the copies; each is
then a book by itself, with its own paper to trim at the new edge, which is cut
and true.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from impose.bench.outline import Outline
from impose.bench.pile import Pile
from impose.bench.words import ON_MARKS, Notes
from impose.geometry.box import Size
from impose.geometry.sides import Edge
from impose.model.presswork import TwoUp
from impose.plan.cutsteps import (
    CutStep,
    EdgeState,
    OnTable,
    Part,
    Present,
    Setting,
    StepKind,
)
from impose.plan.parts import COPIES, When
from impose.plan.plan import Plan
from impose.schemes.gutspaper import blocks_of
from impose.units import reading_text

#: What the pile is called in the list, and by its replay.
DOUBLE: Final = "double books"


def book_lay(plan: Plan, lay: str, outline: Outline) -> str:
    """The side that each copy is trimmed from: the cut between them where both have the same
    side there; else the lay edge, or none to trust where the copies differ at it."""
    if not plan.two_up:
        return lay
    way = TwoUp(plan.two_up)
    if way is TwoUp.SAME_WAY:
        return "" if outline.ragged(lay) else lay
    return "head" if way is TwoUp.HEADS else "foot"


def jog_end(plan: Plan, lay: str) -> str:
    """The end that the double book is jogged to: as a side of the copy that lies there."""
    if not plan.two_up or TwoUp(plan.two_up) is TwoUp.SAME_WAY:
        return lay
    way = TwoUp(plan.two_up)
    return "foot" if way is TwoUp.HEADS else "head"


def bind_note(plan: Plan, lay: str) -> str:
    """How the leaves of both copies are jogged before they are bound."""
    end = jog_end(plan, lay)
    return (
        f"Two copies are bound as one, {plan.two_up}: jog to the {end} of "
        f"{'the copy at that end' if TwoUp(plan.two_up) is TwoUp.SAME_WAY else 'the first copy'} "
        "and to the spine; mark that end."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Double:
    """Two copies as they lie bound: the one at the jogged end, and the other.

    `trusted`: all leaves end alike at the jogged end.
    """

    near: Size
    far: Size
    trusted: bool

    @property
    def size(self) -> Size:
        """Both, across from the spine and from end to end."""
        return Size(self.near.width, self.near.height + self.far.height)


def double_of(plan: Plan, lay: str) -> Double | None:
    """None where one copy is bound alone."""
    if not plan.two_up:
        return None
    end = jog_end(plan, lay)
    one, other = blocks_of(plan)
    if TwoUp(plan.two_up) is TwoUp.SAME_WAY and end == "foot":
        one, other = other, one
    height = plan.leaf.height
    most, least = (
        (one.paper.y1 - height, one.head_least)
        if end == "head"
        else (-one.paper.y0, one.foot_least)
    )
    width = max(one.paper.x1, other.paper.x1) - plan.grind - min(one.paper.x0, other.paper.x0)
    return Double(
        near=Size(width, one.paper.height),
        far=Size(width, other.paper.height),
        trusted=most == least,
    )


def part_copies(plan: Plan, pile: Pile, notes: Notes, lay: str) -> tuple[CutStep, ...]:
    """The step that parts two copies; nothing where one is bound alone."""
    double = double_of(plan, lay)
    if double is None:
        return ()
    end, gauge = jog_end(plan, lay), double.near.height
    half = Pile(count=-(-pile.count // 2), each=pile.each)
    return (
        CutStep(
            number=0,
            kind=StepKind.CUT,
            when=When.AFTER_BINDING,
            title="Cut the two copies apart",
            cuts=(COPIES,),
            table=OnTable(
                piles=(DOUBLE,),
                count=half.count,
                things=DOUBLE,
                height=half.height,
                lifts=half.lifts(notes.cutter),
                size=double.size,
            ),
            present=Present(
                at_gauge=(Edge.TOP if end == "head" else Edge.BOTTOM).value,
                state=EdgeState.LAY if double.trusted else EdgeState.RAW,
            ),
            setting=Setting(
                gauge=gauge,
                reading=reading_text(gauge, plan.unit),
                reckoned_from=f"the end marked {end} ({'jogged' if double.trusted else 'uncut'})",
                on_marks=not double.trusted,
            ),
            stays=Part(piles=("pile 1",), size=double.near),
            falls=Part(piles=("pile 2",), size=double.far),
            notes=tuple(_said(plan, double, notes)),
        ),
    )


def _said(plan: Plan, double: Double, notes: Notes) -> Iterator[str]:
    if not double.trusted:
        yield ON_MARKS
    yield "Both parts are good work: each is a book, with paper to trim at the new cut."
    if TwoUp(plan.two_up).come_and_go:
        yield "The second copy lies upside down and begins at the back of the first."
    if not notes.cutter.hand:
        yield "Packing against the swelling of the spine."
    yield from notes.limits(double.near.height, None)
