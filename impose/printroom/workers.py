"""Worker processes that make jobs side by side, and what they say.

A worker that dies costs the job it was at and no other: another is started in
its place.  Leaving the block ends them all; by an exception, at once.
"""

from __future__ import annotations

import pickle
import queue
import signal
import subprocess
import threading
import time
from contextlib import suppress
from dataclasses import dataclass, field
from types import TracebackType
from typing import Final

from impose.errors import ExitCode
from impose.findings import Finding
from impose.pdf.children import start_child
from impose.printroom.task import Outcome, Result, Stage, Task

#: How long a worker that is told to stop may clean up (seconds).
MERCY: Final = 20.0
_MODULE: Final = "impose.printroom.worker"


@dataclass(frozen=True, slots=True)
class Said:
    """A stage or the outcome of the task with that number."""

    number: int
    word: Stage | Outcome


@dataclass(slots=True, eq=False)
class _Worker:
    child: subprocess.Popen[bytes]
    thread: threading.Thread | None = None
    number: int = -1
    task: Task | None = field(default=None)


class Workers:
    """At most `most` processes, started when there is work for them."""

    def __init__(self, most: int) -> None:
        self._most = max(1, most)
        self._all: list[_Worker] = []
        self._heard: queue.SimpleQueue[tuple[_Worker, Stage | Outcome | None]] = queue.SimpleQueue()

    def __enter__(self) -> Workers:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._end(at_once=kind is not None)

    @property
    def free(self) -> bool:
        """One more task can be given."""
        return self._busy < self._most

    @property
    def idle(self) -> bool:
        """No task is being worked at."""
        return not self._busy

    @property
    def _busy(self) -> int:
        return sum(worker.task is not None for worker in self._all)

    def give(self, number: int, task: Task) -> None:
        """To a worker that is free; what it says carries `number`."""
        worker = next((one for one in self._all if one.task is None), None) or self._start()
        worker.number, worker.task = number, task
        assert worker.child.stdin is not None
        with suppress(OSError):  # it has died: its thread tells so
            pickle.dump(task, worker.child.stdin, protocol=pickle.HIGHEST_PROTOCOL)
            worker.child.stdin.flush()

    def hear(self, seconds: float | None = None) -> Said | None:
        """The next word of any worker; None when there is none within that time."""
        try:
            worker, word = self._heard.get(timeout=seconds)
        except queue.Empty:
            return None
        number, task = worker.number, worker.task
        if isinstance(word, Stage):
            return Said(number, word)
        if word is None:
            self._all.remove(worker)
            code = worker.child.wait()
            _close(worker)
            if task is None:
                return None
            word = _lost(task, code)
        worker.task = None
        return Said(number, word)

    def _start(self) -> _Worker:
        worker = _Worker(start_child(_MODULE, start_new_session=True))
        worker.thread = threading.Thread(target=self._listen, args=(worker,), daemon=True)
        self._all.append(worker)
        worker.thread.start()
        return worker

    def _listen(self, worker: _Worker) -> None:
        """In a thread: only reads the worker's pipe."""
        assert worker.child.stdout is not None
        try:
            while True:
                self._heard.put((worker, pickle.load(worker.child.stdout)))
        except (EOFError, OSError, ValueError, pickle.UnpicklingError):
            self._heard.put((worker, None))

    def _end(self, at_once: bool) -> None:
        try:
            for worker in self._all:
                if at_once or worker.task is not None:
                    worker.child.terminate()
                _close_stdin(worker)
            last = time.monotonic() + MERCY
            for worker in self._all:
                _wait(worker, last - time.monotonic())
        finally:
            for worker in self._all:
                worker.child.kill()
                worker.child.wait()
                _close(worker)
            self._all.clear()


def _close(worker: _Worker) -> None:
    """Lets go of a child that has ended."""
    _close_stdin(worker)
    if worker.thread is not None:
        worker.thread.join()
    if worker.child.stdout is not None:
        worker.child.stdout.close()


def _close_stdin(worker: _Worker) -> None:
    with suppress(OSError):  # a task that was being written: the worker is gone
        if worker.child.stdin is not None:
            worker.child.stdin.close()


def _wait(worker: _Worker, seconds: float) -> None:
    with suppress(subprocess.TimeoutExpired):  # then killed; the next run sweeps what it leaves
        worker.child.wait(timeout=max(0.0, seconds))


def _lost(task: Task, code: int) -> Outcome:
    """The worker ended in the middle of the task."""
    how = f"with exit code {code}"
    if code < 0:
        try:
            how = f"by signal {signal.Signals(-code).name}"
        except ValueError:
            how = f"by signal {-code}"
    said = Finding.error(
        "process-ended",
        f"the process that made this job was ended {how}; nothing of the job was written",
        hint="the machine may be short of memory: make the job alone, or with fewer --jobs",
    )
    return Outcome(
        name=task.name,
        folder=task.folder,
        result=Result.NOT_MADE,
        findings=(said,),
        refused=ExitCode.INPUT,
    )
