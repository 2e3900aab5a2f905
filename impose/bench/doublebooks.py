"""Two copies bound as one: the cut that parts them, and the two piles of books it leaves.

Jogged to one end, the pile is parted at the line between the copies; each is
then a book by itself, with its own paper to trim.  Each has the new cut at
another of its sides where both read the same way, and its other end is as far
off as the sheets have it: no figure holds for both, so the two piles have names
and steps of their own from there on (`copysteps`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from impose.bench.outline import Outline, outline_of
from impose.bench.pile import Pile
from impose.bench.words import ON_MARKS, Notes
from impose.findings import Finding
from impose.geometry.box import Box, Size
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
from impose.schemes.gutspaper import one_of_two
from impose.units import ZERO, Length, reading_text

#: What the pile is called in the list, and by its replay.
DOUBLE: Final = "double books"
#: The piles of books that the parting leaves: at the marked end, and the others.
NEAR: Final = "pile A"
FAR: Final = "pile B"
_OPPOSITE: Final = {"head": "foot", "foot": "head"}


def jog_end(plan: Plan, lay: str) -> str:
    """The end that the double book is jogged to: as a side of the copy that lies there."""
    if not plan.two_up or TwoUp(plan.two_up) is TwoUp.SAME_WAY:
        return lay
    way = TwoUp(plan.two_up)
    return "foot" if way is TwoUp.HEADS else "head"


def end_words(plan: Plan, lay: str) -> str:
    """The end that is marked, as the bench names it: `the head end`; where the copies come
    and go both ends are alike, and it is that of the first copy."""
    end = jog_end(plan, lay)
    same = not plan.two_up or TwoUp(plan.two_up) is TwoUp.SAME_WAY
    return f"the {end} end" if same else f"the {end} end of the first copy"


def bind_note(plan: Plan, lay: str) -> str:
    """How the leaves of both copies are jogged before they are bound."""
    return (
        f"Two copies are bound as one, {plan.two_up}: jog to {end_words(plan, lay)} and to the "
        "spine; mark that end."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """One of two copies that are bound as one, as it is once they are apart.

    `pile` is what its books are called then, `number` which copy it is (1 or 2);
    `cut` is its side at the cut between them, `end` the side at its other end.
    `outline` is its own paper, in its own frame.  `jogged`: it lies at the marked
    end, and all its leaves end alike there.
    """

    pile: str
    number: int
    cut: str
    outline: Outline
    jogged: bool

    @property
    def end(self) -> str:
        return _OPPOSITE[self.cut]

    @property
    def paper(self) -> Box:
        """As it is bound and parted, before it is trimmed."""
        return self.outline.bound

    def trimmed(self, side: str) -> bool:
        """There is paper to cut off at this side."""
        return self.outline.beyond(side) > ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class Double:
    """Two copies as they lie bound: the one at the jogged end, and the other.

    In the frame of the double book the spine is at the left, the first copy
    upright; `end` is the marked end as a side of the near copy.
    """

    near: Copy
    far: Copy
    end: str

    @property
    def trusted(self) -> bool:
        """All leaves end alike at the jogged end."""
        return self.near.jogged

    @property
    def size(self) -> Size:
        """Both, across from the spine and from end to end."""
        near, far = self.near.paper, self.far.paper
        return Size(max(near.width, far.width), near.height + far.height)

    @property
    def at(self) -> Edge:
        """Where the marked end lies in the double book's frame."""
        return Edge.TOP if self.end == "head" else Edge.BOTTOM

    def place(self, copy: Copy) -> Box:
        """Where the paper of one of both lies in the double book, its lower left at 0."""
        size, deep = self.size, copy.paper.height
        if (copy is self.near) == (self.at is Edge.TOP):
            return Box(ZERO, size.height - deep, copy.paper.width, size.height)
        return Box(ZERO, ZERO, copy.paper.width, deep)

    def from_end(self, copy: Copy) -> tuple[Length, Length]:
        """Where the trim of a copy begins and ends, from the marked end of the double book."""
        first = self.end if copy is self.near else copy.cut
        start = copy.outline.beyond(first)
        if copy is self.far:
            start = start + self.near.paper.height
        return start, start + copy.outline.trim.height


def double_of(plan: Plan, lay: str) -> Double | None:
    """None where one copy is bound alone."""
    if not plan.two_up:
        return None
    way, end = TwoUp(plan.two_up), jog_end(plan, lay)
    # where heads meet the first copy is the lower one, as `twoup` lays them out
    first_near = way is not TwoUp.SAME_WAY or end == "head"
    near, far = (1, 2) if first_near else (2, 1)
    cut = _OPPOSITE[end]
    outline = outline_of(one_of_two(plan, near))
    return Double(
        near=Copy(pile=NEAR, number=near, cut=cut, outline=outline, jogged=not outline.ragged(end)),
        far=Copy(
            pile=FAR,
            number=far,
            cut=cut if way.come_and_go else end,
            outline=outline_of(one_of_two(plan, far)),
            jogged=False,
        ),
        end=end,
    )


def odd_copies(plan: Plan, copies: int) -> tuple[Finding, ...]:
    """Double books make an even number; with one forme for both sides the press says so."""
    if not plan.two_up or plan.halved or copies % 2 == 0:
        return ()
    return (
        Finding.note(
            "copies-made",
            f"two copies are bound as one: {copies + 1} are made, {copies} asked for",
            asked=copies,
            made=copies + 1,
        ),
    )


def half_of_pile(pile: Pile) -> Pile:
    """Double books are half as many as copies, and so are the books of each pile then."""
    return Pile(count=-(-pile.count // 2), each=pile.each)


def part_copies(plan: Plan, double: Double, pile: Pile, notes: Notes, lay: str) -> CutStep:
    """The step that parts two copies; `pile` is that of all copies."""
    gauge, half = double.near.paper.height, half_of_pile(pile)
    worth = "jogged" if double.trusted else "uncut"
    return CutStep(
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
            at_gauge=double.at.value,
            state=EdgeState.LAY if double.trusted else EdgeState.RAW,
        ),
        setting=Setting(
            gauge=gauge,
            reading=reading_text(gauge, plan.unit),
            reckoned_from=f"the marked end, {end_words(plan, lay)} ({worth})",
            on_marks=not double.trusted,
        ),
        stays=Part(piles=(NEAR,), size=double.near.paper.size),
        falls=Part(piles=(FAR,), size=double.far.paper.size),
        notes=tuple(_said(plan, double, notes)),
    )


def _said(plan: Plan, double: Double, notes: Notes) -> Iterator[str]:
    if not double.trusted:
        yield ON_MARKS
    yield (
        f"Both parts are good work: each is a book, with paper to trim. The books with the marked "
        f"end are {NEAR}, the others {FAR}: keep the two apart."
    )
    if TwoUp(plan.two_up).come_and_go:
        yield (
            "The second copy lies upside down and begins at the back of the first: turn "
            f"{FAR} over, head to foot, before it is trimmed."
        )
    if not notes.cutter.hand:
        yield "Packing against the swelling of the spine."
    yield from notes.limits(double.near.paper.height, None)
