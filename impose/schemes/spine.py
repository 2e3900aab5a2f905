"""The width of the spine: thicknesses of paper x caliper, or the stack as it was measured.

A measured stack wins over the figure reckoned from the caliper; a difference of
more than a tenth is a finding that gives both.  A French-fold leaf is two
thicknesses.  The width is exact and never rounded; a ruler reading beside it
says what it is off by.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.findings import Finding
from impose.model.job import Binding, Job
from impose.model.stock import CaliperFrom, Stock
from impose.plan.coverfacts import SpineFacts, SpineFrom
from impose.plan.plan import Plan
from impose.schemes.sheetstocks import other_stocks
from impose.units import ZERO, Length, reading_text

#: Measured and reckoned width may differ by this share of the reckoned one.
DIFFERENCE: Final = Fraction(1, 10)

_ORIGIN: Final = {
    CaliperFrom.STACK: SpineFrom.STACK,
    CaliperFrom.STATED: SpineFrom.STATED,
    CaliperFrom.BULK: SpineFrom.BULK,
    CaliperFrom.ESTIMATE: SpineFrom.ESTIMATE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Others:
    """Leaves of one kind that are not of the guts' own sheets; `count` thicknesses of them."""

    count: int
    caliper: Length
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Thicknesses:
    """What lies between the covers: leaves of the book, how many of them are French-fold
    leaves, and leaves besides (end papers, tipped-in plates) of the same stock.  `others`
    are leaves of other stocks, or put in, that are not counted in `leaves`."""

    leaves: int
    french: int = 0
    extra: int = 0
    others: tuple[Others, ...] = ()

    def __post_init__(self) -> None:
        if not 0 <= self.french <= self.leaves or self.extra < 0:
            raise ValueError("French-fold leaves are some of the leaves")

    @property
    def count(self) -> int:
        """Single thicknesses of paper."""
        return self.own + sum(other.count for other in self.others)

    @property
    def own(self) -> int:
        """Those of the guts' own stock."""
        return self.leaves + self.french + self.extra

    def thick(self, caliper: Length) -> Length:
        """All together, `caliper` being that of the guts' own stock."""
        return sum((o.caliper * o.count for o in self.others), caliper * self.own)

    @property
    def text(self) -> str:
        """`64 leaves (10 of them French fold, double) + 2 extra`."""
        noun = "leaf" if self.leaves == 1 else "leaves"
        folded = f" ({self.french} of them French fold, double)" if self.french else ""
        return f"{self.leaves} {noun}{folded}" + (f" + {self.extra} extra" if self.extra else "")

    def others_text(self, unit: str) -> str:
        """` + 4 leaves put in x 0.2 mm`; empty where there are none."""
        return "".join(f" + {other.words} x {other.caliper.text(unit)}" for other in self.others)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spine:
    """The spine's facts and what is to be said about them."""

    facts: SpineFacts
    findings: tuple[Finding, ...] = ()

    @property
    def width(self) -> Length:
        return self.facts.width

    def reading(self, unit: str, parts: int = 64) -> str:
        """For a ruler divided into 1/`parts` in, or half millimetres."""
        return reading_text(self.facts.width, unit, parts)


def spine_width(
    stock: Stock,
    paper: Thicknesses,
    unit: str,
    measured: Length | None = None,
    allowance: Length | None = None,
) -> Spine:
    """The spine of `paper` in `stock`; no paper at all says that only the measured stack counts.

    `measured` is the guts' own thickness as measured, and is the width; else
    `allowance` (for cover thickness or glue) is added to the reckoned one.
    """
    reckoned = paper.thick(stock.caliper)
    more = allowance or ZERO
    facts = SpineFacts(
        width=measured if measured is not None else reckoned + more,
        origin=SpineFrom.MEASURED if measured is not None else _ORIGIN[stock.caliper_from],
        source=_source(stock, paper, unit, measured, more),
        leaves=paper.leaves,
        thicknesses=paper.count,
        caliper=stock.caliper,
        reckoned=reckoned,
        spread=reckoned * stock.spread,
        allowance=ZERO if measured is not None else more,
        measured=measured,
    )
    found = (*_difference(facts, unit), *_estimate(facts, unit))
    if measured is not None and more:
        found = (*found, _not_allowed(measured, more, unit))
    return Spine(facts=facts, findings=found)


def thicknesses_of(plan: Plan, job: Job) -> Thicknesses:
    """What lies between the covers of the planned book."""
    leaves = plan.faces // 2 - sum(inset.leaves for inset in plan.insets)
    stocks = other_stocks(plan)
    leaves -= sum(count for count, _ in stocks.values())
    french = leaves if plan.french else 0
    others = [
        Others(count=count, caliper=caliper, words=_leaves(count, f"of {name}"))
        for name, (count, caliper) in stocks.items()
    ]
    others += [
        Others(
            count=inset.thicknesses,
            caliper=inset.caliper,
            words=_leaves(inset.thicknesses, f"put in (inset {inset.number})"),
        )
        for inset in plan.insets
    ]
    return Thicknesses(leaves=leaves, french=french, extra=job.extra_leaves, others=tuple(others))


def _leaves(count: int, of: str) -> str:
    return f"{count} {'thickness' if count == 1 else 'thicknesses'} {of}"


def spine_of(plan: Plan, job: Job) -> Spine:
    """The spine of the planned guts; a cover that is folded round one section has none."""
    cover = job.cover
    stock = job.guts.stock
    paper = thicknesses_of(plan, job)
    if job.binding is Binding.SADDLE:
        facts = SpineFacts(
            width=ZERO,
            origin=SpineFrom.FOLD,
            source="folded round the section",
            leaves=paper.leaves,
            thicknesses=paper.count,
            caliper=stock.caliper,
            reckoned=paper.thick(stock.caliper),
            spread=paper.thick(stock.caliper) * stock.spread,
        )
        return Spine(facts=facts)
    measured, allowance = (cover.spine, cover.allowance) if cover else (None, None)
    return spine_width(stock, paper, job.unit, measured, allowance)


def _source(
    stock: Stock, paper: Thicknesses, unit: str, measured: Length | None, allowance: Length
) -> str:
    caliper = f"{paper.text} x {stock.caliper.text(unit)} ({_caliper_words(stock)})"
    caliper += paper.others_text(unit)
    if measured is not None and not paper.count:
        return "measured"
    if measured is not None:
        return f"measured; {caliper} would be {paper.thick(stock.caliper).text(unit)}"
    more = f" + {allowance.text(unit)} allowance for cover and glue" if allowance else ""
    return caliper + more


def _caliper_words(stock: Stock) -> str:
    if stock.estimated:
        return f"an estimate, give or take {float(stock.spread):.0%}"
    return stock.caliper_from.value


def _difference(facts: SpineFacts, unit: str) -> tuple[Finding, ...]:
    off = facts.off
    if off is None or facts.measured is None or abs(off) <= facts.reckoned * DIFFERENCE:
        return ()
    measured, reckoned = facts.measured.text(unit), facts.reckoned.text(unit)
    share = f", {float(off.ratio(facts.reckoned)):+.0%}" if facts.reckoned else ""
    return (
        Finding.warning(
            "spine-differs",
            f"the spine measures {measured}; {facts.thicknesses} thicknesses of "
            f"{facts.caliper.text(unit)} make {reckoned}{share}",
            hint="the measured width is used: make sure that it is the whole guts, pressed as "
            "for binding, and that stock and page count are right",
            measured=measured,
            reckoned=reckoned,
        ),
    )


def _not_allowed(measured: Length, allowance: Length, unit: str) -> Finding:
    return Finding.note(
        "spine-allowance",
        f"the allowance of {allowance.text(unit)} for cover and glue is not added to the measured "
        f"{measured.text(unit)}",
        hint="measure with the cover round the guts, or write the sum: "
        'spine = "measured 3/8in + 1/32in"',
        allowance=allowance.text(unit),
        measured=measured.text(unit),
    )


def _estimate(facts: SpineFacts, unit: str) -> tuple[Finding, ...]:
    if not facts.estimated:
        return ()
    width, spread = facts.width.text(unit), facts.spread.text(unit)
    return (
        Finding.note(
            "spine-estimated",
            f"the spine of {width} is an estimate from a table, give or take {spread}",
            hint='measure the guts before the cover is printed: spine = "measured ..."',
            width=width,
            spread=spread,
        ),
    )
