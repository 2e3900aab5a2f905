"""The press in plain words: plates, sheets, and which edge goes where in each pass."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.geometry.sides import Edge
from impose.geometry.turning import Flip, Turnover
from impose.model.job import Job
from impose.model.presswork import TwoUp
from impose.plan.parts import Sheet
from impose.plan.plan import Plan
from impose.plan.pressfacts import Pass, PressFacts
from impose.schemes.coverrepeat import printed_here
from impose.schemes.pressroom import passes_of

_TURNED: Final = {
    Turnover.ABOUT_VERTICAL: "side to side, like a page of a book",
    Turnover.ABOUT_HORIZONTAL: "top to bottom, like a leaf of a calendar",
}
_HALVES: Final = {
    Turnover.ABOUT_VERTICAL: ("the left half", "the right half"),
    Turnover.ABOUT_HORIZONTAL: ("the lower half", "the upper half"),
}


def press_rows(plan: Plan) -> Iterator[tuple[str, str]]:
    """A label and its words for each; nothing where no press is named.  A digital press has
    clicks, and neither plates nor grippers."""
    yield from click_rows(plan)
    press = plan.press
    if press is None:
        return
    sheet = next(sheet for sheet in plan.sheets if sheet.role == "guts")
    yield "Press", press.name if plan.one_sided("guts") else f"{press.name}: {press.work}"
    one_sided = plan.one_sided("guts")
    yield "Plates", _plates(press, sheet, one_sided)
    yield "Sheets to print", _sheets(press)
    front, back = press.passes
    yield f"{_label(press, front)}, front", _edges(front)
    if one_sided:
        return
    yield f"{_label(press, back)}, back", f"{_turn(press, sheet)}; {_edges(back)}"
    if sheet.one_forme:
        one, other = _HALVES[sheet.turned]
        yield (
            "Before folding",
            f"cut every sheet in two: {one} and {other} are a copy each; turn one of the piles "
            "over, the run of each sheet by itself",
        )
    if plan.two_up:
        yield "Two copies", two_up_words(plan)


def click_rows(plan: Plan) -> Iterator[tuple[str, str]]:
    """The sides that a digital press prints; nothing for other printers."""
    clicks = plan.clicks
    if clicks is None:
        return
    yield "Press", clicks.name
    overs = f" and {clicks.overs} for spoilage" if clicks.overs else ""
    noun = "sheet" if clicks.sheets == 1 else "sheets"
    sides = "both sides" if clicks.sides == 2 else "one side"
    yield "Clicks", f"{clicks.clicks}: {clicks.sheets} {noun}{overs}, printed on {sides}"


def cover_press_rows(plan: Plan, job: Job) -> Iterator[tuple[str, str]]:
    """How the cover's sheets go through the job's own printer: plates and passes, or clicks;
    nothing where they are printed elsewhere, or on an office printer.  Marks alone are no
    reason to print the inside."""
    printer, cover = job.guts.printer, plan.cover
    sheet = next((sheet for sheet in plan.sheets if sheet.role == "cover"), None)
    if printer is None or cover is None or sheet is None or not printed_here(plan):
        return
    sides = 1 + any(placement.page is not None for placement in sheet.back.placements)
    inside = "outside and inside" if sides == 2 else "the outside alone"
    if plan.clicks is not None:
        count = cover.pieces.sheets + cover.pieces.overs if cover.pieces else job.copies
        yield "Cover clicks", f"{count * sides}: {count} sheets, {inside}"
    elif plan.press is not None:
        front, back = passes_of(sheet, job)
        sets = "1 set" if sides == 1 else f"{sides} sets"
        turn = ""
        if sides == 2:
            flip = Flip.that_gives(sheet.turned, sheet.size).value
            turn = (
                f"; for the inside turned {_TURNED[sheet.turned]} (on its {flip}), {_edges(back)}"
            )
        yield "Cover plates", f"{sets}, {inside}; {_edges(front)}{turn}"


def two_up_words(plan: Plan) -> str:
    """How two copies lie that are bound as one."""
    way = TwoUp(plan.two_up)
    reads = (
        "the second is upside down and reads from the back"
        if way.come_and_go
        else "both read the same way"
    )
    return f"bound as one, {plan.two_up}: {reads}; cut apart after binding, then trimmed singly"


def lay_line(plan: Plan) -> str:
    """One line for the cutter: the edges the sheets were printed from."""
    press = plan.press
    if press is None:
        return ""
    front, back = press.passes
    grip = f"gripper {front.paper_gripper.value}"
    if back.paper_gripper is not front.paper_gripper:
        grip += f" on the front, {back.paper_gripper.value} on the back"
    lay = f", side lay {front.paper_lay.value}" if front.paper_lay else ""
    return f"Printed {press.work}: {grip}{lay} (edges of the sheet with its front up)."


def _label(press: PressFacts, one: Pass) -> str:
    return f"Unit {one.number}" if press.one_pass else f"Pass {one.number}"


def _plates(press: PressFacts, sheet: Sheet, one_sided: bool) -> str:
    sets = "1 set" if press.formes == 1 else f"{press.formes} sets"
    each = "one set prints both sides" if sheet.one_forme else "one set for each side"
    if one_sided:
        each = "one set for each sheet, printed on one side"
    return f"{sets}, a plate for each ink in every set; {each}"


def _sheets(press: PressFacts) -> str:
    overs = f" and {press.overs} for spoilage" if press.overs else ""
    copies = f"; a set of sheets gives {press.copies} copies" if press.copies > 1 else ""
    return f"{press.sheets}{overs}{copies}"


def _turn(press: PressFacts, sheet: Sheet) -> str:
    flip = Flip.that_gives(sheet.turned, sheet.size).value
    front, back = press.passes
    same = front.paper_gripper is back.paper_gripper
    grip = "the same edge stays in the grippers" if same else "the other edge goes to the grippers"
    by = "the press turns the sheet tail to gripper" if press.one_pass else (
        f"the sheet is turned {_TURNED[sheet.turned]} (on its {flip})"
    )  # fmt: skip
    return f"{by}, {grip}"


def _edges(one: Pass) -> str:
    """Both edges as they lie on this side, and which edges of the paper they are."""
    words = f"gripper at the {one.gripper.value}{_paper(one, one.gripper, one.paper_gripper)}"
    if one.lay is None or one.paper_lay is None:
        return f"{words}; the side lay is not said: keep to one edge of the paper"
    guide = ""
    if one.side == "back":
        guide = ", the same edge of the paper"
        if one.lay is not one.paper_lay:
            guide += " on the other side of the press: use the other side guide"
    return f"{words}; side lay at the {one.lay.value}{guide}"


def _paper(one: Pass, edge: Edge, paper: Edge) -> str:
    if one.side == "front" or edge is paper:
        return ""
    return f" (the {paper.value} edge of the front)"
