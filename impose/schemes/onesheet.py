"""A booklet of eight pages from one face of one sheet, nothing sewn or glued: fold, slit, push.

Four panels across and two up; the two inner panels of each row are slit apart
along the middle.  Folded the long way, the sheet is pushed together from its
ends, so that the slit opens to a cross of four leaves, each of two panels back
to back; they are folded round to a booklet.  Which page lies where, and how it is
turned, is worked out from hinges and slit (schemes.panelgrid).

Of sixteen pages eight are on each face: the booklet is read, opened out, and
folded the other way out for the rest.  The sheet is turned over like any other.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Final

from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.model.facts import BookPage
from impose.model.job import Job
from impose.plan.parts import (
    SLIT,
    Cut,
    Gather,
    Line,
    LineKind,
    Placement,
    Sheet,
    Side,
    When,
)
from impose.plan.plan import ONE_SHEET, ONE_SHEET_BOTH
from impose.schemes.draft import Asked, Draft
from impose.schemes.fitting import page_size
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
from impose.schemes.panelgrid import BOOKLET, PanelRead, read_panels
from impose.units import Length

#: Pages on a face.
PAGES: Final = BOOKLET.columns * BOOKLET.rows
#: The fold along the middle of the sheet, the long way.
LONG: Final = "long"
#: What gathers a sheet whose panels are read along their hinges.
PANELS: Final = "panels"


def panels_of_sheets(job: Job) -> Iterator[Size]:
    """The page that a panel holds on each sheet, both ways round, the way that is usual first."""
    for named in job.guts.sheets:
        size = named.size if named.size.landscape else named.size.turned
        for sheet in (size, size.turned):
            panel = Size(
                Length(sheet.width.grains // BOOKLET.columns),
                Length(sheet.height.grains // BOOKLET.rows),
            )
            yield job.bound_at.leaf_size(panel)


def booklet_trim(job: Job, pages: Sequence[BookPage]) -> tuple[Size, tuple[Finding, ...]]:
    """The trim of the job; a panel of the sheet when none was given, or nearly that one was."""
    unit, panels = job.unit, list(panels_of_sheets(job))
    if job.trim is not None:
        near = [panel for panel in panels if panel.near(job.trim.size, job.tolerance)]
        return (near[0] if near else job.trim.size), ()
    counted = Counter(page_size(page.facts, job.tolerance) for page in pages)
    wanted = counted.most_common(1)[0][0]
    near = [panel for panel in panels if panel.near(wanted, job.tolerance)]
    trim = near[0] if near else panels[0]
    note = Finding.note(
        "trim-from-sheet",
        f"no trim size was given: taken from the sheet, an eighth of it, {trim.text(unit)}",
        hint="name it (trim, --trim) to have smaller pages, cut from the middle of the sheet",
        trim=trim.text(unit),
    )
    return trim, (note,)


def plan_one_sheet(asked: Asked) -> Draft:
    """One sheet, of pages that have been counted.  Raises JobError for no room."""
    given = len(asked.faces)
    both = given > PAGES
    faces, notes = fill_up(asked.faces, PAGES * 2 if both else PAGES, asked.job.blanks_at)
    leaf = asked.leaf
    size = Size(leaf.width * BOOKLET.columns, leaf.height * BOOKLET.rows)
    block = find_block(asked, size, f"a booklet of {BOOKLET.columns} by {BOOKLET.rows} panels")
    sheet, cuts, start = _sheet(asked, block, faces, both)
    return Draft(
        scheme=ONE_SHEET_BOTH if both else ONE_SHEET,
        faces=len(faces),
        sheets=(sheet,),
        cuts=tuple(cuts),
        gathering=(Gather(PANELS, (1,), start),),
        findings=(
            *notes,
            *_read_twice(both),
            *panel_findings(asked, block),
        ),
    )


def _read_twice(both: bool) -> tuple[Finding, ...]:
    """How sixteen pages are read, which is not from cover to cover at once."""
    if not both:
        return ()
    return (
        Finding.note(
            "read-twice",
            f"pages {PAGES + 1} to {PAGES * 2} are on the other face of the sheet: they are read "
            "when the booklet is opened out and folded the other way out",
            hint='to be read through at once, sixteen pages want a staple: binding = "saddle"',
        ),
    )


def start_of(spine_at: Edge) -> tuple[int, int]:
    """The panel of the first page, seen from its own face: at the foot, at the end of the row
    that leaves its spine at a hinge."""
    return (BOOKLET.columns - 1, 0) if spine_at is Edge.LEFT else (0, 0)


def _sheet(
    asked: Asked, block: Block, faces: Sequence[int | None], both: bool
) -> tuple[Sheet, list[Cut], int]:
    spine_at = Edge.RIGHT if asked.job.bound_at.mirrored else Edge.LEFT
    start = start_of(spine_at)
    xs, middle = _columns(asked, block.box), (block.box.y0 + block.box.y1).half
    placer = PanelPlacer.on(asked, block)
    ys = (middle - asked.leaf.height, middle, middle + asked.leaf.height)
    sides: list[tuple[Placement, ...]] = []
    for front in (True, False):
        grid = BOOKLET if front else BOOKLET.mirrored
        made = []
        for index, read in enumerate(read_panels(grid, start, spine_at)):
            position = index + 1 + (0 if front else PAGES)
            if position <= len(faces):
                at = _place(read, xs, ys, front, (position + 1) // 2)
                made.append(placer.place(at, faces[position - 1], position))
        sides.append(tuple(made))
    lines, cuts = _lines(block, xs, middle)
    row = BOOKLET.rows - 1 - start[1]
    sheet = Sheet(
        number=1,
        size=block.sheet,
        turned=block.room.turned,
        front=Side(sides[0]),
        back=Side(sides[1] if both else ()),
        lines=tuple(lines),
    )
    return sheet, cuts, row * BOOKLET.columns + start[0]


def _columns(asked: Asked, box: Box) -> list[Length]:
    """The edges of the columns, from the middle outward: the paper may be a little larger."""
    width, centre = asked.leaf.width, (box.x0 + box.x1).half
    return [centre + width * count for count in (-2, -1, 0, 1, 2)]


def _place(
    read: PanelRead, xs: Sequence[Length], ys: Sequence[Length], front: bool, leaf: int
) -> PanelPlace:
    column = read.at[0] if front else BOOKLET.columns - 1 - read.at[0]
    row = read.at[1]
    return PanelPlace(
        panel=Box(xs[column], ys[row], xs[column + 1], ys[row + 1]),
        front=front,
        upside_down=read.upside_down,
        spine_at=read.spine_at,
        leaf=leaf,
    )


def _lines(block: Block, xs: Sequence[Length], middle: Length) -> tuple[list[Line], list[Cut]]:
    """Outer cuts, the upright folds, the long fold on both sides of the slit, the slit."""
    lines, cuts = outer_cuts(block)
    lines += fold_marks(xs[1:-1], block)
    for x0, x1 in ((xs[0], xs[1]), (xs[3], xs[4])):
        lines.append(Line(LineKind.FOLD, LONG, x0, middle, x1, middle))
    lines.append(Line(LineKind.CUT, SLIT, xs[1], middle, xs[3], middle))
    title = "slit the two inner panels apart, along the long fold"
    cuts.append(Cut(id=SLIT, when=When.BEFORE_FOLDING, side=SLIT, title=title))
    return lines, cuts
