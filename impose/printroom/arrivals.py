"""What lies in a drop folder, and what of it is whole: sizes and dates steady, files complete.

A file that is still being copied grows, changes its date, or lacks its end.  A
job is ready when it and all that it names have been the same for a while, open,
and, for PDFs, have the mark at their end (ISO 32000-1 7.5.5).  What is missing or
not whole is waited for, but not for ever: then the job is made all the same, so
that its findings say what is wrong.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from impose.errors import ImposeError
from impose.model.overrides import Overrides
from impose.model.profilefolders import Kind
from impose.model.resolve import job_from_file
from impose.pdf.prepare import files_read
from impose.printroom.many import folder_key
from impose.printroom.one import is_job_file

#: Where profiles lie beside a job; their files are no jobs.
_PROFILES: Final = "profiles"
_HEADER, _END = b"%PDF-", b"%%EOF"
_HEADER_WITHIN: Final = 1024
_END_WITHIN: Final = 2048

#: Path, size and date of a file; -1 and 0 for one that is not there.
Stat = tuple[str, int, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class DropFolder:
    """A folder for jobs, and `out` for results: each in a folder named like its job.

    `settle`: seconds for which nothing may have changed.  `patience`: seconds
    after which what is missing is waited for no longer.  `pdfs`: PDFs that no job
    names are jobs, too, described by `overrides`, which are laid over every job.
    """

    folder: Path
    out: Path
    settle: float = 2.0
    patience: float = 60.0
    pdfs: bool = False
    overrides: Overrides = field(default_factory=Overrides)

    def name_of(self, source: Path) -> str:
        """The job's name: its path from the folder on, without the ending."""
        return source.relative_to(self.folder).with_suffix("").as_posix()


@dataclass(slots=True)
class Arrival:
    """A job in the folder, as it was last seen.  `made` is how it looked when it was given away
    to be made; `since` when it last changed, by the clock of the caller."""

    source: Path
    seen: tuple[Stat, ...] = ()
    since: float = 0.0
    made: tuple[Stat, ...] | None = None
    waiting_for: str = ""
    shares_with: Path | None = None  #: another job has its results' folder
    _own: tuple[Stat, ...] = ()
    _inputs: tuple[Path, ...] = ()

    @property
    def pending(self) -> bool:
        """It has changed since it was last made, or never was."""
        return self.made != self.seen

    def look(self, drop: DropFolder, now: float) -> None:
        """Notes what has changed."""
        own = tuple(map(_stat, (self.source, *_profiles(self.source.parent))))
        if own != self._own:
            self._own, self._inputs = own, _inputs_of(self.source, drop.overrides)
        seen = (*own, *(stat for path in self._inputs for stat in _stats(path)))
        if seen != self.seen:
            self.seen, self.since = seen, now

    def ready(self, drop: DropFolder, now: float) -> bool:
        """Whole, or waited for long enough; else `waiting_for` says what is lacking."""
        age = now - self.since
        self.waiting_for = ""
        if age < drop.settle:
            self.waiting_for = "it to be copied whole"
        elif age < drop.patience:
            lacking = next((path for path, *_ in self.seen if not _is_whole(Path(path))), None)
            self.waiting_for = f"{lacking} to be whole" if lacking else ""
        return not self.waiting_for

    @property
    def inputs(self) -> tuple[Path, ...]:
        """The files and folders that the job names, as far as it can be read."""
        return self._inputs


class Arrivals:
    """All jobs of a drop folder."""

    def __init__(self, drop: DropFolder) -> None:
        self._drop = drop
        self._known: dict[Path, Arrival] = {}

    def scan(self, now: float) -> tuple[list[Arrival], list[Arrival]]:
        """Looks at every job; those that are there, by name, and those that have gone."""
        found = sorted(_files_in(self._drop.folder, folder_key(self._drop.out)))
        jobs = [path for path in found if is_job_file(path)]
        here = [self._look(path, now) for path in jobs]
        if self._drop.pdfs:
            named = {folder_key(path) for arrival in here for path in _within(arrival.inputs)}
            plain = [path for path in found if path.suffix.lower() == ".pdf"]
            here += [self._look(path, now) for path in plain if folder_key(path) not in named]
        self._note_shared(here)
        left = {arrival.source for arrival in here}
        gone = [arrival for path, arrival in self._known.items() if path not in left]
        for arrival in gone:
            del self._known[arrival.source]
        return here, gone

    def _look(self, path: Path, now: float) -> Arrival:
        arrival = self._known.get(path)
        if arrival is None:
            arrival = self._known[path] = Arrival(path)
        arrival.look(self._drop, now)
        return arrival

    def _note_shared(self, here: list[Arrival]) -> None:
        first: dict[str, Path] = {}
        for arrival in here:
            key = folder_key(self._drop.out / self._drop.name_of(arrival.source))
            other = first.setdefault(key, arrival.source)
            arrival.shares_with = other if other != arrival.source else None


def _files_in(folder: Path, leave_out: str) -> Iterator[Path]:
    """Job files and PDFs below the folder; nothing hidden, no links, no profiles, no results."""
    for where, folders, names in os.walk(folder):
        here = Path(where)
        folders[:] = [
            name
            for name in folders
            if not name.startswith(".")
            and name != _PROFILES
            and folder_key(here / name) != leave_out
        ]
        for name in names:
            path = here / name
            wanted = is_job_file(path) or path.suffix.lower() == ".pdf"
            if wanted and not name.startswith(".") and path.is_file() and not path.is_symlink():
                yield path


def _inputs_of(source: Path, overrides: Overrides) -> tuple[Path, ...]:
    """What a job names; nothing of one that cannot be read (its faults are told when made)."""
    if not is_job_file(source):
        return ()
    try:
        return files_read(job_from_file(source, overrides))
    except ImposeError:
        return ()


def _profiles(folder: Path) -> Iterator[Path]:
    """The files of profiles beside a job, which may change it."""
    beside = folder / _PROFILES
    if beside.is_dir():
        yield from sorted(beside.glob("*.toml"))
        for kind in Kind:
            yield from sorted((beside / kind.value).glob("*.toml"))


def _within(inputs: tuple[Path, ...]) -> Iterator[Path]:
    for path in inputs:
        yield from _listed(path) if path.is_dir() else (path,)


def _stats(path: Path) -> Iterator[Stat]:
    yield from map(_stat, _listed(path) if path.is_dir() else (path,))


def _listed(folder: Path) -> list[Path]:
    """The files of a folder that are not hidden; none of one that goes away just now."""
    try:
        inner = sorted(folder.iterdir())
    except OSError:
        return []
    return [path for path in inner if path.is_file() and not path.name.startswith(".")]


def _stat(path: Path) -> Stat:
    try:
        told = path.stat()
    except OSError:
        return str(path), -1, 0
    return str(path), told.st_size, told.st_mtime_ns


def _is_whole(path: Path) -> bool:
    """It opens and is not empty; a PDF has its beginning and its end."""
    try:
        with path.open("rb") as file:
            start = file.read(_HEADER_WITHIN + len(_HEADER))
            if path.suffix.lower() != ".pdf":
                return bool(start)
            file.seek(0, os.SEEK_END)
            file.seek(max(0, file.tell() - _END_WITHIN))
            return _HEADER in start and _END in file.read()
    except OSError:
        return False
