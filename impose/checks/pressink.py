"""Inks that a press or a fold does not take: too much of them, RGB, white that prints nothing.

Total ink: 300 % is what uncoated and digital work takes as a rule, coated
offset 320 to 340 (from memory); a setting.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from impose.checks.seen import SeenPage
from impose.checks.words import book_pages, file_of, where_text
from impose.findings import Finding, Severity
from impose.model.job import Binding, Job
from impose.model.looks import Matter, PageLook
from impose.plan.plan import Plan
from impose.schemes.coverrules import cover_rules
from impose.units import Length

_SLACK: Final = Fraction(1, 200)
_TOUCHES: Final = Length.mm("0.3")
#: Larger than this both ways a thing is a field of ink, not a line.
_FIELD: Final = Length.mm(10)


def check_total_ink(plan: Plan, job: Job, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """CMYK colours set in the pages' own operators that sum up to more than the limit."""
    most = job.limits.total_ink
    over = {n: look.most_ink for n, look in enumerate(looks, 1) if look.most_ink > most + _SLACK}
    if not over:
        return ()
    worst, pages = max(over.values()), tuple(over)
    told = f"{round(worst * 100)} %"
    return _one(
        "total-ink",
        Severity.WARNING,
        f"colours on {where_text(pages, plan)} sum up to {told} of ink; "
        f"{round(most * 100)} % is the limit: it dries badly and rubs off on the next sheet",
        "use less of each ink, or ask the print room for its limit (total_ink in [checks])",
        pages,
        plan,
        {"most": told, "limit": f"{round(most * 100)} %"},
    )


def check_vector_rgb(plan: Plan, job: Job, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """Drawings and letters in RGB, on a press."""
    printer = job.guts.printer
    if printer is None or not printer.press:
        return ()
    pages = tuple(n for n, look in enumerate(looks, 1) if look.rgb)
    return _one(
        "vector-rgb",
        Severity.WARNING,
        f"letters or drawings in RGB on {where_text(pages, plan)}: {printer.name} prints process "
        "colours, and they will be changed",
        "ask the print room whether it converts them, or convert them to CMYK",
        pages,
        plan,
        {"pages": len(pages)},
    )


def check_white_overprint(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """White set to overprint leaves what is below it, and is not seen on a screen."""
    pages = tuple(n for n, look in enumerate(looks, 1) if look.white_overprint)
    return _one(
        "white-overprint",
        Severity.WARNING,
        f"white on {where_text(pages, plan)} is set to overprint: on a press it vanishes",
        "set white things to knock out",
        pages,
        plan,
        {"pages": len(pages)},
    )


def check_transparency(plan: Plan, looks: Sequence[PageLook]) -> tuple[Finding, ...]:
    """See-through art in a file that says it keeps a standard without any."""
    pages = tuple(n for n, look in enumerate(looks, 1) if look.transparent and look.old_workflow)
    said = next((look.old_workflow for look in looks if look.old_workflow), "")
    return _one(
        "transparency",
        Severity.WARNING,
        f"art on {where_text(pages, plan)} is see-through, but the file says that it is {said}, "
        "which knows no transparency: an old workflow may print it wrong",
        "flatten it, or export the file again by a newer standard",
        pages,
        plan,
        {"standard": said},
    )


def check_ink_on_fold(plan: Plan, job: Job, pages: Sequence[SeenPage]) -> tuple[Finding, ...]:
    """Fields of ink that run over the spine fold of heavy stock crack there."""
    stock = job.guts.stock
    least = cover_rules(job.cover).score_from
    folded = job.binding in (Binding.SADDLE, Binding.SECTIONS)
    if not folded or stock.grammage is None or stock.grammage < least:
        return ()
    found = tuple(page.page for page in pages if any(_on_fold(page, i) for i in _fields(page)))
    weight = f"{float(stock.grammage):g} g/m2"
    return _one(
        "ink-on-fold",
        Severity.WARNING,
        f"ink runs over the fold on {where_text(found, plan)}; the stock of {weight} folds: "
        "the ink cracks white along it",
        "score before folding, fold with the grain, or keep the fold free of solid ink",
        found,
        plan,
        {"grammage": weight, "limit": f"{float(least):g} g/m2"},
    )


def _fields(page: SeenPage) -> list[int]:
    return [
        i
        for i, seen in enumerate(page.things)
        if seen.outline.matter in (Matter.SHAPE, Matter.PICTURE) and min(seen.size) > _FIELD
    ]


def _on_fold(page: SeenPage, index: int) -> bool:
    return page.things[index].distance("spine") <= _TOUCHES


def _one(
    code: str,
    severity: Severity,
    message: str,
    hint: str,
    pages: tuple[int, ...],
    plan: Plan,
    numbers: dict[str, str | int],
) -> tuple[Finding, ...]:
    if not pages:
        return ()
    return (
        Finding(
            severity=severity,
            code=code,
            message=message,
            hint=hint,
            file=file_of(plan, pages),
            pages=book_pages(pages, plan),
            numbers=dict(numbers),
        ),
    )
