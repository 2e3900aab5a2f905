"""A concertina: a strip of panels folded to and fro, on one face or both, of one sheet or more.

Sheets are joined by a tab: a strip beyond the last panel of every sheet but the
last, folded at its hinge and glued to the back of the next sheet's first panel.
So the front runs on without a break; printed on both faces, the back loses what
lies under the tab (said).  A page on the back is read when the whole piece is
turned over, so the last panel's back comes first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.geometry.turning import Turnover
from impose.plan.parts import END, Cut, Gather, Line, LineKind, Placement, Sheet, Side, When
from impose.plan.plan import CONCERTINA, CONCERTINA_BOTH
from impose.schemes.draft import Asked, Draft, refuse, too_small
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
from impose.schemes.panelgrid import PanelGrid, PanelRead, read_panels
from impose.schemes.rooms import rooms
from impose.units import ZERO, Length

#: The strip that joins two sheets, by the unit for people (common practice).
USUAL_TAB: Final = {"mm": Length.mm(10), "in": Length.inches("3/8")}
#: What gathers the sheets of one strip.
JOINED: Final = "joined"


@dataclass(frozen=True, slots=True)
class _Strip:
    """How the panels are shared out: `per_sheet` on each sheet but the last, which has the rest.

    `block` is what every sheet is cut to, left-bound; `tab` is zero on a single sheet.
    """

    panels: int
    per_sheet: int
    tab: Length
    block: Block

    @property
    def sheets(self) -> int:
        return -(-self.panels // self.per_sheet)

    def on(self, number: int) -> range:
        """The panels (from 0) on a sheet (from 1)."""
        first = (number - 1) * self.per_sheet
        return range(first, min(first + self.per_sheet, self.panels))


def plan_concertina(asked: Asked) -> Draft:
    """The strip, of pages that have been counted.  Raises JobError for no room."""
    given, said = len(asked.faces), asked.job.guts.panel.panels
    panels = said if said is not None else max(given, 2)
    both = given > panels
    faces, notes = fill_up(asked.faces, panels * (2 if both else 1), asked.job.blanks_at)
    strip = _strip(asked, panels)
    sheets = [_sheet(asked, strip, number, faces, both) for number in range(1, strip.sheets + 1)]
    block = strip.block.mirrored() if asked.job.bound_at.mirrored else strip.block
    return Draft(
        scheme=CONCERTINA_BOTH if both else CONCERTINA,
        faces=len(faces),
        sheets=tuple(sheets),
        cuts=tuple(_cuts(strip)),
        gathering=(Gather(JOINED, tuple(sheet.number for sheet in sheets)),),
        findings=(
            *notes,
            *_covered(asked, strip, faces, both),
            *panel_findings(asked, block),
        ),
    )


def _strip(asked: Asked, panels: int) -> _Strip:
    """All on one sheet where they fit; else as few sheets as can be, shared out evenly."""
    leaf, up = asked.leaf, asked.job.guts.up
    if up is None or up >= panels:
        for room in rooms(asked.job.guts):
            whole = Size(leaf.width * panels, leaf.height)
            if _holds(room.hold, whole):
                named = [s for s in asked.job.guts.sheets if s.name == room.name]
                only = replace(asked.job.guts, sheets=tuple(named))
                block = find_block(replace(asked, job=replace(asked.job, guts=only)), whole, "")
                return _Strip(panels, panels, ZERO, block)
    tab = _tab(asked)
    most = up or max((_most(asked, named.name, tab) for named in asked.job.guts.sheets), default=0)
    if not most:
        raise too_small(asked, Size(leaf.width + tab, leaf.height), "a panel and its tab")
    sheets = -(-panels // most)
    per_sheet = up or -(-panels // sheets)
    size = Size(leaf.width * per_sheet + tab, leaf.height)
    block = find_block(asked, size, f"{per_sheet} panels and a tab")
    return _Strip(panels, per_sheet, tab, block)


def _tab(asked: Asked) -> Length:
    said = asked.job.guts.panel.tab
    tab = USUAL_TAB[asked.job.unit] if said is None else said
    if tab >= asked.leaf.width:
        unit = asked.job.unit
        raise refuse(
            "tab-too-wide",
            f"the tab is {tab.text(unit)}, a panel only {asked.leaf.width.text(unit)} wide",
            "give a narrower tab",
        )
    return tab


def _holds(hold: Box, size: Size) -> bool:
    return hold.width >= size.width and hold.height >= size.height


def _most(asked: Asked, name: str, tab: Length) -> int:
    """The panels that a sheet takes beside a tab."""
    leaf = asked.leaf
    return max(
        (
            (room.hold.width - tab) // leaf.width
            for room in rooms(asked.job.guts)
            if room.name == name and room.hold.height >= leaf.height
        ),
        default=0,
    )


def _cuts(strip: _Strip) -> list[Cut]:
    _, cuts = outer_cuts(strip.block)
    if _end(strip) is not None:
        title = "cut the last sheet off behind its last panel"
        cuts.append(Cut(id=END, when=When.BEFORE_FOLDING, side=END, title=title))
    return cuts


def _end(strip: _Strip) -> Length | None:
    """Where the last sheet's panels end, when that is not the end of what all are cut to."""
    at = _panel(strip, len(strip.on(strip.sheets)) - 1).x1
    return at if strip.sheets > 1 and at < strip.block.box.x1 else None


def _width(strip: _Strip) -> Length:
    return Length((strip.block.panels.width - strip.tab).grains // strip.per_sheet)


def _reads(panels: int) -> tuple[tuple[PanelRead, ...], tuple[PanelRead, ...]]:
    """The panels of the front, and of the back seen from behind, in reading order."""
    grid = PanelGrid(panels, 1)
    front = read_panels(grid, (0, 0), Edge.LEFT)
    return front, read_panels(grid.mirrored, (0, 0), back_starts_at(panels))


def back_starts_at(panels: int) -> Edge:
    """Where the spine of the first page on the back is: with an even number of panels it faces
    the next one, with an odd number it is a cover of its own."""
    return Edge.RIGHT if panels % 2 == 0 else Edge.LEFT


def _sheet(
    asked: Asked, strip: _Strip, number: int, faces: Sequence[int | None], both: bool
) -> Sheet:
    """Laid out for a left-bound strip, mirrored for a right-bound one."""
    mirrored = asked.job.bound_at.mirrored
    block = strip.block.mirrored() if mirrored else strip.block
    placer = PanelPlacer.on(asked, block)
    here = strip.on(number)
    fronts, backs = _reads(strip.panels)
    sides: list[tuple[Placement, ...]] = []
    for front, reads in ((True, fronts), (False, backs)):
        made = []
        for index, read in enumerate(reads):
            column = read.at[0] if front else strip.panels - 1 - read.at[0]
            if column in here and (front or both):
                position = index + 1 + (0 if front else strip.panels)
                panel, spine_at = _panel(strip, column - here[0]), read.spine_at
                if mirrored:
                    panel = Turnover.ABOUT_VERTICAL.over(panel, block.sheet)
                    spine_at = spine_at.opposite
                at = PanelPlace(
                    panel=panel,
                    front=front,
                    upside_down=False,
                    spine_at=spine_at,
                    leaf=column + 1,
                )
                made.append(placer.place(at, faces[position - 1], position))
        sides.append(tuple(made))
    return Sheet(
        number=number,
        size=block.sheet,
        turned=block.room.turned,
        front=Side(sides[0]),
        back=Side(sides[1]),
        lines=tuple(_lines(strip, number, mirrored)),
    )


def _panel(strip: _Strip, index: int) -> Box:
    """A panel of a sheet, counted from 0 at the left of a left-bound strip."""
    box, width = strip.block.panels, _width(strip)
    x = box.x0 + width * index
    return Box(x, box.y0, x + width, box.y1)


def _lines(strip: _Strip, number: int, mirrored: bool) -> list[Line]:
    block, here = strip.block, strip.on(number)
    lines, _ = outer_cuts(block)
    folds = [_panel(strip, index).x1 for index in range(len(here) - 1)]
    if number < strip.sheets:  # the tab's own hinge
        folds.append(_panel(strip, len(here) - 1).x1)
    lines += fold_marks(folds, block)
    end = _end(strip)
    if number == strip.sheets and end is not None:
        lines.append(Line(LineKind.CUT, END, end, block.box.y0, end, block.box.y1))
    if not mirrored:
        return lines
    wide = block.sheet.width
    return [
        Line(ln.kind, ln.of, wide - ln.x1, ln.y0, wide - ln.x0, ln.y1) if not ln.upright
        else Line(ln.kind, ln.of, wide - ln.x0, ln.y0, wide - ln.x0, ln.y1)
        for ln in lines
    ]  # fmt: skip


def _covered(
    asked: Asked, strip: _Strip, faces: Sequence[int | None], both: bool
) -> tuple[Finding, ...]:
    """The pages of the back that lose a strip to a tab."""
    if not both or strip.sheets == 1:
        return ()
    positions = [2 * strip.panels - strip.on(number)[0] for number in range(2, strip.sheets + 1)]
    pages = sorted(page for at in positions if (page := faces[at - 1]) is not None)
    if not pages:
        return ()
    unit, side = asked.job.unit, "left" if asked.job.bound_at.mirrored else "right"
    return (
        Finding.warning(
            "tab-covers",
            f"the tab that joins two sheets is glued onto the back of the next panel and covers "
            f"{strip.tab.text(unit)} at the {side} of "
            f"{'page' if len(pages) == 1 else 'pages'} {', '.join(map(str, pages))}",
            hint="keep that strip free of words, give a narrower tab, or fit all panels on one "
            "sheet",
            pages=pages,
            tab=strip.tab.text(unit),
        ),
    )
