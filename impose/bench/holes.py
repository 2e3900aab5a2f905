"""The holes of a book, decided once: a pattern on this height, with this paper round it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from impose.bench.holeplaces import hole_places
from impose.bench.needle import needle_way, thread_of
from impose.bench.paper import book_pile
from impose.errors import JobError
from impose.findings import Finding
from impose.model.holes import Holes, HoleShape, Makes
from impose.model.job import Binding, Job
from impose.plan.holes import Hole, HolePlan
from impose.plan.plan import Plan
from impose.schemes.gutspaper import guts_paper
from impose.units import ZERO, Length

#: Paper that is left between a hole and the nearest edge; with less it tears out (from memory).
LEAST: Final = Length.mm(3)
#: The same beside wire and coil, whose holes lie near the edge (from memory).
LEAST_PUNCHED: Final = Length.mm("1.5")


def add_holes(plan: Plan, job: Job) -> Plan:
    """The plan with its holes, and what is to be said of them.

    Raises JobError when they do not go on a spine of this height.
    """
    if job.holes is None:
        return plan
    made = _hole_plan(plan, job, job.holes)
    return replace(plan, holes=made, findings=(*plan.findings, *_findings(made, plan)))


def _hole_plan(plan: Plan, job: Job, holes: Holes) -> HolePlan:
    pattern, height = holes.pattern, plan.leaf.height
    _refuse_wide(plan, job, holes)
    places = hole_places(holes, height, job.unit)
    ends = (1, len(places)) if pattern.makes is Makes.SEWN else ()
    paper = guts_paper(plan)
    tapes = bool(pattern.tapes)
    pieces, thick = _pieces(plan, job)
    made = HolePlan(
        pattern=pattern.name,
        makes=pattern.makes,
        shape=pattern.shape,
        holes=tuple(
            Hole(number, place, number in ends) for number, place in enumerate(places, start=1)
        ),
        from_spine=pattern.from_spine,
        along=pattern.along,
        across=pattern.across,
        height=height,
        head=paper.head,
        foot=paper.foot,
        pieces=pieces,
        thick=thick,
        spine_at_right=plan.bound_at.mirrored,
        pitch=pattern.pitch,
        tape=pattern.tape if tapes else None,
        way=needle_way(pattern.makes, pattern.shape, len(places), tapes),
        source=pattern.source,
        held_by=pattern.held_by,
    )
    return replace(made, thread=thread_of(made, job.unit))


def _pieces(plan: Plan, job: Job) -> tuple[int, Length]:
    """How many are pierced one after the other, and how thick each is at the holes."""
    caliper = job.guts.stock.caliper
    if job.binding is Binding.SADDLE:
        sheets = caliper * (plan.faces // 4)
        cover = job.cover
        separate = cover is not None and cover.separate
        outer = (cover.stock or job.guts.stock).caliper if cover and separate else ZERO
        return 1, sheets + outer
    sections = [step for step in plan.gathering if step.kind == "section"]
    if job.binding is Binding.SECTIONS and sections:
        return len(sections), caliper * max(_thicknesses(plan, step.sheets) for step in sections)
    return 1, book_pile(plan, replace(job, copies=1)).each


def _thicknesses(plan: Plan, numbers: tuple[int, ...]) -> int:
    """Thicknesses of paper at the fold of a section: half its leaves."""
    faces = sum(
        len(side.placements)
        for sheet in plan.sheets
        if sheet.role == "guts" and sheet.number in numbers
        for _, side in sheet.sides
    )
    return max(1, faces // 4)


def _refuse_wide(plan: Plan, job: Job, holes: Holes) -> None:
    pattern, unit = holes.pattern, job.unit
    if pattern.makes.on_fold:
        return
    near, far = (
        pattern.from_spine - pattern.across.half,
        pattern.from_spine + pattern.across.half,
    )
    if near > ZERO and far < plan.leaf.width:
        return
    raise JobError(
        [
            Finding.error(
                "hole-outside",
                f"the holes reach from {near.text(unit)} to {far.text(unit)} from the spine; the "
                f"page is {plan.leaf.width.text(unit)} wide",
                hint="change from_spine or the size of a hole in [holes]",
            )
        ]
    )


def _findings(made: HolePlan, plan: Plan) -> Iterator[Finding]:
    least = LEAST_PUNCHED if made.makes is Makes.PUNCHED else LEAST
    ends = (
        ("head", min(place for hole in made.holes for place in made.legs(hole))),
        ("foot", made.height - max(place for hole in made.holes for place in made.legs(hole))),
    )
    half = ZERO if made.shape is HoleShape.STAPLE else made.along.half
    for side, far in ends:
        if far - half < least:
            yield _thin(side, far - half, least, plan.unit)
    if plan.cover is not None and not made.makes.on_fold:
        yield from _hinge(made, plan.cover.hinge, plan.unit)
    spine = made.from_spine - made.across.half
    if not made.makes.on_fold and spine < least:
        yield _thin("spine", spine, least, plan.unit)


def _hinge(made: HolePlan, hinge: Length, unit: str) -> Iterator[Finding]:
    """A cover that is pierced with the block opens beyond the holes (common practice)."""
    if not hinge or hinge > made.reach:
        return
    yield Finding.warning(
        "hinge-before-holes",
        f"the cover's hinge is {hinge.text(unit)} from the spine, the holes reach to "
        f"{made.reach.text(unit)}: what holds the book holds the cover beyond its hinge",
        hint=f"make the hinge wider: hinge in [cover], {(made.reach + LEAST).text(unit)} or more",
        hinge=hinge.text(unit),
        holes_reach=made.reach.text(unit),
    )


def _thin(side: str, left: Length, least: Length, unit: str) -> Finding:
    return Finding.warning(
        "hole-near-edge",
        f"only {left.text(unit)} of paper is left between a hole and the {side}; with less than "
        f"{least.text(unit)} it may tear out",
        hint="move the holes inward: from_spine, from_head, from_foot, at or count in [holes]",
        left=left.text(unit),
        least=least.text(unit),
    )
