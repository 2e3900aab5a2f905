"""What the command line says of a job, laid over the tables of its file.

Values are read by the readers of the job file's own keys.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from typing import Any, Final

from impose.findings import Finding
from impose.model.fields import ValueFault, call, changed, read_field
from impose.model.jobtables import CoverTable, JobTables, pages_item
from impose.model.keylines import KeyPath

CODE: Final = "option"


@dataclass(frozen=True, slots=True, kw_only=True)
class Overrides:
    """Options as text, as the user wrote them; None and empty mean not given.

    `cover` is the file of the cover's art.  `sheet` may hold several sizes
    with commas between.
    """

    pages: tuple[str, ...] = ()
    binding: str | None = None
    trim: str | None = None
    sheet: str | None = None
    stock: str | None = None
    bound_at: str | None = None
    bleed: str | None = None
    printer: str | None = None
    spine: str | None = None
    units: str | None = None
    up: int | None = None
    copies: int | None = None
    fit: str | None = None
    flip: str | None = None
    title: str | None = None
    section_pages: int | None = None
    order: str | None = None
    grind: str | None = None
    cutter: str | None = None
    creaser: str | None = None
    binder: str | None = None
    cover: str | None = None
    date: str | None = None
    printing: str | None = None
    proof: str | None = None
    french_fold: bool | None = None
    make_bleed: str | None = None
    holes: str | None = None
    profile: str | None = None
    ready: str | None = None
    on_sheet: str | None = None
    layout: str | None = None
    fold: str | None = None
    panels: int | None = None
    tab: str | None = None
    nest: str | None = None
    work: str | None = None
    two_up: str | None = None
    passwords: tuple[str, ...] = ()


#: Where each option stands in a job file.
PLACE_OF: Final[Mapping[str, tuple[str, str]]] = {
    "pages": ("book", "pages"),
    "binding": ("book", "binding"),
    "trim": ("book", "trim"),
    "sheet": ("guts", "sheet"),
    "stock": ("guts", "stock"),
    "bound_at": ("book", "bound_at"),
    "bleed": ("book", "bleed"),
    "printer": ("guts", "printer"),
    "spine": ("cover", "spine"),
    "units": ("book", "units"),
    "up": ("guts", "up"),
    "copies": ("book", "copies"),
    "fit": ("book", "fit"),
    "flip": ("guts", "flip"),
    "title": ("book", "title"),
    "section_pages": ("guts", "section_pages"),
    "order": ("guts", "order"),
    "grind": ("guts", "grind"),
    "cutter": ("bench", "cutter"),
    "creaser": ("bench", "creaser"),
    "binder": ("bench", "binder"),
    "cover": ("cover", "art"),
    "date": ("book", "date"),
    "printing": ("guts", "printing"),
    "proof": ("book", "proof"),
    "french_fold": ("guts", "french_fold"),
    "make_bleed": ("guts", "make_bleed"),
    "holes": ("holes", "pattern"),
    "profile": ("print", "profile"),
    "ready": ("print", "ready"),
    "on_sheet": ("guts", "on_sheet"),
    "layout": ("guts", "layout"),
    "fold": ("guts", "fold"),
    "panels": ("guts", "panels"),
    "tab": ("guts", "tab"),
    "nest": ("guts", "nest"),
    "work": ("guts", "work"),
    "two_up": ("guts", "two_up"),
    "passwords": ("book", "password"),
}
_OPTION_AT: Final = {place: name for name, place in PLACE_OF.items()}


@dataclass(frozen=True, slots=True)
class Laid:
    """Tables with the options laid over them.

    `said` names the keys whose value came from an option, sound or not;
    `spoiled` those among them that could not be read.
    """

    tables: JobTables
    said: frozenset[KeyPath]
    spoiled: frozenset[KeyPath]
    faults: tuple[Finding, ...]


def lay_over(tables: JobTables, overrides: Overrides) -> Laid:
    """Each option given replaces the value of its key; all faults are kept."""
    faults: list[Finding] = []
    spoiled: set[KeyPath] = set()
    given = dict(_given(overrides))
    for name, written in given.items():
        table, key = PLACE_OF[name]
        try:
            tables = _with(tables, table, key, _read(tables, name, written))
        except ValueFault as fault:
            spoiled.add((table, key))
            faults.append(option_fault((table, key), fault.message, fault.hint))
    said = frozenset(PLACE_OF[name] for name in given)
    return Laid(tables, said, frozenset(spoiled), tuple(faults))


def option_name(path: KeyPath) -> str:
    """`--bound-at` for book.bound_at; the key's path where there is no option."""
    name = _OPTION_AT.get((str(path[0]), str(path[1]))) if len(path) > 1 else None
    if name is None:
        return ".".join(str(part) for part in path)
    if name == "pages":
        return "pages"
    return "--" + name.removesuffix("s" if name == "passwords" else "").replace("_", "-")


def option_fault(path: KeyPath, message: str, hint: str = "") -> Finding:
    """A fault of the value an option gave for a key."""
    return Finding.error(CODE, f"{option_name(path)}: {message}", hint=hint)


def _given(overrides: Overrides) -> Iterator[tuple[str, object]]:
    for item in fields(overrides):
        value = getattr(overrides, item.name)
        if value is not None and value != ():
            yield item.name, value


def _read(tables: JobTables, name: str, written: object) -> object:
    if name == "pages" and isinstance(written, tuple):
        return tuple(call(pages_item, item) for item in written)
    table, key = PLACE_OF[name]
    kind = CoverTable if table == "cover" else type(getattr(tables, table))
    return read_field(kind, key, list(written) if isinstance(written, tuple) else written)


def _with(tables: JobTables, table: str, key: str, value: object) -> JobTables:
    old: Any = getattr(tables, table)
    if old is None:
        old = CoverTable()
    return changed(tables, **{table: changed(old, **{key: value})})
