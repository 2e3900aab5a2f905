"""Blank and nearly blank pages, and pages that look the same."""

from __future__ import annotations

from collections.abc import Sequence

from impose.checks.words import book_pages, file_of, where_text
from impose.findings import Finding, Severity, page_ranges
from impose.model.looks import PageLook
from impose.plan.plan import Plan


def check_blank(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Pages with nothing, and pages with no more than a short line."""
    found = []
    blank = tuple(i for i, look in enumerate(looks, start=1) if look.looked and look.blank)
    scanty = tuple(i for i, look in enumerate(looks, start=1) if look.scanty)
    if blank:
        found.append(
            _note("blank-page", f"nothing is printed on {where_text(blank, plan)}", blank, plan)
        )
    if scanty:
        message = f"only one short line of text is printed on {where_text(scanty, plan)}"
        found.append(_note("near-blank-page", message, scanty, plan))
    return tuple(found)


def check_alike(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Pages that are the same in every stroke: perhaps one went in twice.

    A job that names the same page of a file twice means it.
    """
    alike: dict[bytes, list[int]] = {}
    for page, look in enumerate(looks, start=1):
        if look.looked and look.fingerprint and not look.blank and not look.scanty:
            alike.setdefault(look.fingerprint, []).append(page)
    groups = [pages for pages in alike.values() if len(_sources(looks, pages)) > 1]
    if not groups:
        return ()
    numbers = tuple(sorted(page for pages in groups for page in pages))
    told = "; ".join(page_ranges(pages) for pages in groups[:8])
    more = f"; and {len(groups) - 8} more groups" if len(groups) > 8 else ""
    return (
        Finding(
            severity=Severity.WARNING,
            code="pages-alike",
            message=f"pages that look exactly the same: {told}{more}",
            hint="check that no page is in the file twice and none is missing",
            file=file_of(plan, numbers),
            pages=book_pages(numbers, plan),
            numbers={"groups": len(groups)},
        ),
    )


def _sources(looks: Sequence[PageLook], pages: Sequence[int]) -> set[tuple[int, int]]:
    return {(looks[page - 1].file, looks[page - 1].number) for page in pages}


def check_looked(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Pages that could not be looked at, one note for each reason."""
    why: dict[str, list[int]] = {}
    for page, look in enumerate(looks, start=1):
        if not look.looked:
            why.setdefault(look.trouble, []).append(page)
    return tuple(
        _note(
            "page-not-looked-at",
            f"{where_text(pages, plan)} could not be looked at ({trouble}): nothing is known of "
            "what lies near the edges",
            tuple(pages),
            plan,
            hint="look at the proof yourself, or export the file again",
        )
        for trouble, pages in why.items()
    )


def _note(code: str, message: str, pages: tuple[int, ...], plan: Plan, hint: str = "") -> Finding:
    return Finding(
        severity=Severity.NOTE,
        code=code,
        message=message,
        hint=hint,
        file=file_of(plan, pages),
        pages=book_pages(pages, plan),
        numbers={"pages": len(pages)},
    )
