"""What layouts are compared for: the job and its pages, before any sheet is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from impose.model.facts import BookPage
from impose.model.job import Job, MakeBleed
from impose.schemes.draft import USUAL_BLEED, Asked
from impose.schemes.fitting import fit_pages
from impose.schemes.planning import trim_of


def comparable(job: Job, pages: Sequence[BookPage], faces: Sequence[int | None]) -> Asked:
    """As `plan_sheets` asks its schemes.

    Whether bleed will be made is only known when the pages are looked at, so room is kept
    for it wherever the job would make it.  Raises JobError for pages that are not of trim
    size.
    """
    trim, _ = trim_of(job, pages)
    fits, _ = fit_pages(pages, trim, job.fit, job.tolerance, job.unit)
    guts = job.guts
    if guts.bleed is None and guts.make_bleed is not MakeBleed.AS_SUPPLIED:
        job = replace(job, guts=replace(guts, bleed=USUAL_BLEED))
    return Asked(job=job, trim=trim, fits=fits, faces=tuple(faces))
