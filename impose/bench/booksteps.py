"""Steps for the book: bind it, then trim it.

The first cut of a pair is set from the jogged edge, the second from the new
cut at exactly the trim.  The spine lies at the side where the knife enters, so
that the knife presses into it instead of tearing it off, with a pad on top and
a packing against its swelling; so between head and foot the book is turned
over, not spun.  With the lay at the head the order is foot, head, fore-edge;
with the lay at the foot head, foot, fore-edge (common practice); a primer of
1918 has fore-edge, foot, head (Niel Gray Jr., Paper-Cutting Machines).  Only
sides that the plan cuts are cut: a French fold is never cut at the fore-edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, replace
from typing import Final

from impose.bench.doublebooks import bind_note
from impose.bench.insetsteps import put_in_words
from impose.bench.outline import Outline
from impose.bench.pile import Pile
from impose.bench.words import ON_MARKS, Notes, side_words
from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt, Edge
from impose.model.machines import Cutter
from impose.plan.cutsteps import (
    CutStep,
    EdgeState,
    OnTable,
    Part,
    Present,
    Setting,
    StepKind,
    Turn,
)
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.units import ZERO, Length, reading_text

SIDES: Final = ("head", "foot", "fore-edge")
OPPOSITE: Final = {"head": "foot", "foot": "head", "fore-edge": "spine", "spine": "fore-edge"}
_BY_LAY: Final = {"head": ("foot", "head", "fore-edge"), "foot": ("head", "foot", "fore-edge")}


def trim_order(cutter: Cutter, lay: str) -> tuple[tuple[str, ...], str]:
    """The order of the three cuts, and where it comes from."""
    if cutter.trim_order:
        return cutter.trim_order, f"the profile of {cutter.name}"
    return _BY_LAY[lay], f"the usual order with the lay at the {lay}"


@dataclass(frozen=True, slots=True)
class Lie:
    """How the book lies: the side at the back stop, and the cover that is up."""

    back: str
    face: str

    def edge(self, side: str, mirrored: bool) -> Edge:
        """Where a side lies now, the back stop being at the top; `mirrored`: right-bound."""
        flat = _front_up(side, mirrored != (self.face == "back"))
        return flat.turned(self._turn(mirrored))

    def _turn(self, mirrored: bool) -> int:
        start = _front_up(self.back, mirrored != (self.face == "back"))
        return next(d for d in (0, 90, 180, 270) if start.turned(d) is Edge.TOP)

    def turns_to(self, after: Lie, mirrored: bool) -> tuple[Turn, ...]:
        """The moves from here to there: over first, then round."""
        turns: tuple[Turn, ...] = ()
        here = self
        if here.face != after.face:
            turns = (Turn.OVER,)
            here = Lie(OPPOSITE[here.back], after.face)
        edge = here.edge(after.back, mirrored)
        return turns + _TO_THE_BACK[edge]


_TO_THE_BACK: Final[dict[Edge, tuple[Turn, ...]]] = {
    Edge.TOP: (),
    Edge.RIGHT: (Turn.LEFT,),
    Edge.BOTTOM: (Turn.HALF,),
    Edge.LEFT: (Turn.RIGHT,),
}


def _front_up(side: str, mirrored: bool) -> Edge:
    """Where a side lies with the head away from the reader."""
    if side in ("head", "foot"):
        return Edge.TOP if side == "head" else Edge.BOTTOM
    return Edge.RIGHT if (side == "spine") == mirrored else Edge.LEFT


@dataclass(frozen=True, slots=True, kw_only=True)
class BookSteps:
    """Puts binding and the last cuts into words; binding takes the grind off the spine.

    `lay` is the side the book is trimmed from, empty where none can be trusted;
    `jog` the end that two copies bound as one are jogged to.  Of these, once they are
    apart, each has its own `name` and its own outline; `parted` is its side at the cut.
    """

    plan: Plan
    outline: Outline
    lay: str
    pile: Pile
    notes: Notes
    jog: str = ""
    name: str = "book"
    parted: str = ""

    @property
    def _ends_cut(self) -> bool:
        """Head or foot is cut, measured from the lay edge; else a mark on it would stay."""
        return any(cut.side in ("head", "foot") for cut in self.plan.cuts)

    def bind(self, folded: bool, covering: bool) -> CutStep:
        """The work between the cuts; `covering`: the fore-edge has been cut before it."""
        unit = self.plan.unit
        title = "Fold, gather and bind" if folded else "Gather and bind"
        if covering:
            title = "Bind, and put the cover on"
        said = []
        whole = all(not sheet.half for sheet in self.plan.sheets)
        if whole and all(cut.when is When.AFTER_BINDING for cut in self.plan.cuts):
            said.append("Nothing is cut before this.")
        said.append(
            bind_note(self.plan, self.jog or "head")
            if self.plan.two_up
            else f"Jog to the {self.lay} and to the spine before binding"
            + (f": the {self.lay} is the lay edge; mark it." if self._ends_cut else ".")
        )
        if self.plan.grind:
            width = self.plan.leaf.width
            said.append(
                f"The spine is ground by {self.plan.grind.text(unit)}: the fore-edge marks lie "
                f"{(width + self.plan.grind).text(unit)} from the unground edge and "
                f"{width.text(unit)} from the ground spine."
            )
        said.extend(put_in_words(self.plan))
        if self.plan.french:
            said.append("Jog to the folds first, then to the spine: every leaf is a fold.")
        if self.plan.bound_at is BoundAt.HEAD:
            said.append(
                "The book is bound at its printed head: head, foot and fore-edge are here those "
                "of the book held with its spine at the left."
            )
        return CutStep(
            number=0,
            kind=StepKind.BIND,
            when=When.BEFORE_BINDING,
            title=title,
            notes=tuple(said),
        )

    def before_cover(self, folded: bool) -> CutStep:
        """The fore-edge of a book whose cover has flaps; the spine is not ground yet."""
        first = "Fold and gather, sew if sewn" if folded else "Gather the leaves and jog them"
        paper = self.outline.gathered
        after = replace(paper, x1=self.outline.trim.width)
        step = self._step("fore-edge", Lie("spine", "front"), (), (paper, after), set())
        return replace(
            step,
            when=When.BEFORE_BINDING,
            title="Trim the fore-edge of the guts",
            notes=(
                f"{first}, without the cover: its flaps would be cut off later.",
                *step.notes,
            ),
        )

    def cuts(self, order: Sequence[str], done: Set[str] = frozenset()) -> Iterator[CutStep]:
        """A step for each side in this order; sides `done` were cut before binding."""
        left, trim = self.outline.bound, self.outline.trim
        for side in done:
            left = _cut_off(left, side, trim)
        made = set(done)
        before: Lie | None = None
        for side, lie in zip(order, self._lies(order), strict=True):
            after = _cut_off(left, side, trim)
            turns = () if before is None else before.turns_to(lie, self._mirrored)
            step = self._step(side, lie, turns, (left, after), made)
            left, before = after, lie
            made.add(side)
            if side == order[-1]:
                done_with = f"Finished size: {self.plan.leaf.text(self.plan.unit)}."
                step = replace(step, notes=(*step.notes, done_with))
            yield step

    @property
    def _mirrored(self) -> bool:
        return self.plan.bound_at.mirrored

    def _lies(self, order: Sequence[str]) -> list[Lie]:
        """Spine at the side of the knife for head and foot; the fore-edge needs no turning over."""
        lies: list[Lie | None] = [None] * len(order)
        enters = Edge(self.notes.cutter.knife_enters)
        for index, side in enumerate(order):
            if side != "fore-edge":
                back = OPPOSITE[side]
                faces = ("front", "back")
                lies[index] = next(
                    Lie(back, face)
                    for face in faces
                    if Lie(back, face).edge("spine", self._mirrored) is enters
                )
        done = []
        for index, lie in enumerate(lies):
            if lie is None:
                near = [one for one in (*lies[:index][::-1], *lies[index + 1 :]) if one]
                lie = Lie("spine", near[0].face if near else "front")
            done.append(lie)
        return done

    def _step(
        self,
        side: str,
        lie: Lie,
        turns: tuple[Turn, ...],
        pieces: tuple[Box, Box],
        done: Set[str],
    ) -> CutStep:
        before, after = pieces
        unit, gauge = self.plan.unit, _extent(after, side)
        state = self._state(OPPOSITE[side], done)
        waste = _extent(before, side) - gauge
        named = (self.name,)
        return CutStep(
            number=0,
            kind=StepKind.CUT,
            when=When.AFTER_BINDING,
            title=f"Trim the {side}",
            cuts=tuple(cut.id for cut in self.plan.cuts if cut.id == side),
            table=OnTable(
                piles=named,
                count=self.pile.count,
                things="book",
                height=self.pile.height,
                lifts=self.pile.lifts(self.notes.cutter),
                size=_lying(before.size, side),
            ),
            present=Present(at_gauge=OPPOSITE[side], state=state, face_up=lie.face, turns=turns),
            setting=Setting(
                gauge=gauge,
                reading=reading_text(gauge, unit),
                reckoned_from=self._from(OPPOSITE[side], state, done),
                on_marks=state is EdgeState.RAW,
            ),
            stays=Part(piles=named, size=_lying(after.size, side)),
            falls=Part(piles=(), size=Size(_lying(after.size, side).width, waste), waste=True),
            notes=tuple(self._notes(side, state, gauge, waste)),
        )

    def _from(self, back: str, state: EdgeState, done: Set[str]) -> str:
        if back == self.parted and back not in done:
            return f"the {back} (where the two were parted)"
        if state is EdgeState.LAY and back != "spine" and self.outline.overhang(back):
            return f"the {back} of the cover (jogged)"
        return side_words(back, state)

    def _state(self, back: str, done: Set[str]) -> EdgeState:
        if back in done or back == self.parted:
            return EdgeState.TRUE
        return EdgeState.LAY if back in (self.lay, "spine") else EdgeState.RAW

    def _notes(self, side: str, state: EdgeState, gauge: Length, waste: Length) -> Iterator[str]:
        back = OPPOSITE[side]
        if state is EdgeState.RAW:
            yield ON_MARKS
        elif state is EdgeState.LAY and back != "spine" and self.outline.overhang(back):
            over = self.outline.overhang(back).text(self.plan.unit)
            yield f"The cover reaches {over} beyond the guts at the {back}: do not let it bend."
        if not self.notes.cutter.hand:
            if side != "fore-edge":
                yield f"Spine to the {self.notes.cutter.knife_enters}, where the knife enters."
            yield "Trim pad on top, packing against the swelling of the spine."
        yield self.notes.finishing(self.plan.leaf)
        yield from self.notes.limits(gauge, waste)


def _cut_off(box: Box, side: str, trim: Size) -> Box:
    """What is left of the block (book frame) when this side is trimmed."""
    if side == "fore-edge":
        return replace(box, x1=trim.width)
    return replace(box, y1=trim.height) if side == "head" else replace(box, y0=ZERO)


def _extent(box: Box, side: str) -> Length:
    return box.width if side == "fore-edge" else box.height


def _lying(size: Size, side: str) -> Size:
    """Width along the knife, height from back to front."""
    return size.turned if side == "fore-edge" else size
