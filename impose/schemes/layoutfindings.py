"""What a layout must say of itself: sides that are not cut, blanks on the back, grind."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from impose.findings import Finding
from impose.geometry.box import Size
from impose.model.job import Binding
from impose.schemes.draft import Asked
from impose.units import Length


def empty_back(asked: Asked, faces: Sequence[int | None]) -> tuple[Finding, ...]:
    """Blanks at the end of a saddle book without a cover take the last page off the back."""
    job = asked.job
    if job.binding is not Binding.SADDLE or job.cover or faces[-1] is not None:
        return ()
    if asked.faces[-1] is None:
        return ()
    last = asked.faces[-1]
    return (
        Finding.warning(
            "back-cover-blank",
            f"the back of the booklet is blank: page {last} is the last of {len(asked.faces)}, "
            f"the booklet has {len(faces)} pages",
            hint='blanks = "before last page" in [book] puts the blanks inside and keeps '
            f"page {last} on the back",
            pages=(last,),
        ),
    )


def grind_unused(asked: Asked) -> tuple[Finding, ...]:
    """Sewn sections keep their folds, whatever the job or its binder says of a grind."""
    said, job = asked.job.guts.grind, asked.job
    if not said or job.binding is Binding.PERFECT:
        return ()
    return (
        Finding.warning(
            "grind-unused",
            f"the grind of {said.text(job.unit)} is not used: the sections are to be sewn, and "
            "their folds are not ground off",
            hint='to glue them, choose binding = "perfect" with section_pages',
        ),
    )


def nothing_to_cut(asked: Asked, cut_sides: Collection[str], sheet: Size) -> tuple[Finding, ...]:
    """Sides that are not among the cuts: the trim lies on the edge of the paper there."""
    none = [side for side in ("head", "foot", "fore-edge") if side not in cut_sides]
    if not none:
        return ()
    unit = asked.job.unit
    return (
        Finding.note(
            "no-cut",
            f"nothing to cut at {' and '.join(none)}: the sheet of "
            f"{sheet.text(unit)} leaves no paper beyond the trim of "
            f"{asked.trim.text(unit)} there",
        ),
    )


def glue_reach(asked: Asked, pushed: Sequence[Length]) -> tuple[Finding, ...]:
    """Glued sections must be ground through their innermost fold (design: grind of at
    least the deepest level plus one, times the caliper)."""
    if asked.job.binding is not Binding.PERFECT:
        return ()
    unit, caliper = asked.job.unit, asked.job.guts.stock.caliper
    need = caliper * len(pushed)
    if asked.grind >= need:
        return ()
    return (
        Finding.error(
            "grind-too-small",
            f"the grind is {asked.grind.text(unit)}; sections of {len(pushed)} nested levels of "
            f"{caliper.text(unit)} need {need.text(unit)} for the glue to reach the inner leaves",
            hint="give a larger grind, sew the sections, or use thinner sections",
        ),
    )
