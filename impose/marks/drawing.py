"""The marks stage: from a plan's lines to marks on its sides.

Sheets of one layout share their marks; with creep only the fore-edge marks
move from sheet to sheet, along with their lines.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from impose.findings import Finding
from impose.geometry.box import Box, Size, box_inside
from impose.geometry.sides import PageSides
from impose.geometry.turning import Turnover
from impose.marks.collation import collation_mark
from impose.marks.registration import registration_marks
from impose.marks.slug import SlugPlace, slug_place, slug_text
from impose.marks.ticks import Ground, ticks
from impose.model.job import Job, MarkSettings
from impose.model.machines import Printer
from impose.plan.parts import Line, Mark, MarkGroup, Shape, Sheet, Side
from impose.plan.plan import Plan
from impose.units import ZERO, Length


def add_marks(plan: Plan, job: Job) -> Plan:
    """The plan with marks on every side, and notes about marks that have no room."""
    drawer = _Drawer(plan, job)
    sheets = tuple(drawer.marked(sheet) for sheet in plan.sheets)
    return replace(plan, sheets=sheets, findings=(*plan.findings, *drawer.notes()))


@dataclass(frozen=True, slots=True)
class _SideMarks:
    """What sides of one layout share; `moving` are the spans of creeping ticks by line."""

    group: MarkGroup
    moving: tuple[tuple[int, Length, Length], ...]
    slug: SlugPlace | None


class _Drawer:
    """Draws sheet after sheet; remembers what layouts share and what had no room."""

    def __init__(self, plan: Plan, job: Job) -> None:
        self.plan = plan
        self.settings = job.marks
        self.printer = job.guts.printer
        self.stock = job.guts.stock.name
        self.date = job.date
        self.kinds = _kinds(job)
        self.no_room: set[str] = set()
        self.no_slug = False
        self._shared: dict[tuple[int, ...], tuple[_SideMarks, _SideMarks]] = {}
        self._bleed = _most_bleed(plan)
        self._section_ends = _section_ends(plan)

    def marked(self, sheet: Sheet) -> Sheet:
        key = (
            id(sheet.lines),
            len(sheet.front.placements),
            len(sheet.back.placements),
            len(sheet.creep_lines),
        )
        shared = self._shared.get(key)
        if shared is None:
            shared = self._shared[key] = self._share(sheet)
        front, back = (
            self._side(sheet, side, marks, name)
            for (name, side), marks in zip(sheet.sides, shared, strict=True)
        )
        return replace(sheet, front=front, back=back)

    def notes(self) -> tuple[Finding, ...]:
        found = []
        if self.no_room and "crop" in self.kinds:
            found.append(
                Finding.note(
                    "mark-no-room",
                    "some crop or fold marks are left out, there is no room for them outside "
                    f"the pages: {', '.join(sorted(self.no_room))}",
                    hint="a larger sheet has room for marks",
                )
            )
        if self.no_slug:
            found.append(
                Finding.note(
                    "slug-no-room",
                    "the line with title and sheet number is left out, there is no room for it",
                    hint="a larger sheet has room for it",
                )
            )
        return tuple(found)

    # -- shared by a layout ------------------------------------------------------------

    def _share(self, sheet: Sheet) -> tuple[_SideMarks, _SideMarks]:
        longest = self._words(replace(sheet, number=len(self.plan.sheets)), "front")
        sides = []
        for name, side in sheet.sides:
            lines, creeping = sheet.lines, sheet.creep_lines
            if name == "back":
                lines = tuple(turned_line(ln, sheet.size, sheet.turned) for ln in lines)
                creeping = tuple(turned_line(ln, sheet.size, sheet.turned) for ln in creeping)
            sides.append(self._share_side(sheet, side, lines, creeping, longest))
        return sides[0], sides[1]

    def _share_side(
        self,
        sheet: Sheet,
        side: Side,
        lines: Sequence[Line],
        creeping: Sequence[Line],
        longest: str,
    ) -> _SideMarks:
        ground = Ground(
            _printable(self.printer, sheet.size),
            tuple(
                p.trim.grown(self._bleed.edges(p.spine_at, p.upside_down)) for p in side.placements
            ),
        )
        fixed, missing = self._ticks(lines, ground)
        moving: list[Mark] = []
        spans: list[tuple[int, Length, Length]] = []
        for index, line in enumerate(creeping):
            made, none = self._ticks([line], ground)
            missing = (*missing, *none)
            moving.extend(made)
            spans.extend((index, mark.y0, mark.y1) for mark in made)
        self.no_room.update(missing)
        marks = list(fixed)
        if "registration" in self.kinds:
            marks.extend(registration_marks(ground, (*fixed, *moving), self.settings.weight))
        slug = None
        if "slug" in self.kinds and longest:
            slug = slug_place(ground, (*marks, *moving), longest)
            self.no_slug = self.no_slug or slug is None
        return _SideMarks(MarkGroup(tuple(marks)), tuple(dict.fromkeys(spans)), slug)

    def _ticks(
        self, lines: Sequence[Line], ground: Ground
    ) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
        wanted = [line for line in lines if _KIND_OF[line.kind.value] in self.kinds]
        return ticks(wanted, ground, self.settings)

    # -- one side ------------------------------------------------------------------------

    def _side(self, sheet: Sheet, side: Side, shared: _SideMarks, name: str) -> Side:
        own: list[Mark] = []
        weight = self.settings.weight
        for index, low, high in shared.moving:
            if index < len(sheet.creep_lines):
                x = sheet.creep_lines[index].x0
                if name == "back":
                    x, _ = sheet.turned.point(x, ZERO, sheet.size)
                own.append(Mark("crop", Shape.LINE, x, low, x, high, weight))
        if name == "front" and sheet.section and "collation" in self.kinds:
            mark = collation_mark(sheet, self._section_ends[sheet.section], weight)
            if mark and len(self._section_ends) > 1:
                own.append(mark)
        if shared.slug:
            own.append(shared.slug.mark(self._words(sheet, name)))
        groups = (shared.group,) if shared.group.marks else ()
        return Side(side.placements, groups, tuple(own))

    def _words(self, sheet: Sheet, name: str) -> str:
        section = f"section {sheet.section}" if len(self._section_ends) > 1 else ""
        return slug_text(
            (
                self.plan.title,
                f"sheet {sheet.number} of {len(self.plan.sheets)}, {name}",
                section,
                self.stock,
                self.date,
            )
        )


_KIND_OF: Mapping[str, str] = {"cut": "crop", "fold": "fold", "score": "score"}


def _kinds(job: Job) -> frozenset[str]:
    """Registration marks are for presses unless the job asks for them by name."""
    chosen = job.marks.kinds
    printer = job.guts.printer
    if chosen == MarkSettings().kinds and not (printer and printer.press):
        return chosen - {"registration"}
    return chosen


def _most_bleed(plan: Plan) -> PageSides:
    """The most bleed of any page at each side: marks that sheets share keep clear of it."""
    known = {
        id(p.bleed): p.bleed
        for sheet in plan.sheets
        for _, side in sheet.sides
        for p in side.placements
    }
    return PageSides(
        head=max((b.head for b in known.values()), default=ZERO),
        foot=max((b.foot for b in known.values()), default=ZERO),
        spine=max((b.spine for b in known.values()), default=ZERO),
        fore_edge=max((b.fore_edge for b in known.values()), default=ZERO),
    )


def _section_ends(plan: Plan) -> dict[int, int]:
    """The last face of each section."""
    ends: dict[int, int] = {}
    for sheet in plan.sheets:
        if sheet.section:
            here = max(p.position for _, side in sheet.sides for p in side.placements)
            ends[sheet.section] = max(ends.get(sheet.section, 0), here)
    return ends


def _printable(printer: Printer | None, size: Size) -> Box:
    sheet = Box(ZERO, ZERO, size.width, size.height)
    return sheet if printer is None else box_inside(sheet, printer.margins(size))


def turned_line(line: Line, sheet: Size, turned: Turnover) -> Line:
    """A line of the front as it lies on the back."""
    ax, ay = turned.point(line.x0, line.y0, sheet)
    bx, by = turned.point(line.x1, line.y1, sheet)
    return Line(line.kind, line.of, min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
