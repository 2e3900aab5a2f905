"""The cut program as JSON data and back; lengths in points, as in the rest of `plan.json`."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

from impose.geometry.box import Size
from impose.plan.cutsteps import (
    CutCount,
    CutFacts,
    CutStep,
    EdgeState,
    OnTable,
    ParentFacts,
    Part,
    Present,
    Setting,
    StepKind,
    Turn,
)
from impose.plan.parts import When
from impose.units import Length, points_text

Data = dict[str, Any]


def step_data(step: CutStep) -> Data:
    """A step for `plan.json`; lengths in points."""
    data: Data = {
        "number": step.number,
        "kind": step.kind.value,
        "when": step.when.value,
        "title": step.title,
        "cuts": list(step.cuts),
        "table": _table_data(step.table),
        "present": _present_data(step.present),
        "setting": _setting_data(step.setting),
        "stays": _part_data(step.stays),
        "falls": _part_data(step.falls),
        "notes": list(step.notes),
    }
    return data | {"shows": list(step.shows)} if step.shows else data


def step_of(data: Data) -> CutStep:
    """The inverse of `step_data`; fractions must have been read as decimals."""
    return CutStep(
        number=data["number"],
        kind=StepKind(data["kind"]),
        when=When(data["when"]),
        title=data["title"],
        cuts=tuple(data["cuts"]),
        table=_table_of(data["table"]),
        present=_present_of(data["present"]),
        setting=_setting_of(data["setting"]),
        stays=_part_of(data["stays"]),
        falls=_part_of(data["falls"]),
        notes=tuple(data["notes"]),
        shows=tuple(data.get("shows", ())),
    )


def facts_data(facts: CutFacts | None) -> Data | None:
    """The facts for `plan.json`; null when no cut list was made."""
    if facts is None:
        return None
    return {
        "cutter": facts.cutter,
        "hand": facts.hand,
        "assumed": facts.assumed,
        "tolerance": _pt(facts.tolerance),
        "lay": facts.lay,
        "lay_edges": list(facts.lay_edges),
        "trim_order": list(facts.trim_order),
        "order_from": facts.order_from,
        "sheets": facts.sheets,
        "overs": facts.overs,
        "parent": _parent_data(facts.parent),
        "sheet": _size(facts.sheet),
        **({"sheet_name": facts.sheet_name} if facts.sheet_name else {}),
        "pile": _pt(facts.pile),
        "waste_percent": _number(facts.waste),
        "weight_grams": None if facts.weight is None else _number(facts.weight),
        "before": _count_data(facts.before),
        "plain": _count_data(facts.plain),
        "after": _count_data(facts.after),
        "notes": list(facts.notes),
    }


def facts_of(data: Data | None) -> CutFacts | None:
    """The inverse of `facts_data`."""
    if data is None:
        return None
    weight = data["weight_grams"]
    return CutFacts(
        cutter=data["cutter"],
        hand=data["hand"],
        assumed=data["assumed"],
        tolerance=_len(data["tolerance"]),
        lay=data["lay"],
        lay_edges=tuple(data["lay_edges"]),
        trim_order=tuple(data["trim_order"]),
        order_from=data["order_from"],
        sheets=data["sheets"],
        overs=data["overs"],
        parent=_parent_of(data["parent"]),
        sheet=_size_of(data["sheet"]),
        sheet_name=data.get("sheet_name", ""),
        pile=_len(data["pile"]),
        waste=Fraction(data["waste_percent"]),
        weight=None if weight is None else Fraction(weight),
        before=CutCount(**data["before"]),
        plain=CutCount(**data["plain"]),
        after=CutCount(**data["after"]),
        notes=tuple(data["notes"]),
    )


def _parent_data(parent: ParentFacts | None) -> Data | None:
    if parent is None:
        return None
    return {
        "size": _size(parent.size),
        "sheet": _size(parent.sheet),
        "out": parent.out,
        "count": parent.count,
        "grain": parent.grain,
        "waste_percent": _number(parent.waste),
        "handling": _count_data(parent.handling),
        "plain": _count_data(parent.plain),
    }


def _parent_of(data: Data | None) -> ParentFacts | None:
    if data is None:
        return None
    return ParentFacts(
        size=_size_of(data["size"]),
        sheet=_size_of(data["sheet"]),
        out=data["out"],
        count=data["count"],
        grain=data["grain"],
        handling=CutCount(**data["handling"]),
        plain=CutCount(**data["plain"]),
    )


def _table_data(table: OnTable | None) -> Data | None:
    if table is None:
        return None
    return {
        "piles": list(table.piles),
        "count": table.count,
        "things": table.things,
        "height": _pt(table.height),
        "lifts": table.lifts,
        "size": _size(table.size),
    }


def _table_of(data: Data | None) -> OnTable | None:
    if data is None:
        return None
    return OnTable(
        piles=tuple(data["piles"]),
        count=data["count"],
        things=data["things"],
        height=_len(data["height"]),
        lifts=data["lifts"],
        size=_size_of(data["size"]),
    )


def _present_data(present: Present | None) -> Data | None:
    if present is None:
        return None
    return {
        "at_gauge": present.at_gauge,
        "state": present.state.value,
        "face_up": present.face_up,
        "turns": [turn.value for turn in present.turns],
    }


def _present_of(data: Data | None) -> Present | None:
    if data is None:
        return None
    return Present(
        at_gauge=data["at_gauge"],
        state=EdgeState(data["state"]),
        face_up=data["face_up"],
        turns=tuple(map(Turn, data["turns"])),
    )


def _setting_data(setting: Setting | None) -> Data | None:
    if setting is None:
        return None
    return {
        "gauge": _pt(setting.gauge),
        "reading": setting.reading,
        "reckoned_from": setting.reckoned_from,
        "on_marks": setting.on_marks,
    }


def _setting_of(data: Data | None) -> Setting | None:
    if data is None:
        return None
    return Setting(
        gauge=_len(data["gauge"]),
        reading=data["reading"],
        reckoned_from=data["reckoned_from"],
        on_marks=data["on_marks"],
    )


def _part_data(part: Part | None) -> Data | None:
    if part is None:
        return None
    return {"piles": list(part.piles), "size": _size(part.size), "waste": part.waste}


def _part_of(data: Data | None) -> Part | None:
    if data is None:
        return None
    return Part(piles=tuple(data["piles"]), size=_size_of(data["size"]), waste=data["waste"])


def _count_data(count: CutCount) -> Data:
    return {"strokes": count.strokes, "turns": count.turns, "settings": count.settings}


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)


def _len(number: Decimal | int) -> Length:
    return Length.points(number)


def _size(size: Size) -> list[float | int]:
    return [_pt(size.width), _pt(size.height)]


def _size_of(pair: list[Any]) -> Size:
    return Size(_len(pair[0]), _len(pair[1]))


def _number(value: Fraction) -> float | int:
    """A fraction of hundredths as a JSON number that reads back the same."""
    return value.numerator if value.denominator == 1 else float(value)
