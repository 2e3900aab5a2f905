"""Holes against what is on the pages: no hole goes through live matter.

Text and other print in a hole is an error, a picture, line or shape a warning;
art that itself runs off at the spine is a background, and is pierced like the
paper.  Print that lies between the holes and the spine, or nearer to them than
is safe, is told in `impose.checks.spine`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.grouping import Group, Hit, hit, tell
from impose.checks.safe import SafeDistances, SpineDistance
from impose.checks.seen import Seen, SeenPage
from impose.checks.words import file_of, measured, pages_text, thing_name, things_name
from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.model.job import Job
from impose.model.looks import Matter
from impose.plan.holes import HolePlan
from impose.plan.plan import Plan
from impose.units import ZERO, Length

THROUGH: Final = "hole-through-matter"
#: From the far edge of the holes to what must stay readable (1/8 in: common practice).
CLEAR: Final = Length.inches("1/8")
#: Side bearings of letters are counted as letter (own measurement: up to 0.1 mm).
_SLACK: Final = Length.mm("0.15")


@dataclass(frozen=True, slots=True)
class _Band:
    """Where one hole takes paper: from and to, away from the spine and along it."""

    number: int
    across: tuple[Length, Length]
    along: tuple[Length, Length]

    def takes(self, seen: Seen) -> bool:
        """Some of the thing lies in it."""
        across, down = seen.inside.spine, seen.inside.head
        return self.meets(Box(across, down, across + seen.across, down + seen.up), _SLACK)

    def meets(self, box: Box, slack: Length) -> bool:
        """It takes some of a box, told across from the spine and from the head down."""
        return (
            box.x0 + slack < self.across[1]
            and self.across[0] < box.x1 - slack
            and box.y0 + slack < self.along[1]
            and self.along[0] < box.y1 - slack
        )


def hole_bands(holes: HolePlan | None) -> tuple[_Band, ...]:
    """One for each hole of a block; none for holes on a fold."""
    if holes is None or holes.makes.on_fold:
        return ()
    half_across, half_along = holes.across.half, holes.along.half
    across = (holes.from_spine - half_across, holes.from_spine + half_across)
    return tuple(
        _Band(hole.number, across, (hole.from_head - half_along, hole.from_head + half_along))
        for hole in holes.holes
    )


def whole_pages(plan: Plan) -> range:
    """Pages (counted from 1) of which everything must be looked at one by one: of a block with
    holes all, because they lie deeper in the page than any knife goes."""
    return range(1, len(plan.pages) + 1) if hole_bands(plan.holes) else range(0)


def hole_distance(holes: HolePlan | None, usual: SpineDistance | None) -> SpineDistance | None:
    """What print must keep from the spine: beyond the holes, and safe some way further; the
    usual distance of the binding where the book has none."""
    if holes is None or holes.makes.on_fold or usual is None:
        return usual
    return SpineDistance(holes.reach, holes.reach + CLEAR)


def pierced(bands: Sequence[_Band], seen: Seen) -> tuple[int, ...]:
    """The numbers of the holes that go through a thing."""
    return tuple(band.number for band in bands if band.takes(seen))


def check_holes(
    plan: Plan, job: Job, pages: Sequence[SeenPage], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Findings of holes through matter, the same thing on many pages told once."""
    bands = hole_bands(plan.holes)
    if not bands or plan.holes is None:
        return ()
    numbers: dict[tuple[int, Length], tuple[int, ...]] = {}
    hits: list[Hit] = []
    clear = plan.holes.reach + CLEAR
    for page in pages:
        for seen in page.things:
            if page.outside(seen) or (not seen.is_print and _runs_off(seen, safe)):
                continue
            through = pierced(bands, seen)
            if through:
                one = hit(THROUGH, page.page, "spine", seen, clear)
                numbers.setdefault((page.page, one.near), through)
                hits.append(one)
    return tell(hits, lambda group: _say(group, plan, job, numbers))


def _runs_off(seen: Seen, safe: SafeDistances) -> bool:
    return seen.distance("spine") <= safe.touch


def _say(
    group: Group, plan: Plan, job: Job, numbers: dict[tuple[int, Length], tuple[int, ...]]
) -> Finding:
    worst, unit, holes = group.worst, job.unit, plan.holes
    assert holes is not None  # else there is nothing to say
    through = numbers[worst.page, worst.near]
    first = holes.holes[through[0] - 1]
    name, where = things_name(group.outlines, unit), pages_text(group.pages)
    printed = worst.outline.matter in (Matter.TEXT, Matter.INK)
    word = "hole" if len(through) == 1 else "holes"
    return Finding(
        severity=Severity.ERROR if printed else Severity.WARNING,
        code=THROUGH,
        message=f"{name} on {where}: {word} {listed_holes(through)} "
        f"({first.from_head.text(unit)} from the head) would go through it: it begins "
        f"{measured(max(worst.near, ZERO), unit)} from the spine, the holes reach to "
        f"{holes.reach.text(unit)}",
        hint=f"keep {worst.safe.text(unit)} at the spine free, or move the holes: from_spine, "
        "from_head, at or another pattern in [holes]",
        file=file_of(plan, group.pages),
        pages=group.pages,
        side="spine",
        numbers={
            "thing": thing_name(worst.outline, unit),
            "distance": worst.near.text(unit),
            "holes_reach": holes.reach.text(unit),
            "safe": worst.safe.text(unit),
            **worst.where,
        },
    )


def listed_holes(numbers: Sequence[int]) -> str:
    """`3`, `2 and 3`, `1 to 14`."""
    if len(numbers) > 2 and numbers[-1] - numbers[0] == len(numbers) - 1:
        return f"{numbers[0]} to {numbers[-1]}"
    return ", ".join(map(str, numbers[:-1])) + (" and " if numbers[1:] else "") + str(numbers[-1])
