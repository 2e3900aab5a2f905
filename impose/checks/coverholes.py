"""Holes against what is on the cover, which is pierced or punched together with the block.

As on the pages (`impose.checks.holes`): words in a hole are an error, a picture, line
or shape a warning; what runs over the spine's edge is a background.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from impose.checks.holes import CLEAR, THROUGH, hole_bands, listed_holes
from impose.checks.words import file_of, measured, thing_name
from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.model.looks import Matter, Outline, PageLook
from impose.plan.coverfacts import CoverFacts
from impose.plan.holes import HolePlan
from impose.plan.parts import Placement
from impose.plan.plan import Plan
from impose.units import ZERO, Length

#: Side bearings of letters are counted as letter (own measurement: up to 0.1 mm).
_SLACK: Final = Length.mm("0.15")


def check_cover_holes(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """One finding for each thing on the cover that a hole goes through."""
    holes, cover = plan.holes, plan.cover
    sheet = next((sheet for sheet in plan.sheets if sheet.role == "cover"), None)
    if holes is None or cover is None or sheet is None or holes.makes.on_fold:
        return ()
    found: list[Finding] = []
    for side, inside in ((sheet.front, False), (sheet.back, True)):
        for placement in side.placements:
            for outline, box in _things(plan, placement, looks):
                lying = sheet.turned.over(box, sheet.size) if inside else box
                found.extend(_judged(plan, holes, (placement, outline), _spots(cover, lying)))
    return tuple(found)


def _things(
    plan: Plan, placement: Placement, looks: Sequence[PageLook]
) -> Iterator[tuple[Outline, Box]]:
    """What is seen of the art, on the sheet as that side lies."""
    if placement.page is None:
        return
    look, placing = looks[placement.page - 1], plan.pages[placement.page - 1].placing(placement)
    for outline in look.outlines:
        box = placing.box(outline.box).meet(placement.clip)
        if not box.empty:
            yield outline, box


def _spots(cover: CoverFacts, box: Box) -> Iterator[tuple[str, Box]]:
    """Where a thing lies on the front and the back panel: across from the spine's edge, and from
    the head down.  `box` is seen from the outside of the cover."""
    trim, spine = cover.trim, cover.spine.width
    left_flap = cover.flap_back if cover.front_at_right else cover.flap_front
    low = trim.x0 + left_flap + cover.panel.width
    names = ("back", "front") if cover.front_at_right else ("front", "back")
    top, bottom = trim.y1 - box.y1, trim.y1 - box.y0
    if box.x0 < low:
        yield names[0], Box(low - box.x1, top, low - box.x0, bottom)
    if box.x1 > low + spine:
        yield names[1], Box(box.x0 - low - spine, top, box.x1 - low - spine, bottom)


def _judged(
    plan: Plan,
    holes: HolePlan,
    thing: tuple[Placement, Outline],
    spots: Iterator[tuple[str, Box]],
) -> Iterator[Finding]:
    placement, outline = thing
    printed = outline.matter in (Matter.TEXT, Matter.INK)
    bands = hole_bands(holes)
    for panel, spot in spots:
        if not printed and spot.x0 <= _SLACK:
            continue
        through = tuple(band.number for band in bands if band.meets(spot, _SLACK))
        if through:
            yield _say(plan, holes, (placement, outline, panel), (spot, through))


def _say(
    plan: Plan,
    holes: HolePlan,
    thing: tuple[Placement, Outline, str],
    where: tuple[Box, tuple[int, ...]],
) -> Finding:
    placement, outline, panel = thing
    spot, through = where
    unit, clear = plan.unit, holes.reach + CLEAR
    printed = outline.matter in (Matter.TEXT, Matter.INK)
    first = holes.holes[through[0] - 1].from_head.text(unit)
    word = "hole" if len(through) == 1 else "holes"
    page = placement.page or 0
    return Finding(
        severity=Severity.ERROR if printed else Severity.WARNING,
        code=f"cover-{THROUGH}",
        message=f"{thing_name(outline, unit)} on the {panel} of the cover: {word} "
        f"{listed_holes(through)} ({first} from the head) would go through it: it begins "
        f"{measured(max(spot.x0, ZERO), unit)} from the spine, the holes reach to "
        f"{holes.reach.text(unit)}",
        hint=f"keep {clear.text(unit)} beside the spine free on the cover too, or move the holes: "
        "from_spine, from_head, at or another pattern in [holes]",
        file=file_of(plan, (page,)),
        pages=(page,),
        side="spine",
        numbers={
            "nearest_page": page,
            "box": outline.box.text("pt"),
            "thing": thing_name(outline, unit),
            "distance": spot.x0.text(unit),
            "holes_reach": holes.reach.text(unit),
            "safe": clear.text(unit),
        },
    )
