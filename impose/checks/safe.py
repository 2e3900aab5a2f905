"""How far things must keep from the knife and from the spine.

At the trim 1/8 in (the trade's usual safety of 3 to 5 mm, the least of it:
common practice).  Toward the spine by binding, measured from the spine edge of
the trim, which lies beyond what is ground off:

* adhesive: 1/8 in does not open (common practice); on the first and the last
  face the cover is glued on 3/16 in beyond the grind (bindtechinc.com);
* stab, side stitch and punched: nothing before the holes opens, so the plan's
  holes decide (`impose.checks.holes`); without them the figures here, for holes
  10 mm from the spine and for punched ones that end 8 mm from it (from memory);
* saddle and sewn sections open to the fold: only what creep takes is lost.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from impose.model.checklimits import CheckLimits
from impose.model.job import Binding, Job
from impose.model.machines import GLUE_STRIP
from impose.units import ZERO, Length

_EIGHTH: Final = Length.inches("1/8")


@dataclass(frozen=True, slots=True)
class SpineDistance:
    """From the spine edge of the trim: nearer than `lost` it cannot be read, nearer than
    `safe` it is worth a look."""

    lost: Length
    safe: Length


@dataclass(frozen=True, slots=True, kw_only=True)
class SafeDistances:
    """Distances inward from the trim; `glued` is the strip under the cover's side glue.

    `touch`: nearer than this to the trim counts as touching it.  `usual_bleed`:
    what art should reach beyond a trim that has no bleed at all (3 mm, common
    practice).
    """

    head: Length = _EIGHTH
    foot: Length = _EIGHTH
    fore_edge: Length = _EIGHTH
    adhesive: SpineDistance = SpineDistance(_EIGHTH, _EIGHTH)
    stab: SpineDistance = SpineDistance(Length.mm(10), Length.mm(12))
    punched: SpineDistance = SpineDistance(Length.mm(8), Length.mm(12))
    folded: SpineDistance = SpineDistance(ZERO, _EIGHTH)
    glued: Length = GLUE_STRIP
    touch: Length = Length.mm("0.3")
    usual_bleed: Length = Length.mm(3)

    def at(self, side: str) -> Length:
        """The safe distance from a trim that is cut; a spine that is cut is like a fore-edge."""
        return {"head": self.head, "foot": self.foot}.get(side, self.fore_edge)

    def spine(self, binding: Binding) -> SpineDistance | None:
        """By binding; None where nothing is bound."""
        return {
            Binding.PERFECT: self.adhesive,
            Binding.STAB: self.stab,
            Binding.PUNCHED: self.punched,
            Binding.SADDLE: self.folded,
            Binding.SECTIONS: self.folded,
        }.get(binding)


def safe_distances(limits: CheckLimits) -> SafeDistances:
    """The usual ones, with what the job says otherwise; toward the spine whatever the binding."""
    usual = SafeDistances()
    found = replace(
        usual,
        head=usual.head if limits.head is None else limits.head,
        foot=usual.foot if limits.foot is None else limits.foot,
        fore_edge=usual.fore_edge if limits.fore_edge is None else limits.fore_edge,
    )
    if limits.spine is None:
        return found
    near = limits.spine

    def moved(distance: SpineDistance) -> SpineDistance:
        return SpineDistance(min(distance.lost, near), near)

    return replace(
        found,
        adhesive=moved(usual.adhesive),
        stab=moved(usual.stab),
        punched=moved(usual.punched),
        folded=moved(usual.folded),
    )


def glue_strip(job: Job, safe: SafeDistances) -> Length:
    """The binder's, when the job names one."""
    binder = job.bench.binder
    return binder.glue_strip if binder is not None else safe.glued
