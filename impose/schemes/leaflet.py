"""Leaflets: one sheet folded to panels, its pages given panel by panel or as two flat sides.

The widths of the panels come from the fold (schemes.leafletfolds), their order
from folding the strip and reading it (schemes.panelstrip).  A tent is folded in
half at its head and stands: both its outer faces are upright when it does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.errors import JobError
from impose.findings import Finding, Severity
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.model.facts import BookPage
from impose.model.job import Job
from impose.plan.parts import Cut, FoldStep, Gather, Line, LineKind, Placement, Sheet, Side
from impose.plan.plan import FLAT_LEAFLET, FLAT_LEAFLET_ONE_SIDE, LEAFLET, LEAFLET_ONE_SIDE, PageFit
from impose.schemes.draft import Asked, Draft
from impose.schemes.fitting import Fitting, fit_pages, page_size
from impose.schemes.leafletsize import Leaflet, leaflet_of
from impose.schemes.leaves import fill_up
from impose.schemes.panelblock import (
    Block,
    PanelPlace,
    PanelPlacer,
    find_block,
    fold_marks,
    outer_cuts,
    panel_findings,
)
from impose.schemes.panelstrip import Shown, read_strip
from impose.units import ZERO, Length

#: What gathers a sheet folded by its own fold steps, and a tent.
FOLDED_STRIP, TENT = "leaflet", "tent"


def leaflet_trim(job: Job, pages: Sequence[BookPage]) -> tuple[Size, tuple[Finding, ...]]:
    """The page that the plan is measured by: the front panel, or the flat piece of flat sides."""
    made = leaflet_of(job, pages)
    unit, size = job.unit, made.flat if made.whole else made.front
    trim = job.bound_at.leaf_size(size)
    if job.trim is not None:
        return trim, ()
    note = Finding.note(
        "trim-from-page",
        f"no trim size was given: taken from the pages, {made.flat.text(unit)} open, "
        f"{made.front.text(unit)} folded",
        hint="name the folded size (trim, --trim) to be sure",
        trim=made.front.text(unit),
    )
    return trim, (note,)


# -- pages onto panels -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Spot:
    """A face of the leaflet: its box in the open piece seen from the front, from 0, 0."""

    box: Box
    front: bool
    upside_down: bool
    spine_at: Edge
    panel: int


def spots_of(made: Leaflet, mirrored: bool) -> tuple[_Spot, ...]:
    """The faces in reading order."""
    if made.strip is None:
        return _tent_spots(made.front)
    book = read_strip(made.strip.widths, made.strip.steps, leftward=mirrored)
    edges = [ZERO]
    for width in made.strip.widths:
        edges.append(edges[-1] + width)
    return tuple(_spot(shown, edges, made) for shown in book.pages)


def _spot(shown: Shown, edges: Sequence[Length], made: Leaflet) -> _Spot:
    """The spine of a panel at the open strip's outer end is its hinge; else its left."""
    last = len(edges) - 2
    box = Box(edges[shown.panel], ZERO, edges[shown.panel + 1], made.front.height)
    at_right = shown.panel == 0
    if not shown.front:
        at_right = shown.panel == last
    return _Spot(box, shown.front, False, Edge.RIGHT if at_right else Edge.LEFT, shown.panel)


def _tent_spots(front: Size) -> tuple[_Spot, ...]:
    """The lower panel is the front; over the head the back stands upside down on the sheet.
    Inside, the lifted front lies above: seen about the vertical both are upside down."""
    lower = Box(ZERO, ZERO, front.width, front.height)
    upper = Box(ZERO, front.height, front.width, front.height * 2)
    return (
        _Spot(lower, True, False, Edge.LEFT, 0),
        _Spot(lower, False, True, Edge.LEFT, 0),
        _Spot(upper, False, True, Edge.LEFT, 1),
        _Spot(upper, True, True, Edge.LEFT, 1),
    )


def fit_leaflet(
    job: Job, pages: Sequence[BookPage], faces: Sequence[int | None]
) -> tuple[tuple[PageFit, ...], tuple[Finding, ...]]:
    """Each page fitted to its own panel.  Raises JobError that names every panel's width."""
    made = leaflet_of(job, pages)
    flat = job.bound_at.leaf_size(made.flat)
    sizes = [flat] * len(pages)
    if not made.whole:
        spots = _used(made, job, len(faces))
        for face, spot in zip(faces, spots, strict=False):
            if face is not None:
                sizes[face - 1] = job.bound_at.leaf_size(spot.box.size)
    try:
        to = Fitting(
            trim=flat,
            mode=job.fit,
            tolerance=job.tolerance,
            unit=job.unit,
            own=dict(enumerate(sizes, start=1)),
            panels=True,
        )
        fits, notes = fit_pages(pages, to)
    except JobError as error:
        raise JobError([*error.faults, _widths(job, made, Severity.ERROR)]) from error
    panels_of_size: dict[Size, set[Size]] = {}
    for page, size in zip(pages, sizes, strict=True):
        panels_of_size.setdefault(page_size(page.facts, job.tolerance), set()).add(size)
    if any(len(panels) > 1 for panels in panels_of_size.values()):
        notes = (*notes, _widths(job, made, Severity.WARNING))
    return fits, notes


def _widths(job: Job, made: Leaflet, severity: Severity) -> Finding:
    """What each page has to be; a warning when pages of one size lie on panels of several."""
    unit = job.unit
    if made.whole:
        said = f"each flat side is {job.bound_at.leaf_size(made.flat).text(unit)}"
    else:
        spots = spots_of(made, job.bound_at.mirrored)
        by_size: dict[Size, list[int]] = {}
        for page, spot in enumerate(spots, start=1):
            by_size.setdefault(job.bound_at.leaf_size(spot.box.size), []).append(page)
        said = "; ".join(
            f"{'page' if len(of) == 1 else 'pages'} {', '.join(map(str, of))}: {size.text(unit)}"
            for size, of in by_size.items()
        )
    return Finding(
        severity=severity,
        code="panel-sizes",
        message=f"the pages of a {made.fold.value} fold of {made.front.text(unit)}: {said}",
        hint="make the pages these sizes, in this order; nest says how much the inner panels are "
        f"narrowed{_named(job, made)}",
    )


def _named(job: Job, made: Leaflet) -> str:
    """How to say the folded size, where it was only taken from the pages."""
    size, unit = job.bound_at.leaf_size(made.front), job.unit
    width, height = size.width.text(unit), size.height.text(unit)
    if job.trim is not None or made.whole or "~" in width + height:
        return ""
    words = f"{width.replace(' ', '')} x {height.replace(' ', '')}"
    return f'; say the folded size to be sure: --trim "{words}"'


def _used(made: Leaflet, job: Job, given: int) -> tuple[_Spot, ...]:
    """The faces that are printed: one side alone of a tent of two pages, and of a z-fold whose
    pages are no more than the panels of a side."""
    spots = spots_of(made, job.bound_at.mirrored)
    if made.strip is None and given <= 2:
        return spots[0], spots[-1]
    along = spots[: made.panels]
    return along if given <= made.panels and all(spot.front for spot in along) else spots


def plan_leaflet(asked: Asked, pages: Sequence[BookPage]) -> Draft:
    """One sheet, of pages that have been counted.  Raises JobError for no room."""
    job, made = asked.job, leaflet_of(asked.job, pages)
    block = find_block(asked, made.flat, f"a {made.fold.value} fold laid open")
    if made.whole:
        placed = _flat_sides(asked, block)
        notes: tuple[Finding, ...] = ()
        faces: Sequence[int | None] = asked.faces
    else:
        spots = _used(made, job, len(asked.faces))
        faces, notes = fill_up(asked.faces, len(spots), job.blanks_at)
        placed = _panels(asked, block, spots, faces)
    front, back = placed
    one_side = len(faces) == 1 if made.whole else not back
    names = (FLAT_LEAFLET, FLAT_LEAFLET_ONE_SIDE) if made.whole else (LEAFLET, LEAFLET_ONE_SIDE)
    lines, cuts, folds = _lines(made, block)
    sheet = Sheet(
        number=1,
        size=block.sheet,
        turned=block.room.turned,
        front=Side(front),
        back=Side(() if one_side else back),
        lines=tuple(lines),
        folds=folds,
    )
    return Draft(
        scheme=names[one_side],
        faces=len(faces),
        sheets=(sheet,),
        cuts=tuple(cuts),
        gathering=(Gather(TENT if made.strip is None else FOLDED_STRIP, (1,)),),
        findings=(
            *notes,
            _told(asked, made),
            *panel_findings(asked, block),
        ),
    )


_Sides = tuple[tuple[Placement, ...], tuple[Placement, ...]]


def _flat_sides(asked: Asked, block: Block) -> _Sides:
    """Each side is one page."""
    placer = PanelPlacer.on(asked, block)
    box, sides = block.panels, []
    for index, page in enumerate((*asked.faces, None)[:2]):
        at = PanelPlace(panel=box, front=index == 0, upside_down=False, spine_at=Edge.LEFT, leaf=1)
        sides.append((placer.place(at, page, index + 1),))
    return sides[0], sides[1]


def _panels(
    asked: Asked, block: Block, spots: Sequence[_Spot], faces: Sequence[int | None]
) -> _Sides:
    placer = PanelPlacer.on(asked, block)
    sides: dict[bool, list[Placement]] = {True: [], False: []}
    for position, (spot, page) in enumerate(zip(spots, faces, strict=True), start=1):
        at = PanelPlace(
            panel=spot.box.moved(block.panels.x0, block.panels.y0),
            front=spot.front,
            upside_down=spot.upside_down,
            spine_at=spot.spine_at,
            leaf=spot.panel + 1,
        )
        sides[spot.front].append(placer.place(at, page, position))
    return tuple(sides[True]), tuple(sides[False])


def _lines(made: Leaflet, block: Block) -> tuple[list[Line], list[Cut], tuple[FoldStep, ...]]:
    lines, cuts = outer_cuts(block)
    box = block.box
    if made.strip is None:
        y = block.panels.y0 + made.front.height
        lines.append(Line(LineKind.FOLD, "fold1", box.x0, y, box.x1, y))
        step = FoldStep(id="fold1", across=True, at=y, moving=Edge.TOP, under=True)
        return lines, cuts, (step,)
    places, x = [], block.panels.x0
    for width in made.strip.widths[:-1]:
        x = x + width
        places.append(x)
    lines += fold_marks(places, block)
    return lines, cuts, made.strip.moved(block.panels.x0).steps


def _told(asked: Asked, made: Leaflet) -> Finding:
    """The widths of the panels, as the front shows them."""
    unit = asked.job.unit
    if made.strip is None:
        words = f"two panels of {made.front.text(unit)}, one above the other"
    else:
        widths = ", ".join(width.text(unit) for width in made.strip.widths)
        words = f"panels of {widths}, from the left of the sheet's front"
    return Finding.note("panel-widths", f"{made.fold.value} fold: {words}")
