"""Art that lies where the printer cannot print: what is really there, not what might be.

A printer leaves a margin white along the edges of the sheet, the same edges of
the file for front and back.  Ink of a page that is wanted (within its trim) and
reaches into that margin is lost; what lies beyond the trim is cut off anyway.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.grouping import Group, Hit
from impose.checks.words import file_of, measured, pages_text, stated, things_name
from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.model.job import Job
from impose.model.looks import Matter, Outline, PageLook
from impose.plan.insets import is_cover
from impose.plan.parts import Placement, Side
from impose.plan.plan import Plan
from impose.schemes.pressroom import printable
from impose.schemes.rooms import room_on
from impose.units import ZERO, Length

CODE: Final = "unprintable"
#: The note that is made from the geometry alone, where nobody looked at the pages.
BY_GEOMETRY: Final = "unprintable-margin"
#: Less is not seen, and no printer is that exact (common practice).
_SLACK: Final = Length.mm("0.3")


def check_unprintable(plan: Plan, job: Job, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """One finding for things that belong together; nothing without a printer that is known."""
    printer = job.guts.printer
    if printer is None:
        return ()
    hits: list[Hit] = []
    for sheet in plan.sheets:
        if is_cover(sheet.role):
            continue
        whole = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
        inside = printable(sheet, job)
        for _, side in sheet.sides:
            hits.extend(_on_side(plan, looks, side, _Frame(whole, inside)))
    movable = sides_that_could_move(plan, job)
    return tuple(_say(group, plan, job, movable) for group in _groups(hits))


def all_looked(plan: Plan, looks: Sequence[PageLook]) -> bool:
    """Every page could be looked at, so that nothing need be supposed from the geometry."""
    return len(looks) == len(plan.pages) and all(look.looked for look in looks)


def _groups(hits: Sequence[Hit]) -> Iterator[Group]:
    """Things of a kind at one side of the page and in one margin, a page once, the nearest first:
    creep and turned backs part them by fractions that are nothing to a margin."""
    kinds: dict[tuple[str, Length, bool], dict[int, Hit]] = {}
    for hit in sorted(hits, key=lambda one: (one.near.grains, one.page)):
        text = hit.outline.matter in (Matter.TEXT, Matter.INK)
        kinds.setdefault((hit.side, hit.safe, text), {}).setdefault(hit.page, hit)
    for found in kinds.values():
        yield Group(tuple(found.values()))


def sides_that_could_move(plan: Plan, job: Job) -> frozenset[str]:
    """Sides of the page that moving the guts on the sheet would bring out of the margins."""
    guts = next(sheet for sheet in plan.sheets if sheet.role == "guts")
    if job.guts.clear_of_margins or job.guts.lay is not None:
        return frozenset()
    asked = job.guts
    ink = room_on(asked.sheets[0], guts.size, asked.printer, asked.flip, asked.work).ink
    trims = [placement.trim for _, side in guts.sides for placement in side.placements]
    held = {fold.across for fold in guts.folds}
    on_edge = plan.scheme == "leaves" and len(guts.front.placements) == 1
    sides: set[str] = set()
    if True not in held and _fits([(t.y0, t.y1) for t in trims], ink.height):
        sides |= {"head", "foot"}
    free_across = False not in held and not on_edge and not plan.french
    if free_across and _fits([(t.x0, t.x1) for t in trims], ink.width):
        sides |= {"spine", "fore-edge"}
    return frozenset(sides)


def _fits(spans: Sequence[tuple[Length, Length]], room: Length) -> bool:
    return max(high for _, high in spans) - min(low for low, _ in spans) <= room


@dataclass(frozen=True, slots=True)
class _Frame:
    """A side of a sheet, and what can be printed of it."""

    whole: Box
    inside: Box

    def lost(self, box: Box, edge: Edge) -> tuple[Length, Length, Length]:
        """At an edge of the sheet: how near the box comes, the margin, and how much of it is
        lost (below zero: nothing)."""
        near, margin = {
            Edge.LEFT: (box.x0 - self.whole.x0, self.inside.x0 - self.whole.x0),
            Edge.RIGHT: (self.whole.x1 - box.x1, self.whole.x1 - self.inside.x1),
            Edge.BOTTOM: (box.y0 - self.whole.y0, self.inside.y0 - self.whole.y0),
            Edge.TOP: (self.whole.y1 - box.y1, self.whole.y1 - self.inside.y1),
        }[edge]
        return max(near, ZERO), margin, margin - near


def _on_side(plan: Plan, looks: Sequence[PageLook], side: Side, frame: _Frame) -> Iterator[Hit]:
    for placement in side.placements:
        if placement.page is None or frame.inside.contains(_moved(placement.trim, side)):
            continue
        look = looks[placement.page - 1]
        if not look.looked:
            continue
        placing = plan.pages[placement.page - 1].placing(placement)
        for outline in look.outlines:
            seen = placing.box(outline.box).meet(placement.trim)
            if not seen.empty:
                yield from _hits(placement, outline, _moved(seen, side), frame)


def _moved(box: Box, side: Side) -> Box:
    """Where it is sent to, for a printer whose sides are corrected."""
    if side.move.idle:
        return box
    points = [side.move.point((x, y)) for x in (box.x0, box.x1) for y in (box.y0, box.y1)]
    xs, ys = ([point[axis] for point in points] for axis in (0, 1))
    return Box(min(xs), min(ys), max(xs), max(ys))


def _hits(placement: Placement, outline: Outline, box: Box, frame: _Frame) -> Iterator[Hit]:
    assert placement.page is not None
    for edge in Edge:
        near, margin, lost = frame.lost(box, edge)
        if lost <= _SLACK:
            continue
        size = Box(ZERO, ZERO, box.width, box.height)
        yield Hit(
            CODE,
            placement.page,
            _page_side(placement, edge),
            Outline(outline.matter, size, outline.words),
            near,
            margin,
            (ZERO, ZERO),
            outline.box,
        )


def _page_side(placement: Placement, edge: Edge) -> str:
    """The side of the page that lies at that edge of the sheet."""
    if edge is placement.spine_at:
        return "spine"
    if edge is placement.spine_at.opposite:
        return "fore-edge"
    return "head" if (edge is Edge.TOP) != placement.upside_down else "foot"


def _say(group: Group, plan: Plan, job: Job, movable: frozenset[str]) -> Finding:
    worst, unit = group.worst, job.unit
    name, where = things_name(group.outlines, unit), pages_text(group.pages)
    near, margin = measured(worst.near, unit), stated(worst.safe, unit)
    printer = job.guts.printer.name if job.guts.printer else ""
    is_text = worst.outline.matter in (Matter.TEXT, Matter.INK)
    reaches = f"reaches to {near} from" if worst.near > _SLACK else "reaches"
    return Finding(
        severity=Severity.ERROR if worst.outline.matter is Matter.TEXT else Severity.WARNING,
        code=CODE,
        message=(
            f"{name} on {where}: {reaches} the edge of the sheet at the {worst.side}; {printer} "
            f"cannot print {margin} there: {'it is lost' if is_text else 'a white edge is left'}"
        ),
        hint=_hint(worst.side in movable),
        file=file_of(plan, group.pages),
        pages=group.pages,
        side=worst.side,
        numbers={
            "distance": worst.near.text(unit),
            "margin": worst.safe.text(unit),
            **worst.where,
        },
    )


def _hint(could_move: bool) -> str:
    shift = 'on_sheet = "clear of margins" in [guts], ' if could_move else ""
    return f"try {shift}a larger sheet, a smaller trim, or a printer with smaller margins"
