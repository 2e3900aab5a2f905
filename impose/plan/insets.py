"""Insets: leaves that are not made with the rest of the guts but on sheets of their own.

Fold-outs, narrow leaves, leaves of another stock, French-folded or tipped-in
ones.  Each group of them has its own sheets (role `inset 1`, `inset 2`, ...),
which are printed, cut and folded by themselves; the leaves are then put into
the gathered guts.  `inset_view` shows a group as a plan of its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from impose.model.leafkinds import LeafKind
from impose.plan.parts import Cut, Gather, Line
from impose.plan.plan import FRENCH, Plan

#: The kind of a gathering step that puts one leaf into the gathered guts.
INSET: Final = "inset"
#: What follows the id of a cut that is made on the sheets of one group alone.
_OF_GROUP: Final = ", inset "


def role_of(number: int) -> str:
    """The role of the sheets of a group, counted from 1."""
    return f"inset {number}"


def is_cover(role: str) -> bool:
    """Sheets are those of the guts, of insets, or of the cover."""
    return role == "cover"


def file_name(number: int) -> str:
    """The PDF of a group's sheets."""
    return f"inset-{number}.pdf"


def id_in_group(cut: str, number: int) -> str:
    """The id of a cut that only one group has."""
    return f"{cut}{_OF_GROUP}{number}"


def _plain_id(cut: str) -> str:
    return cut.partition(_OF_GROUP)[0]


def inset_views(plan: Plan) -> tuple[Plan, ...]:
    """Each group as a plan of its own, in order."""
    return tuple(inset_view(plan, inset.number) for inset in plan.insets)


def inset_view(plan: Plan, number: int) -> Plan:
    """One group as a plan whose guts are its leaves, one after the other.

    Cuts have their ids back, positions stay those of the whole book.
    """
    inset, role = plan.insets[number - 1], role_of(number)
    known: dict[int, tuple[Line, ...]] = {}

    def shown(lines: tuple[Line, ...]) -> tuple[Line, ...]:
        if id(lines) not in known:
            known[id(lines)] = tuple(replace(line, of=_plain_id(line.of)) for line in lines)
        return known[id(lines)]

    sheets = tuple(
        replace(sheet, role="guts", lines=shown(sheet.lines))
        for sheet in plan.sheets
        if sheet.role == role
    )
    kind = "folded" if inset.kind is LeafKind.FRENCH else "pile"
    gathering = tuple(
        Gather(kind, step.sheets, step.cell)
        for step in plan.gathering
        if step.kind == INSET and step.inset == number
    )
    used = {line.of for sheet in sheets for line in sheet.lines}
    return replace(
        plan,
        scheme=FRENCH if inset.kind is LeafKind.FRENCH else "leaves",
        trim=inset.size,
        faces=inset.leaves * 2,
        sheets=sheets,
        cuts=tuple(cut for cut in map(_plain_cut, _cuts_of(plan, number)) if cut.id in used),
        cut_steps=(),
        cut_facts=None,
        cover=None,
        score_steps=(),
        gathering=gathering,
        insets=(),
        findings=(),
    )


def _cuts_of(plan: Plan, number: int) -> tuple[Cut, ...]:
    """Those of the group alone, and those that all of the book has."""
    ending = id_in_group("", number)
    return tuple(cut for cut in plan.cuts if cut.id.endswith(ending) or _OF_GROUP not in cut.id)


def _plain_cut(cut: Cut) -> Cut:
    return replace(cut, id=_plain_id(cut.id))


def without_insets(plan: Plan) -> Plan:
    """The guts that are made together, without the leaves that are put in."""
    if not plan.insets:
        return plan
    roles = {role_of(inset.number) for inset in plan.insets}
    return replace(
        plan,
        faces=plan.faces - sum(inset.leaves * 2 for inset in plan.insets),
        sheets=tuple(sheet for sheet in plan.sheets if sheet.role not in roles),
        cuts=tuple(cut for cut in plan.cuts if _OF_GROUP not in cut.id),
        gathering=tuple(step for step in plan.gathering if step.kind != INSET),
        insets=(),
    )
