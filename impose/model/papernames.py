"""What a paper is called: the name by which the job, or what lies at hand, knows its size."""

from __future__ import annotations

from collections.abc import Iterator

from impose.geometry.box import Size
from impose.model.job import Job
from impose.model.sizes import NamedSize


def paper_name(job: Job, size: Size) -> str:
    """`A4` for a sheet of that size, whichever way round it lies; empty where nobody named it.

    A size that was asked for by its measures has no name of its own, but may be one of the
    sheets at hand; names that are measures themselves (`12 x 18`) say nothing more.
    """
    for known in _papers(job):
        if not known.name[:1].isdigit() and size in (known.size, known.size.turned):
            return known.name.removesuffix(" landscape")
    return ""


def paper_words(name: str, measures: str) -> str:
    """`A4, 297 x 210 mm`; the measures alone where there is no name."""
    return f"{name}, {measures}" if name else measures


def _papers(job: Job) -> Iterator[NamedSize]:
    yield from job.guts.sheets
    if job.guts.parent is not None:
        yield job.guts.parent
    if job.cover is not None:
        yield from job.cover.sheets
    yield from job.at_hand
