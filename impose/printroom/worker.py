"""`python -m impose.printroom.worker`: makes one job after another for the process that started it.

Tasks come in on stdin; stages and outcomes go out on stdout, pickled: both ends
are the same program on the same machine.  The worker stands in a session of its
own, so that an interrupt at the terminal reaches it only through its parent,
and once: what it is making is then taken away.  It ends when its parent does.
"""

from __future__ import annotations

import pickle
import signal
import sys
import time
from typing import Any, BinaryIO, Final

from impose.printroom.one import do
from impose.printroom.task import Outcome, Stage

#: No stage is told sooner than this after another (seconds).
_BREATH: Final = 0.2


class _Teller:
    """The progress of a job, to the parent."""

    def __init__(self, out: BinaryIO) -> None:
        self._out = out
        self._last = 0.0

    def stage(self, words: str, done: int = 0, of: int = 0) -> None:
        now = time.monotonic()
        if now - self._last >= _BREATH:
            self._last = now
            tell(self._out, Stage(words=words, done=done, of=of))


def tell(out: BinaryIO, word: Stage | Outcome) -> None:
    """One message."""
    pickle.dump(word, out, protocol=pickle.HIGHEST_PROTOCOL)
    out.flush()


def main() -> None:
    """Serves until stdin ends or the parent says stop."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, _stop_once)
    tasks, out = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # nobody's chatter may fall into the answers
    try:
        while True:
            tell(out, do(pickle.load(tasks), _Teller(out)))
    except (EOFError, BrokenPipeError):
        return  # the parent has no more work, or is gone
    except KeyboardInterrupt:
        sys.exit(130)


def _stop_once(number: int, frame: Any) -> None:
    signal.signal(number, signal.SIG_IGN)  # what is cleaned up is not interrupted again
    raise KeyboardInterrupt


if __name__ == "__main__":
    main()
