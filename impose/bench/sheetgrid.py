"""The sheets before binding, from the plan: where they are cut, what is good, where the lay is.

Sheets are jogged to the two edges the press fed them by, and worked from these
at every stage (Niel Gray Jr., Paper-Cutting Machines, 1918).  Without a press
they are jogged to the lay edge of the binder (head unless said) and the binding
edge; where the binding edge itself is cut off, to the edge opposite.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from impose.bench.axis import Axis
from impose.bench.grid import Grid, Piece
from impose.errors import PlanMismatchError
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.model.job import Job
from impose.plan.cutsteps import EdgeState
from impose.plan.parts import Line, LineKind, Sheet, When
from impose.plan.plan import Plan
from impose.schemes.gutspaper import sheet_cut_ids
from impose.units import Length


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetCuts:
    """One layout of sheets that are cut alike.

    `ids` name the plan's cuts by (runs across, place); `trims` are the trims
    of the leaves on it, each once.
    """

    size: Size
    grid: Grid
    lay: tuple[Edge, Edge]
    ids: Mapping[tuple[bool, Length], tuple[str, ...]]
    trims: tuple[Box, ...]

    def box(self, piece: Piece) -> Box:
        """A piece on the sheet, seen from the front."""
        x, y = self.grid.x.points, self.grid.y.points
        return Box(x[piece.x0], y[piece.y0], x[piece.x1], y[piece.y1])


def guts_sheets(plan: Plan) -> tuple[Sheet, ...]:
    """The sheets of the guts."""
    return tuple(sheet for sheet in plan.sheets if sheet.role == "guts")


def lay_side(job: Job) -> str:
    """Head or foot: the lay edge of guts and cover, from the job, else from the binder."""
    binder = job.bench.binder
    return job.guts.lay or (binder.lay if binder else "head")


def sheet_cuts(plan: Plan, job: Job) -> SheetCuts | None:
    """How the sheets of the guts are cut before binding; None where they are not.

    Raises PlanMismatchError when not all sheets are cut alike.
    """
    early, sheets = sheet_cut_ids(plan), guts_sheets(plan)
    if plan.french:  # the spine side is cut when the leaves are folded
        early = early - {"spine"}
    first = sheets[0]
    ids = _ids(line for line in first.lines if line.of in early)
    if not ids:
        return None
    cut_first = _early(first, early)
    if any(sheet.size != first.size or _early(sheet, early) != cut_first for sheet in sheets):
        raise PlanMismatchError("the sheets of one pile have different cuts before binding")
    pairs = plan.french or bool(plan.two_up)
    trims = tuple(dict.fromkeys(box for one in sheets for box in _leaves_on(one, pairs)))
    if plan.panelled:
        trims = (_panels_on(first, early, trims),)
    spine = {cut.id for cut in plan.cuts if cut.side == "spine"}
    lay = lay_edges(plan, job, first, [line for line in first.lines if line.of in spine])
    return _sheet_cuts(first.size, ids, trims, lay)


def _early(sheet: Sheet, early: Collection[str]) -> tuple[Line, ...]:
    return tuple(line for line in sheet.lines if line.of in early)


def _panels_on(sheet: Sheet, early: Collection[str], trims: Sequence[Box]) -> Box:
    """All that the first cuts must leave of a sheet of panels: a tab is no page and stays."""
    inside = trims[0]
    lines = _early(sheet, early)
    xs = [Length(), sheet.size.width, *(line.x0 for line in lines if line.upright)]
    ys = [Length(), sheet.size.height, *(line.y0 for line in lines if not line.upright)]
    return Box(
        max(x for x in xs if x <= inside.x0),
        max(y for y in ys if y <= inside.y0),
        min(x for x in xs if x >= inside.x1),
        min(y for y in ys if y >= inside.y1),
    )


def _leaves_on(sheet: Sheet, pairs: bool) -> list[Box]:
    """What the flat cuts must leave whole: trims, or the two of a leaf with a fold between or
    of two copies bound as one."""
    trims = [placement.trim for placement in sheet.front.placements]
    if not pairs:
        return trims
    return [one.join(other) for one, other in zip(trims[::2], trims[1::2], strict=True)]


def cover_cuts(plan: Plan, job: Job) -> SheetCuts | None:
    """The ends of a cover with flaps, cut to size before scoring; None for other covers."""
    if plan.cover is None or not plan.cover.cut_first:
        return None
    sheet = next(sheet for sheet in plan.sheets if sheet.role == "cover")
    early = {cut.id for cut in plan.cuts if cut.when is When.BEFORE_BINDING}
    ids = _ids(line for line in sheet.lines if line.of in early)
    if not ids:
        return None
    lay = (Edge.TOP if lay_side(job) == "head" else Edge.BOTTOM, Edge.LEFT)
    return _sheet_cuts(sheet.size, ids, (plan.cover.trim,), lay)


def _sheet_cuts(
    size: Size,
    ids: Mapping[tuple[bool, Length], tuple[str, ...]],
    trims: tuple[Box, ...],
    lay: tuple[Edge, Edge],
) -> SheetCuts:
    grid = Grid(
        x=_axis(size.width, ids, False, trims, lay),
        y=_axis(size.height, ids, True, trims, lay),
    )
    return SheetCuts(size=size, grid=grid, lay=lay, ids=ids, trims=trims)


def _ids(lines: Iterable[Line]) -> dict[tuple[bool, Length], tuple[str, ...]]:
    found: dict[tuple[bool, Length], tuple[str, ...]] = {}
    for line in lines:
        if line.kind is not LineKind.CUT:
            continue
        key = (not line.upright, line.x0 if line.upright else line.y0)
        found[key] = tuple(dict.fromkeys((*found.get(key, ()), line.of)))
    return found


def cuts_on(
    size: Size,
    lines: Iterable[Line],
    trims: tuple[Box, ...],
    lay: tuple[Edge, Edge],
    states: Mapping[Edge, EdgeState],
) -> SheetCuts:
    """A sheet, or a part of one, with these cuts; `states` of edges that are not as the lay
    has them."""
    cuts = _sheet_cuts(size, _ids(lines), trims, lay)
    x = replace(
        cuts.grid.x,
        low=states.get(Edge.LEFT, cuts.grid.x.low),
        high=states.get(Edge.RIGHT, cuts.grid.x.high),
    )
    y = replace(
        cuts.grid.y,
        low=states.get(Edge.BOTTOM, cuts.grid.y.low),
        high=states.get(Edge.TOP, cuts.grid.y.high),
    )
    return replace(cuts, grid=Grid(x=x, y=y))


def lay_edges(plan: Plan, job: Job, sheet: Sheet, spine: list[Line]) -> tuple[Edge, Edge]:
    """The edge across (top or bottom) and the upright one (left or right)."""
    if plan.press is not None:
        return press_lay(plan, sheet)
    across = Edge.TOP if lay_side(job) == "head" else Edge.BOTTOM
    if spine:
        at_left = spine[0].x0 < sheet.size.width - spine[0].x0
        return across, Edge.RIGHT if at_left else Edge.LEFT
    return across, Edge.RIGHT if plan.bound_at.mirrored else Edge.LEFT


def press_lay(plan: Plan, sheet: Sheet) -> tuple[Edge, Edge]:
    """The edge across and the upright one by which the press fed the sheets, front up.

    Where the press's side lay is not said it is the edge at the left of the
    gripper.  Halves are jogged to the cut between them in the place of the edge
    that only one of the two has.
    """
    assert plan.press is not None
    front = plan.press.passes[0]
    across = front.gripper is Edge.BOTTOM
    lay = front.lay or (Edge.LEFT if across else Edge.TOP)
    edges = (front.gripper, lay) if across else (lay, front.gripper)
    if sheet.half == 0:
        return edges
    if sheet.turned is Turnover.ABOUT_VERTICAL:
        return edges[0], Edge.RIGHT if plan.bound_at.mirrored else Edge.LEFT
    return Edge.TOP, edges[1]


def _axis(
    length: Length,
    ids: Mapping[tuple[bool, Length], tuple[str, ...]],
    across: bool,
    trims: Iterable[Box],
    lay: tuple[Edge, Edge],
) -> Axis:
    cuts = tuple(sorted((at for way, at in ids if way is across), key=lambda n: n.grains))
    points = (Length(), *cuts, length)
    spans = {(t.y0, t.y1) if across else (t.x0, t.x1) for t in trims}
    kept = tuple(
        any(low < end and start < high for start, end in spans) for low, high in pairwise(points)
    )
    low, high = (Edge.BOTTOM, Edge.TOP) if across else (Edge.LEFT, Edge.RIGHT)
    return Axis(
        length=length,
        cuts=cuts,
        kept=kept,
        low=EdgeState.LAY if low in lay else EdgeState.RAW,
        high=EdgeState.LAY if high in lay else EdgeState.RAW,
    )
