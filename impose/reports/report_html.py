"""`report.html`: one self-contained page for people who would rather look than read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING

from impose.findings import Finding, Severity, page_ranges, worst_first
from impose.geometry.turning import Flip
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.reports.page_svg import Picture, page_svg
from impose.reports.sheet_svg import side_svg
from impose.units import Length, both_units

if TYPE_CHECKING:
    from jinja2 import Template

#: More sheets than this are not drawn one by one: the report shows what matters.
SHEETS_DRAWN = 12
#: The live area drawn on a page (1/8 in inside the trim: the checks' own default).
SAFE = Length.inches("1/8")
#: So many pages are pictured at the most, so that the file stays small.
PICTURES = 40
_WORDS = {Severity.ERROR: "Spoils the book", Severity.WARNING: "Look at it", Severity.NOTE: "Note"}


@dataclass(frozen=True, slots=True)
class _Row:
    finding: Finding
    word: str
    pages: str
    pictures: tuple[Picture, ...]


def report_html(plan: Plan, pictures: Mapping[int, Picture] | None = None) -> str:
    """The whole report.  `pictures` by source page; findings link to those of their pages."""
    shown = dict(pictures or {})
    rows = [
        _Row(
            finding,
            _WORDS[finding.severity],
            page_ranges(finding.pages),
            tuple(shown[page] for page in finding.pages if page in shown)[:6],
        )
        for finding in worst_first(plan.findings)
    ]
    spoiled = [row for row in rows if row.finding.severity is Severity.ERROR]
    return _template().render(
        plan=plan,
        rows=rows,
        spoiled=spoiled,
        figures=_figures(plan),
        sheets=[
            (sheet, side_svg(sheet, "front"), side_svg(sheet, "back")) for sheet in _chosen(plan)
        ],
        left_out=len(plan.sheets) - len(_chosen(plan)),
        pictures=[(shown[page], page_svg(shown[page], SAFE)) for page in sorted(shown)],
    )


def _figures(plan: Plan) -> list[tuple[str, str]]:
    """What a person asks first, in the job's unit with the other beside it."""
    unit, trim = plan.unit, plan.trim
    guts = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    figures = [
        ("Trim size", f"{both_units(trim.width, unit)} across, {both_units(trim.height, unit)} up"),
        ("Binding", f"{plan.binding}, bound at {plan.bound_at.value}"),
        ("Pages", f"{plan.faces} ({plan.faces // 2} leaves), {len(plan.pages)} of them supplied"),
    ]
    if guts:
        sheet = guts[0]
        flip = Flip.that_gives(sheet.turned, sheet.size).value
        figures += [
            ("Sheets", f"{len(guts)} of {sheet.size.text(unit)}"),
            ("Printing", f"both sides at actual size (100 %), turned over on the {flip}"),
        ]
    if plan.grind:
        figures.append(("Grind at the spine", both_units(plan.grind, unit)))
    if plan.creep.total:
        words = f"{both_units(plan.creep.total, unit)} at the innermost leaf"
        figures.append(("Creep", f"{words} ({plan.creep.source})"))
    return figures


def _chosen(plan: Plan) -> Sequence[Sheet]:
    """All sheets when they are few, else the first and the last ones."""
    if len(plan.sheets) <= SHEETS_DRAWN:
        return plan.sheets
    half = SHEETS_DRAWN // 2
    return (*plan.sheets[:half], *plan.sheets[-half:])


@lru_cache(maxsize=1)
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined  # slow to import, only needed here

    environment = Environment(autoescape=True, undefined=StrictUndefined)
    text = files("impose.reports").joinpath("templates/report.html.j2").read_text("utf-8")
    return environment.from_string(text)
