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

from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from impose.checks.grouping import Group, Hit, hit, tell
from impose.checks.safe import SafeDistances
from impose.checks.seen import OPPOSITE, Seen, SeenPage, at_side
from impose.checks.words import measured, pages_text, things_name
from impose.findings import Finding, Severity
from impose.model.job import Binding, Job
from impose.model.looks import Matter
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


def check_live_matter(
    plan: Plan, job: Job, pages: Iterable[SeenPage], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Findings at the sides that are cut."""
    sides = cut_sides(plan, job)
    hits = [found for page in pages for found in _judge_page(page, sides, job, safe)]
    return tell(hits, lambda group: _say(group, plan, job))


def cut_sides(plan: Plan, job: Job) -> tuple[str, ...]:
    """Sides of the page that a knife makes; all four of a leaf that stays loose."""
    if job.binding is Binding.LOOSE:
        return ("head", "foot", "fore-edge", "spine") if plan.cuts else ()
    named = {cut.side for cut in plan.cuts}
    return tuple(side for side in ("head", "foot", "fore-edge") if side in named)


def _judge_page(
    page: SeenPage, sides: Sequence[str], job: Job, safe: SafeDistances
) -> Iterator[Hit]:
    for side in ("head", "foot", "fore-edge", "spine"):
        if side == "spine" and side not in sides:
            continue
        placed = at_side(page.placement.bleed, side)
        wanted = job.guts.bleed if job.guts.bleed is not None else safe.usual_bleed
        need = placed or wanted
        backing = _Backing(page.things, side, need - safe.touch)
        for seen in page.things:
            if _beyond(seen, side):
                if seen.is_text and not page.declared:
                    yield hit(CUT_OFF, page.page, side, seen, safe.at(side))
                continue
            code = _judge(seen, side, need, side in sides, safe)
            if code and not (not seen.is_print and backing.holds(seen)):
                limit = need if code in (WHITE_EDGE, PART_CUT) else safe.at(side)
                yield hit(code, page.page, side, seen, limit)


def _beyond(seen: Seen, side: str) -> bool:
    """Wholly outside the trim at that side."""
    width, height = seen.inside.spine, seen.inside.head  # only their frame matters below
    del width, height
    far = seen.distance(OPPOSITE[side])
    return seen.distance(side) < ZERO and far > ZERO and _extent(seen, side) <= -seen.distance(side)


def _extent(seen: Seen, side: str) -> Length:
    """How far the thing runs at right angles to a side."""
    first, second = seen.size
    del first, second
    return ZERO


def _judge(
    seen: Seen, side: str, need: Length, is_cut: bool, safe: SafeDistances
) -> str:
    raise NotImplementedError


def _say(group: Group, plan: Plan, job: Job) -> Finding:
    raise NotImplementedError
