"""The page "what to do now" of the ticket, drawn; every word is in the guide."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from impose.geometry.box import Box, Size
from impose.geometry.turning import Turnover
from impose.pdf.flippicture import draw_flip
from impose.pdf.pages import LEADING
from impose.pdf.refeedpicture import draw_refill
from impose.reports.glossary import Term
from impose.reports.guide import Guide
from impose.reports.guide_parts import Refill, Task, Turn
from impose.reports.ticket_flow import BODY, GAP, LARGE, TITLE, Flow
from impose.reports.ticket_rows import Row
from impose.units import ZERO, Length

HEADING: Final = "What to do now"
_PICTURE: Final = Length.mm(38)
_REFILL: Final = Length.mm(64)
_INDENT: Final = Length.points(18)


def draw_guide(flow: Flow, guide: Guide) -> None:
    """Begins on a page of its own."""
    flow.next_page()
    flow.paragraph(HEADING, TITLE, True)
    if guide.stop:
        flow.paragraph(guide.stop, LARGE, True)
    for number, task in enumerate(guide.tasks, start=1):
        _task(flow, number, task)
    if guide.words:
        first = Row(guide.words[0].word, guide.words[0].meaning)
        flow.need(LARGE * LEADING * 2 + GAP * 2 + flow.rows_height([first], flow.width))
        flow.heading("Words in the lists on the pages before")
        _terms(flow, guide.words)


def _task(flow: Flow, number: int, task: Task) -> None:
    picture = _size(task.picture)
    width = flow.width - (picture.width + GAP * 2 if task.picture else ZERO)
    steps = [flow.maker.height(step, width - _INDENT, BODY) for step in task.steps]
    least = LARGE * LEADING + GAP * 2 + (steps[0] if steps else ZERO)
    flow.need(max(least, picture.height + LARGE * LEADING + GAP) if task.picture else least)
    flow.down(GAP)
    flow.rule()
    flow.paragraph(f"{number}. {task.title}", LARGE, True)
    top = flow.y
    for step in task.steps:
        _step(flow, step, width)
    if task.picture:
        _picture(flow, task.picture, top)
    for caution in dict.fromkeys(caution.text for caution in task.cautions):
        _caution(flow, caution)
    _terms(flow, task.terms)


def _step(flow: Flow, words: str, width: Length) -> None:
    """A box to tick, and the words beside it."""
    high = flow.maker.height(words, width - _INDENT, BODY)
    flow.need(high)
    side = BODY * Fraction(4, 5)
    flow.frame(Box(flow.left, flow.y - side - Length.points(2), flow.left + side,
                   flow.y - Length.points(2)))  # fmt: skip
    flow.maker.wrapped((flow.left + _INDENT, flow.y), width - _INDENT, words, BODY)
    flow.down(high + Length.points(2))


def _size(picture: Turn | Refill | None) -> Size:
    """What a picture takes."""
    return Size(_REFILL, _REFILL.half) if isinstance(picture, Refill) else Size(_PICTURE, _PICTURE)


def _picture(flow: Flow, picture: Turn | Refill, top: Length) -> None:
    """At the right of the steps, below the heading."""
    size = _size(picture)
    place = Box(flow.right - size.width, top - size.height, flow.right, top)
    if isinstance(picture, Refill):
        draw_refill(flow.maker, place, turned=picture.turn_over, pile=picture.pile)
    else:
        about = picture.about_horizontal
        turned = Turnover.ABOUT_HORIZONTAL if about else Turnover.ABOUT_VERTICAL
        draw_flip(flow.maker, place, turned, picture.landscape)
    if flow.y > place.y0:
        flow.down(flow.y - place.y0)


def _caution(flow: Flow, words: str) -> None:
    maker, indent = flow.maker, flow.maker.width("Take care: ", BODY, True)
    high = maker.height(words, flow.width - indent - _INDENT, BODY)
    flow.need(high)
    x = flow.left + _INDENT
    maker.wrapped((x, flow.y), indent, "Take care:", BODY, True)
    maker.wrapped((x + indent, flow.y), flow.width - indent - _INDENT, words, BODY)
    flow.down(high)


def _terms(flow: Flow, terms: tuple[Term, ...]) -> None:
    """Each word in bold with its line, in two columns."""
    if len(terms) == 1:
        row = Row(terms[0].word, terms[0].meaning)
        flow.need(flow.rows_height([row], flow.width))
        flow.down(flow.rows([row], flow.left, flow.y, flow.width))
    elif terms:
        flow.down(Length.points(2))
        flow.columns([Row(term.word, term.meaning) for term in terms])
