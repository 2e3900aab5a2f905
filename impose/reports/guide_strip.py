"""The strip of the guide, drawn: its outline, the holes with their figures, the joins.

Only draws: where everything lies is decided in `impose.bench.guide`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

from impose.bench.guide import GuideHole, GuideLayout, GuideSheet
from impose.geometry.box import Box
from impose.model.holes import HoleShape
from impose.pdf.pages import Align, PageMaker, Pen
from impose.plan.holes import HolePlan
from impose.plan.plan import Plan
from impose.units import ZERO, Length, both_units

_BODY: Final = Length.points(9)
_SMALL: Final = Length.points(7)
_NUMBER: Final = Length.points(10)
_GAP: Final = Length.points(6)
_CUT: Final = Pen(weight=Length.points("0.7"))
_TRIM: Final = Pen(weight=Length.points("0.7"), dashed=True)
_FINE: Final = Pen(weight=Length.points("0.35"))
_HAIR: Final = Pen(weight=Length.points("0.25"), grey=Fraction(1, 2))
_DOT: Final = Pen(weight=ZERO, fill=Fraction(1))
#: Holes farther apart leave room for a line of the larger letters between their figures.
_ROOMY: Final = Length.mm(8)
_CROSS: Final = Length.mm(3)
#: So much is needed between spine edge and holes for words.
_BAND: Final = Length.mm(7)
#: Two lines beside a hole need so much height.
_TWO_LINES: Final = Length.points(16)


@dataclass(frozen=True, slots=True)
class Strip:
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
            self._spine_edge()

    def _spine_edge(self) -> None:
        """Where the holes lie so near the spine edge that no words fit between: an arrow to that
        edge, midway between two holes, and the words behind it."""
        page, x, (low, high) = self.page, self.sheet.spine_x, self._between_holes()
        y = (low + high).half
        size = _BODY if high - low > _ROOMY else _SMALL
        right = self.layout.labels_right
        way = 1 if right else -1
        start = x + (self.holes.from_spine + self.holes.across.half + _CROSS) * way
        half = Length.points(3)
        tip = x + half * way
        page.line((tip, y), (start, y), _CUT)
        page.polygon([(x, y), (x + half * 2 * way, y + half), (x + half * 2 * way, y - half)], _DOT)
        align = Align.LEFT if right else Align.RIGHT
        words = start + Length.points(3) * way
        page.text(words, y - size * Fraction(1, 3), "SPINE EDGE", size, True, align)

    def _between_holes(self) -> tuple[Length, Length]:
        """The two neighbours that lie farthest apart, those in the middle first."""
        ys = [hole.middle[1] for hole in self.sheet.holes]
        if len(ys) < 2:
            ys = [ys[0], self.sheet.strip.y0]
        middle = (self.sheet.strip.y0 + self.sheet.strip.y1).half
        pairs = list(pairwise(sorted(ys, key=lambda y: y.grains)))
        return max(
            pairs,
            key=lambda pair: (
                (pair[1] - pair[0]).grains,
                -abs((pair[0] + pair[1]).half - middle).grains,
            ),
        )

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
        two = both_told(self.holes, self.layout)
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


def both_told(holes: HolePlan, layout: GuideLayout) -> bool:
    """Both distances stand at each hole: the guide is used before head and foot are cut, and there
    is room for two lines beside every hole."""
    return (
        bool(holes.head)
        and not layout.trimmed
        and all(gap >= _TWO_LINES for gap in holes.gaps[1:-1])
    )
