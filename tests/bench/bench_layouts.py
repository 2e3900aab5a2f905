"""Layouts of one job over 30 sheet sizes: milliseconds of one core.

Run by hand:  python tests/bench/bench_layouts.py [PAGES]

Each figure is the least of some runs, of the processor's time: one core is used.  The
reach is one second.  On a press four ways of printing are compared on each sheet.
"""

from __future__ import annotations

import gc
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from benchplans import library
from strategies import Asked, asked_for, mm

from impose import units
from impose.bench.layoutrow import Comparison
from impose.bench.layouts import compare
from impose.geometry.box import Size
from impose.model.job import Binding
from impose.model.machines import Bench
from impose.schemes.planning import comparable

RUNS = 3
REACH = 1000  # milliseconds
SHEETS = 30
A5, CARD, LABEL = Size(mm(148), mm(210)), Size(mm(85), mm(55)), Size(mm(40), mm(25))
GUILLOTINE = {"bench": Bench(cutter=library().cutter("guillotine-hydraulic"))}
PRESS = {
    "printer": replace(library().printer("large-press"), sheet_min=None, sheet_max=None),
    "copies": 1000,
    **GUILLOTINE,
}
JOBS: dict[str, dict[str, Any]] = {
    "leaves or glued sections": {"binding": Binding.PERFECT, "trim": A5, "grind": mm(3)},
    "sewn sections": {"binding": Binding.SECTIONS, "trim": A5},
    "saddle": {"binding": Binding.SADDLE, "trim": A5},
    "leaves, a guillotine": {"binding": Binding.PERFECT, "trim": A5, **GUILLOTINE},
    "cards, a guillotine": {"binding": Binding.LOOSE, "trim": CARD, "copies": 60, **GUILLOTINE},
    "sewn sections, a press": {"binding": Binding.SECTIONS, "trim": A5, **PRESS},
    "leaves, a press": {"binding": Binding.PERFECT, "trim": A5, "grind": mm(3), **PRESS},
    "labels, a guillotine": {"binding": Binding.LOOSE, "trim": LABEL, "copies": 60, **GUILLOTINE},
    "labels, 60 copies": {"binding": Binding.LOOSE, "trim": LABEL, "copies": 60},
    "cards, 60 copies": {"binding": Binding.LOOSE, "trim": CARD, "copies": 60},
}


def wanted(pages: int, what: dict[str, Any]) -> Asked:
    """A job with the first 30 sizes from A4 to B1 or so to choose from."""
    sheets = [
        sheet
        for sheet in library().sheets()
        if mm(200) <= min(sheet.size.width, sheet.size.height)
        and max(sheet.size.width, sheet.size.height) <= mm(1030)
    ][:SHEETS]
    asked = asked_for(pages, sheet=sheets[0].size, supplied=mm(3), **what)
    return replace(asked, job=replace(asked.job, at_hand=tuple(sheets)))


def milliseconds(asked: Asked) -> tuple[float, Comparison]:
    """The least of the runs, and what came out."""
    best = float("inf")
    for _ in range(RUNS):
        gc.collect()
        units._text.cache_clear()  # no run may live on what another found
        start = time.process_time()
        found = compare(comparable(asked.job, asked.pages, asked.faces))
        best = min(best, time.process_time() - start)
    return best * 1000, found


def main() -> None:
    given = int(sys.argv[1]) if len(sys.argv) > 1 else 320
    for name, what in JOBS.items():
        pages = {Binding.SADDLE: min(given, 64), Binding.LOOSE: 2}.get(what["binding"], given)
        asked = wanted(pages, what)
        took, found = milliseconds(asked)
        print(
            f"{name:26} {pages:4} pages on {len(asked.job.at_hand)} sizes: {took:6.0f} ms, "
            f"{took / REACH:.2f} of the reach; {len(found.rows)} layouts, "
            f"{len(found.unfit)} fall out"
        )


if __name__ == "__main__":
    main()
