"""A side of a sheet as a small drawing (SVG) of the plan: pages, marks, cut and fold lines."""

from __future__ import annotations

from html import escape

from impose.geometry.box import Box, Size
from impose.plan.parts import Line, LineKind, Mark, Placement, Shape, Sheet, Side
from impose.units import Length, points_text

_DASH = {LineKind.CUT: "", LineKind.FOLD: "9 5", LineKind.SCORE: "2 4"}


def side_svg(sheet: Sheet, name: str) -> str:
    """The front or back as seen from that side, its head up as it lies in the file.

    Cut lines are full, fold lines dashed, score lines dotted, so that they can be
    told apart without colour.
    """
    side = sheet.front if name == "front" else sheet.back
    size = sheet.size
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(size.width)} {_n(size.height)}" '
        f'role="img" aria-label="sheet {sheet.number}, {name}">',
        f'<rect class="paper" width="{_n(size.width)}" height="{_n(size.height)}"/>',
    ]
    parts.extend(_page(placement, size) for placement in side.placements)
    parts.extend(_line(line, sheet, name) for line in (*sheet.lines, *sheet.creep_lines))
    parts.extend(_mark(mark, size) for mark in _marks(side))
    parts.append("</svg>")
    return "".join(parts)


def _n(length: Length) -> str:
    return points_text(length)


def _marks(side: Side) -> list[Mark]:
    return [mark for group in side.marks for mark in group.marks] + list(side.own_marks)


def _rect(box: Box, size: Size, kind: str) -> str:
    return (
        f'<rect class="{kind}" x="{_n(box.x0)}" y="{_n(size.height - box.y1)}" '
        f'width="{_n(box.width)}" height="{_n(box.height)}"/>'
    )


def _page(placement: Placement, size: Size) -> str:
    trim = placement.trim
    x, y = (trim.x0 + trim.x1).half, size.height - (trim.y0 + trim.y1).half
    words = "blank" if placement.page is None else str(placement.page)
    high = min(trim.width, trim.height).split(4)[0]
    if placement.page is None:
        high = high.half
    return (
        _rect(placement.clip, size, "bleed")
        + _rect(trim, size, "trim")
        + f'<text class="number" font-size="{_n(high)}" text-anchor="middle" '
        f'dominant-baseline="central" transform="translate({_n(x)} {_n(y)}) '
        f'rotate({-placement.turn})">{words}</text>'
    )


def _line(line: Line, sheet: Sheet, name: str) -> str:
    ends = [(line.x0, line.y0), (line.x1, line.y1)]
    if name == "back":
        ends = [sheet.turned.point(x, y, sheet.size) for x, y in ends]
    (x0, y0), (x1, y1) = ends
    high = sheet.size.height
    dash = f' stroke-dasharray="{_DASH[line.kind]}"' if _DASH[line.kind] else ""
    return (
        f'<line class="{line.kind.value}" x1="{_n(x0)}" y1="{_n(high - y0)}" x2="{_n(x1)}" '
        f'y2="{_n(high - y1)}"{dash}><title>{line.kind.value}: {escape(line.of)}</title></line>'
    )


def _mark(mark: Mark, size: Size) -> str:
    if mark.shape in (Shape.LINE, Shape.DASHED):
        return (
            f'<line class="mark" x1="{_n(mark.x0)}" y1="{_n(size.height - mark.y0)}" '
            f'x2="{_n(mark.x1)}" y2="{_n(size.height - mark.y1)}"/>'
        )
    if mark.shape is Shape.TEXT:
        at = f"translate({_n(mark.x0)} {_n(size.height - mark.y0)}) rotate({-mark.turn})"
        return (
            f'<text class="slug" font-size="{_n(mark.weight)}" transform="{at}">'
            f"{escape(mark.text)}</text>"
        )
    box = Box(mark.x0, mark.y0, mark.x1, mark.y1)
    if mark.shape is Shape.CIRCLE:
        return (
            f'<circle class="mark" cx="{_n((box.x0 + box.x1).half)}" '
            f'cy="{_n(size.height - (box.y0 + box.y1).half)}" r="{_n(box.width.half)}"/>'
        )
    return _rect(box, size, "filled")
