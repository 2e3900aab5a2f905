"""What a digital press counts: it has no plates, every side printed is a click."""

from __future__ import annotations

from dataclasses import replace

from impose.bench.paper import overs_of, sheet_pile
from impose.model.job import Job
from impose.plan.plan import Plan
from impose.plan.pressfacts import ClickFacts


def add_clicks(plan: Plan, job: Job) -> Plan:
    """The plan with its clicks; as it is for other printers.

    Counted are the sheets of the guts, or of flat work, overs with them.
    """
    printer = job.guts.printer
    if printer is None or not printer.digital:
        return plan
    facts = ClickFacts(
        name=printer.name,
        sheets=sheet_pile(plan, job).count,
        overs=overs_of(plan, job),
        sides=1 if plan.one_sided("guts") else 2,
    )
    return replace(plan, clicks=facts)
