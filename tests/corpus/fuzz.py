"""`python -m tests.corpus.fuzz [--cases 5000] [--first 0] [--jobs 2]`: damaged files by number.

Each case ends as a book, as an error in words, or as a defect (traceback, crash,
hang, wrong); the exit code is 1 when there is a defect.  `--first N --cases 1`
does one case again.
"""

from __future__ import annotations

import argparse
import os
import selectors
import subprocess
import sys
import tempfile
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.corpus.childrun import ROOT

#: A case that takes longer is a hang (seconds).
PATIENCE = 60.0
GOOD = ("made", "error")


def main() -> int:
    """Runs all cases, prints every defect, then how many there are of each kind."""
    parser = argparse.ArgumentParser(prog="python -m tests.corpus.fuzz", description=__doc__)
    parser.add_argument("--cases", type=int, default=5000)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--jobs", type=int, default=2)
    asked = parser.parse_args()
    share = -(-asked.cases // asked.jobs)
    end = asked.first + asked.cases
    ranges = [(n, min(share, end - n)) for n in range(asked.first, end, share)]
    with ThreadPoolExecutor(asked.jobs) as pool:
        kinds = sum(pool.map(lambda one: cases(*one), ranges), Counter())
    print("  ".join(f"{kind} {kinds[kind]}" for kind in sorted(kinds)), f"  of {asked.cases}")
    return int(any(kind not in GOOD for kind in kinds))


def cases(first: int, count: int) -> Counter[str]:
    """In a child process, and in another one after each that dies or hangs."""
    kinds: Counter[str] = Counter()
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        while count:
            done = run_on(first, count, Path(folder), kinds)
            first, count = first + done, count - done
    return kinds


def run_on(first: int, count: int, folder: Path, kinds: Counter[str]) -> int:
    """How many cases the child did, that at which it ended included."""
    command = [sys.executable, "-m", "tests.corpus.fuzzcases", str(first), str(count), str(folder)]
    done, begun = 0, False
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    ) as child:  # fmt: skip
        assert child.stdout is not None
        waiting = selectors.DefaultSelector()
        waiting.register(child.stdout, selectors.EVENT_READ)
        while done < count:
            if not waiting.select(PATIENCE):
                child.kill()
                told(first + done, "hang", kinds)
                return done + 1
            line = child.stdout.readline()
            if not line:
                break
            begun = line.startswith("begin")
            if not begun:
                told(first + done, line.removeprefix("end ").strip(), kinds)
                done += 1
    if done == count:
        return done
    told(first + done, f"crash {child.returncode}" if begun else "crash at the start", kinds)
    return done + 1


def told(number: int, words: str, kinds: Counter[str]) -> None:
    kind = words.split(" ")[0]
    kinds[kind] += 1
    if kind not in GOOD:
        print(f"case {number}: {words}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
