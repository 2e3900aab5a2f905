"""Which holes a job has: as its table says, else those that its binding cannot do without."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from impose.findings import Finding
from impose.model.asked import Asked
from impose.model.holes import HolePattern, Holes, HoleShape, Makes
from impose.model.holetables import HolesTable
from impose.model.job import Binding
from impose.model.machines import Binder
from impose.units import Length

#: What is taken where the job names no pattern (four holes are usual: JAANUS, fukurotoji;
#: wire at three to the inch: common practice; sections: from memory).
USUAL: Final = {
    Binding.STAB: "stab-4",
    Binding.PUNCHED: "wire-3-1",
    Binding.SADDLE: "pamphlet-3",
    Binding.SECTIONS: "sewn-5",
}
_PATH: Final = ("holes", "pattern")


def holes_of(
    asked: Asked,
    binding: Binding | None,
    binder: Binder | None,
    unit: str,
    notes: list[Finding],
) -> Holes | None:
    """None where the book has no holes: glued, stapled by a machine, or loose.

    Sections are sewn when the job says holes, or when its binder makes sections
    and nothing else.  `unit` is that of the job.  Faults are noted at their keys.
    """
    table = asked.tables.holes
    if binding is None or not asked.sound(("holes",)):
        return None
    if not table.said and not _needs(binding, binder):
        return None
    if binding not in USUAL:
        key = _first_said(table)
        asked.fault(
            ("holes", key),
            f"{binding.value} books have no holes",
            'choose binding = "stab", "punched", "saddle" or "sections", or leave the holes out',
        )
        return None
    name = table.pattern or USUAL[binding]
    pattern = asked.look_up(_PATH, lambda: asked.profiles.pattern(name))
    if pattern is None:
        return None
    if pattern.makes.binding is not binding:
        asked.fault(
            _PATH,
            f"{pattern.name} is {pattern.makes.value}, for {pattern.makes.binding.value} books; "
            f"binding is {binding.value}",
            f"the usual pattern for {binding.value} is {USUAL[binding]}",
        )
        return None
    if table.pattern is None:
        notes.append(_assumed(pattern, name))
    return _laid_over(asked, table, pattern.in_unit(unit))


def _needs(binding: Binding, binder: Binder | None) -> bool:
    if binding in (Binding.STAB, Binding.PUNCHED):
        return True
    return binding is Binding.SECTIONS and binder is not None and binder.binding == binding.value


def _first_said(table: HolesTable) -> str:
    keys = ("pattern", "at", "count", "pitch", "hole", "from_spine", "from_head", "from_foot")
    return next(key for key in keys if getattr(table, key) not in (None, ()))


def _assumed(pattern: HolePattern, name: str) -> Finding:
    return Finding.note(
        "holes-assumed",
        f"no pattern of holes is named: {pattern.name} is taken ({name})",
        hint="name one: pattern in [holes], or --holes; impose profiles list patterns",
    )


def _laid_over(asked: Asked, table: HolesTable, pattern: HolePattern) -> Holes:
    """The pattern with what the job says otherwise."""
    changes: dict[str, object] = {}
    if table.count is not None:
        changes |= {"count": table.count, "tapes": 0}
    if table.pitch is not None:
        changes |= {"pitch": table.pitch, "count": table.count}
    if table.at:
        changes |= {"pitch": None, "count": len(table.at), "tapes": 0}
    if table.hole is not None:
        changes |= {"along": table.hole.width, "across": table.hole.height}
    if table.from_spine is not None:
        changes["from_spine"] = table.from_spine
    _refuse(asked, table, pattern, len(table.at) or table.count)
    pattern = replace(pattern, **changes)  # type: ignore[arg-type]
    guide = asked.size(("holes", "guide"), table.guide) if table.guide is not None else None
    return Holes(
        pattern=pattern,
        at=table.at,
        from_head=table.from_head,
        from_foot=table.from_foot,
        guide=guide,
    )


def _refuse(asked: Asked, table: HolesTable, pattern: HolePattern, count: int | None) -> None:
    """Values that are fine alone and make no book with this pattern."""
    makes, key = pattern.makes, "at" if table.at else "count"
    if makes.on_fold and table.from_spine is not None:
        asked.fault(
            ("holes", "from_spine"),
            f"from_spine is {_text(asked, table.from_spine)}, and {pattern.name} has its holes "
            "on the fold",
            "leave it out",
        )
    threaded = pattern.shape is not HoleShape.STAPLE
    if makes in (Makes.FOLD, Makes.SIDE) and threaded and count is not None and count % 2 == 0:
        asked.fault(
            ("holes", key),
            f"{count} holes: {makes.value} needs one in the middle for the knot",
            "an odd number: 3, 5, 7",
        )
    least = {Makes.FOLD: 3, Makes.SIDE: 3, Makes.STAB: 3, Makes.SEWN: 3}.get(makes, 1)
    if threaded and count is not None and count < least:
        asked.fault(
            ("holes", key),
            f"{count} holes are too few for {makes.value}; the least is {least}",
            "name more, or another pattern",
        )
    if makes is Makes.SEWN and asked.tables.guts.grind:
        asked.fault(
            ("holes", "pattern"),
            f"the sections are sewn, and grind is {_text(asked, asked.tables.guts.grind)}: the "
            "knife at the spine would cut the thread",
            "leave the grind out, or leave the holes out and glue the book",
        )


def _text(asked: Asked, length: Length) -> str:
    return length.text(asked.tables.book.units or "mm")
