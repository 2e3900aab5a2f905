"""Child processes of the program: the same package, and nothing from the folder it is run in."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import impose


def start_child(module: str, **more: Any) -> subprocess.Popen[bytes]:
    """Starts `python -m MODULE` with pipes to its stdin and stdout; it says nothing else.

    `more` goes to `Popen`.
    """
    here = Path(impose.__file__).parent.parent
    path = os.pathsep.join([str(here), *(p for p in sys.path if p)])
    return subprocess.Popen(
        [sys.executable, "-P", "-m", module],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": path},
        **more,
    )


def cores() -> int:
    """Cores this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1
