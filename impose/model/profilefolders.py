"""Where profile files lie, the nearest first: the job's folder, the user's, the built-in ones."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

from impose.errors import ImposeError
from impose.model.readers import fold


class Kind(Enum):
    """What a profile describes; the value is the name of its folder, or file without ending."""

    SIZES = "sizes"
    GRADES = "grades"
    STOCKS = "stocks"
    PRINTERS = "printers"
    CUTTERS = "cutters"
    CREASERS = "creasers"
    BINDERS = "binders"
    PATTERNS = "patterns"

    @property
    def word(self) -> str:
        """The word for one of them."""
        return self.value.removesuffix("s")

    @property
    def one_file(self) -> bool:
        """All of the kind stand in one file."""
        return self in (Kind.SIZES, Kind.GRADES)


class Origin(Enum):
    """Whose profile it is."""

    JOB = "job folder"
    USER = "your own"
    BUILT_IN = "built-in"


@dataclass(frozen=True, slots=True)
class ProfilePath:
    """A profile file."""

    path: Path
    origin: Origin


def user_folder() -> Path:
    """The user's own profiles; may not exist.

    XDG Base Directory Specification; on Windows the roaming application data.
    """
    if os.name == "nt":
        base = os.environ.get("APPDATA") or str(Path.home() / "AppData" / "Roaming")
    else:
        base = os.environ.get("XDG_CONFIG_HOME") or str(Path.home() / ".config")
    return Path(base) / "impose" / "profiles"


def built_in_folder() -> Path:
    """The shipped profiles: inside an installed wheel, or beside the package's source."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "_profiles", package.parent / "profiles"):
        if (folder / "sizes.toml").is_file():
            return folder
    raise ImposeError("the built-in profiles are missing", hint="install the program again")


def profile_files(folder: Path, kind: Kind) -> Iterator[Path]:
    """The files of a kind in one profile folder, by name; none where there is no folder."""
    if kind.one_file:
        path = folder / f"{kind.value}.toml"
        if path.is_file():
            yield path
        return
    try:
        names = sorted(os.listdir(folder / kind.value))
    except (FileNotFoundError, NotADirectoryError):
        return
    except OSError as error:
        raise ImposeError(f"{folder / kind.value}: cannot be read: {error.strerror}") from error
    yield from (folder / kind.value / name for name in names if name.endswith(".toml"))


def nearest_files(folders: dict[Origin, Path], kind: Kind) -> dict[str, ProfilePath]:
    """The files of a kind by folded name; a nearer file hides one of the same name."""
    found: dict[str, ProfilePath] = {}
    for origin in (Origin.BUILT_IN, Origin.USER, Origin.JOB):
        if origin in folders:
            for path in profile_files(folders[origin], kind):
                found[fold(path.stem)] = ProfilePath(path, origin)
    return found
