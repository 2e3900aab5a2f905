"""Reading a TOML file that people wrote: all of its faults at once, each with its line."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Generic, TypeVar

from impose.errors import InputError, JobError
from impose.findings import Finding, Severity
from impose.model.fields import TableFault, ValueFault, field_names, table_of
from impose.model.keylines import KeyPath, key_lines, line_of

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

T = TypeVar("T")

_WHERE: Final = re.compile(r"\(at line (\d+), column \d+\)$")


@dataclass(slots=True)
class TomlFile:
    """A file as read.  `code` is the code of its findings."""

    path: Path
    text: str
    data: dict[str, Any]
    code: str
    _lines: dict[KeyPath, int] | None = field(default=None, repr=False)

    def line(self, path: KeyPath) -> int:
        """The 1-based line of a key, or of the nearest table around it."""
        if self._lines is None:
            self._lines = key_lines(self.text)
        return line_of(self._lines, path)

    def fault(self, path: KeyPath, message: str, hint: str = "") -> Finding:
        """A fault of one key; the message begins with the key's path."""
        name = dotted(path)
        return _fault(
            self.path, self.code, f"{name}: {message}" if name else message, hint, self.line(path)
        )


def read_toml(path: Path, code: str) -> TomlFile:
    """The file's values, decimal numbers exact.

    Raises `InputError` when it cannot be read, `JobError` with the line when
    it is not TOML.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(
            f"{path}: cannot be read: {error.strerror or error}",
            hint="check the name and the folder; impose start PAGES.pdf writes a job file",
        ) from error
    try:
        text = raw.decode("utf-8-sig")  # some editors put a mark before the text
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        fault = _fault(path, code, "the file is not UTF-8 text", "save it as UTF-8", line)
        raise JobError([fault]) from error
    text = text.replace("\r\n", "\n")
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise JobError([_syntax_fault(path, code, text, str(error))]) from error
    return TomlFile(path, text, data, code)


def _syntax_fault(path: Path, code: str, text: str, said: str) -> Finding:
    """The reader of Python 3.11 gives the line only inside its message."""
    match = _WHERE.search(said)
    line = int(match[1]) if match else text.count("\n") + 1
    reason = said[: match.start()].strip() if match else said
    hint = 'text and lengths stand in quotes: trim = "a5"'
    return _fault(path, code, f"this is not TOML: {reason}", hint, line)


def _fault(path: Path, code: str, message: str, hint: str, line: int) -> Finding:
    return Finding(
        severity=Severity.ERROR,
        code=code,
        message=message,
        hint=hint,
        file=str(path),
        line=line,
    )


def dotted(path: KeyPath) -> str:
    """`guts.stock.caliper`, `book.pages[2]`: places in a list count from 1, for people."""
    name = ""
    for part in path:
        name += f"[{part + 1}]" if isinstance(part, int) else f".{part}"
    return name.removeprefix(".")


@dataclass(frozen=True, slots=True)
class Checked(Generic[T]):
    """A file's tables with what is faulty left out, and the faults in the file's order.

    `spoiled` names what was left out: a table, a key of it, or an item of a
    list, in whose place stands None.  A key that a misspelled one probably
    means is left out too.  `value` is None where nothing whole remains.
    """

    value: T | None
    faults: tuple[Finding, ...]
    spoiled: frozenset[KeyPath]


def validate(kind: type[T], source: TomlFile) -> Checked[T]:
    """The file as tables of `kind`, with every fault of every key."""
    from pydantic import TypeAdapter, ValidationError  # slow: only for files people wrote

    adapter = TypeAdapter(kind)
    try:
        return Checked(adapter.validate_python(source.data), (), frozenset())
    except ValidationError as error:
        details = error.errors(include_url=False)
    faults = [fault for detail in details for fault in _findings(kind, source, detail)]
    spoiled = frozenset(path for detail in details for path in _spoiled(kind, source.data, detail))
    try:
        rest = adapter.validate_python(_without(source.data, spoiled))
    except ValidationError:
        rest = None  # a key that must be there is missing, or was the faulty one
    in_order = tuple(sorted(faults, key=lambda fault: fault.line))
    return Checked(rest, in_order, spoiled)


def _without(data: Mapping[str, Any], spoiled: frozenset[KeyPath]) -> dict[str, Any]:
    """The values without the spoiled ones; the rest is shared."""
    return {
        name: _part_without(name, value, spoiled)
        for name, value in data.items()
        if (name,) not in spoiled
    }


def _part_without(name: str, value: object, spoiled: frozenset[KeyPath]) -> object:
    if isinstance(value, dict):
        return _table_without(name, value, spoiled)
    if isinstance(value, list):
        return [None if (name, i) in spoiled else item for i, item in enumerate(value)]
    return value


def _table_without(
    name: str, table: Mapping[str, Any], spoiled: frozenset[KeyPath]
) -> dict[str, Any]:
    rest = {key: value for key, value in table.items() if (name, key) not in spoiled}
    for key, value in rest.items():
        if isinstance(value, list):
            rest[key] = [
                None if (name, key, i) in spoiled else item for i, item in enumerate(value)
            ]
    return rest


def _spoiled(kind: type, data: Mapping[str, Any], detail: ErrorDetails) -> Iterator[KeyPath]:
    """What must be left out for this fault: items of a list of a table, or whole keys."""
    for path in _blamed(detail):
        listed = len(path) > 2 and isinstance(data[str(path[0])][path[1]], list)
        yield path[:3] if listed else path[:2]
        if detail["type"] == "unexpected_keyword_argument":
            yield (_near_key(kind, path) or path)[:2]


def _blamed(detail: ErrorDetails) -> tuple[KeyPath, ...]:
    """The keys at fault; a table's own rule may blame one of its keys."""
    path: KeyPath = tuple(detail["loc"])
    error = detail.get("ctx", {}).get("error")
    if isinstance(error, TableFault):
        return tuple((*path, fault.key) if fault.key else path for fault in error.faults)
    return (path,)


def _findings(kind: type, source: TomlFile, detail: ErrorDetails) -> Iterator[Finding]:
    path: KeyPath = tuple(detail["loc"])
    error = detail.get("ctx", {}).get("error")
    if isinstance(error, TableFault):
        for fault in error.faults:
            at = (*path, fault.key) if fault.key else path
            yield source.fault(at, fault.message, fault.hint)
    elif isinstance(error, ValueFault):
        yield source.fault(path, error.message, error.hint)
    elif detail["type"] == "unexpected_keyword_argument":
        yield source.fault(path, "there is no such key", _unknown_hint(kind, path))
    else:
        message = _SAID.get(detail["type"], detail["msg"])
        yield source.fault(path, message)


_SAID: Final = {
    "missing": "this must be said",
    "dataclass_type": "this is a table with keys of its own",
    "dict_type": "this is a table with keys of its own",
    "tuple_type": "this is a list",
}


def _unknown_hint(kind: type, path: KeyPath) -> str:
    """The table where the key belongs, or the nearest key that is known, or all keys."""
    table, key = _table_at(kind, path[:-1]), str(path[-1])
    for name in field_names(kind):
        other = table_of(kind, name)
        if other is not None and other is not table and key in field_names(other):
            return f"{key} belongs in [{name}]"
    if near := _near_key(kind, path):
        return f"did you mean {dotted(near)}?"
    return f"the keys here are {', '.join(field_names(table))}"


def _near_key(kind: type, path: KeyPath) -> KeyPath | None:
    """What a misspelled key probably means."""
    from difflib import get_close_matches  # only when something is wrong

    known = field_names(_table_at(kind, path[:-1]))
    near = get_close_matches(str(path[-1]), known, 1)
    return (*path[:-1], near[0]) if near else None


def _table_at(kind: type, path: KeyPath) -> type:
    """The table that `path` leads to; places in lists and free names change nothing."""
    table = kind
    for part in path:
        if isinstance(part, str) and part in field_names(table):
            table = table_of(table, part) or table
    return table
