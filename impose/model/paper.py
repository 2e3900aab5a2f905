"""Which stock a job means: a profile, its own figures, a weight alone, or the one assumed.

The caliper comes, the surest first, from a measured stack, from a stated
caliper, from bulk times grammage, from a table estimate; an estimate is always
labelled and has its spread.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from impose.errors import ImposeError, UnitError
from impose.model.fields import ValueFault, changed
from impose.model.jobtables import StockTable
from impose.model.paperreaders import BASIS, GRAMMAGE, basis, bulk, caliper, decimal_text, grammage
from impose.model.profilefolders import Kind
from impose.model.profiles import Library
from impose.model.stock import CaliperFrom, Stock, caliper_from_bulk
from impose.units import Length, parse_length

#: cm3/g; the published tables of straubpublishing.com and mcgpaper.com come to
#: 1.19 to 1.47 for bond and offset of 59 to 132 gsm.
UNKNOWN_BULK: Final = Fraction("1.3")
UNKNOWN_SPREAD: Final = Fraction("0.13")
_UNKNOWN_SOURCE: Final = (
    "estimate: bulk 1.3 cm3/g, copy and offset paper being 1.19 to 1.47 in the published "
    "tables of straubpublishing.com and mcgpaper.com; spread: that range"
)
#: Trade tolerance on caliper: wausaupaper.com Shoptalk.
CALIPER_TOLERANCE: Final = Fraction(1, 20)
#: No paper is denser or looser (cm3/g; from memory: glassine about 0.7, tissue about 4).
BULK_LIMITS: Final = (Fraction("0.4"), Fraction(5))
#: Two statements of one grammage may differ by rounding: 50 lb book is 74.0 gsm, sold as 75.
_SAME_GRAMMAGE: Final = Fraction(1, 20)
_ASSUMED: Final = {"mm": "copy-80gsm", "in": "bond-20lb"}


def assumed_stock(unit: str, library: Library) -> Stock:
    """The usual copy paper where the unit is in use; its caliper counts as an estimate."""
    return replace(library.stock(_ASSUMED[unit]), caliper_from=CaliperFrom.ESTIMATE)


def stock_of(table: StockTable, library: Library) -> Stock:
    """The stock a table describes.

    Raises `ImposeError` for an unknown name or grade, `ValueFault` for
    figures that contradict each other.
    """
    if table.name is None:
        return _from_figures(table, None, library)
    if not library.has(Kind.STOCKS, table.name):
        short = _short_figures(table.name, library)
        if short is not None:
            known = _from_figures(changed(short, name=table.name), None, library)
            return _from_figures(table, known, library)
        if any((table.grammage, table.basis, table.caliper, table.stack)):
            return _from_figures(table, None, library)
    return _from_figures(table, _profile(table.name, library), library)


def _profile(name: str, library: Library) -> Stock:
    """By name; what looks like a basis weight of no known grade is said to be that."""
    try:
        return library.stock(name)
    except ImposeError:
        weight = BASIS.fullmatch(name.lower())
        if weight is None or _titled(name, library):
            raise
        library.grade(weight[2])
        raise


def _titled(name: str, library: Library) -> bool:
    """Some stock has this name, so the fault lies in its file."""
    try:
        library.path(Kind.STOCKS, name)
    except ImposeError:
        return False
    return True


def _short_figures(written: str, library: Library) -> StockTable | None:
    """`80gsm`, `80gsm bulk 1.25`, `50 lb book` or a caliper as figures; None for anything else."""
    plain = written.strip().lower()
    weighed, _, loose = plain.partition(" bulk ")
    if loose and GRAMMAGE.fullmatch(weighed.strip()):
        bulky = loose.strip().removesuffix("cm3/g").strip()
        return StockTable(grammage=grammage(weighed.strip()), bulk=bulk(f"{bulky}cm3/g"))
    if GRAMMAGE.fullmatch(plain):
        return StockTable(grammage=grammage(plain))
    weight = BASIS.fullmatch(plain)
    if weight is not None and library.has(Kind.GRADES, weight[2]):
        return StockTable(basis=basis(plain))
    try:
        parse_length(plain)
    except UnitError:
        return None
    return StockTable(caliper=caliper(plain))


@dataclass(frozen=True, slots=True)
class _Caliper:
    """A caliper, where it comes from, and how far it may be off."""

    length: Length
    origin: CaliperFrom
    source: str
    spread: Fraction


def _from_figures(table: StockTable, known: Stock | None, library: Library) -> Stock:
    """`known` with the table's figures in place of its own."""
    weight = _grammage(table, known, library)
    found = _caliper(table, known, weight)
    _check_bulk(found, weight)
    base = known or Stock(name="", caliper=found.length, caliper_from=found.origin)
    return replace(
        base,
        name=base.name or table.name or _name(table),
        caliper=found.length,
        caliper_from=found.origin,
        caliper_source=found.source,
        spread=found.spread,
        grammage=weight,
        grain=table.grain or base.grain,
        basis=table.basis.text if table.basis else base.basis,
    )


def _grammage(table: StockTable, known: Stock | None, library: Library) -> Fraction | None:
    weighed = library.weigh(table.basis) if table.basis else None
    told = [weight for weight in (table.grammage, weighed) if weight is not None]
    if known is not None and known.grammage is not None:
        told.append(known.grammage)
    for weight in told[1:]:
        if abs(weight - told[0]) > told[0] * _SAME_GRAMMAGE:
            raise ValueFault(
                f"the stock is said to be {_rounded(told[0])} gsm and {_rounded(weight)} gsm",
                hint="say one of them",
            )
    return told[0] if told else None


def _caliper(table: StockTable, known: Stock | None, weight: Fraction | None) -> _Caliper:
    if table.stack is not None and table.leaves is not None:
        each = table.stack * Fraction(1, table.leaves)
        return _Caliper(each, CaliperFrom.STACK, f"{table.leaves} leaves measured", Fraction(0))
    if table.caliper is not None:
        return _Caliper(table.caliper, CaliperFrom.STATED, "stated in the job", CALIPER_TOLERANCE)
    if table.bulk is not None and weight is not None:
        length = caliper_from_bulk(table.bulk, weight)
        return _Caliper(length, CaliperFrom.BULK, "bulk stated in the job", CALIPER_TOLERANCE)
    if known is not None:
        return _Caliper(known.caliper, known.caliper_from, known.caliper_source, known.spread)
    if weight is None:
        hint = 'for example caliper = "0.1mm", or grammage = "80gsm"'
        raise ValueFault("nothing says how thick the stock is", hint=hint)
    length = caliper_from_bulk(UNKNOWN_BULK, weight)
    return _Caliper(length, CaliperFrom.ESTIMATE, _UNKNOWN_SOURCE, UNKNOWN_SPREAD)


def _check_bulk(found: _Caliper, weight: Fraction | None) -> None:
    if weight is None:
        return
    bulk = found.length.as_mm * 1000 / weight
    least, most = BULK_LIMITS
    if not least <= bulk <= most:
        raise ValueFault(
            f"a caliper of {found.length.text('mm')} and {_rounded(weight)} gsm do not go together",
            hint=f"that is a bulk of {float(bulk):.2g} cm3/g, where paper has "
            f"{decimal_text(least)} to {decimal_text(most)}; check the units",
        )


def _name(table: StockTable) -> str:
    return " ".join(_name_parts(table)) or "stock"


def _name_parts(table: StockTable) -> Iterator[str]:
    if table.basis is not None:
        yield table.basis.text
    elif table.grammage is not None:
        yield f"{decimal_text(table.grammage)} gsm"
    elif table.caliper is not None:
        yield f"caliper {table.caliper.text('mm')}"


def _rounded(weight: Fraction) -> str:
    return decimal_text(Fraction(round(weight * 10), 10))


def caliper_text(stock: Stock, unit: str) -> str:
    """`0.106 mm, give or take 8 %`."""
    return f"{stock.caliper.text(unit)}, give or take {decimal_text(stock.spread * 100)} %"
