"""How a key of a TOML table becomes a value: readers pinned to the fields of plain dataclasses.

The tables of job and profile files are frozen dataclasses whose fields carry a
reader as annotation.  There is one set of readers and three ways to use it:

- pydantic validates whole files that people wrote and finds every fault at once;
- `build` makes a table that is known to be good (a built-in profile, held by
  the tests against pydantic) without importing pydantic, which takes as long
  as the rest of the start-up together;
- `read_field` reads one value that came from elsewhere, a command-line option.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, is_dataclass, replace
from functools import cache
from typing import (
    TYPE_CHECKING,
    Any,
    Final,
    TypeVar,
    dataclass_transform,
    get_args,
    get_type_hints,
)

from impose.errors import ImposeError

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema

T = TypeVar("T")
Reader = Callable[[object], object]

#: pydantic's settings of a table: a key that is not a field is a fault.
STRICT: Final[dict[str, object]] = {"extra": "forbid"}


@dataclass_transform(frozen_default=True, kw_only_default=True)
def table(kind: type[T]) -> type[T]:
    """Makes a class the table of a file: frozen, keyword-only, no key but its fields.

    It has neither equality nor a representation, which nobody needs of it:
    making them is most of what a dataclass costs at start-up.
    """
    made = dataclass(frozen=True, kw_only=True, eq=False, repr=False)(kind)
    made.__pydantic_config__ = STRICT  # type: ignore[attr-defined]
    return made


def changed(old: T, **values: object) -> T:
    """The table with some fields replaced."""
    whole: Any = old
    found: T = replace(whole, **values)
    return found


class ValueFault(ValueError):
    """One value that cannot be used; `hint` says what to write instead.

    `key` is the key of the table that is to blame when a table is at fault as
    a whole, two of its values disagreeing.
    """

    def __init__(self, message: str, hint: str = "", key: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint
        self.key = key


class TableFault(ValueError):
    """Values of one table that are fine alone and impossible together."""

    def __init__(self, faults: Iterable[ValueFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(fault.message for fault in self.faults))

    @classmethod
    def check(cls, faults: Iterable[ValueFault]) -> None:
        """Raises when there is any fault."""
        found = tuple(faults)
        if found:
            raise cls(found)


def call(reader: Reader, value: object) -> object:
    """The reader's value; every expected mistake leaves as a `ValueFault`."""
    try:
        return reader(value)
    except ImposeError as error:
        raise ValueFault(error.message, error.hint) from error


@dataclass(frozen=True, slots=True)
class Reads:
    """The field is read by `reader` alone, whatever the TOML value is."""

    reader: Reader

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        from pydantic_core import core_schema  # slow, and wanted only by pydantic itself

        return core_schema.no_info_plain_validator_function(lambda value: call(self.reader, value))


@dataclass(frozen=True, slots=True)
class Short:
    """The field is a table or a list that may be written short: a string, read by `reader`."""

    reader: Reader

    def read(self, value: object) -> object:
        """The finished value of a short form; anything else is left as it is."""
        return call(self.reader, value) if isinstance(value, str) else value

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        from pydantic_core import core_schema  # slow, and wanted only by pydantic itself

        return core_schema.no_info_before_validator_function(self.read, handler(source))


def build(table: type[T], raw: Mapping[str, object]) -> T:
    """The table from TOML values, without pydantic; stops at the first fault.

    Raises `ValueFault` for an unknown or missing key and for a bad value,
    `TableFault` for values that do not go together.
    """
    kind: type = table
    readers = _readers(kind)
    unknown = raw.keys() - readers.keys()
    if unknown:
        raise ValueFault(f"unknown key {min(unknown)}")
    values = {key: call(readers[key], value) for key, value in raw.items()}
    try:
        return table(**values)
    except TypeError as error:
        raise ValueFault(f"incomplete table: {error}") from error


def read_field(table: type, field: str, value: object) -> object:
    """One field's value, read as in a file.  Raises `ValueFault`."""
    return call(_reader(_hints(table)[field]), value)


def field_names(table: type) -> tuple[str, ...]:
    """The keys a table may have, in the order they are declared."""
    return tuple(_hints(table))


def table_of(table: type, field: str) -> type | None:
    """The table that `field` holds, alone or in a list; None when it holds a plain value."""
    return _table_in(_hints(table).get(field))


def _table_in(hint: object) -> type | None:
    if isinstance(hint, type) and _is_table(hint):
        return hint
    for part in get_args(hint):
        found = _table_in(part)
        if found is not None:
            return found
    return None


@cache
def _hints(table: type) -> dict[str, object]:
    hints = get_type_hints(table, include_extras=True)
    return {name: hint for name, hint in hints.items() if not name.startswith("__")}


@cache
def _readers(table: type) -> dict[str, Reader]:
    return {name: _reader(hint) for name, hint in _hints(table).items()}


def _reader(hint: object) -> Reader:
    for mark in getattr(hint, "__metadata__", ()):
        if isinstance(mark, Reads | Short):
            return mark.reader
    if isinstance(hint, type) and _is_table(hint):
        return lambda value: _nested(hint, value)
    raise TypeError(f"a field of type {hint} is read by pydantic alone")


def _nested(table: type[T], value: object) -> T:
    if not isinstance(value, Mapping):
        raise ValueFault("this is a table")
    return build(table, value)


def _is_table(kind: type) -> bool:
    return is_dataclass(kind) and hasattr(kind, "__pydantic_config__")
