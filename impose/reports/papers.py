"""The papers of a run for the bench, by product: cut list, ticket, guide for holes.

Each is made by its own module, imported when it is wanted: drawing pages takes
longer to import than small jobs take to plan.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.model.job import Job
from impose.plan.plan import Plan

#: What is said while a product is made, in the order of making.
STAGES: Final = {
    "cuts": "writing the cut list",
    "ticket": "writing the ticket",
    "guide": "drawing the guide",
}


def papers(product: str, plan: Plan, job: Job) -> Iterator[tuple[str, bytes | str]]:
    """Name and content of each file of a product of `STAGES`."""
    if product == "cuts":
        from impose.reports.cutlist_csv import cutlist_csv
        from impose.reports.cutlist_pdf import cutlist_pdf

        yield "cuts.pdf", cutlist_pdf(plan)
        yield "cuts.csv", cutlist_csv(plan)
    elif product == "ticket":
        from impose.reports.ticket_pdf import ticket_pdf

        yield "ticket.pdf", ticket_pdf(plan, job)
    elif product == "guide":
        from impose.reports.guide_pdf import guide_pdf

        yield "guide.pdf", guide_pdf(plan, job)
