"""Planning without PDF: milliseconds for 1,000 pages, scheme by scheme.

Run by hand:  python tests/bench/bench_planning.py [PAGES]

Each figure is the least of some runs: planning does the same work every time, so
what is above the least is the machine's.  Garbage of earlier runs is collected
between them.  The reach is 20 ms for 1,000 pages, marks included.
"""

from __future__ import annotations

import gc
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from strategies import Asked, asked_for, mm

from impose.geometry.box import Size
from impose.marks.drawing import add_marks
from impose.model.job import Binding, Order
from impose.schemes.planning import plan_sheets

RUNS = 15
A4, A5, A6 = Size(mm(210), mm(297)), Size(mm(148), mm(210)), Size(mm(105), mm(148))
SRA3, SRA2 = Size(mm(320), mm(450)), Size(mm(450), mm(640))
BLEED: dict[str, Any] = {"supplied": mm(3)}
SCHEMES: dict[str, dict[str, Any]] = {
    "saddle, A5 on A4": {"binding": Binding.SADDLE, "trim": A5, "sheet": A4},
    "saddle, A5 on SRA3, bleed": {
        "binding": Binding.SADDLE,
        "trim": A5,
        "sheet": SRA3,
        **BLEED,
    },
    "sections of 16, one sheet each": {
        "binding": Binding.SECTIONS,
        "trim": A5,
        "sheet": SRA2,
        **BLEED,
    },
    "sections of 16, nested quartos": {
        "binding": Binding.SECTIONS,
        "trim": A5,
        "sheet": SRA3,
        **BLEED,
    },
    "glued sections of 32": {
        "binding": Binding.PERFECT,
        "trim": A5,
        "sheet": Size(mm(640), mm(900)),
        "section_pages": 32,
        "grind": mm(3),
        **BLEED,
    },
    "leaves, one up": {"binding": Binding.PERFECT, "trim": A5, "sheet": A4, "up": 1},
    "leaves, four up": {
        "binding": Binding.PERFECT,
        "trim": A6,
        "sheet": SRA3,
        "up": 4,
        **BLEED,
    },
    "loose, repeated four times": {
        "binding": Binding.LOOSE,
        "trim": A6,
        "sheet": SRA3,
        "up": 4,
        "order": Order.REPEAT,
    },
}


def milliseconds(asked: Asked) -> tuple[float, float]:
    """Planning, and planning with marks: the least of the runs."""
    pages, best, marked = asked.pages, float("inf"), float("inf")
    for _ in range(RUNS):
        gc.collect()
        start = time.perf_counter()
        plan = plan_sheets(asked.job, pages, asked.faces, ["pages.pdf"])
        middle = time.perf_counter()
        add_marks(plan, asked.job)
        end = time.perf_counter()
        best, marked = min(best, middle - start), min(marked, end - start)
    return best * 1000, marked * 1000


def main() -> None:
    pages = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    print(f"{pages} pages; ms for each 1,000: planned, with marks")
    for name, what in SCHEMES.items():
        asked = asked_for(pages, **what)
        planned, marked = (ms * 1000 / pages for ms in milliseconds(asked))
        sheets = len(asked.planned().sheets)
        print(f"{name:32} {planned:7.1f} {marked:7.1f}   {sheets} sheets")


if __name__ == "__main__":
    main()
