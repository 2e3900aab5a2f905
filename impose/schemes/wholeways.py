"""Ways of flat work and of folded panels: every sheet at hand, lying either way round.

How many items stand on a sheet, and which way each lies, is settled by the scheme itself (see
`gangs`); how a strip or a block of panels lies, by its folds.  So a way binds the job to one
sheet and leaves the rest to the scheme.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from impose.model.athand import takes
from impose.model.job import Job
from impose.model.sheetway import SheetWay
from impose.schemes.ways import Unfit, Way, WayKind


def whole_kind(job: Job) -> WayKind | None:
    """None for leaves and sections, whose ways are found by `find_ways`."""
    if job.items:
        return WayKind.STEP if len(job.items) == 1 else WayKind.GANG
    return WayKind.PANELS if job.binding.panelled else None


def find_whole_ways(job: Job) -> Iterator[Way | Unfit]:
    """Sheet by sheet in the order at hand, portrait first."""
    printer, kind = job.guts.printer, whole_kind(job)
    assert kind is not None
    for named in job.at_hand or job.guts.sheets:
        if printer is not None and not takes(printer, named.size):
            yield Unfit(name=named.name, reason=f"{printer.name} does not take it")
            continue
        upright = named.size.turned if named.size.landscape else named.size
        square = upright.width == upright.height
        for size in dict.fromkeys((upright, upright.turned)):
            lies = "" if square else " landscape" if size.landscape else " portrait"
            name = f"{named.name.removesuffix(' landscape')}{lies}, {kind.value}"
            lying = SheetWay(landscape=size.landscape)
            yield Way(
                name=name,
                kind=kind,
                sheet=named,
                lying=size,
                columns=0,
                rows=0,
                guts=replace(job.guts, sheets=(named,), way=lying),
            )
