"""How large a leaflet is: its front panel, the open piece, and whether its pages are flat sides.

The folded size is the job's trim, else it is taken from the pages.  Pages all
alike of a gate fold are its flaps, half as wide as the folded size, where a sheet
takes that: a page as wide as the front panel would not lie on a flap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.geometry.box import Size
from impose.model.facts import BookPage
from impose.model.job import Job
from impose.model.panels import LeafletFold
from impose.schemes.draft import refuse
from impose.schemes.fitting import page_size
from impose.schemes.leafletfolds import USUAL_NEST, Strip, front_width, leaflet_strip, panels_of
from impose.schemes.pagesizes import taken_from
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaflet:
    """The leaflet of a job: `front` is the front panel, as it lies; `flat` is the open piece.

    `whole`: the pages are the two flat sides.  `strip` is None for a tent.
    """

    fold: LeafletFold
    front: Size
    flat: Size
    nest: Length
    whole: bool
    strip: Strip | None

    @property
    def panels(self) -> int:
        return panels_of(self.fold)


def leaflet_of(job: Job, pages: Sequence[BookPage]) -> Leaflet:
    """Panel and flat sizes from the trim, else from the largest page; nearly a whole sheet is
    the sheet.  Raises JobError when the panels could not nest."""
    fold = job.guts.panel.fold
    assert fold is not None  # refused with the job
    nest = USUAL_NEST[job.unit] if job.guts.panel.nest is None else job.guts.panel.nest
    sizes = [job.bound_at.leaf_size(_read(job, page)) for page in pages]
    largest = max(sizes, key=lambda s: (s.width.grains, s.height.grains))
    said = job.bound_at.leaf_size(job.trim.size) if job.trim is not None else None
    front, whole = said or _folded(job, fold, sizes, nest), False
    if len(pages) + sum(item.blank for item in job.pages) <= 2:
        open_size = _flat(fold, front, nest)
        # A trim that no sheet takes when it is laid open is that of the open piece.
        if said is None or (largest.near(said, job.tolerance) and not _fits(job, open_size)):
            whole = _is_flat(job, fold, largest)
            front = _front(fold, front, nest) if whole else front
        else:
            whole = _nearer(largest, open_size, said)
    open_size = largest if whole and said is None else _flat(fold, front, nest)
    flat = _on_a_sheet(job, open_size, fold)
    front = _front(fold, flat, nest)
    strip = None
    if fold is not LeafletFold.TENT:
        bare = leaflet_strip(fold, front.width, nest, False).width
        mirrored = job.bound_at.mirrored
        strip = leaflet_strip(fold, front.width, nest, mirrored, flat.width - bare)
        _check_nesting(job, fold, front, nest, strip)
    return Leaflet(fold=fold, front=front, flat=flat, nest=nest, whole=whole, strip=strip)


def _read(job: Job, page: BookPage) -> Size:
    return taken_from(job, page_size(page.facts, job.tolerance))[0]


def _folded(job: Job, fold: LeafletFold, sizes: Sequence[Size], nest: Length) -> Size:
    """The front panel that the pages speak of: the largest of them; of a gate fold whose pages
    are all alike two of them, where a sheet takes that laid open."""
    largest = max(sizes, key=lambda s: (s.width.grains, s.height.grains))
    double = Size(largest.width * 2, largest.height)
    alike = len(sizes) > 2 and all(size.near(largest, job.tolerance) for size in sizes)
    if fold is LeafletFold.GATE and alike and _fits(job, _flat(fold, double, nest)):
        return double
    return largest


def _flat(fold: LeafletFold, front: Size, nest: Length) -> Size:
    if fold is LeafletFold.TENT:
        return Size(front.width, front.height * 2)
    return Size(leaflet_strip(fold, front.width, nest, False).width, front.height)


def _front(fold: LeafletFold, flat: Size, nest: Length) -> Size:
    if fold is LeafletFold.TENT:
        return Size(flat.width, Length(flat.height.grains // 2))
    return Size(front_width(fold, flat.width, nest), flat.height)


def _nearer(page: Size, flat: Size, front: Size) -> bool:
    def off(size: Size) -> Length:
        return abs(page.width - size.width) + abs(page.height - size.height)

    return off(flat) < off(front)


def _is_flat(job: Job, fold: LeafletFold, page: Size) -> bool:
    """One or two pages without a trim: flat sides, unless a panel each is all that is printed
    (the two sides of a half fold or a tent) and a sheet takes them side by side."""
    near = any(
        page.near(sheet, job.tolerance)
        for named in job.guts.sheets
        for sheet in (named.size, named.size.turned)
    )
    if near or fold not in (LeafletFold.HALF, LeafletFold.TENT):
        return True
    return not _fits(job, _flat(fold, page, ZERO))


def _fits(job: Job, flat: Size) -> bool:
    """A sheet takes the open piece, give or take the tolerance of its pages."""
    more = job.tolerance * 2
    return any(
        flat.width <= sheet.width + more and flat.height <= sheet.height + more
        for named in job.guts.sheets
        for sheet in (named.size, named.size.turned)
    )


def _on_a_sheet(job: Job, flat: Size, fold: LeafletFold) -> Size:
    """The open piece; a side of it that is the sheet's but for the tolerance of each panel is
    the sheet's, so that no strip is left there which nobody can cut."""
    near, slack = job.tolerance, job.tolerance * panels_of(fold)
    across, up = (near, slack) if fold is LeafletFold.TENT else (slack, near)
    for named in job.guts.sheets:
        ways = (named.size, named.size.turned)
        for sheet in sorted(ways, key=lambda way: way.landscape != flat.landscape):
            if flat.width <= sheet.width + across and flat.height <= sheet.height + up:
                return Size(
                    sheet.width if flat.width.near(sheet.width, across) else flat.width,
                    sheet.height if flat.height.near(sheet.height, up) else flat.height,
                )
    return flat


def _check_nesting(job: Job, fold: LeafletFold, front: Size, nest: Length, strip: Strip) -> None:
    """Narrowed to nothing, a panel is none."""
    narrow = min(strip.widths)
    if narrow * 4 > front.width:
        return
    unit = job.unit
    raise refuse(
        "nest-too-wide",
        f"with nest = {nest.text(unit)} a panel of the {fold.value} fold would be only "
        f"{narrow.text(unit)} wide, the front panel {front.width.text(unit)}",
        "give a smaller nest",
    )
