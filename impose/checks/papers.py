"""Paper against folding and binding: grain across the spine, stock that needs a score.

Text and cover want the grain parallel to the spine (bindagraphics.com,
bindtechinc.com, pugetbindery.com).  Score stock from 150 g/m2 up (condat-pap.com).
On every sheet of the plan spines run up the sheet, as it lies in the file.
"""

from __future__ import annotations

from impose.bench.parent import grain_on_sheet
from impose.findings import Finding, Severity
from impose.model.job import Binding, Job
from impose.model.stock import Grain, Stock
from impose.plan.plan import Plan
from impose.schemes.coverrules import cover_rules


def check_grain(plan: Plan, job: Job) -> tuple[Finding, ...]:
    """Glued books warp and crack with the grain across; folded ones fold rough."""
    sheet = next((sheet for sheet in plan.sheets if sheet.role == "guts"), None)
    if sheet is None or job.binding.unbound:
        return ()
    grain = grain_on_sheet(plan, job)
    if grain is None:
        return ()
    if sheet.size.width == sheet.size.height:
        return ()
    along_spine = (grain is Grain.LONG) != sheet.size.landscape
    if along_spine:
        return ()
    glued = job.binding is Binding.PERFECT
    severity = Severity.WARNING if glued else Severity.NOTE
    harm = "the book will not lie flat and pages may crack loose" if glued else (
        "leaves open stiffly and folds are rough"
    )  # fmt: skip
    return (
        Finding(
            severity=severity,
            code="grain-across",
            message=f"the grain of {job.guts.stock.name} runs across the spine on sheets of "
            f"{sheet.size.text(job.unit)}: {harm}",
            hint="buy or cut the sheets with the grain the other way",
            numbers={"grain": grain.value},
        ),
    )


def check_score(plan: Plan, job: Job) -> tuple[Finding, ...]:
    """Folds of heavy stock, in the guts or a saddle cover, want a score first."""
    found: list[Finding] = []
    if any(sheet.folds for sheet in plan.sheets if sheet.role == "guts"):
        found.extend(_score(job.guts.stock, "the guts", job))
    cover = job.cover
    scored = plan.cover is not None and plan.cover.scored  # the score list has its score
    if job.binding is Binding.SADDLE and cover is not None and cover.separate and not scored:
        found.extend(_score(cover.stock or job.guts.stock, "the cover", job))
    return tuple(found)


def _score(stock: Stock, what: str, job: Job) -> tuple[Finding, ...]:
    weight = stock.grammage
    least = cover_rules(job.cover).score_from
    if weight is None or weight < least:
        return ()
    creaser = job.bench.creaser
    told = f"{float(weight):.0f} g/m2"
    return (
        Finding(
            severity=Severity.WARNING if creaser is None else Severity.NOTE,
            code="score-needed",
            message=f"{what} of {stock.name} ({told}) folds: stock from {float(least):g} g/m2 up "
            "cracks unless it is scored first",
            hint="score it before folding"
            + ("" if creaser else ", or name the creaser of the bench in the job"),
            numbers={"grammage": told, "limit": f"{float(least):g} g/m2"},
        ),
    )
