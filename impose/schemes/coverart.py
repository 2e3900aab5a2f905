"""How the pages of cover art become parts of the cover: at their own size, never stretched.

The TrimBox says where the art's own trim is; without one it is the whole page
less an even bleed at head and foot.  The trim wanted is laid centred on that,
so that art made for another spine width is centred on the spine.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size, box_inside
from impose.geometry.sides import BoundAt
from impose.model.facts import BookPage, PageFacts
from impose.model.job import Cover, CoverArt
from impose.plan.plan import PageFit
from impose.schemes.cells import art_edges
from impose.schemes.fitting import OVERHANG_LIMIT
from impose.units import ZERO, Length

#: The parts of a face, in the order of `CoverArt.items`.
PARTS: Final = ("wide", "back", "spine", "front")
#: Sizes read from a PDF are this near: no other spine, no other bleed is meant.
SAME_SPINE: Final = Length.mm("0.02")
#: Less than this is seen by nobody after folding (from memory).
SLIGHT: Final = Length.mm("0.5")


@dataclass(frozen=True, slots=True)
class ArtPage:
    """One page of art: for which part of which face.

    `page` is its number in the plan's pages (1-based).
    """

    part: str
    inside: bool
    source: BookPage
    page: int

    @property
    def title(self) -> str:
        """`inside front art`, `wide art`."""
        return f"{'inside ' if self.inside else ''}{self.part} art"


@dataclass(frozen=True, slots=True)
class ArtFit:
    """A page of art on its part.

    `own` is the art's own trim, as it is read; `supplied` is the art beyond the
    part's trim and `lacking` what the trim has beyond the art, both in the book
    frame.
    """

    fit: PageFit
    own: Size
    supplied: Edges
    lacking: Edges


def art_pages(cover: Cover, art: Sequence[BookPage], first: int) -> tuple[ArtPage, ...]:
    """The pages given, outside before inside, each with its part.

    Raises ValueError when their number is not that of the job's items.
    """
    wanted = [(part, inside) for inside, face in _faces(cover) for part in _parts(face)]
    if len(wanted) != len(art):
        raise ValueError(f"the cover has {len(wanted)} pages of art, {len(art)} are given")
    return tuple(
        ArtPage(part, inside, source, first + index)
        for index, ((part, inside), source) in enumerate(zip(wanted, art, strict=True))
    )


def _faces(cover: Cover) -> tuple[tuple[bool, CoverArt], ...]:
    both = ((False, cover.art), (True, cover.inside))
    return tuple((inside, face) for inside, face in both if face is not None)


def _parts(face: CoverArt) -> tuple[str, ...]:
    return tuple(part for part in PARTS if getattr(face, part) is not None)


def fit_art(page: BookPage, part: Size, bound_at: BoundAt, tolerance: Length) -> ArtFit:
    """The art centred on a part whose size is given in the book frame."""
    facts = page.facts
    read = bound_at.leaf_size(part)
    quarter = facts.rotate in (90, 270)
    wanted = read.turned if quarter else read
    along_x = quarter != (bound_at is BoundAt.HEAD)
    base = _own_trim(facts, wanted, along_x, tolerance)
    x = base.x0 + (base.width - wanted.width).half
    y = base.y0 + (base.height - wanted.height).half
    box = Box.at(x, y, wanted)
    region = (facts.bleed or facts.crop).meet(facts.media)
    supplied = facts.upright_edges(_beyond(box, region))
    lacking = facts.upright_edges(_beyond(region, box))
    return ArtFit(
        PageFit(page.file, page.number, box, facts.rotate, supplied=supplied),
        facts.upright_size(base),
        art_edges(supplied, bound_at),
        art_edges(lacking, bound_at),
    )


def _own_trim(facts: PageFacts, wanted: Size, along_x: bool, tolerance: Length) -> Box:
    """The TrimBox when it says something; else the page less an even bleed, which is known
    from head to foot (`along_x`: they lie at the left and right of the page as it is stored)."""
    if facts.trim is not None and not _same(facts.trim, facts.media, tolerance):
        return facts.trim
    page = facts.crop
    over = page.width - wanted.width if along_x else page.height - wanted.height
    if over.half <= tolerance or over.half > OVERHANG_LIMIT:
        return page
    return box_inside(page, Edges.all(over.half))


def _same(one: Box, other: Box, tolerance: Length) -> bool:
    return all(
        a.near(b, tolerance)
        for a, b in (
            (one.x0, other.x0),
            (one.y0, other.y0),
            (one.x1, other.x1),
            (one.y1, other.y1),
        )
    )


def _beyond(box: Box, region: Box) -> Edges:
    return Edges(
        left=max(ZERO, box.x0 - region.x0),
        right=max(ZERO, region.x1 - box.x1),
        bottom=max(ZERO, box.y0 - region.y0),
        top=max(ZERO, region.y1 - box.y1),
    )


# -- findings --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a part asks of its art: its trim and the bleed at its ends, in the book frame.

    `spine` is the width of the spine for art that has one on it, else None.
    """

    size: Size
    bleed: Edges
    spine: Length | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """How findings speak: the job's unit, the art's file, how pages are read."""

    unit: str
    file: str
    bound_at: BoundAt


def check_art(page: ArtPage, fit: ArtFit, wanted: Wanted, words: Words) -> tuple[Finding, ...]:
    """Findings about one page of art: its size, its spine, its bleed."""
    own = words.bound_at.leaf_size(fit.own)  # in the book frame: across, along the spine
    over_x, over_y = own.width - wanted.size.width, own.height - wanted.size.height
    made_for = None if wanted.spine is None else wanted.spine + over_x
    limit = OVERHANG_LIMIT * 2
    if made_for is None:
        wrong = max(abs(over_x), abs(over_y)) > limit
    else:
        wrong = made_for < ZERO or abs(over_y) > limit
    if wrong:
        return (_wrong_size(page, fit, wanted, words),)
    found: list[Finding] = []
    if made_for is not None and wanted.spine is not None and abs(over_x) > SAME_SPINE:
        found.append(_other_spine(page, made_for, wanted.spine, words))
    found.extend(_white(page, fit, wanted, words) or _thin_bleed(page, fit, wanted, words))
    return tuple(found)


def _wrong_size(page: ArtPage, fit: ArtFit, wanted: Wanted, words: Words) -> Finding:
    is_, need = fit.own.text(words.unit), words.bound_at.leaf_size(wanted.size).text(words.unit)
    spine = f" with a spine of {wanted.spine.text(words.unit)}" if wanted.spine else ""
    return Finding.error(
        "cover-art-size",
        f"the {page.title} is {is_}; its part of the cover is {need}{spine}",
        hint="make the art to that size, with bleed beyond it: impose cover --blank draws an "
        "empty one",
        file=words.file,
        art=is_,
        needs=need,
    )


def _other_spine(page: ArtPage, made_for: Length, spine: Length, words: Words) -> Finding:
    """Both widths; half the difference shows at each edge of the spine."""
    off = abs(spine - made_for)
    art_spine, is_ = made_for.text(words.unit), spine.text(words.unit)
    message = (
        f"the {page.title} is made for a spine of {art_spine}, the spine is {is_}: it is centred "
        f"on the spine, not stretched, and is {off.half.text(words.unit)} off at each edge of it"
    )
    hint = "make the art for this spine, or keep colours and words clear of its edges"
    make = Finding.note if off <= SLIGHT else Finding.warning
    return make("cover-art-spine", message, hint=hint, file=words.file, art=art_spine, spine=is_)


def _sides(edges: Edges) -> tuple[tuple[str, Length], ...]:
    return (
        ("head", edges.top),
        ("foot", edges.bottom),
        ("left end", edges.left),
        ("right end", edges.right),
    )


def _white(page: ArtPage, fit: ArtFit, wanted: Wanted, words: Words) -> tuple[Finding, ...]:
    """Art that does not reach its trim."""
    short = [(name, most) for name, most in _sides(fit.lacking) if most > SLIGHT.half]
    if not short:
        return ()
    is_, need = fit.own.text(words.unit), words.bound_at.leaf_size(wanted.size).text(words.unit)
    return (
        Finding.error(
            "cover-art-small",
            f"the {page.title} ({is_}) does not reach the trim of {need}: up to "
            f"{max(most for _, most in short).text(words.unit)} stays white at "
            f"{', '.join(name for name, _ in short)}",
            hint="make the art as large as the open cover, with bleed beyond it",
            file=words.file,
            art=is_,
            needs=need,
        ),
    )


def _thin_bleed(page: ArtPage, fit: ArtFit, wanted: Wanted, words: Words) -> tuple[Finding, ...]:
    """Less art beyond the trim than there should be."""
    sides = zip(_sides(fit.supplied), _sides(wanted.bleed), strict=True)
    thin = [(name, have, need) for (name, have), (_, need) in sides if have < need - SAME_SPINE]
    if not thin:
        return ()
    least = min(have for _, have, _ in thin).text(words.unit)
    need = max(need for _, _, need in thin).text(words.unit)
    return (
        Finding.warning(
            "cover-bleed",
            f"the {page.title} has {least} of bleed at {', '.join(name for name, _, _ in thin)}; "
            f"{need} is needed: a cut that drifts leaves a white edge",
            hint="let the art run beyond the trim on all sides",
            file=words.file,
            least=least,
            needs=need,
        ),
    )


def refuse(code: str, message: str, hint: str, numbers: tuple[str, str]) -> JobError:
    """The one fault of a cover that cannot be laid out; `numbers`: what is, what is needed."""
    is_, needs = numbers
    return JobError([Finding.error(code, message, hint=hint, has=is_, needs=needs)])
