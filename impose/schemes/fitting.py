"""How each source page becomes a finished page of trim size.

The order: the TrimBox when it says something; else a page of equal size; else
a larger page, centred, whose overhang is bleed, within a limit; else an error
that names the choices.  Page boxes: PDF Reference 1.7, 10.10.1 (trim box is the
finished page, bleed box bounds the art, a missing one defaults to the crop box).
Sizes are equal within half a millimetre: real A4 files are 0.1 to 1 pt off.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Final

from impose.errors import JobError
from impose.findings import Finding, page_ranges
from impose.geometry.box import Box, Edges, Size
from impose.geometry.placing import ONE
from impose.geometry.sides import Edge
from impose.model.facts import BookPage, PageFacts
from impose.model.leafkinds import NO_RULE, SizeRule
from impose.model.sizes import FitMode
from impose.plan.plan import PageFit
from impose.units import ZERO, Length

#: Sizes this near are one size, written with few decimals.
SAME: Final = Length.mm("0.001")
_HUNDREDTH: Final = Length.mm("0.01")
#: More overhang than this is another page size, not bleed (from memory: no bleed exceeds 1/2 in).
OVERHANG_LIMIT: Final = Length.inches(Fraction(1, 2))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """What pages are fitted to.

    `trim` is the page as it is read; `own` the size of pages (1-based, in reading
    order) that have one of their own, `spines` the edge of a page, as it is
    read, that is bound: for pages that are set at the spine or the fore-edge.
    `panels`: of a folded piece, where no leaf may be wider or narrower.
    """

    trim: Size
    mode: FitMode
    tolerance: Length
    unit: str
    own: Mapping[int, Size] = field(default_factory=dict)
    spines: Mapping[int, Edge] = field(default_factory=dict)
    panels: bool = False

    def edges(self, page: int, rule: SizeRule) -> frozenset[Edge]:
        """The edges of the page, as it is read, at which it is set."""
        found = {edge for side, edge in _READ.items() if side in rule.align}
        spine = self.spines.get(page, Edge.LEFT)
        found |= {
            edge
            for side, edge in (("spine", spine), ("fore-edge", spine.opposite))
            if side in rule.align
        }
        return frozenset(found)


_CHOICES: Final = (
    'choose fit = "scale" (--fit scale) to scale such pages, or fit = "centre" (--fit centre) to '
    "centre them and cut off what overhangs; for some pages alone say it, or align, with their "
    "file in pages"
)
_HINT: Final = (
    f"change the trim to the page size, or {_CHOICES}; a wider page may be a "
    'leaf = "fold-out", a narrower one leaf = "narrow"'
)
_HINT_PANELS: Final = (
    f"the trim of folded panels is what the sheet and its folds make: {_CHOICES}; or name a sheet "
    "that the pages fit"
)
_READ: Final = {"head": Edge.TOP, "foot": Edge.BOTTOM}


@dataclass(frozen=True, slots=True)
class _Way:
    """How one page is fitted; `at` are the edges of the page, as it is read, it is set at."""

    trim: Size
    mode: FitMode
    tolerance: Length
    at: frozenset[Edge] = frozenset()


@dataclass(frozen=True, slots=True)
class _Fit:
    box: Box
    scale: Fraction
    supplied: Edges
    said: str  # "", "off", "centred", "set", "scaled", "refused"
    size: Size  # of the page as read, before fitting
    trim: Size | None = None  # that it is fitted to


def fit_pages(
    pages: Sequence[BookPage], to: Fitting
) -> tuple[tuple[PageFit, ...], tuple[Finding, ...]]:
    """One fit for each page, and what must be said about them.

    Raises JobError naming every group of pages whose size is not the trim's.
    """
    known: dict[tuple[object, ...], _Fit] = {}  # by identity: equal facts of a file are one value
    plain = _Way(to.trim, to.mode, to.tolerance)
    fits: list[PageFit] = []
    said: dict[int, list[int]] = {}
    for index, page in enumerate(pages, start=1):
        facts = page.facts
        way = plain
        if page.rule is not NO_RULE or index in to.own:
            way = _way(to, index, page.rule)
        key = (id(facts), way if way is not plain else None)
        fit = known.get(key)
        if fit is None:
            fit = known[key] = replace(_fit(facts, way), trim=way.trim)
        if fit.said:
            said.setdefault(id(fit), []).append(index)
        fits.append(PageFit(page.file, page.number, fit.box, facts.rotate, fit.scale, fit.supplied))
    findings = _findings(known.values(), said, to.unit)
    refused = [finding for finding in findings if finding.code == "page-size"]
    if refused:
        hint = _HINT_PANELS if to.panels else _HINT
        raise JobError([replace(finding, hint=hint) for finding in refused])
    return tuple(fits), findings


def _way(to: Fitting, page: int, rule: SizeRule) -> _Way:
    """A page that is set at a side is not scaled unless that is said."""
    mode = rule.mode or (FitMode.CENTRE if rule.align else to.mode)
    if rule.align and mode is FitMode.ASK:
        mode = FitMode.CENTRE
    return _Way(to.own.get(page, to.trim), mode, to.tolerance, to.edges(page, rule))


def _findings(fits: Iterable[_Fit], said: dict[int, list[int]], unit: str) -> tuple[Finding, ...]:
    """One finding for each kind and size, with all its pages."""
    grouped: dict[tuple[str, Size, Size], list[int]] = {}
    for fit in fits:
        if fit.said and fit.trim is not None:
            grouped.setdefault((fit.said, fit.size, fit.trim), []).extend(said[id(fit)])
    return tuple(
        _say(kind, size, sorted(pages), trim, unit) for (kind, size, trim), pages in grouped.items()
    )


def page_size(facts: PageFacts, tolerance: Length) -> Size:
    """The size of the page as it is read: its TrimBox when that says something, else as shown."""
    box = facts.trim if trim_says(facts, tolerance) and facts.trim else facts.crop
    return facts.upright_size(box)


def tidy(size: Size) -> Size:
    """The size without what a file's few decimals add to it: 140 mm for 140.0002 mm."""
    return Size(_tidied(size.width), _tidied(size.height))


def _tidied(length: Length) -> Length:
    rounded = _HUNDREDTH * round(length.ratio(_HUNDREDTH))
    return rounded if rounded.near(length, SAME) else length


def trim_says(facts: PageFacts, tolerance: Length) -> bool:
    """The page has a TrimBox that is not just its MediaBox."""
    trim, media = facts.trim, facts.media
    if trim is None:
        return False
    return not all(
        a.near(b, tolerance)
        for a, b in (
            (trim.x0, media.x0),
            (trim.y0, media.y0),
            (trim.x1, media.x1),
            (trim.y1, media.y1),
        )
    )


def _fit(facts: PageFacts, way: _Way) -> _Fit:
    trim, tolerance = way.trim, way.tolerance
    own_trim = trim.turned if facts.rotate in (90, 270) else trim
    says = trim_says(facts, tolerance)
    if says and facts.trim is not None:
        base = facts.trim
    elif not facts.crop.size.near(own_trim, tolerance) and facts.media.size.near(
        own_trim, tolerance
    ):
        base = facts.media
    else:
        base = facts.crop
    read = facts.upright_size(base)
    if base.size.near(own_trim, tolerance):
        same = base.size.near(own_trim, SAME)
        return _placed(facts, base, own_trim, "" if same else "off")
    if way.mode is FitMode.SCALE:
        return _scaled(facts, base, own_trim, way.at)
    if way.mode is FitMode.CENTRE:
        return _placed(facts, base, own_trim, "set" if way.at else "centred", way.at)
    over_x, over_y = base.width - own_trim.width, base.height - own_trim.height
    within = all(-tolerance <= over and over <= OVERHANG_LIMIT * 2 for over in (over_x, over_y))
    if within and not says and way.mode is FitMode.ASK:
        return _placed(facts, base, own_trim, "centred")
    return _Fit(base, ONE, Edges(), "refused", read)


_NOWHERE: Final[frozenset[Edge]] = frozenset()


def _placed(
    facts: PageFacts, base: Box, size: Size, said: str, at: frozenset[Edge] = _NOWHERE
) -> _Fit:
    box = _set(facts, base, size, at)
    return _Fit(box, ONE, _supplied(facts, box, ONE), said, facts.upright_size(base))


def _scaled(facts: PageFacts, base: Box, size: Size, at: frozenset[Edge]) -> _Fit:
    scale = min(size.width.ratio(base.width), size.height.ratio(base.height))
    box = _set(facts, base, Size(size.width * (1 / scale), size.height * (1 / scale)), at)
    return _Fit(box, scale, _supplied(facts, box, scale), "scaled", facts.upright_size(base))


def _set(facts: PageFacts, base: Box, size: Size, at: frozenset[Edge]) -> Box:
    """The trim on the page: in the middle, or at the edges named (as the page is read)."""
    own = {edge.turned(facts.rotate) for edge in at}
    x = base.x0 + (base.width - size.width).half
    y = base.y0 + (base.height - size.height).half
    if Edge.LEFT in own:
        x = base.x0
    elif Edge.RIGHT in own:
        x = base.x1 - size.width
    if Edge.BOTTOM in own:
        y = base.y0
    elif Edge.TOP in own:
        y = base.y1 - size.height
    return Box.at(x, y, size)


def _supplied(facts: PageFacts, box: Box, scale: Fraction) -> Edges:
    region = (facts.bleed or facts.crop).meet(facts.media)
    own = Edges(
        left=max(ZERO, box.x0 - region.x0) * scale,
        right=max(ZERO, region.x1 - box.x1) * scale,
        bottom=max(ZERO, box.y0 - region.y0) * scale,
        top=max(ZERO, region.y1 - box.y1) * scale,
    )
    return facts.upright_edges(own)


def _say(kind: str, size: Size, pages: list[int], trim: Size, unit: str) -> Finding:
    where = f"page {pages[0]}" if len(pages) == 1 else f"pages {page_ranges(pages)}"
    is_, trim_text = size.text(unit), trim.text(unit)
    if kind == "off":
        return Finding.note(
            "size-off",
            f"{where}: {is_} instead of {trim_text}: placed centred, not scaled",
            pages=pages,
            page_size=is_,
            trim=trim_text,
        )
    if kind == "centred":
        return Finding.note(
            "page-centred",
            f"{where}: {is_} centred on the trim of {trim_text}; what overhangs is bleed "
            "or cut off, what is missing stays white",
            pages=pages,
            page_size=is_,
            trim=trim_text,
        )
    if kind == "set":
        return Finding.note(
            "page-set",
            f"{where}: {is_} set in the trim of {trim_text} at the sides named; what overhangs is "
            "bleed or cut off, what is missing stays white",
            pages=pages,
            page_size=is_,
            trim=trim_text,
        )
    if kind == "scaled":
        percent = f"{float(min(trim.width.ratio(size.width), trim.height.ratio(size.height))):.1%}"
        return Finding.note(
            "page-scaled",
            f"{where}: {is_} scaled to {percent} to fit the trim of {trim_text}",
            pages=pages,
            page_size=is_,
            trim=trim_text,
            scale=percent,
        )
    return Finding.error(
        "page-size",
        f"{where}: {is_}, the trim is {trim_text}",
        pages=pages,
        page_size=is_,
        trim=trim_text,
    )
