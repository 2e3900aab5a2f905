"""The needle's way in words, one hop a line: to a hole and through it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.model.holes import Makes
from impose.plan.holes import HolePlan, Move, Pass

_EDGE: Final = {Move.SPINE: "spine", Move.HEAD: "head", Move.FOOT: "foot"}
Hop = tuple[Pass, ...]


def hops(way: tuple[Pass, ...]) -> tuple[Hop, ...]:
    """The way parted after each pass through a hole; the start belongs to the first."""
    found: list[Hop] = []
    here: list[Pass] = []
    for one in way:
        here.append(one)
        if one.move is Move.THROUGH:
            found.append(tuple(here))
            here = []
    return (*found, tuple(here)) if here else tuple(found)


def needle_steps(plan: HolePlan, unit: str) -> tuple[str, ...]:
    """A line for each hop, and what follows the last; empty where there is no needle."""
    if not plan.way:
        return ()
    return (*(_hop_words(plan, hop, unit) for hop in hops(plan.way)), *_end(plan))


def _hop_words(plan: HolePlan, hop: Hop, unit: str) -> str:
    first, last = hop[0], hop[-1]
    to = f"through hole {last.hole} to the {last.face.value}"
    if first.move is Move.START:
        tail = plan.thread.tail.text(unit) if plan.thread else "a hand"
        return f"Begin at hole {first.hole} on the {first.face.value}: leave {tail} of thread, {to}"
    if first.move in _EDGE:
        return f"Round the {_EDGE[first.move]}, and again {to}"
    if first.move is Move.ALONG and len(hop) == 1:
        return f"Along the {first.face.value} to hole {first.hole}"
    if first.move is Move.ALONG:
        before = f"along the {first.face.value} to hole {first.hole}"
        return f"{before[0].upper()}{before[1:]}, {to}"
    return f"Round the cord, or through the loop of the section below, and back {to}"


def _end(plan: HolePlan) -> Iterator[str]:
    middle = plan.way[-1].hole
    if plan.makes is Makes.SEWN:
        yield from _next_sections(plan)
    elif plan.makes is Makes.STAB:
        yield (
            "Pull every stretch tight along the spine, not upward; knot both ends at hole "
            f"{middle}, pull the knot into the hole, cut the ends"
        )
    else:
        face = plan.way[0].face.value
        yield (
            f"Both ends are now on the {face} at hole {middle}, one on either side of the long "
            "stitch: pull tight along the fold, not upward, knot them over it, cut the ends to "
            "about 10 mm (3/8 in)"
            if plan.makes is Makes.FOLD
            else f"Both ends are now on the {face} at hole {middle}, one on either side of the "
            "long stitch: pull tight along the spine, knot them over it, cut the ends"
        )


def _next_sections(plan: HolePlan) -> Iterator[str]:
    last = plan.holes[-1].number
    if plan.tape is None:
        yield (
            "Without cords the first section has nothing to link to: its thread stays inside past "
            "the holes between, or leaves small loops outside for the next to go through"
        )
    yield (
        f"Lay the second section on, heads together: in at its hole {last}, the same way back "
        "to hole 1; there pull tight along the fold and knot the thread to its beginning"
    )
    yield (
        "Every further section the other way again, and at its end a kettle stitch: the needle "
        "behind the thread that joins the two sections below, up through its own loop, pulled "
        "tight; then into the next section"
    )
    yield "After the last section two kettle stitches, and the thread is cut"
