"""What lies too near the folds, slits and outer edges of folded panels.

A fold by hand wanders by about a millimetre, and words near it bend round it;
a slit is cut by hand; at the paper's own edge most printers print nothing
(common practice).  So words keep from them what they keep from a trim.  On a
flat side whose panels are one piece of art, a fold may cross pictures, but
words across it are told.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from impose.checks.grouping import Group, Hit, hit, tell
from impose.checks.paneledges import EdgeKind, PanelEdges
from impose.checks.safe import SafeDistances
from impose.checks.seen import SIDES, Seen, SeenPage
from impose.checks.words import file_of, measured, pages_text, stated, thing_name, things_name
from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.model.job import Job
from impose.plan.parts import LineKind, Sheet
from impose.plan.plan import FLAT, Plan
from impose.units import ZERO, Length

NEAR_FOLD: Final = "near-fold"
NEAR_SLIT: Final = "near-slit"
NEAR_EDGE: Final = "near-paper-edge"
ACROSS_FOLD: Final = "across-fold"
_SLACK: Final = Length.mm("0.15")
_CODE: Final = {
    EdgeKind.FOLD: NEAR_FOLD,
    EdgeKind.SLIT: NEAR_SLIT,
    EdgeKind.PAPER: NEAR_EDGE,
}
_RISK: Final = {
    NEAR_FOLD: "it may bend round the fold",
    NEAR_SLIT: "the slit may run into it",
    NEAR_EDGE: "most printers print nothing so near the edge",
}
#: What a finding of each code is about.
NEAR_WHAT: Final = {NEAR_FOLD: "fold", NEAR_SLIT: "slit", NEAR_EDGE: "edge of the paper"}


def check_panel_folds(
    plan: Plan, job: Job, pages: Iterable[SeenPage], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Words nearer to a fold, a slit or the edge of the paper than is safe, or across a fold."""
    if not plan.panelled:
        return ()
    edges, pages = PanelEdges(plan), list(pages)
    found = tell(_near(edges, pages, safe), lambda group: _say(group, plan, job))
    return (*found, *_across(plan, pages)) if plan.scheme in FLAT else found


def _near(edges: PanelEdges, pages: Iterable[SeenPage], safe: SafeDistances) -> list[Hit]:
    return [found for page in pages for found in _near_on(edges, page, safe)]


def _near_on(edges: PanelEdges, page: SeenPage, safe: SafeDistances) -> Iterator[Hit]:
    kinds = edges.of(page.placement)
    for side in SIDES:
        code = _CODE.get(kinds[side])
        if code is None:
            continue
        limit = safe.at(side)
        for seen in page.things:
            if not seen.is_print or page.outside(seen):
                continue
            if ZERO - _SLACK <= seen.distance(side) < limit - _SLACK:
                yield hit(code, page.page, side, seen, limit)


def _say(group: Group, plan: Plan, job: Job) -> Finding:
    worst, unit = group.worst, job.unit
    near, safe = measured(max(worst.near, ZERO), unit), stated(worst.safe, unit)
    what = f"{things_name(group.outlines, unit)} on {pages_text(group.pages)}"
    return Finding(
        severity=Severity.WARNING,
        code=worst.code,
        message=f"{what}: {near} from the "
        f"{NEAR_WHAT[worst.code]} at the {worst.side}; {safe} is safe: {_RISK[worst.code]}",
        hint=f"move it in to {safe} or more from there",
        file=file_of(plan, group.pages),
        pages=group.pages,
        side=worst.side,
        numbers={
            "thing": thing_name(worst.outline, unit),
            **worst.where,
            "distance": worst.near.text(unit),
            "safe": worst.safe.text(unit),
        },
    )


# -- flat sides ---------------------------------------------------------------------------


def _across(plan: Plan, pages: Iterable[SeenPage]) -> Iterator[Finding]:
    """Words that a fold crosses, one finding a page."""
    sheets = {
        id(placement): (sheet, name)
        for sheet in plan.sheets
        for name, side in sheet.sides
        for placement in side.placements
    }
    for page in pages:
        sheet, name = sheets[id(page.placement)]
        words = [seen for seen in page.things if seen.is_text]
        crossed = [seen for seen in words if _crosses(page, seen, sheet, name)]
        if not crossed:
            continue
        told = ", ".join(f"'{seen.outline.words.strip()[:30]}'" for seen in crossed[:3])
        more = f" and {len(crossed) - 3} more" if len(crossed) > 3 else ""
        yield Finding.warning(
            ACROSS_FOLD,
            f"a fold runs through words on page {page.page}: {told}{more}",
            hint="fine for a headline; keep reading text within a panel",
            file=file_of(plan, (page.page,)),
            pages=(page.page,),
            nearest_page=page.page,
            box=crossed[0].outline.box.text("pt"),
        )


def _crosses(page: SeenPage, seen: Seen, sheet: Sheet, name: str) -> bool:
    """The thing on the sheet, seen from its front, has a fold inside it."""
    trim = page.placement.trim
    edges = seen.inside.edges(page.placement.spine_at, page.placement.upside_down)
    box = Box(
        trim.x0 + edges.left, trim.y0 + edges.bottom, trim.x1 - edges.right, trim.y1 - edges.top
    )
    if name == "back":
        box = sheet.turned.over(box, sheet.size)
    for line in sheet.lines:
        if line.kind is not LineKind.FOLD:
            continue
        low, high, at = (box.x0, box.x1, line.x0) if line.upright else (box.y0, box.y1, line.y0)
        if low + _SLACK < at < high - _SLACK:
            return True
    return False
