"""Marks for the press: where the grippers and lays are, the colour bar, how the sheet is folded.

The front lays stand at a fifth of the gripper edge from either end, the side
guide at a quarter of its edge from the gripper; the words say which edge it is,
so that a pile can be jogged to the edges it was printed from (places: from
memory).  The colour bar lies at the tail (height 5 to 6 mm: from memory), its
patches repeated from end to end so that every ink zone has them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from impose.geometry.box import Box, Edges
from impose.geometry.sides import Edge
from impose.marks.around import HEIGHT, around, words_width
from impose.marks.strips import free_strip
from impose.marks.ticks import Ground
from impose.model.inks import PROCESS, Ink, named_ink
from impose.model.job import MarkSettings
from impose.plan.parts import Fill, FoldStep, Mark, Shape
from impose.plan.pressfacts import Pass
from impose.units import ZERO, Length

#: A guide mark is drawn this wide, so that it shows at the edge of a pile (from memory).
GUIDE_WEIGHT: Final = Length.points(1)
GRIPPER, LAY, BAR, FOLDING = "gripper", "lay", "colour bar", "folding"
#: Marks that are only for presses unless they are asked for by name.
PRESS_KINDS: Final = frozenset({GRIPPER, LAY, BAR, FOLDING})
_EDGES: Final = Edges.all(Length.mm(1))
_FRONT_LAYS: Final = (Fraction(1, 5), Fraction(4, 5))
_SIDE_GUIDE: Final = Fraction(1, 4)


@dataclass(frozen=True, slots=True)
class PressMarks:
    """What is drawn, and the words for what has no room."""

    marks: tuple[Mark, ...] = ()
    fills: tuple[Fill, ...] = ()
    missing: tuple[str, ...] = ()

    def joined(self, other: PressMarks) -> PressMarks:
        """Both together."""
        missing = (*self.missing, *other.missing)
        return PressMarks((*self.marks, *other.marks), (*self.fills, *other.fills), missing)

    def only(self, kinds: frozenset[str]) -> PressMarks:
        """The marks of these kinds."""
        return replace(self, marks=tuple(mark for mark in self.marks if mark.kind in kinds))


def guide_marks(
    ground: Ground, taken: Sequence[Mark], passes: Sequence[Pass], settings: MarkSettings
) -> PressMarks:
    """Gripper and lay marks of one forme: `passes` are those it prints.

    Two lines at the front lays, the word at the gripper edge; a line with a
    word at the side lay of each pass, where that is known.
    """
    spots = _Spots(ground, taken)
    marks: list[Mark] = []
    missing: list[str] = []
    gripper = passes[0].gripper
    size = (GUIDE_WEIGHT * 2, settings.guide)
    for share in _FRONT_LAYS:
        box = spots.find(gripper, size, share)
        marks.extend(_guide(LAY, box, gripper) if box else ())
        missing.extend(() if box else ("the marks of the front lays",))
    for number, lay in _lays(passes):
        box = spots.find(lay, size, _SIDE_GUIDE if _from_low(lay, gripper) else 1 - _SIDE_GUIDE)
        marks.extend(_guide(LAY, box, lay) if box else ())
        missing.extend(() if box else ("the mark of the side guide",))
        if box:
            words = f"SIDE LAY {number}".strip()
            marks.extend(_words(spots, LAY, lay, words, box))
    word = _words(spots, GRIPPER, gripper, "GRIPPER", None)
    missing.extend(() if word else ("the word at the gripper edge",))
    return PressMarks((*marks, *word), (), tuple(dict.fromkeys(missing)))


def _lays(passes: Sequence[Pass]) -> Iterator[tuple[str, Edge]]:
    """Each edge of the forme that is at the side guide in a pass, with which pass it is where
    it is not the same in all."""
    edges = [one.lay for one in passes]
    for one in passes:
        if one.lay is not None and (one is passes[0] or one.lay is not edges[0]):
            yield ("" if len(set(edges)) == 1 else str(one.number)), one.lay


def _from_low(edge: Edge, gripper: Edge) -> bool:
    """The gripper lies at the low end of the edge."""
    return gripper in (Edge.BOTTOM, Edge.LEFT) and edge is not gripper


def _guide(kind: str, box: Box, edge: Edge) -> tuple[Mark, ...]:
    """A line square to the edge, in the middle of its box."""
    x, y = (box.x0 + box.x1).half, (box.y0 + box.y1).half
    if edge in (Edge.BOTTOM, Edge.TOP):
        return (Mark(kind, Shape.LINE, x, box.y0, x, box.y1, GUIDE_WEIGHT),)
    return (Mark(kind, Shape.LINE, box.x0, y, box.x1, y, GUIDE_WEIGHT),)


def _words(
    spots: _Spots, kind: str, edge: Edge, words: str, beside: Box | None
) -> tuple[Mark, ...]:
    """A word along an edge, near `beside` or the middle; nothing where there is no room."""
    upright = edge in (Edge.LEFT, Edge.RIGHT)
    share = Fraction(1, 2)
    if beside is not None:
        share = spots.share(edge, (beside.y1 if upright else beside.x1))
    box = spots.find(edge, (words_width(words), HEIGHT), share)
    if box is None:
        return ()
    if upright:
        return (Mark(kind, Shape.TEXT, box.x1, box.y0, box.x1, box.y0, HEIGHT, words, 90),)
    return (Mark(kind, Shape.TEXT, box.x0, box.y0, box.x0, box.y0, HEIGHT, words),)


class _Spots:
    """Finds free places along the edges of what can be printed, and takes them."""

    def __init__(self, ground: Ground, taken: Sequence[Mark]) -> None:
        self._area = ground.area
        self.boxes = [*ground.keep_out, *(around(mark) for mark in taken)]

    def share(self, edge: Edge, at: Length) -> Fraction:
        """How far along an edge a place is."""
        low, high = self._ends(edge)
        return Fraction((at - low).grains, max(1, (high - low).grains))

    def find(self, edge: Edge, size: tuple[Length, Length], share: Fraction) -> Box | None:
        """The free box (along the edge, away from it) nearest to `share` of the edge's length."""
        low, high = self._ends(edge)
        along, away = size
        first = low + (high - low) * share - along.half
        step = max(along.half, Length.mm(2))
        tries = (high - low) // step + 1
        for n in range(2 * tries):
            start = first + step * ((n + 1) // 2 if n % 2 else -(n // 2))
            box = self._box(edge, start, along, away)
            if self._area.contains(box) and not any(box.overlaps(other) for other in self.boxes):
                self.boxes.append(box.grown(_EDGES))
                return box
        return None

    def _ends(self, edge: Edge) -> tuple[Length, Length]:
        area = self._area
        if edge in (Edge.LEFT, Edge.RIGHT):
            return area.y0, area.y1
        return area.x0, area.x1

    def _box(self, edge: Edge, start: Length, along: Length, away: Length) -> Box:
        area, end = self._area, start + along
        if edge is Edge.BOTTOM:
            return Box(start, area.y0, end, area.y0 + away)
        if edge is Edge.TOP:
            return Box(start, area.y1 - away, end, area.y1)
        if edge is Edge.LEFT:
            return Box(area.x0, start, area.x0 + away, end)
        return Box(area.x1 - away, start, area.x1, end)


# -- the colour bar --------------------------------------------------------------------


def colour_bar(
    ground: Ground, taken: Sequence[Mark], tail: Edge, settings: MarkSettings
) -> PressMarks:
    """Patches side by side along the tail edge, whole sets of all inks, as often as they fit.

    What stands in the way is jumped over.  Nothing where not even one set fits.
    """
    patches = bar_inks(settings)
    slots = _slots(ground, taken, tail, settings)
    whole = len(slots) // len(patches) * len(patches)
    if not whole:
        return PressMarks(missing=("the colour bar",))
    skipped = (len(slots) - whole) // 2  # in the middle of what is free
    chosen = slots[skipped : skipped + whole]
    return PressMarks(
        fills=tuple(Fill(box, patches[n % len(patches)]) for n, box in enumerate(chosen))
    )


def bar_inks(settings: MarkSettings) -> tuple[Ink, ...]:
    """The patches of one set: each ink in all its tints, the solid first."""
    names = settings.inks or PROCESS
    return tuple(named_ink(name, tint) for name in names for tint in settings.tints)


def _slots(ground: Ground, taken: Sequence[Mark], tail: Edge, settings: MarkSettings) -> list[Box]:
    area = ground.area
    across = tail in (Edge.TOP, Edge.BOTTOM)
    boxes = [*ground.keep_out, *(around(mark) for mark in taken)]
    here, end = (area.x0, area.x1) if across else (area.y0, area.y1)
    high, wide = settings.bar_height, settings.patch
    slots: list[Box] = []
    while here + wide <= end:
        if tail is Edge.TOP:
            box = Box(here, area.y1 - high, here + wide, area.y1)
        elif tail is Edge.BOTTOM:
            box = Box(here, area.y0, here + wide, area.y0 + high)
        elif tail is Edge.RIGHT:
            box = Box(area.x1 - high, here, area.x1, here + wide)
        else:
            box = Box(area.x0, here, area.x0 + high, here + wide)
        hit = [other for other in boxes if box.overlaps(other)]
        if hit or not area.contains(box):
            here = max(((o.x1 if across else o.y1) for o in hit), default=end)
            continue
        slots.append(box)
        here = here + wide
    return slots


def bar_marks(fills: Sequence[Fill]) -> tuple[Mark, ...]:
    """The patches as marks that others keep clear of; they are drawn as fields of colour."""
    return tuple(
        Mark(BAR, Shape.FILLED, f.box.x0, f.box.y0, f.box.x1, f.box.y1, ZERO) for f in fills
    )


# -- how it is folded ------------------------------------------------------------------


def folding_note(ground: Ground, taken: Sequence[Mark], folds: Sequence[FoldStep]) -> PressMarks:
    """The folds in their order, in words, in a free strip; nothing for a flat sheet."""
    if not folds:
        return PressMarks()
    words = folding_words(folds)
    found = free_strip(ground, taken, words_width(words), HEIGHT)
    if found is None:
        return PressMarks(missing=("the note on folding",))
    box, upright = found
    x, turn = (box.x1, 90) if upright else (box.x0, 0)
    return PressMarks((Mark(FOLDING, Shape.TEXT, x, box.y0, x, box.y0, HEIGHT, words, turn),))


def folding_words(folds: Sequence[FoldStep]) -> str:
    """`front up, fold 1: left under, 2: top under, 3: left under`."""
    steps = ", ".join(
        f"{number}: {fold.moving.value} {'under' if fold.under else 'over'}"
        for number, fold in enumerate(folds, start=1)
    )
    return f"front up, fold {steps}"
