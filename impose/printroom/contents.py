"""Whether a job is unchanged, told by content alone.

The digest is of the job as it was understood (profiles looked up, options laid
over), the contents of its inputs, what is to be made, and the versions of the
program and of the libraries that shape its files.  It stands in `plan.json`,
beside the hashes of the files; a job is unchanged when the digest is the same
and every file still has its hash.  Dates of files are never asked.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from fractions import Fraction
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, Final

import impose
from impose.errors import OutputError
from impose.findings import Finding
from impose.model.job import Job
from impose.pdf.files import PREFIX, sha256_of
from impose.pdf.prepare import files_read
from impose.plan.plan import FORMAT, VERSION
from impose.plan.wire import finding_of
from impose.units import Length
from impose.wishes import Wish

#: Libraries whose versions can change what is written.
_LIBRARIES: Final = ("img2pdf", "jinja2", "pikepdf", "pillow", "pypdfium2", "reportlab")
#: What changes nothing in the files: passwords, and where the job lies.
_LEFT_OUT: Final = frozenset({("Job", "passwords"), ("Job", "folder")})


@dataclass(frozen=True, slots=True)
class Earlier:
    """What an earlier run left: its findings, its files, its number of sheets."""

    findings: tuple[Finding, ...]
    files: tuple[Path, ...]
    sheets: int


def digest_of(job: Job, wish: Wish) -> str:
    """SHA-256 in hexadecimal; empty when an input cannot be read, which is like nothing."""
    try:
        inputs = [[_named(path, job.folder), sha256_of(path)] for path in _files(job)]
    except OSError:
        return ""
    except OutputError:  # `sha256_of` reads back what is written; here it reads inputs
        return ""
    told = {
        "program": impose.__version__,
        "libraries": [_version(name) for name in _LIBRARIES],
        "job": _plain(job, job.folder),
        "products": wish.products(job),
        "wish": [wish.look, wish.drift],
        "inputs": inputs,
    }
    text = json.dumps(told, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("ascii")).hexdigest()


def unchanged(folder: Path, digest: str) -> Earlier | None:
    """What lies in `folder`, when it is whole and was made from what has this digest."""
    try:
        data = json.loads((folder / "plan.json").read_text("utf-8"))
        if not _is_from(data, digest) or any(folder.glob(f"{PREFIX}*")):
            return None
        made = data["made"]
        if any(sha256_of(folder / name) != told for name, told in made.items()):
            return None
        findings = tuple(map(finding_of, data["findings"]))
        files = tuple(folder / name for name in (*made, "plan.json"))
        return Earlier(findings, files, len(data["sheets"]))
    except (OSError, OutputError, ValueError, LookupError, TypeError, AttributeError):
        return None


def _is_from(data: Mapping[str, Any], digest: str) -> bool:
    known = data["format"] == FORMAT and data["version"] == VERSION
    return bool(digest) and known and data.get("made_from") == digest


def _files(job: Job) -> Iterator[Path]:
    """Every file that the job reads; of a folder all that is not hidden."""
    for path in files_read(job):
        if path.is_dir():
            shown = [p for p in path.iterdir() if p.is_file() and not p.name.startswith(".")]
            yield from sorted(shown)
        else:
            yield path


def _named(path: Path, folder: Path) -> str:
    """The path from the job's folder on, so that a folder can move with its jobs."""
    return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else str(path)


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return ""


def _plain(value: object, folder: Path) -> object:
    """A value of the model as JSON data, the same for equal values and for no others."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Enum):
        return [type(value).__name__, value.name]
    if isinstance(value, Path):
        return ["path", _named(value, folder)]
    if isinstance(value, Length):
        return ["length", value.grains]
    if isinstance(value, Fraction):
        return ["fraction", str(value)]
    if isinstance(value, frozenset | set):
        return ["set", sorted(json.dumps(_plain(item, folder)) for item in value)]
    if isinstance(value, Mapping):
        return ["map", sorted([str(key), _plain(each, folder)] for key, each in value.items())]
    if isinstance(value, tuple | list):
        return [_plain(item, folder) for item in value]
    if is_dataclass(value):
        kind = type(value).__name__
        named = [each.name for each in fields(value) if (kind, each.name) not in _LEFT_OUT]
        return [kind, {name: _plain(getattr(value, name), folder) for name in named}]
    raise TypeError(f"no part of a job: {type(value).__name__}")
