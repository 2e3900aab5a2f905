"""The last cuts: what the knife leaves of each leaf of the gathered book.

Each leaf is cut along the lines drawn on its own sheet.  They are lines of one
cut, made through the whole book at once, so in the pile they must lie on one
plane; `check_cuts` says where they do not.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from impose.findings import Finding, page_ranges
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge, spine_edge
from impose.plan.parts import Line, LineKind, Sheet, When
from impose.plan.plan import Plan
from impose.schemes.paperpile import Layer
from impose.units import ZERO, Length

#: Lines of one cut may lie this far apart: rounded calipers, far below what a knife holds.
APART: Final = Length.mm("0.01")


@dataclass(frozen=True, slots=True)
class Leaf:
    """A leaf before the last cuts; its spine edge lies at x = `spine` of its pile.

    Leaves with the same `jogged` lie alike between head and foot.  `cut` are
    its edges that are cuts already.  `pushed` is how far the folds outside it
    push it toward the fore-edge.  `hidden` is the face ("recto", "verso") that
    lies inside a French fold; such a leaf is one half, closed at the fore-edge.
    """

    layer: Layer
    spine: Length
    jogged: Hashable
    cut: frozenset[Edge] = frozenset()
    pushed: Length = ZERO
    hidden: str = ""


@dataclass(frozen=True, slots=True)
class TrimmedLeaf:
    """What is left of a leaf.

    `near` and `far` are distances from its own spine edge, `low` and `high`
    heights in its pile.  `cut` and `closed` name sides of the page: made by a
    knife, or still a fold.
    """

    leaf: Leaf
    near: Length
    far: Length
    low: Length
    high: Length
    cut: frozenset[str]
    closed: frozenset[str]


class Knife:
    """Makes the last cuts of one plan."""

    def __init__(self, plan: Plan) -> None:
        self._grind = plan.grind
        self._spine_at = spine_edge(True, plan.bound_at)
        self._cuts = {cut.id: cut for cut in plan.cuts}
        self._known: dict[int, list[tuple[str, Line]]] = {}

    def lines(self, sheet: Sheet, when: When) -> list[Line]:
        """The sheet's cut lines of that time."""
        return [
            line
            for line in (*sheet.lines, *sheet.creep_lines)
            if line.kind is LineKind.CUT and self._cuts[line.of].when is when
        ]

    def trim(self, leaf: Leaf) -> TrimmedLeaf:
        """Ground at the spine and cut along the lines that cross the leaf."""
        paper = leaf.layer.lying(leaf.layer.paper)
        near, far = self._span(leaf, paper)
        low, high, whole = paper.y0, paper.y1, far
        ground = self._grind - leaf.pushed
        for side, at in self._crossing(leaf.layer):
            if side == "head":
                high = min(high, at.y0)
            elif side == "foot":
                low = max(low, at.y0)
            elif side == "fore-edge":
                far = min(far, self._span(leaf, at)[0])
        edges = {
            "spine": (self._spine_at, ground <= near),
            "fore-edge": (self._spine_at.opposite, far == whole),
            "head": (Edge.TOP, high == paper.y1),
            "foot": (Edge.BOTTOM, low == paper.y0),
        }
        uncut = {side: edge for side, (edge, is_paper) in edges.items() if is_paper}
        cut = {side for side in edges if side not in uncut and side != "spine"}
        cut |= {side for side, edge in uncut.items() if edge in leaf.cut}
        closed = {s for s, edge in uncut.items() if edge in leaf.layer.folds and s != "spine"}
        if leaf.hidden:
            closed.discard("fore-edge")
        return TrimmedLeaf(
            leaf, max(near, ground), far, low, high, frozenset(cut), frozenset(closed)
        )

    def lying(self, one: TrimmedLeaf) -> Box:
        """What is left, as it lies in the pile."""
        spine = one.leaf.spine
        if self._spine_at is Edge.LEFT:
            return Box(spine + one.near, one.low, spine + one.far, one.high)
        return Box(spine - one.far, one.low, spine - one.near, one.high)

    def _crossing(self, layer: Layer) -> Iterator[tuple[str, Box]]:
        """The last cuts drawn on a layer, as they lie in the pile; one at its edge cuts nothing."""
        sheet, paper = layer.sheet, layer.paper
        for lines in (sheet.lines, sheet.creep_lines):
            for side, line in self._last(lines):
                if line.upright:
                    crosses = paper.x0 < line.x0 < paper.x1
                    crosses = crosses and line.y0 < paper.y1 and paper.y0 < line.y1
                else:
                    crosses = paper.y0 < line.y0 < paper.y1
                    crosses = crosses and line.x0 < paper.x1 and paper.x0 < line.x1
                if crosses:
                    yield side, layer.lying(Box(line.x0, line.y0, line.x1, line.y1))

    def _last(self, lines: Sequence[Line]) -> list[tuple[str, Line]]:
        """Those made after binding, with the side of the page they make."""
        found = self._known.get(id(lines))
        if found is None:
            cuts = self._cuts
            found = self._known[id(lines)] = [
                (cuts[line.of].side, line)
                for line in lines
                if line.kind is LineKind.CUT and cuts[line.of].when is When.AFTER_BINDING
            ]
        return found

    def _span(self, leaf: Leaf, lying: Box) -> tuple[Length, Length]:
        """Nearest and farthest distance from the leaf's spine edge."""
        if self._spine_at is Edge.LEFT:
            return lying.x0 - leaf.spine, lying.x1 - leaf.spine
        return leaf.spine - lying.x1, leaf.spine - lying.x0


# -- is it one book? -------------------------------------------------------------------


def check_cuts(plan: Plan, trimmed: Sequence[TrimmedLeaf]) -> tuple[Finding, ...]:
    """Whether each last cut is one plane through all leaves, leaves the trim, and opens folds."""
    return (*_apart(plan, trimmed), *_size(plan, trimmed), *_closed(trimmed))


def _apart(plan: Plan, trimmed: Sequence[TrimmedLeaf]) -> Iterator[Finding]:
    """A line off the plane that the same cut has elsewhere, or paper left beyond it."""
    for side in ("head", "foot", "fore-edge"):
        off: dict[int, Length] = {}
        for group in _alike(trimmed, side):
            for sheet, distance in _off_plane(group, side):
                off[sheet] = max(off.get(sheet, ZERO), distance)
        if off:
            worst = max(off.values()).text(plan.unit)
            yield Finding.error(
                "proof-cut-apart",
                f"the {side} is one cut through the whole book, but on sheets "
                f"{page_ranges(off)} its line is up to {worst} away from it",
                hint="do not print: the pages would be cut in the wrong place",
                apart=worst,
            )


def _off_plane(
    group: Sequence[tuple[Length, TrimmedLeaf]], side: str
) -> Iterator[tuple[int, Length]]:
    """Sheets whose line is not where most have it, and how far off it is."""
    counted = Counter(at for at, one in group if side in one.cut)
    if not counted:
        return
    plane = counted.most_common(1)[0][0]
    for at, one in group:
        beyond = plane - at if side == "foot" else at - plane
        if beyond > APART or (side in one.cut and not at.near(plane, APART)):
            yield one.leaf.layer.sheet.number, abs(at - plane)


def _alike(trimmed: Sequence[TrimmedLeaf], side: str) -> Iterable[list[tuple[Length, TrimmedLeaf]]]:
    """Where each leaf ends at a side, in groups that must agree."""
    groups: dict[Hashable, list[tuple[Length, TrimmedLeaf]]] = {}
    for one in trimmed:
        if side == "fore-edge":
            groups.setdefault(None, []).append((one.far + one.leaf.pushed, one))
        else:
            at = one.high if side == "head" else one.low
            groups.setdefault(one.leaf.jogged, []).append((at, one))
    return groups.values()


def _size(plan: Plan, trimmed: Sequence[TrimmedLeaf]) -> Iterator[Finding]:
    """The size of most leaves of each kind of pile, against the trim."""
    kinds: dict[Hashable, Counter[Size]] = {}
    for one in trimmed:
        width = one.far + one.leaf.pushed - plan.grind
        kinds.setdefault(one.leaf.jogged, Counter())[Size(width, one.high - one.low)] += 1
    sizes = {counted.most_common(1)[0][0] for counted in kinds.values()}
    for size in sorted(sizes, key=lambda s: (s.width.grains, s.height.grains)):
        if not size.near(plan.leaf, APART):
            made = plan.bound_at.leaf_size(size).text(plan.unit)
            trim = plan.trim.text(plan.unit)
            yield Finding.error(
                "proof-size",
                f"the cuts leave pages of {made}, the trim is {trim}",
                hint="do not print: the cut lines are not where the trim is",
                made=made,
                trim=trim,
            )


def _closed(trimmed: Sequence[TrimmedLeaf]) -> Iterator[Finding]:
    for side in ("head", "foot", "fore-edge"):
        sheets = {one.leaf.layer.sheet.number for one in trimmed if side in one.closed}
        if sheets:
            yield Finding.error(
                "proof-fold-closed",
                f"sheets {page_ranges(sheets)} keep a fold at the {side}: their leaves "
                "cannot be opened",
                hint=f"leave paper to cut there: {side.replace('-', '_')}_allowance",
            )
