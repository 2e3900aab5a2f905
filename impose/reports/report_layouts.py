"""The layouts compared, in the report: a table, and a small drawing of each that is listed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from impose.bench.layoutrow import Comparison, LayoutRow
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.model.job import Order
from impose.plan.parts import Line, LineKind, Placement, Sheet
from impose.plan.plan import Plan
from impose.reports.html_words import escaped_words
from impose.reports.layout_table import Column, cells, columns
from impose.reports.svg_drawing import svg_number as _n
from impose.reports.svg_drawing import svg_rect
from impose.schemes.ways import WayKind
from impose.units import Length

#: So many layouts stand in the report at the most, beside the one that was made.
LISTED: Final = 12
#: Round the sheet so much of its longer edge is left free.
_DESK: Final = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutView:
    """A row with its drawing; `made`: it is the layout of this run."""

    number: int
    name: str
    words: tuple[str, ...]
    drawing: str
    notes: tuple[str, ...]
    made: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutsView:
    """What the report shows; `left_out` counts further rows."""

    columns: tuple[Column, ...]
    rows: tuple[LayoutView, ...]
    rule: str
    left_out: int


def layouts_view(compared: Comparison | None, plan: Plan) -> LayoutsView | None:
    """None where nothing was compared, or where there is no choice."""
    if compared is None or len(compared.rows) < 2:
        return None
    here = next((row.number for row in compared.rows if _made(row, plan)), 0)
    listed = [row for row in compared.rows if row.number <= LISTED or row.number == here]
    longest = max(max(row.way.lying.width, row.way.lying.height) for row in listed)
    return LayoutsView(
        columns=columns(compared),
        rows=tuple(_view(row, compared, longest, row.number == here) for row in listed),
        rule=compared.rule,
        left_out=len(compared.rows) - len(listed),
    )


def _made(row: LayoutRow, plan: Plan) -> bool:
    """The plan's sheets lie as this row's do, and are as many."""
    sheets = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    first, mine, guts = sheets[0], row.first, row.way.guts
    repeats = guts.order is Order.REPEAT and row.up > 1
    positions = [p.position for p in first.front.placements]
    return (
        first.size == mine.size
        and (first.work, plan.two_up) == (mine.work, guts.two_up.value if guts.two_up else "")
        and any(sheet.lines == mine.lines for sheet in sheets)
        and len(sheets) == row.sheets
        and (bool(plan.two_up or plan.flat) or repeats == (len(set(positions)) < len(positions)))
    )


def _view(row: LayoutRow, compared: Comparison, longest: Length, made: bool) -> LayoutView:
    return LayoutView(
        number=row.number,
        name=row.way.name,
        words=cells(row, compared),
        drawing=layout_svg(row, longest),
        notes=row.notes,
        made=made,
    )


def layout_svg(row: LayoutRow, longest: Length) -> str:
    """The front of a sheet, all drawings of a table at one scale (`longest` edge of any).

    The letter stands as the page is read, the thick side of each page that is bound is its spine.
    """
    sheet, size = row.first, row.first.size
    desk = longest.split(_DESK)[0]
    whole = longest + desk * 2
    left, top = (whole - size.width).half, (whole - size.height).half
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="sheet small" '
        f'viewBox="{_n(-left)} {_n(-top)} {_n(whole)} {_n(whole)}" role="img" '
        f'aria-label="{escaped_words(_said(row))}">',
        f'<rect class="paper" width="{_n(size.width)}" height="{_n(size.height)}"/>',
    ]
    bound = row.way.kind not in (WayKind.STEP, WayKind.GANG, WayKind.PANELS)
    parts.extend(_page(placement, sheet, bound) for placement in sheet.front.placements)
    parts.extend(_line(line, size.height) for line in _lines(sheet))
    parts.append("</svg>")
    return "".join(parts)


def _said(row: LayoutRow) -> str:
    what = "items" if row.way.kind in (WayKind.STEP, WayKind.GANG) else "pages"
    return f"layout {row.number}: {row.way.name}, {row.up} {what} on the front"


def _lines(sheet: Sheet) -> Iterator[Line]:
    """Folds, and cuts before binding; trims are drawn as pages."""
    for line in sheet.lines:
        if line.kind is LineKind.FOLD or line.of not in ("head", "foot", "fore-edge"):
            yield line


def _page(placement: Placement, sheet: Sheet, bound: bool) -> str:
    trim, high = placement.trim, sheet.size.height
    x, y = (trim.x0 + trim.x1).half, high - (trim.y0 + trim.y1).half
    letter = min(trim.width, trim.height).half
    return (
        svg_rect(trim, high, "trim")
        + (_spine(trim, placement.spine_at, high) if bound else "")
        + f'<text class="number" font-size="{_n(letter)}" text-anchor="middle" '
        f'dominant-baseline="central" transform="translate({_n(x)} {_n(y)}) '
        f'rotate({-placement.turn})">R</text>'
    )


def _spine(trim: Box, at: Edge, high: Length) -> str:
    ends = {
        Edge.LEFT: (trim.x0, trim.y0, trim.x0, trim.y1),
        Edge.RIGHT: (trim.x1, trim.y0, trim.x1, trim.y1),
        Edge.BOTTOM: (trim.x0, trim.y0, trim.x1, trim.y0),
        Edge.TOP: (trim.x0, trim.y1, trim.x1, trim.y1),
    }
    x0, y0, x1, y1 = ends[at]
    return f'<path class="spine" d="{_run(x0, y0, x1, y1, high)}"/>'


def _run(x0: Length, y0: Length, x1: Length, y1: Length, high: Length) -> str:
    return f"M{_n(x0)} {_n(high - y0)}L{_n(x1)} {_n(high - y1)}"


def _line(line: Line, high: Length) -> str:
    dash = ' stroke-dasharray="9 5"' if line.kind is LineKind.FOLD else ""
    return (
        f'<path class="{line.kind.value}"{dash} '
        f'd="{_run(line.x0, line.y0, line.x1, line.y1, high)}"/>'
    )
