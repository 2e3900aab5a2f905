"""The same thing on many pages is one finding with a page range.

Things belong together when kind, side and judgement agree and they lie about
as far from the side (within 0.2 mm) at about the same place along it.  A book
with too many different places is told as one finding with the nearest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.seen import Seen
from impose.checks.words import is_number
from impose.findings import Finding
from impose.geometry.box import Box
from impose.model.looks import Matter, Outline
from impose.units import ZERO, Length

_SAME: Final = Length.mm("0.2")
_SAME_PLACE: Final = Length.mm(15)
#: With more groups than this of one kind, they are told as one.
_MOST: Final = 6


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing judged on one page.

    `outline` is as printed, `at` where it lies in the page's own coordinates.
    `near` is its distance inside the trim (negative: beyond it), `safe` what it
    should be (for bleed: how far beyond).
    """

    code: str
    page: int
    side: str
    outline: Outline
    near: Length
    safe: Length
    along: tuple[Length, Length]
    at: Box

    @property
    def where(self) -> dict[str, str | int]:
        """For pictures of the finding: the page, and the box on it."""
        return {"nearest_page": self.page, "box": self.at.text("pt")}

    @property
    def numbered(self) -> bool:
        return self.outline.matter is Matter.TEXT and is_number(self.outline.words)


@dataclass(frozen=True, slots=True)
class Group:
    """Hits told together, the nearest first."""

    hits: tuple[Hit, ...]

    @property
    def worst(self) -> Hit:
        return self.hits[0]

    @property
    def pages(self) -> tuple[int, ...]:
        return tuple(sorted({hit.page for hit in self.hits}))

    @property
    def outlines(self) -> tuple[Outline, ...]:
        return tuple(hit.outline for hit in self.hits)


def hit(code: str, page: int, side: str, seen: Seen, safe: Length) -> Hit:
    """What a rule found of one thing at one side."""
    size = Box(ZERO, ZERO, seen.across, seen.up)
    printed = Outline(seen.outline.matter, size, seen.outline.words)
    return Hit(
        code, page, side, printed, seen.distance(side), safe, seen.along(side), seen.outline.box
    )  # fmt: skip


def tell(hits: Iterable[Hit], say: Callable[[Group], Finding]) -> tuple[Finding, ...]:
    """One finding for each group."""
    return tuple(say(group) for group in _groups(hits))


def _groups(hits: Iterable[Hit]) -> list[Group]:
    kinds: dict[tuple[object, ...], list[Hit]] = {}
    for one in hits:
        key = (one.code, one.side, one.outline.matter, one.numbered, one.safe)
        kinds.setdefault(key, []).append(one)
    groups: list[Group] = []
    for found in kinds.values():
        nearest = _nearest_of_pages(found)
        parts = [part for run in _runs(nearest) for part in _places(run)]
        told = [_sorted(nearest)] if len(parts) > _MOST else parts
        groups.extend(Group(tuple(part)) for part in told)
    return groups


def _nearest_of_pages(hits: Sequence[Hit]) -> list[Hit]:
    """A page tells the nearest of each kind only."""
    nearest: dict[int, Hit] = {}
    for one in hits:
        known = nearest.get(one.page)
        if known is None or one.near < known.near:
            nearest[one.page] = one
    return list(nearest.values())


def _runs(hits: Sequence[Hit]) -> list[list[Hit]]:
    """Parted where the distance differs by more than 0.2 mm from the nearest of the run."""
    runs: list[list[Hit]] = []
    for one in _sorted(hits):
        if runs and one.near - runs[-1][0].near <= _SAME:
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs


def _places(run: Sequence[Hit]) -> list[list[Hit]]:
    """Parted by where they lie along the side: one end or the other about the same."""
    places: list[list[Hit]] = []
    for one in run:
        for place in places:
            first = place[0]
            if any(a.near(b, _SAME_PLACE) for a, b in zip(one.along, first.along, strict=True)):
                place.append(one)
                break
        else:
            places.append([one])
    return places


def _sorted(hits: Sequence[Hit]) -> list[Hit]:
    return sorted(hits, key=lambda one: (one.near.grains, one.page))
