"""`make` against opening and saving the same file: time, peak memory, size, as ratios.

Run by hand:  python tests/bench/bench_make.py [PAGES] [LARGE_PAGES]

Each command is a process of its own; the figures are medians of five runs taken
in turn, so that a drift of the machine's speed falls on both.  Pages are text
pages of about 45 lines, as a word processor writes them.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pikepdf
from pikepdf import Array, Dictionary, Name

RUNS = 5
SENTENCE = (
    "lamp tower keeper fog rock tide bell harbour slow grey water light window stair "
    "oil brass wick storm morning evening ferry rope paint gull north quay island night"
)
PLAIN = "import pikepdf,sys\nwith pikepdf.open(sys.argv[1]) as p: p.save(sys.argv[2])"
MAKE = "from impose.cli.main import main; main()"


def write_text_pages(path: Path, pages: int) -> None:
    """A5 text pages, the same for the same count."""
    rng = random.Random(pages)
    words = SENTENCE.split()
    pdf = pikepdf.new()
    font = pdf.make_indirect(
        Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name("/Times-Roman"))
    )
    resources = pdf.make_indirect(Dictionary(Font=Dictionary(F1=font)))
    for number in range(1, pages + 1):
        lines = ["BT /F1 10 Tf 12 TL 40 555 Td"]
        for _ in range(45):
            spacing = rng.randrange(-20, 60) / 1000
            lines.append(f"{spacing:.3f} Tw ({' '.join(rng.choices(words, k=12))}) Tj T*")
        lines.append(f"ET BT /F1 9 Tf 200 20 Td ({number}) Tj ET")
        page = Dictionary(
            Type=Name.Page,
            MediaBox=Array([0, 0, 420, 595]),
            Resources=resources,
            Contents=pdf.make_stream("\n".join(lines).encode()),
        )
        pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
    pdf.save(path, object_stream_mode=pikepdf.ObjectStreamMode.generate)


def run(command: list[str]) -> tuple[float, float]:
    """Wall seconds and peak megabytes of one process."""
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    took = time.perf_counter() - start
    if status:
        raise SystemExit(f"failed: {' '.join(command)}")
    return took, usage.ru_maxrss / 1024


def medians(commands: list[list[str]]) -> list[tuple[float, float]]:
    """Median time and memory of each command, run in turn."""
    found: list[list[tuple[float, float]]] = [[] for _ in commands]
    for _ in range(RUNS):
        for index, command in enumerate(commands):
            found[index].append(run(command))
    return [
        (statistics.median(t for t, _ in each), statistics.median(m for _, m in each))
        for each in found
    ]


def main() -> None:
    if sys.argv[1:2] == ["--write"]:
        write_text_pages(Path(sys.argv[2]), int(sys.argv[3]))
        return
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    large = int(sys.argv[2]) if len(sys.argv) > 2 else 50_000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        small_file, large_file = folder / "small.pdf", folder / "large.pdf"
        # In processes of their own: a child's peak memory counts what it was forked from.
        for path, count in ((small_file, pages), (large_file, large)):
            subprocess.run([sys.executable, __file__, "--write", str(path), str(count)], check=True)
        options = ["--binding", "saddle", "--trim", "a5", "--sheet", "sra3"]
        make = [sys.executable, "-c", MAKE, "make"]
        only = ["--only", "guts", "--no-check", "--quiet"]
        plain, made, grown = medians(
            [
                [sys.executable, "-c", PLAIN, str(small_file), str(folder / "plain.pdf")],
                [*make, str(small_file), *options, *only, "--out", str(folder / "small")],
                [*make, str(large_file), *options, *only, "--out", str(folder / "large")],
            ]
        )
        size = (folder / "small" / "guts.pdf").stat().st_size
        plain_size = (folder / "plain.pdf").stat().st_size
        print(f"{pages} pages, 2-up both sides with marks and slug, against open and save:")
        print(f"  time   {made[0] / plain[0]:.2f} x  ({made[0]:.2f} s against {plain[0]:.2f} s)")
        print(f"  memory {made[1] / plain[1]:.2f} x  ({made[1]:.0f} MB against {plain[1]:.0f} MB)")
        print(f"  size   {size / plain_size:.3f} x  ({size} against {plain_size} bytes)")
        print(
            f"{large} pages against {pages}: {grown[0] / made[0]:.2f} x the time for "
            f"{large / pages:g} x the pages"
        )


if __name__ == "__main__":
    main()
