"""The first page of the report: the verdict, the book, the paper, the files."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from impose.checks.words import cover_pages
from impose.findings import Severity
from impose.geometry.turning import Flip
from impose.model.papernames import paper_words
from impose.plan.coverfacts import SpineFacts
from impose.plan.insets import role_of
from impose.plan.plan import Plan
from impose.reports.cutlist_rows import facts_lines
from impose.reports.flat_rows import flip_words, item_rows, runs_words
from impose.reports.panel_rows import panel_rows
from impose.reports.press_rows import click_rows, press_rows, two_up_words
from impose.reports.report_findings import FindingRow
from impose.reports.ticket_rows import cover_rows, ruler_words, size_words
from impose.schemes.insetpages import inset_name
from impose.schemes.oneside import BACKS, FRONTS
from impose.units import both_units

#: What each file is for, in a few words.
FILES: Final = {
    "guts.pdf": "the inside pages on their sheets: this is what is printed",
    FRONTS: "the fronts alone, for a printer that prints one side at a time",
    BACKS: "the backs alone, in the order in which the pile goes in again",
    "cover.pdf": "the cover on its sheet: printed on the cover's own paper",
    "proof.pdf": "the book as it will come out: read this before anything is printed",
    **{
        f"proof-copy-{copy}.pdf": f"copy {copy} of those that the same sheets give"
        for copy in (2, 3, 4)
    },
    "proof-drift.pdf": "the book when every cut falls as far off as the cutter allows",
    "cuts.pdf": "the cut list, to read at the cutter",
    "cuts.csv": "the same cut list as a table",
    "ticket.pdf": "the sheet of paper that travels with the job to the bindery",
    "guide.pdf": "where the holes go, at full size: print it, lay it on the book, pierce",
    "plan.json": "everything in figures, for other programs",
}


#: The same for flat work, where it differs.
FLAT_FILES: Final = {
    "guts.pdf": "the items on their sheets: this is what is printed",
    "proof.pdf": "each item once, cut out of its sheet: look at this before anything is printed",
    "ticket.pdf": "the sheet of paper that travels with the job",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """What comes first: `kind` is stop, look or fine."""

    kind: str
    sign: str
    heading: str
    words: str
    rows: tuple[FindingRow, ...] = ()


def verdict(rows: Sequence[FindingRow], looked: bool, flat: bool = False) -> Verdict:
    """In words for people who do not print; `looked`: the pages themselves were looked at,
    `flat`: it is no book."""
    what = "work" if flat else "book"
    errors = tuple(row for row in rows if row.finding.severity is Severity.ERROR)
    warnings = tuple(row for row in rows if row.finding.severity is Severity.WARNING)
    unseen = (
        ""
        if looked
        else " What is on the pages was not looked at, so nothing is known of what lies near "
        "the edges."
    )
    if errors:
        more = f" ({_things(len(warnings)).lower()} more to look at below)" if warnings else ""
        return Verdict(
            kind="stop",
            sign="✖",
            heading="DO NOT PRINT",
            words=f"The {what} would be spoiled. {_things(len(errors))} must be put right "
            f"first{more}.",
            rows=errors,
        )
    if warnings:
        return Verdict(
            kind="look",
            sign="▲",
            heading="Look before you print",
            words=f"Nothing was found that spoils the {what}, but {_things(len(warnings)).lower()} "
            f"may not come out as you want.{unseen}",
            rows=warnings,
        )
    return Verdict(
        kind="fine",
        sign="✔",
        heading="Nothing suspicious was found",
        words=f"Read the proof once, from {'first to last' if flat else 'cover to cover'}, before "
        f"you print.{unseen}",
    )


def _things(count: int) -> str:
    return "One thing" if count == 1 else f"{count} things"


def book_figures(plan: Plan, spine: SpineFacts | None) -> Iterator[tuple[str, str]]:
    """The book as it will lie in the hand."""
    unit, trim = plan.unit, plan.trim
    if plan.flat:
        yield from _item_figures(plan)
        return
    yield "Trim size", f"{both_units(trim.width, unit)} across, {both_units(trim.height, unit)} up"
    supplied = len(plan.pages) - len(cover_pages(plan))
    blanks = sum(page is None for page in plan.reading_order())
    added = f", {blanks} blank" if blanks else ""
    yield "Pages", f"{plan.faces} ({supplied} supplied{added})"
    if plan.panelled:
        yield "Binding", f"{plan.binding}, reads from the {plan.bound_at.value}"
        yield from panel_rows(plan)
    else:
        yield "Leaves", str(plan.faces // 2)
        yield "Binding", f"{plan.binding}, bound at the {plan.bound_at.value}"
    facts = plan.cover.spine if plan.cover is not None else spine
    if facts is not None and facts.width:
        about = ", an estimate" if facts.estimated else ""
        yield "Spine", f"{ruler_words(facts.width, unit)}{about}: {facts.source}"
    elif plan.cover is not None:
        yield "Spine", "none: the cover folds"
    if plan.grind:
        yield "Grind at the spine", both_units(plan.grind, unit)
    if plan.creep.total:
        words = f"{both_units(plan.creep.total, unit)} at the innermost leaf"
        yield "Creep", f"{words} ({plan.creep.source})"


def _item_figures(plan: Plan) -> Iterator[tuple[str, str]]:
    """Each item of flat work with its amounts."""
    for row in item_rows(plan):
        over = f", {row.over} over" if row.over != "0" else ""
        yield (
            f"{row.number} {row.title}",
            f"{row.size}, {row.sides}: {row.amount} wanted, {row.made} made{over}; {row.where}",
        )


def printing_figures(plan: Plan, parted: bool = False) -> Iterator[tuple[str, str]]:
    """Sheets and how they are turned over; `parted`: fronts and backs are files of their own."""
    name = plan.cut_facts.sheet_name if plan.cut_facts is not None else ""
    guts = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    if plan.flat:
        yield "Sheets", paper_words(name, size_words(guts[0].size, plan.unit))
        yield "Print", runs_words(plan)
        yield "Printing", f"{flip_words(plan)}, at actual size (100 %, no fitting to the page)"
        yield from click_rows(plan)
        return
    if guts:
        first = guts[0]
        size = paper_words(name, size_words(first.size, plan.unit))
        yield "Sheets of one book", f"{len(guts)} of {size}"
        if plan.one_sided("guts"):
            yield "Printing", "on one side, at actual size (100 %, no fitting to the page)"
        elif parted:
            yield (
                "Printing",
                "one side at a time at actual size (100 %, no fitting to the page), the first "
                "sheet alone before the others: the ticket says how",
            )
        else:
            flip = Flip.that_gives(first.turned, first.size).value
            sides = "one forme on both sides" if first.one_forme else "on both sides"
            yield (
                "Printing",
                f"{sides} at actual size (100 %, no fitting to the page), "
                f"turned over on the {flip}",
            )
        yield from press_rows(plan)
        if plan.press is None and plan.two_up:
            yield "Two copies", two_up_words(plan)
    for inset in plan.insets:
        sheets = [sheet for sheet in plan.sheets if sheet.role == role_of(inset.number)]
        stock = f" on {inset.stock}" if inset.stock else ""
        yield (
            f"Inset {inset.number}",
            f"{inset_name(inset)}: {len(sheets)} of {size_words(sheets[0].size, plan.unit)}{stock}",
        )


def paper_lines(plan: Plan) -> tuple[str, ...]:
    """Sheets, overs, waste, weight, height of the pile."""
    return facts_lines(plan, plan.cut_facts) if plan.cut_facts is not None else ()


def cover_figures(plan: Plan) -> Iterator[tuple[str, str]]:
    """Paper and place of the cover, as on the ticket."""
    if plan.cover is not None:
        for row in cover_rows(plan.cover, plan.unit):
            yield row.label, row.words


def file_lines(names: Sequence[str], flat: bool = False) -> Iterator[tuple[str, str]]:
    """The files of the run with what each is for."""
    words = FILES | FLAT_FILES if flat else FILES
    for name in names:
        what = "leaves put into the guts: printed by themselves" if "inset-" in name else ""
        yield name, words.get(name, what)
