"""Two copies bound as one, cut apart along the line drawn between them; in lengths, as paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from impose.errors import PlanMismatchError
from impose.geometry.sides import Edge
from impose.model.presswork import TwoUp
from impose.plan.parts import COPIES, LineKind
from impose.schemes.lastcuts import Leaf
from impose.schemes.paperpile import Layer
from impose.units import ZERO, Length


def cut_apart(leaves: Sequence[Leaf], way: TwoUp, part: int) -> list[Leaf]:
    """The leaves of copy 1 or 2, from its first page on.

    Copy 1 is the lower one where heads meet, else the upper.  A copy that comes
    and goes is turned over about the line of the cut, so that it is upright, its
    spine where it was, and its last leaf on top.  Raises PlanMismatchError where
    a leaf has not one such line.
    """
    lower = (way is TwoUp.HEADS) == (part == 1)
    found = [_part(leaf, lower) for leaf in leaves]
    if part == 1 or not way.come_and_go:
        return found
    return [_turned(leaf) for leaf in reversed(found)]


def _part(leaf: Leaf, lower: bool) -> Leaf:
    layer = leaf.layer
    at = _line(layer)
    below, above = layer.parted(True, at)
    kept = below if lower else above
    assert kept is not None  # the line lies inside
    edge = Edge.TOP if lower else Edge.BOTTOM  # a cut, no fold
    whole = replace(kept, folds=kept.folds - {edge})
    return replace(leaf, layer=whole, cut=leaf.cut | {edge})


def _line(layer: Layer) -> Length:
    """The height of the cut in the pile."""
    paper, sheet = layer.paper, layer.sheet
    places = {
        line.y0
        for line in sheet.lines
        if line.kind is LineKind.CUT
        and line.of == COPIES
        and paper.y0 < line.y0 < paper.y1
        and line.x0 < paper.x1
        and paper.x0 < line.x1
    }
    if len(places) != 1:
        raise PlanMismatchError(
            f"sheet {sheet.number}: a leaf has {len(places)} cuts between two copies"
        )
    at = places.pop()
    return layer.dy - at if layer.mirrored_y else layer.dy + at


def _turned(leaf: Leaf) -> Leaf:
    over = {Edge.TOP: Edge.BOTTOM, Edge.BOTTOM: Edge.TOP}
    return replace(
        leaf,
        layer=leaf.layer.turned_over(True, ZERO),
        cut=frozenset(over.get(edge, edge) for edge in leaf.cut),
    )
