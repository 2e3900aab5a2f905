"""Fold-outs: where a leaf wider than the trim is folded.

The panel at the spine ends inside the trim, so that the fold keeps clear of the
knife at the fore-edge; every other panel is shorter than it by as much again,
so that folds and open edge keep clear of the spine, its glue and its grind.
The first fold brings the outer part over the recto, the next takes it back,
and so on, like a concertina (common practice; the clearances and the least
panel are from memory).
"""

from __future__ import annotations

from itertools import accumulate
from typing import Final

from impose.units import Length

#: A narrower panel springs open and is hard to fold.
LEAST_PANEL: Final = Length.mm(20)


def fold_out_panels(width: Length, trim: Length, clear: Length) -> tuple[Length, ...]:
    """The widths of the panels from the spine outward; they add up to `width`.

    `trim` is the width of the other leaves.  As few panels as there can be,
    those after the first as equal as whole grains allow.  Raises ValueError
    when the clearance leaves no panel, or `width` is no more than the first.
    """
    first = trim - clear
    most = first - clear
    if most < LEAST_PANEL:
        raise ValueError("the clearance leaves no room for a panel")
    if width <= first:
        raise ValueError("it is not wider than one panel")
    if width - first < LEAST_PANEL:
        first = width - LEAST_PANEL
    rest = width - first
    count = -(-rest.grains // most.grains)
    return (first, *rest.split(count))


def fold_places(panels: tuple[Length, ...]) -> tuple[Length, ...]:
    """Distances of the folds from the spine edge of the trim."""
    return tuple(accumulate(panels[:-1], lambda one, other: one + other))


def folded_ends(panels: tuple[Length, ...]) -> tuple[Length, ...]:
    """Where each panel ends when all are folded, from the spine edge of the trim."""
    ends: list[Length] = []
    at = Length()
    for index, panel in enumerate(panels):
        at = at + panel if index % 2 == 0 else at - panel
        ends.append(at)
    return tuple(ends)
