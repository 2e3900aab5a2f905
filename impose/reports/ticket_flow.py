"""The ticket's parts below each other: a cursor on plain pages, and a few shapes of text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final

from impose.geometry.box import Box, Size
from impose.pdf.pages import LEADING, PageMaker, Pen
from impose.reports.ticket_rows import Row
from impose.units import ZERO, Length, total

#: Readable at arm's length: nothing on the ticket is smaller (common practice).
BODY: Final = Length.points(10)
LARGE: Final = Length.points(14)
TITLE: Final = Length.points(18)
GAP: Final = Length.points(5)
_MARGIN: Final = Length.mm(9)
_RULE: Final = Pen(weight=Length.points("0.75"))
_THIN: Final = Pen(weight=Length.points("0.4"), grey=Fraction(1, 2))
_PAPER: Final = {
    "mm": Size(Length.mm(210), Length.mm(297)),
    "in": Size(Length.inches("8.5"), Length.inches(11)),
}


class Flow:
    """Pages filled from the top; `y` is the upper end of what is still free."""

    def __init__(self, title: str, unit: str) -> None:
        self.maker = PageMaker(_PAPER[unit], title)
        self.left = _MARGIN
        self.width = self.maker.size.width - _MARGIN * 2
        self.y = self.maker.size.height - _MARGIN

    @property
    def right(self) -> Length:
        return self.left + self.width

    def need(self, height: Length) -> None:
        """A new page when less than this is left."""
        if self.y - height < _MARGIN:
            self.next_page()

    def next_page(self) -> None:
        """Whatever is left of this one stays free."""
        self.maker.new_page()
        self.y = self.maker.size.height - _MARGIN

    def down(self, height: Length) -> None:
        self.y = self.y - height

    def rule(self) -> None:
        """A line across."""
        self.maker.line((self.left, self.y), (self.right, self.y), _RULE)
        self.down(Length.points(3))

    def heading(self, words: str) -> None:
        """A part begins; it keeps some lines together with its heading."""
        self.need(BODY * LEADING * 4)
        self.down(Length.points(2))
        self.rule()
        self.maker.wrapped((self.left, self.y), self.width, words, BODY, True)
        self.down(BODY * LEADING)

    def paragraph(self, words: str, size: Length = BODY, bold: bool = False) -> None:
        """Words over the whole width, broken over pages line by line."""
        for line in self.maker.broken(words, self.width, size, bold):
            self.need(size * LEADING)
            self.maker.wrapped((self.left, self.y), self.width, line, size, bold)
            self.down(size * LEADING)

    def bullets(self, items: Sequence[str]) -> None:
        """A list over the whole width."""
        indent = BODY
        for item in items:
            height = self.maker.height(item, self.width - indent, BODY)
            self.need(height)
            self.maker.wrapped((self.left, self.y), indent, "•", BODY)
            self.maker.wrapped((self.left + indent, self.y), self.width - indent, item, BODY)
            self.down(height)

    def rows(self, rows: Sequence[Row], x: Length, top: Length, width: Length) -> Length:
        """Labels in bold, words behind them, from `top`; the height used."""
        used = ZERO
        for row in rows:
            used = used + self._labelled(row, (x, top - used), width)
        return used

    def rows_height(self, rows: Sequence[Row], width: Length) -> Length:
        """What `rows` will use."""
        used = ZERO
        for row in rows:
            indent = self.maker.width(f"{row.label}: ", BODY, True)
            _, rest = self._first_line(row.words, width - indent)
            used = used + BODY * LEADING
            used = used + (self.maker.height(rest, width, BODY) if rest else ZERO)
        return used

    def _labelled(self, row: Row, corner: tuple[Length, Length], width: Length) -> Length:
        """A bold label and, from behind it on, plain words; the height used."""
        maker, (x, top) = self.maker, corner
        step = BODY * LEADING
        label = f"{row.label}:"
        indent = maker.width(f"{label} ", BODY, True)
        first, rest = self._first_line(row.words, width - indent)
        base = top - step + BODY * Fraction(1, 4)
        maker.text(x, base, label, BODY, True)
        maker.text(x + indent, base, first, BODY)
        return step + (maker.wrapped((x, top - step), width, rest, BODY) if rest else ZERO)

    def _first_line(self, words: str, width: Length) -> tuple[str, str]:
        """As many words as the width takes, and the others."""
        line = self.maker.broken(words, width, BODY)[0]
        return line, words[len(line) :].strip()

    def columns(self, rows: Sequence[Row]) -> None:
        """One list in two columns, parted and shared out so that it uses the least height."""
        shares = [Fraction(n, 100) for n in range(40, 62, 2)]
        height, split, share = min(
            (way for share in shares for way in self._ways(rows, share)),
            key=lambda way: way[0].grains,
        )
        first = self.width * share
        second = self.left + first + GAP
        self.need(height)
        self.rows(rows[:split], self.left, self.y, first - GAP)
        self.rows(rows[split:], second, self.y, self.right - second)
        self.down(height)

    def _ways(self, rows: Sequence[Row], share: Fraction) -> Iterator[tuple[Length, int, Fraction]]:
        """The height used when the first column has so many rows and this share of the width."""
        first = self.width * share
        left = [self.rows_height([row], first - GAP) for row in rows]
        right = [self.rows_height([row], self.width - first - GAP) for row in rows]
        for split in range(len(rows) + 1):
            yield max(total(left[:split]), total(right[split:])), split, share

    def write_in(self, labels: Sequence[str]) -> None:
        """Fields with lines to write on."""
        share = self.width.split(len(labels))[0]
        self.down(BODY * LEADING + Length.points(4))
        for number, label in enumerate(labels):
            x = self.left + share * number
            self.maker.text(x, self.y, label, BODY)
            start = x + self.maker.width(label, BODY) + Length.points(3)
            self.maker.line((start, self.y), (x + share - GAP, self.y), _THIN)
        self.down(GAP)

    def frame(self, box: Box) -> None:
        """A thin box."""
        self.maker.box(box, _THIN)

    def to_bytes(self) -> bytes:
        return self.maker.to_bytes()
