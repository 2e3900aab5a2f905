"""`python -m tests.corpus FOLDER ... [--jobs N]`: every file of the folders made into books.

Each PDF or picture becomes a saddle booklet and a perfect-bound set, in a child
process with limits on time and memory.  What may happen: **right** (made, read by
qpdf's check and three readers, a few pages drawn and equal to the source) or
**error** (refused in words).  What may not: traceback, hang, wrong.  The exit
code is 1 when anything of the second kind is there.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tests.corpus.childrun import Ended, Limits, run_child

SUFFIXES = {".pdf", ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp"}
BOOKS = {
    "saddle": ["--binding", "saddle", "--sheet", "a4"],
    "perfect": ["--binding", "perfect", "--sheet", "a4", "--up", "1", "--no-check"],
}
COMMON = ["--trim", "a5", "--fit", "scale"]
FAULTS = ("traceback", "hang", "wrong")
KINDS = ("right", "error", *FAULTS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one file and binding; `kind` is one of `KINDS`.

    `compared` is how many of its pages were drawn and held to the source.
    """

    path: Path
    binding: str
    kind: str
    words: str = ""
    compared: int = 0


def main() -> int:
    """Runs, prints a line for each file that is not right, and the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.corpus", description=__doc__)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--seconds", type=float, default=120.0, help="for each command")
    parser.add_argument("--memory", type=int, default=4096, help="MiB for each process")
    parser.add_argument("--report", type=Path, help="every outcome as lines of JSON")
    asked = parser.parse_args()
    limits = Limits(seconds=asked.seconds, memory=asked.memory << 20)
    tasks = [(path, binding) for path in files(asked.folders) for binding in BOOKS]
    outcomes = []
    with ThreadPoolExecutor(asked.jobs) as pool:
        for outcome in pool.map(lambda task: one(*task, limits), tasks):
            outcomes.append(outcome)
            if outcome.kind != "right":
                print(f"{outcome.kind:9} {outcome.binding:7} {outcome.path}: {outcome.words}")
                sys.stdout.flush()
    if asked.report:
        asked.report.write_text("".join(_line(outcome) for outcome in outcomes), "utf-8")
    print(table(outcomes))
    return int(any(outcome.kind in FAULTS for outcome in outcomes))


def files(folders: Iterable[Path]) -> Iterator[Path]:
    """PDFs and pictures below the folders (a file stands for itself), in order."""
    for folder in folders:
        found = [folder] if folder.is_file() else sorted(folder.rglob("*"))
        yield from (
            path.resolve()
            for path in found
            if path.is_file() and not path.is_symlink() and path.suffix.lower() in SUFFIXES
        )


def one(path: Path, binding: str, limits: Limits) -> Outcome:
    """Makes one book in a folder of its own and judges it."""
    with tempfile.TemporaryDirectory(prefix="corpus-") as folder:
        out = Path(folder) / "o"
        before = path.read_bytes(), path.stat().st_mtime_ns
        ended = run_child(
            ["-m", "impose", "make", str(path), *BOOKS[binding], *COMMON, "--out", str(out)],
            limits,
            Path(folder),
        )
        kind, words = judged(ended)
        left = [left.name for left in out.glob(".impose-*")] if out.is_dir() else []
        compared = 0
        if left and kind in ("right", "error"):
            kind, words = "wrong", f"temporary files are left: {', '.join(left)}"
        elif (path.read_bytes(), path.stat().st_mtime_ns) != before:
            kind, words = "wrong", "the input was changed"
        elif kind == "right":
            kind, words, compared = compared_with(path, out, limits, Path(folder))
        shutil.rmtree(out, ignore_errors=True)
    return Outcome(path=path, binding=binding, kind=kind, words=words, compared=compared)


def judged(ended: Ended) -> tuple[str, str]:
    """Kind and words from how `make` ended; what was written is looked at later."""
    last = ended.err.strip().splitlines()[-1:] or [""]
    if ended.code is None:
        return "hang", "its time was over"
    if "Traceback" in ended.err or ended.code not in (0, 1, 2, 3, 4):
        return "traceback", f"exit code {ended.code}: {last[0]}"
    if ended.code in (0, 1):
        return "right", ""
    told = [line for line in ended.err.splitlines() if line.startswith("ERROR:")]
    if not told:
        return "traceback", f"exit code {ended.code} without a word: {last[0]}"
    return "error", told[0].removeprefix("ERROR: ")


def compared_with(path: Path, out: Path, limits: Limits, folder: Path) -> tuple[str, str, int]:
    """Kind, words, and how many pages were compared."""
    if path.suffix.lower() != ".pdf":
        command = ["-m", "tests.corpus.comparing", str(out)]
    else:
        command = ["-m", "tests.corpus.comparing", str(out), str(path)]
    ended = run_child(command, limits, folder)
    try:
        told = json.loads(ended.out)
    except ValueError:
        last = ended.err.strip().splitlines()[-1:] or [f"exit code {ended.code}"]
        return "wrong", f"could not be compared: {last[0]}", 0
    if told["faults"]:
        return "wrong", "; ".join(told["faults"]), told["compared"]
    return "right", "", told["compared"]


def table(outcomes: Iterable[Outcome]) -> str:
    """How many of each kind, for each binding."""
    outcomes = list(outcomes)
    rows = [f"{'':10}" + "".join(f"{kind:>11}" for kind in KINDS) + f"{'files':>8}"]
    for binding in BOOKS:
        mine = [outcome for outcome in outcomes if outcome.binding == binding]
        counted = Counter(outcome.kind for outcome in mine)
        rows.append(
            f"{binding:10}" + "".join(f"{counted[kind]:11}" for kind in KINDS) + f"{len(mine):8}"
        )
    rows.append(f"pages drawn and held to their source: {sum(o.compared for o in outcomes)}")
    refused = Counter(_shape(outcome) for outcome in outcomes if outcome.kind == "error")
    rows += [f"{count:5} x {words}" for words, count in refused.most_common(20)]
    return "\n".join(rows)


def _shape(outcome: Outcome) -> str:
    """The words of a refusal without the file's name, so that equal ones are counted together."""
    return outcome.words.replace(str(outcome.path), "FILE")[:100]


def _line(outcome: Outcome) -> str:
    values = {name: str(getattr(outcome, name)) for name in ("path", "binding", "kind", "words")}
    return json.dumps({**values, "compared": outcome.compared}) + "\n"


if __name__ == "__main__":
    sys.exit(main())
