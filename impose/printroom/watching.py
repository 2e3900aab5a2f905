"""A drop folder watched: jobs in, results out, until somebody says stop.

The system tells of changes (`watchfiles`); where it does not, as on many network
shares, the folder is looked at every few seconds anyway.  Nothing is kept
between runs: what is unchanged is told from the results themselves.
"""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Protocol

from impose.errors import ExitCode, ImposeError, InputError, OutputError
from impose.findings import Finding
from impose.pdf.children import cores
from impose.pdf.files import ensure_folder
from impose.pdf.publishing import only_run
from impose.printroom.arrivals import Arrival, Arrivals, DropFolder
from impose.printroom.beside import take_away, tell_beside
from impose.printroom.many import folder_key
from impose.printroom.task import Outcome, Result, Task
from impose.printroom.workers import Workers
from impose.wishes import EVERYTHING, Wish

#: The folder is looked at so often even when nothing is told (seconds).
_ANYWAY: Final = 5.0
#: What is told is waited for so long at a time (seconds).
_BREATH: Final = 0.2


class Listener(Protocol):
    """Told what happens in the folder."""

    def over(self, outcome: Outcome) -> None:
        """A job was made, left as it was, or could not be made."""

    def said(self, name: str, words: str) -> None:
        """Something to know of a job: what it waits for, that it was taken away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchSettings:
    """`workers` None: one for each core.  `once`: ends when all that is there is done."""

    workers: int | None = None
    once: bool = False
    wish: Wish = EVERYTHING


def watch_folder(drop: DropFolder, settings: WatchSettings, listener: Listener) -> None:
    """Makes every job of the folder, and those that come, until interrupted.

    Raises ImposeError when folder or results cannot be used, KeyboardInterrupt
    when it is interrupted, after all workers have ended.
    """
    _refuse_tangle(drop)
    ensure_folder(drop.out)
    changed = threading.Event()
    stop = threading.Event()
    teller = threading.Thread(
        target=_tell_changes, args=(drop.folder, changed, stop), daemon=True, name="watching"
    )
    most = settings.workers or cores()
    share = replace(settings.wish, processes=max(1, cores() // most))
    try:
        with only_run(drop.out), Workers(most) as pool:
            if not settings.once:
                teller.start()
            _Watch(drop, replace(settings, wish=share), listener, pool).run(changed)
    finally:
        stop.set()
        if teller.ident is not None:
            teller.join()


class _Watch:
    """One run of `watch_folder`."""

    def __init__(
        self, drop: DropFolder, settings: WatchSettings, listener: Listener, pool: Workers
    ) -> None:
        self._drop, self._settings = drop, settings
        self._listener, self._pool = listener, pool
        self._arrivals = Arrivals(drop)
        self._running: dict[int, Arrival] = {}
        self._said: dict[Path, str] = {}
        self._count = 0

    def run(self, changed: threading.Event) -> None:
        """Until all is done (`once`), or for ever; `changed` is set when the system says so."""
        last, pending = -_ANYWAY, True
        while True:
            over = self._hear()
            now = time.monotonic()
            if over or pending or changed.is_set() or now - last >= _ANYWAY:
                changed.clear()
                last, pending = now, self._scan(now)
            if self._settings.once and not pending and self._pool.idle:
                return

    def _hear(self) -> bool:
        """Whether a job is over."""
        said = self._pool.hear(_BREATH)
        if said is None or not isinstance(said.word, Outcome):
            return False
        arrival = self._running.pop(said.number)
        self._tell(arrival.source, said.word)
        return True

    def _scan(self, now: float) -> bool:
        """Gives away what is ready; whether anything waits."""
        if not self._drop.folder.is_dir():
            raise InputError(
                f"the folder {self._drop.folder} has gone", hint="put it back and start again"
            )
        here, gone = self._arrivals.scan(now)
        for arrival in gone:
            take_away(arrival.source)
            self._said.pop(arrival.source, None)
            self._listener.said(self._drop.name_of(arrival.source), "taken away; its results stay")
        busy = {arrival.source for arrival in self._running.values()}
        pending = False
        for arrival in here:
            if not arrival.pending:
                continue
            pending = True
            if arrival.source not in busy and self._is_ready(arrival, now):
                self._give(arrival)
        return pending

    def _is_ready(self, arrival: Arrival, now: float) -> bool:
        if arrival.ready(self._drop, now):
            return True
        lacking = arrival.waiting_for
        if now - arrival.since >= self._drop.settle and self._said.get(arrival.source) != lacking:
            self._said[arrival.source] = lacking
            self._listener.said(self._drop.name_of(arrival.source), f"waiting for {lacking}")
        return False

    def _give(self, arrival: Arrival) -> None:
        name = self._drop.name_of(arrival.source)
        task = Task(
            name=name,
            source=arrival.source,
            folder=self._drop.out / name,
            overrides=self._drop.overrides,
            wish=self._settings.wish,
        )
        if arrival.shares_with is not None:
            arrival.made = arrival.seen
            self._tell(arrival.source, _shared(task, arrival.shares_with))
        elif self._pool.free:
            arrival.made = arrival.seen
            self._count += 1
            self._running[self._count] = arrival
            self._pool.give(self._count, task)

    def _tell(self, source: Path, outcome: Outcome) -> None:
        self._listener.over(outcome)
        if not source.exists():
            return  # taken away while it was made
        try:
            tell_beside(source, outcome)
        except OutputError as fault:
            said = f"its findings cannot be told beside it: {fault.message}"
            self._listener.said(outcome.name, said)


def _shared(task: Task, other: Path) -> Outcome:
    said = Finding.error(
        "folder-shared",
        f"{task.source} and {other} would be made into one folder, {task.folder}",
        hint="rename one of them",
    )
    assert isinstance(task.source, Path)
    return Outcome(
        name=f"{task.name}{task.source.suffix}",
        folder=task.folder,
        result=Result.NOT_MADE,
        findings=(said,),
        refused=ExitCode.USAGE,
    )


def _refuse_tangle(drop: DropFolder) -> None:
    """The results may lie below the watched folder, not the other way round."""
    if not drop.folder.is_dir():
        raise InputError(f"there is no folder {drop.folder}", hint="make it, or check its name")
    folder, out = folder_key(drop.folder), folder_key(drop.out)
    if Path(folder).is_relative_to(out):
        raise ImposeError(
            f"the folder {drop.folder} lies in {drop.out}, where the results go",
            hint="name another folder for the results with --out",
        )


def _tell_changes(folder: Path, changed: threading.Event, stop: threading.Event) -> None:
    """In a thread: the system's word that something has changed.  Where it can say nothing, the
    folder is looked at now and then anyway."""
    from watchfiles import watch  # only for a folder that is watched

    try:
        for told in watch(
            folder,
            watch_filter=None,
            debounce=400,
            rust_timeout=500,
            yield_on_timeout=True,
            stop_event=stop,
            raise_interrupt=False,
        ):
            if told:
                changed.set()
    except OSError:
        return
