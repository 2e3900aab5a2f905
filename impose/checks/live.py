"""Live matter: what the knife, the fold and the glue take of what is on the pages.

At each side that is cut:

* art that reaches the bleed edge is fine; art that touches or crosses the trim
  and stops short of it may show a white edge;
* text that crosses the trim is cut off, a small thing that does may be;
* what lies inside the trim but nearer than the safe distance may be cut.

Art on top of a background that itself runs off the page there is part of that
background.  Text toward the spine is judged in `impose.checks.spine`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Final

from impose.checks.grouping import Group, Hit, hit, tell
from impose.checks.paneledges import PanelEdges
from impose.checks.safe import SafeDistances
from impose.checks.seen import SIDES, Seen, SeenPage, at_side, first_placements
from impose.checks.words import file_of, measured, stated, thing_name, things_name, where_text
from impose.findings import Finding, Severity
from impose.model.job import Job
from impose.model.leafkinds import LeafKind
from impose.model.looks import Matter
from impose.plan.insets import inset_views
from impose.plan.plan import Plan
from impose.units import ZERO, Length

CUT_OFF: Final = "cut-off"
MAY_BE_CUT: Final = "may-be-cut"
WHITE_EDGE: Final = "white-edge"
PART_CUT: Final = "part-cut-off"

#: Side bearings of letters are counted as letter (own measurement: up to 0.1 mm).
_SLACK: Final = Length.mm("0.15")
#: Things no larger than this both ways are small.
_SMALL: Final = Length.mm(12)
#: Letters higher than this may be meant to run off the page.
_POSTER: Final = Length.mm(25)
#: Less is no bleed but a page that is not quite of trim size.
_REAL_BLEED: Final = Length.mm(1)
#: Backgrounds made of strips may leave slivers at their ends.
_SLIVER: Final = Length.mm("0.5")
_AT_THE_TRIM: Final = Length.mm("0.3")
_ROUND_THE_CORNER: Final = {
    "head": "spine", "foot": "spine", "fore-edge": "head", "spine": "head",
}  # fmt: skip


def check_live_matter(
    plan: Plan,
    job: Job,
    pages: Iterable[SeenPage],
    safe: SafeDistances,
    made: Mapping[int, Mapping[str, Length]],
) -> tuple[Finding, ...]:
    """Findings at the sides that are cut; `made` are those whose bleed is made."""
    sides = sides_of_pages(plan, job)
    hits = [
        found
        for page in pages
        for found in _judge_page(page, sides(page.page), job, safe)
        if found.code != WHITE_EDGE or found.side not in made.get(found.page, ())
    ]
    return tell(hits, lambda group: _say(group, plan, job))


def bleed_to_make(
    plan: Plan, job: Job, pages: Iterable[SeenPage], safe: SafeDistances
) -> dict[int, dict[str, Length]]:
    """The sides of pages where a white edge may show, and how far art reaches there: the least,
    where several things end."""
    sides = sides_of_pages(plan, job)
    found: dict[int, dict[str, Length]] = {}
    for page in pages:
        for one in _judge_page(page, sides(page.page), job, safe):
            if one.code == WHITE_EDGE:
                at = found.setdefault(one.page, {})
                at[one.side] = min(at.get(one.side, -one.near), -one.near)
    return found


def cut_sides(plan: Plan, job: Job) -> tuple[str, ...]:
    """Sides of the page that a knife makes; all four of a leaf that stays loose."""
    if job.binding.unbound:
        return ("head", "foot", "fore-edge", "spine") if plan.cuts else ()
    named = {cut.side for cut in plan.cuts}
    if plan.french:
        named.discard("fore-edge")  # a fold; the cut of that name is the cover's
    return tuple(side for side in ("head", "foot", "fore-edge") if side in named)


def sides_of_pages(plan: Plan, job: Job) -> Callable[[int], tuple[str, ...]]:
    """The sides of each source page that a knife makes: leaves that are put in may differ."""
    if plan.panelled:  # on a folded sheet every page has its own
        edges, where = PanelEdges(plan), first_placements(plan)
        return lambda page: edges.cut_sides(where[page])
    usual = cut_sides(plan, job)
    own: dict[int, tuple[str, ...]] = {}
    for inset, view in zip(plan.insets, inset_views(plan), strict=True):
        sides = cut_sides(view, job)
        if inset.kind in (LeafKind.FOLD_OUT, LeafKind.NARROW):
            sides = (*sides, "fore-edge")
        own |= {page: sides for page in first_placements(view)}
    return lambda page: own.get(page, usual)


def _judge_page(
    page: SeenPage, sides: Sequence[str], job: Job, safe: SafeDistances
) -> Iterator[Hit]:
    for side in SIDES:
        if side == "spine" and side not in sides:
            continue
        need = at_side(page.placement.bleed, side)
        if need < _REAL_BLEED:
            need = job.guts.bleed or safe.usual_bleed
        backing = _Backing(page, side, need - safe.touch)
        for seen in page.things:
            if page.outside(seen):
                if seen.is_text and not page.declared and page.beyond(seen, side):
                    yield hit(CUT_OFF, page.page, side, seen, safe.at(side))
                continue
            code = _judge(seen, side, need, side in sides, safe)
            if code and (seen.is_print or not backing.holds(seen)):
                limit = need if code in (WHITE_EDGE, PART_CUT) else safe.at(side)
                yield hit(code, page.page, side, seen, limit)


def _judge(seen: Seen, side: str, need: Length, is_cut: bool, safe: SafeDistances) -> str:
    """The code of what is wrong there, empty when nothing is."""
    inside = seen.distance(side)
    if seen.is_print:
        if inside < -_SLACK:
            poster = seen.is_text and min(seen.size) > _POSTER and -inside >= need - safe.touch
            return "" if poster else CUT_OFF
        return MAY_BE_CUT if is_cut and inside < safe.at(side) - _SLACK else ""
    if not is_cut or -inside >= need - safe.touch:
        return ""
    if inside > safe.touch:
        return MAY_BE_CUT if inside < safe.at(side) - _SLACK else ""
    if _runs_along(seen, side):
        return MAY_BE_CUT
    small = max(seen.size) <= _SMALL and inside < -safe.touch
    return PART_CUT if small else WHITE_EDGE


def _runs_along(seen: Seen, side: str) -> bool:
    """A line beside the trim, not across it."""
    if seen.outline.matter is not Matter.LINE:
        return False
    return seen.extent(side) < seen.extent(_ROUND_THE_CORNER[side])


class _Backing:
    """Art of one page that runs off at one side: what lies on it is part of it."""

    def __init__(self, page: SeenPage, side: str, reach: Length) -> None:
        self._page, self._side = page, side
        self._strips = [
            (*page.span(seen, side), page.inner(seen, side))
            for seen in page.things
            if not seen.is_print and -seen.distance(side) >= reach
        ]

    def holds(self, seen: Seen) -> bool:
        """All along the thing, the background reaches in at least as far as its edge."""
        if not self._strips:
            return False
        at, end = self._page.span(seen, self._side)
        at, end = at + _SLIVER, end - _SLIVER
        inside = seen.distance(self._side)
        strips = sorted(
            ((low, high) for low, high, inner in self._strips if inner > inside),
            key=lambda strip: strip[0].grains,
        )
        for low, high in strips:
            if low <= at + _SLIVER and high > at:
                at = high
        return at >= end


def _say(group: Group, plan: Plan, job: Job) -> Finding:
    worst, unit = group.worst, job.unit
    name, where = things_name(group.outlines, unit), where_text(group.pages, plan)
    side, near, safe = plan.side_word(worst.side), worst.near, stated(worst.safe, unit)
    beyond = measured(max(-near, ZERO), unit)
    severity = Severity.WARNING
    if worst.code == CUT_OFF:
        severity = Severity.ERROR if worst.outline.matter is Matter.TEXT else Severity.WARNING
        message = f"{name} on {where}: {beyond} beyond the {side} trim: cut off"
        hint = f"move it at least {safe} inside the trim, or make the trim larger"
    elif worst.code == MAY_BE_CUT:
        message = (
            f"{name} on {where}: {measured(near, unit)} from the {side} trim; {safe} is safe: "
            f"may be cut{_tolerance(job)}"
        )
        hint = f"move it in to {safe} or more from the trim"
    else:
        missing = measured(worst.safe - max(-near, ZERO), unit)
        message = f"{name} on {where}: {_stops(near, side, unit)}; the bleed is {safe}: " + (
            "a part may be cut off" if worst.code == PART_CUT else "a white edge may show"
        )
        hint = f"let it run {missing} further beyond the trim, or stop well inside it"
        if worst.code == WHITE_EDGE:
            hint += '; or have the bleed made from the page: make_bleed = "mirror" in [guts]'
    return Finding(
        severity=severity,
        code=worst.code,
        message=message,
        hint=hint,
        file=file_of(plan, group.pages),
        pages=group.pages,
        side=side,
        numbers=_numbers(worst, unit),
    )


def _numbers(worst: Hit, unit: str) -> dict[str, str | int]:
    found: dict[str, str | int] = {"thing": thing_name(worst.outline, unit), **worst.where}
    if worst.code in (WHITE_EDGE, PART_CUT):
        found["reach"] = max(-worst.near, ZERO).text(unit)
        found["bleed"] = worst.safe.text(unit)
        found["missing"] = (worst.safe - max(-worst.near, ZERO)).text(unit)
    else:
        found["distance"] = worst.near.text(unit)
        found["safe"] = worst.safe.text(unit)
    return found


def _stops(near: Length, side: str, unit: str) -> str:
    if near > -_AT_THE_TRIM:
        return f"ends at the {side} trim"
    return f"ends {measured(-near, unit)} beyond the {side} trim"


def _tolerance(job: Job) -> str:
    cutter = job.bench.cutter
    if cutter is None or not cutter.tolerance:
        return ""
    return f" ({cutter.name} cuts to within {stated(cutter.tolerance, job.unit)})"
