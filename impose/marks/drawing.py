"""The marks stage: from a plan's lines to marks on its sides.

Sheets of one layout share their marks; with creep only the fore-edge marks
move from sheet to sheet, along with their lines.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from impose.findings import Finding
from impose.geometry.sides import PageSides
from impose.marks.collation import collation_mark
from impose.marks.layoutmarks import LayoutRules, Reach, SideMarks, layout_marks
from impose.marks.measure import LENGTH
from impose.marks.pressmarks import BAR, GRIPPER, LAY, PRESS_KINDS
from impose.marks.registration import TARGET
from impose.marks.slug import slug_text
from impose.model.job import DEFAULT_MARKS, Job
from impose.plan.insets import role_of
from impose.plan.parts import Mark, Placement, Shape, Sheet, Side
from impose.plan.plan import Plan
from impose.plan.pressfacts import Pass
from impose.schemes.pressroom import passes_of, printable
from impose.units import ZERO


def add_marks(plan: Plan, job: Job) -> Plan:
    """The plan with marks on every side, and notes about marks that have no room."""
    drawer = _Drawer(plan, job)
    sheets = tuple(drawer.marked(sheet) for sheet in plan.sheets)
    return replace(plan, sheets=sheets, findings=(*plan.findings, *drawer.notes()))


_LayoutKey = tuple[int, ...]


def _layout_key(sheet: Sheet) -> _LayoutKey:
    """Sheets with the same key have their pages, lines and folds at the same places."""
    return (
        id(sheet.lines),
        len(sheet.front.placements),
        len(sheet.back.placements),
        len(sheet.creep_lines),
    )


class _Drawer:
    """Draws sheet after sheet; remembers what layouts share and what had no room."""

    def __init__(self, plan: Plan, job: Job) -> None:
        self.plan = plan
        self.settings = job.marks
        self.printer = job.guts.printer
        self.stock = job.guts.stock.name
        self._stocks = {role_of(inset.number): inset.stock for inset in plan.insets}
        self.date = job.date
        self.kinds = mark_kinds(job)
        self.no_room: set[str] = set()
        self.no_slug = False
        self._counts = Counter(sheet.role for sheet in plan.sheets)
        self._shared: dict[_LayoutKey, tuple[SideMarks, SideMarks]] = {}
        self.no_measure = False
        self.no_press: dict[str, None] = {}
        self._job = job
        self._rules = LayoutRules(
            settings=job.marks,
            kinds=self.kinds,
            bleed=_most_bleed(plan),
            unit=plan.unit,
            measured_backs=job.guts.one_side,
        )
        self._reaches = _reaches(plan)
        self._section_ends = _section_ends(plan)
        self._collated = "collation" in self.kinds and len(self._section_ends) > 1

    def marked(self, sheet: Sheet) -> Sheet:
        key = _layout_key(sheet)
        shared = self._shared.get(key)
        if shared is None:
            shared = self._shared[key] = self._share(sheet)
        front, back = (
            self._side(sheet, side, marks, name)
            for (name, side), marks in zip(sheet.sides, shared, strict=True)
        )
        if sheet.one_forme:  # what stands on the plates stands on both sides
            back = replace(
                sheet.back, marks=front.marks, own_marks=front.own_marks, fills=front.fills
            )
        return replace(sheet, front=front, back=back)

    def notes(self) -> tuple[Finding, ...]:
        found = []
        if self.no_room:
            found.append(self._no_room())
        if self.no_press:
            found.append(self._no_press())
        if self._job.marks.kinds != DEFAULT_MARKS:
            found.extend(_nothing_to_show(self._job))
        if self.no_slug:
            found.append(
                Finding.note(
                    "slug-no-room",
                    "the line with title and sheet number is left out, there is no room for it",
                    hint="a larger sheet has room for it",
                )
            )
        if self.no_measure:
            found.append(
                Finding.note(
                    "check-line-no-room",
                    f"the check line of {LENGTH[self.plan.unit].text(self.plan.unit)} is left "
                    "out, there is no room for it",
                    hint="measure the first sheet before you print the rest: a print dialog that "
                    "fits pages makes everything smaller",
                )
            )
        return tuple(found)

    def _no_press(self) -> Finding:
        missing = ", ".join(self.no_press)
        hint = "a larger sheet has room for it"
        if self.plan.press is not None and any(
            words.partition(" at the ")[0] != TARGET for words in self.no_press
        ):
            hint += "; tell the press by the ticket which edges lie at gripper and lay"
        return Finding.note(
            "press-mark-no-room",
            f"left out, there is no room for it outside the pages: {missing}",
            hint=hint,
            marks=missing,
        )

    def _no_room(self) -> Finding:
        names = sorted(self.no_room)
        if not self.plan.flat:
            return Finding.note(
                "mark-no-room",
                "some crop or fold marks are left out, there is no room for them outside "
                f"the pages: {', '.join(names)}",
                hint="a larger sheet has room for marks",
            )
        return Finding.note(
            "mark-no-room",
            f"{len(names)} of {len(self.plan.cuts)} cuts have no crop marks, because they end "
            "at other items: the cut list gives their gauge",
            hint="a larger sheet has more room for marks",
            cuts=len(names),
        )

    # -- shared by a layout ------------------------------------------------------------

    def _share(self, sheet: Sheet) -> tuple[SideMarks, SideMarks]:
        last = replace(
            sheet, number=self._counts[sheet.role], section=max(self._section_ends, default=0)
        )
        rules = replace(self._rules, passes=self._passes(sheet))
        sides, missing = layout_marks(
            sheet,
            printable(sheet, self._job),
            self._reaches[_layout_key(sheet)],
            self._words(last, "front"),
            rules,
        )
        self.no_room.update(missing)
        for side in sides:
            self.no_press.update(dict.fromkeys(side.missing))
        if "slug" in self.kinds:
            self.no_slug = self.no_slug or any(side.slug is None for side in sides)
        if "measure" in self.kinds:
            drawn = any(mark.kind == "measure" for mark in sides[0].group.marks)
            self.no_measure = self.no_measure or not drawn
        return sides

    # -- one side ------------------------------------------------------------------------

    def _side(self, sheet: Sheet, side: Side, shared: SideMarks, name: str) -> Side:
        if name == "back" and self.plan.one_sided(sheet.role):
            return side
        own: list[Mark] = []
        weight, area = self.settings.weight, shared.area
        for index, low, high in shared.moving:
            x = sheet.creep_lines[index].x0
            if name == "back":
                x, _ = sheet.turned.point(x, ZERO, sheet.size)
            if area.x0 <= x <= area.x1:
                own.append(Mark("crop", Shape.LINE, x, low, x, high, weight))
        if name == "front" and self._collated and sheet.section:
            fronts = _first_copy(self.plan, side)
            last = self._section_ends[sheet.section]
            mark = collation_mark(sheet, fronts, last, self.settings)
            if mark:
                own.append(mark)
        if shared.slug:
            own.append(shared.slug.mark(self._words(sheet, name)))
        groups = (shared.group,) if shared.group.marks else ()
        fills = (*side.fills, *shared.fills)
        return replace(side, marks=groups, own_marks=tuple(own), fills=fills)

    def _passes(self, sheet: Sheet) -> tuple[Pass, ...]:
        """Where the press holds the sheet; nothing for an office printer of which no more is
        asked."""
        printer = self.printer
        if self.plan.press is None and not (printer is not None and printer.digital):
            return ()
        return passes_of(sheet, self._job)

    def _words(self, sheet: Sheet, name: str) -> str:
        name = "both sides" if sheet.one_forme else name
        section = f"section {sheet.section}" if len(self._section_ends) > 1 else ""
        inset = "" if sheet.role == "guts" else sheet.role
        return slug_text(
            (
                self.plan.title,
                inset,
                f"sheet {sheet.number} of {self._counts[sheet.role]}, {name}",
                section,
                self._stocks.get(sheet.role) or sheet.stock or self.stock,
                self.date,
            )
        )


def mark_kinds(job: Job) -> frozenset[str]:
    """Unless the job names its marks: registration marks are for presses, the colour bar and the
    marks of the lays where the press has them, the check line for all printers without plates."""
    chosen = job.marks.kinds
    printer = job.guts.printer
    if chosen != DEFAULT_MARKS:
        return chosen if printer is None or printer.plates else chosen - {GRIPPER, LAY}
    if printer and printer.press:
        none = set() if printer.bar else {BAR}
        none |= set() if printer.side_lay else {GRIPPER, LAY}
        none |= {"measure"} if printer.plates else set()
        return chosen - none
    return chosen - PRESS_KINDS - {"registration"}


def _nothing_to_show(job: Job) -> Iterator[Finding]:
    """Marks that are asked for by name, for things that the printer does not have."""
    asked, printer = sorted(job.marks.kinds & {GRIPPER, LAY}), job.guts.printer
    if asked and printer is not None and not printer.plates:
        yield Finding.note(
            "press-mark-unknown",
            f"marks for {' and '.join(asked)} are asked for; {printer.name} has no gripper, they "
            "are left out",
            hint="name a press with plates, or leave them out of show in [marks]",
        )


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


def _reaches(plan: Plan) -> dict[_LayoutKey, tuple[Reach, ...]]:
    """For each layout, from where to where each of its creeping lines goes."""
    known: dict[_LayoutKey, tuple[Reach, ...]] = {}
    for sheet in plan.sheets:
        here = tuple((line.x0, line.x0) for line in sheet.creep_lines)
        before = known.get(key := _layout_key(sheet), here)
        known[key] = tuple(
            (min(x, low), max(x, high)) for (x, _), (low, high) in zip(here, before, strict=True)
        )
    return known


def _first_copy(plan: Plan, side: Side) -> Sequence[Placement]:
    """Of two copies bound as one, which take turns among the placements, the first."""
    return side.placements[::2] if plan.two_up else side.placements


def _section_ends(plan: Plan) -> dict[int, int]:
    """The last face of each section."""
    ends: dict[int, int] = {}
    for sheet in plan.sheets:
        if sheet.section:
            here = max(p.position for _, side in sheet.sides for p in _first_copy(plan, side))
            ends[sheet.section] = max(ends.get(sheet.section, 0), here)
    return ends
