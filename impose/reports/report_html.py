"""`report.html`: one self-contained page for people who would rather look than read.

What would spoil the book comes first, then the book, the findings with their
pictures, the sheets, and what is done at the bench.  No script, no network: it
opens from disk, prints, and fits a telephone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

from impose.bench.layoutrow import Comparison
from impose.plan.coverfacts import SpineFacts
from impose.plan.plan import Plan
from impose.reports.cautions import for_holes
from impose.reports.cut_pictures import how_to_read
from impose.reports.glossary import Explainer
from impose.reports.hole_rows import hole_rows
from impose.reports.html_words import seen_words
from impose.reports.page_svg import Picture
from impose.reports.report_bench import (
    cover_drawing,
    cut_cautions,
    cut_views,
    glue_cautions,
    hole_drawing,
    measure_first,
    needle_lines,
    score_cautions,
)
from impose.reports.report_book import (
    book_figures,
    cover_figures,
    file_lines,
    paper_lines,
    printing_figures,
    verdict,
)
from impose.reports.report_findings import finding_rows, page_rows
from impose.reports.report_layouts import layouts_view
from impose.reports.report_sheets import cover_views, guts_views
from impose.reports.report_words import explained
from impose.reports.ticket_facts import score_notes
from impose.reports.ticket_rows import score_rows
from impose.schemes.oneside import BACKS

if TYPE_CHECKING:
    from jinja2 import Template

_TEMPLATES: Final = "templates"


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What the report shows besides the plan.

    `files` are the names of the other files of the run; `spine` that of a book
    without a cover; `looked`: what is on the pages was looked at;
    `layouts` those that the job left open.
    """

    pictures: tuple[Picture, ...] = ()
    files: tuple[str, ...] = ()
    spine: SpineFacts | None = None
    looked: bool = True
    layouts: Comparison | None = None


NOTHING: Final = Given()


def report_html(plan: Plan, given: Given = NOTHING) -> str:
    """The whole report.  Findings link to the pictures of their pages, and these back."""
    rows = finding_rows(plan, given.pictures)
    pages = page_rows(rows, given.pictures)
    told = [p.view.page for p in sorted(given.pictures, key=lambda p: p.worst)]
    sheets, left_out = guts_views(plan, told)
    return _template().render(
        css=_css(),
        words=Explainer(),
        plan=plan,
        verdict=verdict(rows, given.looked, plan.flat),
        figures=list(book_figures(plan, given.spine)),
        printing=list(printing_figures(plan, BACKS in given.files)),
        paper=paper_lines(plan),
        files=list(file_lines(given.files, plan.flat)),
        rows=rows,
        pages=pages,
        sheets=sheets,
        layouts=layouts_view(given.layouts, plan),
        left_out=left_out,
        names={picture.view.page: picture.view.name for picture in given.pictures},
        cover=cover_drawing(plan),
        cover_figures=list(cover_figures(plan)),
        cover_sheets=cover_views(plan, told),
        measure_first=measure_first(plan),
        scores=list(score_rows(plan.score_steps, plan.unit)),
        score_notes=list(score_notes(plan, plan.cover)),
        score_cautions=score_cautions(),
        holes=list(hole_rows(plan)),
        hole_drawing=hole_drawing(plan),
        needle=needle_lines(plan),
        hole_cautions=for_holes(plan.holes) if plan.holes else (),
        cuts=list(cut_views(plan)),
        cut_cautions=cut_cautions(plan),
        glue_cautions=glue_cautions(plan),
        how_to_read=how_to_read(plan.cut_facts.hand) if plan.cut_facts else "",
    )


def _finished(value: Any) -> Any:
    """Every word that the template writes, made harmless to look at before it is escaped."""
    return seen_words(value) if type(value) is str else value


@lru_cache(maxsize=1)
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined  # slow to import, only needed here

    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_finished,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["explained"] = explained
    return environment.from_string(_read("report.html.j2"))


def _css() -> str:
    return _read("report.css")


def _read(name: str) -> str:
    return files("impose.reports").joinpath(_TEMPLATES, name).read_text("utf-8")
