"""The inks that the pages use, for the colour bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from impose.model.inks import PROCESS
from impose.model.job import Job
from impose.model.looks import InkSpace, PageLook
from impose.plan.plan import Plan

_COLOURED: Final = (InkSpace.RGB, InkSpace.CMYK, InkSpace.OTHER)
#: A Separation of this name paints every plate, of the other nothing (ISO 32000-1 8.6.6.4).
_NO_INKS: Final = frozenset({"All", "None"})


def inks_used(looks: Sequence[PageLook]) -> tuple[str, ...]:
    """Black alone, or the four process inks where anything is coloured; then the spot colours in
    the order of the alphabet.  A page that could not be looked at may have all four."""
    coloured = any(
        not look.looked or look.coloured or any(p.space in _COLOURED for p in look.pictures)
        for look in looks
    )
    process = set(PROCESS)
    spots = {spot for look in looks for spot in look.spots}
    spots = {spot for spot in spots if spot.lower() not in process} - _NO_INKS
    return (*(PROCESS if coloured else PROCESS[-1:]), *sorted(spots))


def with_inks(job: Job, plan: Plan, looks: Sequence[PageLook]) -> Job:
    """The job with the inks its colour bar shows; the job itself where the bar, if any, has been
    drawn with them already, or the job names them."""
    drawn = any(side.fills for sheet in plan.sheets for _, side in sheet.sides)
    if not drawn or plan.press is None or job.marks.inks:
        return job
    book = [look for look, _ in zip(looks, plan.pages, strict=False)]
    used = inks_used(book)
    return job if used == PROCESS else replace(job, marks=replace(job.marks, inks=used))
