"""A row of the cut list in words: what the page and the table of the cut list both say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from impose.bench.coverapart import parts_covers
from impose.bench.sheetsteps import COVER_SHEETS
from impose.model.job import Binding
from impose.model.papernames import paper_words
from impose.model.stock import GRAMS_PER_POUND
from impose.plan.coverfacts import CoverFacts
from impose.plan.coverpieces import CoverPieces
from impose.plan.cutsteps import (
    CutCount,
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

#: In a pound.
_OUNCES = 16
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
    falls, stays = step.falls, step.stays
    if hand and wasted_at_edge(step):
        falls, stays = stays, falls
    return Row(
        number=row.number,
        phase=row.phase,
        title=row.title,
        on_table=row.on_table,
        turn=_turn(present, known.issuperset(_laid_down(table))),
        at_stop=("measured from " if hand else "at the back stop: ") + setting.reckoned_from,
        gauge=setting.reading,
        exact=both_units(setting.gauge, unit),
        falls=_offcut(step, falls, unit) or _falls(falls, unit),
        stays=_stays(stays, unit),
        notes=row.notes,
    )


def wasted_at_edge(step: CutStep) -> bool:
    """Waste lies at the edge that is measured from, all of the good work beyond the knife: with
    a knife and a rule that strip is what falls away."""
    falls, stays = step.falls, step.stays
    return bool(stays and stays.waste and falls and not falls.waste)


def _phase(plan: Plan, step: CutStep) -> str:
    """Loose leaves are not bound: their cuts are not before anything."""
    if parts_covers(step):
        return plan.cover.before_next if plan.cover else step.when.value
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
        many = f"the {table.count} covers, {high}" if table.count > 1 else "the cover"
        return f"{many}, outside up"
    if table.things == COVER_SHEETS:
        return _covers_on_table(table, count, high)
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


def _covers_on_table(table: OnTable, count: str, high: str) -> str:
    """Sheets with several covers, or some of the covers that are apart."""
    if table.piles == (COVER_SHEETS,):
        return f"the {count}, {high}; outside up"
    each = "each in turn: " if len(table.piles) > 1 else ""
    return f"{' and '.join(table.piles)}, {each}{table.count} sheets, {high}; outside up"


def _turn(present: Present, laid_down: bool) -> str:
    if not laid_down:
        return "lay it down as drawn"
    if not present.turns:
        return "not turned"
    return ", then ".join(TURN_WORDS[turn] for turn in present.turns)


#: White paper this wide is kept for small work (from memory).
_KEPT: Final = Length.mm(100)


def _offcut(step: CutStep, part: Part | None, unit: str) -> str:
    """White paper of a parent sheet that is no waste; empty for what is."""
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
        COVER_SHEETS: "the cover sheets",
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
    lines = [] if facts.parent is None else list(_parent_lines(facts.parent, unit, facts.hand))
    lines += [
        f"{facts.sheets} sheet{'' if facts.sheets == 1 else 's'} of "
        f"{paper_words(facts.sheet_name, facts.sheet.text(unit))}, "
        f"{_short(facts.pile, unit)} high"
        f"{weight}; {float(facts.waste):.1f} % of the paper is cut off.",
    ]
    if plan.cover is not None and plan.cover.pieces is not None:
        lines.append(_covers_line(plan.cover, plan.cover.pieces, unit))
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
        lift = "" if facts.hand else " for each lift"
        lines.append(
            f"Cutting apart: {_handling(before, facts.hand)}{lift}{_against(plain, facts.hand)}."
        )
    if after.strokes:
        lines.append(f"The book: {_handling(after, facts.hand)}.")
    return (*lines, *facts.notes)


def _covers_line(cover: CoverFacts, pieces: CoverPieces, unit: str) -> str:
    """How many sheets of covers there are, and what comes first."""
    many = f"{pieces.sheets} sheet{'' if pieces.sheets == 1 else 's'} of covers"
    overs = f" (and {pieces.overs} printed for spoilage)" if pieces.overs else ""
    return (
        f"{many}{overs}, {pieces.text} on {pieces.sheet.text(unit)}: cut apart first, each "
        f"{cover.paper.text(unit)}, then {cover.next}, bound, trimmed."
    )


def _parent_lines(parent: ParentFacts, unit: str, hand: bool) -> tuple[str, ...]:
    said = [
        f"{parent.count} parent sheets of {parent.size.text(unit)}, {parent.out} out of each, "
        f"{float(parent.waste):.1f} % of them left over; {parent.grain}."
    ]
    if parent.handling.strokes:
        lift = "" if hand else " for each lift"
        said.append(
            f"Cutting the parents: {_handling(parent.handling, hand)}{lift}"
            f"{_against(parent.plain, hand)}."
        )
    return tuple(said)


def _handling(done: CutCount, hand: bool) -> str:
    """`15 cuts, the pile turned 2 times, the gauge set 9 times`; a rule has no gauge, only lines
    to measure."""
    turned = f", the pile turned {_times(done.turns)}" if done.turns else ""
    to_set = _many(done.settings, "line to measure", "lines to measure")
    if not hand:
        to_set = f"the gauge set {_times(done.settings)}"
    return f"{_many(done.strokes, 'cut', 'cuts')}{turned}, {to_set}"


def _against(plain: CutCount, hand: bool) -> str:
    """What the way of a beginner would take, to hold the order of the list against."""
    if not plain.strokes:
        return ""
    way = "Cut into strips first and then each strip by itself it would be"
    return f". {way} {_handling(plain, hand)}"


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _many(count: int, one: str, more: str) -> str:
    return f"{count} {one if count == 1 else more}"


def _weight(grams: float, unit: str) -> str:
    """Kilograms, or pounds for readers of inches; of little paper grams and ounces."""
    if unit == "in":
        pounds = grams / float(GRAMS_PER_POUND)
        return f"{pounds:.2f} lb" if pounds >= 1 else f"{pounds * _OUNCES:.1f} oz"
    return f"{grams / 1000:.2f} kg" if grams >= 1000 else f"{grams:.0f} g"
