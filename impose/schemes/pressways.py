"""Ways of printing that are compared on a press: with a forme for each side or one for both,
and two copies bound as one.

Only a press of which gripper and side lay are known is asked about them, and only what the job
leaves open (`work`, `two_up`, `flip`) is varied.  Both give several copies of each sheet, so a
job that wants one copy has no use for them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from impose.model.job import Guts, Job
from impose.model.machines import Printer
from impose.model.presswork import TwoUp, Work
from impose.schemes.draft import Asked

#: How two copies meet where the job does not say: come and go (common practice).
USUAL_PAIR: Final = TwoUp.HEADS


@dataclass(frozen=True, slots=True, kw_only=True)
class Printing:
    """One of them; None: nothing is said of it, and it has no words."""

    work: Work | None = None
    two_up: TwoUp | None = None

    @property
    def words(self) -> str:
        """What it adds to the name of a way."""
        parts = []
        if self.work is not None:
            parts.append(self.work.value.replace(" ", "-"))
        if self.two_up is not None:
            parts.append(f"two copies {self.two_up.value}")
        return ", ".join(parts)

    @property
    def copies(self) -> int:
        """Copies of the book out of each set of sheets, repeats not counted."""
        one_forme = self.work is not None and self.work.one_forme
        return (2 if one_forme else 1) * (2 if self.two_up is not None else 1)

    def of(self, guts: Guts) -> Guts:
        """The job's guts made so."""
        return replace(guts, work=self.work, two_up=self.two_up)


def printings(asked: Asked, one_copy_a_sheet: bool) -> tuple[Printing, ...]:
    """All that are compared, as the job says it or as the press does it first.

    `one_copy_a_sheet`: leaves are put in from sheets of their own, which give one copy each.
    """
    job = asked.job
    guts, printer = job.guts, job.guts.printer
    if printer is None or not printer.plates or not printer.side_lay or guts.french_fold:
        return (Printing(work=guts.work, two_up=guts.two_up),)
    several = not one_copy_a_sheet
    works = _works(guts, printer, several)
    if guts.two_up is not None:
        return tuple(Printing(work=work, two_up=guts.two_up) for work in works)
    alone = tuple(Printing(work=work) for work in works)
    if not several or not _may_pair(job):
        return alone
    return (*alone, Printing(work=works[0], two_up=USUAL_PAIR))


def _works(guts: Guts, printer: Printer, several: bool) -> tuple[Work | None, ...]:
    if guts.work is not None or guts.flip is not None:
        return (guts.work,)
    usual = Work.PERFECTING if printer.perfects else Work.SHEETWISE
    if not several or guts.one_side:  # fronts and backs in files of their own: two formes
        return (usual,)
    return (usual, Work.TURN, Work.TUMBLE)


def _may_pair(job: Job) -> bool:
    """Two copies can be bound as one (see `presscombinations`)."""
    guts = job.guts
    placed = guts.lay is not None or guts.centred
    return not (job.binding.unbound or job.holes is not None or job.cover is not None or placed)
