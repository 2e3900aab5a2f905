"""The colour of a cover's parts that have no art."""

from __future__ import annotations

from collections.abc import Mapping

from impose.geometry.box import Box, Edges
from impose.model.inks import Ink
from impose.plan.parts import Fill
from impose.units import ZERO, Length


def bare_fills(
    parts: Mapping[str, Box], with_art: frozenset[str], ink: Ink | None, bleed: Length, hold: Box
) -> tuple[Fill, ...]:
    """One field for each part of the outside that has no art, out to the bleed.

    `parts` are the panels, spine and flaps as they lie on the sheet; toward a
    neighbour a field ends at the line between them.  `hold` is where ink may lie.
    """
    if ink is None or "wide" in with_art or not parts:
        return ()
    boxes = list(parts.values())
    left, right = min(b.x0 for b in boxes), max(b.x1 for b in boxes)
    fields = []
    for name, box in parts.items():
        if name not in with_art:
            edges = Edges(
                left=bleed if box.x0 == left else ZERO,
                right=bleed if box.x1 == right else ZERO,
                bottom=bleed,
                top=bleed,
            )
            fields.append(Fill(box.grown(edges).meet(hold), ink))
    return tuple(fields)
