"""The marks of the cover: cuts, scores, the middle of the spine, the glue, the slug.

Crop marks stand at head, foot and both fore-edges: the book's trim, not the
paper's edge.  Score marks stand beyond the trim at head and foot, on their
score lines.  Both faces carry them, since a cover is scored from both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from impose.findings import Finding
from impose.geometry.box import Box, box_inside
from impose.marks.around import HEIGHT, around
from impose.marks.drawing import mark_kinds
from impose.marks.layoutmarks import turned_line
from impose.marks.measure import KIND as MEASURE
from impose.marks.measure import measure_marks
from impose.marks.registration import registration_marks
from impose.marks.slug import slug_place, slug_text
from impose.marks.ticks import SHORTEST, Ground, ticks
from impose.model.job import Job, MarkSettings
from impose.plan.coverfacts import CoverFacts
from impose.plan.parts import Line, LineKind, Mark, MarkGroup, Shape, Sheet, Side
from impose.plan.plan import Plan
from impose.units import ZERO, Length

_CLEAR: Final = Length.mm(1)
#: Words beside the bracket over the glue band.
GLUE_WORDS: Final = "glue: no ink between the ends of this line"


def add_cover_marks(plan: Plan, job: Job) -> Plan:
    """The plan with marks on both faces of its cover's sheet, and notes on what has no room."""
    if plan.cover is None:
        return plan
    marker = _Marker(plan, job, plan.cover)
    sheets = tuple(
        marker.marked(sheet) if sheet.number == plan.cover.sheet else sheet for sheet in plan.sheets
    )
    return replace(plan, sheets=sheets, findings=(*plan.findings, *marker.notes))


@dataclass
class _Marker:
    """Marks one cover; collects notes."""

    plan: Plan
    job: Job
    cover: CoverFacts

    def __post_init__(self) -> None:
        self.notes: list[Finding] = []
        self.settings: MarkSettings = self.job.marks

    def marked(self, sheet: Sheet) -> Sheet:
        if not self.settings.kinds:
            return sheet
        missing: list[str] = []
        front = self._side(sheet, sheet.front, False, missing)
        back = self._side(sheet, sheet.back, True, missing)
        if missing:
            self.notes.append(
                Finding.note(
                    "cover-mark-no-room",
                    "some marks of the cover are left out, there is no room for them beyond the "
                    f"trim: {', '.join(dict.fromkeys(missing))}",
                    hint="a larger sheet has room for marks",
                )
            )
        return replace(sheet, front=front, back=back)

    def _side(self, sheet: Sheet, side: Side, inside: bool, missing: list[str]) -> Side:
        lines = list(sheet.lines)
        if inside:
            lines = [turned_line(line, sheet.size, sheet.turned) for line in lines]
        inked = (*(p.clip for p in side.placements), *(fill.box for fill in side.fills))
        ground = Ground(self._area(sheet, inside), inked)
        trim = _whole(side)
        marks: list[Mark] = []
        if "crop" in self.settings.kinds:
            cuts, none = ticks(
                [line for line in lines if line.kind is LineKind.CUT], ground, self.settings
            )
            marks.extend(cuts)
            missing.extend(none)
        if "fold" in self.settings.kinds:
            marks.extend(self._scores(lines, trim, ground, missing))
            if inside and self.cover.glue_strip:
                marks.extend(self._glue(trim, ground))
        if "registration" in self.settings.kinds and self._press and self.cover.pieces is None:
            marks.extend(registration_marks(ground, marks, self.settings).marks)
        own = self._slug(ground, marks, inside, missing)
        if MEASURE in mark_kinds(self.job) and not inside:
            marks.extend(self._measure(ground, marks, own, missing))
        groups = (MarkGroup(tuple(marks)),) if marks else ()
        return replace(side, marks=groups, own_marks=own)

    @property
    def _press(self) -> bool:
        printer = self.job.guts.printer
        return bool(printer and printer.press) or self.settings.kinds != MarkSettings().kinds

    def _area(self, sheet: Sheet, inside: bool) -> Box:
        """What is printed: the whole sheet unless the job's printer takes it."""
        whole = Box(ZERO, ZERO, sheet.size.width, sheet.size.height)
        printer = self.job.guts.printer
        if self.cover.pieces is not None:  # a piece, which lies somewhere on its sheet
            return whole
        if printer is None or any(f.code == "cover-printer" for f in self.plan.findings):
            return whole
        return box_inside(whole, printer.margins(sheet.size))

    # -- scores ----------------------------------------------------------------------------

    def _scores(
        self, lines: list[Line], trim: Box, ground: Ground, missing: list[str]
    ) -> Iterator[Mark]:
        """A dashed mark at head and foot for every score, and ticks for the spine's middle."""
        bent = [line for line in lines if line.kind is not LineKind.CUT]
        outer = self._ends(trim, ground)
        for line in bent:
            kind = "score" if line.kind is LineKind.SCORE else "fold"
            at = Line(LineKind.CUT, line.of, line.x0, trim.y0, line.x0, trim.y1)
            made, none = ticks([at], ground, self.settings)
            missing.extend(none)
            for mark in made:
                yield replace(mark, kind=kind, shape=Shape.DASHED)
        edges = [line.x0 for line in bent if line.of.startswith("spine")]
        if len(edges) == 2:
            yield from self._centre((edges[0] + edges[1]).half, outer, ground)

    def _ends(self, trim: Box, ground: Ground) -> tuple[Length, Length]:
        """Where marks at foot and head end."""
        middle = (trim.x0 + trim.x1).half
        line = Line(LineKind.CUT, "", middle, trim.y0, middle, trim.y1)
        made, _ = ticks([line], ground, self.settings)
        low = min((mark.y0 for mark in made), default=trim.y0)
        high = max((mark.y1 for mark in made), default=trim.y1)
        return low, high

    def _centre(self, x: Length, outer: tuple[Length, Length], ground: Ground) -> Iterator[Mark]:
        """Beyond the score marks, where it cannot be taken for one of them."""
        low, high = outer
        length, weight = self.settings.length.half, self.settings.weight
        foot, head = low - _CLEAR, high + _CLEAR
        if foot - length >= ground.area.y0 and length >= SHORTEST.half:
            yield Mark("spine-centre", Shape.LINE, x, foot - length, x, foot, weight)
        if head + length <= ground.area.y1 and length >= SHORTEST.half:
            yield Mark("spine-centre", Shape.LINE, x, head, x, head + length, weight)

    # -- inside ------------------------------------------------------------------------------

    def _glue(self, trim: Box, ground: Ground) -> Iterator[Mark]:
        """The band that stays free of ink: a bracket at head and foot, words beside one.

        It stands beyond the ticks of the spine's middle, so that it is not taken for a score.
        """
        margin = self.cover.panel.width - self.cover.glue_strip
        left, right = self._flaps_inside()
        x0, x1 = trim.x0 + left + margin, trim.x1 - right - margin
        low, high = self._ends(trim, ground)
        out = self.settings.length.half + _CLEAR * 2
        weight = self.settings.weight
        for y, end in ((low - out, low - out + _CLEAR), (high + out, high + out - _CLEAR)):
            if ground.area.y0 <= y <= ground.area.y1:
                yield Mark("glue", Shape.LINE, x0, y, x1, y, weight)
                yield Mark("glue", Shape.LINE, x0, min(y, end), x0, max(y, end), weight)
                yield Mark("glue", Shape.LINE, x1, min(y, end), x1, max(y, end), weight)
        y = high + out - HEIGHT.half
        if y + HEIGHT <= ground.area.y1:
            x = x1 + _CLEAR
            yield Mark("glue", Shape.TEXT, x, y, x, y, HEIGHT, GLUE_WORDS)

    def _flaps_inside(self) -> tuple[Length, Length]:
        """The flaps at the left and right end as the inside lies."""
        cover = self.cover
        outside = (
            (cover.flap_back, cover.flap_front)
            if cover.front_at_right
            else (cover.flap_front, cover.flap_back)
        )
        sheet = next(s for s in self.plan.sheets if s.number == cover.sheet)
        mirrored = sheet.turned.point(ZERO, ZERO, sheet.size)[0] != ZERO
        return (outside[1], outside[0]) if mirrored else outside

    def _slug(
        self, ground: Ground, marks: list[Mark], inside: bool, missing: list[str]
    ) -> tuple[Mark, ...]:
        if "slug" not in self.settings.kinds:
            return ()
        face = "cover, inside" if inside else "cover, outside"
        text = slug_text((self.plan.title, face, self.cover.stock.name, self.job.date))
        taken = [mark for mark in marks if mark.shape is not Shape.TEXT]
        words = [mark for mark in marks if mark.shape is Shape.TEXT]
        boxes = tuple(_text_box(mark) for mark in words)
        place = slug_place(Ground(ground.area, (*ground.keep_out, *boxes)), taken, text)
        if place is None:
            missing.append("slug")
            return ()
        return (place.mark(text),)

    def _measure(
        self, ground: Ground, marks: list[Mark], own: tuple[Mark, ...], missing: list[str]
    ) -> tuple[Mark, ...]:
        """The check line of the outside, as on the sheets of the guts."""
        words = tuple(around(mark) for mark in (*marks, *own) if mark.shape is Shape.TEXT)
        clear = Ground(ground.area, (*ground.keep_out, *words))
        taken = [mark for mark in marks if mark.shape is not Shape.TEXT]
        made = measure_marks(clear, taken, self.plan.unit, self.settings.weight)
        if not made:
            missing.append("check line")
        return made


def _text_box(mark: Mark) -> Box:
    """Wide enough for any typeface: one letter height for each character."""
    return Box(mark.x0, mark.y0, mark.x0 + mark.weight * len(mark.text), mark.y0 + mark.weight)


def _whole(side: Side) -> Box:
    """The open cover as it lies on this side."""
    first, *others = (placement.trim for placement in side.placements)
    for box in others:
        first = first.join(box)
    return first
