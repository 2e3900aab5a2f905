"""Plans with a cover, made without a PDF: facts of pages are made up to measure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from benchplans import job_for, library, plan_for

from impose.bench.scores import add_scores
from impose.geometry.box import Box, Edges, Size
from impose.marks.drawing import add_marks
from impose.marks.scoremarks import add_cover_marks
from impose.model.facts import BookPage, PageFacts
from impose.model.job import Cover, CoverArt, Job, NamedSize, PagesItem
from impose.model.machines import Creaser, Creasing
from impose.plan.plan import Plan
from impose.schemes.coverplan import add_cover
from impose.units import ZERO, Length, parse_length

VALLEY = Creaser(
    name="test creaser",
    folds=Creasing.TOWARD_UPPER,
    stop_min=Length.mm(10),
    stop_max=Length.mm(700),
    widest=Length.mm(600),
    rule_width=Length.mm("0.7"),
)
BIG = NamedSize(size=Size(Length.mm(900), Length.mm(480)), name="big sheet")


def inch(text: str) -> Length:
    return parse_length(f"{text}in")


def sheet(width: str, height: str) -> NamedSize:
    return NamedSize(size=Size(parse_length(width), parse_length(height)), name="cover sheet")


def cover_job(cover: dict[str, Any] | None = None, **options: Any) -> Job:
    """A left-bound glued book of half-letter pages on letter, its cover on 12 x 18 in."""
    given: dict[str, Any] = {
        "binding": "perfect",
        "trim": "5.5in x 8.5in",
        "sheet": "letter",
        "stock": "0.1mm",
        "units": "in",
        "bench": {"creaser": VALLEY},
    }
    asked = {
        "stock": library().stock("cover-80lb"),
        "sheets": (sheet("18in", "12in"),),
    } | (cover or {})
    return replace(job_for(**(given | options)), cover=Cover(**asked))


def art_item(name: str = "art.pdf") -> PagesItem:
    return PagesItem(file=Path(name), text=name)


def art_facts(trim: Size, bleed: Length = ZERO, *, box: bool = True) -> PageFacts:
    """A page of art with bleed all round; `box` False: no TrimBox says so."""
    inner = Box.at(bleed, bleed, trim)
    media = inner.grown(Edges.all(bleed))
    return PageFacts(media=media, crop=media, trim=inner if box else None)


def covered(job: Job, pages: int = 100, art: tuple[PageFacts, ...] = ()) -> Plan:
    """The plan with marks, cover, cover marks and score list; one file a page of art."""
    plan = add_marks(plan_for(job, pages), job)
    files = tuple(f"art{number}.pdf" for number in range(1, len(art) + 1))
    book = [BookPage(index, 1, facts) for index, facts in enumerate(art, start=1)]
    plan = add_cover(replace(plan, files=(*plan.files, *files)), job, book)
    return add_scores(add_cover_marks(plan, job), job)


def with_art(**parts: bool) -> CoverArt:
    return CoverArt(**{name: art_item(f"{name}.pdf") for name, there in parts.items() if there})


def codes(plan: Plan) -> set[str]:
    return {finding.code for finding in plan.findings}
