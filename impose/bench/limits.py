"""What the cutter cannot do, as findings about the steps.

With an assumed hand cutter nothing is known of its reach: such findings are
warnings then, and a thick book is only noted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from impose.bench.outline import Outline
from impose.bench.pile import Pile
from impose.findings import Finding, Severity
from impose.model.machines import Cutter
from impose.plan.cutsteps import CutStep, Part, Setting
from impose.plan.plan import Plan
from impose.units import Length, ruler_inches, ruler_mm


@dataclass(frozen=True, slots=True)
class Limits:
    """Judges steps against one cutter."""

    cutter: Cutter
    assumed: bool
    unit: str

    def of_steps(self, steps: Sequence[CutStep]) -> Iterator[Finding]:
        """Gauge, width of the knife, and narrow waste; one finding for each measure."""
        seen: set[tuple[str, int]] = set()
        for step in steps:
            if step.setting is None or step.falls is None or step.table is None:
                continue
            yield from self._gauge(step, step.setting, seen)
            yield from self._width(step, seen)
            yield from self._waste(step, step.falls, seen)

    def _gauge(
        self, step: CutStep, setting: Setting, seen: set[tuple[str, int]]
    ) -> Iterator[Finding]:
        cutter, unit, gauge = self.cutter, self.unit, setting.gauge
        if cutter.gauge_min <= gauge <= cutter.gauge_max or _again(seen, "gauge", gauge.grains):
            return
        low = gauge < cutter.gauge_min
        limit = cutter.gauge_min if low else cutter.gauge_max
        word = "smallest" if low else "largest"
        yield self._hard(
            "gauge-out-of-reach",
            f"{_named(step)} needs a gauge of {gauge.text(unit)}; the "
            f"{word} on {cutter.name} is {limit.text(unit)}, and no other edge can be used",
            "use another cutter, a larger sheet, or cut this by hand along the marks",
            gauge=gauge.text(unit),
            limit=limit.text(unit),
        )

    def _width(self, step: CutStep, seen: set[tuple[str, int]]) -> Iterator[Finding]:
        cutter, unit = self.cutter, self.unit
        width = step.table.size.width if step.table else cutter.widest
        if width <= cutter.widest or _again(seen, "width", width.grains):
            return
        yield self._hard(
            "cutter-too-narrow",
            f"{_named(step)} is {width.text(unit)} wide; "
            f"{cutter.name} cuts at most {cutter.widest.text(unit)}",
            "use a wider cutter or a smaller sheet",
            width=width.text(unit),
            limit=cutter.widest.text(unit),
        )

    def _waste(self, step: CutStep, falls: Part, seen: set[tuple[str, int]]) -> Iterator[Finding]:
        cutter, unit, strip = self.cutter, self.unit, falls.size.height
        if not falls.waste or strip >= cutter.waste_min or _again(seen, "waste", strip.grains):
            return
        yield Finding.warning(
            "waste-too-narrow",
            f"{_named(step)} takes off {strip.text(unit)}; "
            f"{cutter.name} needs at least {cutter.waste_min.text(unit)} to cut clean",
            hint="leave more paper beyond the trim (trim_off, a larger sheet) or try it on waste; "
            "a cut this narrow may also be left out, and the edge stays as it is folded",
            strip=strip.text(unit),
            limit=cutter.waste_min.text(unit),
        )

    def of_pile(self, one: Pile, what: str) -> Iterator[Finding]:
        """One book, or one sheet, must go under the clamp."""
        cutter, unit = self.cutter, self.unit
        if one.each <= cutter.clamp_opening:
            return
        height, limit = one.each.text(unit), cutter.clamp_opening.text(unit)
        if not cutter.hand:
            yield Finding.error(
                "clamp-too-low",
                f"{what} is {height} thick; the clamp of {cutter.name} opens {limit}",
                hint="use another cutter, thinner paper, or make two volumes",
                height=height,
                limit=limit,
            )
            return
        say = Finding.note if self.assumed else Finding.warning
        yield say(
            "thick-by-hand",
            f"{what} is {height} thick: with a knife and a rule that takes many light strokes, "
            f"{_by_eye(cutter.clamp_opening, unit)} or so at a time",
            hint="have the book trimmed on a guillotine, or fasten the rule and keep the knife "
            "upright",
            height=height,
            limit=limit,
        )

    def _hard(self, code: str, message: str, hint: str, **numbers: str) -> Finding:
        severity = Severity.WARNING if self.assumed else Severity.ERROR
        return Finding(severity=severity, code=code, message=message, hint=hint, numbers=numbers)


def _by_eye(length: Length, unit: str) -> str:
    """As a ruler reads it, for what need not be exact: `1/32 in`, `1 mm`."""
    reading = ruler_inches(length, 32) if unit == "in" else ruler_mm(length)
    return reading.text


def _named(step: CutStep) -> str:
    """A step as the cut list numbers it; names of piles keep their capitals."""
    return f"step {step.number} of the cut list ({step.title[:1].lower()}{step.title[1:]})"


def _again(seen: set[tuple[str, int]], what: str, grains: int) -> bool:
    """Whether this was said before; it counts as said from now on."""
    known = (what, grains) in seen
    seen.add((what, grains))
    return known


def uncut(plan: Plan, missing: Sequence[str]) -> tuple[Finding, ...]:
    """Sides with nothing to trim, unless the scheme has said so."""
    if not missing or any(finding.code == "no-cut" for finding in plan.findings):
        return ()
    sides = " and ".join(missing)
    return (
        Finding.note(
            "no-cut", f"nothing to cut at {sides}: there is no paper beyond the trim there"
        ),
    )


def ragged(plan: Plan, lay: str, outline: Outline) -> tuple[Finding, ...]:
    """Leaves that do not reach equally far at the lay edge cannot be jogged there."""
    unit = plan.unit
    by = outline.ragged(lay)
    if not by:
        return ()
    most = outline.beyond(lay)
    return (
        Finding.warning(
            "lay-differs",
            f"at the {lay}, the lay edge, some leaves reach {most.text(unit)} beyond the trim "
            f"and others {(most - by).text(unit)}: jogged there they do not lie in register",
            hint="print the short section on a sheet cut to suit, or cut the longer ones first",
            most=most.text(unit),
            least=(most - by).text(unit),
        ),
    )
