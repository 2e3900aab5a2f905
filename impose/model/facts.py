"""Facts about source files, with no PDF object in them.

Boxes are lengths in the page's own coordinates (UserUnit applied, before
/Rotate), corners put in order.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from impose.findings import Finding
from impose.geometry.box import Box, Edges, Size
from impose.geometry.placing import ONE
from impose.model.leafkinds import NO_RULE, SizeRule


@dataclass(frozen=True, slots=True)
class PageFacts:
    """One page as its file has it.

    `trim` and `bleed` are None where the page has no such box.  `crop` is what
    a viewer shows (the CropBox within the MediaBox, else the MediaBox).
    `rotate` is 0, 90, 180 or 270 clockwise.
    """

    media: Box
    crop: Box
    trim: Box | None = None
    bleed: Box | None = None
    rotate: int = 0
    user_unit: Fraction = ONE

    def upright_size(self, box: Box) -> Size:
        """The size of `box` as the page is read."""
        return box.size.turned if self.rotate in (90, 270) else box.size

    def upright_edges(self, edges: Edges) -> Edges:
        """Lengths at the page's own edges, as they lie when the page is read."""
        ring = [edges.right, edges.top, edges.left, edges.bottom]  # counter-clockwise
        steps = self.rotate // 90
        # A clockwise turn by one step brings the left edge to the top.
        right, top, left, bottom = (ring[(i + steps) % 4] for i in range(4))
        return Edges(left=left, right=right, bottom=bottom, top=top)


@dataclass(frozen=True, slots=True)
class SourceFacts:
    """One input file."""

    file: str
    pages: tuple[PageFacts, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class BookPage:
    """One page of the book in reading order: a page of a file."""

    file: int  #: index into the job's files
    number: int  #: 1-based page number in that file
    facts: PageFacts
    rule: SizeRule = NO_RULE  #: what is done when it is not of trim size
