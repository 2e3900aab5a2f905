"""A known length on the first sheet where the check line has no room: how far its words reach.

A print dialog that fits pages to the paper is found out with a ruler before the pile is cut
(common practice); where the pages fill the sheet, what is on them must serve.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.seen import SeenPage
from impose.findings import Finding
from impose.geometry.sides import BoundAt
from impose.plan.plan import Plan
from impose.units import ZERO, Length, ruler_inches, ruler_mm

#: Said by the marks where the line has no room.
NO_LINE: Final = "check-line-no-room"
CODE: Final = "measure-words"
#: On less a wrong scale does not show (97 % of it is 1 mm less, what a ruler shows).
_LEAST: Final = Length.mm(33)
#: Where letters end is known no better (own measurement: side bearings up to 0.1 mm).
_PARTS: Final = 32


@dataclass(frozen=True, slots=True)
class _Reach:
    page: int
    length: Length


def check_measurable(plan: Plan, pages: Sequence[SeenPage]) -> tuple[Finding, ...]:
    """The widest words on the first side of the first sheet; nothing where the line is drawn, or
    no words reach far enough."""
    if not any(finding.code == NO_LINE for finding in plan.findings):
        return ()
    found = max(_reaches(plan, pages), key=lambda one: one.length, default=None)
    if found is None or found.length < _LEAST:
        return ()
    inches = plan.unit == "in"
    long = (ruler_inches(found.length, _PARTS) if inches else ruler_mm(found.length)).text
    return (
        Finding.note(
            CODE,
            f"the words on page {found.page} reach about {long} from where the first letter of "
            "any line begins to where the last one ends: measured on the first sheet, that shows "
            "whether the print dialog kept the size",
            pages=[found.page],
            page=found.page,
            length=long,
        ),
    )


def _reaches(plan: Plan, pages: Sequence[SeenPage]) -> list[_Reach]:
    """How far the words of each page reach from left to right, as the page is read."""
    first = next((sheet for sheet in plan.sheets if sheet.role == "guts"), None)
    there = {p.page for p in first.front.placements} if first else set()
    upright = plan.bound_at is BoundAt.HEAD
    found: list[_Reach] = []
    for page in pages:
        words = [seen for seen in page.things if seen.is_text and not page.outside(seen)]
        if page.page not in there or not words:
            continue
        starts = [seen.inside.head if upright else seen.inside.spine for seen in words]
        long = [seen.up if upright else seen.across for seen in words]
        ends = [start + length for start, length in zip(starts, long, strict=True)]
        reach = max(ends) - min(starts)
        found.append(_Reach(page.page, max(reach, ZERO)))
    return found
