"""Which pages the report pictures, and what is marked on each: what matters, not every page.

Every warning and error gets a picture of its nearest page before any gets a
second one; the worst come first.  Notes are pictured only where they mark a thing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.units import Length

#: So many pages of one finding are pictured at the most.
A_FINDING: Final = 3
#: Fewer where there is no place on the page to point at.
_NO_PLACE: Final = 2
#: Findings that no picture shows.
_UNSEEN: Final = frozenset({"font-not-embedded", "picture-rgb", "vector-rgb", "spot-colour"})
#: So many pages are pictured at the most, so that the file stays small.
PAGES: Final = 40
_NUMBER: Final = r"~?(-?\d+(?:\.\d+)?)"
_BOX: Final = re.compile(rf"x {_NUMBER} pt to {_NUMBER} pt, y {_NUMBER} pt to {_NUMBER} pt")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pointer:
    """A finding that speaks of a page: its number in the report, and the thing in question.

    `box` is in the page's own coordinates, None where the finding names no thing
    or the thing lies on another page.  `measured` is its distance from the trim,
    `missing` what it lacks to the bleed, as the finding writes them; or nothing.
    """

    finding: int
    side: str
    box: Box | None = None
    measured: str = ""
    missing: str = ""


@dataclass(frozen=True, slots=True)
class ChosenPage:
    """A source page to be pictured (1-based, in reading order)."""

    page: int
    pointers: tuple[Pointer, ...]


def choose_pages(findings: Sequence[Finding], last: int) -> tuple[ChosenPage, ...]:
    """In reading order; `findings` as they are listed, `last` the last source page."""
    wanted = [_pages_of(finding, last) for finding in findings]
    chosen: list[int] = []
    for turn in range(A_FINDING):
        for pages in wanted:
            if turn < len(pages) and pages[turn] not in chosen and len(chosen) < PAGES:
                chosen.append(pages[turn])
    return tuple(
        ChosenPage(
            page,
            tuple(
                _pointer(number, finding, page)
                for number, finding in enumerate(findings, start=1)
                if page in wanted[number - 1]
            ),
        )
        for page in sorted(chosen)
    )


def _pages_of(finding: Finding, last: int) -> list[int]:
    """The nearest page, then the first, then the last of those it speaks of."""
    nearest = finding.numbers.get("nearest_page")
    if finding.code in _UNSEEN or (finding.severity is Severity.NOTE and nearest is None):
        return []
    most = A_FINDING if nearest is not None or finding.side else _NO_PLACE
    pages = [page for page in sorted(set(finding.pages)) if 1 <= page <= last]
    if isinstance(nearest, int) and 1 <= nearest <= last:
        pages = [nearest, *pages[:1], *pages[-1:], *pages[1:-1]]
    return list(dict.fromkeys(pages))[:most]


def _pointer(number: int, finding: Finding, page: int) -> Pointer:
    if finding.numbers.get("nearest_page") != page:
        return Pointer(finding=number, side=finding.side)
    numbers = finding.numbers
    missing = str(numbers.get("missing", ""))
    measured = str(numbers.get("distance", ""))
    box = box_from(str(numbers.get("box", "")))
    return Pointer(finding=number, side=finding.side, box=box, measured=measured, missing=missing)


def box_from(text: str) -> Box | None:
    """The inverse of `Box.text("pt")` to a thousandth of a point; None for anything else."""
    match = _BOX.fullmatch(text)
    if match is None:
        return None
    x0, x1, y0, y1 = (Length.points(number) for number in match.groups())
    return Box(x0, y0, x1, y1)
