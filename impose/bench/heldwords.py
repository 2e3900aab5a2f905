"""Wire, coil, comb and rings in words: which size, and how it goes through punched holes."""

from __future__ import annotations

from typing import Final

from impose.plan.holes import HolePlan
from impose.units import Length, reading_text

#: How much wider than the block a wire, coil or comb is, so that the leaves turn (from memory).
_ROOM: Final = {"mm": Length.mm(3), "in": Length.inches("1/8")}
_STEP: Final = {"mm": Length.mm("0.5"), "in": Length.inches("1/32")}
_HOW: Final = {
    "wire": (
        "Put the wire in",
        "Hang the leaves on the open wire, and press it together along its whole length in a wire "
        "closer until the tips of every loop meet; its seam lies at the back, at the last leaf.",
    ),
    "coil": (
        "Wind the coil in",
        "Wind the coil in from one end until it looks out at both; cut it off two loops beyond "
        "the last hole, and bend the tip of each end inward with pliers, so that it cannot wind "
        "itself out.",
    ),
    "comb": (
        "Put the comb in",
        "Open the comb on the machine, hang the leaves on its teeth, the first leaf toward you, "
        "and let it close; the closed back of the comb lies outside.",
    ),
    "rings": (
        "Put the leaves on the rings",
        "Open the rings, lay the leaves on, close them; turn a few leaves to see that none "
        "catches.",
    ),
}
_ANY: Final = (
    "Put the wire, coil, comb or rings in",
    "Close it as its maker says, and turn a few leaves to see that none catches.",
)


def held_words(holes: HolePlan, unit: str) -> tuple[str, ...]:
    """The title of the step, and its notes in the order of the work."""
    title, how = _HOW.get(holes.held_by, _ANY)
    return title, *_size(holes, unit), "Turn all leaves the same way, the first one up.", how


def _size(holes: HolePlan, unit: str) -> tuple[str, ...]:
    """How wide, from the thickness of the block; nothing of rings that are bought as a binder."""
    if holes.held_by == "rings":
        return ()
    what = f"The {holes.held_by}" if holes.held_by else "It"
    room, step = _ROOM[unit], _STEP[unit]
    least = step * -(-(holes.thick + room).grains // step.grains)
    return (
        f"{what} must be {reading_text(least, unit)} across or the next size up: the block is "
        f"{holes.thick.text(unit)} thick, and {reading_text(room, unit)} more lets the leaves turn "
        "(from memory; the maker's table decides).",
    )
