"""The comparison of layouts in words: the rows of its table, the same for terminal and report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any, Final

from impose.bench.layoutrow import Comparison, LayoutRow
from impose.findings import page_ranges
from impose.model.job import Job
from impose.model.prices import amount_text
from impose.plan.cutsteps import ParentFacts
from impose.schemes.ways import WayKind
from impose.units import Length

#: Rows shown unless all are asked for.
SHOWN: Final = 15
_METRE: Final = Length.mm(1000).grains


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column: its heading, what it means, whether its figures stand at the right."""

    heading: str
    meaning: str
    right: bool = True


_FIXED: Final = (
    Column(heading="no.", meaning="the number for --layout"),
    Column(heading="layout", meaning="the name for --layout and the job file", right=False),
    Column(heading="up", meaning="pages on one side of a sheet"),
    Column(heading="sheets", meaning="sheets printed, copies and overs counted"),
    Column(heading="waste", meaning="paper of the sheets that is in no trimmed page"),
    Column(heading="cuts", meaning="strokes of the knife for one lift, last cuts included"),
    Column(heading="turns", meaning="turns of a pile at the cutter, for one lift"),
    Column(heading="folds", meaning="folds in all, each sheet folded by itself"),
    Column(heading="grain", meaning="along or across the spine", right=False),
)
#: What columns mean for flat work.
_FLAT: Final = {
    "up": "items on one side of the sheet that is printed most",
    "sheets": "sheets printed, overs counted",
    "waste": "paper of the sheets that is in no item",
    "cuts": "strokes of the knife for one lift of each different sheet",
    "grain": "along or across the long side of the items",
}


def columns(compared: Comparison) -> tuple[Column, ...]:
    """Those that this comparison has figures for."""
    rows = compared.rows
    flat = any(row.way.kind in (WayKind.STEP, WayKind.GANG) for row in rows)
    found = [
        replace(one, meaning=_FLAT.get(one.heading, one.meaning)) if flat else one for one in _FIXED
    ]
    if any(row.press.press for row in rows):
        found.append(Column(heading="plates", meaning="formes, for one ink"))
    else:
        found.append(Column(heading="clicks", meaning="sides printed, overs counted"))
    if any(row.parent is not None for row in rows):
        found.append(Column(heading="parents", meaning="parents, and sheets out of one"))
        found.append(Column(heading="parent waste", meaning="of the parent, in no sheet"))
    if any(row.cost is not None for row in rows):
        found.append(Column(heading="cost", meaning="of all that has a price"))
    return tuple(found)


def cells(row: LayoutRow, compared: Comparison) -> tuple[str, ...]:
    """The words of a row, one for each of the `columns`."""
    headings = {column.heading for column in columns(compared)}
    words = [
        str(row.number),
        row.way.name,
        str(row.up),
        str(row.printed),
        f"{percent(row.paper.waste)} %",
        str(row.strokes),
        str(row.turns),
        str(row.folds),
        row.grain or "not known",
        str(row.press.sides if row.press.press else row.press.clicks),
    ]
    if "parents" in headings:
        words.extend(_parent(row.parent))
    if "cost" in headings:
        cost = row.cost
        words.append("no price" if cost is None else amount_text(cost, compared.currency))
    return tuple(words)


def _parent(parent: ParentFacts | None) -> tuple[str, str]:
    if parent is None:
        return "", ""
    return f"{parent.count}, {parent.out} out", f"{percent(parent.waste)} %"


def percent(value: Fraction) -> str:
    """Hundredths of a per cent, which is all that the figure has."""
    return f"{float(value):.2f}"


def notes(job: Job) -> Iterator[str]:
    """What the comparison rests on that the job does not say."""
    sheets = ", ".join(sheet.name for sheet in job.at_hand)
    yield f"Sheets at hand: {sheets}."
    if job.guts.stock.grain is None:
        yield 'The grain is not known: say it with the stock (grain = "long" or "short").'
    if not job.guts.overs:
        yield "No overs are counted: the job names none (overs in [guts])."
    printer = job.guts.printer
    if job.prices.plate and printer is not None and not printer.plates:
        yield f"Plates have a price, and {printer.name} has none: they are not counted."
    if job.bench.cutter is None:
        yield "No cutter is named: cuts are for a knife and a steel rule."


def table_lines(compared: Comparison, rows: Sequence[LayoutRow]) -> Iterator[str]:
    """For a terminal, columns in line."""
    heads = columns(compared)
    body = [cells(row, compared) for row in rows]
    wide = [
        max(len(column.heading), *(len(line[i]) for line in body)) for i, column in enumerate(heads)
    ]
    yield _line([column.heading for column in heads], wide, heads)
    for words in body:
        yield _line(words, wide, heads)


def row_notes(rows: Sequence[LayoutRow]) -> Iterator[str]:
    """What is not as usual, each thing once with the layouts it is about."""
    numbers: dict[str, list[int]] = {}
    for row in rows:
        for words in row.notes:
            numbers.setdefault(words, []).append(row.number)
    for words, about in numbers.items():
        noun = "Layout" if len(about) == 1 else "Layouts"
        yield f"{noun} {page_ranges(about)}: {words}."


def _line(words: Sequence[str], wide: Sequence[int], heads: Sequence[Column]) -> str:
    parts = (
        f"{word:>{size}}" if column.right else f"{word:<{size}}"
        for word, size, column in zip(words, wide, heads, strict=True)
    )
    return "  ".join(parts).rstrip()


def row_data(row: LayoutRow) -> dict[str, Any]:
    """For programs: counts as numbers, lengths in points, amounts as exact text."""
    way, parent, pinned = row.way, row.parent, row.way.guts.way
    return {
        "number": row.number,
        "name": way.name,
        "kind": way.kind.value,
        "sheet": {
            "name": way.sheet.name,
            "width": float(way.lying.width.as_points),
            "height": float(way.lying.height.as_points),
        },
        "columns": way.columns,
        "rows": way.rows,
        "turned_columns": pinned.turned_columns if pinned is not None else 0,
        "turned_rows": pinned.turned_rows if pinned is not None else 0,
        "up": row.up,
        "section_pages": way.guts.section_pages,
        "order": way.guts.order.value,
        "work": way.guts.work.value if way.guts.work else None,
        "two_up": way.guts.two_up.value if way.guts.two_up else None,
        "pages": row.faces,
        "blanks": row.blanks,
        "sheets": row.sheets,
        "printed": row.printed,
        "waste_percent": float(row.paper.waste),
        "paper_square_metres": float(Fraction(row.paper.area, _METRE**2)),
        "cuts": row.strokes,
        "turns": row.turns,
        "cuts_with_lifts": row.lifted,
        "folds": row.folds,
        "grain": row.grain or None,
        "plates": row.press.sides if row.press.press else None,
        "clicks": None if row.press.press else row.press.clicks,
        "parent": None if parent is None else parent_data(parent),
        "cost": None if row.cost is None else amount_text(row.cost, ""),
        "notes": list(row.notes),
    }


def parent_data(parent: ParentFacts) -> dict[str, Any]:
    """The mill's sheets of a row."""
    return {
        "out": parent.out,
        "count": parent.count,
        "waste_percent": float(parent.waste),
        "cuts": parent.handling.strokes,
        "turns": parent.handling.turns,
        "grain": parent.grain,
    }
