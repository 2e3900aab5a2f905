"""A command in a child process that may not take more than its share of time and memory."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """`seconds` by the clock; `memory` in bytes of address space, for each process."""

    seconds: float = 120.0
    memory: int = 4 << 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a child ended; `code` is None when it was stopped because its time was over."""

    code: int | None
    out: str
    err: str


def run_child(command: Sequence[str], limits: Limits, folder: Path) -> Ended:
    """Runs Python with these arguments in `folder`; its own children end with it."""

    def limited() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (limits.memory, limits.memory))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    child = subprocess.Popen(
        [sys.executable, "-P", *command],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        preexec_fn=limited,
        start_new_session=True,
    )
    try:
        out, err = child.communicate(timeout=limits.seconds)
        code: int | None = child.returncode
    except subprocess.TimeoutExpired:
        code = None
        os.killpg(child.pid, signal.SIGKILL)
        out, err = child.communicate()
    return Ended(code=code, out=out.decode("utf-8", "replace"), err=err.decode("utf-8", "replace"))
