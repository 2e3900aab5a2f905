"""`ticket.pdf`: the paper that travels with the job, one page where it can be."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.model.job import Job
from impose.pdf.pages import LEADING, Align, Pen
from impose.plan.plan import Plan
from impose.reports.ticket_facts import BLANKS, STOP, TicketFacts, ticket_facts
from impose.reports.ticket_flow import BODY, GAP, LARGE, TITLE, Flow
from impose.reports.ticket_rows import Row, ScoreRow
from impose.reports.ticket_sketch import draw_sketch
from impose.units import Length

_LINE: Final = Pen(weight=Length.points("0.4"), grey=Fraction(1, 2))
_SHADE: Final = Pen(weight=Length.points(0), fill=Fraction(1, 8))
#: Shares of the width: number, score, face up, edge at the stop, distance.
_SCORE_AT: Final = (0, 4, 27, 45, 62)
_MEASURED_AT: Final = (0, 44, 72, 86)
STOP_SIZE: Final = Length.points(20)


def ticket_pdf(plan: Plan, job: Job) -> bytes:
    """The ticket of a finished plan."""
    return draw_ticket(ticket_facts(plan, job))


def draw_ticket(facts: TicketFacts) -> bytes:
    """Only draws; every word is in the facts."""
    flow = Flow(f"{facts.title}: ticket", facts.unit)
    _head(flow, facts)
    _key(flow, facts.key)
    flow.heading("Book and cover" if facts.cover else "Book")
    if facts.cover:
        flow.columns(facts.book, facts.cover)
    else:
        half = len(facts.book) - len(facts.book) // 2
        flow.columns(facts.book[:half], facts.book[half:])
    if facts.sketch:
        draw_sketch(flow, facts.sketch)
    if facts.scores:
        _scores(flow, facts)
    if facts.last_cuts:
        flow.heading("Last cuts, in this order")
        for row in facts.last_cuts:
            flow.need(BODY * LEADING)
            flow.down(flow.rows([row], flow.left, flow.y, flow.width))
    _measured(flow, facts.measured)
    if facts.instructions:
        flow.heading("Special instructions")
        flow.bullets(facts.instructions)
    if facts.cautions:
        flow.heading("Cautions")
        flow.paragraph(" ".join(facts.cautions))
    return flow.to_bytes()


def _head(flow: Flow, facts: TicketFacts) -> None:
    maker = flow.maker
    if facts.stop:
        flow.paragraph(STOP, STOP_SIZE, True)
        flow.bullets(facts.stop)
        flow.down(GAP)
        flow.rule()
    flow.down(TITLE)
    for size in (TITLE, LARGE, BODY):
        if maker.width(facts.title, size, True) <= flow.width * Fraction(3, 4):
            break
    title = maker.broken(facts.title, flow.width * Fraction(3, 4), size, True)[0]
    maker.text(flow.left, flow.y, title, size, True)
    maker.text(flow.right, flow.y, f"TICKET {facts.date}".strip(), BODY, True, Align.RIGHT)
    flow.write_in(BLANKS)


def _key(flow: Flow, rows: tuple[Row, ...]) -> None:
    """The numbers that are looked for first, two beside each other."""
    maker, half = flow.maker, flow.width.half
    step = BODY * LEADING + LARGE * LEADING
    for first in range(0, len(rows), 2):
        flow.need(step)
        for column, row in enumerate(rows[first : first + 2]):
            x = flow.left + half * column
            maker.wrapped((x, flow.y), half, row.label, BODY)
            size = LARGE
            while maker.width(row.words, size, True) > half - GAP and size > BODY:
                size = size - Length.points(1)
            maker.wrapped((x, flow.y - BODY * LEADING), half, row.words, size, True)
        flow.down(step)


def _scores(flow: Flow, facts: TicketFacts) -> None:
    """The list of the creaser: a shaded line for every move of the cover."""
    flow.heading("Score list, in this order")
    flow.paragraph(facts.measure_first + ".", bold=True)
    for row in facts.scores:
        if row.turn:
            _move(flow, row.turn)
        _score(flow, row)
    flow.bullets(facts.score_notes)


def _move(flow: Flow, turn: str) -> None:
    step = BODY * LEADING
    flow.need(step * 4)
    flow.maker.box(Box(flow.left, flow.y - step, flow.right, flow.y), _SHADE)
    flow.maker.wrapped((flow.left + GAP, flow.y), flow.width, f"then {turn}", BODY, True)
    flow.down(step)


def _score(flow: Flow, row: ScoreRow) -> None:
    """Number, score, face up, edge at the stop, distance; below it the exact figure."""
    maker, step = flow.maker, LARGE * LEADING
    flow.need(step + BODY * LEADING)
    base = flow.y - step + LARGE * Fraction(1, 3)
    words = (row.number, row.title, row.face_up, f"{row.at_stop} at stop", row.distance)
    for share, text in zip(_SCORE_AT, words, strict=True):
        size = LARGE if text in (row.number, row.distance) else BODY
        bold = text not in (row.title,)
        maker.text(flow.left + flow.width * Fraction(share, 100), base, text, size, bold)
    flow.down(step)
    x = flow.left + flow.width * Fraction(_SCORE_AT[1], 100)
    maker.wrapped((x, flow.y), flow.width, f"{row.exact}; folds {row.folds}", BODY)
    flow.down(BODY * LEADING)
    maker.line((flow.left, flow.y), (flow.right, flow.y), _LINE)


def _measured(flow: Flow, rows: tuple[Row, ...]) -> None:
    """What was planned, and room to write what was measured."""
    flow.heading("Measured at the bench")
    height = BODY * Fraction(8, 5)
    edges = [flow.left + flow.width * Fraction(share, 100) for share in (*_MEASURED_AT, 100)]
    for row in (Row("", "planned"), *rows):
        flow.need(height)
        words = (row.label, row.words, "" if row.label else "measured", "" if row.label else "by")
        base = flow.y - height + BODY.half
        for x, end, text in zip(edges, edges[1:], words, strict=False):
            flow.frame(Box(x, flow.y - height, end, flow.y))
            flow.maker.text(x + Length.points(3), base, text, BODY, not row.label)
        flow.down(height)
    flow.down(GAP)
