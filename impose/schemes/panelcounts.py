"""How many pages a piece of folded panels takes: refused before their sizes are looked at."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from impose.errors import JobError
from impose.model.job import Binding, Job
from impose.schemes.draft import refuse
from impose.schemes.leafletfolds import panels_of
from impose.schemes.panelgrid import BOOKLET

_CODE: Final = "too-many-pages"


def refuse_too_many(job: Job, given: int) -> None:
    """`given`: pages and blanks of the job.  Raises JobError with what the paper has room for;
    says nothing of other bindings."""
    fault = _FAULTS.get(job.binding, _none)(job, given)
    if fault is not None:
        raise fault


def _none(job: Job, given: int) -> JobError | None:
    return None


def _one_sheet(job: Job, given: int) -> JobError | None:
    side = BOOKLET.columns * BOOKLET.rows
    if given <= side * 2:
        return None
    return refuse(
        _CODE,
        f"one sheet has {side} pages on a side, {side * 2} in all; the job has {given}",
        'leave pages out, or make a stapled booklet: binding = "saddle"',
    )


def _concertina(job: Job, given: int) -> JobError | None:
    panels = job.guts.panel.panels
    if panels is None or given <= panels * 2:
        return None
    return refuse(
        _CODE,
        f"a concertina of {panels} panels has {panels * 2} faces; the job has {given} pages",
        f"give at least {-(-given // 2)} panels",
    )


def _leaflet(job: Job, given: int) -> JobError | None:
    fold = job.guts.panel.fold
    if fold is None or given <= panels_of(fold) * 2:
        return None
    return refuse(
        _CODE,
        f"a {fold.value} fold has {panels_of(fold) * 2} panels, both sides counted; the job has "
        f"{given} pages",
        'leave pages out, or choose another fold; a "concertina" has as many panels as pages',
    )


_FAULTS: Final[Mapping[Binding, Callable[[Job, int], JobError | None]]] = {
    Binding.ONE_SHEET: _one_sheet,
    Binding.CONCERTINA: _concertina,
    Binding.LEAFLET: _leaflet,
}
