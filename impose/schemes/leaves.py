"""From what was asked and what the files hold to the book's pages in reading order.

A book is a list of faces: source pages by number, None for blanks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.errors import JobError
from impose.findings import Finding
from impose.model.facts import BookPage, SourceFacts
from impose.model.job import BlanksAt, PagesItem
from impose.model.leafkinds import LeafWish

Faces = tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Book:
    """What is in the book: source pages in reading order, the faces with explicit blanks, and
    what each face wants of its leaf."""

    pages: tuple[BookPage, ...]
    faces: Faces
    wishes: tuple[LeafWish, ...]


def expand_pages(
    items: Sequence[PagesItem], files: Sequence[str], sources: Sequence[SourceFacts]
) -> tuple[tuple[BookPage, ...], Faces]:
    """The source pages and the faces of `expand_book`."""
    book = expand_book(items, files, sources)
    return book.pages, book.faces


def expand_book(
    items: Sequence[PagesItem], files: Sequence[str], sources: Sequence[SourceFacts]
) -> Book:
    """The book of these items.

    `files` are the items' file names, in the order of `sources`.  Raises
    JobError when a range reaches outside its file, or nothing is left.
    """
    pages: list[BookPage] = []
    faces: list[int | None] = []
    wishes: list[LeafWish] = []
    faults: list[Finding] = []
    for item in items:
        if item.file is None:
            faces.extend([None] * item.blank)
            wishes.extend([item.leaf] * item.blank)
            continue
        index = files.index(str(item.file))
        source = sources[index]
        for number in _numbers(item, len(source.pages), faults):
            pages.append(BookPage(index, number, source.pages[number - 1], item.rule))
            faces.append(len(pages))
            wishes.append(item.leaf)
    if not pages and not faults:
        faults.append(Finding.error("no-pages", "the job has no pages", hint="name a PDF"))
    if faults:
        raise JobError(faults)
    return Book(tuple(pages), tuple(faces), tuple(wishes))


def face_counts(
    items: Sequence[PagesItem], files: Sequence[str], sources: Sequence[SourceFacts]
) -> tuple[int, ...]:
    """How many faces each item gives, of items that `expand_pages` takes."""
    return tuple(
        item.blank
        if item.file is None
        else len(_numbers(item, len(sources[files.index(str(item.file))].pages), []))
        for item in items
    )


def _numbers(item: PagesItem, count: int, faults: list[Finding]) -> list[int]:
    if not item.ranges:
        return list(range(1, count + 1))
    numbers: list[int] = []
    for first, last in item.ranges:
        end = count if last is None else last
        if not 1 <= first <= count or not 1 <= end <= count:
            wanted = f"{first}-{last}" if last is not None else f"{first}-"
            faults.append(
                Finding.error(
                    "page-range",
                    f"{item.file}: pages {wanted} asked for, the file has {count}",
                    hint=f"choose pages from 1 to {count}",
                    file=str(item.file),
                    asked=wanted,
                    has=count,
                )
            )
            continue
        step = 1 if end >= first else -1
        numbers.extend(range(first, end + step, step))
    return numbers


def fill_up(faces: Faces, multiple: int, at: BlanksAt) -> tuple[Faces, tuple[Finding, ...]]:
    """Blanks added until the count is a multiple, at the end or before a source page.

    Raises JobError when the page to put them before does not exist.
    """
    missing = -len(faces) % multiple
    if not missing:
        return faces, ()
    sources = [page for page in faces if page is not None]
    if at.before is None:
        where, place = len(faces), "at the end"
    else:
        page = sources[-1] if at.before == -1 else at.before
        if page not in sources:
            raise JobError(
                [
                    Finding.error(
                        "blanks-before",
                        f"blanks are to go before page {page}, the book has {len(sources)} pages",
                        hint=f"name a page from 1 to {len(sources)}",
                    )
                ]
            )
        where, place = faces.index(page), f"before page {page}"
    filled = (*faces[:where], *([None] * missing), *faces[where:])
    noun = "blank page" if missing == 1 else "blank pages"
    note = Finding.note(
        "blanks-added",
        f"{missing} {noun} added {place}: {len(faces)} pages make {len(filled)}",
        blanks=missing,
        pages_given=len(faces),
        pages_made=len(filled),
    )
    return filled, (note,)
