"""A cut program is proved before it leaves: carried out, it must leave exactly the trims."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from impose.bench.doublebooks import DOUBLE, Double
from impose.bench.frenchsteps import LEAVES, folded_paper
from impose.bench.mixedgrid import MixedCuts
from impose.bench.outline import Outline
from impose.bench.replay import replay_book, replay_sheets
from impose.bench.sheetgrid import SheetCuts
from impose.bench.sheetsteps import COVER_SHEETS
from impose.errors import PlanMismatchError
from impose.geometry.box import Box
from impose.model.job import Binding
from impose.plan.cutsteps import CutStep
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.units import ZERO


@dataclass(frozen=True, slots=True)
class Proof:
    """What the steps are held against: guts sheets and cover sheet where they are cut, the book,
    the parent sheets where there are any, whole sheets that are cut in two, and sheets with
    several covers."""

    sheets: SheetCuts | None
    cover: SheetCuts | None
    outline: Outline
    parents: SheetCuts | None = None
    mixed: MixedCuts | None = None
    whole: SheetCuts | None = None
    double: Double | None = None
    apart: SheetCuts | None = None


def prove(plan: Plan, proof: Proof, steps: Sequence[CutStep]) -> None:
    """Raises PlanMismatchError when the steps leave anything else."""
    outline = proof.outline
    if proof.parents is not None:
        prove_parts(plan, proof.parents, steps, "parent sheets")
    if proof.whole is not None:
        prove_parts(plan, proof.whole, steps, "whole sheets")
    prove_folded(plan, steps)
    if proof.sheets is not None:
        piles, _ = replay_sheets(steps, proof.sheets.size)
        prove_piles(plan, proof.sheets, piles, "sheets")
    if proof.mixed is not None:
        piles, _ = replay_sheets(steps, proof.mixed.split.size)
        _prove_mixed(plan, proof.mixed, piles)
    if proof.apart is not None:
        prove_parts(plan, proof.apart, steps, COVER_SHEETS)
    if proof.cover is not None:
        piles, _ = replay_sheets(steps, proof.cover.size, "cover")
        _prove_crossed(proof.cover, "the cover", piles["cover"])
        if not piles["cover"].contains(proof.cover.trims[0]):
            raise PlanMismatchError("the cut list cuts into the cover")
    if proof.double is not None:
        _prove_copies(plan, proof.double, steps)
        return
    if not any(cut.when is When.AFTER_BINDING and cut.side for cut in plan.cuts):
        return
    left, _ = replay_book(steps, outline.gathered, outline.bound)
    _prove_trimmed(plan, left, outline)


def _prove_trimmed(plan: Plan, left: Box, outline: Outline) -> None:
    want = _trimmed(plan, outline)
    if left != want:
        raise PlanMismatchError(
            f"the cut list leaves a book of {left.text(plan.unit)} "
            f"instead of {want.text(plan.unit)}"
        )


def _prove_copies(plan: Plan, double: Double, steps: Sequence[CutStep]) -> None:
    """Parted by the list, a double book leaves both copies whole; each pile is then followed by
    itself, on its own paper and from its own sides, and must end as the trim.

    One outline for both would not do: read the same way, one copy has its head at the end of
    the sheet and the other at the cut, and a gauge that is right for one cuts into the other.
    """
    piles, _ = replay_sheets(steps, double.size, DOUBLE)
    both = (double.near, double.far)
    if piles != {copy.pile: double.place(copy) for copy in both}:
        found = ", ".join(f"{name} {box.text(plan.unit)}" for name, box in piles.items())
        raise PlanMismatchError(f"the cut list leaves {found} of two copies bound as one")
    parted = [step.table is not None and step.table.things == DOUBLE for step in steps]
    first = parted.index(True)
    for step in steps:
        named = set(step.table.piles) if step.table and step.table.things == "book" else set()
        if not named <= set(piles):
            raise PlanMismatchError(f"cut {step.number}: {', '.join(named)} is no copy by itself")
        if named and steps.index(step) < first:
            raise PlanMismatchError(f"cut {step.number} is made before the copies are apart")
    for copy in both:
        bound = copy.outline.bound
        left, _ = replay_book(steps, bound, bound, copy.pile)
        _prove_trimmed(plan, left, copy.outline)


def prove_parents(plan: Plan, cuts: SheetCuts, steps: Sequence[CutStep]) -> None:
    """Cut by the list, a parent leaves exactly the sheets."""
    prove_parts(plan, cuts, steps, "parent sheets")


def prove_parts(plan: Plan, cuts: SheetCuts, steps: Sequence[CutStep], name: str) -> None:
    """Cut by the list, a parent leaves exactly the sheets, a whole sheet its halves."""
    piles, _ = replay_sheets(steps, cuts.size, name)
    left = {box for name, box in piles.items()}
    if left != set(cuts.trims):
        found = ", ".join(sorted(box.text(plan.unit) for box in left))
        raise PlanMismatchError(f"the cut list leaves {found} of the {name}")


def prove_folded(plan: Plan, steps: Sequence[CutStep]) -> None:
    """The spine cut of French-folded leaves leaves the trim and the grind from the fold."""
    paper = folded_paper(plan)
    if paper is None or not any(cut.id == "spine" for cut in plan.cuts):
        return
    piles, _ = replay_sheets(steps, paper.size, LEAVES)
    left = piles[LEAVES]
    at_fold = left.x0 == paper.x0 if plan.bound_at.mirrored else left.x1 == paper.x1
    if not at_fold or left.width != plan.leaf.width + plan.grind:
        raise PlanMismatchError(
            f"the cut list leaves folded leaves of {left.text(plan.unit)}, the trim and the grind "
            f"are {(plan.leaf.width + plan.grind).text(plan.unit)}"
        )


def prove_piles(plan: Plan, cuts: SheetCuts, piles: dict[str, Box], things: str) -> None:
    """Each pile is cut all round the trims of one leaf, and has no other."""
    _prove_names(piles, things)
    _prove_leaves(plan, cuts, piles)


def _prove_mixed(plan: Plan, mixed: MixedCuts, piles: dict[str, Box]) -> None:
    """The same part by part, each in its own frame."""
    _prove_names(piles, "sheets")
    for part in mixed.parts:
        box = part.box
        inside = {
            name: paper.moved(-box.x0, -box.y0)
            for name, paper in piles.items()
            if paper.overlaps(box)
        }
        named = {f"pile {place}" for place in part.places} if mixed.total > 1 else {"sheets"}
        if set(inside) != named:
            raise PlanMismatchError(f"the cut list leaves {', '.join(inside)} of one part")
        _prove_leaves(plan, part.cuts, inside)


def _prove_names(piles: dict[str, Box], things: str) -> None:
    whole = {(things if len(piles) == 1 else f"pile {n + 1}") for n in range(len(piles))}
    if set(piles) != whole:
        raise PlanMismatchError(f"the cut list leaves {', '.join(sorted(piles))}")


def _prove_leaves(plan: Plan, cuts: SheetCuts, piles: dict[str, Box]) -> None:
    loose = Binding(plan.binding).unbound
    for name, paper in piles.items():
        inside = [trim for trim in cuts.trims if paper.overlaps(trim)]
        if any(not paper.contains(trim) for trim in inside) or len(inside) > 1:
            raise PlanMismatchError(f"the cut list cuts into the leaves of {name}")
        if loose and inside and inside[0] != paper:
            raise PlanMismatchError(
                f"the cut list leaves {paper.text(plan.unit)} for {name} instead of "
                f"{inside[0].text(plan.unit)}"
            )
        _prove_crossed(cuts, name, paper)


def _prove_crossed(cuts: SheetCuts, name: str, paper: Box) -> None:
    for across, at in cuts.ids:
        low, high = (paper.y0, paper.y1) if across else (paper.x0, paper.x1)
        if low < at < high:
            raise PlanMismatchError(f"a cut through {name} is not in the cut list")


def _trimmed(plan: Plan, outline: Outline) -> Box:
    """The trim, but the paper's own edge where nothing is cut."""
    sides = {cut.id for cut in plan.cuts}
    paper, trim = outline.bound, outline.trim
    return Box(
        paper.x0,
        ZERO if "foot" in sides else paper.y0,
        trim.width if "fore-edge" in sides else paper.x1,
        trim.height if "head" in sides else paper.y1,
    )
