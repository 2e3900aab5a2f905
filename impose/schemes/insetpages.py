"""Which faces of the book are put in as leaves of their own, and how large they are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from impose.errors import JobError
from impose.findings import Finding, page_ranges
from impose.geometry.box import Size
from impose.model.facts import BookPage
from impose.model.job import Job
from impose.model.leafkinds import LeafKind, LeafWish
from impose.model.sizes import FitMode
from impose.plan.insetfacts import Inset
from impose.plan.insets import file_name
from impose.plan.plan import Plan
from impose.schemes.fitting import OVERHANG_LIMIT, page_size, trim_says
from impose.schemes.leaves import Book, Faces
from impose.units import Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """Leaves that follow each other and are made alike: two faces each.

    `before` counts the pages of the other guts before it, `after` all pages of
    the finished book before it.
    """

    wish: LeafWish
    faces: Faces
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Parted:
    """The pages of the guts that are made together, what each wants of its leaf, and the rest."""

    faces: Faces
    wishes: tuple[LeafWish, ...]
    runs: tuple[Run, ...]
    findings: tuple[Finding, ...] = ()


def part_book(job: Job, book: Book) -> Parted:
    """Pages whose leaves are made by themselves are taken out of the others.

    A leaf begins with a recto: where an odd number of pages comes before it or
    is on it, a blank page is added and said.
    """
    if all(wish.plain for wish in book.wishes):
        return Parted(book.faces, book.wishes, ())
    guts: list[tuple[int | None, LeafWish]] = []
    runs: list[Run] = []
    said: list[Finding] = []
    for wish, faces in _alike(job, book):
        if not is_inset(job, wish):
            guts.extend((face, wish) for face in faces)
            continue
        if len(guts) % 2:
            guts.append((None, guts[-1][1]))
            said.append(_blank(job, wish, faces, "before them, so that they begin a leaf"))
        if len(faces) % 2:
            said.append(_blank(job, wish, faces, "after them, the other side of their last leaf"))
            faces = (*faces, None)
        before = sum(len(run.faces) for run in runs)
        runs.append(Run(wish=wish, faces=faces, before=len(guts), after=len(guts) + before))
    if not guts:
        raise JobError(
            [
                Finding.error(
                    "only-insets",
                    "every page is on a leaf of its own kind: there are no guts to put them into",
                    hint="say it of the book: french_fold, stock, sheet in [guts], trim in [book]",
                )
            ]
        )
    kept, wishes = zip(*guts, strict=True)
    return Parted(tuple(kept), tuple(wishes), tuple(runs), tuple(said))


def is_inset(job: Job, wish: LeafWish) -> bool:
    """Leaves made by themselves.  In a book of folded sheets another stock alone makes none:
    there it belongs to whole sheets."""
    if wish.kind is not LeafKind.AS_THE_REST:
        return True
    folded = job.binding.folded or bool(job.guts.section_pages)
    return not wish.plain and not folded


def _alike(job: Job, book: Book) -> Iterator[tuple[LeafWish, Faces]]:
    """Faces in a row with the same wish."""
    begun = 0
    for index in range(1, len(book.faces) + 1):
        if index == len(book.faces) or book.wishes[index] != book.wishes[begun]:
            yield _kind(job, book.wishes[begun]), book.faces[begun:index]
            begun = index


def _kind(job: Job, wish: LeafWish) -> LeafWish:
    """In a book of French-folded leaves one of another stock is folded like the rest."""
    if job.guts.french_fold and wish.kind is LeafKind.AS_THE_REST and not wish.plain:
        return replace(wish, kind=LeafKind.FRENCH)
    return wish


def _blank(job: Job, wish: LeafWish, faces: Faces, where: str) -> Finding:
    pages = tuple(face for face in faces if face is not None)
    noun = "page" if len(pages) == 1 else "pages"
    what = f"{noun} {page_ranges(pages)} ({wish.kind.value})" if pages else "blank leaves"
    return Finding.note("blanks-added", f"{what}: 1 blank page added {where}", pages=pages)


# -- pages of their own width ----------------------------------------------------------------


def own_sizes(
    job: Job, trim: Size, pages: Sequence[BookPage], runs: Sequence[Run], *, fore_edge: bool
) -> dict[int, Size]:
    """The size, as it is read, of each page that is not as wide as the trim.

    `fore_edge`: the book's fore-edge is trimmed, and folds must keep clear of
    it.  Raises JobError with every page whose width does not suit its leaf.
    """
    found: dict[int, Size] = {}
    faults: list[Finding] = []
    for run in runs:
        if not run.wish.kind.own_width:
            continue
        for index in range(0, len(run.faces), 2):
            leaf = [page for page in run.faces[index : index + 2] if page is not None]
            sizes = [_own(job, trim, pages[page - 1]) for page in leaf]
            if run.wish.kind is LeafKind.FRENCH:
                sizes = [_clear(job, trim, size, fore_edge) for size in sizes]
            faults.extend(_faults(job, trim, run.wish.kind, leaf, sizes))
            found.update((page, sizes[0]) for page in leaf)
    faults.extend(_too_wide(job, trim, pages, runs, found))
    if faults:
        raise JobError(faults)
    return found


def _own(job: Job, trim: Size, page: BookPage) -> Size:
    """As high as the trim; as wide as the page, less what overhangs as it does in height."""
    turned = job.bound_at
    leaf, read = turned.leaf_size(trim), turned.leaf_size(page_size(page.facts, job.tolerance))
    over = read.height - leaf.height
    width = read.width
    mode = page.rule.mode or job.fit
    if mode is FitMode.SCALE:
        width = read.width * leaf.height.ratio(read.height)
    elif job.tolerance < over <= OVERHANG_LIMIT * 2 and not trim_says(page.facts, job.tolerance):
        width = read.width - over
    if width.near(leaf.width, job.tolerance):
        width = leaf.width
    return turned.leaf_size(Size(width, leaf.height))


def _clear(job: Job, trim: Size, size: Size, fore_edge: bool) -> Size:
    """A French fold lies inside the knife at the fore-edge, or exactly at the trim."""
    turned = job.bound_at
    most = turned.leaf_size(trim).width - (job.guts.fold_out_clear if fore_edge else Length())
    own = turned.leaf_size(size)
    return turned.leaf_size(Size(min(own.width, most), own.height))


def _faults(
    job: Job, trim: Size, kind: LeafKind, leaf: Sequence[int], sizes: Sequence[Size]
) -> Iterator[Finding]:
    unit, turned = job.unit, job.bound_at
    across = turned.leaf_size(trim).width
    widths = [turned.leaf_size(size).width for size in sizes]
    for page, width in zip(leaf, widths, strict=True):
        wrong = ""
        if kind is LeafKind.FOLD_OUT and width <= across:
            wrong = "a fold-out is wider than the trim"
        elif kind is LeafKind.NARROW and width >= across:
            wrong = "a narrow leaf ends inside the trim"
        if wrong:
            yield Finding.error(
                "leaf-width",
                f"page {page} is {width.text(unit)} wide from the spine, the trim "
                f"{across.text(unit)}: {wrong}",
                hint="leave leaf out for pages as wide as the others",
                pages=[page],
                width=width.text(unit),
                trim=across.text(unit),
            )
    if len(widths) == 2 and not widths[0].near(widths[1], job.tolerance):
        one, other = (width.text(unit) for width in widths)
        yield Finding.error(
            "leaf-sides",
            f"pages {leaf[0]} and {leaf[1]} are the two sides of one {kind.value} leaf, and are "
            f"{one} and {other} wide",
            hint="make them equally wide, or put a blank page between them",
            pages=list(leaf),
        )


def _too_wide(
    job: Job, trim: Size, pages: Sequence[BookPage], runs: Sequence[Run], own: dict[int, Size]
) -> Iterator[Finding]:
    """French-folded pages whose fold would be cut."""
    turned = job.bound_at
    folded = [f for r in runs if r.wish.kind is LeafKind.FRENCH for f in r.faces if f is not None]
    wide = []
    for page in folded:
        mode = pages[page - 1].rule.mode or job.fit
        most = turned.leaf_size(own[page]).width
        aligned = pages[page - 1].rule.align
        is_ = turned.leaf_size(_own(job, trim, pages[page - 1])).width
        if mode is FitMode.ASK and not aligned and is_ > most + job.tolerance:
            wide.append((page, is_, most))
    if wide:
        unit = job.unit
        page_list = [page for page, _, _ in wide]
        _, is_, most = wide[0]
        yield Finding.error(
            "french-fold-cut",
            f"pages {page_ranges(page_list)} are French-folded among leaves whose fore-edge is "
            f"trimmed: the fold must keep {job.guts.fold_out_clear.text(unit)} inside the trim, "
            f"so that {most.text(unit)} are left; they are {is_.text(unit)} wide",
            hint='make them narrower, say fit = "scale" or align = "spine" with them, or fold the '
            "whole book so (french_fold), whose fore-edge is never cut",
            pages=page_list,
            width=is_.text(unit),
            most=most.text(unit),
        )


# -- what is said ----------------------------------------------------------------------------


def in_words(inset: Inset, plan: Plan) -> tuple[Finding, ...]:
    """Where the leaves go; how a fold-out is folded."""
    unit = plan.unit
    places = ", ".join(_place(after, leaves) for after, leaves in inset.places)
    stock = f" on {inset.stock}" if inset.stock else ""
    said = [
        Finding.note(
            "inset",
            f"inset {inset.number}: {inset_name(inset)}{stock}, {places}; printed by itself, "
            f"{file_name(inset.number)}",
            hint="print it on its own paper, and put the leaves in when the guts are gathered",
        )
    ]
    if inset.folds:
        folds = ", ".join((fold + plan.grind).text(unit) for fold in inset.folds)
        bulk = inset.caliper * len(inset.folds)
        said.append(
            Finding.note(
                "fold-out",
                f"inset {inset.number} is folded {_times(len(inset.folds))}, at {folds} from the "
                f"paper's edge at the spine; folded it is {bulk.text(unit)} thicker there than at "
                "the spine, each leaf",
                hint="several fold-outs want stubs at the spine that make up for it: say them as "
                "extra_leaves",
            )
        )
    return tuple(said)


def inset_name(inset: Inset) -> str:
    """`a fold-out`, `2 narrow leaves`, `4 leaves`."""
    one = {
        LeafKind.FOLD_OUT: "fold-out",
        LeafKind.NARROW: "narrow leaf",
        LeafKind.FRENCH: "French-folded leaf",
        LeafKind.TIPPED_IN: "tipped-in leaf",
    }.get(inset.kind, "leaf")
    if inset.leaves == 1:
        return f"a {one}"
    many = f"{one[:-4]}leaves" if one.endswith("leaf") else f"{one}s"
    return f"{inset.leaves} {many}"


def _place(after: int, leaves: int) -> str:
    where = f"after page {after}" if after else "before page 1"
    return where if leaves == 1 else f"{leaves} leaves {where}"


def _times(count: int) -> str:
    return {1: "once", 2: "twice"}.get(count, f"{count} times")
