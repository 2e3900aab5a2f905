"""Plans with a cut program, made without a PDF."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from impose.bench.program import add_cuts
from impose.geometry.box import Box, Edges
from impose.model.facts import BookPage, PageFacts
from impose.model.job import Job
from impose.model.machines import Bench, Cutter
from impose.model.overrides import Overrides
from impose.model.profiles import Library
from impose.model.resolve import job_from_options
from impose.plan.plan import Plan
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

BLEED = Length.mm(3)


@lru_cache(maxsize=1)
def library() -> Library:
    return Library(user=Path("no such folder"))


def job_for(**options: Any) -> Job:
    """A job from options; `bench` and `guts` replace fields of those tables."""
    bench, guts = options.pop("bench", {}), options.pop("guts", {})
    given: dict[str, Any] = {"pages": ("pages.pdf",), "trim": "a5"} | options
    job = job_from_options(Overrides(**given), Path(), library())
    return replace(job, bench=replace(job.bench, **bench), guts=replace(job.guts, **guts))


def plan_for(job: Job, pages: int, bleed: Length = ZERO) -> Plan:
    """The plan of a book whose pages are of trim size with `bleed` all round."""
    assert job.trim is not None
    trim = Box.at(ZERO, ZERO, job.trim.size)
    media = trim.grown(Edges.all(bleed))
    facts = PageFacts(media=media, crop=media, trim=trim, bleed=media)
    book = [BookPage(0, number, facts) for number in range(1, pages + 1)]
    return plan_sheets(job, book, list(range(1, pages + 1)), ["pages.pdf"])


def cut_plan(pages: int, bleed: Length = ZERO, **options: Any) -> Plan:
    """A plan with its cut program."""
    job = job_for(**options)
    return add_cuts(plan_for(job, pages, bleed), job)


def with_cutter(job: Job, cutter: Cutter) -> Job:
    return replace(job, bench=Bench(cutter=cutter, binder=job.bench.binder))
