"""What is on each page: outlines of things, pictures, fonts, colours; no PDF object in it.

All boxes are lengths in the page's own coordinates (UserUnit applied, before
/Rotate), the frame of `PageFit.box`: a rule lays them on the sheet with the
plan's placing.  Only what would be seen on paper is told: invisible text,
white on white, what a clip or a later opaque thing hides, and hidden layers
are left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from impose.geometry.box import Box, Size
from impose.units import ZERO, Length


class Matter(Enum):
    """What an outline is round; the value is its word in messages."""

    TEXT = "text"
    PICTURE = "picture"
    LINE = "line"
    SHAPE = "shape"
    INK = "print in the scan"  #: what the pixels of a page-filling scan show


@dataclass(frozen=True, slots=True)
class Outline:
    """The box round one thing.

    Text near the edges comes line by line with its words; text further in, as
    one outline for the page without words.
    """

    matter: Matter
    box: Box
    words: str = ""


class InkSpace(Enum):
    """The colours a picture is stored in; the value is for messages."""

    GREY = "grey"
    RGB = "RGB"
    CMYK = "CMYK"
    SPOT = "spot colour"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureLook:
    """A picture as placed: `across` x `down` pixels printed `size` large on the page.

    `line_art` is one bit a pixel.
    """

    box: Box
    size: Size
    across: int
    down: int
    space: InkSpace = InkSpace.OTHER
    line_art: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PageLook:
    """One page.

    `looked` is False where the page could not be looked at: then `trouble` says why and
    everything else is empty.  `scan` says that one picture fills the page and
    was judged by its pixels.  `thinnest` is the finest line, ZERO where there
    is none.  `fingerprint` is equal for pages that look the same.  `scanty` says that
    there is no more on it than a short line of text.  `most_ink` is the largest
    sum of a CMYK colour in letters and drawings (3: 300 %), `rgb` a colour
    there that is no grey; `process` are the process inks that something on it may
    need, pictures included; `old_workflow` the standard the file says it keeps,
    when that knows no transparency.
    """

    file: int
    number: int
    looked: bool = True
    trouble: str = ""
    outlines: tuple[Outline, ...] = ()
    pictures: tuple[PictureLook, ...] = ()
    fonts_missing: tuple[str, ...] = ()
    spots: tuple[str, ...] = ()
    thinnest: Length = ZERO
    thinnest_box: Box | None = None
    scan: bool = False
    blank: bool = False
    scanty: bool = False
    fingerprint: bytes = b""
    most_ink: Fraction = Fraction(0)
    rgb: bool = False
    process: tuple[str, ...] = ()
    white_overprint: bool = False
    transparent: bool = False
    old_workflow: str = ""
