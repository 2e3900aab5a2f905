"""The pictures of the report: pages chosen, looked up on the sheets, taken by the pdf layer."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from impose.checks.live import cut_sides
from impose.checks.safe import safe_distances
from impose.findings import worst_first
from impose.geometry.box import Box, Size
from impose.model.facts import SourceFacts
from impose.model.job import Job
from impose.pdf.pagepictures import Part, Shot, page_pictures
from impose.plan.plan import Plan
from impose.reports.page_choice import choose_pages
from impose.reports.page_svg import Picture
from impose.reports.page_views import PageView, viewer
from impose.units import ZERO

#: Letters of picture data at the most: the report stays under 10 MB whatever the pages hold.
BUDGET: Final = 7_000_000


def report_pictures(
    plan: Plan, job: Job, facts: Sequence[SourceFacts], paths: Sequence[Path]
) -> tuple[Picture, ...]:
    """In reading order; `paths` are the input files that `plan.pages` counts."""
    chosen = choose_pages(worst_first(plan.findings), len(plan.pages))
    if not chosen:
        return ()
    look = viewer(plan, job, safe_distances(job.limits), cut_sides(plan, job))
    views = []
    for one in chosen:
        fit = plan.pages[one.page - 1]
        views.append(look.view(one, facts[fit.file].pages[fit.number - 1]))
    shots = [_shots(plan, view) for view in views]
    wanted = list(dict.fromkeys(shot for ones in shots for shot in ones if shot is not None))
    taken = page_pictures(paths, wanted, job.passwords)
    pictures = []
    for view, (whole, *close) in zip(views, shots, strict=True):
        if whole is not None and whole in taken:
            near = tuple(taken.get(shot, "") if shot else "" for shot in close)
            pictures.append(Picture(view=view, data=taken[whole], close=near))
    return within_budget(pictures)


def _shots(plan: Plan, view: PageView) -> list[Shot | None]:
    """The whole page, then what each of its views points at."""
    fit = plan.pages[view.page - 1]
    page = Box.at(ZERO, ZERO, view.size)
    found: list[Shot | None] = [Shot(fit.file, fit.number)]
    for one in view.views:
        part = None if one.window is None else one.window.meet(page)
        seen = part is not None and not part.empty
        found.append(Shot(fit.file, fit.number, _part(part, view.size)) if seen and part else None)
    return found


def _part(box: Box, size: Size) -> Part:
    return Part(
        box.x0.ratio(size.width),
        box.y0.ratio(size.height),
        box.x1.ratio(size.width),
        box.y1.ratio(size.height),
    )


def within_budget(pictures: Sequence[Picture]) -> tuple[Picture, ...]:
    """The pages of the worst findings first, as many as there is room for, in reading order."""
    kept, used = [], 0
    for picture in sorted(pictures, key=lambda p: p.worst):
        used += len(picture.data) + sum(map(len, picture.close))
        if used > BUDGET:
            break
        kept.append(picture)
    return tuple(sorted(kept, key=lambda p: p.view.page))
