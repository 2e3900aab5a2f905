"""The tables of paper profiles (sizes, grades, stocks) and the values they become.

Checked by pydantic when people wrote them (see `fields`).
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Annotated

from impose.model import paperreaders as on_paper
from impose.model import readers as read
from impose.model.fields import Reads, TableFault, ValueFault, table
from impose.model.job import NamedSize
from impose.model.paperreaders import Basis
from impose.model.stock import CaliperFrom, Grade, Grain, Stock, caliper_from_bulk
from impose.units import Length

Text = Annotated[str, Reads(read.text)]
Note = Annotated[str, Reads(read.any_text)]
SomeLen = Annotated[Length, Reads(read.some_length)]
Words = Annotated[tuple[str, ...], Reads(read.texts)]


@table
class SizeTable:
    """`[sizes.KEY]`: a named size, short side first."""

    name: Text
    size: Annotated[NamedSize, Reads(read.plain_size)]
    standard: Note = ""
    source: Note = ""
    aliases: Words = ()
    use: Annotated[tuple[str, ...], Reads(read.words_of(("sheet", "trim")))] = ()


@table
class GradeTable:
    """`[grades.KEY]`: a grade of paper and the sheet on which it is weighed."""

    name: Text
    width: SomeLen
    height: SomeLen
    sheets: Annotated[int, Reads(read.count_from(1))] = 500
    source: Note = ""
    aliases: Words = ()

    def value(self) -> Grade:
        return Grade(name=self.name, width=self.width, height=self.height, sheets=self.sheets)


@table
class SizesFile:
    """The whole of sizes.toml."""

    sizes: dict[str, SizeTable]


@table
class GradesFile:
    """The whole of grades.toml."""

    grades: dict[str, GradeTable]


@table
class StockFile:
    """A paper: its caliper, or the bulk and grammage from which it is reckoned."""

    kind: Annotated[str, Reads(read.word_of(("stock",)))]
    name: Text
    grammage: Annotated[Fraction | None, Reads(on_paper.grammage)] = None
    basis: Annotated[Basis | None, Reads(on_paper.basis)] = None
    caliper: Annotated[Length | None, Reads(on_paper.caliper)] = None
    bulk: Annotated[Fraction | None, Reads(on_paper.bulk)] = None
    estimate: Annotated[bool, Reads(read.truth)] = False
    spread: Annotated[Fraction, Reads(on_paper.percent)] = Fraction(0)
    caliper_source: Note = ""
    grain: Annotated[Grain | None, Reads(read.member_of(Grain))] = None
    surface: Note = ""
    use: Annotated[tuple[str, ...], Reads(read.words_of(("guts", "cover")))] = ()
    source: Note = ""

    def __post_init__(self) -> None:
        TableFault.check(self._faults())

    def _faults(self) -> Iterator[ValueFault]:
        weighed = self.grammage is not None or self.basis is not None
        if self.caliper is None and (self.bulk is None or not weighed):
            yield ValueFault(
                "the stock has no caliper, nor bulk and grammage to reckon it from",
                hint='for example caliper = "0.1mm"',
            )

    def value(self, grammage: Fraction | None) -> Stock:
        """The stock; a caliper reckoned from bulk is rounded once.

        `grammage` is the stated one or that of the basis weight.
        """
        caliper, origin = self.caliper, CaliperFrom.STATED
        if caliper is None:
            caliper = caliper_from_bulk(self.bulk or Fraction(0), grammage or Fraction(0))
            origin = CaliperFrom.BULK
        return Stock(
            name=self.name,
            caliper=caliper,
            caliper_from=CaliperFrom.ESTIMATE if self.estimate else origin,
            caliper_source=self.caliper_source,
            spread=self.spread,
            grammage=grammage,
            grain=self.grain,
            surface=self.surface,
            basis=self.basis.text if self.basis else "",
            use=self.use,
            source=self.source,
        )
