"""All checks of one job: facts, looks and plan in, findings out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from impose.checks.coverart import check_cover_art
from impose.checks.coverholes import check_cover_holes
from impose.checks.folds import check_french_fold
from impose.checks.holes import check_holes
from impose.checks.inks import check_bar_inks, check_fonts, check_hairlines, check_spots
from impose.checks.live import bleed_to_make, check_live_matter
from impose.checks.machines import check_machine
from impose.checks.measurable import check_measurable
from impose.checks.numbering import check_numbering
from impose.checks.panelfolds import check_panel_folds
from impose.checks.papers import check_grain, check_score
from impose.checks.pictures import check_pictures
from impose.checks.pressink import (
    check_ink_on_fold,
    check_total_ink,
    check_transparency,
    check_vector_rgb,
    check_white_overprint,
)
from impose.checks.safe import SafeDistances, safe_distances
from impose.checks.sameness import check_alike, check_blank, check_looked
from impose.checks.seen import SeenPage, first_placements, see_pages
from impose.checks.spine import check_spine
from impose.checks.unprintable import check_unprintable
from impose.findings import Finding
from impose.model.facts import SourceFacts
from impose.model.job import Job
from impose.model.looks import PageLook
from impose.plan.insets import inset_views
from impose.plan.plan import Plan
from impose.units import Length


def sides_to_make(
    plan: Plan,
    job: Job,
    facts: Sequence[SourceFacts],
    looks: Sequence[PageLook],
    safe: SafeDistances | None = None,
) -> dict[int, dict[str, Length]]:
    """Where bleed must be made; see `live.bleed_to_make`."""
    safe = safe or safe_distances(job.limits)
    return bleed_to_make(plan, job, tuple(see_pages(plan, facts, looks)), safe)


def _on(view: Plan, pages: Sequence[SeenPage]) -> tuple[SeenPage, ...]:
    """The pages of one group of insets."""
    there = first_placements(view)
    return tuple(page for page in pages if page.page in there)


def check_all(
    plan: Plan,
    job: Job,
    facts: Sequence[SourceFacts],
    looks: Sequence[PageLook],
    safe: SafeDistances | None = None,
    made: Mapping[int, Mapping[str, Length]] | None = None,
) -> tuple[Finding, ...]:
    """`looks` has one look for each of `plan.pages`, in that order; `made` are the sides of
    pages whose bleed is made."""
    safe = safe or safe_distances(job.limits)
    pages = tuple(see_pages(plan, facts, looks))
    return (
        *check_live_matter(plan, job, pages, safe, made or {}),
        *check_unprintable(plan, job, looks),
        *check_measurable(plan, pages),
        *check_spine(plan, job, pages, safe),
        *check_holes(plan, job, pages, safe),
        *check_french_fold(plan, job, pages, safe),
        *(
            found
            for view in inset_views(plan)
            for found in check_french_fold(view, job, _on(view, pages), safe)
        ),
        *check_panel_folds(plan, job, pages, safe),
        *check_cover_art(plan, job, looks, safe),
        *check_cover_holes(plan, looks),
        *check_pictures(plan, job, looks),
        *check_fonts(plan, looks),
        *check_spots(plan, job, looks),
        *check_bar_inks(plan, job, looks),
        *check_hairlines(plan, job, looks),
        *check_total_ink(plan, job, looks),
        *check_vector_rgb(plan, job, looks),
        *check_white_overprint(plan, looks),
        *check_transparency(plan, looks),
        *check_ink_on_fold(plan, job, pages),
        *check_blank(plan, looks),
        *(() if plan.flat else check_alike(plan, looks)),  # cards may share their backs
        *(() if plan.flat else check_numbering(plan, looks)),
        *check_looked(plan, looks),
        *check_machine(plan, job),
        *check_grain(plan, job),
        *check_score(plan, job),
    )
