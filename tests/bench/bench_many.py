"""Many small jobs: side by side against one after another, and unchanged ones against made ones.

Run by hand:  python tests/bench/bench_many.py [JOBS] [PAGES]

Each job has pages of its own and is made whole, looks at the pages included.
One after another is a process a job, as a loop in a shell would do it, and, to
tell start-up from the rest, one worker (`--jobs 1`).  All figures are of whole
processes in one run, as ratios.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from bench_make import write_text_pages

MAKE = [sys.executable, "-c", "from impose.cli.main import main; main()", "make"]


def write_jobs(folder: Path, jobs: int, pages: int) -> list[Path]:
    """Saddle-stitched booklets, each of its own pages."""
    found = []
    for number in range(1, jobs + 1):
        name = f"job{number:03}"
        write_text_pages(folder / f"{name}.pdf", pages + 4 * (number % 3))
        path = folder / f"{name}.toml"
        path.write_text(
            f'[book]\ntitle = "{name}"\npages = ["{name}.pdf"]\ntrim = "420pt x 595pt"\n'
            'binding = "saddle"\n[guts]\nstock = "0.1mm"\nsheet = "sra3"\n'
        )
        found.append(path)
    return found


def took(command: list[str]) -> float:
    """Wall seconds; the command must end well."""
    start = time.perf_counter()
    done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr.decode())
    return time.perf_counter() - start


def main() -> None:
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    pages = int(sys.argv[2]) if len(sys.argv) > 2 else 8
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paths = [str(path) for path in write_jobs(folder, jobs, pages)]
        loop = sum(took([*MAKE, path, "--quiet", "--out", f"{folder}/l/{i}"])
                   for i, path in enumerate(paths))  # fmt: skip
        one = took([*MAKE, *paths, "--quiet", "--jobs", "1", "--out", f"{folder}/one"])
        side = took([*MAKE, *paths, "--quiet", "--out", f"{folder}/side"])
        again = took([*MAKE, *paths, "--quiet", "--out", f"{folder}/side"])
        same = all(
            (folder / "one" / Path(path).stem / file).read_bytes()
            == (folder / "side" / Path(path).stem / file).read_bytes()
            for path in paths
            for file in ("guts.pdf", "ticket.pdf", "plan.json")
        )
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    print(f"{jobs} jobs of {pages} to {pages + 8} pages, {cores} cores, same bytes: {same}")
    print(f"  a process a job, one after another   {loop:7.1f} s")
    print(f"  --jobs 1                             {one:7.1f} s  {one / loop:.2f} x")
    print(f"  side by side                         {side:7.1f} s  {side / loop:.2f} x")
    print(
        f"  once more, all unchanged             {again:7.1f} s  {again / side:.3f} x side by side"
    )


if __name__ == "__main__":
    main()
