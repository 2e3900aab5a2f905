"""The job file as tables: every value checked, every fault kept with its line.

Names of profiles and values that do not go together are judged in `resolve`,
which adds its faults to these and raises them all at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from pathlib import Path
from typing import Final

from impose.findings import Finding
from impose.geometry.box import Size
from impose.model.jobtables import JobTables
from impose.model.keylines import KeyPath
from impose.model.tomlfile import TomlFile, read_toml, validate
from impose.units import Length

CODE: Final = "job-file"
#: Stands for the file, and for a title, where a job comes from values.
VALUES: Final = "untitled"


@dataclass(frozen=True, slots=True)
class JobFile:
    """A job file as read.

    `tables` holds what is sound; `faults` what is not, in the file's order;
    `spoiled` the keys, as (table, key), that are left out of `tables` for it.
    """

    source: TomlFile
    tables: JobTables
    faults: tuple[Finding, ...]
    spoiled: frozenset[KeyPath]


def read_job_file(path: Path) -> JobFile:
    """Raises `InputError` when it cannot be read, `JobError` when it is not TOML."""
    return _checked(read_toml(path, CODE))


def read_job_values(values: Mapping[str, object], folder: Path) -> JobFile:
    """The tables of a job file as values: text, numbers, truth values, lists and mappings as in
    TOML, and besides `Path`, `Length`, `Size` and members of the model's enumerations."""
    data = {str(key): as_toml(value) for key, value in values.items()}
    return _checked(TomlFile(folder / VALUES, "", data, CODE))


def as_toml(value: object) -> object:
    """What a TOML file would have given."""
    if isinstance(value, Length):
        return _text(value)
    if isinstance(value, Size):
        return f"{_text(value.width)} x {_text(value.height)}"
    if isinstance(value, Enum):
        return as_toml(value.value)
    if isinstance(value, Path):
        return str(value)
    if isinstance(value, float):
        return Decimal(repr(value))
    if isinstance(value, Mapping):
        return {str(key): as_toml(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [as_toml(each) for each in value]
    return value


def _text(length: Length) -> str:
    """Text that is read as the same length: a grain is more than a hundred-millionth of a mm.

    Not in points, which are refused where they are taken for thousandths of an inch.
    """
    return f"{Decimal(round(length.as_mm * 10**8)).scaleb(-8):f}mm"


def _checked(source: TomlFile) -> JobFile:
    checked = validate(JobTables, source)
    tables = checked.value if checked.value is not None else JobTables()
    return JobFile(source, tables, checked.faults, checked.spoiled)
