"""The findings of the report: each with its number, its words, its pictures, its figures."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.folds import NEAR_FOLD
from impose.checks.panelfolds import NEAR_WHAT
from impose.checks.words import cover_pages, measured
from impose.errors import UnitError
from impose.findings import Finding, Severity, page_ranges, worst_first
from impose.plan.plan import Plan
from impose.reports.page_svg import Picture, close_svg, page_svg
from impose.units import Length, parse_length

#: Sign and word of each severity: told by shape and word, not by colour alone.
WORDS: Final = {
    Severity.ERROR: ("✖", "Spoils the book"),
    Severity.WARNING: ("▲", "Look at it"),
    Severity.NOTE: ("●", "Note"),
}
#: Figures that findings carry, with the word for each; lengths read off a page are rounded.
_FIGURES: Final = {
    "distance": ("distance", True),
    "reach": ("reaches beyond the trim", True),
    "missing": ("missing", True),
    "safe": ("safe", False),
    "bleed": ("bleed", False),
    "clear": ("clear", False),
    "hinge": ("hinge", False),
    "bite": ("lost", True),
}
#: Longer lists of pages are shortened to so many ranges; the whole list can be unfolded.
_RUNS: Final = 10
_RUN: Final = r"\d+(?:-\d+)?"
_LIST: Final = re.compile(rf"(?<![\d.,]){_RUN}(?:, {_RUN}){{{_RUNS},}}(?![\d.])")


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A picture that a finding links to: the anchor of its page, and what it is called."""

    anchor: str
    name: str
    close: str = ""  #: the part in question as SVG, empty when it is not seen close


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """A finding as it is listed; `number` counts from 1, the worst first."""

    number: int
    finding: Finding
    sign: str
    word: str
    pages: str
    figures: tuple[tuple[str, str], ...]
    shown: tuple[Shown, ...]

    @property
    def anchor(self) -> str:
        return f"finding-{self.number}"

    @property
    def message(self) -> str:
        """The finding's own words, with a long list of pages shortened."""
        return _LIST.sub(lambda found: _short_list(found.group().split(", ")), self.finding.message)

    @property
    def all_pages(self) -> str:
        """Every page of it, where the message is shortened; else empty."""
        shortened = self.message != self.finding.message
        return page_ranges(self.finding.pages) if shortened else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PageRow:
    """A pictured page with the findings that speak of it."""

    anchor: str
    name: str
    drawing: str
    of: tuple[FindingRow, ...]


def finding_rows(plan: Plan, pictures: Sequence[Picture]) -> tuple[FindingRow, ...]:
    """All findings, the worst first."""
    cover = cover_pages(plan)
    shown = _shown(pictures, plan.unit)
    return tuple(
        FindingRow(
            number=number,
            finding=finding,
            sign=WORDS[finding.severity][0],
            word=WORDS[finding.severity][1],
            pages=_pages(finding, cover),
            figures=tuple(_figures(finding, plan.unit)),
            shown=shown.get(number, ()),
        )
        for number, finding in enumerate(worst_first(plan.findings), start=1)
    )


def page_rows(rows: Sequence[FindingRow], pictures: Sequence[Picture]) -> tuple[PageRow, ...]:
    """The pictured pages in reading order."""
    return tuple(
        PageRow(
            anchor=_anchor(picture),
            name=picture.view.name,
            drawing=page_svg(picture),
            of=tuple(rows[one.finding - 1] for one in picture.view.views),
        )
        for picture in pictures
    )


def _shown(pictures: Sequence[Picture], unit: str) -> Mapping[int, tuple[Shown, ...]]:
    """By the number of the finding; pages seen close first."""
    found: dict[int, list[Shown]] = {}
    for picture in pictures:
        for index, one in enumerate(picture.view.views):
            close = close_svg(picture, index, unit)
            shown = Shown(anchor=_anchor(picture), name=picture.view.name, close=close)
            found.setdefault(one.finding, []).append(shown)
    return {
        number: tuple(sorted(ones, key=lambda one: not one.close)) for number, ones in found.items()
    }


def _anchor(picture: Picture) -> str:
    return f"page-{picture.view.page}"


def _pages(finding: Finding, cover: frozenset[int]) -> str:
    """`page 9`, `pages 3-6, 9`, `the cover`; a long list ends in how many more there are."""
    book = [page for page in finding.pages if page not in cover]
    words = []
    if book:
        listed = _short_list(page_ranges(book).split(", "))
        words.append(f"{'page' if len(set(book)) == 1 else 'pages'} {listed}")
    if len(book) < len(finding.pages):
        words.append("the cover")
    return " and ".join(words)


def _short_list(runs: Sequence[str]) -> str:
    """The first ranges of a long list, and how many pages are not among them."""
    kept, rest = runs[:_RUNS], runs[_RUNS:]
    more = sum(_pages_in(run) for run in rest)
    return f"{', '.join(kept)} and {more} more" if rest else ", ".join(kept)


def _pages_in(run: str) -> int:
    first, _, last = run.partition("-")
    return int(last or first) - int(first) + 1


def _figures(finding: Finding, unit: str) -> Iterator[tuple[str, str]]:
    """Lengths in the unit of the job with the other beside it."""
    other = "in" if unit == "mm" else "mm"
    for key, (word, read) in _FIGURES.items():
        length = _length(finding.numbers.get(key))
        if length is None or (key == "reach" and not length):
            continue
        if key == "distance":
            word, length = _distance(length, finding)
        if read:
            yield word, f"{measured(length, unit)} ({measured(length, other)})"
        else:
            yield word, f"{_plain(length, unit)} ({_plain(length, other)})"


def _distance(length: Length, finding: Finding) -> tuple[str, Length]:
    """From the edge that the finding is about; beyond it when negative."""
    edge = "spine edge" if finding.side == "spine" else "trim"
    edge = NEAR_WHAT.get(finding.code, "fold" if finding.code == NEAR_FOLD else edge)
    if length.grains < 0:
        return f"beyond the {edge}", -length
    return f"distance from the {edge}", length


def _length(value: str | int | None) -> Length | None:
    """What a finding wrote as a length; None for counts and words."""
    if not isinstance(value, str):
        return None
    try:
        return parse_length(value.removeprefix("~"))
    except UnitError:
        return None


def _plain(length: Length, unit: str) -> str:
    return length.text(unit).replace("~", "about ")
