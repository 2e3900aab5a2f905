"""What the drawings of the cut list show: a picture for each cut, and what is jogged.

Made from the replayed steps, so a drawing shows what the steps really do; the
PDF and the report draw the same pictures.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from impose.bench.doublebooks import DOUBLE, Double, double_of
from impose.bench.flatprogram import things_of
from impose.bench.frenchsteps import LEAVES, folded_paper
from impose.bench.insetsteps import leaves_of, sheets_of
from impose.bench.outline import Outline, outline_of
from impose.bench.parent import PARENTS
from impose.bench.replay import Moment, replay_book, replay_sheets
from impose.bench.sheetgrid import press_lay
from impose.bench.sheetsteps import COVER_SHEETS
from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.plan.cutsteps import CutStep
from impose.plan.insets import inset_views
from impose.plan.plan import Plan
from impose.reports.cutlist_rows import wasted_at_edge
from impose.reports.drawing import Drawing
from impose.reports.pile_drawing import Picture, draw_sheet
from impose.schemes.halves import half_plan
from impose.units import ZERO, Length

_GAP: Final = Length.mm(3)
#: Letters that go below a drawing.
_LONGEST: Final = 26


def how_to_read(hand: bool) -> str:
    """How the drawings are to be read; `hand`: cut along a rule, without a back stop."""
    if hand:
        return (
            "In the drawings the paper lies as you see it from above, the edge to measure from "
            "at the top. Lay the rule along the line of the cut, on the part that is kept; the "
            "figure is the distance from that edge. What is hatched falls away. Narrow strips are "
            "drawn wider than they are; of piles cut alike the first is drawn."
        )
    return (
        "In the drawings the pile lies as you see it from above, the back stop at the top. The "
        "gauge is the distance from stop to knife. What is hatched lies in front of the knife "
        "and falls away; it may be good work. Narrow strips are drawn wider than they are; of "
        "piles cut alike the first is drawn."
    )


def draw_jogged(page: Drawing, room: Box, plan: Plan, step: CutStep) -> None:
    """What is jogged before the first cut, with its lay edges thick."""
    facts, things = plan.cut_facts, step.table.things if step.table else "sheets"
    piles, _ = replay_sheets(plan.cut_steps, _size(plan, things), things)
    if facts is None:
        return
    names = facts.lay_edges
    if things == LEAVES:
        names = ("top" if facts.lay == "head" else "bottom", _fold_edge(plan).value)
    if things == PARENTS:
        names = ("bottom", "left")
    if things == "sheets" and plan.halved and plan.press:
        half = half_plan(plan)
        names = tuple(edge.value for edge in press_lay(half, half.sheets[0]))
    if things == COVER_SHEETS and plan.cover is not None and plan.cover.pieces is not None:
        names = tuple(edge.value for edge in plan.cover.pieces.lay)
    if things == "cover":
        names = ("top" if facts.lay == "head" else "bottom", "left")
    size = _size(plan, things)
    inner = Box(room.x0 + _GAP, room.y0 + _GAP, room.x1 - _GAP, room.y1 - _GAP)
    whole = Box(ZERO, ZERO, size.width, size.height)
    draw_sheet(page, inner, whole, _named(piles), [Edge(name) for name in names])


def cut_pictures(plan: Plan) -> dict[int, Picture]:
    """A picture for each cut, by its step's number."""
    if not plan.cut_steps:
        return {}
    found: dict[int, Picture] = {}
    for things in {step.table.things for step in plan.cut_steps if step.table} - {"book"}:
        piles, moments = replay_sheets(plan.cut_steps, _size(plan, things), things)
        hand = plan.cut_facts is not None and plan.cut_facts.hand
        # a double book lies with its front cover up
        over = things == DOUBLE and plan.bound_at.mirrored
        found.update((m.step.number, _sheet_picture(m, _named(piles), over, hand)) for m in moments)
    if plan.flat:
        return found
    for outline, name in _books(plan):
        _, in_book = replay_book(plan.cut_steps, outline.gathered, outline.bound, name)
        trim = Box(ZERO, ZERO, outline.trim.width, outline.trim.height)
        for moment in in_book:
            found.setdefault(moment.step.number, _book_picture(plan, moment, trim))
    return found


def _books(plan: Plan) -> list[tuple[Outline, str]]:
    """The outlines of what is trimmed, and what its pile is called: two copies that were bound
    as one have each their own, already bound when they are parted."""
    double = _double(plan)
    if double is None:
        return [(outline_of(plan), "book")]
    return [
        (replace(copy.outline, gathered=copy.outline.bound), copy.pile)
        for copy in (double.near, double.far)
    ]


def _double(plan: Plan) -> Double | None:
    facts = plan.cut_facts
    return double_of(half_plan(plan), facts.lay if facts else "head")


def _named(piles: dict[str, Box]) -> Sequence[tuple[Box, str]]:
    return [(box, _number(name)) for name, box in piles.items()]


def _number(name: str) -> str:
    """Of one pile, or of one cover of several."""
    first, _, number = name.partition(" ")
    return number if first in ("pile", "cover") and number.isdecimal() else ""


def _sheet_picture(
    moment: Moment, piles: Sequence[tuple[Box, str]], mirrored: bool, hand: bool
) -> Picture:
    """With a knife it is the waste that falls away, on whichever side of the cut it lies."""
    step = moment.step
    waste = moment.stays if hand and wasted_at_edge(step) else None
    names = [(edge, edge.value) for edge in Edge]
    if step.table and step.table.things == DOUBLE:
        names = [(Edge.LEFT, "spine"), (Edge.RIGHT, "fore-edges")]
    return Picture(
        moment=moment,
        trims=piles,
        mirrored=mirrored,
        names=names,
        stop_words=_stop_words(moment),
        falls_words=_falls_words(step) if waste is None else "hatched: waste",
        waste=waste,
    )


def _stop_words(moment: Moment) -> str:
    things = moment.step.table.things if moment.step.table else ""
    if things == DOUBLE:
        return "the marked end"
    return "folds" if things.startswith(LEAVES) else f"{moment.edge.value} edge"


def _book_picture(plan: Plan, moment: Moment, trim: Box) -> Picture:
    step = moment.step
    present = step.present
    back_up = present is not None and present.face_up == "back"
    names = [
        (Edge.LEFT, "spine"),
        (Edge.RIGHT, "fore-edge"),
        (Edge.TOP, "head"),
        (Edge.BOTTOM, "foot"),
    ]
    return Picture(
        moment=moment,
        trims=[(trim, "")],
        mirrored=plan.bound_at.mirrored != back_up,
        names=names,
        stop_words=present.at_gauge if present else "",
        falls_words=_falls_words(step),
    )


def _falls_words(step: CutStep) -> str:
    if step.falls is None or step.falls.waste:
        return "waste falls"
    names = step.falls.piles
    if len(" and ".join(names)) > _LONGEST:
        return "good work falls"
    many = len(names) > 1 or names[0].startswith(("piles", "covers"))
    return f"{' and '.join(names)} {'fall' if many else 'falls'}"


def _fold_edge(plan: Plan) -> Edge:
    """Where the fold of a French-folded leaf lies, its recto up."""
    return Edge.LEFT if plan.bound_at.mirrored else Edge.RIGHT


def _size(plan: Plan, things: str) -> Size:
    """The paper that the sheets, the cover or the leaves are cut from."""
    facts = plan.cut_facts
    if things == PARENTS and facts is not None and facts.parent is not None:
        return facts.parent.size
    folded = folded_paper(plan)
    if things == LEAVES and folded is not None:
        return folded.size
    if things == DOUBLE:
        double = _double(plan)
        assert double is not None
        return double.size
    if things == "sheets":
        return half_plan(plan).sheets[0].size
    for inset, view in zip(plan.insets, inset_views(plan), strict=True):
        folded = folded_paper(view)
        if things == leaves_of(inset.number) and folded is not None:
            return folded.size
        if things == sheets_of(inset.number):
            return view.sheets[0].size
    if plan.flat:
        return next(sheet.size for sheet in plan.sheets if things_of(plan, sheet) == things)
    if things in ("cover", COVER_SHEETS) and plan.cover is not None:
        pieces = plan.cover.pieces
        return pieces.sheet if things == COVER_SHEETS and pieces else plan.cover.paper
    return next(sheet.size for sheet in plan.sheets if sheet.role == "guts")
