"""The guide at full size: a strip with every hole, laid on the book or in its fold.

The strip is as high as the paper that it is laid on when the holes are made, so
that its ends lie at the paper's own edges; the trimmed head and foot are lines
on it.  Where it is longer than a sheet of the guide's paper it ends before the
foot, if all holes are on it; else it is parted: the parts overlap, and both show
the line at which they are joined.  Everything is
given on the sheet it is printed on: origin at the lower left, y up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.model.holes import HoleShape
from impose.model.job import Job
from impose.plan.holes import HolePlan
from impose.plan.plan import Plan
from impose.units import ZERO, Length

#: Kept clear of the paper's edges: office printers leave up to that white (common practice).
MARGIN: Final = Length.mm(10)
#: What two parts of a strip have in common.
OVERLAP: Final = Length.mm(24)
#: Paper beyond the last hole of a strip that ends before the foot.
_BEYOND: Final = Length.mm(8)
#: Places in the overlap that are tried for the join, and what is far enough from a hole.
_JOIN: Final = Length.mm(2)
_JOIN_CLEAR: Final = Length.mm(8)
#: Room beside the holes for their numbers and distances.
_LABELS: Final = Length.mm(70)
#: A strip that is folded has as much paper on the other side of its line.
_OTHER_SIDE: Final = Length.mm(14)
#: The least that is left beside the strip for words.
_WORDS: Final = Length.mm(60)
_GAP: Final = Length.mm(8)
#: The paper where the job names none, by the unit for people.
_PAPER: Final = {
    "mm": Size(Length.mm(210), Length.mm(297)),
    "in": Size(Length.inches("8.5"), Length.inches(11)),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideHole:
    """A hole on one sheet of the guide: its middle, and how high and wide it is."""

    number: int
    middle: tuple[Length, Length]
    size: Size
    kettle: bool
    legs: tuple[tuple[Length, Length], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideSheet:
    """One sheet of the guide.

    `strip` is what is cut out, `spine_x` the spine edge or the fold.  `head_y`
    and `foot_y` are the trimmed head and foot, None where they lie on another
    sheet; `joins` are letter and height of each line at which the parts meet.
    `top_is_edge` and `bottom_is_edge`: the strip ends there at the paper's edge.
    """

    number: int
    of: int
    strip: Box
    spine_x: Length
    holes: tuple[GuideHole, ...]
    head_y: Length | None
    foot_y: Length | None
    joins: tuple[tuple[str, Length], ...]
    top_is_edge: bool
    bottom_is_edge: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class GuideLayout:
    """The sheets of a guide; `words` is the room for what is said, the same on each.

    `labels_right`: numbers and distances stand to the right of the holes.
    `trimmed`: the strip is as high as the trimmed page.
    """

    paper: Size
    sheets: tuple[GuideSheet, ...]
    words: Box
    labels_right: bool
    trimmed: bool


def guide_layout(plan: Plan, job: Job) -> GuideLayout:
    """The guide of a book with holes.  Raises JobError when its paper is too small."""
    holes = plan.holes
    assert holes is not None  # the caller asked
    paper = guide_paper(job)
    at_left = holes.makes.on_fold or not plan.bound_at.mirrored
    wide = holes.reach + _LABELS + (_OTHER_SIDE if holes.makes.on_fold else ZERO)
    _refuse_small(job, paper, wide)
    trimmed = holes.makes.trim_first
    left = MARGIN if at_left else paper.width - MARGIN - wide
    strip_x = (left, left + wide)
    spine_x = strip_x[0] + (_OTHER_SIDE if holes.makes.on_fold else ZERO)
    words = Box(strip_x[1] + _GAP, MARGIN, paper.width - MARGIN, paper.height - MARGIN)
    if not at_left:
        spine_x = strip_x[1]
        words = Box(MARGIN, MARGIN, strip_x[0] - _GAP, paper.height - MARGIN)
    whole = holes.height if trimmed else holes.untrimmed
    head = ZERO if trimmed else holes.head
    last = head + max(leg for hole in holes.holes for leg in holes.legs(hole))
    spans = _spans(whole, paper.height - MARGIN * 2, last + _BEYOND)
    maker = _SheetMaker(holes, paper, strip_x, spine_x, at_left, head, whole)
    return GuideLayout(
        paper=paper,
        sheets=tuple(maker.sheet(number, spans) for number in range(len(spans))),
        words=words,
        labels_right=at_left,
        trimmed=trimmed,
    )


def guide_paper(job: Job) -> Size:
    """As the job says, the short side across; else A4 or letter, by its unit."""
    named = job.holes.guide if job.holes is not None else None
    size = _PAPER[job.unit] if named is None else named.size
    return size.turned if size.landscape else size


def _refuse_small(job: Job, paper: Size, wide: Length) -> None:
    need = MARGIN * 2 + wide + _GAP + _WORDS
    if paper.width >= need and paper.height >= OVERLAP * 4 + MARGIN * 2:
        return
    unit = job.unit
    raise JobError(
        [
            Finding.error(
                "guide-paper-too-small",
                f"the guide needs paper at least {need.text(unit)} wide; its paper is "
                f"{paper.text(unit)}",
                hint='name a larger one in [holes]: guide = "a4" or "letter"',
            )
        ]
    )


def _spans(whole: Length, room: Length, enough: Length) -> list[tuple[Length, Length]]:
    """From where to where of the strip, counted from its head end, each sheet shows.

    A strip that is longer than the paper and whose holes all fit on it ends before the foot.
    """
    if whole <= room or enough <= room:
        return [(ZERO, min(whole, room))]
    step = room - OVERLAP
    count = -((OVERLAP - whole) // step)
    shares = (whole - OVERLAP).split(count)
    spans, start = [], ZERO
    for share in shares:
        spans.append((start, start + share + OVERLAP))
        start = start + share
    return spans


@dataclass(frozen=True, slots=True)
class _SheetMaker:
    """Lays one part of the strip on its sheet, the head end at the top."""

    plan: HolePlan
    paper: Size
    strip_x: tuple[Length, Length]
    spine_x: Length
    at_left: bool
    head: Length
    whole: Length

    def sheet(self, index: int, spans: list[tuple[Length, Length]]) -> GuideSheet:
        start, end = spans[index]
        top = self.paper.height - MARGIN

        def y(along: Length) -> Length:
            return top - (along - start)

        shown = [(name, y(along)) for name, along in self._trims() if start <= along <= end]
        trims = dict(shown)
        return GuideSheet(
            number=index + 1,
            of=len(spans),
            strip=Box(self.strip_x[0], y(end), self.strip_x[1], top),
            spine_x=self.spine_x,
            holes=tuple(self._holes(start, end, top)),
            head_y=trims.get("head"),
            foot_y=trims.get("foot"),
            joins=tuple(
                (letter, y(along)) for letter, along in self._joins(spans) if start <= along <= end
            ),
            top_is_edge=index == 0,
            bottom_is_edge=end == self.whole,
        )

    def _trims(self) -> tuple[tuple[str, Length], ...]:
        return (("head", self.head), ("foot", self.head + self.plan.height))

    def _holes(self, start: Length, end: Length, top: Length) -> Iterator[GuideHole]:
        plan, half = self.plan, self.plan.along.half
        out = plan.from_spine if self.at_left else -plan.from_spine
        x = self.spine_x + out
        for hole in plan.holes:
            along = self.head + hole.from_head
            if start <= along - half and along + half <= end:
                legs = tuple((x, top - (self.head + leg - start)) for leg in plan.legs(hole))
                yield GuideHole(
                    number=hole.number,
                    middle=(x, top - (along - start)),
                    size=Size(plan.across, plan.along),
                    kettle=hole.kettle,
                    legs=legs if plan.shape is HoleShape.STAPLE else (),
                )

    def _joins(self, spans: list[tuple[Length, Length]]) -> Iterator[tuple[str, Length]]:
        """Within each overlap, where it is farthest from holes and trimmed edges."""
        ends = [self.head, self.head + self.plan.height]
        taken = [*ends, *(self.head + hole.from_head for hole in self.plan.holes)]
        for index, (_, end) in enumerate(spans[:-1]):
            places = [end - _JOIN * step for step in range(1, OVERLAP // _JOIN)]
            places += [  # midway between two holes is clear of the figures of both
                (low + high).half
                for low, high in pairwise(sorted(taken, key=lambda one: one.grains))
                if end - OVERLAP < (low + high).half < end
            ]
            middle = end - OVERLAP.half

            def worth(place: Length, middle: Length = middle) -> tuple[int, int]:
                clear = min(abs(place - one) for one in taken)
                return min(clear, _JOIN_CLEAR).grains, -abs(place - middle).grains

            yield chr(ord("A") + index), max(places, key=worth)
