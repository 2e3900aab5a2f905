"""Paper and count: how many sheets, how heavy and how high, how much of it is waste."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from impose.bench.pile import Pile
from impose.bench.sheetgrid import guts_sheets
from impose.geometry.box import Size
from impose.model.job import Binding, Job, Order
from impose.plan.plan import Plan
from impose.schemes.pressroom import copies_on
from impose.schemes.spine import thicknesses_of

_SQUARE_MM = 1_000_000  # to the square metre


def prints(plan: Plan, job: Job) -> int:
    """How often each sheet is printed for the copies of the job, overs not counted.

    A sheet of repeats carries several copies at once, as does one that is printed
    work-and-turn or two up.
    """
    if plan.flat:  # the sheets of each layout are counted by themselves
        return 1
    if plan.halved or plan.two_up:
        return -(-job.copies // copies_on(guts_sheets(plan), plan.faces))
    places = len(guts_sheets(plan)[0].front.placements)
    if plan.scheme == "leaves" and job.guts.order is Order.REPEAT and places > 1:
        return -(-job.copies // places)
    return job.copies


def overs_of(plan: Plan, job: Job) -> int:
    """Sheets printed besides those needed: so many of each different sheet."""
    sheets = guts_sheets(plan)
    different = len(sheets) if plan.flat else sum(sheet.copies for sheet in sheets)
    return different * job.guts.overs


def sheet_pile(plan: Plan, job: Job) -> Pile:
    """All sheets of the guts of all copies, one on the other; overs do not reach the cutter."""
    count = sum(sheet.copies for sheet in guts_sheets(plan)) * prints(plan, job)
    return Pile(count=count, each=job.guts.stock.caliper)


def book_pile(plan: Plan, job: Job) -> Pile:
    """All copies; one is its measured spine, else its leaves, and the cover round them."""
    cover = job.cover
    thick = thicknesses_of(plan, job).thick(job.guts.stock.caliper)
    if cover is not None and cover.spine is not None and job.binding is not Binding.SADDLE:
        thick = cover.spine
    if cover is not None and cover.separate:
        thick = thick + (cover.stock or job.guts.stock).caliper * 2
    return Pile(count=job.copies, each=thick)


def folded_pile(plan: Plan, job: Job) -> Pile:
    """French-folded leaves of all copies: each is the paper twice."""
    leaves = plan.faces // 2 * job.copies
    return Pile(count=leaves, each=job.guts.stock.caliper * 2)


def weight(plan: Plan, job: Job) -> Fraction | None:
    """All sheets in grams, to a hundredth; None when the grammage is not known."""
    grammage = job.guts.stock.grammage
    if grammage is None:
        return None
    counts: Counter[Size] = Counter()
    times = prints(plan, job)
    for sheet in guts_sheets(plan):
        counts[sheet.size] += sheet.copies * times
    area = sum((s.width.as_mm * s.height.as_mm * n for s, n in counts.items()), Fraction(0))
    return _hundredths(area * grammage / _SQUARE_MM)


def waste(plan: Plan) -> Fraction:
    """Per cent of the paper's area that is not in the trimmed leaves, to a hundredth."""
    paper = used = 0  # in square grains
    for sheet in guts_sheets(plan):
        paper += sheet.size.width.grains * sheet.size.height.grains * sheet.copies
        for placement in sheet.front.placements:
            trim = placement.trim
            area = (trim.x1.grains - trim.x0.grains) * (trim.y1.grains - trim.y0.grains)
            used += area * sheet.copies
    return _hundredths(Fraction(paper - used, paper) * 100) if paper else Fraction(0)


def _hundredths(value: Fraction) -> Fraction:
    return Fraction(round(value * 100), 100)
