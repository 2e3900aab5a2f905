"""Fonts that are not in the file, spot colours, lines too fine to print."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from impose.checks.words import book_pages, file_of, where_text
from impose.findings import Finding, Severity
from impose.model.job import Job
from impose.model.looks import PageLook
from impose.plan.plan import Plan
from impose.units import ZERO, Length

_SLACK: Final = Length.points("0.01")


def check_fonts(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """One finding for all fonts that are missing."""
    pages: dict[str, list[int]] = {}
    for page, look in enumerate(looks, start=1):
        for font in look.fonts_missing:
            pages.setdefault(font, []).append(page)
    if not pages:
        return ()
    numbers = tuple(sorted({page for found in pages.values() for page in found}))
    names = ", ".join(sorted(pages))
    is_are, word = ("is", "font") if len(pages) == 1 else ("are", "fonts")
    return (
        Finding(
            severity=Severity.WARNING,
            code="font-not-embedded",
            message=f"the {word} {names} on {where_text(numbers, plan)} {is_are} not in the file: "
            "whoever prints it may get another one",
            hint="export the file again with all fonts embedded",
            file=file_of(plan, numbers),
            pages=book_pages(numbers, plan),
            numbers={"fonts": names},
        ),
    )


def check_spots(plan: Plan, job: Job, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Named, because each may become a plate and a price."""
    pages: dict[str, list[int]] = {}
    for page, look in enumerate(looks, start=1):
        for spot in look.spots:
            pages.setdefault(spot, []).append(page)
    if not pages:
        return ()
    numbers = tuple(sorted({page for found in pages.values() for page in found}))
    names = ", ".join(sorted(pages))
    word = "spot colour" if len(pages) == 1 else "spot colours"
    return (
        Finding(
            severity=Severity.NOTE,
            code="spot-colour",
            message=f"{word} {names} on {where_text(numbers, plan)}: on a press each is a "
            "plate of its own unless it is converted",
            hint="tell the print room whether they are meant",
            file=file_of(plan, numbers),
            pages=book_pages(numbers, plan),
            numbers={"inks": names},
        ),
    )


def check_bar_inks(plan: Plan, job: Job, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Spot colours that the job wants in the colour bar and no page has: their patches are told
    apart by their plate alone, and seen without it they are black."""
    if plan.press is None or not all(look.looked for look in looks):
        return ()
    shown = {
        fill.ink.name
        for sheet in plan.sheets
        for _, side in sheet.sides
        for fill in side.fills
        if fill.ink.name
    }
    unknown = sorted(shown - {spot for look in looks for spot in look.spots})
    if not unknown:
        return ()
    names = ", ".join(unknown)
    is_are = "is an ink" if len(unknown) == 1 else "are inks"
    return (
        Finding.warning(
            "bar-ink-unused",
            f"the colour bar has patches of {names}, which {is_are} of no page: on a press each is "
            "a plate of its own with nothing but these patches, on other printers they come out "
            "black",
            hint="write the ink's name in [marks] inks as the pages have it, or leave it out",
            inks=names,
        ),
    )


def check_hairlines(plan: Plan, job: Job, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """The finest line as printed, and every page with one below the limit."""
    limit = job.limits.hairline
    fine: list[tuple[Length, int]] = []
    for page, (fit, look) in enumerate(zip(plan.pages, looks, strict=True), start=1):
        weight = look.thinnest * fit.scale
        if look.thinnest > ZERO and weight < limit - _SLACK:
            fine.append((weight, page))
    if not fine:
        return ()
    finest = min(weight for weight, _ in fine)
    numbers = tuple(page for _, page in fine)
    told = f"{finest.text('pt')} thick" if finest >= Length.points("0.01") else "of no thickness"
    return (
        Finding(
            severity=Severity.NOTE,
            code="hairline",
            message=f"lines on {where_text(numbers, plan)} are as fine as {told}, below "
            f"{limit.text('pt')}: they may break up or vanish",
            hint=f"draw them {limit.text('pt')} or thicker",
            file=file_of(plan, numbers),
            pages=book_pages(numbers, plan),
            numbers={"finest": finest.text("pt"), "limit": limit.text("pt")},
        ),
    )
