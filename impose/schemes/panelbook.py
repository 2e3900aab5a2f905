"""Folded panels read from the plan as paper: by their cut lines, folds, slits and fold steps.

Placements are never looked at, so that a wrong one shows.  The sheet is cut to
its outer lines; folds part it into panels; where a slit runs two panels do not
hang together.  Then the paper is read as its kind of gathering says: along the
hinges from the first page's panel, along a strip joined by tabs, or as the
leaflet is folded.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from impose.errors import PlanMismatchError
from impose.findings import Finding
from impose.geometry.box import Box
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.plan.parts import END, SLIT, Gather, Line, LineKind, Sheet, When
from impose.plan.plan import FLAT, Plan
from impose.schemes.boundfaces import BoundBook, Face, View
from impose.schemes.concertina import JOINED, back_starts_at
from impose.schemes.leaflet import FOLDED_STRIP, TENT
from impose.schemes.onesheet import PANELS
from impose.schemes.panelgrid import At, PanelGrid, PanelRead, read_panels
from impose.schemes.panelstrip import HAIR, Shown, read_strip
from impose.units import ZERO, Length

GRAIN: Final = Length(1)
#: A panel of the paper's own edge may be this much larger than its page.
_MORE: Final = Length.mm(1)


def bind_panels(plan: Plan) -> BoundBook:
    """The piece as it is folded.

    Raises PlanMismatchError when the sheets cannot be folded into it at all.
    """
    if len(plan.gathering) != 1:
        raise PlanMismatchError(f"folded panels are one piece, not {len(plan.gathering)}")
    (gather,) = plan.gathering
    reader = _Reader(plan)
    try:
        book = {
            PANELS: reader.booklet,
            JOINED: reader.concertina,
            FOLDED_STRIP: reader.leaflet,
            TENT: reader.tent,
        }[gather.kind](gather)
    except KeyError as fault:
        raise PlanMismatchError(f"nothing is known of a piece that is {gather.kind}") from fault
    except ValueError as fault:
        raise PlanMismatchError(f"sheet {gather.sheets[0]}: {fault}") from fault
    return BoundBook(book.faces, tuple(_counted(plan, book.faces)), book.views)


def _counted(plan: Plan, faces: Sequence[Face]) -> Iterator[Finding]:
    if plan.scheme not in FLAT and len(faces) != plan.faces:
        yield Finding.error(
            "proof-faces",
            f"the sheets make a piece of {len(faces)} pages, the plan has {plan.faces}",
            made=len(faces),
            planned=plan.faces,
        )


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet cut to its outer lines: edges of columns and rows, and its slits."""

    sheet: Sheet
    xs: tuple[Length, ...]
    ys: tuple[Length, ...]
    slits: frozenset[tuple[At, At]]
    cut: frozenset[Edge]  #: edges of the whole that a knife made

    @property
    def grid(self) -> PanelGrid:
        return PanelGrid(len(self.xs) - 1, len(self.ys) - 1, self.slits)

    def panel(self, at: At) -> Box:
        column, row = at
        return Box(self.xs[column], self.ys[row], self.xs[column + 1], self.ys[row + 1])


def paper_of(plan: Plan, sheet: Sheet) -> Paper:
    """The sheet as it lies before it is folded, seen from its front."""
    sides = {cut.id: cut.side for cut in plan.cuts if cut.when is When.BEFORE_FOLDING}
    folds = [ln for ln in sheet.lines if ln.kind is LineKind.FOLD]
    outer = [ln for ln in sheet.lines if sides.get(ln.of) in ("", END)]
    slits = [ln for ln in sheet.lines if sides.get(ln.of) == SLIT]
    whole = sheet.size
    across = _middle(folds, True, sheet)
    for line in (ln for ln in outer if sides[ln.of] == END):  # it ends the strip at its far side
        across = line.x0 + (GRAIN if plan.bound_at.mirrored else -GRAIN)
    x0, x1 = _ends(whole.width, [ln.x0 for ln in outer if ln.upright], across)
    level = [ln.y0 for ln in outer if not ln.upright]
    y0, y1 = _ends(whole.height, level, _middle(folds, False, sheet))
    xs = _steps(x0, x1, [ln.x0 for ln in folds if ln.upright])
    ys = _steps(y0, y1, [ln.y0 for ln in folds if not ln.upright])
    made = {
        Edge.LEFT: x0 > ZERO,
        Edge.RIGHT: x1 < whole.width,
        Edge.BOTTOM: y0 > ZERO,
        Edge.TOP: y1 < whole.height,
    }
    cut = frozenset(edge for edge, knife in made.items() if knife)
    return Paper(sheet, xs, ys, frozenset(_slit_pairs(slits, xs, ys)), cut)


def _middle(folds: Sequence[Line], across: bool, sheet: Sheet) -> Length:
    """A place that surely lies within the panels: the middle of the folds."""
    if not folds:
        return (sheet.size.width if across else sheet.size.height).half
    low = min((ln.x0 if across else ln.y0) for ln in folds)
    high = max((ln.x1 if across else ln.y1) for ln in folds)
    return (low + high).half


def _ends(whole: Length, cuts: Sequence[Length], inside: Length) -> tuple[Length, Length]:
    low = max((at for at in cuts if at < inside), default=ZERO)
    return low, min((at for at in cuts if at > inside), default=whole)


def _steps(low: Length, high: Length, folds: Sequence[Length]) -> tuple[Length, ...]:
    inside = {at for at in folds if low < at < high}
    return tuple(sorted({low, high, *inside}, key=lambda n: n.grains))


def _slit_pairs(
    slits: Sequence[Line], xs: Sequence[Length], ys: Sequence[Length]
) -> Iterator[tuple[At, At]]:
    """The neighbours that a slit parts: it runs along the whole edge between them."""
    for line in slits:
        if line.upright:
            column = xs.index(line.x0)
            for row, (low, high) in enumerate(pairwise(ys)):
                if line.y0 <= low and high <= line.y1:
                    yield (column - 1, row), (column, row)
        else:
            row = ys.index(line.y0)
            for column, (low, high) in enumerate(pairwise(xs)):
                if line.x0 <= low and high <= line.x1:
                    yield (column, row - 1), (column, row)


class _Reader:
    """Reads one piece."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._sheets = {sheet.number: sheet for sheet in plan.sheets if sheet.role == "guts"}
        self._leftward = plan.bound_at.mirrored
        self._reading = (360 - plan.bound_at.art_turn) % 360

    def _paper(self, number: int) -> Paper:
        if number not in self._sheets:
            raise PlanMismatchError(f"sheet {number} is to be folded, there is no such sheet")
        return paper_of(self._plan, self._sheets[number])

    # -- kinds -------------------------------------------------------------------------

    def booklet(self, gather: Gather) -> BoundBook:
        """Along the hinges; the back, if it is printed, from the same corner of its own."""
        paper = self._paper(gather.sheets[0])
        grid = paper.grid
        cell = gather.cell or 0
        start = (cell % grid.columns, grid.rows - 1 - cell // grid.columns)
        spine_at = Edge.RIGHT if self._leftward else Edge.LEFT
        faces = [self._grid_face(paper, read, True) for read in read_panels(grid, start, spine_at)]
        if not self._plan.one_sided("guts"):
            reads = read_panels(grid.mirrored, start, spine_at)
            faces += [self._grid_face(paper, read, False) for read in reads]
            return BoundBook(tuple(faces), (), tuple(self._two_booklets(faces)))
        return BoundBook(tuple(faces))

    def _two_booklets(self, faces: Sequence[Face]) -> Iterator[View]:
        """Cover, openings, back of the one, then of the other: the sheet is refolded between."""
        half = len(faces) // 2
        for booklet in (faces[:half], faces[half:]):
            yield self._row([booklet[0]])
            for left in range(1, half - 1, 2):
                pair = list(booklet[left : left + 2])
                yield self._row(pair[::-1] if self._leftward else pair)
            yield self._row([booklet[-1]])

    def tent(self, gather: Gather) -> BoundBook:
        """The front stands on the lower panel, the back over the head on the upper one."""
        paper = self._paper(gather.sheets[0])
        outer = read_panels(paper.grid, (0, 0), Edge.LEFT)
        front, back = (self._grid_face(paper, read, True) for read in outer)
        if self._plan.one_sided("guts"):
            return BoundBook((front, back), (), (self._row([front]), self._row([back])))
        inside = [
            self._face(paper, paper.panel(read.at), (False, True, Edge.LEFT)) for read in outer
        ]
        views = (self._row([front]), self._column(inside), self._row([back]))
        return BoundBook((front, *inside, back), (), views)

    def concertina(self, gather: Gather) -> BoundBook:
        """All sheets but the last end in a tab, which is no panel."""
        panels: list[tuple[Paper, Box]] = []
        for number in gather.sheets:
            paper = self._paper(number)
            here = [paper.panel((column, 0)) for column in range(paper.grid.columns)]
            if self._leftward:
                here.reverse()
            if number != gather.sheets[-1]:
                here.pop()
            panels += [(paper, box) for box in here]
        count = len(panels)
        grid = PanelGrid(count, 1)
        faces = []
        for front in (True, False):
            if not front and self._plan.one_sided("guts"):
                continue
            start = Edge.LEFT if front else back_starts_at(count)
            for read in read_panels(grid, (0, 0), start):
                column = read.at[0] if front else count - 1 - read.at[0]
                paper, box = panels[column]
                spine_at = read.spine_at.opposite if self._leftward else read.spine_at
                faces.append(self._face(paper, box, (front, False, spine_at)))
        return BoundBook(tuple(faces))

    def leaflet(self, gather: Gather) -> BoundBook:
        """Folded by the sheet's own steps."""
        paper = self._paper(gather.sheets[0])
        x0 = paper.xs[0]
        steps = [
            type(step)(
                id=step.id, across=False, at=step.at - x0, moving=step.moving, under=step.under
            )
            for step in paper.sheet.folds
        ]
        if any(step.across for step in paper.sheet.folds):
            raise PlanMismatchError(f"sheet {paper.sheet.number}: a leaflet is folded upright")
        widths = [high - low for low, high in pairwise(paper.xs)]
        book = read_strip(widths, steps, leftward=self._leftward)
        shown = list(dict.fromkeys((*book.pages, *(one for view in book.views for one in view))))
        made = {one: self._strip_face(paper, one) for one in shown}
        pages = book.pages
        if self._plan.one_sided("guts"):
            pages = tuple(one for one in pages if one.front)
        views = [view for view in book.views if any(one in pages for one in view)]
        return BoundBook(
            tuple(made[one] for one in pages),
            (),
            tuple(
                self._seen([(made[one], one.open) for one in view if one in pages])
                for view in views
            ),
        )

    # -- faces -------------------------------------------------------------------------

    def _grid_face(self, paper: Paper, read: PanelRead, front: bool) -> Face:
        column, row = read.at
        if not front:
            column = paper.grid.columns - 1 - column
        lying = (front, read.upside_down, read.spine_at)
        return self._face(paper, paper.panel((column, row)), lying)

    def _strip_face(self, paper: Paper, shown: Shown) -> Face:
        last = len(paper.xs) - 2
        at_right = shown.panel == (0 if shown.front else last)
        spine_at = Edge.RIGHT if at_right else Edge.LEFT
        return self._face(paper, paper.panel((shown.panel, 0)), (shown.front, False, spine_at))

    def _face(self, paper: Paper, panel: Box, lying: tuple[bool, bool, Edge]) -> Face:
        """`lying`: on the front, upside down, and where the spine is, seen from its own face."""
        front, upside_down, spine_at = lying
        sheet, panel = paper.sheet, self._without_more(paper, panel)
        cut = {edge for edge in paper.cut if _at_edge(panel, paper, edge)}
        spine_read = spine_at.opposite if upside_down else spine_at
        if not front:
            cut = {_MIRROR.get(edge, edge) for edge in cut}
            if sheet.turned is Turnover.ABOUT_HORIZONTAL:
                cut = {edge.opposite for edge in cut}
                upside_down = not upside_down
        turn = (self._reading + (180 if upside_down else 0)) % 360
        size = panel.size.turned if turn in (90, 270) else panel.size
        return Face(
            sheet=sheet.number,
            side="front" if front else "back",
            region=panel if front else sheet.turned.over(panel, sheet.size),
            turn=turn,
            place=Box.at(ZERO, ZERO, size),
            spine_at=spine_read.turned(self._reading),
            cut=frozenset(edge.turned(turn) for edge in cut),
            name="",
        )

    def _without_more(self, paper: Paper, panel: Box) -> Box:
        """A panel at the paper's own edge, less what the paper has beyond its page."""
        leaf = self._plan.leaf
        x0, y0, x1, y1 = panel.x0, panel.y0, panel.x1, panel.y1
        if self._plan.scheme in FLAT:
            return panel
        wide, high = panel.width - leaf.width, panel.height - leaf.height
        if HAIR < wide <= _MORE:
            at_left, at_right = (self._uncut(paper, panel, e) for e in (Edge.LEFT, Edge.RIGHT))
            both = at_left and at_right
            x0 = x0 + (wide.half if both else wide) if at_left else x0
            x1 = x0 + leaf.width if at_right else x1
        if HAIR < high <= _MORE:
            at_foot, at_head = (self._uncut(paper, panel, e) for e in (Edge.BOTTOM, Edge.TOP))
            both = at_foot and at_head
            y0 = y0 + (high.half if both else high) if at_foot else y0
            y1 = y0 + leaf.height if at_head else y1
        return Box(x0, y0, x1, y1)

    def _uncut(self, paper: Paper, panel: Box, edge: Edge) -> bool:
        """The panel ends there with the paper as it came."""
        return edge not in paper.cut and _at_edge(panel, paper, edge)

    def _row(self, faces: Sequence[Face]) -> View:
        """Side by side as they are seen, turned as the piece is read."""
        return self._seen([(face, None) for face in faces])

    def _column(self, faces: Sequence[Face]) -> View:
        """The first above the second, turned as the piece is read."""
        upright = self._reading == 0
        parts: list[_Part] = [(face, None) for face in faces]
        return _view(parts[::-1] if upright else parts, not upright)

    def _seen(self, parts: Sequence[_Part]) -> View:
        """Side by side, each as far as it is open from its left end; the piece turned as it is
        read, so that the left one may come above the others."""
        if self._reading == 0:
            return _view(parts, True)
        turned: list[_Part] = []
        for face, part in reversed(parts):
            high = face.place.height
            turned.append((face, part and (high - part[1], high - part[0])))
        return _view(turned, False)


#: A face, and from where to where it is open; None: all of it.
_Part = tuple[Face, tuple[Length, Length] | None]


def _view(parts: Sequence[_Part], beside: bool) -> View:
    """One after the other, only as far as each is open."""
    at, placed, seen = ZERO, [], []
    for face, part in parts:
        size = face.place.size
        low, high = part or (ZERO, size.width if beside else size.height)
        start, end = at - low, at + high - low
        placed.append((face, Box.at(start, ZERO, size) if beside else Box.at(ZERO, start, size)))
        seen.append(Box(at, ZERO, end, size.height) if beside else Box(ZERO, at, size.width, end))
        at = end
    return View(tuple(placed), tuple(seen) if any(part for _, part in parts) else ())


_MIRROR = {Edge.LEFT: Edge.RIGHT, Edge.RIGHT: Edge.LEFT}


def _at_edge(panel: Box, paper: Paper, edge: Edge) -> bool:
    return {
        Edge.LEFT: panel.x0 == paper.xs[0],
        Edge.RIGHT: panel.x1 == paper.xs[-1],
        Edge.BOTTOM: panel.y0 == paper.ys[0],
        Edge.TOP: panel.y1 == paper.ys[-1],
    }[edge]
