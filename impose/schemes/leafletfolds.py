"""The folds of leaflets: how wide their panels are, and in which order they are folded.

Panels that lie inside are narrowed, so that they clear the fold that closes
over them.  Seen from the inside, from left to right, with the front panel at
the left (common practice; the widths are tested by folding, schemes.panelstrip).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.geometry.sides import Edge
from impose.model.panels import LeafletFold
from impose.plan.parts import FoldStep
from impose.schemes.panelstrip import flat_pile, fold_pile, hinge_at
from impose.units import ZERO, Length

#: How much narrower an inner panel is, by the unit for people (A4 as 100, 100, 97 mm; letter
#: as 3 11/16, 3 11/16, 3 5/8 in: common practice).
USUAL_NEST: Final = {"mm": Length.mm(3), "in": Length.inches("1/16")}
_HALF: Final = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class _Recipe:
    """Panels as (share of the front panel, times the narrowing), seen from the inside; folds as
    (hinge, the part that is turned over), hinges counted from the left."""

    panels: tuple[tuple[Fraction, Fraction], ...]
    folds: tuple[tuple[int, Edge], ...]


def _panels(*narrowed: int) -> tuple[tuple[Fraction, Fraction], ...]:
    return tuple((Fraction(1), Fraction(times)) for times in narrowed)


_FLAP: Final = (_HALF, _HALF)
_RECIPES: Final = {
    LeafletFold.HALF: _Recipe(_panels(0, 0), ((1, Edge.LEFT),)),
    LeafletFold.LETTER: _Recipe(_panels(0, 0, 1), ((2, Edge.RIGHT), (1, Edge.LEFT))),
    LeafletFold.ROLL: _Recipe(
        _panels(0, 0, 1, 2), ((3, Edge.RIGHT), (2, Edge.RIGHT), (1, Edge.LEFT))
    ),
    LeafletFold.Z: _Recipe(_panels(0, 0, 0), ((1, Edge.RIGHT), (2, Edge.LEFT))),
    LeafletFold.GATE: _Recipe(
        (_FLAP, (Fraction(1), Fraction(0)), _FLAP), ((1, Edge.LEFT), (2, Edge.RIGHT))
    ),
    LeafletFold.DOUBLE_GATE: _Recipe(
        _panels(1, 0, 0, 1), ((1, Edge.LEFT), (3, Edge.RIGHT), (2, Edge.LEFT))
    ),
    LeafletFold.DOUBLE_PARALLEL: _Recipe(_panels(0, 0, 0, 1), ((2, Edge.RIGHT), (1, Edge.LEFT))),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """An open leaflet as the sheet's front shows it: panels from the left, folds in order."""

    widths: tuple[Length, ...]
    steps: tuple[FoldStep, ...]

    @property
    def width(self) -> Length:
        return sum(self.widths, ZERO)

    def moved(self, x: Length) -> Strip:
        """With its left edge at x of the sheet instead of 0."""
        steps = tuple(
            FoldStep(id=s.id, across=s.across, at=s.at + x, moving=s.moving, under=s.under)
            for s in self.steps
        )
        return Strip(widths=self.widths, steps=steps)


def leaflet_strip(
    fold: LeafletFold, front: Length, nest: Length, mirrored: bool, more: Length = ZERO
) -> Strip:
    """The strip whose front panel is `front` wide; `mirrored`: of a right-bound leaflet.

    `more` is what rounding left of the sheet, a grain or two; the first panel
    that is as wide as the front has it.

    The sheet's front is the outside of what is wrapped, whose parts go under;
    a z-fold's front has the first page.
    """
    recipe = _RECIPES[fold]
    # Cut to a whole grain, so that two flaps are never wider than what they cover.
    widths = [
        Length((front.grains * share - nest.grains * times).__floor__())
        for share, times in recipe.panels
    ]
    whole = recipe.panels.index((Fraction(1), Fraction(0)))
    widths[whole] = widths[whole] + more
    folds = list(recipe.folds)
    if (fold is not LeafletFold.Z) != mirrored:  # the outside is the inside seen in a mirror
        widths.reverse()
        folds = [(len(widths) - hinge, moving.opposite) for hinge, moving in folds]
    return Strip(widths=tuple(widths), steps=_steps(widths, folds))


def front_width(fold: LeafletFold, whole: Length, nest: Length) -> Length:
    """The front panel of a leaflet that is `whole` wide when open; a grain or so may be left."""
    recipe = _RECIPES[fold]
    shares = sum((share for share, _ in recipe.panels), Fraction(0))
    times = sum((times for _, times in recipe.panels), Fraction(0))
    return Length(int((whole + nest * times).grains / shares))


def panels_of(fold: LeafletFold) -> int:
    """How many panels a face of the leaflet has."""
    return 2 if fold is LeafletFold.TENT else len(_RECIPES[fold].panels)


def _steps(widths: Sequence[Length], folds: Sequence[tuple[int, Edge]]) -> tuple[FoldStep, ...]:
    """The folds with their places in the pile at their time."""
    pile, steps = flat_pile(widths), []
    for number, (hinge, moving) in enumerate(folds, start=1):
        at = hinge_at(pile, hinge)
        step = FoldStep(id=f"fold{number}", across=False, at=at, moving=moving, under=True)
        steps.append(step)
        pile = fold_pile(pile, step)
    return tuple(steps)
