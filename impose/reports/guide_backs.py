"""What to do now: what must lie behind what on the first sheet, read from its placements.

A page is held against the light: what lies behind it is the page of the back
whose paper it shares, and its head is where the head of that page is, seen
through the paper.  Nothing is taken from the order of the pages.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from impose.geometry.box import Box
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Turnover
from impose.plan.parts import Placement, Sheet
from impose.plan.plan import Plan
from impose.reports.guide_parts import Book, face, has_marks


@dataclass(frozen=True, slots=True)
class BackToBack:
    """Two faces on one piece of paper; `turn` is how far the head of the one behind is turned
    against the head of the front, counter-clockwise and seen from the front."""

    front: Placement
    back: Placement
    turn: int


def back_to_back(sheet: Sheet) -> Iterator[BackToBack]:
    """Each face of the front with the one behind it, in the order of the book; none for a face
    that has nothing behind it."""
    for front in sorted(sheet.front.placements, key=lambda one: one.position):
        seen = sheet.turned.over(front.trim, sheet.size)
        behind = max(sheet.back.placements, key=lambda one: _shared(seen, one.trim), default=None)
        if behind is None or not _shared(seen, behind.trim):
            continue
        through = -behind.turn if sheet.turned is Turnover.ABOUT_VERTICAL else 180 - behind.turn
        yield BackToBack(front, behind, (through - front.turn) % 360)


def _shared(one: Box, other: Box) -> int:
    """The area of both, in grains to the square."""
    both = one.meet(other)
    return 0 if both.empty else both.width.grains * both.height.grains


def backs(book: Book) -> Iterator[str]:
    """What lies behind what, and which way up; nothing where nothing lies behind anything."""
    first = book.guts[0]
    pairs = list(back_to_back(first))
    if not pairs:
        return
    # A face with print on both its sides shows a wrong turn; a blank one does not.
    pair = max(pairs, key=lambda one: (one.front.page is not None) + (one.back.page is not None))
    wrong = "try the other edge"
    if book.job.guts.one_side:
        wrong = "make the trial once more (impose register --one-side)"
    yield (
        f"Turn the sheet over like the page of a book. Behind {_named(pair.front, book)} must lie "
        f"{_named(pair.back, book)}, {_way(pair.turn, book.plan)}; if it does not, {wrong}."
    )
    what = "the marks of the back fall on those of the front"
    if not has_marks(first, "crop", "fold", "registration"):
        what = "the pages of the back lie on those of the front"
    printer = book.job.guts.printer
    if printer is not None and printer.plates:
        yield f"Look through the sheet: {what}; the gripper and the side lay are set until they do."
        return
    yield (
        f"Hold the sheet to the light: {what}, within 1 mm (1/32 in). If they are farther off, "
        "impose register finds out by how much, and corrects it."
    )


def _named(placement: Placement, book: Book) -> str:
    """A face as the reader calls it; of flat work as its file does."""
    if placement.position > book.plan.faces:
        return f"page {placement.position}"
    return face(placement.position, book)


def _way(turn: int, plan: Plan) -> str:
    if turn == 0:
        return "the same way up"
    if turn != 180:
        return "turned by a quarter"
    return (
        "head to foot, as the book is bound at the head"
        if plan.bound_at is BoundAt.HEAD
        else "head to foot"
    )
