"""Made bleed: the strip outside the trim, drawn from what lies inside it.

Where art ends at the trim the page is drawn again, reflected about the line
where the art ends; stretched, only its outermost quarter millimetre is taken
and drawn out to the whole width of the bleed.  Corners are reflected about
both lines.  Nothing is drawn inside a trim, and only at sides that need it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from typing import Final

from impose.findings import Finding, page_ranges
from impose.geometry.box import Box
from impose.geometry.moving import Move
from impose.geometry.sides import Edge, side_edges
from impose.model.job import MakeBleed
from impose.plan.parts import Placement, Side
from impose.plan.plan import Plan
from impose.plan.strips import Strip
from impose.units import ZERO, Length

#: What is drawn out when bleed is stretched (from memory: thin enough to be one colour).
OUTERMOST: Final = Length.mm("0.25")
#: Sides by name as findings say them, in the order of `PageSides`.
SIDES: Final = ("head", "foot", "spine", "fore-edge")
#: For each page, the sides to be made, and how far art reaches beyond the trim there already.
ToMake = Mapping[int, Mapping[str, Length]]
NOTHING: Final[ToMake] = {}


@dataclass(frozen=True, slots=True)
class _Edge:
    """One edge of a placement as it lies: art ends at `line`, bleed begins at `start` and
    ends at `end` (all x or y of the side)."""

    line: Length
    start: Length
    end: Length
    upright: bool
    made: bool

    def move(self, way: MakeBleed) -> Move:
        """Lays the inside on the strip."""
        wide = abs(self.end - self.line)
        factor = Fraction(1) if way is MakeBleed.MIRROR else wide.ratio(OUTERMOST)
        back = Length(round(self.line.grains * (1 + factor)))
        return Move(a=-factor, e=back) if self.upright else Move(d=-factor, f=back)


def make_bleed(plan: Plan, to_make: ToMake, way: MakeBleed) -> Plan:
    """The plan with strips at the sides named; placements must have their bleed already."""
    if way is MakeBleed.AS_SUPPLIED or not to_make:
        return plan
    sheets = tuple(
        replace(sheet, front=_with(sheet.front, to_make, way), back=_with(sheet.back, to_make, way))
        if sheet.role != "cover"
        else sheet
        for sheet in plan.sheets
    )
    return replace(plan, sheets=sheets, findings=(*plan.findings, _note(plan, to_make, way)))


def _with(side: Side, to_make: ToMake, way: MakeBleed) -> Side:
    strips = tuple(
        strip
        for index, placement in enumerate(side.placements)
        if placement.page is not None and placement.page in to_make
        for strip in _strips(index, placement, to_make[placement.page], way)
    )
    return replace(side, strips=strips) if strips else side


def _strips(
    index: int, placement: Placement, sides: Mapping[str, Length], way: MakeBleed
) -> Iterator[Strip]:
    """Along each made edge, and at corners where two of them meet."""
    left, right, bottom, top = _edges(placement, sides)
    middle_x = (left.start, right.start)
    middle_y = (bottom.start, top.start)
    for edge, other in ((left, None), (right, None), (None, bottom), (None, top)):
        one = edge or other
        assert one is not None
        if one.made and one.start != one.end:
            x = _span(edge) if edge else middle_x
            y = _span(other) if other else middle_y
            yield Strip(index, Box(x[0], y[0], x[1], y[1]), one.move(way))
    for across, up in product((left, right), (bottom, top)):
        if across.made and up.made and across.start != across.end and up.start != up.end:
            x, y = _span(across), _span(up)
            both = across.move(way).after(up.move(way))
            yield Strip(index, Box(x[0], y[0], x[1], y[1]), both)


def _span(edge: _Edge) -> tuple[Length, Length]:
    return min(edge.start, edge.end), max(edge.start, edge.end)


def _edges(placement: Placement, sides: Mapping[str, Length]) -> tuple[_Edge, _Edge, _Edge, _Edge]:
    """Left, right, bottom and top; an edge that is not made ends where its own bleed does."""
    lies = side_edges(placement.spine_at, placement.upside_down)
    reach = {lies[side]: art for side, art in sides.items()}
    trim, full = placement.trim, placement.clip
    return (
        _edge((trim.x0, full.x0), -1, True, reach.get(Edge.LEFT)),
        _edge((trim.x1, full.x1), 1, True, reach.get(Edge.RIGHT)),
        _edge((trim.y0, full.y0), -1, False, reach.get(Edge.BOTTOM)),
        _edge((trim.y1, full.y1), 1, False, reach.get(Edge.TOP)),
    )


def _edge(ends: tuple[Length, Length], out: int, upright: bool, reach: Length | None) -> _Edge:
    """From the trim to where bleed ends; `out` is the direction away from the trim.

    `reach` is how far art goes there (below zero: it ends inside), None where
    nothing is made.
    """
    trim, end = ends
    if reach is None:
        return _Edge(end, end, end, upright, False)
    start = trim + max(reach, ZERO) * out
    if (end - start).grains * out < 0:  # the art reaches farther than there is room
        start = end
    return _Edge(trim + reach * out, start, end, upright, True)


def _note(plan: Plan, to_make: ToMake, way: MakeBleed) -> Finding:
    made = [side for side in SIDES if any(side in sides for sides in to_make.values())]
    names = [plan.side_word(side) for side in made]
    pages = sorted(to_make)
    word = "reflected" if way is MakeBleed.MIRROR else "stretched"
    return Finding.note(
        "bleed-made",
        f"bleed is made from the pages themselves, {word}, where art ends at the trim: "
        f"{'page' if len(pages) == 1 else 'pages'} {page_ranges(pages)} ({', '.join(names)})",
        hint="look at the strips outside the trim marks; the pages inside are as they were",
        pages=tuple(pages),
        way=way.value,
    )
