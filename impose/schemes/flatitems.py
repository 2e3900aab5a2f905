"""The items of a flat job with their pages: what stands on the sheets, and how large it is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.model.facts import BookPage
from impose.model.job import FlatWish, Job
from impose.model.stock import Grain
from impose.plan.plan import PageFit
from impose.schemes.draft import USUAL_BLEED
from impose.schemes.fitting import Fitting, fit_pages, page_size
from impose.schemes.leaves import Book
from impose.schemes.madebleed import ToMake
from impose.schemes.pagesizes import taken_from
from impose.units import ZERO, Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One item: `faces` are its front and, where it has one, its back.

    A face is a source page in reading order (1-based), None for a blank one.
    `bleed` is what is aimed at on all four sides.  `amount` None: one full sheet.
    """

    title: str
    trim: Size
    faces: tuple[int | None, ...]
    amount: int | None
    up: int | None
    turn: bool
    grain: Grain | None
    bleed: Length
    head_to_foot: bool


@dataclass(frozen=True, slots=True)
class FlatPages:
    """All items in the order of the job, the fits of all their pages, and what must be said."""

    items: tuple[Item, ...]
    fits: tuple[PageFit, ...]
    findings: tuple[Finding, ...]


def flat_pages(job: Job, book: Book, runs: Sequence[int], to_make: ToMake) -> FlatPages:
    """`runs` are the counts of faces of each of the job's page items, in their order.

    Raises JobError with the faults of all items.
    """
    said: list[Finding] = []
    faults: list[Finding] = []
    drafts: list[_Draft] = []
    for index, wish in enumerate(job.items):
        faces = _faces_of(job, book.faces, runs, index)
        try:
            pages = [book.pages[n - 1] for n in faces if n is not None]
            drafts.append(_Draft(wish, faces, _sides(wish, faces), _trim(job, wish, pages, said)))
        except JobError as error:
            faults.extend(error.faults)
    if faults:
        raise JobError(faults)
    fits, notes = fit_pages(book.pages, _fitting(job, drafts))
    items: list[Item] = []
    for draft in drafts:
        own = {n: fits[n - 1] for n in draft.faces if n is not None}
        bleed = _bleed(job, draft.wish, list(own.values()), any(n in to_make for n in own))
        said.extend(_short_of(draft.wish, own, to_make, job.unit))
        items.extend(_shared_out(draft, bleed))
    return FlatPages(tuple(items), fits, (*said, *notes))


@dataclass(frozen=True, slots=True)
class _Draft:
    """A wish with its faces, of which every `sides` are an item."""

    wish: FlatWish
    faces: tuple[int | None, ...]
    sides: int
    trim: Size


def _fitting(job: Job, drafts: Sequence[_Draft]) -> Fitting:
    """Every page is fitted to the trim of its own item."""
    own = {page: draft.trim for draft in drafts for page in draft.faces if page is not None}
    return Fitting(
        trim=drafts[0].trim, mode=job.fit, tolerance=job.tolerance, unit=job.unit, own=own
    )


def _faces_of(
    job: Job, faces: Sequence[int | None], runs: Sequence[int], index: int
) -> tuple[int | None, ...]:
    found: list[int | None] = []
    at = 0
    for page, count in zip(job.pages, runs, strict=True):
        if page.flat == index:
            found.extend(faces[at : at + count])
        at += count
    return tuple(found)


def _sides(wish: FlatWish, faces: Sequence[int | None]) -> int:
    """How many faces each item has.  Raises JobError when the pages do not come out even."""
    count = len(faces)
    if wish.sides is None:
        if count in (1, 2):
            return count
        message = f"{wish.title} has {count} pages: an item has a front (1), or a front and a "
        raise _fault(
            message + "back (2)",
            "choose its pages, such as cards.pdf[1-2]; or sides = 2 makes an item of every two",
            wish,
        )
    if not count or count % wish.sides:
        raise _fault(
            f"{wish.title} has {count} pages, which do not come out even in items of {wish.sides}",
            'add a "blank" where a back is missing, or choose the pages',
            wish,
        )
    return wish.sides


def _fault(message: str, hint: str, wish: FlatWish) -> JobError:
    return JobError([Finding.error("item-pages", message, hint=hint, item=wish.title)])


def _trim(job: Job, wish: FlatWish, pages: Sequence[BookPage], said: list[Finding]) -> Size:
    """As said, else that of its first page, which is said."""
    if wish.trim is not None:
        return wish.trim.size
    if not pages:
        raise _fault(f"{wish.title} has no page and no size", "name its trim", wish)
    size, words = taken_from(job, page_size(pages[0].facts, job.tolerance))
    said.append(
        Finding.note(
            "trim-from-page",
            f"no trim size was given for {wish.title}: taken from its page, {words}",
            hint="name it (trim, --trim) to be sure",
            trim=size.text(job.unit),
        )
    )
    return size


def _bleed(job: Job, wish: FlatWish, fits: Sequence[PageFit], made: bool) -> Length:
    """As asked for, else what is supplied up to the usual; what is no more than pages of one size
    differ by is none."""
    asked = wish.bleed if wish.bleed is not None else job.guts.bleed
    if asked is not None:
        return asked
    if made:
        return USUAL_BLEED
    supplied = [fit.supplied for fit in fits]
    most = max((max(s.left, s.right, s.bottom, s.top) for s in supplied), default=ZERO)
    return min(most, USUAL_BLEED) if most * 2 > job.tolerance else ZERO


def _short_of(
    wish: FlatWish, fits: Mapping[int, PageFit], to_make: ToMake, unit: str
) -> Iterator[Finding]:
    """A bleed that the item asks for and its pages do not have (that of the job is told
    for all pages together)."""
    if not wish.bleed or to_make:
        return
    supplied = {number: fit.supplied for number, fit in fits.items()}
    have = {n: min(s.left, s.right, s.bottom, s.top) for n, s in supplied.items()}
    short = [number for number, least in have.items() if least < wish.bleed]
    if short:
        least = min(have[number] for number in short)
        yield Finding.warning(
            "bleed-missing",
            f"{wish.title} asks for a bleed of {wish.bleed.text(unit)}; its pages have "
            f"{least.text(unit)} at the least",
            hint="art that should run off the page needs to reach beyond the trim",
            pages=short,
            asked=wish.bleed.text(unit),
            least=least.text(unit),
        )


def _shared_out(draft: _Draft, bleed: Length) -> Iterator[Item]:
    """One item, or one of every `sides` faces."""
    wish, faces, sides = draft.wish, draft.faces, draft.sides
    count = len(faces) // sides
    for number in range(count):
        yield Item(
            title=wish.title if count == 1 else f"{wish.title} {number + 1}",
            trim=draft.trim,
            faces=faces[number * sides : (number + 1) * sides],
            amount=wish.amount,
            up=wish.up,
            turn=wish.turn,
            grain=wish.grain,
            bleed=bleed,
            head_to_foot=wish.head_to_foot,
        )
