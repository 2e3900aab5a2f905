"""`ticket.pdf`: the paper that travels with the job, one page where it can be."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import Final

from impose.geometry.box import Box
from impose.model.job import Job
from impose.pdf.pages import LEADING, Align, Pen
from impose.plan.plan import Plan
from impose.reports.guide import Guide, guide
from impose.reports.now_pdf import draw_guide
from impose.reports.ticket_facts import STOP, TicketFacts, ticket_facts
from impose.reports.ticket_flow import BODY, GAP, LARGE, TITLE, Flow
from impose.reports.ticket_rows import Row, ScoreRow
from impose.reports.ticket_sketch import draw_sketch
from impose.units import Length

_LINE: Final = Pen(weight=Length.points("0.4"), grey=Fraction(1, 2))
_SHADE: Final = Pen(weight=Length.points(0), fill=Fraction(1, 8))
#: Shares of the width: number, score, face up, edge at the stop, reading, exact, fold.
_SCORE_AT: Final = (0, 4, 22, 37, 53, 68, 92)
_MEASURED_AT: Final = (0, 46, 73)
_SKETCH: Final = Length.mm(39)
STOP_SIZE: Final = Length.points(20)


def ticket_pdf(plan: Plan, job: Job) -> bytes:
    """The ticket of a finished plan, and on pages of its own what to do now."""
    facts = ticket_facts(plan, job)
    return draw_ticket(facts, guide(plan, job, " ".join(words_of(facts))))


def words_of(facts: TicketFacts) -> Iterator[str]:
    """The words of the lists, whose terms are explained."""
    for row in (*facts.key, *facts.book, *facts.cover, *facts.last_cuts, *facts.measured):
        yield f"{row.label}: {row.words};"
    for score in facts.scores:
        yield f"{score.title}; {score.at_stop}; {score.note};"
    yield from (*facts.score_notes, *facts.instructions, *facts.cautions)


def draw_ticket(facts: TicketFacts, what_to_do: Guide) -> bytes:
    """Only draws; every word is in the facts and in the guide."""
    flow = Flow(f"{facts.title}: ticket", facts.unit)
    _head(flow, facts)
    _key(flow, facts.key)
    flow.rule()
    flow.columns((*facts.book, *facts.cover, *facts.last_cuts))
    if facts.holes:
        flow.heading("Holes, each from the trimmed head to its middle")
        flow.columns(facts.holes)
    if facts.scores:
        _scores(flow, facts)
    _measured(flow, facts)
    if facts.instructions:
        flow.heading("Special instructions")
        flow.bullets(facts.instructions)
    if facts.cautions:
        row = Row("Cautions", " ".join(facts.cautions))
        flow.need(flow.rows_height([row], flow.width))
        flow.rule()
        flow.down(flow.rows([row], flow.left, flow.y, flow.width))
    draw_guide(flow, what_to_do)
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
    flow.write_in(facts.blanks)


def _key(flow: Flow, rows: tuple[Row, ...]) -> None:
    """The numbers that are looked for first, two beside each other."""
    maker, half = flow.maker, flow.width.half
    step = BODY * LEADING + LARGE * LEADING
    for first in range(0, len(rows), 2):
        flow.need(step)
        for column, row in enumerate(rows[first : first + 2]):
            x = flow.left + half * column
            maker.wrapped((x, flow.y), half, row.label, BODY)
            base = flow.y - step + LARGE * Fraction(1, 4)
            large, _, rest = row.words.partition(" (")
            maker.text(x, base, large, LARGE, True)
            if rest:
                after = x + maker.width(large, LARGE, True) + Length.points(4)
                maker.text(after, base, f"({rest}", BODY)
        flow.down(step)


def _scores(flow: Flow, facts: TicketFacts) -> None:
    """The list of the creaser: a shaded line for every move of the cover."""
    machine = f" ({facts.creaser})" if facts.creaser else ""
    flow.heading(f"Score list, in this order{machine}")
    _move(flow, facts.measure_first)
    for row in facts.scores:
        if row.turn:
            _move(flow, f"then {row.turn}")
        _score(flow, row)
    flow.bullets(facts.score_notes)


def _move(flow: Flow, words: str) -> None:
    """What is done with the cover between two scores."""
    step = BODY * LEADING
    flow.need(step * 4)
    flow.maker.box(Box(flow.left, flow.y - step, flow.right, flow.y), _SHADE)
    flow.maker.wrapped((flow.left + GAP, flow.y), flow.width, words, BODY, True)
    flow.down(step)


def _score(flow: Flow, row: ScoreRow) -> None:
    """Number, score, face up, edge at the stop, reading, exact figure, fold."""
    maker, step, below = flow.maker, LARGE * LEADING, ""
    flow.need(step + BODY * LEADING)
    base = flow.y - step + LARGE * Fraction(1, 3)
    words = (
        (row.number, LARGE, True),
        (row.title, BODY, False),
        (row.face_up, BODY, True),
        (row.at_stop, BODY, True),
        (row.reading, LARGE, True),
        (row.exact, BODY, False),
        (row.folds, BODY, False),
    )
    for share, (text, size, bold) in zip(_SCORE_AT, words, strict=True):
        x = flow.left + flow.width * Fraction(share, 100)
        fits = x + maker.width(text, size, bold) <= flow.right
        if text == row.folds and not fits:
            below = row.folds
        else:
            maker.text(x, base, text, size, bold)
    flow.down(step)
    more = "; ".join(words for words in (below, row.off, row.note) if words)
    if more:
        x = flow.left + flow.width * Fraction(_SCORE_AT[1], 100)
        flow.down(maker.wrapped((x, flow.y), flow.right - x, more, BODY))
    maker.line((flow.left, flow.y), (flow.right, flow.y), _LINE)


def _measured(flow: Flow, facts: TicketFacts) -> None:
    """The sketch, and beside it what was planned with room to write what was measured."""
    rows = (Row("", "wanted" if facts.counted else "planned"), *facts.measured)
    row_height = BODY * Fraction(3, 2)
    height = row_height * len(rows)
    left = flow.left
    if facts.sketch:
        height = max(height, _SKETCH)
    flow.need(height + BODY * LEADING * 2)
    word = "counted" if facts.counted else "measured"
    flow.heading(f"{word.capitalize()} at the bench")
    if facts.sketch:
        left = flow.left + flow.width * Fraction(48, 100)
        place = Box(flow.left, flow.y - height, left - GAP, flow.y)
        draw_sketch(flow.maker, facts.sketch, place)
    width = flow.right - left
    edges = [left + width * Fraction(share, 100) for share in (*_MEASURED_AT, 100)]
    for number, row in enumerate(rows):
        y = flow.y - row_height * number
        words = (row.label, row.words, "" if number else word)
        for (x, end), text in zip(pairwise(edges), words, strict=True):
            flow.frame(Box(x, y - row_height, end, y))
            base = y - row_height + BODY.half
            flow.maker.text(x + Length.points(3), base, text, BODY, not number)
    flow.down(height)
    flow.down(GAP)
