"""What to do now, first part: what is needed, printing, and looking at the first sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from impose.bench.paper import overs_of, sheet_pile
from impose.bench.runs import printing_words
from impose.checks.measurable import CODE
from impose.geometry.turning import Flip, Turnover
from impose.marks.measure import KIND, LENGTH
from impose.pdf.flippicture import LIKE
from impose.plan.cutsteps import StepKind
from impose.plan.parts import Sheet, Side, When
from impose.reports.guide_backs import backs
from impose.reports.guide_copies import forme_steps
from impose.reports.guide_parts import Book, Refill, Task, Turn, count, has_marks
from impose.reports.hand_cautions import PRINTER
from impose.reports.ticket_rows import paper_size, size_words
from impose.schemes.onesidewords import one_side_steps
from impose.schemes.pressroom import copies_on
from impose.units import Length

PLATES: Final = "the plates are made at actual size, 100 %, nothing fitted to the plate"
DIALOG: Final = (
    'in the print dialog choose "actual size" or 100 %; never "fit", "shrink" or "scale to page"'
)


def get_ready(book: Book, tools: tuple[str, ...]) -> Task:
    """Read the proof; the paper and the tools."""
    plan = book.plan
    read = "Read proof.pdf from the first page to the last: the book will come out like that."
    if plan.flat:
        read = "Look at proof.pdf, page by page: the pieces will come out like that."
    steps = [read]
    steps.append(f"Paper: {_paper(book)}. Take a few more for trials.")
    cover = book.plan.cover
    if cover is not None:
        copies = count(book.job.copies, "sheet")
        size = paper_size(book.job, cover.paper, book.plan.unit)
        if cover.pieces is not None:
            copies = count(cover.pieces.sheets + cover.pieces.overs, "sheet")
            size = paper_size(book.job, cover.pieces.sheet, book.plan.unit)
            size += f", {cover.pieces.up} covers on each"
        steps.append(f"For the cover: {copies} of {cover.stock.name}, {size}.")
    if tools:
        steps.append(f"To work with: {', '.join(tools)}.")
    return Task(title="Get ready", steps=tuple(steps))


def _paper(book: Book) -> str:
    guts, job = book.guts, book.job
    size, stocks = paper_size(job, guts[0].size, book.plan.unit), Counter[str]()
    for sheet in guts:
        stocks[sheet.stock or job.guts.stock.name] += sheet.copies
    one = sum(sheet.copies for sheet in guts)
    words = ", ".join(f"{count(n, 'sheet')} of {stock}" for stock, n in stocks.items())
    words += f", {size}"
    needed, overs = sheet_pile(book.plan, job).count, overs_of(book.plan, job)
    if book.plan.flat:
        return f"{words}, and {overs} for spoilage: {needed + overs}" if overs else words
    if needed + overs == one:
        return words
    each = copies_on(guts, book.plan.faces)
    words += f", for {f'{each} copies' if each > 1 else 'one copy'}"
    copies = "the copy" if job.copies == 1 else f"{job.copies} copies"
    spoiled = f", and {overs} for spoilage: {needed + overs}" if overs else ""
    return f"{words}; {needed} for {copies}{spoiled}"


def before_printing(book: Book) -> Iterator[Task]:
    """Cuts of the mill's sheets, where the job begins with them."""
    steps = [step for step in book.steps if step.when is When.BEFORE_PRINTING]
    if steps:
        cuts = sum(step.kind is StepKind.CUT for step in steps)
        words = (
            f"Cut the large sheets as cuts.pdf says, steps {steps[0].number} to "
            f"{steps[-1].number} ({count(cuts, 'cut')})."
        )
        yield Task(title="Cut the paper", steps=(words,))


def _kept_size(book: Book) -> str:
    """How the size is kept: in a print dialog, or where the plates are made."""
    printer = book.job.guts.printer
    return PLATES if printer is not None and printer.plates else DIALOG


def _two_sides(book: Book) -> Iterator[str]:
    """Front and back of every sheet."""
    turned = f"turned over {LIKE[book.turned]}"
    yield f"Print guts.pdf on both sides: {_kept_size(book)}."
    if _kept_size(book) is PLATES:
        yield (
            f"For the second side the pile is {turned}, on the {book.flip.value}; which edges lie "
            "at gripper and side lay is at the head of this ticket."
        )
        yield "Pages 1 and 2 of the file are sheet 1, front and back."
        return
    yield (
        f"For the second side choose turning on the {book.flip.value}: here the sheet is {turned}."
    )
    yield "Begin with pages 1 and 2 of the file alone: that is sheet 1, front and back."


def printing(book: Book) -> Task:
    """Which file, which side, which edge, at which size."""
    plan = book.plan
    picture: Turn | Refill | None
    if plan.one_sided("guts"):
        alone = " Begin with page 1 alone." if len(book.guts) > 1 else ""
        steps = [f"Print guts.pdf on one side of the paper: {_kept_size(book)}.{alone}"]
        picture = None
    elif book.job.guts.one_side:
        wish = one_side_steps(plan, book.job.guts.printer)
        steps, picture = [*wish.first, f"Each time {DIALOG}."], Refill(turn_over=wish.turn_over)
    elif plan.halved:
        steps, picture = list(forme_steps(book, _kept_size(book))), _picture(book)
    else:
        steps, picture = list(_two_sides(book)), _picture(book)
    if not plan.halved and (order := printing_words(plan, book.job)):
        steps.append(order)
    if plan.holes is not None:
        steps.append(
            "Print guide.pdf too, at actual size, and measure its line: it is the guide for "
            "the holes."
        )
    sheet = book.cover_sheet
    if sheet is not None:
        inside = ""
        if _drawn(sheet.back):
            edge = Flip.that_gives(sheet.turned, sheet.size).value
            inside = (
                f", then turn it over {LIKE[sheet.turned]} (on its {edge}) and print page 2, its "
                "inside, on the other side"
            )
        steps.append(f"Print page 1 of cover.pdf, the outside, on the cover's own paper{inside}.")
    return Task(title="Print", steps=tuple(steps), cautions=(PRINTER,), picture=picture)


def pile(book: Book) -> Iterator[Task]:
    """The pile of a printer that prints one side at a time, once the first sheet is right."""
    if not book.job.guts.one_side or book.plan.one_sided("guts"):
        return
    wish = one_side_steps(book.plan, book.job.guts.printer)
    if wish.rest:
        yield Task(
            title="Print the other sheets",
            steps=wish.rest,
            cautions=(PRINTER,),
            picture=Refill(turn_over=wish.turn_over, pile=True),
        )


def _picture(book: Book) -> Turn:
    return Turn(
        about_horizontal=book.turned is Turnover.ABOUT_HORIZONTAL,
        landscape=book.guts[0].size.landscape,
    )


def _drawn(side: Side) -> bool:
    """There is art on the side: marks alone need not be printed."""
    return any(placement.page is not None for placement in side.placements)


def checking(book: Book) -> Task:
    """The first sheet: its size, and whether the backs fall on their fronts."""
    steps = [_measure(book)]
    if not book.plan.one_sided("guts"):
        steps.extend(backs(book))
    more = len(book.guts) > 1 or book.job.copies > 1
    steps.append(f"Only when this is right, {'print the rest' if more else 'go on'}.")
    return Task(title="Check the first sheet", steps=tuple(steps))


def _measure(book: Book) -> str:
    unit = book.plan.unit
    if _kept_size(book) is PLATES:
        return (
            "Measure the first good sheet, a page between its marks: "
            f"{size_words(book.plan.trim, unit)}. If it is not, the plates were not made at actual "
            "size."
        )
    if _has_line(book.guts[0]):
        return (
            f"Measure the line that says {LENGTH[unit].text(unit)}: it must be that long. If it "
            "is not, the print dialog makes the pages larger or smaller: switch that off."
        )
    words = next((f for f in book.plan.findings if f.code == CODE), None)
    if words is not None:
        return (
            f"There is no room for a line to measure on this sheet. Measure on page "
            f"{words.numbers['page']} from the letter farthest left to the letter farthest right: "
            f"about {words.numbers['length']}. If it is not, the print dialog makes the pages "
            "larger or smaller: switch that off."
        )
    scale = book.plan.pages[0].scale if book.plan.pages else 1
    if scale != 1:
        long = Length.inches(4) if unit == "in" else Length.mm(100)
        return (
            "There is no room for a line to measure on this sheet. Your pages are made "
            f"{'smaller' if scale < 1 else 'larger'} ({float(scale):.1%}): what is "
            f"{long.text(unit)} long in your own file must be {book.about(long * scale)} here. If "
            "it is not, the print dialog changes the size: switch that off."
        )
    trim = book.plan.trim
    marks = has_marks(book.guts[0], "crop")
    page = f", or the page itself between its marks ({size_words(trim, unit)})" if marks else ""
    return (
        "There is no room for a line to measure on this sheet. Measure a thing on a page whose "
        f"size you know{page}: if it "
        "is not right, the print dialog makes the pages larger or smaller: switch that off."
    )


def _has_line(sheet: Sheet) -> bool:
    return any(mark.kind == KIND for group in sheet.front.marks for mark in group.marks)
