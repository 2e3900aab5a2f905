"""Several covers on one sheet: each with its own marks, and the sheet's marks round them.

What cuts, scores and bends a cover stands on its piece; the cuts that part the
pieces, registration, lays and the colour bar belong to the whole sheet and
keep clear of every cover's bleed and marks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from impose.findings import Finding
from impose.geometry.box import Box, box_inside
from impose.marks.around import extent
from impose.marks.drawing import mark_kinds
from impose.marks.layoutmarks import turned_line
from impose.marks.pressmarks import BAR, GRIPPER, LAY, PressMarks, colour_bar, guide_marks
from impose.marks.registration import registration_marks
from impose.marks.ticks import Ground, ticks
from impose.model.job import Job
from impose.plan.coverpieces import APART
from impose.plan.coverview import whole_box
from impose.plan.parts import Line, Mark, MarkGroup, Sheet, Side
from impose.plan.plan import Plan
from impose.plan.pressfacts import Pass
from impose.schemes.coverrepeat import printed_here, repeat_cover
from impose.schemes.pressroom import passes_of, work_of


def step_covers(plan: Plan, job: Job) -> Plan:
    """The plan with its marked cover on every piece of its sheet, the sheet's own marks round
    them, and notes on what has no room; a plan with one cover on a sheet is given back."""
    cover = plan.cover
    if cover is None or cover.pieces is None:
        return plan
    plan = repeat_cover(plan, job)
    marker = _Marker(plan, job)
    sheets = tuple(
        marker.marked(sheet) if sheet.number == cover.sheet else sheet for sheet in plan.sheets
    )
    return replace(plan, sheets=sheets, findings=(*plan.findings, *marker.notes()))


@dataclass
class _Marker:
    """Marks one sheet; collects what has no room."""

    plan: Plan
    job: Job
    lost: dict[str, None] = field(default_factory=dict)
    missing: dict[str, None] = field(default_factory=dict)

    def __post_init__(self) -> None:
        printer = self.job.guts.printer
        self.printer = printer if printed_here(self.plan) else None
        self.kinds = mark_kinds(self.job)

    def marked(self, sheet: Sheet) -> Sheet:
        area = whole_box(sheet.size)
        if self.printer is not None:
            area = box_inside(area, self.printer.margins(sheet.size))
        front, back = (self._side(sheet, side, area) for _, side in sheet.sides)
        targets = self._targets(sheet, front, back, area)
        front, back = _with(front, targets), _with(back, _over(sheet, targets))
        if self.printer is not None and self.printer.plates and work_of(sheet, self.job):
            first, second = passes_of(sheet, self.job)
            front = self._pressed(front, area, first)
            back = self._pressed(back, area, second)
        return replace(sheet, front=front, back=back)

    def notes(self) -> Iterator[Finding]:
        if self.lost:
            yield Finding.note(
                "cover-mark-no-room",
                "some marks of the covers are left out, there is no room for them on their paper: "
                f"{', '.join(self.lost)}",
                hint="a larger sheet has room for marks",
            )
        if self.missing:
            yield Finding.note(
                "press-mark-no-room",
                f"left out on the sheet of covers, there is no room for it: "
                f"{', '.join(self.missing)}",
                hint="a larger sheet has room for it; the cut list gives every gauge",
            )

    # -- one side ------------------------------------------------------------------------

    def _side(self, sheet: Sheet, side: Side, area: Box) -> Side:
        """What the printer can print of the pieces' marks, and the marks of the cuts apart."""
        behind = side is sheet.back
        apart = [line for line in sheet.lines if line.of.startswith(APART)]
        if behind:
            apart = [turned_line(line, sheet.size, sheet.turned) for line in apart]
        ground, rooms = _ground(side, area), self._rooms(sheet, area, behind)
        groups = tuple(
            MarkGroup(tuple(mark for mark in group.marks if self._fits(mark, rooms)))
            for group in side.marks
        )
        own = tuple(mark for mark in side.own_marks if self._fits(mark, rooms))
        side = replace(side, marks=tuple(g for g in groups if g.marks), own_marks=own)
        if "crop" not in self.kinds:
            return side
        made, none = ticks([_inked(line, ground) for line in apart], ground, self.job.marks)
        self.missing.update(dict.fromkeys(f"the mark of {of}" for of in none))
        return _with(side, made)

    def _rooms(self, sheet: Sheet, area: Box, behind: bool) -> list[Box]:
        """What can be printed of each piece, as it lies on this side."""
        assert self.plan.cover is not None and self.plan.cover.pieces is not None
        boxes = self.plan.cover.pieces.boxes
        if behind:
            boxes = tuple(sheet.turned.over(box, sheet.size) for box in boxes)
        return [box.meet(area) for box in boxes]

    def _fits(self, mark: Mark, rooms: Sequence[Box]) -> bool:
        """Wholly on one piece, where it can be printed."""
        box = extent(mark)
        if any(room.contains(box) for room in rooms):
            return True
        self.lost[mark.kind] = None
        return False

    def _targets(self, sheet: Sheet, front: Side, back: Side, area: Box) -> tuple[Mark, ...]:
        """Registration marks at the same places of the paper on both sides."""
        if "registration" not in self.kinds:
            return ()
        both = area.meet(sheet.turned.over(area, sheet.size))
        taken = (*_marks(front), *_over(sheet, _marks(back)))
        there = _ground(back, area).keep_out
        clips = (
            *_ground(front, area).keep_out,
            *(sheet.turned.over(box, sheet.size) for box in there),
        )
        made = registration_marks(Ground(both, clips), taken, self.job.marks)
        self.missing.update(dict.fromkeys(made.words))
        return made.marks

    def _pressed(self, side: Side, area: Box, one: Pass) -> Side:
        """Gripper, lays and the colour bar of one pass."""
        ground, settings = _ground(side, area), self.job.marks
        known = PressMarks()
        if self.kinds & {GRIPPER, LAY}:
            guides = guide_marks(ground, _marks(side), (one,), settings)
            known = known.joined(guides.only(self.kinds))
        if BAR in self.kinds:
            taken = (*_marks(side), *known.marks)
            known = known.joined(colour_bar(ground, taken, one.gripper.opposite, settings))
        self.missing.update(dict.fromkeys(known.missing))
        return replace(_with(side, known.marks), fills=(*side.fills, *known.fills))


def _ground(side: Side, area: Box) -> Ground:
    """Art, and colour beneath it, with their bleed are kept clear."""
    inked = (*(p.clip for p in side.placements), *(fill.box for fill in side.fills))
    return Ground(area, inked)


def _marks(side: Side) -> tuple[Mark, ...]:
    return (*(mark for group in side.marks for mark in group.marks), *side.own_marks)


def _inked(line: Line, ground: Ground) -> Line:
    """Only as long as there are covers beside it: its marks then stand on the paper round
    them, also where the pieces reach to the edge of what can be printed."""
    boxes = ground.keep_out
    if line.upright:
        low, high = min(box.y0 for box in boxes), max(box.y1 for box in boxes)
        return replace(line, y0=low, y1=high)
    return replace(line, x0=min(box.x0 for box in boxes), x1=max(box.x1 for box in boxes))


def _over(sheet: Sheet, marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """Marks as they lie seen from the other side."""
    found = []
    for mark in marks:
        box = sheet.turned.over(Box(mark.x0, mark.y0, mark.x1, mark.y1), sheet.size)
        found.append(replace(mark, x0=box.x0, y0=box.y0, x1=box.x1, y1=box.y1))
    return tuple(found)


def _with(side: Side, marks: Iterable[Mark]) -> Side:
    more = tuple(marks)
    return replace(side, marks=(*side.marks, MarkGroup(more))) if more else side
