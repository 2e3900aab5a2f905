"""`guide.pdf`: the guide for piercing or punching at full size, and where the needle goes.

Only draws: where the strip and its holes lie is decided in `impose.bench.guide`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from impose.bench.guide import MARGIN, GuideLayout, GuideSheet, guide_layout
from impose.bench.holesteps import how_to_lay, places_words, thread_words
from impose.bench.needlewords import needle_steps
from impose.bench.words import listed
from impose.geometry.box import Box
from impose.geometry.sides import BoundAt
from impose.marks.measure import LENGTH
from impose.model.holes import HoleShape, Makes
from impose.model.job import Job
from impose.pdf.pages import LEADING, PageMaker, Pen
from impose.plan.holes import HolePlan
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.reports.cautions import for_holes
from impose.reports.guide_strip import Strip, both_told
from impose.reports.hole_rows import gaps_words, height_words, size_words
from impose.reports.needle_drawing import KETTLE_HIGH, draw_kettle, draw_needle, hop_count, legend
from impose.units import Length

_TITLE: Final = Length.points(15)
_BODY: Final = Length.points(9)
_GAP: Final = Length.points(6)
_CUT: Final = Pen(weight=Length.points("0.7"))
_TICK: Final = Length.mm(2)
_COLUMNS: Final = 3
#: So many sections are joined without a kettle stitch: the second is knotted to the first.
_NO_KETTLE: Final = 2
_PICTURE: Final = Length.mm(25)


def guide_pdf(plan: Plan, job: Job) -> bytes:
    """The strip, sheet by sheet, then the steps.  The plan has holes."""
    holes = plan.holes
    assert holes is not None  # the caller asked
    layout = guide_layout(plan, job)
    page = PageMaker(layout.paper, f"Guide for the holes: {plan.title}")
    left_over: Sequence[str] = ()
    for sheet in layout.sheets:
        if sheet.number > 1:
            page.new_page()
        Strip(page, plan, holes, layout, sheet).draw()
        left_over = (*left_over, *_words(page, plan, holes, layout, sheet))
    _steps(page, plan, holes, left_over)
    return page.to_bytes()


# -- the words beside it -------------------------------------------------------------------


def _words(
    page: PageMaker, plan: Plan, holes: HolePlan, layout: GuideLayout, sheet: GuideSheet
) -> Sequence[str]:
    """Beside the strip; returns the lines for which there was no room."""
    room = layout.words
    top = room.y1
    kind = "Punching guide" if holes.makes is Makes.PUNCHED else "Piercing guide"
    if holes.shape is HoleShape.STAPLE:
        kind = "Stapling guide"
    for words, size, bold in (
        (kind, _TITLE, True),
        (plan.title, _BODY, False),
        (f"Sheet {sheet.number} of {sheet.of}" if sheet.of > 1 else "", _BODY, True),
        ("PRINT AT ACTUAL SIZE (100 %), never fit to page.", Length.points(11), True),
    ):
        if words:
            top = top - page.wrapped((room.x0, top), room.width, words, size, bold)
    top = _check_line(page, plan.unit, (room.x0, top - _GAP)) - _GAP
    lines = list(_told(plan, holes, layout)) if sheet.number == 1 else []
    lines = [*_joining(holes, layout, sheet), *lines]
    while lines:
        high = page.height(lines[0], room.width, _BODY)
        if top - high < room.y0:
            break
        page.wrapped((room.x0, top), room.width, lines.pop(0), _BODY)
        top = top - high - Length.points(3)
    return lines


def _check_line(page: PageMaker, unit: str, corner: tuple[Length, Length]) -> Length:
    """A known length to measure; returns where it ends."""
    long, (x, y) = LENGTH[unit], corner
    middle = y - _TICK
    page.line((x, middle), (x + long, middle), _CUT)
    for end in (x, x + long):
        page.line((end, middle - _TICK.half), (end, middle + _TICK.half), _CUT)
    words = f"This line is {long.text(unit)} long. Measure it first: if it is not, print again."
    used = page.wrapped((x, middle - _TICK), page.size.width - MARGIN - x, words, _BODY)
    return middle - _TICK - used


def _told(plan: Plan, holes: HolePlan, layout: GuideLayout) -> Iterator[str]:
    unit = plan.unit
    yield f"{holes.pattern}. {places_words(holes, unit)}."
    yield f"Each: {size_words(holes, unit)}."
    if len(holes.holes) <= 8:
        yield f"Head to foot: {gaps_words(holes, unit)}."
    yield f"Height: {height_words(holes, unit)}."
    one = "staple" if holes.shape is HoleShape.STAPLE else "hole"
    yield f"The large figures are from the trimmed head to the middle of a {one}" + (
        "; beneath them from the head edge of the untrimmed paper."
        if both_told(holes, layout)
        else "."
    )
    sides = [cut.side for cut in plan.cuts if cut.when is When.AFTER_BINDING]
    if layout.trimmed and sides:
        yield (
            f"Cut the book to size at {listed(sides)} FIRST: the strip is as high as the trimmed "
            "page."
        )
    elif layout.trimmed:
        yield "The strip is as high as the page."
    elif not layout.sheets[-1].bottom_is_edge:
        yield (
            "The strip ends before the foot of the paper: only its HEAD end lies at an edge. The "
            "dashed lines are where head and foot are cut afterwards."
        )
    elif holes.untrimmed != holes.height:
        yield (
            "The strip is as high as the untrimmed paper: its ends lie at the paper's edges, and "
            "the dashed lines are where head and foot are cut afterwards."
        )
    yield how_to_lay(holes)
    if holes.makes is Makes.SEWN and holes.pieces > 1:
        yield f"The same strip for all {holes.pieces} sections, always from the same head edge."
    if plan.bound_at is BoundAt.HEAD:
        yield (
            "The book is bound at its printed head: HEAD and FOOT are here those of the book held "
            "with its spine at the left."
        )
    if holes.thread is not None:
        yield f"{thread_words(holes, unit)}."
    yield from (f"Caution: {caution.text}" for caution in for_holes(holes))
    yield f"Where the figures come from: {holes.source}."


def _joining(holes: HolePlan, layout: GuideLayout, sheet: GuideSheet) -> Iterator[str]:
    if sheet.of == 1:
        return
    letters = ", ".join(letter for letter, _ in sheet.joins)
    yield (
        f"The strip is longer than the paper: it comes in {sheet.of} parts that overlap. Join "
        f"{letters}: cut the lower part along its line, lay it on the line of the same letter of "
        "the upper part, the long edges in line, and tape it. Then measure the whole strip: "
        f"{(holes.height if layout.trimmed else holes.untrimmed).text('mm')} "
        f"({(holes.height if layout.trimmed else holes.untrimmed).text('in')}) from end to end."
    )


# -- the steps -----------------------------------------------------------------------------


def _steps(page: PageMaker, plan: Plan, holes: HolePlan, left_over: Sequence[str]) -> None:
    """A drawing for every hop of the needle, and what follows; nothing where nothing is left."""
    steps = needle_steps(holes, plan.unit)
    if not steps and not left_over:
        return
    page.new_page()
    flow = _Flow(page)
    if left_over:
        flow.write("About the guide", _TITLE, True)
        for line in left_over:
            flow.write(line)
    if not steps:
        return
    flow.write("Where the needle goes", _TITLE, True)
    flow.write(legend(holes))
    flow.pictures(holes, steps[: hop_count(holes)])
    for number, line in enumerate(steps[hop_count(holes) :], start=hop_count(holes) + 1):
        flow.write(f"{number}. {line}.")
    if holes.makes is Makes.SEWN and holes.pieces > _NO_KETTLE:
        flow.kettle()


class _Flow:
    """Lines and drawings below each other over the whole page."""

    def __init__(self, page: PageMaker) -> None:
        self._page = page
        self._width = page.size.width - MARGIN * 2
        self._top = page.size.height - MARGIN

    def _need(self, high: Length) -> None:
        if self._top - high < MARGIN:
            self._page.new_page()
            self._top = self._page.size.height - MARGIN

    def write(self, words: str, size: Length = _BODY, bold: bool = False) -> None:
        high = self._page.height(words, self._width, size, bold)
        self._need(high)
        self._page.wrapped((MARGIN, self._top), self._width, words, size, bold)
        self._top = self._top - high - Length.points(3)

    def pictures(self, holes: HolePlan, words: Sequence[str]) -> None:
        """In rows from left to right, each with its number and words beneath."""
        column = self._width.split(_COLUMNS)[0]
        wide = column - Length.mm(4)
        for first in range(0, len(words), _COLUMNS):
            row = words[first : first + _COLUMNS]
            lines = max(len(self._page.broken(self._said(first, i, w), wide, _BODY))
                        for i, w in enumerate(row))  # fmt: skip
            high = _PICTURE + _BODY * LEADING * lines + _GAP
            self._need(high)
            for index, one in enumerate(row):
                x = MARGIN + column * index
                room = Box(x, self._top - _PICTURE, x + wide, self._top)
                draw_needle(self._page, room, holes, first + index + 1)
                below = (x, self._top - _PICTURE)
                self._page.wrapped(below, wide, self._said(first, index, one), _BODY)
            self._top = self._top - high

    def kettle(self) -> None:
        """How one section is hung on those below it."""
        self._need(KETTLE_HIGH + _GAP)
        self.write("A kettle stitch, the sections seen on their spines near the end:")
        room = Box(MARGIN, self._top - KETTLE_HIGH, MARGIN + Length.mm(90), self._top)
        draw_kettle(self._page, room)
        self._top = self._top - KETTLE_HIGH - _GAP

    @staticmethod
    def _said(first: int, index: int, words: str) -> str:
        return f"{first + index + 1}. {words}."
