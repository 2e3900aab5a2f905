"""The printed page numbers: a number that is skipped means, perhaps, a page that is not there.

Only numbers near the head or the foot of a page are taken for page numbers, and
only a series that goes on for a while is believed.  Of a long book not every
page has its number read.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from impose.checks.words import file_of
from impose.findings import Finding, page_ranges
from impose.model.looks import Matter, Outline, PageLook
from impose.plan.plan import Plan

#: So many pages in a row must agree before and after a gap.
_RUN: Final = 4
#: A longer jump is a new count, not missing pages.
_LONGEST_GAP: Final = 16
_SIGNS: Final = " -–—.·|[]()"


def check_numbering(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Numbers skipped in a running series, with the pages between which they are missing."""
    known = [(page, _numbers(look)) for page, look in enumerate(looks, start=1)]
    runs = _runs([(page, numbers) for page, numbers in known if numbers])
    found = []
    for before, after in pairwise(runs):
        gap = after.offset - before.offset
        if 0 < gap <= _LONGEST_GAP and len(before.pages) >= _RUN and len(after.pages) >= _RUN:
            found.append(_say(before, after, gap, plan))
    return tuple(found)


class _Run:
    """Pages whose printed number is their place plus `offset`."""

    def __init__(self, offset: int, page: int) -> None:
        self.offset = offset
        self.pages = [page]


#: A page and the numbers on it that may be its own.
_Numbered = tuple[int, frozenset[int]]


def _runs(numbered: Sequence[_Numbered]) -> list[_Run]:
    """A page goes on with the run before where it can; else it begins the longest it can."""
    runs: list[_Run] = []
    for at, (page, known) in enumerate(numbered):
        if runs and page + runs[-1].offset in known:
            runs[-1].pages.append(page)
            continue
        ahead = numbered[at : at + 2 * _RUN]
        best = max(known, key=lambda number: _lasts(ahead, number - page))
        if _lasts(ahead, best - page) >= _RUN:
            runs.append(_Run(best - page, page))
    return runs


def _lasts(ahead: Sequence[_Numbered], offset: int) -> int:
    """How many of the next numbered pages carry this offset without a break."""
    count = 0
    for page, known in ahead:
        if page + offset not in known:
            break
        count += 1
    return count


def _numbers(look: PageLook) -> frozenset[int]:
    return frozenset(n for n in map(_number, look.outlines) if n is not None)


def _number(outline: Outline) -> int | None:
    """A line that is nothing but an arabic number."""
    core = outline.words.strip(_SIGNS) if outline.matter is Matter.TEXT else ""
    return int(core) if core.isdecimal() and core.isascii() and len(core) <= 5 else None


def _say(before: _Run, after: _Run, gap: int, plan: Plan) -> Finding:
    last, first = before.pages[-1], after.pages[0]
    lost = range(last + before.offset + 1, first + after.offset)
    # Pages without a number between the two runs have used up some of them.
    missing = list(lost)[-gap:]
    word = "number" if gap == 1 else "numbers"
    pages = (last, first)
    return Finding.warning(
        "page-missing",
        f"the printed {word} {page_ranges(missing)} {'is' if gap == 1 else 'are'} skipped between "
        f"pages {last} and {first}, which say {last + before.offset} and {first + after.offset}",
        hint="look whether a page is missing from the file",
        file=file_of(plan, pages),
        pages=pages,
        missing=page_ranges(missing),
    )
