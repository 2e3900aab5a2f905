"""What reading a finished piece of paper gives: its faces, one after the other."""

from __future__ import annotations

from dataclasses import dataclass

from impose.findings import Finding
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """One face of the finished book.

    `region` of the front or back of sheet `sheet`, in that side's own frame, is
    what the knife leaves; turned counter-clockwise by `turn` it reads upright.
    It then lies at `place` on the page as it is read, whose trim begins at 0, 0:
    an inner leaf begins farther from the spine.  `spine_at` is the bound edge
    and `cut` are the edges made by a knife, both as the page is read.  `name`
    is for faces that have no number, those of a cover.  `page` is the size of
    the whole page as it is read, and `role` that of the sheet.
    """

    sheet: int
    side: str
    region: Box
    turn: int
    place: Box
    spine_at: Edge
    cut: frozenset[Edge]
    name: str
    page: Size | None = None
    role: str = "guts"


@dataclass(frozen=True, slots=True)
class View:
    """Faces that lie side by side when a folded piece is looked at, each with its place; the
    lower left of the view is 0, 0.

    `open`, where it is given, is for each face the part of its place that no other paper
    covers.
    """

    faces: tuple[tuple[Face, Box], ...]
    open: tuple[Box, ...] = ()


@dataclass(frozen=True, slots=True)
class BoundBook:
    """The faces in reading order, and what is wrong with the book as a piece of paper.

    `views` are those of a piece that is not read like a book, in the order in
    which its reader meets them; faces may come in several.
    """

    faces: tuple[Face, ...]
    findings: tuple[Finding, ...] = ()
    views: tuple[View, ...] = ()
