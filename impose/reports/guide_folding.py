"""What to do now: cutting apart, folding, and laying in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Final

from impose.findings import page_ranges
from impose.geometry.sides import BoundAt, Edge
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import FoldStep, Sheet, When
from impose.reports.cautions import for_cutting
from impose.reports.guide_copies import named, side_by_side
from impose.reports.guide_laying import laid_words
from impose.reports.guide_parts import (
    Book,
    Task,
    count,
    face,
    has_marks,
    numbers,
    positions,
    side_with,
)
from impose.reports.hand_cautions import FOLDING
from impose.reports.ticket_rows import size_words
from impose.units import ZERO, Length

PART: Final = {
    Edge.LEFT: "left part",
    Edge.RIGHT: "right part",
    Edge.TOP: "upper part",
    Edge.BOTTOM: "lower part",
}
_SHOWN_SECTIONS: Final = 6
_SHOWN_CUTS: Final = 6
#: Less than this does not come off cleanly with a knife and a rule (from memory).
_SLIVER: Final = Length.mm("1.5")


def fold_words(sheet: Sheet, book: Book) -> Iterator[str]:
    """Each fold of a sheet in its order, its front up at the start; measured on what lies there
    after the folds before."""
    low = {True: ZERO, False: ZERO}
    high = {True: sheet.size.height, False: sheet.size.width}
    for number, step in enumerate(sheet.folds, start=1):
        way = "under, away from you" if step.under else "over, toward you"
        start = "lower" if step.across else "left"
        first, what = ("first", "") if number == 1 else ("then", " of what lies there")
        marks = " along the fold marks," if has_marks(sheet, "fold") else ""
        yield (
            f"{first} fold the {PART[step.moving]} {way},{marks} "
            f"{book.length(step.at - low[step.across])} from the {start} edge{what}"
        )
        _fold(step, low, high)


def _fold(step: FoldStep, low: dict[bool, Length], high: dict[bool, Length]) -> None:
    """The ends of what lies there, up the sheet (True) and across it (False), after a fold."""
    across, at = step.across, step.at
    if step.moving in (Edge.LEFT, Edge.BOTTOM):
        low[across], high[across] = at, max(high[across], at * 2 - low[across])
    else:
        low[across], high[across] = min(low[across], at * 2 - high[across]), at


def folding(book: Book) -> Iterator[Task]:
    """How each kind of sheet is folded; nothing where no sheet is."""
    runs = _runs(book.bench)
    if not runs:
        return
    steps = []
    for sheets in runs:
        which = numbers(sheets[0].number, sheets[-1].number).capitalize()
        if len(runs) == 1 and len(book.guts) > 1:
            which = "Each sheet"
        words = "; ".join(fold_words(sheets[0], book))
        up = "the half with its front, the side with its first page, up"
        if not sheets[0].half:
            up = "it with its front up, as it lies in guts.pdf"
        steps.append(f"{which}: lay {up}; {words}.")
    steps.append("Press every fold down with a bone folder or the back of a spoon.")
    yield Task(title="Fold", steps=tuple(steps), cautions=(FOLDING,))


def _runs(sheets: Sequence[Sheet]) -> list[list[Sheet]]:
    """Sheets one after the other that are folded alike."""
    runs = [list(run) for _, run in groupby(sheets, key=lambda sheet: sheet.folds)]
    return [run for run in runs if run[0].folds]


def _laid(book: Book, sheets: Sequence[Sheet], inner: str, up: str) -> str:
    """How the sheets of a saddle book lie on each other; `up` is the side of the innermost."""
    if book.plan.per_sheet == 1:
        return (
            f"Lay the {len(sheets)} sheets on each other, {laid_words(sheets)} "
            f"You look at {inner}. All heads lie at the same side."
        )
    return (
        f"Lay the {len(sheets)} {_sheets(sheets)} on each other: sheet {sheets[0].number} at the "
        f"bottom, sheet {sheets[-1].number} on top, its {up} up, so that you look at "
        f"{inner}. {side_by_side(book, sheets)}"
    )


def nesting(book: Book) -> Task:
    """A saddle book: folded once together, or folded sheet by sheet and laid inside each other."""
    sheets = [book.bench[number] for number in _section_indices(book, 0)]
    inside = sorted(p for _, side in sheets[-1].sides for p in positions(side))
    middle = len(inside) // 2
    left, right = inside[middle - 1], inside[middle]
    found = side_with(sheets, left)
    inner = f"{face(left, book)} and {face(right, book)}"
    if len(sheets) == 1 and len(sheets[0].folds) == 1:
        return Task(
            title="Fold",
            steps=(
                f"Fold the sheet in half, {_where(sheets[0])}, so that {inner} are inside and "
                f"{face(1, book)} is outside.",
                _press(),
            ),
            cautions=(FOLDING,),
        )
    outer, innermost = sheets[0].number, sheets[-1].number
    if all(len(sheet.folds) == 1 for sheet in sheets) and found is not None:
        return Task(
            title="Lay in order and fold",
            steps=(
                _laid(book, sheets, inner, found[1]),
                f"Knock the pile even, then fold all of it in half, {_where(sheets[-1])}, so that "
                f"{inner} are inside.{_in_parts(len(sheets))}",
                _press(),
            ),
            cautions=(FOLDING,),
        )
    (fold,) = folding(book)
    return Task(
        title="Fold and lay inside each other",
        steps=(
            *fold.steps,
            f"Open the folded sheets in the middle and lay them inside each other: sheet {outer} "
            f"is the outermost, sheet {innermost} the innermost, with {inner} in its middle.",
        ),
        cautions=fold.cautions,
    )


def _sheets(sheets: Sequence[Sheet]) -> str:
    return "half sheets" if sheets[0].half else "sheets"


def _where(sheet: Sheet) -> str:
    """Sheets that the pages fill have no room for marks."""
    return "along its fold marks" if has_marks(sheet, "fold") else "edge on edge"


def _in_parts(sheets: int) -> str:
    """Many sheets do not fold in one go (from memory: more than about eight)."""
    return "" if sheets <= 8 else " Fold a few sheets at a time, and lay them inside each other."


def _press() -> str:
    return "Press the fold down with a bone folder or the back of a spoon."


def _section_indices(book: Book, section: int) -> list[int]:
    """Places in `Book.guts` of a section's sheets, the outermost first."""
    at = {sheet.number: index for index, sheet in enumerate(book.guts)}
    return [at[number] for number in book.plan.gathering[section].sheets]


def gathering_sections(book: Book) -> Task:
    """Sections: which sheets lie inside which, and the order of the sections."""
    sections = [gather for gather in book.plan.gathering if gather.kind == "section"]
    steps = []
    for number, gather in enumerate(sections[:_SHOWN_SECTIONS], start=1):
        steps.append(f"Section {number}: {_inside_each_other(gather.sheets)}.")
    left = len(sections) - _SHOWN_SECTIONS
    if left > 0:
        steps.append(
            f"The other {left} in the same way: the line of words at the edge of each sheet names "
            "its section."
        )
    if book.plan.two_up:
        steps.append(side_by_side(book, book.bench))
    if len(sections) > 1:
        steps.append(
            f"Lay the {len(sections)} sections on each other, section 1 on top, all spines at the "
            "same side. The black steps on the spines go down like a stair: a gap or a step twice "
            "means that a section is missing or lies in the wrong place."
        )
    return Task(title="Gather", steps=tuple(steps))


def _inside_each_other(sheets: Sequence[int]) -> str:
    if len(sheets) == 1:
        return f"sheet {sheets[0]} alone"
    return f"{numbers(sheets[0], sheets[-1])}, sheet {sheets[0]} outside, the next inside it"


def cutting(book: Book) -> Iterator[Task]:
    """Cuts of the sheets and how the piles are laid on each other, as the cut list has them;
    what is cut of gathered guts and of the cover comes later, in `before_cover`."""
    steps = [step for step in _before(book) if not _later(step)]
    if book.plan.halved:
        halves = [step for step in steps if step.when is When.BEFORE_FOLDING]
        yield cut_task(book, "Cut the sheets in two", halves)
        steps = [step for step in steps if step.when is not When.BEFORE_FOLDING]
    if steps:
        yield cut_task(book, "Cut the sheets apart", steps)


def before_cover(book: Book) -> Iterator[Task]:
    """The cuts that a cover with flaps asks for: its ends, and the fore-edge of the guts."""
    steps = [step for step in _before(book) if _later(step)]
    if steps:
        yield cut_task(book, "Cut before the cover goes on", steps)


def _before(book: Book) -> list[CutStep]:
    times = (When.BEFORE_FOLDING, When.BEFORE_BINDING)
    kinds = (StepKind.JOG, StepKind.CUT, StepKind.STACK)
    return [step for step in book.steps if step.when in times and step.kind in kinds]


def _later(step: CutStep) -> bool:
    return "fore-edge" in step.cuts or (step.table is not None and step.table.things == "cover")


def cuts_of(book: Book, when: When, title: str) -> Iterator[Task]:
    """One task of all the cut list's steps of a time; nothing where there are none."""
    steps = [s for s in book.steps if s.when is when and s.kind is not StepKind.BIND]
    if steps:
        yield cut_task(book, title, steps)


def cut_task(book: Book, title: str, steps: Sequence[CutStep]) -> Task:
    """Steps of the cut list in a few words each; of many the first and the last."""
    cuts = sum(step.kind is StepKind.CUT for step in steps)
    words = [cut_words(step, book) for step in steps]
    if len(words) > _SHOWN_CUTS:
        words = [*words[:3], f"And so on: {_in_all(steps)} in all.", *words[-2:]]
    cautions = for_cutting(by_hand(book))[:3] if cuts else ()
    return Task(title=title, steps=(*words, where_drawn(steps)), cautions=cautions)


def where_drawn(steps: Sequence[CutStep]) -> str:
    """Which steps of the cut list these are, and which of them have a drawing there."""
    drawn = [step for step in steps if step.kind in (StepKind.CUT, StepKind.JOG) or step.shows]
    if len(drawn) == len(steps):
        return f"Drawn in cuts.pdf: {_steps_words(steps)}."
    if drawn:
        return f"In cuts.pdf: {_steps_words(steps)}; drawn there: {_steps_words(drawn)}."
    return f"In cuts.pdf: {_steps_words(steps)}."


def _steps_words(steps: Sequence[CutStep]) -> str:
    """`step 3`, `steps 5 and 6`, `steps 2-4, 7`."""
    numbers = [step.number for step in steps]
    if len(numbers) == 1:
        return f"step {numbers[0]}"
    if len(numbers) == 2:
        return f"steps {numbers[0]} and {numbers[1]}"
    if numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"steps {numbers[0]} to {numbers[-1]}"
    return f"steps {page_ranges(numbers)}"


def _in_all(steps: Sequence[CutStep]) -> str:
    """`9 steps with 15 cuts`: a step is one cut in each of its piles, as the list counts them."""
    cuts = [step for step in steps if step.kind is StepKind.CUT]
    strokes = sum(len(step.table.piles) for step in cuts if step.table)
    whole = count(strokes, "cut")
    return whole if strokes == len(cuts) else f"{len(cuts)} steps with {whole}"


def by_hand(book: Book) -> bool:
    """The cutter is a knife and a rule."""
    facts = book.plan.cut_facts
    return facts is None or facts.hand


def cut_words(step: CutStep, book: Book) -> str:
    """A step with its gauge, and from where it is reckoned; a cut with its number in the list."""
    words = step.title
    if step.kind is StepKind.CUT:
        words += f" (step {step.number})"
    if step.setting is not None:
        figure = book.length(step.setting.gauge)
        where = (
            "on the crop marks"
            if step.setting.on_marks
            else f"{figure} from {step.setting.reckoned_from}"
        )
        words += f": {where}"
    notes = " ".join(step.notes) if step.kind is StepKind.STACK else ""
    return f"{words}. {notes}".strip()


def _sliver(step: CutStep, book: Book) -> str:
    """What is too little to cut well by hand, and need not be cut."""
    waste = step.falls.size.height if step.falls and step.falls.waste else None
    if waste is None or waste > _SLIVER:
        return ""
    return f" Only {waste.text(book.plan.unit)} falls away there: the edge may stay as it is."


def trimming(book: Book) -> Task:
    """The last cuts, or that there are none."""
    steps = [
        step
        for step in book.steps
        if step.kind is StepKind.CUT and step.when is When.AFTER_BINDING and step.setting
    ]
    if not steps:
        return Task(
            title="Trim",
            steps=("Nothing is left to cut: the paper ends where the page ends.",),
        )
    words = [f"{cut_words(step, book)}{_sliver(step, book)}{named(step)}" for step in steps]
    if book.plan.french:
        words.append("Never cut the fore-edge: it is made of folds.")
    trim = book.plan.trim
    words.append(f"The finished page is {size_words(trim, book.plan.unit)}, width first.")
    if book.plan.bound_at is BoundAt.HEAD:
        words.append(
            "Head, foot and fore-edge are here those of the book held with its spine at the left."
        )
    return Task(
        title="Trim, in this order",
        steps=tuple(words),
        cautions=for_cutting(by_hand(book))[:3],
    )
