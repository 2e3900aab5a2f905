"""A strip of panels folded step by step in lengths: leaflets, worked out by folding them.

The strip lies with the sheet's front up, panels from left to right.  A fold is
made at a hinge; the part on one side of it is turned over or under the rest.
Two things make a leaflet fit: a panel that has been folded in must lie clear of
every hinge that is folded after it, and so it is never wider than the panel
that closes over it.  The simulator refuses a fold that goes through a panel.

What a reader sees is read off the pile: closed, at every opening, laid open,
and from behind.  The pages count so (common practice of printers' templates:
the outside of a letter fold reads 5 6 1, its inside 2 3 4): the closed front;
then what the openings show as long as no inside is among it; the inside from
left to right; the other outer panels from left to right; the back last.  What
is folded to and fro reads along one side, then along the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from impose.geometry.sides import Edge
from impose.plan.parts import FoldStep
from impose.units import ZERO, Length

#: Rounded lengths may overlap by less than this, which no fold would show.
HAIR: Final = Length.mm("0.01")


@dataclass(frozen=True, slots=True)
class Layer:
    """A panel (counted from 0 at the left of the open strip) and where it lies in the pile."""

    panel: int
    x0: Length
    x1: Length
    flipped: bool = False  #: its front lies down

    def turned(self, at: Length) -> Layer:
        """Turned over about x = at."""
        return replace(self, x0=at * 2 - self.x1, x1=at * 2 - self.x0, flipped=not self.flipped)


@dataclass(frozen=True, slots=True)
class Shown:
    """A face that a reader sees: of which panel, its front or not.

    `open` is what of it is uncovered, from and to, seen from the panel's left end as it is
    seen; None: all of it.  The same face is equal however far it is uncovered.
    """

    panel: int
    front: bool
    open: tuple[Length, Length] | None = field(default=None, compare=False)

    @property
    def key(self) -> tuple[int, bool]:
        return self.panel, self.front


Pile = tuple[Layer, ...]  # from the bottom to the top


def flat_pile(widths: Sequence[Length]) -> Pile:
    """The open strip, its left edge at 0."""
    layers, x = [], ZERO
    for panel, width in enumerate(widths):
        layers.append(Layer(panel, x, x + width))
        x = x + width
    return tuple(layers)


def hinge_at(pile: Pile, hinge: int) -> Length:
    """Where the hinge between panels `hinge - 1` and `hinge` lies in the pile now."""
    layer = next(layer for layer in pile if layer.panel == hinge)
    return layer.x1 if layer.flipped else layer.x0


def fold_pile(pile: Pile, step: FoldStep) -> Pile:
    """The pile after one fold (upright).  Raises ValueError when a panel lies across it."""
    low_moves = step.moving is Edge.LEFT
    stays: list[Layer] = []
    moves: list[Layer] = []
    for layer in pile:
        if step.at - layer.x0 > HAIR and layer.x1 - step.at > HAIR:
            raise ValueError(f"panel {layer.panel + 1} lies across the fold {step.id}")
        on_low = layer.x1 - step.at <= HAIR
        (moves if on_low == low_moves else stays).append(layer)
    turned = [layer.turned(step.at) for layer in reversed(moves)]
    return tuple((*turned, *stays) if step.under else (*stays, *turned))


def fold_states(widths: Sequence[Length], steps: Iterable[FoldStep]) -> tuple[Pile, ...]:
    """The open strip and what each fold leaves."""
    states = [flat_pile(widths)]
    for step in steps:
        states.append(fold_pile(states[-1], step))
    return tuple(states)


def clear_of_hinges(widths: Sequence[Length], steps: Sequence[FoldStep]) -> Length | None:
    """How near a panel that was folded in lies to a hinge that is folded after it: the least;
    None where no fold closes over another panel's free edge."""
    states, gaps = fold_states(widths, steps), []
    last = len(widths) - 1
    for state, step in zip(states[1:], steps[1:], strict=False):
        for layer in state:
            if layer.panel not in (0, last) or not _folded_in(state, layer):
                continue
            inner = layer.panel + (1 if layer.panel == 0 else 0)
            free = _other_end(layer, hinge_at(state, inner))
            gaps.append(abs(free - step.at))
    return min(gaps, default=None, key=lambda gap: gap.grains)


def _folded_in(state: Pile, layer: Layer) -> bool:
    """Lies over or under another panel."""
    others = [one for one in state if one.panel != layer.panel]
    return any(one.x0 < layer.x1 and layer.x0 < one.x1 for one in others)


def _other_end(layer: Layer, at: Length) -> Length:
    return layer.x0 if at == layer.x1 else layer.x1


# -- what a reader sees ------------------------------------------------------------------


def seen(pile: Pile, from_below: bool) -> tuple[Shown, ...]:
    """The faces that lie open to the eye, from left to right as they are seen.

    A face of which more than half is covered is not seen: panels that nest
    leave slivers of those beneath.
    """
    order = pile if from_below else tuple(reversed(pile))
    found: list[tuple[Length, Shown]] = []
    above: list[Layer] = []
    for layer in order:
        parts = open_parts(layer, above)
        if sum((high - low for low, high in parts), ZERO) > (layer.x1 - layer.x0).half:
            shown = Shown(layer.panel, layer.flipped == from_below, _open(layer, parts, from_below))
            found.append((layer.x0, shown))
        above.append(layer)
    found.sort(key=lambda one: one[0].grains, reverse=from_below)
    return tuple(shown for _, shown in found)


def _open(
    layer: Layer, parts: Sequence[tuple[Length, Length]], from_below: bool
) -> tuple[Length, Length] | None:
    """From where to where a panel is open, from its left end as it is seen; None: all of it."""
    low, high = parts[0][0] - layer.x0, parts[-1][1] - layer.x0
    wide = layer.x1 - layer.x0
    if low == ZERO and high == wide:
        return None
    return (wide - high, wide - low) if from_below else (low, high)


def open_parts(layer: Layer, above: Sequence[Layer]) -> list[tuple[Length, Length]]:
    """What of a layer nothing above it covers, from left to right in the pile."""
    parts = [(layer.x0, layer.x1)]
    for cover in above:
        left: list[tuple[Length, Length]] = []
        for low, high in parts:
            if cover.x1 <= low or high <= cover.x0:
                left.append((low, high))
                continue
            if low < cover.x0:
                left.append((low, cover.x0))
            if cover.x1 < high:
                left.append((cover.x1, high))
        parts = left
    return parts


@dataclass(frozen=True, slots=True, kw_only=True)
class StripBook:
    """The pages in reading order, and the views in which a reader meets them.

    `views` lie as they are seen, from left to right; faces may come in several.
    """

    pages: tuple[Shown, ...]
    views: tuple[tuple[Shown, ...], ...]


def read_strip(
    widths: Sequence[Length], steps: Sequence[FoldStep], *, leftward: bool = False
) -> StripBook:
    """The leaflet read; `leftward`: from right to left, as a right-bound book.

    Folded to and fro, the front is read, then the back; wrapped, the front is
    the outside.
    """
    states = fold_states(widths, steps)
    zigzag = to_and_fro(states[-1])
    views = _views(states, zigzag)
    reading = [tuple(reversed(view)) if leftward else view for view in views]
    pages = [*reading[1], *reading[2]] if zigzag else _in_order(reading)
    return StripBook(pages=tuple(pages), views=views)


def to_and_fro(closed: Pile) -> bool:
    """The panels lie on each other in the order of the strip, front up and front down in turns."""
    order = [layer.panel for layer in closed]
    rising = sorted(order)
    return len(order) > 2 and order in (rising, rising[::-1])


def _views(states: Sequence[Pile], zigzag: bool) -> tuple[tuple[Shown, ...], ...]:
    if zigzag:
        return seen(states[-1], False), seen(states[0], False), seen(states[0], True)
    opening = [seen(state, True) for state in reversed(states)]
    return (*opening, seen(states[-1], False))


def _in_order(views: Sequence[tuple[Shown, ...]]) -> list[Shown]:
    *openings, inside, back = views
    pages: list[Shown] = []
    for view in openings:
        if all(shown.front for shown in view):
            pages += [shown for shown in view if shown not in pages]
    pages += inside
    outside = [replace(shown, front=True) for shown in reversed(inside)]
    pages += [shown for shown in outside if shown not in pages and shown not in back]
    return pages + [shown for shown in back if shown not in pages]
