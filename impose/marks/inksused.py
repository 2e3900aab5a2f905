"""The inks that the pages use, for the colour bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Final

from impose.findings import Finding
from impose.model.inks import PROCESS
from impose.model.job import Job
from impose.model.looks import PageLook
from impose.plan.plan import Plan

#: A Separation of this name paints every plate, of the other nothing (ISO 32000-1 8.6.6.4).
_NO_INKS: Final = frozenset({"All", "None"})


def inks_used(looks: Sequence[PageLook]) -> tuple[str, ...]:
    """The process inks that something on the pages may need, black where there is nothing at
    all; then the spot colours in the order of the alphabet.  A page that could not be looked
    at may have all four."""
    needed = {ink for look in looks for ink in (look.process if look.looked else PROCESS)}
    spots = {spot for look in looks for spot in look.spots}
    spots = {spot for spot in spots if spot.lower() not in set(PROCESS)} - _NO_INKS
    process = tuple(ink for ink in PROCESS if ink in needed)
    return (*process, *sorted(spots)) or PROCESS[-1:]


def with_inks(job: Job, plan: Plan, looks: Sequence[PageLook]) -> Job:
    """The job with the inks its colour bar shows; the job itself where the bar, if any, has been
    drawn with them already, or the job names them."""
    if not _has_bar(plan) or job.marks.inks:
        return job
    book = [look for look, _ in zip(looks, plan.pages, strict=False)]
    used = inks_used(book)
    return job if used == PROCESS else replace(job, marks=replace(job.marks, inks=used))


def bar_not_looked(plan: Plan, job: Job) -> Iterator[Finding]:
    """The bar's inks where nobody looked at the pages."""
    if _has_bar(plan) and not job.marks.inks:
        yield Finding.note(
            "bar-inks-assumed",
            "the colour bar shows the four process inks: the pages were not looked at, so inks "
            "that they do not use are in it, and spot colours that they use are not",
            hint="leave --no-check out, or name the inks: inks in [marks]",
        )


def _has_bar(plan: Plan) -> bool:
    """Fields of colour on sheets other than the cover, which has some of its own."""
    inner = (sheet for sheet in plan.sheets if sheet.role != "cover")
    return any(side.fills for sheet in inner for _, side in sheet.sides)
