"""Where holes lie along a spine: a pattern laid on a height.

Holes without a pitch are shared out evenly between the first and the last; at
a pitch as many are taken as fit, and stand in the middle of the height.  Tapes
lie evenly between the kettle stitches, a hole at either side of each (common
practice).  All distances are from the trimmed head to the middle of a hole.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction

from impose.errors import JobError
from impose.findings import Finding
from impose.model.holes import HolePattern, Holes
from impose.units import ZERO, Length


def hole_places(holes: Holes, height: Length, unit: str) -> tuple[Length, ...]:
    """From the head on.  Raises JobError when the pattern does not go on this height."""
    pattern = holes.pattern
    if holes.at:
        places = holes.at
    elif pattern.pitch is not None:
        places = _at_pitch(holes, pattern.pitch, height, unit)
    else:
        head, foot = _ends(holes, height)
        if head + foot >= height and (pattern.tapes or (pattern.count or 0) > 1):
            raise _no_room(pattern, height, head + foot, unit)
        if pattern.tapes:
            places = _beside_tapes(pattern, height, head, foot)
        else:
            places = evenly(height, head, foot, pattern.count or 1)
    _refuse_outside(pattern, places, height, unit)
    return places


def evenly(height: Length, head: Length, foot: Length, count: int) -> tuple[Length, ...]:
    """`count` places, the first `head` from the head, the last `foot` from the foot; a single
    one in the middle between.  Ends alike give places that mirror each other exactly."""
    last = height - foot
    if count == 1:
        return ((head + last).half,)
    span = last - head
    places = [head + span * Fraction(index, count - 1) for index in range(count)]
    if head == foot:
        places = _mirrored(places, height)
    return tuple(places)


def _mirrored(places: list[Length], height: Length) -> list[Length]:
    half = len(places) // 2
    return [*places[: len(places) - half], *(height - place for place in places[:half][::-1])]


def _ends(holes: Holes, height: Length) -> tuple[Length, Length]:
    """Of the first hole from the head, of the last from the foot."""
    pattern = holes.pattern
    usual = pattern.ends if pattern.ends_share is None else height * pattern.ends_share
    head = usual if holes.from_head is None else holes.from_head
    foot = usual if holes.from_foot is None else holes.from_foot
    return head, foot


def _at_pitch(holes: Holes, pitch: Length, height: Length, unit: str) -> tuple[Length, ...]:
    head, foot = _ends(holes, height)
    count = holes.pattern.count
    if count is None:
        count = max(0, (height - head - foot) // pitch + 1) if height >= head + foot else 0
    span = pitch * (count - 1)
    if not count or span > height:
        least = head + foot if not count else span
        raise _no_room(holes.pattern, height, least, unit)
    first = (height - span).half
    if holes.from_head is not None:
        first = holes.from_head
    elif holes.from_foot is not None:
        first = height - holes.from_foot - span
    return tuple(first + pitch * index for index in range(count))


def _beside_tapes(
    pattern: HolePattern, height: Length, head: Length, foot: Length
) -> tuple[Length, ...]:
    """Kettle, a pair for each tape, kettle."""
    span, half = height - head - foot, pattern.tape.half
    places = [head]
    for number in range(1, pattern.tapes + 1):
        middle = head + span * Fraction(number, pattern.tapes + 1)
        places += [middle - half, middle - half + pattern.tape]
    places.append(height - foot)
    return tuple(_mirrored(places, height) if head == foot else places)


def _no_room(pattern: HolePattern, height: Length, need: Length, unit: str) -> JobError:
    return JobError(
        [
            Finding.error(
                "holes-no-room",
                f"{pattern.name}: the spine is {height.text(unit)} long, the holes need more than "
                f"{need.text(unit)}",
                hint="fewer holes (count), smaller distances (from_head, from_foot, pitch), or "
                "another pattern",
            )
        ]
    )


def _refuse_outside(
    pattern: HolePattern, places: Sequence[Length], height: Length, unit: str
) -> None:
    """Every hole lies wholly inside the trim, and paper is left between each two."""
    faults = []
    half = pattern.along.half
    for number, place in enumerate(places, start=1):
        if place - half <= ZERO or place + half >= height:
            faults.append(
                Finding.error(
                    "hole-outside",
                    f"hole {number}, {place.text(unit)} from the trimmed head, does not lie "
                    f"within the height of {height.text(unit)}",
                    hint="move it (at, from_head, from_foot), or take fewer (count)",
                )
            )
    for number, (before, after) in enumerate(itertools.pairwise(places), start=1):
        if after - before <= pattern.along:
            faults.append(
                Finding.error(
                    "holes-too-near",
                    f"holes {number} and {number + 1} are {(after - before).text(unit)} apart, "
                    f"and one is {pattern.along.text(unit)} long",
                    hint="take fewer holes (count) or move them apart",
                )
            )
    if faults:
        raise JobError(faults)
