"""What lies too near a French fold: it bends round the fore-edge with the paper.

A fold wanders by about a millimetre (common practice), so words keep clear of
it as they do of a trim.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from impose.checks.grouping import Group, Hit, hit, tell
from impose.checks.safe import SafeDistances
from impose.checks.seen import SeenPage
from impose.checks.words import file_of, measured, pages_text, stated, thing_name, things_name
from impose.findings import Finding, Severity
from impose.model.job import Job
from impose.plan.plan import Plan
from impose.units import ZERO, Length

_SLACK = Length.mm("0.15")
NEAR_FOLD = "near-fold"


def check_french_fold(
    plan: Plan, job: Job, pages: Iterable[SeenPage], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Words nearer to the fold at the fore-edge than is safe."""
    if not plan.french:
        return ()
    return tell(list(_hits(pages, safe)), lambda group: _say(group, plan, job))


def _hits(pages: Iterable[SeenPage], safe: SafeDistances) -> Iterator[Hit]:
    limit = safe.at("fore-edge")
    for page in pages:
        for seen in page.things:
            near = seen.distance("fore-edge")
            if seen.is_text and not page.outside(seen) and ZERO - _SLACK <= near < limit - _SLACK:
                yield hit(NEAR_FOLD, page.page, "fore-edge", seen, limit)


def _say(group: Group, plan: Plan, job: Job) -> Finding:
    worst, unit = group.worst, job.unit
    name = things_name(group.outlines, unit)
    return Finding(
        severity=Severity.WARNING,
        code=NEAR_FOLD,
        message=f"{name} on {pages_text(group.pages)}: {measured(max(worst.near, ZERO), unit)} "
        f"from the fold at the fore-edge; {stated(worst.safe, unit)} is safe: it may bend round "
        "the fold",
        hint=f"move it in to {stated(worst.safe, unit)} or more from the fold",
        file=file_of(plan, group.pages),
        pages=group.pages,
        side="fore-edge",
        numbers={
            "thing": thing_name(worst.outline, unit),
            **worst.where,
            "distance": worst.near.text(unit),
            "safe": worst.safe.text(unit),
        },
    )
