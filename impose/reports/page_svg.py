"""A page with a finding, drawn: its picture, the trim, the live area, the side in question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.geometry.box import Box, Edges, Size, box_inside
from impose.geometry.placing import box_onto
from impose.geometry.sides import Edge, spine_edge
from impose.model.facts import PageFacts
from impose.plan.plan import Plan
from impose.units import ZERO, Length, points_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A source page as a viewer shows it.

    `data` is a data URI, `size` the page as it is read, `trim` the trim on it
    from its lower left.  `sides` are the edges that findings speak of.
    """

    page: int
    data: str
    size: Size
    trim: Box
    sides: tuple[Edge, ...] = ()
    words: tuple[str, ...] = ()


def picture_of(
    plan: Plan, page: int, facts: PageFacts, data: str, said: Sequence[tuple[str, str]]
) -> Picture:
    """`said`: the side of the page (or nothing) and the words of each finding on it."""
    turn = (360 - facts.rotate) % 360
    size = facts.upright_size(facts.crop)
    upright = box_onto(facts.crop, Box.at(ZERO, ZERO, size), turn)
    sides = [_edge(plan, page, side) for side, _ in said]
    return Picture(
        page=page,
        data=data,
        size=size,
        trim=upright.box(plan.pages[page - 1].box),
        sides=tuple(dict.fromkeys(side for side in sides if side is not None)),
        words=tuple(dict.fromkeys(words for _, words in said)),
    )


def _edge(plan: Plan, page: int, side: str) -> Edge | None:
    """Where a side of the book lies on the page as it is read."""
    order = plan.reading_order()
    if page not in order:
        return None
    spine = spine_edge(order.index(page) % 2 == 0, plan.bound_at)
    frame = {"spine": spine, "fore-edge": spine.opposite, "head": Edge.TOP, "foot": Edge.BOTTOM}
    edge = frame.get(side)
    return edge.turned(-plan.bound_at.art_turn % 360) if edge else None


def page_svg(picture: Picture, safe: Length) -> str:
    """The trim in a full line, the live area (`safe` inside it) dashed, a bar at each side."""
    size, trim = picture.size, picture.trim
    live = box_inside(trim, Edges.all(safe))
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(size.width)} '
        f'{_n(size.height)}" role="img" aria-label="page {picture.page}">',
        f'<image href="{picture.data}" width="{_n(size.width)}" height="{_n(size.height)}"/>',
        *(_bar(trim, edge, safe, size) for edge in picture.sides),
        _rect(trim, size, "trimline"),
        _rect(live, size, "liveline"),
        "</svg>",
    ]
    return "".join(parts)


def _bar(trim: Box, edge: Edge, safe: Length, size: Size) -> str:
    strips = {
        Edge.LEFT: Box(trim.x0, trim.y0, trim.x0 + safe, trim.y1),
        Edge.RIGHT: Box(trim.x1 - safe, trim.y0, trim.x1, trim.y1),
        Edge.BOTTOM: Box(trim.x0, trim.y0, trim.x1, trim.y0 + safe),
        Edge.TOP: Box(trim.x0, trim.y1 - safe, trim.x1, trim.y1),
    }
    return _rect(strips[edge], size, "risk")


def _rect(box: Box, size: Size, kind: str) -> str:
    return (
        f'<rect class="{kind}" x="{_n(box.x0)}" y="{_n(size.height - box.y1)}" '
        f'width="{_n(box.width)}" height="{_n(box.height)}"/>'
    )


def _n(length: Length) -> str:
    return points_text(length)
