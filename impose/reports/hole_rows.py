"""The holes in words, for ticket, guide and report: each from the trimmed head, the untrimmed
length beside."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.bench.holesteps import thread_words
from impose.model.holes import HoleShape, Makes
from impose.plan.holes import Hole, HolePlan
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.reports.ticket_rows import Row, ruler_words
from impose.units import both_units

#: More holes at one pitch than this are told by the first, the pitch and the last.
_MANY: Final = 8


def hole_rows(plan: Plan) -> Iterator[Row]:
    """Nothing where the book has no holes."""
    holes, unit = plan.holes, plan.unit
    if holes is None:
        return
    word = "staples" if holes.shape is HoleShape.STAPLE else "holes"
    yield Row("Pattern", f"{holes.pattern}: {len(holes.holes)} {word}{_pieces(holes)}")
    yield Row("Size of one", size_words(holes, unit))
    where = "on the fold" if holes.makes.on_fold else ruler_words(holes.from_spine, unit)
    yield Row("From the spine, to the middle", where)
    many = holes.pitch is not None and len(holes.holes) > _MANY
    if many and holes.pitch is not None:
        first, last = holes.holes[0], holes.holes[-1]
        yield Row(_name(holes, first), hole_words(holes, first, unit))
        yield Row("Then every", both_units(holes.pitch, unit))
        yield Row(_name(holes, last), hole_words(holes, last, unit))
    else:
        for hole in holes.holes:
            yield Row(_name(holes, hole), hole_words(holes, hole, unit))
        yield Row("Head, gaps, foot", gaps_words(holes, unit))
    yield Row("Height", height_words(holes, unit))
    cut = any(one.when is When.AFTER_BINDING for one in plan.cuts)
    if holes.makes.trim_first and cut:
        yield Row("Trimmed", "before the holes are made")
    if holes.thread is not None:
        yield Row("Thread", thread_words(holes, unit).removeprefix("Thread: "))
    yield Row("Guide", "guide.pdf, at actual size")


def _pieces(holes: HolePlan) -> str:
    if holes.makes is Makes.SEWN and holes.pieces > 1:
        return f", the same in all {holes.pieces} sections"
    return ""


def _name(holes: HolePlan, hole: Hole) -> str:
    if holes.shape is HoleShape.STAPLE:
        return f"Middle of staple {hole.number}"
    return f"Hole {hole.number}, kettle" if hole.kettle else f"Hole {hole.number}"


def size_words(holes: HolePlan, unit: str) -> str:
    """What a hole looks like."""
    along, across = both_units(holes.along, unit), both_units(holes.across, unit)
    if holes.shape is HoleShape.STAPLE:
        return f"{along} from leg to leg, along the spine"
    if holes.shape is HoleShape.PIERCED:
        return f"pierced with an awl or a needle, about {both_units(holes.along, 'mm')}"
    if holes.along == holes.across:
        return f"{holes.shape.value}, {along} across"
    return f"{holes.shape.value}, {along} along the spine, {across} away from it"


def hole_words(holes: HolePlan, hole: Hole, unit: str) -> str:
    """From the trimmed head; where the holes come first, from the untrimmed paper's edge too."""
    words = f"{ruler_words(hole.from_head, unit)} from the trimmed head"
    if holes.head and not holes.makes.trim_first:
        words += f", {holes.untrimmed_from_head(hole).text(unit)} from the untrimmed"
    return words


def gaps_words(holes: HolePlan, unit: str) -> str:
    """`12 + 62 + 62 + 62 + 12 = 210 mm`."""
    gaps = " + ".join(gap.text(unit).removesuffix(unit).strip() for gap in holes.gaps)
    return f"{gaps} = {holes.height.text(unit)}"


def height_words(holes: HolePlan, unit: str) -> str:
    """Trimmed and untrimmed."""
    trimmed = f"{both_units(holes.height, unit)} trimmed"
    if holes.untrimmed == holes.height:
        return f"{trimmed}, nothing is cut off at head and foot"
    return (
        f"{trimmed}, {holes.untrimmed.text(unit)} untrimmed: {holes.head.text(unit)} beyond the "
        f"head, {holes.foot.text(unit)} beyond the foot"
    )
