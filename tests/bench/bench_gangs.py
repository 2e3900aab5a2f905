"""Gangs of flat items: how long layouts and cuts take, how full the sheets become.

Run by hand:  python tests/bench/bench_gangs.py [ITEMS]

Items are drawn from fixed seeds: 30 to 160 mm each way, half of them with 3 mm of
bleed, amounts from 100 to 2,000, on sheets of 520 x 720 mm.  `full` is the area of
the amounts, bleed included, by that of the sheets printed.  The work of other
programs on the machine is in the figures.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from flatplans import GUILLOTINE, Flat, book_of, card, job_for
from strategies import mm, page_facts

from impose.bench.program import add_cuts
from impose.geometry.box import Size
from impose.marks.drawing import add_marks
from impose.model.facts import BookPage
from impose.model.machines import Bench
from impose.plan.plan import Plan
from impose.schemes.planning import plan_flat_work

SHEET = Size(mm(520), mm(720))
SEEDS = (1, 2, 3, 4, 5)


def drawn(count: int, seed: int) -> list[Flat]:
    dice = random.Random(seed)
    return [
        card(
            dice.randint(30, 160),
            dice.randint(30, 160),
            dice.choice((100, 250, 500, 1000, 2000)),
            sides=dice.choice((1, 2)),
            supplied=dice.choice((mm(0), mm(3))),
        )
        for _ in range(count)
    ]


def full(plan: Plan, items: list[Flat]) -> float:
    used = sum(sheet.copies for sheet in plan.sheets) * float(
        SHEET.width.as_mm * SHEET.height.as_mm
    )
    wanted = 0.0
    for item in items:
        more = item.supplied * 2
        area = (item.size.width + more).as_mm * (item.size.height + more).as_mm
        wanted += float(area) * (item.amount or 0)
    return wanted / used


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    print(f"{count} items on {SHEET.text('mm')}")
    print("seed  layouts  sheets  full   layouts s   marks and cuts s")
    for seed in SEEDS:
        items = drawn(count, seed)
        job = job_for(items, SHEET, bench=Bench(cutter=GUILLOTINE))
        pages = [
            BookPage(number, side, page_facts(item.size, item.supplied))
            for number, item in enumerate(items)
            for side in range(1, item.sides + 1)
        ]
        names = [f"{number}.pdf" for number in range(count)]
        runs = [item.sides for item in items]
        began = time.perf_counter()
        plan = plan_flat_work(job, book_of(pages), runs, names)
        laid = time.perf_counter()
        add_cuts(add_marks(plan, job), job)
        cut = time.perf_counter()
        sheets = sum(sheet.copies for sheet in plan.sheets)
        print(
            f"{seed:4}  {len(plan.sheets):7}  {sheets:6}  {full(plan, items):4.0%}   "
            f"{laid - began:9.2f}   {cut - laid:16.2f}"
        )


if __name__ == "__main__":
    main()
