"""The tables of holes: `[holes]` of a job file, and the files of hole patterns."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Final

from impose.geometry.box import Size
from impose.model import readers as read
from impose.model.fields import Reads, TableFault, ValueFault, table
from impose.model.holes import HELD_BY, HolePattern, HoleShape, InInches, Makes
from impose.model.job import NamedSize
from impose.units import ZERO, Length

_Text = Annotated[str, Reads(read.text)]
_Note = Annotated[str, Reads(read.any_text)]
_Len = Annotated[Length, Reads(read.length)]
_MaybeLen = Annotated[Length | None, Reads(read.some_length)]
_MaybeCount = Annotated[int | None, Reads(read.count_from(1))]
_POINT: Final = Length.mm(1)


def _share(value: object) -> Fraction:
    """A share of the height from head and from foot: "1/4"."""
    found = read.factor(value)
    if not 0 < found < Fraction(1, 2):
        raise ValueFault(f"'{value}' is no share of the height", hint='for example "1/4"')
    return found


def _places(value: object) -> tuple[Length, ...]:
    """Distances from the trimmed head, in order."""
    items = value if isinstance(value, list) else [value]
    found = tuple(read.some_length(item) for item in items)
    if not found:
        raise ValueFault("the list is empty", hint='for example at = ["30mm", "105mm", "180mm"]')
    for before, after in itertools.pairwise(found):
        if after <= before:
            raise ValueFault(
                f"{after.text('mm')} comes after {before.text('mm')}",
                hint="name the holes from the head on, each once",
            )
    return found


def hole_size(value: object) -> Size:
    """One hole: `4mm` across, or `8mm x 3mm`: along the spine x away from it."""
    written = read.text(value)
    if "x" not in written and "\N{MULTIPLICATION SIGN}" not in written:
        wide = read.some_length(written)
        return Size(wide, wide)
    return read.plain_size(written).size


@table
class HolesTable:
    """`[holes]`: a pattern, and what differs from it."""

    pattern: Annotated[str | None, Reads(read.text)] = None
    count: _MaybeCount = None
    pitch: _MaybeLen = None
    hole: Annotated[Size | None, Reads(hole_size)] = None
    at: Annotated[tuple[Length, ...], Reads(_places)] = ()
    from_spine: _MaybeLen = None
    from_head: _MaybeLen = None
    from_foot: _MaybeLen = None
    guide: Annotated[NamedSize | str | None, Reads(read.size)] = None

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        others = ("count", "pitch", "from_head", "from_foot")
        named = [key for key in others if getattr(self, key) is not None]
        if self.at and named:
            yield ValueFault(
                f"at names every hole, and {named[0]} says something else",
                hint="leave one of them out",
                key=named[0],
            )

    @property
    def said(self) -> bool:
        """Anything at all is asked for."""
        keys = ("pattern", "count", "pitch", "hole", "from_spine", "from_head", "from_foot")
        return bool(self.at) or any(getattr(self, key) is not None for key in keys)


@table
class InchesTable:
    """What is rounder in inches."""

    from_spine: _MaybeLen = None
    ends: _MaybeLen = None
    tape: _MaybeLen = None

    def value(self) -> InInches:
        return InInches(from_spine=self.from_spine, ends=self.ends, tape=self.tape)


@table
class PatternFile:
    """A pattern of holes."""

    kind: Annotated[str, Reads(read.word_of(("pattern",)))]
    name: _Text
    makes: Annotated[Makes, Reads(read.member_of(Makes))]
    shape: Annotated[HoleShape, Reads(read.member_of(HoleShape))] = HoleShape.PIERCED
    hole: Annotated[Size | None, Reads(hole_size)] = None
    from_spine: _Len = ZERO
    count: _MaybeCount = None
    pitch: _MaybeLen = None
    ends: _Len = ZERO
    ends_share: Annotated[Fraction | None, Reads(_share)] = None
    tapes: Annotated[int, Reads(read.count_from(0))] = 0
    tape: _Len = ZERO
    inches: InchesTable = InchesTable()
    held_by: Annotated[str, Reads(read.word_of(HELD_BY))] = ""
    description: _Note = ""
    source: _Note = ""

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        if self.makes.on_fold and self.from_spine:
            yield ValueFault(f"{self.makes.value} has its holes on the fold", key="from_spine")
        if not self.makes.on_fold and not self.from_spine:
            yield ValueFault(f"{self.makes.value} says how far from the spine", key="from_spine")
        if self.count is None and self.pitch is None and not self.tapes:
            yield ValueFault("say how many holes (count) or how far apart (pitch)", key="count")
        if bool(self.tapes) != bool(self.tape):
            yield ValueFault("tapes have a number (tapes) and a width (tape)", key="tape")
        if self.tapes and self.makes is not Makes.SEWN:
            yield ValueFault("tapes are for section sewing", key="tapes")
        if self.held_by and self.makes is not Makes.PUNCHED:
            yield ValueFault(f"held_by is for {Makes.PUNCHED.value}", key="held_by")
        if self.makes is Makes.FOLD and self.shape is not HoleShape.STAPLE and _even(self.count):
            yield ValueFault(
                f"{self.count} holes on a fold leave no hole in the middle for the knot",
                hint="an odd number: 3, 5, 7",
                key="count",
            )

    def value(self) -> HolePattern:
        size = self.hole or Size(_POINT, _POINT)
        return HolePattern(
            name=self.name,
            makes=self.makes,
            shape=self.shape,
            along=size.width,
            across=size.height,
            from_spine=self.from_spine,
            count=self.count,
            pitch=self.pitch,
            ends=self.ends,
            ends_share=self.ends_share,
            tapes=self.tapes,
            tape=self.tape,
            in_inches=self.inches.value(),
            held_by=self.held_by,
            description=self.description,
            source=self.source,
        )


def _even(count: int | None) -> bool:
    return count is not None and count % 2 == 0
