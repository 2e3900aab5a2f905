"""`guide.pdf`: the guide for piercing or punching at full size, and where the needle goes.

Only draws: where the strip and its holes lie is decided in `impose.bench.guide`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from impose.bench.guide import MARGIN, GuideHole, GuideLayout, GuideSheet, guide_layout
from impose.bench.holesteps import how_to_lay, places_words, thread_words
from impose.bench.needlewords import needle_steps
from impose.bench.words import listed
from impose.geometry.box import Box
from impose.geometry.sides import BoundAt
from impose.marks.measure import LENGTH
from impose.model.holes import HoleShape, Makes
from impose.model.job import Job
from impose.pdf.pages import LEADING, Align, PageMaker, Pen
from impose.plan.holes import HolePlan
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.reports.cautions import for_holes
from impose.reports.hole_rows import gaps_words, height_words, size_words
from impose.reports.needle_drawing import KETTLE_HIGH, draw_kettle, draw_needle, hop_count, legend
from impose.units import ZERO, Length, both_units

_TITLE: Final = Length.points(15)
_BODY: Final = Length.points(9)
_SMALL: Final = Length.points("6.5")
_NUMBER: Final = Length.points(10)
_GAP: Final = Length.points(6)
_CUT: Final = Pen(weight=Length.points("0.7"))
_TRIM: Final = Pen(weight=Length.points("0.7"), dashed=True)
_FINE: Final = Pen(weight=Length.points("0.35"))
_HAIR: Final = Pen(weight=Length.points("0.25"), grey=Fraction(1, 2))
_DOT: Final = Pen(weight=ZERO, fill=Fraction(1))
_CROSS: Final = Length.mm(3)
_TICK: Final = Length.mm(2)
#: So much is needed between spine edge and holes for words.
_BAND: Final = Length.mm(7)
#: Two lines beside a hole need so much height.
_TWO_LINES: Final = Length.points("15.5")
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
        _Strip(page, plan, holes, layout, sheet).draw()
        left_over = (*left_over, *_words(page, plan, holes, layout, sheet))
    _steps(page, plan, holes, left_over)
    return page.to_bytes()


# -- the strip -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Strip:
    """Draws one sheet's part of the strip."""

    page: PageMaker
    plan: Plan
    holes: HolePlan
    layout: GuideLayout
    sheet: GuideSheet

    def draw(self) -> None:
        self._outline()
        self._trims()
        self._joins()
        for hole in self.sheet.holes:
            self._hole(hole)
            self._label(hole)

    def _outline(self) -> None:
        page, strip, x = self.page, self.sheet.strip, self.sheet.spine_x
        for side in (strip.x0, strip.x1):
            page.line((side, strip.y0), (side, strip.y1), _CUT)
        for y, is_edge in (
            (strip.y1, self.sheet.top_is_edge),
            (strip.y0, self.sheet.bottom_is_edge),
        ):
            page.line((strip.x0, y), (strip.x1, y), _CUT if is_edge else _HAIR)
        middle = self._widest_gap()
        if self.holes.makes.on_fold:
            page.line((x, strip.y0), (x, strip.y1), _TRIM)
            page.text_up(x - _GAP, middle, "fold the strip here", _BODY, True)
        elif self.holes.from_spine - self.holes.across.half > _BAND:
            inward = _BODY if self.layout.labels_right else -Length.points(3)
            page.text_up(x + inward, middle, "SPINE EDGE", _BODY, True)
        else:
            right = self.layout.labels_right
            far = strip.x1 - Length.points(4) if right else strip.x0 + _BODY
            words = f"SPINE EDGE AT THE {'LEFT' if right else 'RIGHT'}"
            page.text_up(far, (strip.y0 + strip.y1).half, words, _BODY, True)

    def _widest_gap(self) -> Length:
        """The middle of the longest stretch without a hole."""
        ys = sorted(
            (self.sheet.strip.y0, self.sheet.strip.y1, *(h.middle[1] for h in self.sheet.holes)),
            key=lambda y: y.grains,
        )
        low, high = max(pairwise(ys), key=lambda pair: (pair[1] - pair[0]).grains)
        return (low + high).half

    def _trims(self) -> None:
        """HEAD and FOOT, and dashed lines where they are cut afterwards."""
        strip, inset = self.sheet.strip, Length.points(4)
        for name, at, edge, is_edge in (
            ("head", self.sheet.head_y, strip.y1, self.sheet.top_is_edge),
            ("foot", self.sheet.foot_y, strip.y0, self.sheet.bottom_is_edge),
        ):
            below = _NUMBER + Length.points(2) if name == "head" else -inset
            if at is not None and at != edge:
                self.page.line((strip.x0, at), (strip.x1, at), _TRIM)
                self._say_end(at - below, f"trimmed {name}", 46)
            near = at if at is not None and at.near(edge, _NUMBER * 2) else edge
            if is_edge:
                self._say_end(near - below, name.upper(), 0)

    def _say_end(self, y: Length, words: str, inward: int) -> None:
        """At the end of the strip away from the holes, so many points further in."""
        strip, inset = self.sheet.strip, Length.points(4 + inward)
        small = words.islower() or words.startswith("join")
        size = _SMALL if small else _NUMBER
        right = self.layout.labels_right
        x = strip.x1 - inset if right else strip.x0 + inset
        align = Align.RIGHT if right else Align.LEFT
        self.page.text(x, y, words, size, not small, align)

    def _joins(self) -> None:
        strip = self.sheet.strip
        for letter, y in self.sheet.joins:
            self.page.line((strip.x0, y), (strip.x1, y), _FINE)
            for x, way in ((strip.x0, 1), (strip.x1, -1)):
                tip = x + Length.mm(3) * way
                half = Length.mm("1.5")
                self.page.polygon([(x, y - half), (tip, y), (x, y + half)], _DOT)
            self._say_end(y + Length.points(2), f"join {letter}", 8)

    def _hole(self, hole: GuideHole) -> None:
        page, (x, y) = self.page, hole.middle
        if self.holes.shape is HoleShape.STAPLE:
            ends = hole.legs
            page.line(ends[0], ends[1], Pen(weight=Length.points("1.2")))
            for leg in ends:
                page.circle(leg, Length.points("1.2"), _DOT)
            page.line((x - _CROSS.half, y), (x + _CROSS.half, y), _FINE)
            return
        page.line((x - _CROSS, y), (x + _CROSS, y), _FINE)
        page.line((x, y - _CROSS), (x, y + _CROSS), _FINE)
        wide, high = hole.size.width.half, hole.size.height.half
        if self.holes.shape is HoleShape.RECTANGULAR or hole.size.width != hole.size.height:
            page.box(Box(x - wide, y - high, x + wide, y + high), _FINE)
        else:
            page.circle((x, y), wide, _FINE)

    def _label(self, hole: GuideHole) -> None:
        """Number and distance from the trimmed head; beneath, with room, from the untrimmed
        where the guide is used before the book is cut."""
        told = self.holes.holes[hole.number - 1]
        unit, (x, y) = self.plan.unit, hole.middle
        away = self.holes.across.half + _CROSS + Length.points(2)
        exact = both_units(told.from_head, unit)
        kettle = "  kettle" if hole.kettle else ""
        number, words = str(hole.number), f"{exact}{kettle}"
        wide = self.page.width(f"{number}  ", _NUMBER, True)
        small = f"untrimmed {self.holes.untrimmed_from_head(told).text(unit)}"
        two = _both(self.holes, self.layout)
        base = y + Length.points("0.5") if two else y - Length.points(3)
        if self.layout.labels_right:
            start = x + away
            self.page.text(start, base, number, _NUMBER, True)
            self.page.text(start + wide, base, words, _BODY)
            if two:
                self.page.text(start + wide, base - _SMALL - Length.points(1), small, _SMALL)
            return
        end = x - away
        self.page.text(end, base, number, _NUMBER, True, Align.RIGHT)
        self.page.text(end - wide, base, words, _BODY, False, Align.RIGHT)
        if two:
            under = base - _SMALL - Length.points(1)
            self.page.text(end - wide, under, small, _SMALL, False, Align.RIGHT)


def _both(holes: HolePlan, layout: GuideLayout) -> bool:
    """Both distances stand at each hole: the guide is used before head and foot are cut, and there
    is room for two lines beside every hole."""
    return (
        bool(holes.head)
        and not layout.trimmed
        and all(gap >= _TWO_LINES for gap in holes.gaps[1:-1])
    )


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
        "; beneath them from the head edge of the untrimmed paper." if _both(holes, layout) else "."
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
