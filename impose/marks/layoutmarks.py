"""The marks that all sheets of one layout share, and where the creeping ones run.

Fore-edges of nested sheets lie nearer to the spine from sheet to sheet, so
their crop marks move; words and targets keep clear of the whole way they go.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from impose.geometry.box import Box, Size
from impose.geometry.sides import PageSides
from impose.geometry.turning import Turnover
from impose.marks.measure import KIND, measure_marks
from impose.marks.pressmarks import (
    BAR,
    FOLDING,
    GRIPPER,
    LAY,
    PressMarks,
    bar_marks,
    colour_bar,
    folding_note,
    guide_marks,
)
from impose.marks.registration import Targets, registration_marks
from impose.marks.slug import SlugPlace, slug_place
from impose.marks.ticks import Ground, ticks
from impose.model.job import MarkSettings
from impose.plan.parts import SLIT, Fill, Line, LineKind, Mark, MarkGroup, Sheet, Side
from impose.plan.pressfacts import Pass
from impose.units import Length

#: From a line's first to its last place across the sheet, on all sheets of a layout.
Reach = tuple[Length, Length]
_KIND_OF = {LineKind.CUT: "crop", LineKind.FOLD: "fold", LineKind.SCORE: "score"}


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutRules:
    """What every layout of a job is marked by.

    `kinds` are the marks to draw; `bleed` is the most of any page, which shared
    marks keep clear of; `unit` is that of the check line, which backs that are printed
    from a file of their own carry too (`measured_backs`).
    """

    settings: MarkSettings
    kinds: frozenset[str]
    bleed: PageSides
    unit: str = "mm"
    measured_backs: bool = False
    passes: tuple[Pass, ...] = ()


@dataclass(frozen=True, slots=True)
class SideMarks:
    """What sides of one layout share; `moving` are the spans of creeping ticks by line.

    A creeping tick is drawn only where it lies in `area`, which can be printed.
    """

    area: Box
    group: MarkGroup
    moving: tuple[tuple[int, Length, Length], ...]
    slug: SlugPlace | None
    fills: tuple[Fill, ...] = ()
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Ticked:
    """One side with its ticks; `swept` stand for all that moving ticks will cover."""

    ground: Ground
    fixed: tuple[Mark, ...]
    moving: tuple[tuple[int, Length, Length], ...]
    swept: tuple[Mark, ...]
    missing: tuple[str, ...]

    @property
    def taken(self) -> tuple[Mark, ...]:
        return (*self.fixed, *self.swept)


def layout_marks(
    sheet: Sheet, area: Box, reaches: Sequence[Reach], longest: str, rules: LayoutRules
) -> tuple[tuple[SideMarks, SideMarks], tuple[str, ...]]:
    """The marks of both sides, and the ids of lines that have no room for any.

    `sheet` is the layout's first; `area` what can be printed, in the frame of
    either side; `reaches` belong to the sheet's creeping lines, seen from the
    front; `longest` is the longest of the slugs.
    """
    front, back = (_ticked(sheet, side, area, reaches, rules) for side in (sheet.front, sheet.back))
    targets = _targets(sheet, front, back, rules)
    known = (
        PressMarks(targets.marks, missing=targets.words),
        PressMarks(tuple(_over(sheet, targets.marks))),
    )
    sides = tuple(
        _finished(ticked, _pressed(sheet, ticked, marks, rules, ticked is front), longest, rules,
                  ticked is front or rules.measured_backs)
        for ticked, marks in zip((front, back), known, strict=True)
    )  # fmt: skip
    if sheet.one_forme:
        return (sides[0], sides[0]), front.missing
    return (sides[0], sides[1]), (*front.missing, *back.missing)


def _ticked(
    sheet: Sheet, side: Side, area: Box, reaches: Sequence[Reach], rules: LayoutRules
) -> _Ticked:
    keep_out = tuple(
        p.trim.grown(rules.bleed.edges(p.spine_at, p.upside_down)) for p in side.placements
    )
    ground = Ground(area, keep_out)
    behind = side is sheet.back
    lines = [turned_line(ln, sheet.size, sheet.turned) if behind else ln for ln in sheet.lines]
    fixed, missing = _ticks(lines, ground, rules)
    moving: dict[tuple[int, Length, Length], None] = {}
    swept: list[Mark] = []
    for index, (line, reach) in enumerate(zip(sheet.creep_lines, reaches, strict=True)):
        ends = [replace(line, x0=x, x1=x) for x in reach]
        if behind:
            ends = [turned_line(end, sheet.size, sheet.turned) for end in ends]
        for end in ends:
            made, none = _ticks([end], ground, rules)
            missing = (*missing, *none)
            moving.update(((index, mark.y0, mark.y1), None) for mark in made)
            xs = [end.x0 for end in ends]
            swept.extend(replace(mark, x0=min(xs), x1=max(xs)) for mark in made)
    return _Ticked(ground, fixed, tuple(moving), tuple(swept), missing)


def _ticks(
    lines: Sequence[Line], ground: Ground, rules: LayoutRules
) -> tuple[tuple[Mark, ...], tuple[str, ...]]:
    # A slit ends within the pages: a mark outside them would say that it runs through.
    wanted = [line for line in lines if _KIND_OF[line.kind] in rules.kinds and line.of != SLIT]
    return ticks(wanted, ground, rules.settings)


def _targets(sheet: Sheet, front: _Ticked, back: _Ticked, rules: LayoutRules) -> Targets:
    """Registration marks, as the front has them: the back has them at the same places of the
    paper."""
    if "registration" not in rules.kinds:
        return Targets(())
    both = front.ground.area.meet(sheet.turned.over(back.ground.area, sheet.size))
    taken = (*front.taken, *_over(sheet, back.taken))
    ground = Ground(both, front.ground.keep_out)  # the leaves' other faces lie behind them
    twin = (lambda box: sheet.turned.over(box, sheet.size)) if sheet.one_forme else None
    return registration_marks(ground, taken, rules.settings, twin)


def _over(sheet: Sheet, marks: Sequence[Mark]) -> Iterator[Mark]:
    """Marks as they lie seen from the other side."""
    for mark in marks:
        box = sheet.turned.over(Box(mark.x0, mark.y0, mark.x1, mark.y1), sheet.size)
        yield replace(mark, x0=box.x0, y0=box.y0, x1=box.x1, y1=box.y1)


def _pressed(
    sheet: Sheet, ticked: _Ticked, known: PressMarks, rules: LayoutRules, front: bool
) -> PressMarks:
    """The targets, and what is for the press: on one forme for both sides, for both passes."""
    if not rules.passes:
        return known
    passes = rules.passes if sheet.one_forme else rules.passes[:1] if front else rules.passes[1:]
    ground, settings = ticked.ground, rules.settings

    def taken() -> tuple[Mark, ...]:
        return (*ticked.taken, *known.marks, *bar_marks(known.fills))

    if rules.kinds & {GRIPPER, LAY}:
        guides = guide_marks(ground, taken(), passes, settings)
        known = known.joined(guides.only(rules.kinds))
    if BAR in rules.kinds:
        known = known.joined(colour_bar(ground, taken(), passes[0].gripper.opposite, settings))
    if FOLDING in rules.kinds and front:
        known = known.joined(folding_note(ground, taken(), sheet.folds))
    return known


def _finished(
    ticked: _Ticked, pressed: PressMarks, longest: str, rules: LayoutRules, measured: bool
) -> SideMarks:
    """`measured`: the side that carries the check line."""
    targets = (*pressed.marks, *bar_marks(pressed.fills))
    slug = None
    if "slug" in rules.kinds and longest:
        slug = slug_place(ticked.ground, (*ticked.taken, *targets), longest)
    measure: tuple[Mark, ...] = ()
    if KIND in rules.kinds and measured:
        words = [slug.box(longest)] if slug else []
        ground = replace(ticked.ground, keep_out=(*ticked.ground.keep_out, *words))
        taken = (*ticked.taken, *targets)
        measure = measure_marks(ground, taken, rules.unit, rules.settings.weight)
    group = MarkGroup((*ticked.fixed, *pressed.marks, *measure))
    return SideMarks(ticked.ground.area, group, ticked.moving, slug, pressed.fills, pressed.missing)


def turned_line(line: Line, sheet: Size, turned: Turnover) -> Line:
    """A line of the front as it lies on the back."""
    ax, ay = turned.point(line.x0, line.y0, sheet)
    bx, by = turned.point(line.x1, line.y1, sheet)
    return Line(line.kind, line.of, min(ax, bx), min(ay, by), max(ax, bx), max(ay, by))
