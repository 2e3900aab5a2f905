"""What was asked for, from file and options together, and the faults found on the way."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from impose.errors import ImposeError, JobError
from impose.findings import Finding
from impose.model.fields import ValueFault
from impose.model.job import NamedSize, PagesItem
from impose.model.jobtables import PAGE_FITS, PICTURE_FITS, JobTables, PagesTable, SizeWish
from impose.model.keylines import KeyPath
from impose.model.leafkinds import AS_THE_REST, LeafKind, LeafWish, SizeRule
from impose.model.overrides import option_fault
from impose.model.paper import stock_of
from impose.model.profiles import Library
from impose.model.sizes import FitMode
from impose.model.tomlfile import TomlFile

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """The tables, and where their values come from.

    `folder` is where paths of the job file start, `here` where those of options
    start.  `source` is the job file, None for a job of options alone.  `said`
    and `spoiled` hold keys as (table, key): values given by options, and values
    that could not be read, whose fault is already in `faults`.
    """

    tables: JobTables
    profiles: Library
    folder: Path
    here: Path
    source: TomlFile | None
    said: frozenset[KeyPath]
    spoiled: frozenset[KeyPath]
    faults: list[Finding]

    def fault(self, path: KeyPath, message: str, hint: str = "") -> None:
        """Notes a fault where its value stands: on a line of the file, or at an option."""
        if self.source is None or path[:2] in self.said:
            self.faults.append(option_fault(path, message, hint))
        else:
            self.faults.append(self.source.fault(path, message, hint))

    def sound(self, path: KeyPath) -> bool:
        """The value of the key, if any, could be read."""
        return path[:1] not in self.spoiled and path[:2] not in self.spoiled

    def look_up(self, path: KeyPath, find: Callable[[], T]) -> T | None:
        """What `find` gives; None when it fails, with the fault noted.

        Faults of a profile file keep their own file and lines.
        """
        try:
            return find()
        except JobError as error:
            self.faults.extend(fault for fault in error.faults if fault not in self.faults)
        except ImposeError as error:
            self.fault(path, error.message, error.hint)
        except ValueFault as error:
            self.fault(path, error.message, error.hint)
        return None

    def size(self, path: KeyPath, wish: SizeWish) -> NamedSize | None:
        """A size in numbers as it is, a name by the library."""
        if isinstance(wish, NamedSize):
            return wish
        return self.look_up(path, lambda: self.profiles.size(wish))

    def sizes(self, path: KeyPath, wishes: tuple[SizeWish, ...]) -> tuple[NamedSize, ...]:
        """All that are known."""
        found = (self.size((*path, i), wish) for i, wish in enumerate(wishes))
        return tuple(size for size in found if size is not None)

    def item(self, path: KeyPath, table: PagesTable) -> PagesItem:
        """A file with its path made whole, or blanks."""
        leaf = self._leaf(path, table)
        if table.blank:
            return PagesItem(blank=table.blank, text="blank", leaf=leaf)
        file = self.file(path, table.file)
        chosen = ",".join(_range_text(*pages) for pages in table.pages)
        return PagesItem(
            file=file,
            ranges=table.pages,
            text=f"{table.file}[{chosen}]" if chosen else table.file,
            dpi=table.dpi,
            fit_picture=table.fit if table.fit in PICTURE_FITS else "",
            spreads=table.spreads,
            rule=SizeRule(
                mode=FitMode(table.fit) if table.fit in PAGE_FITS else None,
                align=frozenset(table.align),
            ),
            leaf=leaf,
        )

    def _leaf(self, path: KeyPath, table: PagesTable) -> LeafWish:
        """The kind of leaf, its stock and its sheets, by the library."""
        paper = table.stock
        if paper is None and not table.sheet and table.leaf is LeafKind.AS_THE_REST:
            return AS_THE_REST
        return LeafWish(
            kind=table.leaf,
            stock=self.look_up(path, lambda: stock_of(paper, self.profiles)) if paper else None,
            sheets=self.sizes((*path, "sheet"), table.sheet),
        )

    def file(self, path: KeyPath, written: str) -> Path:
        """The path of a file as it was written, made whole; one that leads out is a fault."""
        start = self.here if path[:2] in self.said or self.source is None else self.folder
        file = start / written
        if start is not self.here and not self.tables.book.outside:
            self._stay_inside(path, file, written)
        return file

    def _stay_inside(self, path: KeyPath, file: Path, written: str) -> None:
        """A job file from somebody else reads nothing beyond its own folder unasked."""
        real = Path(os.path.realpath(file))  # links are followed; a loop of them is no error
        if not real.is_relative_to(os.path.realpath(self.folder)):
            self.fault(
                path,
                f"'{written}' leads out of the job file's folder",
                "put the file beside the job file, or say outside = true in [book]",
            )


def _range_text(first: int, last: int | None) -> str:
    if last is None:
        return f"{first}-"
    return str(first) if first == last else f"{first}-{last}"
