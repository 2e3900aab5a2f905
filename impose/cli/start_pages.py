"""What `impose start` sees in the pages: how many, how large, what runs to the edge."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Final

from impose.errors import ImposeError
from impose.geometry.box import Box, Size
from impose.model.job import FitMode, Job
from impose.model.looks import Matter, PageLook
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_options
from impose.pdf.look import look_at
from impose.pdf.prepare import opened
from impose.plan.plan import PageFit
from impose.schemes.fitting import Fitting, fit_pages, page_size
from impose.schemes.leaves import expand_pages
from impose.units import Length

#: Nearer than this to the edge of the page is at it.
_AT_EDGE: Final = Length.mm("0.5")
_SPREAD: Final = (Fraction(5, 4), Fraction(9, 5))


@dataclass(frozen=True, slots=True, kw_only=True)
class PagesSeen:
    """The pages of the book as they are supplied.

    `size` is that of most pages, `others` counts those of another.  `at_edge` are pages
    with a picture or colour that reaches the edge, `no_bleed` those of them that have none
    beyond it.  `wide`: as wide as two pages beside each other.
    """

    files: tuple[Path, ...]
    count: int
    size: Size
    others: int
    at_edge: tuple[int, ...]
    no_bleed: tuple[int, ...]
    wide: bool


def see(files: tuple[Path, ...], spreads: str) -> PagesSeen:
    """Opens and looks; `spreads` as in a job file.  Raises ImposeError for what cannot be read."""
    for file in files:
        if not file.exists():
            raise ImposeError(
                f"{file} is not there", hint="check the name; the folder is the one you are in"
            )
    job = _job(files, spreads)
    with opened(job) as (ready, sources):
        names = [str(path) for path in dict.fromkeys(
            item.file for item in ready.job.pages if item.file is not None)]  # fmt: skip
        pages, _ = expand_pages(ready.job.pages, names, sources.facts)
        sizes = Counter(page_size(page.facts, job.tolerance) for page in pages)
        size, most = sizes.most_common(1)[0]
        alike = sum(n for one, n in sizes.items() if one.near(size, job.tolerance))
        fits, _ = fit_pages(
            pages, Fitting(trim=size, mode=FitMode.CENTRE, tolerance=job.tolerance, unit="mm")
        )
        looks = look_at(
            sources.readable,
            [(fit.file, fit.number) for fit in fits],
            trims=[fit.box for fit in fits],
        )
    at_edge = list(_at_edge(fits, looks))
    return PagesSeen(
        files=files,
        count=len(pages),
        size=size,
        others=len(pages) - max(alike, most),
        at_edge=tuple(at_edge),
        no_bleed=tuple(page for page in at_edge if not _has_bleed(fits[page - 1])),
        wide=_SPREAD[0] <= size.width.ratio(size.height) <= _SPREAD[1] and len(pages) > 1,
    )


def _job(files: tuple[Path, ...], spreads: str) -> Job:
    job = job_from_options(
        Overrides(pages=tuple(str(file) for file in files), binding="loose"), Path()
    )
    items = tuple(
        replace(item, file=file, ranges=(), spreads=spreads, text=str(file))
        for item, file in zip(job.pages, files, strict=True)
    )
    return replace(job, pages=items, findings=())


def _at_edge(fits: Sequence[PageFit], looks: Sequence[PageLook]) -> Iterator[int]:
    for number, (fit, look) in enumerate(zip(fits, looks, strict=True), start=1):
        boxes = (o.box for o in look.outlines if o.matter in (Matter.PICTURE, Matter.SHAPE))
        if any(_reaches(box, fit.box) for box in boxes):
            yield number


def _has_bleed(fit: PageFit) -> bool:
    supplied = fit.supplied
    ends = (supplied.left, supplied.right, supplied.bottom, supplied.top)
    return min(ends) >= _AT_EDGE


def _reaches(box: Box, page: Box) -> bool:
    ends = (
        box.x0 - page.x0, page.x1 - box.x1, box.y0 - page.y0, page.y1 - box.y1,
    )  # fmt: skip
    return any(end <= _AT_EDGE for end in ends)
