"""What a scheme hands on, and what all schemes ask of a job in the same words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.geometry.sides import NO_SIDES, PageSides
from impose.model.job import Binding, Job
from impose.model.leafkinds import LeafWish
from impose.plan.flatfacts import FlatItem
from impose.plan.parts import Cut, Gather, Sheet, When
from impose.plan.plan import Creep, PageFit
from impose.schemes.cells import Placer
from impose.schemes.madebleed import ToMake
from impose.schemes.twoup import Joint, joint_of
from impose.units import ZERO, Length

#: Bleed is what is supplied, up to this (3 mm: printteam.co.uk and common practice).
USUAL_BLEED: Final = Length.mm(3)
#: Paper left beyond the trim for the last cuts (1/8 in: pugetbindery.com, common practice).
USUAL_TRIM_OFF: Final = Length.inches("1/8")


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """The sheets of one scheme, without marks.

    `faces` counts the faces of the book with the blanks the scheme added.
    """

    scheme: str
    faces: int
    sheets: tuple[Sheet, ...]
    cuts: tuple[Cut, ...]
    gathering: tuple[Gather, ...]
    creep: Creep = field(default_factory=Creep)
    items: tuple[FlatItem, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What every scheme works from: the job and the book's pages.

    `trim` is the page as it is read; `faces` name source pages in reading
    order, None for blanks; `to_make` the sides of pages whose bleed is made.
    `front_only`: a sample that is counted, of which the fronts are enough.
    """

    job: Job
    trim: Size
    fits: tuple[PageFit, ...]
    faces: tuple[int | None, ...]
    to_make: ToMake = field(default_factory=dict)
    margins: tuple[Length, Length] | None = None
    wishes: tuple[LeafWish, ...] = ()
    front_only: bool = False

    @property
    def leaf(self) -> Size:
        """As it is bound, in the book frame: across from the spine, along the spine.

        Where two copies are bound as one, both and the paper between.
        """
        joint = self.joint
        return joint.block if joint else self.job.bound_at.leaf_size(self.trim)

    @property
    def joint(self) -> Joint | None:
        """How two copies meet that are bound as one; None where one is bound alone."""
        guts = self.job.guts
        if guts.two_up is None:
            return None
        head, foot = self.head_and_foot
        return joint_of(guts.two_up, self.job.bound_at.leaf_size(self.trim), head, foot)

    @property
    def head_and_foot(self) -> tuple[Length, Length]:
        """Paper to trim at the head and the foot of each page: said of folded sections alone."""
        guts, off = self.job.guts, self.trim_off
        folded = self.job.binding.folded or guts.section_pages is not None
        said = (guts.head_allowance, guts.foot_allowance) if folded else (None, None)
        head, foot = (off if one is None else one for one in said)
        return head, foot

    @property
    def grind(self) -> Length:
        """Only a spine that is glued is ground."""
        if self.job.binding is not Binding.PERFECT:
            return ZERO
        return self.job.guts.grind or ZERO

    @property
    def bleed(self) -> Length:
        """The bleed aimed at: as asked, else what is supplied up to the usual.

        A page that is taken for the trim may be larger than it by the job's tolerance: that is
        no bleed.
        """
        if self.job.guts.bleed is not None:
            return self.job.guts.bleed
        if self.to_make:
            return USUAL_BLEED
        most = ZERO
        for supplied in {id(fit.supplied): fit.supplied for fit in self.fits}.values():
            most = max(most, supplied.left, supplied.right, supplied.bottom, supplied.top)
        return min(most, USUAL_BLEED) if most * 2 > self.job.tolerance else ZERO

    @property
    def trim_off(self) -> Length:
        """Paper beyond the trim at head, foot and fore-edge: at least the bleed."""
        if self.job.guts.trim_off is not None:
            return self.job.guts.trim_off
        binder = self.job.bench.binder
        return max(binder.trim_off if binder else USUAL_TRIM_OFF, self.bleed)

    def placer(self) -> Placer:
        bleed = self.bleed
        wanted = PageSides.all(bleed) if bleed else NO_SIDES
        return Placer(self.fits, self.job.bound_at, wanted, self.to_make)


def refuse(code: str, message: str, hint: str) -> JobError:
    """The one fault of a layout that cannot be made."""
    return JobError([Finding.error(code, message, hint=hint)])


def too_small(asked: Asked, need: Size, what: str) -> JobError:
    """Nothing fits: both sizes, and what to change."""
    unit = asked.job.unit
    sheets = ", ".join(f"{s.name} ({s.size.text(unit)})" for s in asked.job.guts.sheets)
    printer = asked.job.guts.printer
    gripper = f", less the gripper of {printer.name}" if printer and printer.plates else ""
    work = asked.job.guts.work
    half = "half of " if work is not None and work.one_forme else ""
    way = asked.job.guts.way
    lying = ", either way round"
    if way is not None:
        lying = f", lying {'landscape' if way.landscape else 'portrait'}"
    return refuse(
        "sheet-too-small",
        f"there is no room for {what} ({need.text(unit)}) on {half}{sheets}{gripper}{lying}",
        'choose a larger sheet, a smaller trim (with fit = "scale", --fit scale, when your pages '
        "are larger than it), fewer pages on a side (up), or smaller allowances",
    )


def cuts_after_binding(sides: Sequence[str]) -> tuple[Cut, ...]:
    """The last cuts, in the trade's order of naming."""
    return tuple(
        Cut(id=side, when=When.AFTER_BINDING, side=side, title=f"trim the {side}")
        for side in ("head", "foot", "fore-edge")
        if side in sides
    )
