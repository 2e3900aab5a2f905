"""A set of files that appears whole or not at all.

All files of a run are made in a working folder inside the target folder and get
their names together, one rename each.  No system renames several files at once,
so this is what holds:

- while the files are made, the target folder has the complete earlier set;
- when a rename fails, those before it are undone: the earlier set is complete;
- an interrupt during the renames waits until all are done;
- when the machine stops or the run is killed among the renames, the working
  folder says that its set is whole (`_WHOLE`), and the next run gives the rest
  their names first.  Until then `plan.json`, renamed last, does not have the
  hashes of the files beside it, so that a mixed set is never taken for a
  complete one.

One run at a time works in a folder: it holds a lock on the folder itself, which
leaves no file behind and ends with the process.
"""

from __future__ import annotations

import json
import os
import shutil
import signal
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

from impose.errors import OutputError
from impose.pdf.files import PREFIX, SUFFIX, ensure_folder, refuse_link, unwritable

try:
    import fcntl
except ImportError:  # not on every system; there `_others` alone tells of another run
    fcntl = None  # type: ignore[assignment]

#: In the working folder: the names of a set that is whole and only waits for its names.
_WHOLE: Final = "whole.json"
#: In the working folder: what the earlier run had under these names.
_EARLIER: Final = "earlier"


@contextmanager
def made_folder(folder: Path) -> Iterator[None]:
    """The folder is there; one that was made for this run and stayed empty goes away again.

    Raises `OutputError` when it cannot be made.
    """
    new = not folder.exists()
    ensure_folder(folder)
    try:
        yield
    finally:
        if new:
            with suppress(OSError):  # there is something in it
                folder.rmdir()


@contextmanager
def only_run(folder: Path) -> Iterator[bool]:
    """Holds the folder for this run; raises `OutputError` when another run has it.

    Gives whether the system vouches for it.  Where it has no locks, only the
    working folders of processes that are alive tell of another run.
    """
    handle = None
    try:
        if fcntl is not None:
            handle = os.open(folder, os.O_RDONLY)
        held = handle is not None and _lock(handle, folder)
        if not held and _others(folder):
            raise _taken(folder)
        yield held
    except OSError as fault:
        raise unwritable(folder, fault) from fault
    finally:
        if handle is not None:
            os.close(handle)


def _lock(handle: int, folder: Path) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise _taken(folder) from None
    except OSError:  # a file system without locks
        return False
    return True


def _taken(folder: Path) -> OutputError:
    return OutputError(
        f"another run is writing into {folder}",
        hint="wait until it has ended, or name another folder with --out",
    )


def _others(folder: Path) -> list[Path]:
    """Working folders of other processes that are alive."""
    return [
        part
        for part in folder.glob(f"{PREFIX}*{SUFFIX}")
        if part.is_dir() and _number(part) != str(os.getpid()) and _runs(_number(part))
    ]


def _number(part: Path) -> str:
    return part.name.removeprefix(PREFIX).removesuffix(SUFFIX)


@contextmanager
def staging(folder: Path) -> Iterator[Path]:
    """A working folder inside `folder` that is gone afterwards, whatever happens.

    Its name carries this process's number, so that the next run can tell what
    a killed one left.
    """
    here = folder / f"{PREFIX}{os.getpid()}{SUFFIX}"
    try:
        shutil.rmtree(here, ignore_errors=True)
        here.mkdir()
        yield here
    except OSError as fault:
        raise unwritable(folder, fault) from fault
    finally:
        shutil.rmtree(here, ignore_errors=True)


def publish(made: Path, folder: Path, names: Sequence[str]) -> None:
    """Gives the finished files of the working folder `made` their names in `folder`.

    Raises `OutputError` with the earlier files as they were.
    """
    for name in names:
        _refuse_unfit(folder / name)
    with _uninterrupted():
        try:
            _keep_earlier(made, folder, names)
            _say_whole(made, names)
        except OSError as fault:
            raise unwritable(folder, fault) from fault
        for count, name in enumerate(names):
            try:
                os.replace(made / name, folder / name)
            except OSError as fault:
                _undo(made, folder, names[: count + 1])
                raise unwritable(folder / name, fault) from fault


def _refuse_unfit(target: Path) -> None:
    refuse_link(target)
    if target.is_dir():
        raise OutputError(
            f"{target} is a folder, and a file of that name is to be written",
            hint="move the folder away, or name another folder with --out",
        )


def _keep_earlier(made: Path, folder: Path, names: Sequence[str]) -> None:
    """A second name (or a copy) for each file that will be replaced."""
    earlier = made / _EARLIER
    earlier.mkdir()
    for name in names:
        if (folder / name).exists():
            try:
                os.link(folder / name, earlier / name)
            except OSError:  # a file system without hard links
                shutil.copy2(folder / name, earlier / name)


def _say_whole(made: Path, names: Sequence[str]) -> None:
    """From here on the next run would finish what this one leaves."""
    part = made / f"{_WHOLE}{SUFFIX}"
    part.write_text(json.dumps(list(names)), "utf-8")
    os.replace(part, made / _WHOLE)


def _undo(made: Path, folder: Path, names: Sequence[str]) -> None:
    """The earlier files under their names again; what was not there is gone again."""
    with suppress(OSError):
        (made / _WHOLE).unlink()
    for name in names:
        kept = made / _EARLIER / name
        with suppress(OSError):
            if kept.exists():
                os.replace(kept, folder / name)
            elif not (made / name).exists():
                (folder / name).unlink()


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """An interrupt waits until the block is over."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    waiting: list[int] = []

    def note(number: int, frame: Any) -> None:
        waiting.append(number)

    before = {number: signal.signal(number, note) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        if waiting:
            signal.raise_signal(waiting[0])


def sweep_leftovers(folder: Path, alone: bool = False) -> None:
    """Finishes a set that a killed run had whole, and removes all else that it left.

    `alone`: no other run can be in the folder, whatever numbers of processes say.
    """
    with suppress(OSError):
        for part in sorted(folder.glob(f"{PREFIX}*{SUFFIX}")):
            if part.is_symlink() or not part.is_dir():
                part.unlink(missing_ok=True)
            elif alone or not _runs(_number(part)):
                with suppress(OSError, ValueError):
                    _finish(part, folder)
                shutil.rmtree(part, ignore_errors=True)


def _finish(part: Path, folder: Path) -> None:
    for name in json.loads((part / _WHOLE).read_text("utf-8")):
        made, target = part / name, folder / name
        if Path(name).name == name and made.is_file() and not target.is_symlink():
            os.replace(made, target)


def _runs(number: str) -> bool:
    """Whether a process of that number is alive."""
    if not number.isdigit():
        return False
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True
