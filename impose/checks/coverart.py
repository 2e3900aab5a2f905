"""What is on the cover's art, against knife, spine, hinge and glue.

The outer edges are judged as those of a page are (impose.checks.live).  Words
on the spine must keep clear of its edges, words beside it clear of the hinge,
and on the inside nothing may lie where the glue holds (ISO 16763:2016, 4.5.1:
no ink in the glued area).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.safe import SafeDistances
from impose.checks.words import file_of, measured, stated, thing_name
from impose.findings import Finding, Severity
from impose.geometry.box import Box
from impose.model.job import Job
from impose.model.looks import Matter, Outline, PageLook
from impose.plan.coverfacts import CoverFacts
from impose.plan.parts import Placement, Sheet
from impose.plan.plan import Plan
from impose.schemes.coverchecks import glue_band
from impose.schemes.coverrules import cover_rules
from impose.units import ZERO, Length

#: Side bearings of letters are counted as letter (own measurement: up to 0.1 mm).
_SLACK: Final = Length.mm("0.15")


@dataclass(frozen=True, slots=True)
class _Thing:
    """An outline on the cover's sheet as it lies, seen from its own side."""

    page: int
    outline: Outline
    box: Box
    clip: Box

    @property
    def is_text(self) -> bool:
        return self.outline.matter is Matter.TEXT


def check_cover_art(
    plan: Plan, job: Job, looks: Sequence[PageLook], safe: SafeDistances
) -> tuple[Finding, ...]:
    """Findings about the art of the cover; none for a job without art."""
    sheet = next((sheet for sheet in plan.sheets if sheet.role == "cover"), None)
    if sheet is None or plan.cover is None:
        return ()
    judge = _Judge(plan, job, sheet, plan.cover, safe)
    outside = [thing for p in sheet.front.placements for thing in _things(plan, p, looks)]
    inside = [thing for p in sheet.back.placements for thing in _things(plan, p, looks)]
    return (
        *judge.edges(outside, inside=False),
        *judge.edges(inside, inside=True),
        *judge.spine(outside),
        *judge.glue(inside),
    )


def _things(plan: Plan, placement: Placement, looks: Sequence[PageLook]) -> Iterator[_Thing]:
    if placement.page is None:
        return
    look, fit = looks[placement.page - 1], plan.pages[placement.page - 1]
    placing = fit.placing(placement)
    for outline in look.outlines:
        box = placing.box(outline.box)
        if not box.meet(placement.clip).empty:
            yield _Thing(placement.page, outline, box, placement.clip)


@dataclass(frozen=True, slots=True)
class _Judge:
    plan: Plan
    job: Job
    sheet: Sheet
    cover: CoverFacts
    safe: SafeDistances

    def edges(self, things: Sequence[_Thing], inside: bool) -> Iterator[Finding]:
        """Words that the last cuts take, or may take; the worst of each page and side."""
        trim = self.cover.trim
        if inside:
            trim = self.sheet.turned.over(trim, self.sheet.size)
        worst: dict[tuple[int, str], tuple[Length, Length, _Thing]] = {}
        for thing in things:
            for side, near in self._distances(thing.box, trim, inside):
                limit = self.safe.at(side)
                if not thing.is_text or near >= limit - _SLACK:
                    continue
                key = (thing.page, side)
                if key not in worst or near < worst[key][0]:
                    worst[key] = (near, limit, thing)
        for (_, side), (near, limit, thing) in worst.items():
            yield self._cut(thing, side, near, limit)

    def _distances(self, box: Box, trim: Box, inside: bool) -> Iterator[tuple[str, Length]]:
        """Inward from the open cover's four edges, in its sheet's own frame."""
        upside_down = inside and self.sheet.back.placements[0].upside_down
        head, foot = trim.y1 - box.y1, box.y0 - trim.y0
        yield ("foot" if upside_down else "head"), head
        yield ("head" if upside_down else "foot"), foot
        yield "fore-edge", min(box.x0 - trim.x0, trim.x1 - box.x1)

    def _cut(self, thing: _Thing, side: str, near: Length, limit: Length) -> Finding:
        unit = self.job.unit
        name = thing_name(thing.outline, unit)
        off = near < -_SLACK
        if off:
            message = (
                f"{name} on the cover: {measured(-near, unit)} beyond the {side} trim: cut off"
            )
        else:
            message = (
                f"{name} on the cover: {measured(max(near, ZERO), unit)} from the {side} trim; "
                f"{stated(limit, unit)} is safe: may be cut"
            )
        return self._finding(
            "cover-cut-off" if off else "cover-may-be-cut",
            message,
            f"move it at least {stated(limit, unit)} inside the trim",
            thing,
            side,
            Severity.ERROR if off else Severity.WARNING,
            {"distance": near.text(unit), "safe": limit.text(unit)},
        )

    # -- spine -------------------------------------------------------------------------------

    def spine(self, things: Sequence[_Thing]) -> Iterator[Finding]:
        """Words on the spine that come near its edges, and words that lie in a hinge."""
        if not self.cover.spine.width:
            return
        low, high = self._spine_edges()
        rules = cover_rules(self.job.cover)
        clear, unit = rules.spine_text_clear, self.job.unit
        art = self.job.cover.art if self.job.cover else None
        told = art is not None and art.spine is not None  # with the plan: see coverchecks
        thin = high - low < rules.thin_spine
        for thing in things:
            if not thing.is_text:
                continue
            x0, x1 = thing.box.x0, thing.box.x1
            if low <= (x0 + x1).half <= high and x1 - x0 <= (high - low) * 2:
                near = min(x0 - low, high - x1)
                if thin and not told:
                    yield self._too_thin(thing, rules.thin_spine)
                elif not thin and near < clear - _SLACK:
                    yield self._wanders(thing, near, clear)
            elif self.cover.hinge and self._in_hinge(x0, x1, low, high):
                yield self._finding(
                    "cover-hinge",
                    f"{thing_name(thing.outline, unit)} on the cover lies on a hinge, which is "
                    f"pressed {self.cover.hinge.text(unit)} from the spine",
                    "move it farther from the spine, or make the hinge narrower",
                    thing,
                    "spine",
                    Severity.WARNING,
                    {"hinge": self.cover.hinge.text(unit)},
                )

    def _spine_edges(self) -> tuple[Length, Length]:
        """The spine's edges as they lie on the front of the sheet."""
        cover = self.cover
        flaps = (cover.flap_back, cover.flap_front)
        left = flaps[0] if cover.front_at_right else flaps[1]
        low = cover.trim.x0 + left + cover.panel.width
        return low, low + cover.spine.width

    def _in_hinge(self, x0: Length, x1: Length, low: Length, high: Length) -> bool:
        """Small words that a hinge's line runs through; a title across the cover is meant so."""
        hinges = (low - self.cover.hinge, high + self.cover.hinge)
        small = x1 - x0 < self.cover.panel.width.half
        return small and any(x0 < hinge < x1 for hinge in hinges)

    def _too_thin(self, thing: _Thing, least: Length) -> Finding:
        unit = self.job.unit
        width = self.cover.spine.width.text(unit)
        return self._finding(
            "spine-thin",
            f"{thing_name(thing.outline, unit)} on the spine, which is {width} wide; under "
            f"{least.text(unit)} words on it wander onto the panels",
            "leave the spine without words",
            thing,
            "spine",
            Severity.WARNING,
            {"spine": width, "limit": least.text(unit)},
        )

    def _wanders(self, thing: _Thing, near: Length, clear: Length) -> Finding:
        unit = self.job.unit
        name, width = thing_name(thing.outline, unit), self.cover.spine.width.text(unit)
        where = (
            f"{measured(near, unit)} from the spine's edge"
            if near >= ZERO
            else f"{measured(-near, unit)} beyond the spine's edge"
        )
        return self._finding(
            "spine-text",
            f"{name} on the spine, which is {width} wide: {where}; {stated(clear, unit)} is clear: "
            "it may wander onto a panel",
            "make the words on the spine smaller",
            thing,
            "spine",
            Severity.WARNING,
            {"distance": near.text(unit), "clear": clear.text(unit)},
        )

    # -- glue ----------------------------------------------------------------------------------

    def glue(self, things: Sequence[_Thing]) -> Iterator[Finding]:
        """Anything printed where the glue holds; the one that reaches farthest in speaks."""
        if not self.cover.glue_strip:
            return
        band = self.sheet.turned.over(glue_band(self.cover), self.sheet.size)
        inked = [(thing.box.meet(thing.clip).meet(band), thing) for thing in things]
        inked = [(box, thing) for box, thing in inked if not box.empty]
        if not inked:
            return
        unit = self.job.unit
        box, thing = max(inked, key=lambda pair: pair[0].width.grains)
        yield self._finding(
            "cover-glue-ink",
            f"{thing_name(thing.outline, unit)} on the inside of the cover reaches "
            f"{measured(box.width, unit)} into the {band.width.text(unit)} where the glue holds",
            "leave that band white, varnish included: the spine and "
            f"{self.cover.glue_strip.text(unit)} beside it on each panel",
            thing,
            "spine",
            Severity.WARNING,
            {"ink": box.width.text(unit), "band": band.width.text(unit)},
        )

    def _finding(
        self,
        code: str,
        message: str,
        hint: str,
        thing: _Thing,
        side: str,
        severity: Severity,
        numbers: dict[str, str],
    ) -> Finding:
        return Finding(
            severity=severity,
            code=code,
            message=message,
            hint=hint,
            file=file_of(self.plan, (thing.page,)),
            pages=(thing.page,),
            side=side,
            numbers={"nearest_page": thing.page, "box": thing.outline.box.text("pt"), **numbers},
        )
