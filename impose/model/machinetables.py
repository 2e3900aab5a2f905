"""The tables of machine profiles, and the machines they become.

Keys are the words of the shipped files: `flips` is the edge the sheet turns
about, `marks` whether registration ink is used, `technique` what it is: an
office printer, a press with plates, a digital press.  Checked by pydantic when
people wrote them (see `fields`).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated, Final

from impose.geometry.box import Size
from impose.geometry.turning import Flip
from impose.model import readers as read
from impose.model.fields import Reads, TableFault, ValueFault, table
from impose.model.job import Binding, NamedSize
from impose.model.machines import (
    GLUE_STRIP,
    GLUE_TRAP,
    HINGE,
    TRIM_OFF,
    Binder,
    Creaser,
    Creasing,
    Cutter,
    LeadingEdge,
    Printer,
)
from impose.model.refeeding import Refeed
from impose.model.registers import Register
from impose.model.registertables import read_refeed, read_registers
from impose.units import ZERO, Length

Text = Annotated[str, Reads(read.text)]
Note = Annotated[str, Reads(read.any_text)]
Len = Annotated[Length, Reads(read.length)]
SomeLen = Annotated[Length, Reads(read.some_length)]
MaybeLen = Annotated[Length | None, Reads(read.some_length)]
MaybeSize = Annotated[NamedSize | None, Reads(read.plain_size)]
Pages = Annotated[int | None, Reads(read.count_from(1))]

_SIDES: Final = ("head", "foot", "fore-edge")
#: `press` prints with plates and holds the sheet with grippers, the others do neither.
_TECHNIQUES: Final = ("office", "press", "digital")


@table
class MarginsTable:
    """What a printer leaves blank; `left` and `right` with the leading edge at the bottom."""

    lead: Len = ZERO
    tail: Len = ZERO
    left: Len = ZERO
    right: Len = ZERO


@table
class PrinterFile:
    """An office printer, a press with plates, or a digital press."""

    kind: Annotated[str, Reads(read.word_of(("printer",)))]
    name: Text
    technique: Annotated[str, Reads(read.word_of(_TECHNIQUES))] = "office"
    sheet_min: MaybeSize = None
    sheet_max: MaybeSize = None
    leads: Annotated[LeadingEdge, Reads(read.member_of(LeadingEdge))] = LeadingEdge.SHORT
    margins: MarginsTable = MarginsTable()
    flips: Annotated[Flip | None, Reads(read.member_of(Flip))] = None
    marks: Annotated[str, Reads(read.word_of(("black", "registration")))] = "black"
    side_lay: Annotated[str, Reads(read.word_of(("left", "right")))] = ""
    bar: Len = ZERO
    image_max: MaybeSize = None
    perfects: Annotated[bool, Reads(read.truth)] = False
    stacks: Annotated[str, Reads(read.word_of(("face down", "face up")))] = "face down"
    refeed: Annotated[Refeed | None, Reads(read_refeed)] = None
    register: Annotated[tuple[Register, ...], Reads(read_registers)] = ()
    description: Note = ""
    source: Note = ""

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        if self.sheet_min is not None and self.sheet_max is not None:
            least, most = self.sheet_min.size, self.sheet_max.size
            if least.width > most.width or least.height > most.height:
                unit = self.sheet_max.unit
                yield ValueFault(
                    f"the smallest sheet, {least.text(unit)}, is larger than the largest, "
                    f"{most.text(unit)}",
                    key="sheet_min",
                )
        if self.image_max is not None and self.sheet_max is not None:
            image, most = self.image_max.size, self.sheet_max.size
            if sorted(_grains(image)) > sorted(_grains(most)):
                unit = self.sheet_max.unit
                yield ValueFault(
                    f"the largest image, {image.text(unit)}, is larger than the largest sheet, "
                    f"{most.text(unit)}",
                    key="image_max",
                )
        if self.technique != "press":
            what = "an office printer" if self.technique == "office" else "a digital press"
            for key in ("side_lay", "bar", "perfects"):
                if getattr(self, key):
                    yield ValueFault(f"{what} has no {key}", key=key)

    def value(self) -> Printer:
        return Printer(
            name=self.name,
            press=self.technique != "office",
            digital=self.technique == "digital",
            leads=self.leads,
            lead=self.margins.lead,
            tail=self.margins.tail,
            left=self.margins.left,
            right=self.margins.right,
            flip=self.flips,
            registration_ink=self.marks == "registration",
            stacks=self.stacks,
            registers=self.register,
            refeed=self.refeed,
            sheet_min=self.sheet_min.size if self.sheet_min else None,
            sheet_max=self.sheet_max.size if self.sheet_max else None,
            side_lay=self.side_lay,
            bar=self.bar,
            image_max=self.image_max.size if self.image_max else None,
            perfects=self.perfects,
            description=self.description,
            source=self.source,
        )


def _grains(size: Size) -> tuple[int, int]:
    return size.width.grains, size.height.grains


@table
class CutterFile:
    """A guillotine, or a person with a knife."""

    kind: Annotated[str, Reads(read.word_of(("cutter",)))]
    name: Text
    widest: SomeLen
    gauge_min: Len
    gauge_max: SomeLen
    clamp_opening: SomeLen
    hand: Annotated[bool, Reads(read.truth)] = False
    knife_enters: Annotated[str, Reads(read.word_of(("left", "right")))] = "left"
    tolerance: Len = ZERO
    waste_min: Len = ZERO
    trim_order: Annotated[tuple[str, ...], Reads(read.words_of(_SIDES))] = ()
    description: Note = ""
    source: Note = ""

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        yield from _in_order("gauge_min", self.gauge_min, self.gauge_max)
        if len(self.trim_order) not in (0, len(_SIDES)):
            yield ValueFault(
                f"{len(self.trim_order)} of {len(_SIDES)} cuts are named",
                hint="name head, foot and fore-edge, in the order of the cuts",
                key="trim_order",
            )

    def value(self) -> Cutter:
        return Cutter(
            name=self.name,
            widest=self.widest,
            gauge_min=self.gauge_min,
            gauge_max=self.gauge_max,
            clamp_opening=self.clamp_opening,
            knife_enters=self.knife_enters,
            tolerance=self.tolerance,
            waste_min=self.waste_min,
            trim_order=self.trim_order,
            hand=self.hand,
            description=self.description,
            source=self.source,
        )


@table
class CreaserFile:
    """A creasing machine."""

    kind: Annotated[str, Reads(read.word_of(("creaser",)))]
    name: Text
    folds: Annotated[Creasing, Reads(read.member_of(Creasing))]
    stop_min: Len
    stop_max: SomeLen
    widest: SomeLen
    score_gap_min: Len = ZERO
    channel_factor: Annotated[Fraction, Reads(read.factor)] = Fraction(3, 2)
    rule_width: Len = ZERO
    one_turn: Annotated[bool, Reads(read.truth)] = False
    description: Note = ""
    source: Note = ""

    def __post_init__(self) -> None:
        TableFault.check(_in_order("stop_min", self.stop_min, self.stop_max))

    def value(self) -> Creaser:
        return Creaser(
            name=self.name,
            folds=self.folds,
            stop_min=self.stop_min,
            stop_max=self.stop_max,
            widest=self.widest,
            score_gap_min=self.score_gap_min,
            channel_factor=self.channel_factor,
            rule_width=self.rule_width,
            one_turn=self.one_turn,
            description=self.description,
            source=self.source,
        )


@table
class BinderFile:
    """A binding machine, or a person with needle and thread."""

    kind: Annotated[str, Reads(read.word_of(("binder",)))]
    name: Text
    binding: Annotated[str, Reads(read.word_of(b.value for b in Binding))] = ""
    spine_length_min: MaybeLen = None
    spine_length_max: MaybeLen = None
    spine_min: MaybeLen = None
    spine_max: MaybeLen = None
    pages_min: Pages = None
    pages_max: Pages = None
    pile_max: MaybeLen = None
    grind: Len = ZERO
    lay: Annotated[str, Reads(read.word_of(("head", "foot")))] = "head"
    glue_trap_head: Len = GLUE_TRAP
    glue_trap_foot: Len = GLUE_TRAP
    hinge: Len = HINGE
    glue_strip: Len = GLUE_STRIP
    trim_off: Len = TRIM_OFF
    description: Note = ""
    source: Note = ""

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        yield from _in_order("spine_length_min", self.spine_length_min, self.spine_length_max)
        yield from _in_order("spine_min", self.spine_min, self.spine_max)
        if self.pages_min and self.pages_max and self.pages_min > self.pages_max:
            message = f"the fewest pages, {self.pages_min}, are more than the most, "
            yield ValueFault(f"{message}{self.pages_max}", key="pages_min")

    def value(self) -> Binder:
        return Binder(
            name=self.name,
            spine_length_min=self.spine_length_min,
            spine_length_max=self.spine_length_max,
            spine_min=self.spine_min,
            spine_max=self.spine_max,
            pages_min=self.pages_min,
            pages_max=self.pages_max,
            pile_max=self.pile_max,
            grind=self.grind,
            lay=self.lay,
            glue_trap_head=self.glue_trap_head,
            glue_trap_foot=self.glue_trap_foot,
            hinge=self.hinge,
            glue_strip=self.glue_strip,
            trim_off=self.trim_off,
            binding=self.binding,
            description=self.description,
            source=self.source,
        )


def _in_order(key: str, least: Length | None, most: Length | None) -> Iterator[ValueFault]:
    if least is not None and most is not None and least > most:
        other = key.replace("min", "max")
        yield ValueFault(
            f"{least.text('mm')} is more than {other}, {most.text('mm')}",
            hint="the limits are exchanged",
            key=key,
        )
