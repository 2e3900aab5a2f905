"""A page with a finding, drawn: whole, and close at the thing in question.

The trim is a full line, the live area a dashed one, the bleed a dotted one; what
falls away is veiled; the thing stands in a ring, with the number of its finding.
Widths of lines are the style sheet's, whatever the size of the page.
"""

from __future__ import annotations

from dataclasses import dataclass

from impose.checks.words import measured
from impose.errors import UnitError
from impose.geometry.box import Box, Edges
from impose.geometry.sides import Edge
from impose.pdf.pages import words_width
from impose.reports.html_words import escaped_words
from impose.reports.page_views import PageView, View
from impose.reports.svg_drawing import svg_number, svg_rect
from impose.units import ZERO, Length, parse_length

#: How far the ring stands off the thing: on the whole page, and seen close.
_RING = Length.mm("1.2")
_CLOSE_RING = Length.mm("0.3")
_INWARD = {Edge.LEFT: (1, 0), Edge.RIGHT: (-1, 0), Edge.BOTTOM: (0, 1), Edge.TOP: (0, -1)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A page and the pictures of it as data URIs; `close` has one for each view, or nothing."""

    view: PageView
    data: str
    close: tuple[str, ...] = ()

    @property
    def worst(self) -> int:
        """The number of the worst finding that speaks of it: findings are listed worst first."""
        return min(one.finding for one in self.view.views)


@dataclass(frozen=True, slots=True)
class _Paper:
    """From lengths on the page to an SVG that shows `shown` of it."""

    shown: Box

    def box(self, box: Box) -> Box:
        return box.moved(-self.shown.x0, -self.shown.y0)

    def rect(self, box: Box, kind: str) -> str:
        return svg_rect(self.box(box), self.shown.height, kind)

    def line(self, box: Box, kind: str) -> str:
        """An outline that is seen on light and on dark."""
        return self.rect(box, "halo") + self.rect(box, kind)

    def at(self, x: Length, y: Length) -> tuple[str, str]:
        return svg_number(x - self.shown.x0), svg_number(self.shown.y1 - y)

    def image(self, box: Box, data: str) -> str:
        (x, y), wide, high = self.at(box.x0, box.y1), box.width, box.height
        return (
            f'<image href="{data}" x="{x}" y="{y}" width="{svg_number(wide)}" '
            f'height="{svg_number(high)}" preserveAspectRatio="none"/>'
        )

    def veil(self, trim: Box) -> str:
        """Over everything but the trim."""
        wide, high = svg_number(self.shown.width), svg_number(self.shown.height)
        (x0, y0), (x1, y1) = self.at(trim.x0, trim.y1), self.at(trim.x1, trim.y0)
        hole = f"M{x0} {y0}V{y1}H{x1}V{y0}Z"
        return f'<path class="veil" fill-rule="evenodd" d="M0 0H{wide}V{high}H0Z{hole}"/>'

    def svg(self, label: str, parts: list[str]) -> str:
        wide, high = svg_number(self.shown.width), svg_number(self.shown.height)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="page" viewBox="0 0 {wide} {high}" '
            f'role="img" aria-label="{escaped_words(label)}">'
            f'<rect class="desk" width="{wide}" height="{high}"/>{"".join(parts)}</svg>'
        )


def page_svg(picture: Picture) -> str:
    """The whole page, with every finding's number at what it speaks of."""
    view = picture.view
    page = Box.at(ZERO, ZERO, view.size)
    paper = _Paper(_framed(view, page))
    parts = [paper.rect(page, "paper"), paper.image(page, picture.data), *_lines(paper, view)]
    parts += [paper.rect(_strip(view, one.edge), "risk") for one in view.views if one.edge]
    parts += [_ring(paper, one.box, _RING) for one in view.views if one.box]
    parts += _numbers(paper, view)
    said = ", ".join(f"finding {one.finding}{_where(one)}" for one in view.views)
    return paper.svg(f"{view.name} with its trim and live area; {said}", parts)


def close_svg(picture: Picture, index: int, unit: str) -> str:
    """What the view of that index points at, seen close; empty where there is nothing to see."""
    view = picture.view
    one = view.views[index]
    if index >= len(picture.close) or not picture.close[index] or one.window is None:
        return ""
    page = Box.at(ZERO, ZERO, view.size)
    paper = _Paper(one.window)
    parts = [
        paper.rect(page, "paper"),
        paper.image(page.meet(one.window), picture.close[index]),
        *_lines(paper, view),
    ]
    if one.box is not None:
        parts.append(_ring(paper, one.box, _CLOSE_RING))
        parts.append(_distance(paper, view, one, unit))
    return paper.svg(f"{view.name} seen close, finding {one.finding}", parts)


def _framed(view: PageView, page: Box) -> Box:
    """The page, the trim and the bleed where they reach beyond it, and a little desk round all."""
    whole = page.join(view.trim)
    if view.bleed is not None:
        whole = whole.join(view.bleed)
    edge = max(whole.width, whole.height).split(60)[0]
    return whole.grown(Edges.all(edge))


def _lines(paper: _Paper, view: PageView) -> list[str]:
    parts = [paper.veil(view.trim)]
    if view.bleed is not None and view.bleed != view.trim:
        parts.append(paper.line(view.bleed, "bleedline"))
    parts.append(paper.line(view.trim, "trimline"))
    if view.live is not None and view.live != view.trim:
        parts.append(paper.line(view.live, "liveline"))
    return parts


def _strip(view: PageView, edge: Edge) -> Box:
    """Between the trim and the live area at an edge, or a narrow strip where they are one."""
    trim, live = view.trim, view.live or view.trim
    least = Length.mm(2)
    return {
        Edge.LEFT: Box(trim.x0, trim.y0, max(live.x0, trim.x0 + least), trim.y1),
        Edge.RIGHT: Box(min(live.x1, trim.x1 - least), trim.y0, trim.x1, trim.y1),
        Edge.BOTTOM: Box(trim.x0, trim.y0, trim.x1, max(live.y0, trim.y0 + least)),
        Edge.TOP: Box(trim.x0, min(live.y1, trim.y1 - least), trim.x1, trim.y1),
    }[edge]


def _ring(paper: _Paper, box: Box, off: Length) -> str:
    ring = box.grown(Edges.all(off))
    return paper.rect(ring, "ringhalo") + paper.rect(ring, "ring")


# -- numbers ---------------------------------------------------------------------------


def _numbers(paper: _Paper, view: PageView) -> list[str]:
    """A disc with each finding's number, beside what it speaks of, none upon another."""
    radius = max(view.size.width, view.size.height).split(34)[0]
    taken: list[tuple[Length, Length]] = []
    parts = []
    for one in view.views:
        x, y = _beside(view, one, radius)
        while any(abs(x - a) < radius * 2 and abs(y - b) < radius * 2 for a, b in taken):
            y = y - radius * 2
            if y < view.trim.y0:
                x, y = x - radius * 2, view.trim.y1 - radius * 2
        taken.append((x, y))
        cx, cy = paper.at(x, y)
        high = svg_number(radius.split(4)[0] * 5)
        parts.append(
            f'<circle class="disc" cx="{cx}" cy="{cy}" r="{svg_number(radius)}"/>'
            f'<text class="discnumber" x="{cx}" y="{cy}" font-size="{high}" text-anchor="middle" '
            f'dominant-baseline="central">{one.finding}</text>'
        )
    return parts


def _beside(view: PageView, one: View, radius: Length) -> tuple[Length, Length]:
    """Inward from the thing, or from the edge; in the upper right corner where there is neither."""
    trim = view.trim
    dx, dy = _INWARD[one.edge] if one.edge else (0, 1)
    if one.box is not None:
        spot = one.box.meet(trim)
        spot = one.box if spot.empty else spot
    elif one.edge is not None:
        spot = _strip(view, one.edge)
    else:
        return trim.x1 - radius * 2, trim.y1 - radius * 2
    far = radius + radius.half
    x = (spot.x0 + spot.x1).half + (spot.width.half + far) * dx
    y = (spot.y0 + spot.y1).half + (spot.height.half + far) * dy
    return _between(x, trim.x0 + far, trim.x1 - far), _between(y, trim.y0 + far, trim.y1 - far)


def _between(value: Length, low: Length, high: Length) -> Length:
    return max(low, min(value, high))


def _where(one: View) -> str:
    return f" at the {one.edge.value} edge" if one.edge else ""


# -- distance --------------------------------------------------------------------------


def _distance(paper: _Paper, view: PageView, one: View, unit: str) -> str:
    """A dimension from the thing to the trim, or to the bleed where it does not reach that,
    with what was measured written beside it."""
    short = _short(one.missing or one.measured, unit)
    words = f"missing {short}" if one.missing and short else short
    box, edge = one.box, one.edge
    trim = view.bleed if one.missing and view.bleed is not None else view.trim
    if not words or box is None or edge is None or one.window is None:
        return ""
    if edge in (Edge.LEFT, Edge.RIGHT):
        near, far = (trim.x0, box.x0) if edge is Edge.LEFT else (trim.x1, box.x1)
        y = _clear(box.y0, box.y1, one.window.y0, one.window.y1)
        ends = (near, y), (far, y)
    else:
        near, far = (trim.y0, box.y0) if edge is Edge.BOTTOM else (trim.y1, box.y1)
        x = _clear(box.x0, box.x1, one.window.x0, one.window.x1)
        ends = (x, near), (x, far)
    (x0, y0), (x1, y1) = (paper.at(*end) for end in ends)
    run = f'd="M{x0} {y0}L{x1} {y1}"'
    return f'<path class="dimhalo" {run}/><path class="dim" {run}/>' + _words(paper, one, words)


def _words(paper: _Paper, one: View, words: str) -> str:
    """On a white ground at the end of the window that is away from the edge in question."""
    shown = paper.shown
    size = shown.height.split(12)[0]
    wide, high = words_width(words, size, bold=True) + size, size.split(2)[0] * 3
    gap = size.split(3)[0]
    bottom = shown.y0 + gap if one.edge is Edge.TOP else shown.y1 - gap - high
    left = (shown.x0 + shown.x1 - wide).half
    ground = paper.rect(Box(left, bottom, left + wide, bottom + high), "dimground")
    x, y = paper.at((shown.x0 + shown.x1).half, bottom + high.half)
    return (
        f'{ground}<text class="dimwords" x="{x}" y="{y}" font-size="{svg_number(size)}" '
        f'text-anchor="middle" dominant-baseline="central">{escaped_words(words)}</text>'
    )


def _clear(low: Length, high: Length, least: Length, most: Length) -> Length:
    """The middle of what is seen of the thing."""
    return (max(low, least) + min(high, most)).half


def _short(text: str, unit: str) -> str:
    try:
        length = parse_length(text.removeprefix("~").removeprefix("-~"))
    except UnitError:
        return ""
    return measured(abs(length), unit).removeprefix("about ")
