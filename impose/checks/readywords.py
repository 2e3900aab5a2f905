"""How a broken rule is told: once, with the file, its pages and what to change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from impose.findings import Finding, page_ranges
from impose.model.conditions import Part
from impose.model.sheetfacts import SheetFile, SheetPage

#: A message names no more ranges of pages.
_MOST_RANGES: Final = 6


def broken(
    code: str, file: SheetFile, part: Part, words: str, hint: str, pages: Sequence[int] = (),
    **numbers: str | int,
) -> Finding:  # fmt: skip
    """A rule of the part that the file breaks; `numbers` go into the finding's data."""
    where = file.name
    if pages:
        where += f", page{'s' if len(pages) != 1 else ''} {_short_ranges(pages)}"
    return Finding.warning(
        f"ready-{code}",
        f"{where}: {words}",
        hint=hint,
        file=file.name,
        pages=pages,
        part=part.value,
        **numbers,
    )


def _short_ranges(pages: Sequence[int]) -> str:
    """The first few ranges; all pages stand in the finding."""
    ranges = page_ranges(pages).split(", ")
    if len(ranges) <= _MOST_RANGES:
        return ", ".join(ranges)
    return f"{', '.join(ranges[:_MOST_RANGES])} and others, {len(pages)} in all"


def of_pages(
    code: str, file: SheetFile, part: Part, of: Callable[[SheetPage], frozenset[str]],
    words: str, hint: str,
) -> Iterator[Finding]:  # fmt: skip
    """One finding for each set of things, with the pages that have it."""
    seen: dict[frozenset[str], list[int]] = {}
    for number, page in enumerate(file.pages, start=1):
        if things := of(page):
            seen.setdefault(things, []).append(number)
    for things, pages in seen.items():
        yield broken(code, file, part, words.format(listed(things)), hint, pages)


def listed(things: frozenset[str]) -> str:
    """In the order of the alphabet."""
    return ", ".join(sorted(things))
