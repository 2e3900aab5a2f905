"""The job file as tables: every value checked, every fault kept with its line.

Names of profiles and values that do not go together are judged in `resolve`,
which adds its faults to these and raises them all at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from impose.findings import Finding
from impose.model.jobtables import JobTables
from impose.model.keylines import KeyPath
from impose.model.tomlfile import TomlFile, read_toml, validate

CODE: Final = "job-file"


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
    source = read_toml(path, CODE)
    checked = validate(JobTables, source)
    tables = checked.value if checked.value is not None else JobTables()
    return JobFile(source, tables, checked.faults, checked.spoiled)
