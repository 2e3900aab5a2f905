"""The tables of a job file that say how the shop works: marks, checks, machines."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated

from impose.model import readers as read
from impose.model.checklimits import USUAL_LIMITS
from impose.model.fields import Reads, TableFault, ValueFault, table
from impose.model.inkreader import tint_shares
from impose.model.job import MarkSettings
from impose.units import Length

MaybeText = Annotated[str | None, Reads(read.text)]
MaybeLen = Annotated[Length | None, Reads(read.length)]
MaybeSomeLen = Annotated[Length | None, Reads(read.some_length)]


@table
class MarksTable:
    """`[marks]`; an empty list shows none."""

    show: Annotated[tuple[str, ...] | None, Reads(read.words_of(sorted(MarkSettings().kinds)))] = (
        None
    )
    length: MaybeSomeLen = None
    offset: MaybeLen = None
    weight: MaybeSomeLen = None
    target: MaybeSomeLen = None
    step: MaybeSomeLen = None
    step_width: MaybeSomeLen = None
    bar_height: MaybeSomeLen = None
    patch: MaybeSomeLen = None
    tints: Annotated[tuple[Fraction, ...] | None, Reads(tint_shares)] = None
    inks: Annotated[tuple[str, ...], Reads(read.texts)] = ()
    guide: MaybeSomeLen = None


def _percent(value: object) -> Fraction:
    """A share from text in per cent: `300%`."""
    written = read.text(value).strip()
    if not re.fullmatch(read.NUMBER + r"\s*%", written):
        raise ValueFault(f"'{value}' is not a share", hint='for example "300%"')
    share = Fraction(written.rstrip("% ")) / 100
    if not 1 <= share <= 4:
        raise ValueFault(f"'{value}': four inks make 100 % to 400 %")
    return share


@table
class ChecksTable:
    """`[checks]`: `safe` is for head, foot and fore-edge; those named alone win over it."""

    safe: MaybeLen = None
    safe_head: MaybeLen = None
    safe_foot: MaybeLen = None
    safe_fore_edge: MaybeLen = None
    safe_spine: MaybeLen = None
    resolution: Annotated[int | None, Reads(read.count_from(1))] = None
    resolution_least: Annotated[int | None, Reads(read.count_from(1))] = None
    resolution_line_art: Annotated[int | None, Reads(read.count_from(1))] = None
    hairline: MaybeLen = None
    total_ink: Annotated[Fraction | None, Reads(_percent)] = None

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        soft = self.resolution or USUAL_LIMITS.soft
        coarse = self.resolution_least or USUAL_LIMITS.coarse
        if coarse > soft:
            yield ValueFault(
                f"resolution_least is {coarse}, more than resolution, {soft}",
                hint="the first is the stronger warning, for fewer dots",
                key="resolution_least",
            )


@table
class BenchTable:
    """`[bench]`: names of profiles."""

    cutter: MaybeText = None
    creaser: MaybeText = None
    binder: MaybeText = None
