"""What ticket and report say of folded panels: the open piece, its panels, folds, slit and tabs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from impose.geometry.box import Size
from impose.plan.plan import ONE_SHEET_BOTH, Plan
from impose.schemes.concertina import JOINED
from impose.schemes.onesheet import PANELS
from impose.schemes.panelbook import Paper, paper_of
from impose.units import Length, both_units, reading_text


def panel_rows(plan: Plan) -> Iterator[tuple[str, str]]:
    """Label and words; nothing for other books."""
    if not plan.panelled:
        return
    unit, papers = plan.unit, [paper_of(plan, sheet) for sheet in plan.sheets]
    first, kind = papers[0], plan.gathering[0].kind
    yield "Open, before folding", _open(papers, kind, unit)
    if kind == JOINED:
        yield from _strip(plan, papers)
        return
    yield "Panels", _panels(first, unit)
    if kind == PANELS:
        slit = first.xs[3] - first.xs[1]
        yield "Slit", f"{both_units(slit, unit)} along the middle, between the inner panels"
        if plan.scheme == ONE_SHEET_BOTH:
            half = plan.faces // 2
            more = f"{half + 1} to {plan.faces}"
            yield "Reads", f"pages 1 to {half}; refolded the other way out, {more}"


def _open(papers: list[Paper], kind: str, unit: str) -> str:
    sizes = [Size(p.xs[-1] - p.xs[0], p.ys[-1] - p.ys[0]) for p in papers]
    if kind != JOINED or len(papers) == 1:
        return sizes[0].text(unit)
    whole = sum((size.width for size in sizes), Length())
    for paper, size in zip(papers[:-1], sizes, strict=False):
        whole = whole - _tab(paper, papers[-1], size)
    return f"{Size(whole, sizes[0].height).text(unit)}, joined of {len(papers)} sheets"


def _tab(paper: Paper, last: Paper, size: Size) -> Length:
    """What a sheet has beyond its panels."""
    panel = last.xs[1] - last.xs[0]
    return size.width - panel * ((len(paper.xs) - 1) - 1)


def _strip(plan: Plan, papers: list[Paper]) -> Iterator[tuple[str, str]]:
    unit = plan.unit
    panel = papers[-1].xs[1] - papers[-1].xs[0]
    counts = [len(p.xs) - 1 - (1 if p is not papers[-1] else 0) for p in papers]
    yield "Panels", f"{sum(counts)} of {both_units(panel, unit)}, folded to and fro"
    if len(papers) > 1:
        tab = _tab(papers[0], papers[-1], Size(papers[0].xs[-1] - papers[0].xs[0], Length()))
        per = " + ".join(map(str, counts))
        yield "Joined", f"{per} panels, a tab of {both_units(tab, unit)} at each joint"


def _panels(paper: Paper, unit: str) -> str:
    """Widths from the left of the sheet's front, heights from its foot where there are several."""
    widths = [b - a for a, b in pairwise(paper.xs)]
    heights = [b - a for a, b in pairwise(paper.ys)]
    across = _alike(widths, unit)
    if len(heights) == 1:
        return f"{across}, from the left of the front"
    return f"{across} across; {_alike(heights, unit)} up"


def _alike(lengths: list[Length], unit: str) -> str:
    if all(length.near(lengths[0], Length(8)) for length in lengths):
        return f"{len(lengths)} x {reading_text(lengths[0], unit)}"
    return " + ".join(reading_text(length, unit) for length in lengths)
