"""Who cuts: the cutter the job names, or the knife and steel rule assumed for one without."""

from __future__ import annotations

from typing import Final

from impose.findings import Finding
from impose.model.job import Job
from impose.model.machines import Cutter
from impose.units import Length

#: The figures of the profile "hand" that is shipped: from memory.
HAND: Final = Cutter(
    name="Knife and steel rule",
    widest=Length.mm(600),
    gauge_min=Length.mm(1),
    gauge_max=Length.mm(600),
    clamp_opening=Length.mm(1),
    knife_enters="left",
    tolerance=Length.mm("0.5"),
    waste_min=Length.mm(1),
    hand=True,
)


def cutter_of(job: Job) -> Cutter:
    """The job's cutter, else the hand cutter."""
    return job.bench.cutter or HAND


def assumed(job: Job) -> tuple[Finding, ...]:
    """That no cutter was named, if so."""
    if job.bench.cutter is not None:
        return ()
    return (
        Finding.note(
            "hand-cutter-assumed",
            "no cutter is named: the cut list is for a knife and a steel rule",
            hint="name one in [bench] (cutter) or with --cutter to have gauge settings "
            "within its reach",
        ),
    )
