"""The bench in the report: the open cover, the score list and the cut steps, drawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from impose.bench.needlewords import needle_steps
from impose.geometry.box import Box, Size
from impose.model.job import Binding
from impose.pdf.pages import words_width
from impose.plan.cutsteps import StepKind
from impose.plan.plan import Plan
from impose.plan.scoresteps import ScoreKind
from impose.reports.cautions import CREASER, GLUE, Caution, for_cutting
from impose.reports.cut_pictures import cut_pictures, draw_jogged
from impose.reports.cutlist_rows import Row, rows
from impose.reports.needle_drawing import draw_needle, hop_count, legend
from impose.reports.panel_pictures import draw_panels, panels_said
from impose.reports.pile_drawing import draw_cut
from impose.reports.svg_drawing import SvgDrawing
from impose.reports.ticket_facts import cover_sketch
from impose.reports.ticket_flow import BODY
from impose.reports.ticket_sketch import draw_sketch
from impose.units import ZERO, Length

_CUT: Final = Size(Length.mm(70), Length.mm(60))
#: Room for the dimensions beside the cover that the sketch itself leaves.
_BESIDE: Final = Length.points(38)
_NEEDLE: Final = Size(Length.mm(110), Length.mm(26))
_COVER: Final = Size(Length.mm(92), Length.mm(66))


@dataclass(frozen=True, slots=True, kw_only=True)
class CutView:
    """A row of the cut list with its drawing, empty where there is nothing to draw."""

    row: Row
    is_cut: bool
    drawing: str

    @property
    def reading(self) -> str:
        """What to set, without what it is off by."""
        return self.row.gauge.partition(" (")[0]

    @property
    def off(self) -> str:
        return self.row.gauge.partition(" (")[2].rstrip(")")


def cut_views(plan: Plan) -> Iterator[CutView]:
    """All steps in order."""
    pictures = cut_pictures(plan)
    room = Box.at(ZERO, ZERO, _CUT)
    for row, step in zip(rows(plan), plan.cut_steps, strict=True):
        drawing = SvgDrawing(_CUT)
        picture = pictures.get(step.number)
        if picture is not None:
            draw_cut(drawing, room, picture)
        elif step.shows:
            draw_panels(drawing, room, plan, step)
        elif step.kind is StepKind.JOG:
            draw_jogged(drawing, room, plan, step)
        drawn = picture is not None or step.kind is StepKind.JOG or bool(step.shows)
        said = panels_said(step) if step.shows else _said(row)
        yield CutView(
            row=row,
            is_cut=step.kind is StepKind.CUT,
            drawing=drawing.to_svg(said) if drawn else "",
        )


def _said(row: Row) -> str:
    """What the drawing of a step shows, in words."""
    if not row.gauge:
        return f"step {row.number}: {row.title}; the lay edges are thick"
    return (
        f"step {row.number}, the pile from above: {row.at_stop}, the knife {row.gauge} from it; "
        f"falls away: {row.falls}"
    )


def cover_drawing(plan: Plan) -> str:
    """The open cover with its dimensions, outside up; empty without a cover."""
    if plan.cover is None:
        return ""
    sketch = cover_sketch(plan.cover, plan.unit)
    words = (sketch.head, sketch.foot, sketch.height)
    beside = max(words_width(text, BODY) for text in words) - _BESIDE
    more = max(beside, ZERO)
    drawing = SvgDrawing(Size(_COVER.width + more * 2, _COVER.height))
    draw_sketch(drawing, sketch, Box.at(more, ZERO, _COVER))
    return drawing.to_svg(
        f"the open cover, outside up, trimmed height {sketch.height}: "
        f"left {sketch.left}, {sketch.spine}, right {sketch.right}"
    )


def hole_drawing(plan: Plan) -> str:
    """The needle's whole way; empty where there is no needle."""
    holes = plan.holes
    if holes is None or not holes.way:
        return ""
    drawing = SvgDrawing(_NEEDLE)
    draw_needle(drawing, Box.at(ZERO, ZERO, _NEEDLE), holes, hop_count(holes))
    return drawing.to_svg(f"the needle's way through {len(holes.holes)} holes; {legend(holes)}")


def needle_lines(plan: Plan) -> tuple[str, ...]:
    """The needle's way in words."""
    return needle_steps(plan.holes, plan.unit) if plan.holes is not None else ()


def measure_first(plan: Plan) -> str:
    """The measuring before the first score; empty when nothing is scored."""
    first = next((s for s in plan.score_steps if s.kind is ScoreKind.MEASURE), None)
    return f"First {first.title}: planned {first.reading}." if first else ""


def cut_cautions(plan: Plan) -> tuple[Caution, ...]:
    """Before the cut steps."""
    return for_cutting(plan.cut_facts.hand) if plan.cut_facts is not None else ()


def score_cautions() -> tuple[Caution, ...]:
    """Before the score list."""
    return CREASER


def glue_cautions(plan: Plan) -> tuple[Caution, ...]:
    """Before a step that glues."""
    glued = Binding(plan.binding).glued or (plan.cover is not None and bool(plan.cover.glue_strip))
    return GLUE if glued else ()
