"""`cuts.pdf`: the cut list to read at the machine, a step a row, cautions first."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.findings import Finding, Severity
from impose.geometry.box import Box, Size
from impose.pdf.pages import PageMaker, Pen
from impose.plan.cutsteps import CutFacts, CutStep, StepKind, Turn
from impose.plan.plan import Plan
from impose.reports.cautions import for_cutting, for_holes
from impose.reports.cut_pictures import cut_pictures, draw_jogged, how_to_read
from impose.reports.cutlist_rows import Row, facts_lines, rows
from impose.reports.glossary import Explainer, term_line
from impose.reports.panel_pictures import draw_panels
from impose.reports.pile_drawing import LETTERS, Picture, draw_cut
from impose.units import ZERO, Length

#: The page follows the job's unit.
_PAPER: Final = {
    "mm": Size(Length.mm(210), Length.mm(297)),
    "in": Size(Length.inches("8.5"), Length.inches(11)),
}
_MARGIN: Final = Length.mm(14)
_NUMBER: Final = Length.points(26)
_GAUGE: Final = Length.points(30)
_HEADING: Final = Length.points(20)
_TITLE: Final = Length.points(13)
_LEFT_COLUMN: Final = Length.mm(25)
_DRAWING: Final = Size(Length.mm(66), Length.mm(58))
_GAP: Final = Length.mm(3)
_GLYPHS: Final = {Turn.LEFT: "↺", Turn.RIGHT: "↻", Turn.HALF: "↻", Turn.OVER: "⇅"}
_SHORT: Final = {
    Turn.LEFT: "quarter left",
    Turn.RIGHT: "quarter right",
    Turn.HALF: "half turn",
    Turn.OVER: "over",
}
_RULE: Final = Pen(weight=Length.points("0.8"), grey=Fraction(1, 2))


def cutlist_pdf(plan: Plan) -> bytes:
    """The pages; one that says so where nothing is cut."""
    page = PageMaker(_PAPER[plan.unit], f"Cut list: {plan.title}")
    writer = _Writer(page, plan, cut_pictures(plan))
    writer.opening()
    for row, step in zip(rows(plan), plan.cut_steps, strict=True):
        writer.row(row, step)
    return page.to_bytes()


class _Writer:
    """Lays rows below each other, from page to page."""

    def __init__(self, page: PageMaker, plan: Plan, pictures: dict[int, Picture]) -> None:
        self._page, self._plan, self._pictures = page, plan, pictures
        self._words = Explainer()
        self._left, self._right = _MARGIN, page.size.width - _MARGIN
        self._top = page.size.height - _MARGIN
        self._foot()

    def _foot(self) -> None:
        words = f"{self._plan.title} · cut list · page {self._page.pages}"
        self._page.text(self._left, Length.mm(8), words, LETTERS)

    def _next_page(self) -> None:
        self._page.new_page()
        self._top = self._page.size.height - _MARGIN
        self._foot()

    def _write(self, words: str, size: Length = LETTERS, bold: bool = False) -> None:
        """Words over the whole width."""
        width = self._right - self._left
        if self._top - self._page.height(words, width, size, bold) < _MARGIN:
            self._next_page()
        used = self._page.wrapped((self._left, self._top), width, words, size, bold)
        self._top = self._top - used

    def opening(self) -> None:
        """Heading, what would spoil the book, paper and count, cautions."""
        self._write(f"Cut list: {self._plan.title}", _HEADING, True)
        self._top = self._top - _GAP
        for finding in _errors(self._plan):
            self._write(f"DO NOT PRINT OR CUT: {finding.message}", _TITLE, True)
        facts = self._plan.cut_facts
        if facts is None:
            self._write("No cut list was made.")
            return
        for line in facts_lines(self._plan, facts):
            self._write(line)
        self._cautions(facts)

    def _cautions(self, facts: CutFacts) -> None:
        self._top = self._top - _GAP
        self._write("Before you cut", _TITLE, True)
        holes = self._plan.holes
        for caution in (*for_cutting(facts.hand), *(for_holes(holes) if holes else ())):
            self._write(f"• {caution.text} [{caution.source}]")
        self._top = self._top - _GAP
        self._write(how_to_read(facts.hand))
        self._top = self._top - _GAP

    # -- a row -------------------------------------------------------------------------

    def row(self, row: Row, step: CutStep) -> None:
        """One step; a new page where there is no room for it."""
        picture = self._pictures.get(step.number)
        sheet = step.kind is StepKind.JOG or bool(step.shows)
        texts = _texts(row)
        terms = self._words.new_in(*(f"{text.words}." for text in texts))
        column = self._text_column(picture is not None or sheet)
        high = sum((self._page.height(t.words, column, t.size, t.bold) for t in texts), ZERO)
        if picture is not None or sheet:
            high = max(high, _DRAWING.height)
        words = "; ".join(term_line(term) for term in terms)
        wide = self._right - self._left - _LEFT_COLUMN
        below = self._page.height(words, wide, LETTERS) if words else ZERO
        if self._top - high - below - _GAP * 2 < _MARGIN:
            self._next_page()
        page, top = self._page, self._top
        page.line((self._left, top), (self._right, top), _RULE)
        top = top - _GAP
        self._number(row, step, top)
        at = top
        for text in texts:
            at = at - page.wrapped(
                (self._right - column, at), column, text.words, text.size, text.bold
            )
        x = self._left + _LEFT_COLUMN
        room = Box(x, top - _DRAWING.height, x + _DRAWING.width, top)
        if picture is not None:
            draw_cut(page, room, picture)
        elif step.shows:
            draw_panels(page, room, self._plan, step)
        elif sheet:
            draw_jogged(page, room, self._plan, step)
        if words:
            page.wrapped((self._left + _LEFT_COLUMN, top - high), wide, words, LETTERS)
        self._top = top - high - below - _GAP

    def _text_column(self, drawn: bool) -> Length:
        whole = self._right - self._left - _LEFT_COLUMN
        return whole - _DRAWING.width - _GAP if drawn else whole

    def _number(self, row: Row, step: CutStep, top: Length) -> None:
        page, x = self._page, self._left
        page.text(x, top - _NUMBER, row.number, _NUMBER, True)
        top = top - _NUMBER - LETTERS
        if step.kind is not StepKind.CUT:
            return
        top = top - page.wrapped((x, top), _LEFT_COLUMN - _GAP, row.phase, LETTERS)
        turns = step.present.turns if step.present else ()
        for turn in turns:
            page.text(x, top - _NUMBER, _GLYPHS[turn], _NUMBER)
            top = top - _NUMBER - Length.points(4)
            used = page.wrapped((x, top), _LEFT_COLUMN - _GAP, _SHORT[turn], LETTERS, True)
            top = top - used


def _errors(plan: Plan) -> list[Finding]:
    return [finding for finding in plan.findings if finding.severity is Severity.ERROR]


@dataclass(frozen=True, slots=True)
class _Text:
    words: str
    size: Length = LETTERS
    bold: bool = False


def _texts(row: Row) -> list[_Text]:
    texts = [_Text(row.title, _TITLE, True)]
    if row.gauge:
        reading, _, off = row.gauge.partition(" (")
        texts.append(_Text(reading, _GAUGE, True))
        if off:
            texts.append(_Text(f"({off}"))
        texts.append(_Text(f"that is {row.exact}, {row.at_stop}"))
        texts.append(_Text(f"On the table: {row.on_table}."))
        texts.append(_Text(f"Turn: {row.turn}."))
        texts.append(_Text(f"Falls away: {row.falls}."))
        texts.append(_Text(f"Stays: {row.stays}."))
    texts.extend(_Text(f"– {note}") for note in row.notes)
    return texts
