"""Steps for folded panels after the sheet is cut to size: crease, slit, push, join, fold.

In plain words, for someone who does it for the first time; every fold with its
distance from an edge that can be found on the table.  The way an eight-page
booklet is pushed together is common practice of zine makers.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.bench.leafletsteps import EDGE_ON, PRESS, leaflet_steps
from impose.model.job import Job
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import END, SLIT, LineKind, Sheet, When
from impose.plan.plan import ONE_SHEET_BOTH, Plan
from impose.schemes.concertina import JOINED
from impose.schemes.leaflet import TENT
from impose.schemes.onesheet import LONG, PAGES, PANELS
from impose.schemes.panelbook import paper_of
from impose.units import Length, reading_text

#: Words for `CutStep.shows`: the cross seen from above, what it ends as, the joint of a strip.
PUSH, CLOSED, TAB = "push", "closed", "tab"
#: Grams to the square metre from which folds are scored (common practice).
SCORED_FROM: Final = 150
CREASE: Final = f"Fold edge to edge, look that the corners meet, then {PRESS}"
_HAND_KNIFE: Final = (
    "Cut on a mat along a steel rule, several light strokes, fingers well behind the rule and "
    "never before the blade; cap the knife when it is put down. Children cut with round-ended "
    "scissors, along the {line}."
)


def panel_steps(plan: Plan, job: Job) -> Iterator[CutStep]:
    """All steps from the flat piece to the finished one."""
    kind = plan.gathering[0].kind
    if _heavy(job):
        yield _step(
            StepKind.FOLD,
            "Score every fold line first",
            (
                f"The paper is heavy (scored from {SCORED_FROM} g/m2 on): press a line along a "
                "rule with a bone folder or an empty ball pen, the ridge ends inside the fold.",
            ),
        )
    if kind == PANELS:
        yield from _booklet(plan)
    elif kind == JOINED:
        yield from _concertina(plan)
    elif kind == TENT:
        yield from _tent(plan)
    else:
        yield from leaflet_steps(plan)


def _heavy(job: Job) -> bool:
    grammage = job.guts.stock.grammage
    return grammage is not None and grammage >= SCORED_FROM


def _step(
    kind: StepKind, title: str, notes: tuple[str, ...], shows: tuple[str, ...] = ()
) -> CutStep:
    when = When.BEFORE_FOLDING if kind in (StepKind.SLIT, StepKind.JOIN) else When.BEFORE_BINDING
    return CutStep(number=0, kind=kind, when=when, title=title, notes=notes, shows=shows)


def _at(length: Length, unit: str) -> str:
    return reading_text(length, unit)


# -- one sheet ----------------------------------------------------------------------------


def _booklet(plan: Plan) -> Iterator[CutStep]:
    unit, both = plan.unit, plan.scheme == ONE_SHEET_BOTH
    paper = paper_of(plan, plan.sheets[0])
    xs, ys = paper.xs, paper.ys
    hinges = tuple(ln.of for ln in paper.sheet.lines if ln.kind is LineKind.FOLD and ln.upright)
    out = "pages 1 to 8" if both else "the print"
    yield _step(
        StepKind.FOLD,
        f"Fold the sheet the long way, {out} outside, and open it again",
        (f"Long edge to long edge, {_at(ys[1] - ys[0], unit)} from each.", CREASE),
        (LONG, SLIT),
    )
    yield _step(
        StepKind.FOLD,
        "Fold it in half the short way, then each end to the middle fold; open it again",
        (
            f"Three folds, {_at(xs[1] - xs[0], unit)} apart: the sheet now has {PAGES} panels.",
            CREASE,
        ),
        hinges,
    )
    yield _step(
        StepKind.SLIT,
        "Slit the two inner panels apart, along the long fold",
        (
            f"{_at(xs[3] - xs[1], unit)} long: from the first short fold to the last one, no "
            "farther, or the booklet falls apart.",
            "With scissors: fold the sheet in half the short way and cut from the folded edge "
            "along the long fold to the next fold.",
            _HAND_KNIFE.format(line="fold, the sheet folded in half"),
        ),
        (SLIT,),
    )
    yield _step(
        StepKind.FOLD,
        f"Fold it the long way again, {out} outside, and push the two ends together",
        (
            "Hold it by its ends, the slit on top. Push: the slit opens to a diamond and closes to "
            "a cross of four leaves, seen from above.",
        ),
        (PUSH,),
    )
    yield _step(
        StepKind.FOLD,
        "Lay the leaves round on each other, page 1 in front, and press the spine",
        (f"Page 1 is at the {_corner(plan)} of the flat sheet.", "Nothing is stapled or glued."),
        (CLOSED,),
    )
    if both:
        yield _step(
            StepKind.FOLD,
            f"For pages {PAGES + 1} to {PAGES * 2}: open it out, and fold it the other way out",
            (
                "Open the sheet flat, turn it over, fold it the long way with these pages outside, "
                f"push, and lay page {PAGES + 1} in front. The folds bend back; the slit is the "
                "same.",
            ),
            (PUSH,),
        )


def _corner(plan: Plan) -> str:
    cell = plan.gathering[0].cell or 0
    paper = paper_of(plan, plan.sheets[0])
    columns = paper.grid.columns
    row = "lower" if cell >= columns else "upper"
    return f"{row} {'left' if cell % columns == 0 else 'right'}"


# -- concertina ---------------------------------------------------------------------------


def _concertina(plan: Plan) -> Iterator[CutStep]:
    unit, sheets = plan.unit, plan.sheets
    last = paper_of(plan, sheets[-1])
    mirrored = plan.bound_at.mirrored
    if any(cut.side == END for cut in plan.cuts):
        width = last.xs[-1] - last.xs[0]
        side = "right" if mirrored else "left"
        yield _step(
            StepKind.SLIT,
            f"Cut the last sheet ({sheets[-1].number}) off behind its last panel",
            (
                f"Tick {_at(width, unit)} from its {side} edge at the head and at the foot, and "
                "cut from tick to tick: the last sheet has no tab.",
                _HAND_KNIFE.format(line="line from tick to tick"),
            ),
            (END,),
        )
    if len(sheets) > 1:
        yield from _joins(plan)
    count = sum(len(list(_panels(plan, sheet))) for sheet in sheets)
    width = abs(last.xs[1] - last.xs[0])
    yield _step(
        StepKind.FOLD,
        f"Fold the strip to and fro, {count} panels, page 1 on top",
        (
            f"Every {_at(width, unit)}: the first fold away from you, the next toward you, and so "
            "on. Tick the folds at the head and at the foot before the first one, all measured "
            "from page 1's edge, or small errors add up.",
            f"Lay each panel on the pile, look that the corners lie on each other, then {PRESS}",
        ),
        (EDGE_ON,),
    )


def _panels(plan: Plan, sheet: Sheet) -> Iterator[int]:
    """The panels of a sheet, its tab not counted."""
    count = len(paper_of(plan, sheet).xs) - 1
    yield from range(count - (0 if sheet is plan.sheets[-1] else 1))


def _joins(plan: Plan) -> Iterator[CutStep]:
    unit, sheets = plan.unit, plan.sheets
    first = paper_of(plan, sheets[0])
    mirrored = plan.bound_at.mirrored
    tab = first.xs[1] - first.xs[0] if mirrored else first.xs[-1] - first.xs[-2]
    end, start = ("left", "right") if mirrored else ("right", "left")
    yield _step(
        StepKind.JOIN,
        "Glue the next sheet onto the tab of each sheet but the last",
        (
            f"The tab is the strip of {_at(tab, unit)} at the {end} of the front. Crease it: fold "
            "it back, press the fold, and lay it flat again.",
            f"Put thin glue on the tab's front, lay the next sheet on it with its {start} edge "
            "exactly along the crease, print up: the tab is now under the next sheet.",
            f"In order: {', '.join(str(sheet.number) for sheet in sheets)}. Lay waste paper under "
            "the tab while you put the glue on, and press the joined strip under a weight until it "
            "is dry.",
            "Glue stick or paste: follow what its maker says, with the window open.",
        ),
        (TAB,),
    )


# -- leaflet ------------------------------------------------------------------------------


def _tent(plan: Plan) -> Iterator[CutStep]:
    paper = paper_of(plan, plan.sheets[0])
    yield _step(
        StepKind.FOLD,
        "Fold the sheet in half at its head, the print outside, and stand it up",
        (f"{_at(paper.ys[1] - paper.ys[0], plan.unit)} from the lower edge.", CREASE),
        ("fold1",),
    )
