"""The library of profiles: named sizes, paper grades, stocks and machines, read when asked for.

Search order: `profiles/` in the job's folder, the user's folder, the built-in
ones.  A stock or machine file hides a farther one of the same name; sizes.toml
and grades.toml add to the farther ones, name by name.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, TypeVar

from impose.errors import ImposeError, JobError
from impose.findings import Finding
from impose.model import machinetables as machine
from impose.model import papertables as paper
from impose.model.everyday import missing_unit
from impose.model.fields import TableFault, ValueFault, build
from impose.model.holes import HolePattern
from impose.model.holetables import PatternFile
from impose.model.job import NamedSize
from impose.model.machines import Binder, Creaser, Cutter, Printer
from impose.model.paperreaders import Basis
from impose.model.profilefolders import (
    Kind,
    Origin,
    ProfilePath,
    built_in_folder,
    nearest_files,
    profile_files,
    user_folder,
)
from impose.model.readers import either, fold
from impose.model.stock import Grade, Stock
from impose.model.tomlfile import TomlFile, read_toml, validate

T = TypeVar("T")

CODE: Final = "profile-file"
_DIGITS: Final = re.compile(r"(\d+)")
_FILE_TABLES: Final[dict[Kind, type]] = {
    Kind.SIZES: paper.SizesFile,
    Kind.GRADES: paper.GradesFile,
    Kind.STOCKS: paper.StockFile,
    Kind.PRINTERS: machine.PrinterFile,
    Kind.CUTTERS: machine.CutterFile,
    Kind.CREASERS: machine.CreaserFile,
    Kind.BINDERS: machine.BinderFile,
    Kind.PATTERNS: PatternFile,
}
#: So many names are told at once.
_FEW: Final = 12


@dataclass(frozen=True, slots=True)
class _Entry:
    """A table of sizes.toml or grades.toml."""

    source: TomlFile
    origin: Origin
    key: str
    raw: dict[str, Any]


class Library:
    """Profiles by name; each file is read once, when first asked for.

    `folder` is the job's folder.  Every look-up raises `ImposeError` with the
    nearest names for an unknown name, `JobError` with all faults and their
    lines for a faulty file.
    """

    def __init__(self, folder: Path | None = None, *, user: Path | None = None) -> None:
        self._folders = {
            Origin.BUILT_IN: built_in_folder(),
            Origin.USER: user if user is not None else user_folder(),
        }
        job = folder / "profiles" if folder is not None else None
        if job is not None and job.resolve() != self._folders[Origin.BUILT_IN]:
            self._folders[Origin.JOB] = job
        self._files: dict[Kind, dict[str, ProfilePath]] = {}
        self._sources: dict[Path, TomlFile] = {}
        self._entries: dict[Kind, dict[str, _Entry]] = {}

    # -- values ------------------------------------------------------------------------

    def size(self, name: str) -> NamedSize:
        """A named size, short side first; `a5 landscape` for the long side across."""
        plain, landscape = _without_landscape(name)
        entry = self._entry(Kind.SIZES, plain)
        table = self._entry_table(entry, paper.SizeTable)
        by_alias = fold(plain) not in (fold(entry.key), fold(table.name))
        called = plain.strip() if by_alias else table.name
        if landscape:
            return replace(table.size, size=table.size.size.turned, name=f"{called} landscape")
        return replace(table.size, name=called)

    def sheets(self) -> tuple[NamedSize, ...]:
        """Every size that paper comes in, in the order of the names."""
        return self._used_as("sheet")

    def page_sizes(self) -> tuple[NamedSize, ...]:
        """Every size that books, or the sheets that pages are made for, come in: trims first."""
        return (*self._used_as("trim"), *self._used_as("sheet"))

    def _used_as(self, use: str) -> tuple[NamedSize, ...]:
        index = self._index(Kind.SIZES)
        keys = (key for key in self.names(Kind.SIZES) if use in index[fold(key)].raw.get("use", ()))
        return tuple(self.size(key) for key in keys)

    def grade(self, name: str) -> Grade:
        """A grade of paper by its name or another name of it."""
        entry = self._entry(Kind.GRADES, name)
        return self._entry_table(entry, paper.GradeTable).value()

    def weigh(self, basis: Basis) -> Fraction:
        """g/m2 of a basis weight."""
        return self.grade(basis.grade).grammage(basis.pounds)

    def stock(self, name: str) -> Stock:
        """A stock; without a caliper it is bulk times grammage."""
        table = self._table(Kind.STOCKS, name, paper.StockFile)
        grammage = table.grammage
        if grammage is None and table.basis is not None:
            grammage = self.weigh(table.basis)
        return table.value(grammage)

    def printer(self, name: str) -> Printer:
        """An office printer or a press."""
        return self._table(Kind.PRINTERS, name, machine.PrinterFile).value()

    def cutter(self, name: str) -> Cutter:
        """A guillotine, or the knife and rule."""
        return self._table(Kind.CUTTERS, name, machine.CutterFile).value()

    def creaser(self, name: str) -> Creaser:
        """A creasing machine."""
        return self._table(Kind.CREASERS, name, machine.CreaserFile).value()

    def binder(self, name: str) -> Binder:
        """A binding machine, or sewing by hand."""
        return self._table(Kind.BINDERS, name, machine.BinderFile).value()

    def pattern(self, name: str) -> HolePattern:
        """A pattern of holes."""
        return self._table(Kind.PATTERNS, name, PatternFile).value()

    # -- names and files ---------------------------------------------------------------

    def names(self, kind: Kind) -> tuple[str, ...]:
        """The names to ask for, sorted: keys of sizes and grades, file names of the rest."""
        if kind.one_file:
            keys = {entry.key for entry in self._index(kind).values()}
        else:
            keys = {found.path.stem for found in self._list(kind).values()}
        return tuple(sorted(keys, key=_by_number))

    def has(self, kind: Kind, name: str) -> bool:
        """Whether a look-up by this very name (or alias of a size) would find something."""
        plain = _without_landscape(name)[0] if kind is Kind.SIZES else name
        return fold(plain) in (self._index(kind) if kind.one_file else self._list(kind))

    def path(self, kind: Kind, name: str) -> Path:
        """The file in which the profile stands."""
        return self._entry(kind, name).source.path if kind.one_file else self._find(kind, name).path

    def origin(self, kind: Kind, name: str) -> Origin:
        """Whose profile it is."""
        return self._entry(kind, name).origin if kind.one_file else self._find(kind, name).origin

    def text(self, kind: Kind, name: str) -> str:
        """The profile as written; of sizes.toml and grades.toml the one table."""
        if not kind.one_file:
            return self._source(self._find(kind, name).path).text
        entry = self._entry(kind, name)
        first = entry.source.line((kind.value, entry.key))
        lines = entry.source.text.split("\n")[first - 1 :]
        end = next((i for i, line in enumerate(lines) if i and line.startswith(("[", "#"))), None)
        return "\n".join(lines[:end]).rstrip() + "\n"

    def title(self, kind: Kind, name: str) -> str:
        """The name for people, or the key where a faulty file says none."""
        raw = self._entry(kind, name).raw if kind.one_file else self._raw(kind, name)
        return str(raw.get("name", name))

    # -- looking up --------------------------------------------------------------------

    def _list(self, kind: Kind) -> dict[str, ProfilePath]:
        if kind not in self._files:
            self._files[kind] = nearest_files(self._folders, kind)
        return self._files[kind]

    def _find(self, kind: Kind, name: str) -> ProfilePath:
        """By file name; failing that by the name inside the files."""
        files = self._list(kind)
        wanted = fold(name)
        if wanted in files:
            return files[wanted]
        for found in files.values():
            if fold(str(self._source(found.path).data.get("name", ""))) == wanted:
                return found
        raise _unknown(kind, name, [found.path.stem for found in files.values()])

    def _source(self, path: Path) -> TomlFile:
        if path not in self._sources:
            self._sources[path] = read_toml(path, CODE)
        return self._sources[path]

    def _raw(self, kind: Kind, name: str) -> dict[str, Any]:
        return self._source(self._find(kind, name).path).data

    def _table(self, kind: Kind, name: str, table: type[T]) -> T:
        found = self._find(kind, name)
        source = self._source(found.path)
        if found.origin is Origin.BUILT_IN:
            return _built_in(table, source.data, source, table)
        return _whole(table, source)

    def _entry(self, kind: Kind, name: str) -> _Entry:
        index = self._index(kind)
        entry = index.get(fold(name))
        if entry is None:
            raise _unknown(kind, name, index)
        return entry

    def _entry_table(self, entry: _Entry, table: type[T]) -> T:
        """A table of one file; files people wrote were checked when they were indexed."""
        kind = Kind(entry.source.path.stem)
        return _built_in(table, entry.raw, entry.source, _FILE_TABLES[kind])

    def _index(self, kind: Kind) -> dict[str, _Entry]:
        """Tables of one file by every name they answer to; nearer files come last and win."""
        if kind not in self._entries:
            index: dict[str, _Entry] = {}
            for origin in (Origin.BUILT_IN, Origin.USER, Origin.JOB):
                for path in self._one_file(origin, kind):
                    source = self._source(path)
                    if origin is not Origin.BUILT_IN:
                        _whole(_FILE_TABLES[kind], source)
                    index |= _named(source, origin, kind)
            self._entries[kind] = index
        return self._entries[kind]

    def _one_file(self, origin: Origin, kind: Kind) -> Iterable[Path]:
        folder = self._folders.get(origin)
        return profile_files(folder, kind) if folder is not None else ()


def _named(source: TomlFile, origin: Origin, kind: Kind) -> dict[str, _Entry]:
    """By alias, name and key; a key is surer than a name, a name than an alias."""
    tables = source.data.get(kind.value, {})
    entries = [_Entry(source, origin, key, raw) for key, raw in tables.items()]
    index = {fold(alias): entry for entry in entries for alias in entry.raw.get("aliases", ())}
    index |= {fold(entry.raw.get("name", entry.key)): entry for entry in entries}
    return index | {fold(entry.key): entry for entry in entries}


def _built_in(table: type[T], raw: dict[str, Any], source: TomlFile, whole: type) -> T:
    """A shipped table without pydantic; should somebody have edited it, with all its faults."""
    try:
        return build(table, raw)
    except (ValueFault, TableFault):
        _whole(whole, source)
        raise


def _whole(table: type[T], source: TomlFile) -> T:
    checked = validate(table, source)
    if checked.faults or checked.value is None:
        raise JobError(checked.faults)
    return checked.value


def _by_number(name: str) -> list[tuple[int, str]]:
    """Sorts a2 before a10."""
    return [(int(part), "") if part.isdigit() else (-1, part) for part in _DIGITS.split(name)]


def _without_landscape(name: str) -> tuple[str, bool]:
    folded = fold(name)
    plain = folded.removesuffix(" landscape")
    return (plain, True) if plain != folded else (name, False)


def _unknown(kind: Kind, name: str, known: Iterable[str]) -> ImposeError:
    from difflib import get_close_matches  # only when something is wrong

    by_fold = {fold(word): word for word in known}
    bare = missing_unit(kind.word, name)
    if bare:
        return ImposeError(f"no {kind.word} is called '{name.strip()}'", hint=bare)
    near = [by_fold[word] for word in get_close_matches(fold(name), by_fold, 3)]
    listing = f"impose profiles list {kind.value} names them all"
    hint = f"did you mean {either(near)}? {listing}" if near else listing
    if not near and len(by_fold) <= _FEW:
        hint = f"it is {either(sorted(by_fold.values()))}, or one of your own; {listing}"
    return ImposeError(f"no {kind.word} is called '{name.strip()}'", hint=hint)


def check_profile(path: Path, library: Library | None = None) -> tuple[Finding, ...]:
    """Every fault of a profile file, empty when it is fine.

    Raises `InputError` when it cannot be read and `JobError` when it is not TOML.
    """
    source = read_toml(path, CODE)
    kind = _kind_of(source)
    if kind is None:
        words = either([k.word for k in Kind if not k.one_file])
        hint = f'write kind = "{words}"; files of sizes have tables [sizes.NAME]'
        return (source.fault((), "the file does not say what it describes", hint),)
    table: type[object] = _FILE_TABLES[kind]
    checked = validate(table, source)
    basis = getattr(checked.value, "basis", None)
    if isinstance(basis, Basis):
        try:
            (library or Library()).grade(basis.grade)
        except ImposeError as error:
            return (*checked.faults, source.fault(("basis",), error.message, error.hint))
    return checked.faults


def _kind_of(source: TomlFile) -> Kind | None:
    said = source.data.get("kind")
    for kind in Kind:
        if kind.word == said if not kind.one_file else kind.value in source.data:
            return kind
    return None
