"""Ways of printing and of binding two copies as one, with what they do not go with."""

from __future__ import annotations

from impose.model.asked import Asked
from impose.model.job import Binding, Job
from impose.model.keylines import KeyPath


def refuse_press_work(asked: Asked, job: Job) -> None:
    """Notes a fault for each pair of values that no sheet can have; both are named."""
    work, guts = job.guts.work, job.guts
    path = ("guts", "work")
    if work is not None:
        if guts.printer is not None and guts.printer.digital:
            asked.fault(
                path,
                f"work is {work.value}, a way of printing with plates; {guts.printer.name} has "
                "none (technique is digital in its profile)",
                "leave work out, or name a press with plates",
            )
        if guts.french_fold:
            asked.fault(
                path,
                f"French-folded leaves are printed on one side, and work is {work.value}",
                "leave one of them out",
            )
        if guts.flip is not None:
            asked.fault(
                path,
                f"work is {work.value}, which says how the sheet is turned over, and flip is "
                f"{guts.flip.value}",
                "leave flip out",
            )
        if work.one_forme and guts.one_side:
            asked.fault(
                path,
                f"work is {work.value}, where one forme prints both sides; fronts and backs as "
                "files of their own would be the same",
                'leave printing = "one side at a time" out',
            )
        if work.one_forme and (job.binding.panelled or job.binding is Binding.FLAT):
            asked.fault(
                path,
                f"work is {work.value}, for leaves and sections; binding is {job.binding.value}",
                "leave work out",
            )
    if guts.two_up is not None:
        _refuse_two_up(asked, job, ("guts", "two_up"))


def _refuse_two_up(asked: Asked, job: Job, path: KeyPath) -> None:
    way = job.guts.two_up.value if job.guts.two_up else ""
    if job.holes is not None:
        asked.fault(
            path,
            f"two_up is {way}, and the book has holes, which are placed for one book",
            "leave one of them out",
        )
    if job.binding.unbound:
        asked.fault(
            path,
            f"two_up is {way}, for books that are bound; binding is {job.binding.value}",
            'several on a sheet are order = "repeat"',
        )
    if job.guts.french_fold:
        asked.fault(path, f"two_up is {way}, and leaves are French-folded", "leave one of them out")
    if job.guts.lay is not None or job.guts.centred:
        asked.fault(
            path,
            f"two_up is {way}, and the leaf's own place on the sheet is named",
            "leave lay and place out: both copies are laid out from the cut between them",
        )
    if job.cover is not None:
        asked.fault(
            path,
            f"two_up is {way}, and the job has a cover, which is planned for one book",
            "leave [cover] out: it is made in a job of its own",
        )
