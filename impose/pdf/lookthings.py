"""Things seen on a page while it is being looked at, in points; plain values for the wire.

Painted later hides what lies below: `Canvas` keeps things in the order they are
painted (ISO 32000-1 8.2, the painting model is opaque) and takes away what an
opaque picture or a filled rectangle covers.  White is paper: it is never seen
itself, but it hides, and on something darker white text is read.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

#: Coverings smaller than this are not worth comparing with everything below (pt, 15 mm).
_COVER: Final = 42.5
#: Slack when one box is said to lie in another, in points.
_SLACK: Final = 0.25
#: With more than this below, nothing is taken away any more: it would take too long.
_MOST_BELOW: Final = 4000

TEXT: Final = "text"
PICTURE: Final = "picture"
LINE: Final = "line"
SHAPE: Final = "shape"
INK: Final = "print in the scan"


class Rect(NamedTuple):
    """x0 <= x1, y0 <= y1."""

    x0: float
    y0: float
    x1: float
    y1: float

    def meet(self, other: Rect) -> Rect:
        return Rect(
            max(self.x0, other.x0),
            max(self.y0, other.y0),
            min(self.x1, other.x1),
            min(self.y1, other.y1),
        )

    def join(self, other: Rect) -> Rect:
        return Rect(
            min(self.x0, other.x0),
            min(self.y0, other.y0),
            max(self.x1, other.x1),
            max(self.y1, other.y1),
        )

    def holds(self, other: Rect, slack: float = 0.0) -> bool:
        """`other` lies within, edges included."""
        return (
            self.x0 - slack <= other.x0
            and self.y0 - slack <= other.y0
            and self.x1 + slack >= other.x1
            and self.y1 + slack >= other.y1
        )

    def overlaps(self, other: Rect) -> bool:
        return (
            self.x0 < other.x1 and other.x0 < self.x1 and self.y0 < other.y1 and other.y0 < self.y1
        )

    @property
    def gone(self) -> bool:
        """Nothing left after a meeting; a line without width is something."""
        return self.x1 < self.x0 or self.y1 < self.y0

    @property
    def area(self) -> float:
        return max(0.0, self.x1 - self.x0) * max(0.0, self.y1 - self.y0)

    def grown(self, by: float) -> Rect:
        return Rect(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def turned(self, matrix: Affine | None) -> Rect:
        """The box round the image of this one."""
        if matrix is None:
            return self
        a, b, c, d, e, f = matrix
        if not b and not c:
            xs = (a * self.x0 + e, a * self.x1 + e)
            ys = (d * self.y0 + f, d * self.y1 + f)
            return Rect(min(xs), min(ys), max(xs), max(ys))
        corners = [
            (a * x + c * y + e, b * x + d * y + f)
            for x in (self.x0, self.x1)
            for y in (self.y0, self.y1)
        ]
        return Rect(
            min(p[0] for p in corners),
            min(p[1] for p in corners),
            max(p[0] for p in corners),
            max(p[1] for p in corners),
        )


class Affine(NamedTuple):
    """x' = a x + c y + e, y' = b x + d y + f."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def then(self, after: Affine | None) -> Affine:
        """This followed by `after`."""
        if after is None:
            return self
        a, b, c, d, e, f = self
        p, q, r, s, t, u = after
        return Affine(
            a * p + b * r,
            a * q + b * s,
            c * p + d * r,
            c * q + d * s,
            e * p + f * r + t,
            e * q + f * s + u,
        )

    @property
    def growth(self) -> float:
        """How much longer lines become, on average over directions."""
        return math.sqrt(abs(self.a * self.d - self.b * self.c))


@dataclass(slots=True)
class Thing:
    """One thing painted.

    `handle` is the text object and `frame` the one it lies in; `line` is what its
    baseline is known by: 0 across the page, 1 up the page, and where.
    """

    kind: str
    box: Rect
    handle: Any = None
    frame: Affine | None = None
    line: tuple[int, float] = (0, 0.0)
    words: str = ""


@dataclass(slots=True)
class RawPicture:
    """A picture as placed: `wide` x `high` points for `across` x `down` pixels."""

    box: Rect
    wide: float
    high: float
    across: int
    down: int
    space: str
    line_art: bool


@dataclass(slots=True)
class RawLook:
    """What a child tells of one page, in points with UserUnit applied."""

    index: int
    trouble: str = ""
    counts: tuple[int, int] | None = None  #: pages of the file where two readers disagree
    outlines: list[tuple[str, Rect, str]] = field(default_factory=list)
    pictures: list[RawPicture] = field(default_factory=list)
    fonts_missing: tuple[str, ...] = ()
    spots: tuple[str, ...] = ()
    thinnest: float = 0.0
    thinnest_box: Rect | None = None
    scan: bool = False
    blank: bool = False
    scanty: bool = False
    fingerprint: bytes = b""
    most_ink: float = 0.0
    process: tuple[str, ...] = ()
    rgb: bool = False
    white_overprint: bool = False
    transparent: bool = False
    old_workflow: str = ""


class Canvas:
    """Things in the order they are painted, those hidden so far taken away."""

    __slots__ = ("things",)

    def __init__(self) -> None:
        self.things: list[Thing] = []

    def paint(self, thing: Thing, *, white: bool = False) -> None:
        """White things count only where something darker lies below."""
        if not white or (thing.kind == TEXT and self._dark_below(thing.box)):
            self.things.append(thing)

    def cover(self, box: Rect, *, white: bool) -> None:
        """Something opaque is painted: what lies wholly below it is gone."""
        if box.x1 - box.x0 < _COVER or box.y1 - box.y0 < _COVER:
            return
        if len(self.things) > _MOST_BELOW:
            return
        kept = [thing for thing in self.things if not box.holds(thing.box, _SLACK)]
        if white:
            for thing in kept:
                thing.box = _left_of(thing.box, box)
        self.things = kept

    def _dark_below(self, box: Rect) -> bool:
        return any(thing.kind != TEXT and thing.box.overlaps(box) for thing in self.things)


def _left_of(box: Rect, cover: Rect) -> Rect:
    """What a white cover leaves of a box, where that is a box again."""
    if not box.overlaps(cover):
        return box
    if cover.y0 <= box.y0 + _SLACK and cover.y1 >= box.y1 - _SLACK:
        if cover.x0 <= box.x0:
            return box._replace(x0=cover.x1)
        return box._replace(x1=cover.x0) if cover.x1 >= box.x1 else box
    if cover.x0 <= box.x0 + _SLACK and cover.x1 >= box.x1 - _SLACK:
        if cover.y0 <= box.y0:
            return box._replace(y0=cover.y1)
        return box._replace(y1=cover.y0) if cover.y1 >= box.y1 else box
    return box
