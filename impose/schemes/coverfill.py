"""The colour of a cover's parts that have no art."""

from __future__ import annotations

from collections.abc import Mapping

from impose.findings import Finding
from impose.geometry.box import Box, Edges
from impose.model.inks import Ink
from impose.plan.parts import Fill
from impose.units import ZERO, Length


def bare_fills(
    parts: Mapping[str, Box], with_art: frozenset[str], ink: Ink | None, bleed: Length, hold: Box
) -> tuple[Fill, ...]:
    """The parts of the outside that have no art, out to the bleed.

    `parts` are the panels, spine and flaps as they lie on the sheet.  Bare
    neighbours are one field, so that no seam shows between them; toward art a
    field ends at the line between the two.  `hold` is where ink may lie.
    """
    if ink is None or "wide" in with_art or not parts:
        return ()
    boxes = list(parts.values())
    left, right = min(b.x0 for b in boxes), max(b.x1 for b in boxes)
    fields = []
    for box in _joined([box for name, box in parts.items() if name not in with_art]):
        edges = Edges(
            left=bleed if box.x0 == left else ZERO,
            right=bleed if box.x1 == right else ZERO,
            bottom=bleed,
            top=bleed,
        )
        fields.append(Fill(box.grown(edges).meet(hold), ink))
    return tuple(fields)


def short_bleed(trim: Box, ink: Box, wanted: Length, unit: str) -> tuple[Finding, ...]:
    """A warning where the bleed that is there cannot all be printed: it ends with the paper, or
    with what the printer reaches (`ink`)."""
    room = {
        "head": ink.y1 - trim.y1,
        "foot": trim.y0 - ink.y0,
        "left end": trim.x0 - ink.x0,
        "right end": ink.x1 - trim.x1,
    }
    short = {side: has for side, has in room.items() if has < wanted}
    if not short:
        return ()
    least = min(short.values())
    return (
        Finding.warning(
            "cover-bleed-room",
            f"{least.text(unit)} of the cover's bleed of {wanted.text(unit)} can be printed at "
            f"{', '.join(short)}: a cut that drifts farther leaves a white edge",
            hint="name a larger sheet for the cover, or another lay: lay in [cover]",
            least=least.text(unit),
            wanted=wanted.text(unit),
        ),
    )


def _joined(boxes: list[Box]) -> list[Box]:
    """Boxes of one height, from the left; those that share an upright line made one."""
    found: list[Box] = []
    for box in sorted(boxes, key=lambda one: one.x0.grains):
        if found and found[-1].x1 == box.x0:
            found[-1] = found[-1].join(box)
        else:
            found.append(box)
    return found
