"""What the binding takes: text too near the spine, and bites out of art across a spread.

The distance is measured from the spine edge of the trim: what is ground off
lies beyond it, and with creep the fold cuts `shift` off the art.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from impose.checks.grouping import Group, Hit, hit, tell
from impose.checks.holes import hole_bands, hole_distance, pierced
from impose.checks.safe import SafeDistances, SpineDistance, glue_strip
from impose.checks.seen import Seen, SeenPage
from impose.checks.words import file_of, measured, pages_text, stated, thing_name, things_name
from impose.findings import Finding, Severity
from impose.model.job import Binding, Job
from impose.model.looks import Matter
from impose.plan.plan import Plan
from impose.units import ZERO, Length

LOST: Final = "lost-in-spine"
NEAR: Final = "near-spine"
BITE: Final = "spread-bite"

_SLACK: Final = Length.mm("0.15")
#: Art that faces art along less than this is no picture across the spread.
_FACING: Final = Length.mm(10)
_WHY: Final = {
    Binding.PERFECT: "glued pages do not open to the spine",
    Binding.STAB: "the holes and what lies before them do not open",
    Binding.PUNCHED: "the holes are punched there",
    Binding.SADDLE: "it lies in the fold",
    Binding.SECTIONS: "it lies in the fold",
}


def check_spine(
    plan: Plan, job: Job, pages: Sequence[SeenPage], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Findings toward the spine; none where nothing is bound."""
    if safe.spine(job.binding) is None:
        return ()
    hits = [one for page in pages for one in _hits(page, plan, job, safe)]
    lost = tell(hits, lambda group: _say(group, plan, job))
    return (*lost, *_bites(plan, job, pages, safe))


def at_spine(position: int, plan: Plan, job: Job, safe: SafeDistances) -> SpineDistance | None:
    """What a face of the book (1-based) must keep from its spine; None where nothing is bound.

    On the first and the last face of a glued book the cover is glued on too.
    """
    distance = safe.spine(job.binding)
    if job.limits.spine is None:
        distance = hole_distance(plan.holes, distance)
    if distance is None or job.binding is not Binding.PERFECT or position not in (1, plan.faces):
        return distance
    lost = max(distance.lost, glue_strip(job, safe))
    return SpineDistance(lost, max(distance.safe, lost))


def _hits(page: SeenPage, plan: Plan, job: Job, safe: SafeDistances) -> Iterator[Hit]:
    distance = at_spine(page.placement.position, plan, job, safe)
    if distance is None:
        return
    lost, comfortable = distance.lost, distance.safe
    bands = hole_bands(plan.holes)
    for seen in page.things:
        if pierced(bands, seen):  # that is told with the holes
            continue
        if not seen.is_print or (page.declared and page.beyond(seen, "spine")):
            continue
        inside = seen.distance("spine")
        if inside < lost - _SLACK:
            yield hit(LOST, page.page, "spine", seen, max(lost, comfortable))
        elif inside < comfortable - _SLACK:
            yield hit(NEAR, page.page, "spine", seen, comfortable)


def _say(group: Group, plan: Plan, job: Job) -> Finding:
    worst, unit = group.worst, job.unit
    name, where = things_name(group.outlines, unit), pages_text(group.pages)
    safe = stated(worst.safe, unit)
    if worst.near < -_SLACK:
        place = f"{measured(-worst.near, unit)} beyond the spine edge"
    else:
        place = f"{measured(max(worst.near, ZERO), unit)} from the spine edge"
    lost = worst.code == LOST
    error = lost and worst.outline.matter is Matter.TEXT
    end = "lost in the spine" if lost else "hard to read there"
    return Finding(
        severity=Severity.ERROR if error else Severity.WARNING,
        code=worst.code,
        message=f"{name} on {where}: {place}; {safe} is safe: {end} ({_why(worst, plan, job)})",
        hint=f"move it {safe} or more from the spine, or choose a binding that opens further",
        file=file_of(plan, group.pages),
        pages=group.pages,
        side="spine",
        numbers={
            "thing": thing_name(worst.outline, unit),
            "distance": worst.near.text(unit),
            "safe": worst.safe.text(unit),
            **worst.where,
        },
    )


def _why(worst: Hit, plan: Plan, job: Job) -> str:
    if plan.creep.total and worst.near < ZERO:
        return f"creep moves pages up to {stated(plan.creep.total, job.unit)} into the fold"
    return _WHY[job.binding]


# -- art across two facing pages -------------------------------------------------------


def _bites(
    plan: Plan, job: Job, pages: Iterable[SeenPage], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Only where creep clips pages at the fold; the two halves of the innermost sheet
    belong together as much as any."""
    by_position = {page.placement.position: page for page in pages}
    found: list[tuple[Length, tuple[int, int]]] = []
    for position, verso in by_position.items():
        recto = by_position.get(position + 1)
        if position % 2 or recto is None:
            continue
        bite = _clipped(verso) + _clipped(recto)
        if bite > _SLACK and _face_each_other(verso, recto, safe):
            found.append((bite, (verso.page, recto.page)))
    if not found:
        return ()
    most, _ = max(found, key=lambda one: one[0].grains)
    numbers = sorted({number for _, both in found for number in both})
    unit = job.unit
    return (
        Finding(
            severity=Severity.NOTE,
            code=BITE,
            message=f"art across the spine on {pages_text(numbers)}: creep takes up to "
            f"{measured(most, unit)} out of its middle",
            hint="keep lines that must meet out of the fold, or use thinner paper",
            file=file_of(plan, numbers),
            pages=tuple(numbers),
            side="spine",
            numbers={"bite": most.text(unit)},
        ),
    )


def _clipped(page: SeenPage) -> Length:
    """What the fold takes off the page's art."""
    return page.placement.art.width - page.placement.trim.width


def _face_each_other(verso: SeenPage, recto: SeenPage, safe: SafeDistances) -> bool:
    left, right = _at_spine(verso, safe), _at_spine(recto, safe)
    return any(min(a[1], b[1]) - max(a[0], b[0]) >= _FACING for a in left for b in right)


def _at_spine(page: SeenPage, safe: SafeDistances) -> list[tuple[Length, Length]]:
    return [page.span(seen, "spine") for seen in page.things if _is_art_at_spine(seen, safe)]


def _is_art_at_spine(seen: Seen, safe: SafeDistances) -> bool:
    return not seen.is_print and seen.distance("spine") <= safe.touch
