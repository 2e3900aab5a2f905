"""Parent sheets: the mill's sheet from which the sheets of the guts are cut before printing.

The stock's grain is then that of the parent, as it is bought; how it runs on
the sheet follows from the way the parent is cut.  Spines run up the sheet as it
lies in the file, and paper wants its grain parallel to the spine
(bindagraphics.com, bindtechinc.com).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from impose.bench.axis import Axis
from impose.bench.grid import Grid, best_order
from impose.bench.paper import overs_of, prints
from impose.bench.pile import Pile
from impose.bench.sheetgrid import SheetCuts, guts_sheets
from impose.bench.sheetsteps import SheetSteps
from impose.bench.words import Notes
from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.model.job import Job
from impose.model.stock import Grain
from impose.plan.cutsteps import CutStep, EdgeState, ParentFacts, StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.units import Length

#: What the pile is called in the list, and by its replay.
PARENTS = "parent sheets"
_LAY = (Edge.BOTTOM, Edge.LEFT)


@dataclass(frozen=True, slots=True, kw_only=True)
class ParentCut:
    """One way of cutting sheets out of a parent, both seen as the parent is named.

    `sheet` is as it lies in the parent; `turned`: a quarter turn from how it
    lies in the file.  `grain_up`: the grain runs up the sheet as it lies in the
    file; None when that of the parent is not known.
    """

    parent: Size
    sheet: Size
    columns: int
    rows: int
    turned: bool
    grain_up: bool | None

    @property
    def out(self) -> int:
        """Sheets out of one parent."""
        return self.columns * self.rows


def parent_cut(plan: Plan, job: Job) -> ParentCut | None:
    """The way that gives the grain the spine wants, of those the one with the most sheets.

    None without a parent.  Raises JobError when no sheet comes out of it.
    """
    parent = job.guts.parent
    if parent is None:
        return None
    sheet = guts_sheets(plan)[0].size
    found = [way for way in _ways(parent.size, sheet, job.guts.stock.grain) if way.out]
    if not found:
        unit = job.unit
        raise JobError(
            [
                Finding.error(
                    "parent-too-small",
                    f"a sheet of {sheet.text(unit)} does not come out of the parent sheet, "
                    f"{parent.name} ({parent.size.text(unit)}), either way round",
                    hint="name a larger parent, or a smaller sheet",
                )
            ]
        )
    if plan.flat:  # no spine asks for the grain
        return max(found, key=lambda way: way.out)
    return max(found, key=lambda way: (way.grain_up is not False, way.out))


def _ways(parent: Size, sheet: Size, grain: Grain | None) -> Iterator[ParentCut]:
    for turned in (False, True):
        lying = sheet.turned if turned else sheet
        yield ParentCut(
            parent=parent,
            sheet=lying,
            columns=parent.width // lying.width,
            rows=parent.height // lying.height,
            turned=turned,
            grain_up=None if grain is None else _grain_up(parent, grain, turned),
        )


def _grain_up(parent: Size, grain: Grain, turned: bool) -> bool:
    up_the_parent = (grain is Grain.LONG) != parent.landscape
    return up_the_parent != turned


def grain_on_sheet(plan: Plan, job: Job) -> Grain | None:
    """Which edge of the sheets of the guts the grain runs along; None when it is not known."""
    grain, way = job.guts.stock.grain, parent_cut(plan, job)
    if way is None or way.grain_up is None:
        return grain
    sheet = guts_sheets(plan)[0].size
    return Grain.LONG if way.grain_up != sheet.landscape else Grain.SHORT


def parent_sheet_cuts(way: ParentCut) -> SheetCuts:
    """The parent as a sheet to be cut: the sheets at its lower left, the waste beyond."""
    x = _axis(way.parent.width, way.sheet.width, way.columns, Edge.LEFT)
    y = _axis(way.parent.height, way.sheet.height, way.rows, Edge.BOTTOM)
    ids: dict[tuple[bool, Length], tuple[str, ...]] = {(False, at): () for at in x.cuts}
    ids |= {(True, at): () for at in y.cuts}
    trims = tuple(
        Box.at(way.sheet.width * column, way.sheet.height * row, way.sheet)
        for row in range(way.rows)
        for column in range(way.columns)
    )
    return SheetCuts(size=way.parent, grid=Grid(x, y), lay=_LAY, ids=ids, trims=trims)


def _axis(whole: Length, each: Length, count: int, lay: Edge) -> Axis:
    places = [each * number for number in range(1, count + 1)]
    cuts = tuple(at for at in places if at < whole)
    return Axis(
        length=whole,
        cuts=cuts,
        kept=(*[True] * count, *([False] if each * count < whole else [])),
        low=EdgeState.LAY if lay in _LAY else EdgeState.RAW,
        high=EdgeState.RAW,
    )


def parent_program(
    plan: Plan, job: Job, notes: Notes
) -> tuple[tuple[CutStep, ...], ParentFacts | None]:
    """The cuts that come first in the list, and what is said of the parents above it."""
    way = parent_cut(plan, job)
    if way is None:
        return (), None
    cuts = parent_sheet_cuts(way)
    count = _needed(plan, job, way)
    pile = Pile(count=count, each=job.guts.stock.caliper)
    maker = SheetSteps(
        plan=plan, job=job, cuts=cuts, pile=pile, notes=notes, things=PARENTS,
        when=When.BEFORE_PRINTING,
    )  # fmt: skip
    order, plain = best_order(cuts.grid, notes.cutter)
    facts = ParentFacts(
        size=way.parent,
        sheet=way.sheet,
        out=way.out,
        count=count,
        grain=_grain_words(plan, job, way),
        handling=order.count,
        plain=plain,
    )
    if not order.cuts:
        return (), facts
    return (maker.jog(), *maker.steps(order), _gather(plan, job, way, count)), facts


def _wanted(plan: Plan, job: Job) -> int:
    """Sheets to print, those for spoilage among them."""
    sheets = sum(sheet.copies for sheet in guts_sheets(plan))
    return sheets * prints(plan, job) + overs_of(plan, job)


def _needed(plan: Plan, job: Job, way: ParentCut) -> int:
    return -(-_wanted(plan, job) // way.out)


def _gather(plan: Plan, job: Job, way: ParentCut, count: int) -> CutStep:
    unit, wanted = plan.unit, _wanted(plan, job)
    sheet = guts_sheets(plan)[0].size
    piles = f"the {way.out} piles on each other, all the same way up" if way.out > 1 else "the pile"
    notes = [
        f"{count} parent sheets give {count * way.out} sheets of {sheet.text(unit)}; "
        f"{wanted} are to be printed.",
        f"{_grain_words(plan, job, way).capitalize()}.",
    ]
    return CutStep(
        number=0,
        kind=StepKind.STACK,
        when=When.BEFORE_PRINTING,
        title=f"Lay {piles}: these are the sheets for the printer",
        notes=tuple(notes),
    )


def _grain_words(plan: Plan, job: Job, way: ParentCut) -> str:
    if way.grain_up is None:
        return "the grain of the parent is not known"
    sheet = guts_sheets(plan)[0].size
    edge = "long" if way.grain_up != sheet.landscape else "short"
    along = f"the grain runs along the {edge} edge of the sheet"
    return along if plan.flat else f"{along}, {'along' if way.grain_up else 'ACROSS'} the spine"


def parent_findings(plan: Plan, job: Job) -> Iterator[Finding]:
    """Sheets that the right grain costs."""
    way = parent_cut(plan, job)
    if way is None or job.guts.parent is None or way.grain_up is None or plan.flat:
        return
    sheet = guts_sheets(plan)[0].size
    most = max(_ways(way.parent, sheet, job.guts.stock.grain), key=lambda one: one.out)
    if most.out > way.out:
        yield Finding.note(
            "parent-grain-costs",
            f"cut with the grain along the spine a parent sheet gives {way.out} sheets; the "
            f"other way round it would give {most.out}",
            hint="choose another parent, or paper with the grain the other way",
        )
