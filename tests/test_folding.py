"""The folding simulator against printed page tables, sum rules and a published fold catalogue.

The tables are those of the printed sheet.  Handbooks draw the type forme, its
mirror image: "mirrored" says that left and right were exchanged to get the
sheet.  `^` is a page with its head up, `v` one with its head down.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from impose.geometry.sides import Edge
from impose.schemes.folding import (
    BOOK_FOLDS,
    FoldScheme,
    GridFold,
    fold_sheet,
    nest,
    standard_scheme,
)

Grid = list[list[tuple[int, str]]]


def grid_of(text: str) -> Grid:
    """`5v 4v / 8^ 1^`: rows from the top, cells from the left."""
    rows = [row.split() for row in text.strip().split("/")]
    return [[(int(word[:-1]), word[-1]) for word in row] for row in rows]


def sides(scheme: FoldScheme, start: int = 0) -> tuple[Grid, Grid]:
    """The simulator's front, and its back as seen when the sheet is turned left to right."""
    rows, columns = scheme.rows, scheme.columns
    front: Grid = [[(0, "")] * columns for _ in range(rows)]
    back: Grid = [[(0, "")] * columns for _ in range(rows)]
    for cell in fold_sheet(scheme):
        head = "v" if cell.upside_down else "^"
        row = rows - 1 - cell.row
        front[row][cell.column] = (cell.front + start, head)
        back[row][columns - 1 - cell.column] = (cell.back + start, head)
    return front, back


# -- printed tables --------------------------------------------------------------------

# Cowie's Printer's Pocket-Book and Manual, p. 31 (en.wikisource.org), folio; mirrored.
C1_OUTER, C1_INNER = "4^ 1^", "2^ 3^"
# L.-E. Brossard, Le Correcteur typographe 2 (1934), p. 305 (fr.wikisource.org), folio; mirrored.
B1_OUTER, B1_INNER = "4^ 1^", "2^ 3^"
# Brossard, p. 305, quarto, outer forme; mirrored.
B3_OUTER = "5v 4v / 8^ 1^"
# The backs of its leaves (own derivation; p. 306 was not seen), equal to half of B2.
B3_INNER = "3v 6v / 2^ 7^"
# Brossard, pp. 255 (neighbour lists) and 321 (printed block), octavo; mirrored.
B5_OUTER = "5v 12v 9v 8v / 4^ 13^ 16^ 1^"
B5_INNER = "7v 10v 11v 6v / 2^ 15^ 14^ 3^"
# Brossard, p. 256 (pairs foot to foot), and mathezentrale.de/Beitrag5/ausschiessen4.htm
# (groups of four): 32 pages, rebuilt from the two lists, which agree; mirrored.
B8_OUTER = "5v 28v 29v 4v / 12^ 21^ 20^ 13^ / 9v 24v 17v 16v / 8^ 25^ 32^ 1^"
B8_INNER = "3v 30v 27v 6v / 14^ 19^ 22^ 11^ / 15v 18v 23v 10v / 2^ 31^ 26^ 7^"


@pytest.mark.parametrize(
    ("up", "outer", "inner"),
    [
        (2, C1_OUTER, C1_INNER),
        (2, B1_OUTER, B1_INNER),
        (4, B3_OUTER, B3_INNER),
        (8, B5_OUTER, B5_INNER),
        (16, B8_OUTER, B8_INNER),
    ],
    ids=["C1 folio", "B1 folio", "B3 quarto", "B5 octavo", "B8 32 pages"],
)
def test_the_book_fold_gives_the_printed_table(up: int, outer: str, inner: str) -> None:
    assert sides(standard_scheme(up)) == (grid_of(outer), grid_of(inner))


def test_two_folio_sheets_one_in_the_other() -> None:
    # Cowie, p. 31, two folio sheets quired (C2): outer sheet, then inner sheet; mirrored.
    table = [("8^ 1^", "2^ 7^"), ("6^ 3^", "4^ 5^")]
    assert quired(2) == [(grid_of(outer), grid_of(inner)) for outer, inner in table]


def quired(sheets: int) -> list[tuple[Grid, Grid]]:
    """Folio sheets put into each other, the outermost first."""
    folio = fold_sheet(standard_scheme(2))
    found = []
    for leaves in nest([2] * sheets):
        front: Grid = [[(0, "")] * 2]
        back: Grid = [[(0, "")] * 2]
        for cell, leaf in zip(folio, leaves, strict=True):
            recto, verso = 2 * leaf + 1, 2 * leaf + 2
            faces = (recto, verso) if cell.front_recto else (verso, recto)
            front[0][cell.column] = (faces[0], "^")
            back[0][1 - cell.column] = (faces[1], "^")
        found.append((front, back))
    return found


# Brossard, p. 305, quarto worked and turned in one forme (B2); mirrored.  The order of its
# cells was rebuilt from a flattened transcript; the text fixes the outer columns.
B2 = "3v 6v 5v 4v / 2^ 7^ 8^ 1^"


def test_quarto_worked_and_turned_is_both_sides_of_the_sheetwise_quarto() -> None:
    outer, inner = sides(standard_scheme(4))
    half = [left + right for left, right in zip(inner, outer, strict=True)]
    assert half == grid_of(B2)


def test_quarto_worked_and_turned_backs_itself() -> None:
    for row in grid_of(B2):
        for cell, behind in zip(row, reversed(row), strict=True):
            assert (cell[0] + 1) // 2 == (behind[0] + 1) // 2  # the two pages of a leaf
            assert cell[0] != behind[0]
            assert cell[1] == behind[1]


# Brossard, p. 321: 48 pages as three sections of 16 on one sheet (B6); mirrored.  The heads
# are deduced from "two heads and one foot space" down the forme.
B6_OUTER = """33v 48v 19v 30v 31v 18v / 40^ 41^ 22^ 27^ 26^ 23^
            / 37v 44v 5v 12v 9v 8v / 36^ 45^ 4^ 13^ 16^ 1^"""
B6_INNER = """17v 32v 29v 20v 47v 34v / 24^ 25^ 28^ 21^ 42^ 39^
            / 7v 10v 11v 6v 43v 38v / 2^ 15^ 14^ 3^ 46^ 35^"""
#: The third section is two wide and four high: height at 1/2, height at 1/4, width at 1/2.
NARROW = FoldScheme(
    2,
    4,
    (
        GridFold(True, 2, Edge.TOP),
        GridFold(True, 1, Edge.TOP, under=False),
        GridFold(False, 1, Edge.LEFT, under=False),
    ),
)


def part(text: str, rows: slice, columns: slice) -> Grid:
    return [row[columns] for row in grid_of(text)[rows]]


def upside_down(grid: Grid) -> Grid:
    """Seen with the sheet turned half round."""
    return [[(page, "^" if head == "v" else "v") for page, head in row[::-1]] for row in grid[::-1]]


def test_three_sections_on_one_sheet_first() -> None:
    lower = slice(2, 4)
    outer, inner = sides(standard_scheme(8))
    assert outer == part(B6_OUTER, lower, slice(2, 6))
    assert inner == part(B6_INNER, lower, slice(0, 4))


def test_three_sections_on_one_sheet_second() -> None:
    """The octavo of the upper half; its page 1 (17) lies on the sheet's inner side."""
    upper = slice(0, 2)
    outer, inner = sides(standard_scheme(8), start=16)
    assert outer == upside_down(part(B6_INNER, upper, slice(0, 4)))
    assert inner == upside_down(part(B6_OUTER, upper, slice(2, 6)))


def test_three_sections_on_one_sheet_third() -> None:
    whole = slice(0, 4)
    outer, inner = sides(NARROW, start=32)
    assert outer == part(B6_OUTER, whole, slice(0, 2))
    assert inner == part(B6_INNER, whole, slice(4, 6))


# -- rules -----------------------------------------------------------------------------


@pytest.mark.parametrize(("up", "sum_"), [(2, 5), (4, 9), (8, 17), (16, 33)])
def test_pages_that_face_at_the_back_add_to_one_more_than_the_section(up: int, sum_: int) -> None:
    # English printers' dictionary, article on imposing, p. 329 (books.google TFUyAQAAMAAJ):
    # folio 5, quarto 9, octavo 17, 16mo 33.
    for side in sides(standard_scheme(up)):
        for row in side:
            for left, right in zip(row[::2], row[1::2], strict=True):
                assert left[0] + right[0] == sum_


@given(st.integers(1, 40))
def test_any_two_pages_of_a_quired_set_add_to_one_more_than_its_pages(sheets: int) -> None:
    # Cowie, p. 31: 32 pages in 8 folio sheets, any two together add to 33.
    for sides_of_sheet in quired(sheets):
        for (left, _), (right, _) in (side[0] for side in sides_of_sheet):
            assert left + right == 4 * sheets + 1


def test_32_pages_quired_name_the_handbook_pairs() -> None:
    # Cowie, p. 31: 1 + 32, 19 + 14, 12 + 21.
    pairs = {frozenset(n for n, _ in side[0]) for sheet in quired(8) for side in sheet}
    assert {frozenset({1, 32}), frozenset({19, 14}), frozenset({12, 21})} <= pairs


@pytest.mark.parametrize("up", BOOK_FOLDS)
def test_heads_lie_at_a_closed_fold(up: int) -> None:
    # Four pages that meet stand head to head (mediencommunity.de, Druckbogen 2): the row
    # above an upright row is upside down.
    rows = {cell.row: cell.upside_down for cell in fold_sheet(standard_scheme(up))}
    assert [rows[row] for row in sorted(rows)] == [row % 2 == 1 for row in sorted(rows)]


@pytest.mark.parametrize("up", BOOK_FOLDS)
def test_the_last_fold_is_the_spine_and_page_one_lies_on_the_front(up: int) -> None:
    scheme = standard_scheme(up)
    assert not scheme.folds[-1].across
    first = fold_sheet(scheme)[0]
    assert (first.front, first.back, first.upside_down) == (1, 2, False)
    assert first.column == scheme.columns - 1


@given(st.lists(st.sampled_from([2, 4, 8, 16]), min_size=1, max_size=12))
def test_nested_sheets_share_out_every_leaf_and_lie_round_each_other(sheets: list[int]) -> None:
    shared = nest(sheets)
    assert sorted(leaf for leaves in shared for leaf in leaves) == list(range(sum(sheets)))
    for leaves, count in zip(shared, sheets, strict=True):
        assert len(leaves) == count
        assert list(leaves) == sorted(leaves)
    for outer, inner in pairwise(shared):
        half = len(outer) // 2
        assert outer[half - 1] < inner[0]
        assert inner[-1] < outer[half]


def test_another_number_of_pages_has_no_book_fold() -> None:
    with pytest.raises(ValueError, match="6 pages a side"):
        standard_scheme(6)


def test_folds_that_leave_more_than_one_cell_are_refused() -> None:
    with pytest.raises(ValueError, match="leave 2 cells"):
        fold_sheet(FoldScheme(2, 2, (GridFold(True, 1, Edge.TOP),)))


# -- CIP4 fold catalogue ---------------------------------------------------------------

# CIP4 XJDF specification, Appendix E, Table E.5 "Pagination Diagrams": name, columns x rows,
# fold fractions as listed (shares of the whole side; "+" turns the sheet by a quarter).
CATALOGUE = """
F2-1 1x1 | F4-1 2x1 1/2 | F4-2 2x1 1/2 | F6-1 3x1 1/3 1/3 | F6-2 3x1 1/3 1/3
F6-4 3x1 1/3 1/3 | F6-5 3x1 2/3 1/3 | F6-8 3x1 2/3 1/3 | F8-1 4x1 1/2 1/4 | F8-2 4x1 1/2 1/4
F8-3 4x1 1/4 1/4 1/4 | F8-4 4x1 1/4 1/2 1/4 | F8-5 4x1 1/4 1/4 1/4 | F8-6 4x1 3/4 1/4 1/4
F8-7 2x2 1/2 + 1/2 | F10-1 5x1 1/5 1/5 1/5 1/5 | F10-2 5x1 4/5 1/5 1/5 1/5
F10-3 5x1 2/5 2/5 1/5 | F12-1 6x1 1/3 1/3 1/6 | F12-2 6x1 1/3 1/3 1/6 | F12-3 6x1 1/2 1/6 1/6
F12-4 6x1 1/2 1/6 1/6 | F12-5 6x1 1/2 1/3 1/6 | F12-6 6x1 1/6 1/6 1/6 1/6 1/6
F12-7 3x2 1/3 1/3 + 1/2 | F12-8 3x2 2/3 1/3 + 1/2 | F12-9 3x2 1/3 1/3 + 1/2
F12-10 3x2 2/3 1/3 + 1/2 | F12-11 3x2 1/3 + 1/2 + 1/3 | F12-12 2x3 1/2 + 2/3 1/3
F12-13 2x3 1/2 + 1/3 1/3 | F12-14 2x3 1/2 + 1/3 1/3 | F14-1 7x1 1/7 1/7 1/7 1/7 1/7 1/7
F16-1 8x1 1/2 1/4 1/8 | F16-2 8x1 1/2 1/4 1/8 | F16-3 8x1 1/2 1/4 1/8 | F16-4 8x1 1/2 1/4 1/8
F16-5 8x1 1/8 1/8 1/8 1/8 1/8 1/8 1/8 | F16-6 4x2 1/2 + 1/2 + 1/4 | F16-7 4x2 1/2 + 1/2 + 1/4
F16-8 4x2 1/2 + 1/2 + 1/4 | F16-9 4x2 1/2 1/4 + 1/2 | F16-10 4x2 1/2 1/4 + 1/2
F16-11 4x2 1/4 1/4 1/4 + 1/2 | F16-12 4x2 1/4 1/4 1/4 + 1/2 | F16-13 2x4 1/2 + 1/2 1/4
F16-14 2x4 1/2 + 1/2 1/4 | F18-1 9x1 1/9 1/9 1/9 1/9 1/9 1/9 1/9 1/9
F18-2 9x1 2/3 1/3 1/9 1/9 | F18-3 9x1 1/3 1/3 2/9 1/9 | F18-4 9x1 1/3 1/3 1/9 1/9
F18-5 3x3 1/3 1/3 + 1/3 1/3 | F18-6 3x3 1/3 1/3 + 2/3 1/3 | F18-7 3x3 1/3 1/3 + 1/3 1/3
F18-8 3x3 1/3 1/3 + 2/3 1/3 | F18-9 3x3 2/3 1/3 + 2/3 1/3 | F20-1 5x2 2/5 2/5 1/5 + 1/2
F20-2 5x2 1/5 1/5 1/5 1/5 + 1/2 | F24-1 6x2 1/3 1/3 + 1/2 + 1/6 | F24-2 6x2 1/3 1/3 + 1/2 + 1/6
F24-3 6x2 1/3 1/3 1/6 + 1/2 | F24-4 6x2 1/3 1/3 1/6 + 1/2 | F24-5 6x2 1/3 1/3 1/6 + 1/2
F24-6 6x2 1/6 1/6 1/6 1/6 1/6 + 1/2 | F24-7 6x2 1/3 + 1/2 + 1/3 1/6
F24-8 3x4 1/3 1/3 + 1/2 1/4 | F24-9 3x4 2/3 1/3 + 1/2 1/4 | F24-10 3x4 1/3 1/3 + 1/2 1/4
F24-11 4x3 1/2 + 2/3 1/3 + 1/4 | F28-1 7x2 1/7 1/7 1/7 1/7 1/7 1/7 + 1/2
F32-1 16x1 1/2 1/4 1/8 1/16 | F32-2 8x2 1/2 1/4 + 1/2 + 1/8 | F32-3 8x2 1/2 1/4 + 1/2 + 1/8
F32-4 4x4 1/2 + 1/2 + 1/4 + 1/4 | F32-5 4x4 1/2 + 1/2 + 1/4 + 1/4
F32-6 4x4 1/2 + 1/2 + 1/4 + 1/4 | F32-7 4x4 1/4 1/4 1/4 + 1/2 1/4
F32-8 4x4 1/2 1/4 + 1/2 1/4 | F32-9 4x4 1/2 + 1/2 1/4 + 1/4 | F36-2 6x3 1/3 1/3 + 1/3 1/3 + 1/6
F40-1 5x4 1/5 1/5 1/5 1/5 + 1/2 1/4 | F48-1 6x4 1/3 1/3 + 1/4 1/4 1/4 + 1/6
F48-2 4x6 1/4 1/4 1/4 + 1/3 1/3 1/6 | F64-1 8x4 1/2 + 1/4 1/4 1/4 + 1/4 1/8
F64-2 8x4 1/4 1/4 1/4 + 1/4 1/4 1/4 + 1/8
"""
# Left out: F6-3 (1/4 1/2), F6-6 (3/4 1/4) and F6-7 (1/4 1/4), three columns each, are gate
# folds or have unequal pages, so no fold lies on a boundary of equal cells; the standard
# itself lists them as not supported.  F36-1 is printed "1/3 1/3 1/9 1/3 + 1/2": a fold at
# 1/3 of the sheet does not lie within the 2/9 that are left (a slip; 1/9 would work).
# The directions of the folds are drawings in the standard and are not asserted.
ENTRIES = [entry.split() for line in CATALOGUE.strip().splitlines() for entry in line.split("|")]


def scheme_of(grid: str, fractions: list[str], under: bool) -> FoldScheme:
    """Each fold at a share of the whole side from the left (or lower) edge of what is left."""
    columns, rows = map(int, grid.split("x"))
    across, folds = False, []
    for word in fractions:
        if word == "+":
            across = not across
            continue
        at = Fraction(word) * (rows if across else columns)
        assert at.denominator == 1, "the fold must lie on a cell boundary"
        folds.append(GridFold(across, int(at), Edge.BOTTOM if across else Edge.LEFT, under))
    return FoldScheme(columns, rows, tuple(folds))


def test_the_catalogue_is_whole() -> None:
    assert len(ENTRIES) == len({entry[0] for entry in ENTRIES}) == 89 - 4


@pytest.mark.parametrize("under", [True, False], ids=["down", "up"])
@pytest.mark.parametrize("entry", ENTRIES, ids=[entry[0] for entry in ENTRIES])
def test_catalogue_folds_leave_one_page_with_every_leaf(entry: list[str], under: bool) -> None:
    name, grid, *fractions = entry
    scheme = scheme_of(grid, fractions, under)
    cells = fold_sheet(scheme)
    assert 2 * scheme.up == int(name[1:].split("-")[0])  # pages, from the entry's name
    assert len(cells) == scheme.columns * scheme.rows
    assert {(cell.column, cell.row) for cell in cells} == {
        (c, r) for c in range(scheme.columns) for r in range(scheme.rows)
    }
    assert [sorted((cell.front, cell.back)) for cell in cells] == [
        [2 * leaf + 1, 2 * leaf + 2] for leaf in range(scheme.up)
    ]


# -- laws for any folding --------------------------------------------------------------


@st.composite
def foldings(draw: st.DrawFn) -> FoldScheme:
    """Any grid, folded anywhere until one cell is left."""
    columns, rows = draw(st.integers(1, 5)), draw(st.integers(1, 5))
    wide, high = columns, rows
    folds = []
    while wide > 1 or high > 1:
        across = draw(st.booleans()) if wide > 1 and high > 1 else high > 1
        side = high if across else wide
        at = draw(st.integers(1, side - 1))
        edges = (Edge.BOTTOM, Edge.TOP) if across else (Edge.LEFT, Edge.RIGHT)
        folds.append(GridFold(across, at, draw(st.sampled_from(edges)), draw(st.booleans())))
        if across:
            high = max(at, side - at)
        else:
            wide = max(at, side - at)
    return FoldScheme(columns, rows, tuple(folds))


@given(foldings())
def test_folding_keeps_every_cell_and_numbers_the_leaves_in_order(scheme: FoldScheme) -> None:
    cells = fold_sheet(scheme)
    assert sorted((c.column, c.row) for c in cells) == sorted(
        (c, r) for c in range(scheme.columns) for r in range(scheme.rows)
    )
    assert [(cell.front + 1) // 2 for cell in cells] == list(range(1, scheme.up + 1))


@given(foldings())
def test_neighbours_in_the_grid_lie_opposite_ways_across_their_fold(scheme: FoldScheme) -> None:
    """A fold between two cells exchanges their upper faces, and heads only when it runs across."""
    by_place = {(cell.column, cell.row): cell for cell in fold_sheet(scheme)}
    for (column, row), cell in by_place.items():
        right, above = by_place.get((column + 1, row)), by_place.get((column, row + 1))
        if right:
            assert right.upside_down == cell.upside_down
            assert right.front_recto != cell.front_recto
        if above:
            assert above.upside_down != cell.upside_down
            assert above.front_recto != cell.front_recto
