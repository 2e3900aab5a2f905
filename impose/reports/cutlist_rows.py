"""A row of the cut list in words: what the page and the table of the cut list both say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from impose.model.job import Binding
from impose.model.stock import GRAMS_PER_POUND
from impose.plan.cutsteps import (
    CutFacts,
    CutStep,
    OnTable,
    ParentFacts,
    Part,
    Present,
    StepKind,
    Turn,
)
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.reports.press_rows import lay_line
from impose.units import Length, both_units

TURN_WORDS = {
    Turn.LEFT: "quarter turn to the left (counter-clockwise)",
    Turn.RIGHT: "quarter turn to the right (clockwise)",
    Turn.HALF: "half turn",
    Turn.OVER: "turn it over, the edge at the back coming to the front",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One step in words; empty where the step has nothing to say.

    `gauge` is the reading, `exact` the length itself in both units, to their last printed place.
    """

    number: str
    phase: str
    title: str
    on_table: str = ""
    turn: str = ""
    at_stop: str = ""
    gauge: str = ""
    exact: str = ""
    falls: str = ""
    stays: str = ""
    notes: tuple[str, ...] = ()


def rows(plan: Plan) -> tuple[Row, ...]:
    """All steps in order."""
    made = []
    first: set[str] = set()  # things that have been laid down once
    for step in plan.cut_steps:
        made.append(_row(plan, step, first))
        if step.table is not None and step.kind is StepKind.CUT:
            first.update(_laid_down(step.table))
        if step.kind in (StepKind.BIND, StepKind.GATHER):
            first.discard("book")
    return tuple(made)


def _laid_down(table: OnTable) -> tuple[str, ...]:
    """What has lain on the table after a step: each pile of books by itself."""
    return table.piles if table.things == "book" else (table.things,)


def _row(plan: Plan, step: CutStep, known: set[str]) -> Row:
    row = Row(
        number=str(step.number),
        phase=_phase(plan, step),
        title=step.title,
        on_table=_on_table(step, step.table, plan.unit) if step.table else "",
        notes=step.notes,
    )
    table, present, setting = step.table, step.present, step.setting
    if step.kind is not StepKind.CUT or table is None or present is None or setting is None:
        return row
    unit, hand = plan.unit, plan.cut_facts is not None and plan.cut_facts.hand
    return Row(
        number=row.number,
        phase=row.phase,
        title=row.title,
        on_table=row.on_table,
        turn=_turn(present, known.issuperset(_laid_down(table))),
        at_stop=("measured from " if hand else "at the back stop: ") + setting.reckoned_from,
        gauge=setting.reading,
        exact=both_units(setting.gauge, unit),
        falls=_offcut(step, unit) or _falls(step.falls, unit),
        stays=_stays(step.stays, unit),
        notes=row.notes,
    )


def _phase(plan: Plan, step: CutStep) -> str:
    """Loose leaves are not bound: their cuts are not before anything."""
    loose = step.when is When.BEFORE_BINDING and Binding(plan.binding).unbound
    return "apart" if loose else step.when.value


def _on_table(step: CutStep, table: OnTable, unit: str) -> str:
    lifts = "one lift" if table.lifts == 1 else f"{table.lifts} lifts"
    plural = "s" if table.things == "book" and table.count != 1 else ""
    one = table.count == 1 and table.things.endswith("sheets")
    things = table.things.removesuffix("s") if one else table.things
    count = f"{table.count} {things}{plural}"
    high = f"{_short(table.height, unit)} high, {lifts}"
    if table.piles == ("book",) and step.present is not None:
        if step.when is When.BEFORE_BINDING:
            first = "first" if step.present.face_up == "front" else "last"
            return f"the gathered leaves, the {first} one up"
        return f"{count}, {high}; {step.present.face_up} cover up"
    if table.things == "book" and step.present is not None:  # copies that were bound as one
        each = "each in turn: " if len(table.piles) > 1 else ""
        piles = " and ".join(table.piles)
        return f"{piles}, {each}{count}, {high}; {step.present.face_up} cover up"
    if table.piles == ("cover",):
        return "the cover, outside up"
    if table.piles[0] == table.things and table.things.startswith("copies"):
        return f"the {count}, {high}; front up"
    if table.piles in (("parent sheets",), ("folded leaves",)):
        return f"the {count}, {high}"
    if table.piles == ("double books",):
        return f"the {count}, {high}; front cover of the first copy up"
    if table.piles in (("sheets",), ("whole sheets",)):
        return f"the {count}, {high}; front up"
    each = "each in turn: " if len(table.piles) > 1 else ""
    front = "" if step.when is When.BEFORE_PRINTING else "; front up"
    return f"{' and '.join(table.piles)}, {each}{count}, {high}{front}"


def _turn(present: Present, laid_down: bool) -> str:
    if not laid_down:
        return "lay it down as drawn"
    if not present.turns:
        return "not turned"
    return ", then ".join(TURN_WORDS[turn] for turn in present.turns)


#: White paper this wide is kept for small work (from memory).
_KEPT: Final = Length.mm(100)


def _offcut(step: CutStep, unit: str) -> str:
    """White paper of a parent sheet that is no waste; empty for what is."""
    part = step.falls
    if part is None or not part.waste or step.when is not When.BEFORE_PRINTING:
        return ""
    if min(part.size.width, part.size.height) < _KEPT:
        return ""
    return f"white paper, {part.size.text(unit)}: large enough to keep"


def _falls(part: Part | None, unit: str) -> str:
    if part is None:
        return ""
    if part.waste:
        return f"waste, a strip of {part.size.height.text(unit)}"
    return f"{' and '.join(part.piles)} (good work), {part.size.text(unit)}"


def _stays(part: Part | None, unit: str) -> str:
    if part is None:
        return ""
    if part.waste:
        return f"waste, {part.size.text(unit)}"
    name = {
        "book": "the book",
        "sheets": "the sheets",
        "cover": "the cover",
        "parent sheets": "the parent sheets",
        "whole sheets": "the whole sheets",
        "folded leaves": "the folded leaves",
    }
    names = " and ".join(
        name.get(pile, f"the {pile}" if pile.startswith("copies") else pile) for pile in part.piles
    )
    return f"{names}, {part.size.text(unit)}"


def _short(length: Length, unit: str) -> str:
    """A height rounded for reading: a tenth of a millimetre, a hundredth of an inch."""
    if unit == "in":
        return f"{float(length.as_inches):.2f} in"
    return f"{float(length.as_mm):.1f} mm"


# -- above the rows --------------------------------------------------------------------


def facts_lines(plan: Plan, facts: CutFacts) -> tuple[str, ...]:
    """What is said above the steps."""
    unit = plan.unit
    weight = "" if facts.weight is None else f", {_weight(float(facts.weight), unit)}"
    lines = [] if facts.parent is None else list(_parent_lines(facts.parent, unit))
    lines += [
        f"{facts.sheets} sheet{'' if facts.sheets == 1 else 's'} of {facts.sheet.text(unit)}, "
        f"{_short(facts.pile, unit)} high"
        f"{weight}; {float(facts.waste):.1f} % of the paper is cut off.",
    ]
    if printed := lay_line(plan):
        lines.append(printed)
    if facts.overs:
        lines.append(
            f"{facts.overs} more are printed for spoilage; they are not in the piles here."
        )
    if facts.trim_order:
        order = ", ".join(facts.trim_order)
        lines.append(f"The last cuts: {order} ({facts.order_from}).")
    lines.append(
        f"Cutter: {facts.cutter}{' (assumed)' if facts.assumed else ''}; it may be off by "
        f"{facts.tolerance.text(unit)}."
    )
    before, plain, after = facts.before, facts.plain, facts.after
    if before.strokes:
        against = (
            f" (rows, then each strip, would take {plain.strokes}, {plain.turns}, {plain.settings})"
            if plain.strokes
            else ""
        )
        lines.append(
            f"Cutting apart: {before.strokes} cuts, {before.turns} turns, {before.settings} "
            f"settings for each lift{against}."
        )
    if after.strokes:
        lines.append(
            f"The book: {after.strokes} cuts, {after.turns} turns, {after.settings} settings."
        )
    return (*lines, *facts.notes)


def _parent_lines(parent: ParentFacts, unit: str) -> tuple[str, ...]:
    said = [
        f"{parent.count} parent sheets of {parent.size.text(unit)}, {parent.out} out of each, "
        f"{float(parent.waste):.1f} % of them left over; {parent.grain}."
    ]
    handling, plain = parent.handling, parent.plain
    if handling.strokes:
        said.append(
            f"Cutting the parents: {handling.strokes} cuts, {handling.turns} turns, "
            f"{handling.settings} settings for each lift (rows, then each strip, would take "
            f"{plain.strokes}, {plain.turns}, {plain.settings})."
        )
    return tuple(said)


def _weight(grams: float, unit: str) -> str:
    """Kilograms, or pounds for readers of inches."""
    if unit == "in":
        return f"{grams / float(GRAMS_PER_POUND):.2f} lb"
    return f"{grams / 1000:.2f} kg"
