"""In which order many copies are printed: set by set, or all of one sheet before the next.

A press with plates prints all of a sheet before the plates are changed, and so
does whoever prints both sides from one forme: the pile is turned over and goes
through again.  A printer without plates gives set after set, if it is told to.
What is gathered from piles depends on it, so print step and gathering step ask
here.
"""

from __future__ import annotations

from impose.bench.paper import prints
from impose.bench.sheetgrid import guts_sheets
from impose.model.job import Job
from impose.plan.plan import Plan


def by_runs(plan: Plan, job: Job) -> bool:
    """All of sheet 1 is printed first, then all of sheet 2; else set by set."""
    printer = job.guts.printer
    one_forme = plan.halved or any(sheet.half for sheet in plan.sheets)
    return one_forme or (printer is not None and printer.plates)


def mixed_up(plan: Plan, job: Job) -> bool:
    """There are several sheets, and several of each: their order can be taken wrongly."""
    return not plan.flat and prints(plan, job) > 1 and len(guts_sheets(plan)) > 1


def printing_words(plan: Plan, job: Job) -> str:
    """How the sheets must be printed; empty where there is one of each, or one sheet."""
    if not mixed_up(plan, job):
        return ""
    last, many, overs = len(guts_sheets(plan)), prints(plan, job), job.guts.overs
    if by_runs(plan, job):
        more = f" and {overs} more for spoilage" if overs else ""
        rest = "then all of sheet 2" + (", and so on" if last > 2 else "")
        return (
            f"Print all of sheet 1 first, {many} of it{more}, {rest}. Keep the runs apart, with a "
            "slip of paper between them."
        )
    more = f", and {overs} sets more for spoilage" if overs else ""
    return (
        f'Print set by set ("collate" in the print dialog), {many} sets{more}: sheets 1 to {last}, '
        f"then 1 to {last} again. All of sheet 1 first would put them in the wrong order."
    )
