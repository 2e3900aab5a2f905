"""Guts moved on the sheet out of the margins that the printer leaves white.

A sheet that is folded keeps its fold in the middle, so it moves only along the
fold; single leaves whose spine lies on the edge of the paper move only between
head and foot.  Both sides count: where the sheet is turned about an axis, the
margins of its two edges come together at each of them, and the middle is best
already.  Front and back move together, so the register stays.
"""

from __future__ import annotations

from impose.findings import Finding
from impose.geometry.box import Box
from impose.schemes.draft import Asked, Draft
from impose.schemes.pressroom import printable
from impose.units import ZERO, Length


def on_sheet_notes(asked: Asked, draft: Draft) -> tuple[Finding, ...]:
    """Whether all pages came out of the margins, where the job asks for that."""
    job = asked.job
    printer = job.guts.printer
    if not job.guts.clear_of_margins or not draft.sheets:
        return ()
    if printer is None:
        return (
            Finding.warning(
                "on-sheet-no-printer",
                'on_sheet = "clear of margins" does nothing: no printer is named, so no margins '
                "are known",
                hint="name the printer: printer in [guts], or --printer",
            ),
        )
    first = draft.sheets[0]
    inside = printable(first, job)
    left = [
        _short(placement.trim, inside)
        for sheet in draft.sheets
        for _, side in sheet.sides
        for placement in side.placements
    ]
    most = max(left, default=ZERO)
    if most <= ZERO:
        return ()
    return (
        Finding.note(
            "on-sheet-no-room",
            f"pages still reach {most.text(job.unit)} into the margins of {printer.name}: the "
            "sheet has no more room, or its fold or the spine side holds them where they are",
            hint="take a larger sheet or a smaller trim, and keep art out of the margin",
            reach=most.text(job.unit),
        ),
    )


def _short(trim: Box, inside: Box) -> Length:
    """How far a trim reaches beyond what can be printed, at its worst edge."""
    return max(inside.x0 - trim.x0, trim.x1 - inside.x1, inside.y0 - trim.y0, trim.y1 - inside.y1)
