"""Several copies out of one set of sheets: the cuts of both piles, and what the bench is told.

The law of the cuts is carried out here by itself, as lengths along the spine from
the marked end: it shares no code with the replay of the program.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import (
    Asked,
    Book,
    asked_for,
    many_up_books,
    mm,
    one_up_books,
    saddle_books,
    section_books,
    with_job,
)

from impose.bench.doublebooks import double_of
from impose.bench.handcutter import HAND
from impose.bench.outline import outline_of
from impose.bench.program import add_cuts
from impose.bench.proving import Proof, prove
from impose.errors import PlanMismatchError
from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt
from impose.model.job import Binding
from impose.model.machines import Bench, Binder, Cutter, LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.reports.cut_pictures import cut_pictures
from impose.reports.cutlist_rows import rows
from impose.reports.guide import guide
from impose.reports.ticket_rows import book_rows, last_cut_rows
from impose.schemes.gutspaper import gathered_block, one_of_two
from impose.schemes.halves import half_plan
from impose.units import ZERO, Length

A5, SRA3 = Size(mm(148), mm(210)), Size(mm(320), mm(450))
GUILLOTINE = Cutter(
    name="a guillotine", widest=mm(1000), gauge_min=mm(20), gauge_max=mm(1000),
    clamp_opening=mm(80), knife_enters="right", tolerance=mm("0.3"), waste_min=mm(2),
)  # fmt: skip
BOOK_ORDER = replace(GUILLOTINE, trim_order=("fore-edge", "foot", "head"))
PRESS = Printer(
    name="the press", press=True, leads=LeadingEdge.LONG, lead=mm(10), tail=mm(5), left=mm(5),
    right=mm(5), side_lay="left",
)  # fmt: skip
DIGITAL = replace(PRESS, name="the digital press", digital=True, side_lay="")


# -- every pile is followed ------------------------------------------------------------------


@dataclass
class Pile:
    """The books of one copy: paper along the spine, from the marked end, and across from it."""

    head: Length  #: the trim's head, from the marked end
    foot: Length
    papers: tuple[Length, Length]
    across: tuple[Length, Length]
    low: str  #: the side that lies nearer to the marked end

    def cut(self, step: CutStep) -> None:
        assert step.present is not None and step.setting is not None
        gauge, stop = step.setting.gauge, step.present.at_gauge
        if stop == "spine":
            self.across = (self.across[0], self.across[0] + gauge)
        elif stop == self.low:
            self.papers = (self.papers[0], self.papers[0] + gauge)
        else:
            self.papers = (self.papers[1] - gauge, self.papers[1])
        assert self.papers[0] <= min(self.head, self.foot), "the knife goes through the page"
        assert self.papers[1] >= max(self.head, self.foot), "the knife goes through the page"


def parted(plan: Plan, lay: str) -> tuple[dict[str, Pile], Length]:
    """The two piles before the parting, from the papers of the plan, and where they are parted."""
    way, half, height = TwoUp(plan.two_up), half_plan(plan), plan.leaf.height
    end = {TwoUp.HEADS: "foot", TwoUp.FEET: "head", TwoUp.SAME_WAY: lay}[way]
    near = 2 if way is TwoUp.SAME_WAY and lay == "foot" else 1
    papers = [gathered_block(one_of_two(half, copy)).paper for copy in (near, 3 - near)]
    other = {"head": "foot", "foot": "head"}
    sides = (end, end if way is TwoUp.SAME_WAY else other[end])
    piles, at = {}, ZERO
    for name, paper, side in zip(("pile A", "pile B"), papers, sides, strict=True):
        top, bottom = (paper.y1, paper.y0) if side == "head" else (paper.y0, paper.y1)

        def place(y: Length, top: Length = top, at: Length = at) -> Length:
            return at + abs(top - y)

        piles[name] = Pile(
            place(height), place(ZERO), (at, place(bottom)), (plan.grind + paper.x0, paper.x1), side
        )
        at = place(bottom)
    return piles, piles["pile A"].papers[1]


def holds(plan: Plan, lay: str) -> None:
    """Carried out on both piles the list leaves the trims, and nothing is cut before its time."""
    steps = [step for step in plan.cut_steps if step.kind is StepKind.CUT and step.setting]
    last = [step for step in steps if step.when is When.AFTER_BINDING]
    piles, at = parted(plan, lay)
    assert last[0].table is not None and last[0].table.piles == ("double books",)
    assert last[0].setting is not None and last[0].setting.gauge == at
    for step in last[1:]:
        assert step.table is not None and set(step.table.piles) <= set(piles)
        assert step.table.count == last[0].table.count
        for name in step.table.piles:
            piles[name].cut(step)
    ids = {cut.id for cut in plan.cuts}
    for pile in piles.values():
        ends = {pile.low: pile.papers[0]}
        ends["foot" if pile.low == "head" else "head"] = pile.papers[1]
        for side, at in (("head", pile.head), ("foot", pile.foot)):
            assert side not in ids or ends[side] == at
        if "fore-edge" in ids:
            assert pile.across == (ZERO, plan.leaf.width)


BOOKS = st.one_of(saddle_books(), section_books(), one_up_books(), many_up_books())


@settings(max_examples=50, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    BOOKS.filter(lambda book: book is not None and bool(book.plan.two_up)),
    st.sampled_from([HAND, GUILLOTINE, BOOK_ORDER]),
    st.sampled_from(["head", "foot"]),
    st.integers(1, 9),
)
def test_both_piles_of_two_copies_are_cut_to_the_trim(
    book: Book, cutter: Cutter, lay: str, copies: int
) -> None:
    bench = Bench(cutter=cutter, binder=Binder(name="the binder", lay=lay))
    asked = with_job(book.asked, bench=bench, copies=copies)
    plan = add_cuts(book.plan, asked.job)
    holds(plan, asked.job.guts.lay or lay)  # the job's own lay goes before the binder's
    drawn = cut_pictures(plan)
    assert {s.number for s in plan.cut_steps if s.kind is StepKind.CUT and s.setting} == set(drawn)


def saddle(way: TwoUp, cutter: Cutter = GUILLOTINE, **more: object) -> tuple[Plan, Asked]:
    asked = asked_for(
        32, binding=Binding.SADDLE, trim=A5, sheet=SRA3, two_up=way, copies=100,
        bench=Bench(cutter=cutter), **more,
    )  # fmt: skip
    return add_cuts(asked.planned(), asked.job), asked


def gauges(plan: Plan) -> list[tuple[str, str]]:
    return [
        (step.title, step.setting.gauge.text("mm"))
        for step in plan.cut_steps
        if step.kind is StepKind.CUT and step.setting
    ]


def test_head_to_foot_each_pile_has_its_own_steps() -> None:
    """By hand: SRA3 is 450 mm high, two pages of 210 with 3.175 mm (1/8 in) each at the cut
    between them are 426.35, so 11.825 is left at either end; 11.825 + 210 + 3.175 = 225."""
    plan, _ = saddle(TwoUp.SAME_WAY)
    assert gauges(plan) == [
        ("Cut the two copies apart", "225 mm"),
        ("Trim the head of pile A", "213.175 mm"),
        ("Trim the foot of pile B", "213.175 mm"),
        ("Trim the foot of pile A", "210 mm"),
        ("Trim the head of pile B", "210 mm"),
        ("Trim the fore-edge of pile A", "148 mm"),
        ("Trim the fore-edge of pile B", "148 mm"),
    ]
    assert not any(finding.code == "lay-differs" for finding in plan.findings)
    assert not any(s.setting.on_marks for s in plan.cut_steps if s.setting)
    table = rows(plan)
    assert "50 books" in table[-1].on_table and table[-1].on_table.startswith("pile B, ")
    facts = plan.cut_facts
    assert facts is not None and (facts.after.strokes, facts.after.settings) == (7, 4)


@pytest.mark.parametrize(("way", "first", "then"), [
    (TwoUp.HEADS, "foot", "head"), (TwoUp.FEET, "head", "foot"),
])  # fmt: skip
def test_copies_that_come_and_go_are_cut_alike(way: TwoUp, first: str, then: str) -> None:
    plan, _ = saddle(way)
    assert gauges(plan) == [
        ("Cut the two copies apart", "225 mm"),
        (f"Trim the {first} of both piles", "213.175 mm"),
        (f"Trim the {then} of both piles", "210 mm"),
        ("Trim the fore-edge of both piles", "148 mm"),
    ]
    labels = [row.label for row in last_cut_rows(plan)]
    assert labels[1].startswith("Last cut") and labels[1].endswith(f"{first} of pile A and pile B")


def test_the_order_of_a_cutter_is_kept_for_both_piles() -> None:
    plan, _ = saddle(TwoUp.SAME_WAY, BOOK_ORDER)
    assert [title for title, _ in gauges(plan)][1:3] == [
        "Trim the fore-edge of both piles", "Trim the foot of pile A",
    ]  # fmt: skip
    on_marks = {s.title for s in plan.cut_steps if s.setting and s.setting.on_marks}
    assert not on_marks  # the foot of A from its jogged head, that of B from the cut


def test_a_list_that_follows_one_pile_only_is_refused() -> None:
    """One figure for both, as from one outline of both: it is right for half the books."""
    plan, _ = saddle(TwoUp.SAME_WAY)
    proof = Proof(None, None, outline_of(plan), double=double_of(plan, "head"))
    prove(plan, proof, plan.cut_steps)
    at = next(i for i, s in enumerate(plan.cut_steps) if s.title == "Trim the foot of pile B")
    step = plan.cut_steps[at]
    assert step.setting is not None and step.table is not None and step.stays is not None

    def refused(*steps: CutStep) -> None:
        changed = (*plan.cut_steps[:at], *steps, *plan.cut_steps[at + 1 :])
        with pytest.raises(PlanMismatchError):
            prove(plan, proof, changed)

    far = replace(step.setting, gauge=mm("221.825"))  # 11.825 + 210: the head at the sheet's end
    refused(replace(step, setting=far))
    refused()
    for piles in (("book",), ("pile A",), ("pile A", "pile B")):
        refused(replace(step, table=replace(step.table, piles=piles)))
    first = next(i for i, s in enumerate(plan.cut_steps) if s.title.startswith("Cut the two"))
    early = (step, *plan.cut_steps[:first], *plan.cut_steps[first:at], *plan.cut_steps[at + 1 :])
    with pytest.raises(PlanMismatchError):
        prove(plan, proof, early)


def test_every_gauge_of_a_double_book_is_held_to() -> None:
    plan, _ = saddle(TwoUp.HEADS)
    proof = Proof(None, None, outline_of(plan), double=double_of(plan, "head"))
    for index, step in enumerate(plan.cut_steps):
        if step.setting is None:
            continue
        off = replace(step, setting=replace(step.setting, gauge=step.setting.gauge + Length(1)))
        with pytest.raises(PlanMismatchError):
            prove(plan, proof, (*plan.cut_steps[:index], off, *plan.cut_steps[index + 1 :]))


# -- what the bench is told --------------------------------------------------------------------


def told(plan: Plan, asked: Asked) -> dict[str, str]:
    return {task.title: " ".join(task.steps) for task in guide(plan, asked.job).tasks}


@pytest.mark.parametrize(("way", "end"), [
    (TwoUp.HEADS, "the foot end of the first copy"),
    (TwoUp.FEET, "the head end of the first copy"),
    (TwoUp.SAME_WAY, "the head end"),
])  # fmt: skip
def test_two_staples_a_copy_measured_from_one_end(way: TwoUp, end: str) -> None:
    """A quarter of 210 is 52.5: 11.825 + 52.5, 11.825 + 157.5, 225 + 3.175 + 52.5 and + 157.5,
    told to the next half millimetre."""
    words = told(*saddle(way))
    staples = words["Staple or sew on the fold"]
    assert f"from the marked end, {end}: 64.5 mm, 169.5 mm, 280.5 mm and 385.5 mm" in staples
    assert "four staples" in staples and "each copy by itself" in staples
    lay = words["Lay in order and fold"]
    assert "All heads" not in lay and f"lie {way.value}: {end}, at the" in lay
    trim = words["Trim, in this order"].split("Trim the")[0]
    assert "(jogged). The books with the marked end are pile A, the others pile B" in trim


def test_stations_of_both_copies_and_the_untrimmed_double_book() -> None:
    asked = asked_for(
        32, binding=Binding.SECTIONS, trim=A5, sheet=SRA3, two_up=TwoUp.SAME_WAY, section_pages=16,
    )  # fmt: skip
    plan = add_cuts(asked.planned(), asked.job)
    words = told(plan, asked)
    # 11.825 + 15, 11.825 + 210 - 15, 225 + 3.175 + 15, 225 + 3.175 + 210 - 15
    assert "for one copy at 27 mm and 207 mm" in words["Sew"]
    assert "for the other at 243 mm and 423 mm" in words["Sew"]
    gather = words["Gather"]
    assert "the head end, at the top edge of the printed fronts, comes to the same side" in gather
    row = {row.label: row.words for row in book_rows(plan, asked.job, None)}["Guts untrimmed"]
    assert " x 450 mm (" in row and "apart 225 mm each high" in row


def leaves(copies: int, **more: object) -> tuple[Plan, Asked]:
    asked = asked_for(
        160, binding=Binding.PERFECT, trim=A5, copies=copies, bench=Bench(cutter=GUILLOTINE),
        **({"sheet": Size(mm(508), mm("660.4"))} | more),
    )  # fmt: skip
    return add_cuts(asked.planned(), asked.job), asked


def stacked(plan: Plan) -> list[str]:
    return [
        " ".join((step.title, *step.notes))
        for step in plan.cut_steps
        if step.kind is StepKind.STACK
    ]


@pytest.mark.parametrize("way", TwoUp)
def test_double_books_are_half_as_many_sets(way: TwoUp) -> None:
    plan, asked = leaves(101, two_up=way)
    sheets = len(plan.sheets)
    (stack,) = stacked(plan)
    assert f"holds 51 sets of {sheets} double leaves, one for each double book" in stack
    assert f"51 sets: sheets 1 to {sheets}" in told(plan, asked)["Print"]
    plan, asked = leaves(101, two_up=way, printer=PRESS)
    (stack,) = stacked(plan)
    assert f"{len(plan.sheets)} runs, 51 double leaves that are alike in each" in stack
    assert "set by set" not in stack


@pytest.mark.parametrize(("printer", "way", "print_step"), [
    (None, "Gather set by set", 'Print set by set ("collate" in the print dialog), 60 sets'),
    (DIGITAL, "Gather set by set", "Print set by set"),
    (PRESS, "Gather leaf by leaf", "Print all of sheet 1 first, 60 of it and 5 more for spoilage"),
])  # fmt: skip
def test_the_print_step_and_the_gathering_speak_of_one_order(
    printer: Printer | None, way: str, print_step: str
) -> None:
    plan, asked = leaves(60, printer=printer, overs=5)
    (stack,) = stacked(plan)
    assert stack.startswith(f"{way}: from the top pile 1")
    assert print_step in told(plan, asked)["Print"]
    one, single = leaves(1, printer=printer)
    assert stacked(one)[0].startswith("Lay the piles on each other")
    assert "set by set" not in told(one, single)["Print"]
    assert "all of sheet 1" not in told(one, single)["Print"]


def test_blank_leaves_are_at_the_bottom_of_every_set() -> None:
    asked = asked_for(90, binding=Binding.PERFECT, trim=A5, sheet=SRA3, up=4, copies=3)
    (stack,) = stacked(add_cuts(asked.planned(), asked.job))
    assert "First take 3 blank leaves away from the bottom of every set in pile 4." in stack
    asked = asked_for(90, binding=Binding.PERFECT, trim=A5, sheet=Size(mm(460), mm(330)), up=4,
                      copies=3, printer=PRESS)  # fmt: skip
    (stack,) = stacked(add_cuts(asked.planned(), asked.job))
    assert "Leave out the last 3 runs of pile 4: they are blank." in stack


@pytest.mark.parametrize("work", [Work.TURN, Work.TUMBLE])
def test_one_forme_is_printed_on_both_sides_before_the_next(work: Work) -> None:
    plan, asked = leaves(100, work=work, printer=PRESS)
    words = told(plan, asked)
    assert "pages 1 and 2 of the file" not in words["Print"]
    assert "the same page is printed on the front and on the back" in words["Print"]
    assert "Print it on all its 50 sheets" in words["Print"]
    edge = "the same" if work is Work.TURN else "the other"
    assert f"so that {edge} edge goes into the press first" in words["Print"]
    turn, gather = stacked(plan)
    assert "take all of sheet 1 from pile" in turn and "last sheet on top" in turn
    sheets = len(plan.sheets)
    assert f"sheet 1 on top: 100 halves of each sheet, {100 * sheets} in all" in turn
    assert f"{sheets} runs, 100 leaves that are alike" in gather
    assert "take all of sheet 1 from pile" in words["Cut the sheets in two"]


def test_the_halves_are_folded_as_they_lie_once_they_are_apart() -> None:
    """The middle of a half is found on the half: sheet 8 with its first page, 15, up has 16 and
    17 below, on its back; on the whole sheet both formes are on the front."""
    asked = asked_for(
        32, binding=Binding.SADDLE, trim=A5, sheet=Size(mm(508), mm("660.4")), work=Work.TURN,
        printer=PRESS, copies=100,
    )  # fmt: skip
    plan = add_cuts(asked.planned(), asked.job)
    words = told(plan, asked)["Lay in order and fold"]
    assert "sheet 8 on top, its back up, so that you look at page 16 and page 17" in words
    half = half_plan(plan).sheets[-1]
    assert {p.position for p in half.back.placements} == {16, 17}


def test_a_half_is_measured_from_its_own_edge_when_it_is_folded() -> None:
    asked = asked_for(
        16, binding=Binding.SECTIONS, up=4, section_pages=8, work=Work.TURN, printer=PRESS,
        trim=Size(mm(105), mm(148)), sheet=Size(mm(700), mm(500)),
    )  # fmt: skip
    plan = add_cuts(asked.planned(), asked.job)
    words = told(plan, asked)["Fold"]
    half = half_plan(plan).sheets[0]
    assert "lay the half with its front, the side with its first page, up" in words
    upright = next(fold for fold in half.folds if not fold.across)
    assert f"{upright.at.text('mm')} from the left edge" in words
    assert upright.at < half.size.width <= Box(ZERO, ZERO, mm(350), mm(500)).width


def test_an_odd_number_of_copies_is_made_up_to_an_even_one() -> None:
    plan, _ = leaves(101, two_up=TwoUp.HEADS)
    (said,) = [finding for finding in plan.findings if finding.code == "copies-made"]
    assert "102 are made, 101 asked for" in said.message
    assert not any(f.code == "copies-made" for f in leaves(100, two_up=TwoUp.HEADS)[0].findings)


@pytest.mark.parametrize("bound_at", [BoundAt.LEFT, BoundAt.RIGHT])
def test_a_double_book_is_drawn_with_its_spine_where_it_is(bound_at: BoundAt) -> None:
    asked = asked_for(
        32, binding=Binding.SADDLE, trim=A5, sheet=SRA3, two_up=TwoUp.SAME_WAY, bound_at=bound_at,
        bench=Bench(cutter=GUILLOTINE),
    )  # fmt: skip
    plan = add_cuts(asked.planned(), asked.job)
    pictures = cut_pictures(plan)
    step = next(s for s in plan.cut_steps if s.table and s.table.things == "double books")
    assert pictures[step.number].mirrored == (bound_at is BoundAt.RIGHT)
