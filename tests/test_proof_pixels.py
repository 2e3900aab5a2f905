"""The proof made from real sheets: it reads 1, 2, 3, looks like the source, and catches lies."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from proofbook import check_proof, make_job, plan_numbers, write_book

from impose.geometry.turning import Flip
from impose.plan.parts import Cut, Line, LineKind, Placement, Sheet, Side, When
from impose.plan.plan import Creep, Plan
from impose.schemes.boundbook import bind_book
from impose.units import ZERO, Length

SADDLE: dict[str, Any] = {"binding": "saddle", "up": 2, "sheet": "a5"}
QUARTO: dict[str, Any] = {"binding": "sections", "up": 4, "sheet": "a4", "section_pages": 16}
OCTAVO: dict[str, Any] = {"binding": "sections", "up": 8, "sheet": "a3", "section_pages": 32}
GLUED: dict[str, Any] = {**QUARTO, "binding": "perfect", "grind": "3mm"}
ON_EDGE: dict[str, Any] = {"binding": "perfect", "up": 1, "sheet": "a6", "grind": "2mm"}
STACKED: dict[str, Any] = {"binding": "perfect", "up": 4, "sheet": "a4", "grind": "2mm"}
LOOSE: dict[str, Any] = {"binding": "loose", "up": 6, "sheet": "a4"}
STAB: dict[str, Any] = {"binding": "stab", "up": 2, "sheet": "a5"}

#: Thick paper, so that creep is large enough to be seen: a caliper of 0.5 mm.
THICK = Length.mm("0.5")


def thick(guts: dict[str, Any], options: dict[str, Any]) -> dict[str, Any]:
    """Settings of the guts with a stock of 0.5 mm."""
    stock = make_job("book.pdf", **options).guts.stock
    return {**guts, "stock": replace(stock, caliper=THICK)}


@pytest.mark.parametrize("flip", ["long edge", "short edge"])
@pytest.mark.parametrize(
    ("pages", "options", "guts"),
    [
        (13, {**SADDLE, "bound_at": "left"}, {}),
        (8, {**SADDLE, "bound_at": "right"}, {}),
        (5, {**SADDLE, "bound_at": "head", "sheet": "a4"}, {}),
        (16, {"binding": "saddle", "up": 4, "sheet": "a4"}, {"lip": Length.mm(6)}),
        (1, {"binding": "saddle", "up": 8, "sheet": "a3"}, {}),
        (33, {**QUARTO, "bound_at": "right"}, {"last_section": "short"}),
        (24, {**QUARTO, "bound_at": "head"}, {}),
        (32, {**OCTAVO, "bound_at": "left"}, {}),
        (20, {**GLUED, "bound_at": "left"}, {}),
        (7, {**ON_EDGE, "bound_at": "left"}, {"lay": "head"}),
        (4, {**ON_EDGE, "bound_at": "head"}, {}),
        (6, {**ON_EDGE, "bound_at": "right"}, {"centred": True}),
        (19, {**STACKED, "bound_at": "right"}, {}),
        (10, {**STACKED, "bound_at": "head"}, {}),
        (27, {**LOOSE, "bound_at": "left"}, {}),
        (12, {**LOOSE, "bound_at": "right", "bleed": "0mm"}, {}),
        (9, {**STAB, "bound_at": "left"}, {}),
    ],
)
def test_reads_and_looks_like_the_source(
    tmp_path: Path, pages: int, options: dict[str, Any], guts: dict[str, Any], flip: str
) -> None:
    made = write_book(tmp_path, pages, guts, flip=flip, **options)
    assert check_proof(made, pages) == []
    assert bind_book(made.plan).findings == ()


@pytest.mark.parametrize("options", [SADDLE, {**QUARTO, "bound_at": "right"}, GLUED])
def test_looks_like_the_source_with_creep_taken_out(
    tmp_path: Path, options: dict[str, Any]
) -> None:
    made = write_book(tmp_path, 16, thick({}, options), **options)
    assert made.plan.creep.total == THICK * 3
    assert check_proof(made, 16) == []


def test_one_leaf_copied_over_the_sheet_is_one_book(tmp_path: Path) -> None:
    made = write_book(tmp_path, 5, order="repeat", **LOOSE)
    assert check_proof(made, 5) == []


# -- wrong plans are caught -------------------------------------------------------------


Change = Callable[[Plan], Plan]


def swapped_pages(plan: Plan) -> Plan:
    """Two pages of the first side change places."""
    first = plan.sheets[0]
    one, other, *rest = first.front.placements
    pair = replace(one, page=other.page), replace(other, page=one.page)
    front = Side((*pair, *rest), first.front.marks, first.front.own_marks)
    return replace(plan, sheets=(replace(first, front=front), *plan.sheets[1:]))


def other_flip(options: dict[str, Any], pages: int) -> Change:
    """The backs as for a printer that turns about the other edge."""

    def change(plan: Plan) -> Plan:
        flip = Flip.that_gives(plan.sheets[0].turned, plan.sheets[0].size)
        other = "short edge" if flip is Flip.LONG_EDGE else "long edge"
        wrong = plan_numbers(pages, **{**options, "flip": other})
        sheets = zip(plan.sheets, wrong.sheets, strict=True)
        return replace(plan, sheets=tuple(replace(s, back=w.back) for s, w in sheets))

    return change


def backs_on_the_next_sheet(plan: Plan) -> Plan:
    """A sheet slipped: every back is printed on the sheet after its own."""
    backs = [sheet.back for sheet in plan.sheets]
    moved = [backs[-1], *backs[:-1]]
    pairs = zip(plan.sheets, moved, strict=True)
    return replace(plan, sheets=tuple(replace(sheet, back=back) for sheet, back in pairs))


def without_shift(plan: Plan) -> Plan:
    """Printed as if paper had no thickness."""

    def flat(side: Side) -> Side:
        return Side(tuple(map(_unshifted, side.placements)))

    sheets = (replace(s, front=flat(s.front), back=flat(s.back)) for s in plan.sheets)
    return replace(plan, sheets=tuple(sheets))


def _unshifted(placement: Placement) -> Placement:
    away = placement.shift if placement.spine_at.value == "left" else -placement.shift
    moved = placement.art.moved(away, ZERO)
    return replace(placement, art=moved, trim=moved)


def moved_line(side: str, by: Length) -> Change:
    """One cut of the first sheet drawn elsewhere, up or to the right."""

    def moved(plan: Plan, lines: tuple[Line, ...]) -> tuple[Line, ...]:
        cuts: dict[str, Cut] = {cut.id: cut for cut in plan.cuts}
        out = []
        for line in lines:
            if line.kind is LineKind.CUT and cuts[line.of].side == side:
                across = ZERO if line.upright else by
                along = by if line.upright else ZERO
                line = replace(
                    line,
                    x0=line.x0 + along,
                    x1=line.x1 + along,
                    y0=line.y0 + across,
                    y1=line.y1 + across,
                )
            out.append(line)
        return tuple(out)

    def change(plan: Plan) -> Plan:
        first, *rest = plan.sheets
        first = replace(
            first, lines=moved(plan, first.lines), creep_lines=moved(plan, first.creep_lines)
        )
        return replace(plan, sheets=(first, *rest))

    return change


def moved_parting(plan: Plan) -> Plan:
    """Every sheet is cut apart 1 mm farther to the right."""
    parting = {cut.id for cut in plan.cuts if cut.when is When.BEFORE_BINDING}
    by = Length.mm(1)

    def moved(sheet: Sheet) -> Sheet:
        lines = tuple(
            replace(line, x0=line.x0 + by, x1=line.x1 + by)
            if line.of in parting and line.upright
            else line
            for line in sheet.lines
        )
        return replace(sheet, lines=lines)

    return replace(plan, sheets=tuple(moved(sheet) for sheet in plan.sheets))


def reversed_gathering(plan: Plan) -> Plan:
    """The last step first; of a single one, its sheets the other way."""
    if len(plan.gathering) > 1:
        return replace(plan, gathering=plan.gathering[::-1])
    only = plan.gathering[0]
    return replace(plan, gathering=(replace(only, sheets=only.sheets[::-1]),))


def mirrored_folds(plan: Plan) -> Plan:
    """Folded as the mirror image of the sheet: every half that goes under goes over instead."""
    sheets = (
        replace(s, folds=tuple(replace(f, under=not f.under) for f in s.folds)) for s in plan.sheets
    )
    return replace(plan, sheets=tuple(sheets))


def mirrored_place(plan: Plan) -> Plan:
    """The last fold as far from the other edge of the sheet."""
    width = plan.sheets[0].size.width
    return _folded(plan, lambda fold: replace(fold, at=width - fold.at))


def other_half_moves(plan: Plan) -> Plan:
    """The last fold is made by turning the other half under."""
    return _folded(plan, lambda fold: replace(fold, moving=fold.moving.opposite))


def lower_half_moves(plan: Plan) -> Plan:
    """The first fold leaves the heads at the bottom."""
    sheets = (
        replace(s, folds=(replace(s.folds[0], moving=s.folds[0].moving.opposite), *s.folds[1:]))
        for s in plan.sheets
    )
    return replace(plan, sheets=tuple(sheets))


def other_way_round(plan: Plan) -> Plan:
    """The last fold goes over instead of under."""
    return _folded(plan, lambda fold: replace(fold, under=not fold.under))


def moved_fold(plan: Plan) -> Plan:
    """The last fold 1 mm off."""
    return _folded(plan, lambda fold: replace(fold, at=fold.at + Length.mm(1)))


def _folded(plan: Plan, change: Callable[[Any], Any]) -> Plan:
    sheets = (
        replace(sheet, folds=(*sheet.folds[:-1], change(sheet.folds[-1]))) for sheet in plan.sheets
    )
    return replace(plan, sheets=tuple(sheets))


@pytest.mark.parametrize(
    ("pages", "options", "change"),
    [
        (8, SADDLE, swapped_pages),
        (16, QUARTO, swapped_pages),
        (8, STACKED, swapped_pages),
        (12, LOOSE, swapped_pages),
        (8, SADDLE, other_flip(SADDLE, 8)),
        (16, {**QUARTO, "bound_at": "right"}, other_flip({**QUARTO, "bound_at": "right"}, 16)),
        (4, ON_EDGE, other_flip(ON_EDGE, 4)),
        (8, STACKED, other_flip(STACKED, 8)),
        (8, SADDLE, backs_on_the_next_sheet),
        (4, ON_EDGE, backs_on_the_next_sheet),
    ],
)
def test_sheets_printed_wrong_are_caught(
    tmp_path: Path, pages: int, options: dict[str, Any], change: Change
) -> None:
    made = write_book(tmp_path, pages, printed=change, **options)
    assert check_proof(made, pages) != []


def test_missing_creep_is_caught(tmp_path: Path) -> None:
    made = write_book(tmp_path, 16, thick({}, SADDLE), printed=without_shift, **SADDLE)
    faults = check_proof(made, 16)
    assert [fault for fault in faults if fault.startswith("page 8 differs")]
    assert not [fault for fault in faults if fault.startswith("page 1 ")]  # outermost: no shift


@pytest.mark.parametrize(
    ("pages", "options", "change"),
    [
        (16, SADDLE, reversed_gathering),
        (32, QUARTO, reversed_gathering),
        (16, STACKED, reversed_gathering),
        (8, SADDLE, mirrored_folds),
        (16, OCTAVO, mirrored_folds),
        (8, {**SADDLE, "sheet": "a4"}, moved_fold),
        (16, QUARTO, lower_half_moves),
        (16, QUARTO, other_way_round),
        (16, OCTAVO, other_way_round),
        (8, SADDLE, moved_fold),
        (8, STACKED, moved_parting),
        (12, LOOSE, moved_parting),
    ],
)
def test_books_bound_wrong_are_caught(
    tmp_path: Path, pages: int, options: dict[str, Any], change: Change
) -> None:
    made = write_book(tmp_path, pages, bound=change, **options)
    assert check_proof(made, pages) != []


@pytest.mark.parametrize("side", ["head", "foot", "fore-edge"])
@pytest.mark.parametrize("options", [SADDLE, QUARTO, ON_EDGE, STACKED])
@pytest.mark.parametrize("way", [1, -1])
def test_a_cut_off_by_a_millimetre_is_caught(
    tmp_path: Path, options: dict[str, Any], side: str, way: int
) -> None:
    """On one sheet of several: the pages show it, and the bound book says so by itself."""
    change = moved_line(side, Length.mm(Fraction(way)))
    made = write_book(tmp_path, 20, bound=change, **options)
    said = {finding.code for finding in bind_book(made.plan).findings}
    assert said & {"proof-cut-apart", "proof-size"}
    assert check_proof(made, 20) != []


def test_a_fold_off_the_middle_is_not_its_mirror(tmp_path: Path) -> None:
    made = write_book(tmp_path, 16, {"lip": Length.mm(6)}, bound=mirrored_place, **QUARTO)
    assert check_proof(made, 16) != []


def test_which_half_is_turned_under_makes_no_other_book(tmp_path: Path) -> None:
    """Both are the same mountain fold: a check that cried here would cry wolf."""
    made = write_book(tmp_path, 16, bound=other_half_moves, **QUARTO)
    assert check_proof(made, 16) == []


def test_a_wrong_creep_figure_is_caught() -> None:
    """Sheets drawn for thin paper, bound with thick: their fore-edges are no one plane."""
    plan = plan_numbers(16, **SADDLE)
    wrong = replace(plan, creep=Creep(per_level=THICK, total=THICK * 3, source="stated"))
    assert bind_book(plan).findings == ()
    assert [finding.code for finding in bind_book(wrong).findings] == ["proof-cut-apart"]
