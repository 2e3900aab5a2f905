"""The ticket: every line of the paper that travels with the job, as values.

The page only draws these.  Findings that would spoil the book come first.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from impose.bench.scores import back_sum
from impose.findings import Finding, Severity, worst_first
from impose.model.job import Job
from impose.model.papernames import paper_name
from impose.plan.coverfacts import CoverFacts, SpineFacts
from impose.plan.plan import FLAT, Plan
from impose.plan.scoresteps import ScoreKind
from impose.reports.cautions import CREASER, GLUE, Caution, for_cutting, for_holes
from impose.reports.flat_rows import prints_words
from impose.reports.hole_rows import hole_rows
from impose.reports.press_rows import cover_press_rows
from impose.reports.ticket_rows import (
    Row,
    ScoreRow,
    book_rows,
    cover_rows,
    early_cut_rows,
    last_cut_rows,
    measured_rows,
    score_rows,
    short_words,
    size_words,
)
from impose.schemes.spine import spine_of
from impose.units import ZERO, Length

#: Fields to write in.
BLANKS: Final = ("Customer", "Job no.", "Copies", "Wanted by")
STOP: Final = "DO NOT PRINT"
#: A part of the sketch.
FLAP: Final = "FLAP"
#: Notes that the bench must know; warnings and errors are told anyway.
_TOLD: Final = frozenset(
    {
        "bleed-made",
        "no-cut",
        "cover-lay",
        "cover-off-centre",
        "blanks-added",
        "holes-assumed",
        "creaser-assumed",
        "spine-estimated",
        "cover-art-spine",
        "cover-mark-no-room",
        "page-scaled",
        "page-centred",
        "paper-edge",
        "read-twice",
        "panel-widths",
    }
)
#: Findings told elsewhere on the ticket, and those that only the printer of the sheets needs.
_ELSEWHERE: Final = frozenset({"stock-assumed", "sheet-assumed", "font-not-embedded"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Sketch:
    """The open cover seen from the outside: lengths to draw, words to write.

    `panels` are, from the left of the sheet: the word on each part and its
    width, beginning at the left trim edge.  `scores` are distances from the
    left paper edge.
    """

    paper: tuple[Length, Length]
    trim: tuple[Length, Length, Length, Length]
    panels: tuple[tuple[str, Length], ...]
    scores: tuple[Length, ...]
    left: str
    spine: str
    right: str
    head: str
    foot: str
    height: str
    split: tuple[Length, Length]  #: the left and right edge of the spine
    cut_first: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TicketFacts:
    """Everything on the ticket, in its order."""

    title: str
    unit: str
    date: str
    blanks: tuple[str, ...]
    stop: tuple[str, ...]
    key: tuple[Row, ...]
    book: tuple[Row, ...]
    cover: tuple[Row, ...]
    scores: tuple[ScoreRow, ...]
    creaser: str
    measure_first: str
    score_notes: tuple[str, ...]
    holes: tuple[Row, ...]
    last_cuts: tuple[Row, ...]
    measured: tuple[Row, ...]
    instructions: tuple[str, ...]
    cautions: tuple[str, ...]
    counted: bool = False  #: pieces are counted at the bench, nothing is measured
    sketch: Sketch | None = None


def ticket_facts(plan: Plan, job: Job) -> TicketFacts:
    """The ticket of a finished plan, cover and programs included where there are any."""
    cover, unit = plan.cover, plan.unit
    spine = cover.spine if cover else guts_spine(plan, job)
    errors = [f for f in plan.findings if f.severity is Severity.ERROR]
    first = next((s for s in plan.score_steps if s.kind is ScoreKind.MEASURE), None)
    return TicketFacts(
        title=plan.title,
        unit=unit,
        date=job.date,
        blanks=tuple(_blanks(job)),
        stop=tuple(finding.message for finding in errors),
        key=tuple(_key(plan, cover)),
        book=tuple(book_rows(plan, job, spine)),
        cover=tuple(_cover(plan, job, cover)) if cover else (),
        scores=tuple(score_rows(plan.score_steps, unit)),
        creaser=cover.creaser if cover else "",
        measure_first=f"First {first.title}: planned {first.reading}" if first else "",
        score_notes=tuple(score_notes(plan, cover)),
        holes=tuple(hole_rows(plan)),
        last_cuts=(*early_cut_rows(plan), *last_cut_rows(plan)),
        measured=tuple(measured_rows(plan, spine)),
        instructions=(*job.instructions, *_instructions(plan, cover)),
        cautions=tuple(_cautions(plan, job)),
        counted=plan.flat,
        sketch=cover_sketch(cover, unit) if cover else None,
    )


def _blanks(job: Job) -> Iterator[str]:
    """The fields; what the job says already stands in them."""
    for label in BLANKS:
        if label == "Copies" and job.items:  # each item has its own
            continue
        yield f"{label} {job.copies}" if label == "Copies" and job.copies > 1 else label


def guts_spine(plan: Plan, job: Job) -> SpineFacts | None:
    """The spine of a book that has no cover in the job; None where nothing is bound."""
    if job.binding.unbound:
        return None
    return spine_of(plan, job).facts


def _key(plan: Plan, cover: CoverFacts | None) -> Iterator[Row]:
    """The numbers set large."""
    unit = plan.unit
    if plan.flat:
        yield Row("Sheets to print", prints_words(plan))
        one = len(plan.items) == 1
        yield Row(
            "Trimmed size" if one else "Items",
            size_words(plan.trim, unit)
            if one
            else f"{len(plan.items)}, {sum(i.amount for i in plan.items)} pieces",
        )
        return
    yield Row(_page_words(plan), size_words(plan.trim, unit))
    if cover is None:
        return
    front, back = (_large(n, unit) for n in (cover.front_distance, cover.back_distance))
    if not cover.spine.width:
        yield Row("Fold to FRONT paper edge", front)
        return
    yield Row("Spine", _large(cover.spine.width, unit))
    yield Row("Front spine edge to FRONT paper edge", front)
    yield Row("Back spine edge to BACK paper edge", back)


def _page_words(plan: Plan) -> str:
    """What the trim of the plan is called."""
    if plan.scheme in FLAT:
        return "Open sheet"
    if plan.panelled:
        return "Folded size"
    return "Trimmed page"


def score_notes(plan: Plan, cover: CoverFacts | None) -> Iterator[str]:
    """What is said beneath the score list."""
    if cover is None or not plan.score_steps:
        return
    if cover.spine.width:
        sum_ = back_sum(cover, plan.unit)
        yield f"{sum_[0].upper()}{sum_[1:]}."
    yield (
        "FRONT: the edge beyond the front panel. INSIDE: toward the guts. UP: to the upper face "
        "(try a strip). For another spine: make the job again."
    )


def _cover(plan: Plan, job: Job, cover: CoverFacts) -> Iterator[Row]:
    yield from cover_rows(cover, plan.unit, paper_name(job, cover.paper))
    yield from (Row(label, words) for label, words in cover_press_rows(plan, job))


def _instructions(plan: Plan, cover: CoverFacts | None) -> Iterator[str]:
    """What is out of the ordinary: from the job, then from the findings."""
    if plan.french:
        ends = " Cut the cover's ends to size before scoring." if cover is not None else ""
        yield f"French fold: the folds are never cut; trim only head and foot.{ends}"
    elif cover is not None and cover.cut_first:
        yield (
            "Flaps: cut the guts' fore-edge and the cover's ends first (see above), then only "
            "head and foot."
        )
    for finding in worst_first(plan.findings):
        if finding.code in _ELSEWHERE:
            continue
        if finding.severity is Severity.WARNING or finding.code in _TOLD:
            yield _spoken(finding)


def _spoken(finding: Finding) -> str:
    message = finding.message
    return f"{message[0].upper()}{message[1:]}."


def _cautions(plan: Plan, job: Job) -> Iterator[str]:
    """The first ones for each machine that the job goes through; the cut list has the rest."""
    cutter = job.bench.cutter
    found: list[Caution] = []
    if plan.cuts:
        found.extend(for_cutting(cutter is None or cutter.hand)[:3])
    if plan.score_steps:
        found.extend(CREASER)
    if plan.holes is not None:
        found.extend(for_holes(plan.holes))
    if job.binding.glued or (plan.cover and plan.cover.glue_strip):
        found.extend(GLUE[:2])
    yield from dict.fromkeys(caution.text for caution in found)


def cover_sketch(cover: CoverFacts, unit: str) -> Sketch:
    """The open cover, outside up, with the words of its dimensions."""
    trim, width = cover.trim, cover.paper.width
    start = trim.x0 if cover.cut_first else ZERO
    panels = [(FLAP, cover.flap_back), ("BACK", cover.panel.width), ("", cover.spine.width),
              ("FRONT", cover.panel.width), (FLAP, cover.flap_front)]  # fmt: skip
    near = start + cover.back_distance
    if not cover.front_at_right:
        panels.reverse()
        near = start + cover.front_distance
    far = near + cover.spine.width
    distances = short_words(cover.back_distance, unit), short_words(cover.front_distance, unit)
    left, right = distances if cover.front_at_right else (distances[1], distances[0])
    hinges = (near - cover.hinge, far + cover.hinge) if cover.hinge else ()
    flaps = tuple(
        x
        for x, flap in (
            (trim.x0 + (panels[0][1]), panels[0][1]),
            (trim.x1 - panels[-1][1], panels[-1][1]),
        )
        if flap
    )
    return Sketch(
        paper=(width, cover.paper.height),
        trim=(trim.x0, trim.y0, trim.x1, trim.y1),
        panels=tuple((name, width) for name, width in panels if width),
        scores=tuple(sorted({near, far, *hinges, *flaps}, key=lambda n: n.grains)),
        left=left,
        spine=f"spine {short_words(cover.spine.width, unit)}" if cover.spine.width else "fold",
        right=right,
        head=short_words(cover.head, unit),
        foot=short_words(cover.foot, unit),
        height=short_words(cover.trim.height, unit),
        split=(near, far),
        cut_first=cover.cut_first,
    )


def _large(length: Length, unit: str) -> str:
    """The reading where it is exact, else the exact figure; the other unit beside it."""
    return f"{short_words(length, unit)} ({length.text('in' if unit == 'mm' else 'mm')})"
