"""A side of a sheet as a small drawing (SVG) of the plan: pages, marks, cut and fold lines."""

from __future__ import annotations

from collections.abc import Collection

from impose.geometry.box import Box, Size
from impose.plan.insets import is_cover
from impose.plan.parts import Line, LineKind, Mark, Placement, Shape, Sheet, Side
from impose.reports.html_words import escaped_words
from impose.reports.svg_drawing import svg_number as _n
from impose.reports.svg_drawing import svg_rect

#: Round the sheet so much of its longer edge is left free, so that its own edge is seen.
_DESK = 80
_DASH = {LineKind.CUT: "", LineKind.FOLD: "9 5", LineKind.SCORE: "2 4"}


def side_svg(sheet: Sheet, name: str, told: Collection[int] = (), flat: bool = False) -> str:
    """The front or back as seen from that side, its head up as it lies in the file.

    Cut lines are full, fold lines dashed, score lines dotted, so that they can be
    told apart without colour.  `told` are the pages with a finding: ringed.
    `flat`: items stand under their own number, not under that of their page.
    """
    side = sheet.front if name == "front" else sheet.back
    size = sheet.size
    desk = max(size.width, size.height).split(_DESK)[0]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet" '
        f'viewBox="{_n(-desk)} {_n(-desk)} {_n(size.width + desk * 2)} '
        f'{_n(size.height + desk * 2)}" role="img" '
        f'aria-label="{side_words(sheet, name)}">',
        f'<rect class="paper" width="{_n(size.width)}" height="{_n(size.height)}"/>',
    ]
    parts.extend(
        _page(placement, sheet, placement.page in told, flat) for placement in side.placements
    )
    parts.extend(_line(line, sheet, name) for line in (*sheet.lines, *sheet.creep_lines))
    parts.extend(_mark(mark, size) for mark in _marks(side))
    parts.append("</svg>")
    return "".join(parts)


def side_words(sheet: Sheet, name: str) -> str:
    """`sheet 3, back: pages 2, 15`, row by row from the upper left."""
    side = sheet.front if name == "front" else sheet.back
    order = sorted(side.placements, key=lambda p: (-p.trim.y0.grains, p.trim.x0.grains))
    named = ["blank" if p.page is None else str(p.page) for p in order]
    if is_cover(sheet.role):
        art = sum(p.page is not None for p in order)
        return f"{sheet.role}, {name}: {'art' if art else 'no art'}"
    what = "page " if len(named) == 1 else "pages "
    return f"sheet {sheet.number}, {name}: {what}{', '.join(named)}"


def _marks(side: Side) -> list[Mark]:
    return [mark for group in side.marks for mark in group.marks] + list(side.own_marks)


def _rect(box: Box, size: Size, kind: str) -> str:
    return svg_rect(box, size.height, kind)


def _page(placement: Placement, sheet: Sheet, told: bool, flat: bool) -> str:
    trim, size = placement.trim, sheet.size
    x, y = (trim.x0 + trim.x1).half, size.height - (trim.y0 + trim.y1).half
    words = "blank" if placement.page is None else str(placement.page)
    if is_cover(sheet.role) and placement.page is not None:
        words = "art"
    elif flat and placement.page is not None:
        words = str(placement.leaf)
    high = min(trim.width, trim.height).split(4)[0]
    if placement.page is None:
        high = high.half
    ring = f'<circle class="told" cx="{_n(x)}" cy="{_n(y)}" r="{_n(high)}"/>' if told else ""
    return (
        _rect(placement.clip, size, "bleed")
        + _rect(trim, size, "trim")
        + f'<text class="number" font-size="{_n(high)}" text-anchor="middle" '
        f'dominant-baseline="central" transform="translate({_n(x)} {_n(y)}) '
        f'rotate({-placement.turn})">{words}</text>{ring}'
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
        f'y2="{_n(high - y1)}"{dash}><title>{line.kind.value}: {escaped_words(line.of)}</title>'
        "</line>"
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
            f"{escaped_words(mark.text)}</text>"
        )
    box = Box(mark.x0, mark.y0, mark.x1, mark.y1)
    if mark.shape is Shape.CIRCLE:
        return (
            f'<circle class="mark" cx="{_n((box.x0 + box.x1).half)}" '
            f'cy="{_n(size.height - (box.y0 + box.y1).half)}" r="{_n(box.width.half)}"/>'
        )
    return _rect(box, size, "filled")
