"""Steps for the sheets before binding: jog, cut apart, lay the piles on each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from impose.bench.axis import Chop
from impose.bench.grid import Grid, GridCut, GridOrder, Piece
from impose.bench.paper import prints
from impose.bench.pile import Pile
from impose.bench.runs import by_runs, mixed_up
from impose.bench.sheetgrid import SheetCuts, guts_sheets
from impose.bench.words import Notes, edge_words, listed, pile_names
from impose.geometry.box import Size
from impose.geometry.sides import Edge
from impose.model.job import Binding, Job, Order
from impose.plan.cutsteps import (
    CutStep,
    EdgeState,
    OnTable,
    Part,
    Present,
    Setting,
    StepKind,
    Turn,
)
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.schemes.frenchfold import FOLDED
from impose.units import reading_text

#: Piles of leaves, flat or to be folded at the fore-edge.
_PILES = ("pile", FOLDED)
_COUNTED = ("Piles are counted row by row from the upper left.",)
#: What sheets with several covers are called in the list, and by its replay.
COVER_SHEETS = "cover sheets"
#: What the press fed by two edges.
_FED = ("sheets", "whole sheets", COVER_SHEETS)
_TURNS = {0: (), 90: (Turn.LEFT,), 180: (Turn.HALF,), 270: (Turn.RIGHT,)}


def turns_between(before: Edge, after: Edge) -> tuple[Turn, ...]:
    """From `before` at the back stop to `after` there, the same face up."""
    for degrees, turns in _TURNS.items():
        if before.turned(-degrees) is after:
            return turns
    raise AssertionError("four quarter turns reach every edge")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetSteps:
    """Puts the cuts of one pile of sheets into words; `things` is what they are called.

    `when` is the time of all its steps.
    """

    plan: Plan
    job: Job
    cuts: SheetCuts
    pile: Pile
    notes: Notes
    things: str = "sheets"
    when: When = When.BEFORE_BINDING
    #: The places each cell of the grid stands for, and all there are on the sheet, where the
    #: grid is a part of it; empty: the cells themselves.
    numbers: tuple[tuple[int, ...], ...] = ()
    total: int = 0
    #: The edge at the back stop before the first cut; None: the pile is fresh on the table.
    start: Edge | None = None

    def jog(self) -> CutStep:
        """The first step: which edges the pile is jogged to."""
        across, upright = (edge.value for edge in self.cuts.lay)
        whole = self.cuts.grid.whole
        return CutStep(
            number=0,
            kind=StepKind.JOG,
            when=self.when,
            title=f"Jog the {self.things} to the {across} and the {upright} edge",
            table=self._table([whole], across=True),
            notes=(
                self._which_way(),
                *self._lay_notes(across, upright),
                *self._ruler_notes(across, upright),
            ),
        )

    def _which_way(self) -> str:
        if self.things == "cover":
            return (
                "Its outside up. The ends of a cover with flaps are cut to size before it is "
                "scored."
            )
        if self.things == COVER_SHEETS:
            return (
                "Their outside up; left, right, top and bottom are those of the printed outside. "
                "Covers are counted row by row from the upper left. They are cut apart before "
                "anything else is done to them."
            )
        if self.when is When.BEFORE_PRINTING:
            whole = self.cuts.size.text(self.plan.unit)
            return (
                f"The paper as it comes, {whole}, width first; left, right, top and bottom are "
                "those of the drawing."
            )
        top = "Sheet 1 on top, its front up"
        if mixed_up(self.plan, self.job) and by_runs(self.plan, self.job):
            top = "The run of sheet 1 on top, then that of sheet 2 and so on, all fronts up"
        half = self.things == "sheets" and guts_sheets(self.plan)[0].half
        front = "side with the first page, its front" if half else "printed front"
        return f"{top}; left, right, top and bottom are those of the {front}."

    def _lay_notes(self, across: str, upright: str) -> tuple[str, ...]:
        printer = self.job.guts.printer
        half = self.things == "sheets" and guts_sheets(self.plan)[0].half
        press = printer is not None and printer.plates and self.things in _FED and not half
        why = ", the edges the press fed the sheets by" if press else ""
        if half:
            why = " of the halves as they lie now"
        return (
            f"The lay edges are the {across} and the {upright} edge{why}: mark both with crayon "
            "and start from them.",
        )

    def _ruler_notes(self, across: str, upright: str) -> Iterator[str]:
        """For cards and leaves cut apart with knife and rule: every line at one glance."""
        loose = self.job.binding is Binding.LOOSE and self.things == "sheets"
        if not self.notes.cutter.hand or not loose or self.when is not When.BEFORE_BINDING:
            return
        grid, unit = self.cuts.grid, self.plan.unit
        said = []
        for edge, points in ((upright, grid.x.points), (across, grid.y.points)):
            low = edge in ("left", "bottom")
            inner = [p - points[0] if low else points[-1] - p for p in points[1:-1]]
            places = sorted(inner, key=lambda length: length.grains)
            if places:
                said.append(f"from the {edge} edge {', '.join(p.text(unit) for p in places)}")
        if said:
            yield (
                f"The lines, to tick with a rule at both ends and cut between: {'; '.join(said)}. "
                "Sheet by sheet or a few at a time, the long cuts first, in the order of the steps."
            )

    def steps(self, order: GridOrder) -> Iterator[CutStep]:
        """A step for each setting; piles that lie differently are steps of their own."""
        lying: dict[Piece, Edge | None] = {self.cuts.grid.whole: self.start}
        for cut in order.cuts:
            edge = edge_at_gauge(cut)
            by_turn: dict[tuple[Turn, ...], list[Piece]] = {}
            for piece in cut.pieces:
                before = lying.pop(piece)
                turns = () if before is None else turns_between(before, edge)
                by_turn.setdefault(turns, []).append(piece)
                for part in piece.parted(cut.chop.at, cut.across):
                    lying[part] = edge
            for turns, pieces in by_turn.items():
                yield self._step(cut, edge, turns, pieces)

    def _step(
        self, cut: GridCut, edge: Edge, turns: tuple[Turn, ...], pieces: Sequence[Piece]
    ) -> CutStep:
        chop, grid, unit = cut.chop, self.cuts.grid, self.plan.unit
        lifts = self.pile.lifts(self.notes.cutter)
        fronts, backs = [], []
        for piece in pieces:
            low, high = piece.parted(chop.at, cut.across)
            backs.append(low if chop.low_at_gauge else high)
            fronts.append(high if chop.low_at_gauge else low)
        place = (grid.y if cut.across else grid.x).points[chop.at]
        falls = self._part(fronts, cut.across)
        notes = self.notes.before_binding(chop, len(pieces), lifts)
        if self.job.binding is Binding.LOOSE and self.when is When.BEFORE_BINDING:
            notes = (*notes, self.notes.finishing(self.plan.trim))
        return CutStep(
            number=0,
            kind=StepKind.CUT,
            when=self.when,
            title=_title(chop, grid, falls, cut.across, self._between),
            cuts=self.cuts.ids[cut.across, place],
            table=self._table(pieces, cut.across),
            present=Present(at_gauge=edge.value, state=chop.state, turns=turns),
            setting=Setting(
                gauge=chop.gauge,
                reading=reading_text(chop.gauge, unit),
                reckoned_from=edge_words(edge, chop.state),
                on_marks=chop.state is EdgeState.RAW,
            ),
            stays=self._part(backs, cut.across),
            falls=falls,
            notes=notes,
        )

    @property
    def _between(self) -> str:
        """What lies beside each other on the sheet."""
        return "covers" if self.things == COVER_SHEETS else "leaves"

    def _table(self, pieces: Sequence[Piece], across: bool) -> OnTable:
        """Of piles cut in turn the widest: it must go under the knife as well."""
        sizes = [self._lying(piece, across) for piece in pieces]
        return OnTable(
            piles=tuple(self._name(piece) for piece in pieces),
            count=self.pile.count,
            things=self.things,
            height=self.pile.height,
            lifts=self.pile.lifts(self.notes.cutter),
            size=max(sizes, key=lambda size: size.width.grains),
        )

    def _name(self, piece: Piece) -> str:
        name = pile_names(self._places(piece), self._whole, self.things)
        return name.replace("pile", "cover", 1) if self.things == COVER_SHEETS else name

    @property
    def _whole(self) -> int:
        """Places for leaves on the sheet."""
        return self.total or len(self.cuts.grid.cells(self.cuts.grid.whole))

    def _places(self, piece: Piece) -> tuple[int, ...]:
        cells = self.cuts.grid.cells(piece)
        if not self.numbers:
            return cells
        return tuple(sorted(place for cell in cells for place in self.numbers[cell - 1]))

    def _part(self, pieces: Sequence[Piece], across: bool) -> Part:
        waste = not self.cuts.grid.cells(pieces[0])
        names = () if waste else tuple(self._name(piece) for piece in pieces)
        return Part(piles=names, size=self._lying(pieces[0], across), waste=waste)

    def _lying(self, piece: Piece, across: bool) -> Size:
        size = self.cuts.box(piece).size
        return size if across else size.turned

    def stack(self) -> CutStep | None:
        """Which pile goes on which; None where there is one pile."""
        piles = [gather for gather in self.plan.gathering if gather.kind in _PILES]
        notes: tuple[str, ...]
        if self._whole < 2:
            return None
        if self.job.guts.order is Order.REPEAT:
            title, notes = f"Keep the piles apart: {self._each_pile()}", _COUNTED
        elif len(piles) == 1:
            title, notes = "One pile has leaves of the book, the others are blank", ()
        else:
            names = [f"pile {gather.cell + 1}" for gather in piles if gather.cell is not None]
            title = f"{self._way()}: from the top {listed(names)}"
            notes = (
                "Piles are counted row by row from the upper left of the printed front, "
                "each with its front up.",
                *self._turned(),
                *self._blanks(),
                *self._gathered(len(guts_sheets(self.plan)), listed(names)),
            )
        return CutStep(
            number=0, kind=StepKind.STACK, when=When.BEFORE_BINDING, title=title, notes=notes
        )

    def _each_pile(self) -> str:
        """What a pile is where all places of a sheet repeat one leaf."""
        sets, leaves = prints(self.plan, self.job), len(guts_sheets(self.plan))
        if not self.job.binding.unbound:
            whole = "is a whole copy" if sets == 1 else f"holds {sets} whole copies"
            return f"each {whole} of the book"
        if leaves == 1:
            return "all are alike"
        whole = "is one set" if sets == 1 else f"holds {sets} sets"
        return f"each {whole}, leaf 1 on top, leaf {leaves} at the bottom"

    @property
    def _many(self) -> int:
        """How often each sheet lies in the pile."""
        return prints(self.plan, self.job)

    def _way(self) -> str:
        if self._many == 1:
            return "Lay the piles on each other"
        return "Gather leaf by leaf" if by_runs(self.plan, self.job) else "Gather set by set"

    def _gathered(self, sheets: int, piles: str) -> Iterator[str]:
        """Many copies, as they were printed: set after set, or run after run."""
        many, double = self._many, bool(self.plan.two_up)
        leaves, book = ("double leaves", "double book") if double else ("leaves", "book")
        if many == 1:
            return
        if not by_runs(self.plan, self.job):
            yield (
                f"Each pile holds {many} sets of {sheets} {leaves}, one for each {book}, as the "
                "sheets were printed set by set: take one set from every pile, lay them on each "
                "other, and go on with the next."
            )
        elif sheets == 1:
            yield f"Each pile holds {many} {leaves} that are alike: a {book} has one from each."
        else:
            yield (
                f"Each pile holds {sheets} runs, {many} {leaves} that are alike in each, that of "
                f"sheet 1 on top. Lay the runs out in a row, from sheet 1 to sheet {sheets} of "
                f"the first pile, then of the next, in this order: {piles}. Walk along and take "
                f"one from every run, the first on top: that is one {book}."
            )

    def _turned(self) -> Iterator[str]:
        """Piles whose leaves lay a quarter turn round on the sheet."""
        names = [g.cell + 1 for g in self.plan.gathering if g.turn and g.cell is not None]
        if names:
            piles = pile_names(names, 0, "")
            it = "it" if len(names) == 1 else "each"
            yield f"First turn {piles} a quarter turn right, {it} with the front up."

    def _blanks(self) -> Iterator[str]:
        whole = len(guts_sheets(self.plan))
        for gather in self.plan.gathering:
            blank = whole - len(gather.sheets)
            if gather.kind in _PILES and gather.cell is not None and blank:
                leaves = "1 blank leaf" if blank == 1 else f"{blank} blank leaves"
                yield self._take_away(leaves, blank, gather.cell + 1)
        piles = len([gather for gather in self.plan.gathering if gather.kind in _PILES])
        if piles < self._whole:
            yield f"The piles after pile {piles} are blank."

    def _take_away(self, leaves: str, blank: int, pile: int) -> str:
        """Blank leaves lie at the bottom of each set, or of the whole pile."""
        if self._many == 1:
            return f"First take {leaves} away from the bottom of pile {pile}."
        if by_runs(self.plan, self.job):
            runs = "the last run" if blank == 1 else f"the last {blank} runs"
            return f"Leave out {runs} of pile {pile}: they are blank."
        return f"First take {leaves} away from the bottom of every set in pile {pile}."


def edge_at_gauge(cut: GridCut) -> Edge:
    """The edge at the back stop, seen from the front of the sheet."""
    if cut.across:
        return Edge.BOTTOM if cut.chop.low_at_gauge else Edge.TOP
    return Edge.LEFT if cut.chop.low_at_gauge else Edge.RIGHT


def _title(chop: Chop, grid: Grid, falls: Part, across: bool, between: str) -> str:
    if not falls.waste:
        whole = falls.piles[0].startswith("sheets") or falls.piles[0] in ("cover", COVER_SHEETS)
        return f"Cut the {falls.piles[0]} free" if whole else f"Cut off {listed(falls.piles)}"
    strip = chop.at if chop.low_at_gauge else chop.at - 1
    if 0 < strip < len((grid.y if across else grid.x).kept) - 1:
        return f"Double cut: the strip between two {between} falls"
    side = (
        ("top" if chop.low_at_gauge else "bottom")
        if across
        else ("right" if chop.low_at_gauge else "left")
    )
    return f"Cut the waste off at the {side}"
