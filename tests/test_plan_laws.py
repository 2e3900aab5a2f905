"""Laws of the plan: they hold for every scheme, page count, flip and binding side.

Nothing here looks at how a scheme works; a law is checked on the finished plan
and on what was asked.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import SCHEMES, Asked, Book

from impose.geometry.box import Box, Edges, Size, box_inside
from impose.geometry.sides import Edge, PageSides
from impose.geometry.turning import Turnover
from impose.marks.ticks import SHORTEST
from impose.model.job import Binding, Order
from impose.model.machines import LeadingEdge, Printer
from impose.model.presswork import TwoUp, Work, lead_across
from impose.plan.parts import COPIES, Line, LineKind, Mark, Placement, Shape, Sheet, Side, When
from impose.plan.plan import Plan
from impose.plan.wire import from_text, to_text
from impose.schemes.gutspaper import one_of_two
from impose.schemes.halves import half_plan
from impose.schemes.pressroom import copies_on
from impose.units import ZERO, Length, total

Law = Callable[[Book], None]
LAWS: list[Law] = []
VALUE_LAWS: list[Law] = []
GRAIN = Length(1)


def law(check: Law) -> Law:
    LAWS.append(check)
    return check


def law_of_a_copy(check: Law) -> Law:
    """A law of the paper of one copy: where one forme prints both sides, of each half."""

    def of_each(book: Book) -> None:
        for copy in range(1, 3 if book.plan.halved else 2):
            plan = half_plan(book.plan, copy)
            check(replace(book, plan=one_of_two(plan, 1) if plan.two_up else plan))

    LAWS.append(of_each)
    return check


@pytest.mark.parametrize("scheme", SCHEMES)
def test_laws(scheme: str) -> None:
    """Each drawn book is held to all laws; a failing one shows in the traceback."""
    hold(SCHEMES[scheme], LAWS, examples=100)


def test_laws_of_the_plan_as_a_value() -> None:
    hold(st.one_of(*SCHEMES.values()), VALUE_LAWS, examples=80)


def hold(books: st.SearchStrategy[Book | None], laws: Sequence[Law], examples: int) -> None:
    @settings(max_examples=examples, deadline=None, suppress_health_check=list(HealthCheck))
    @given(books)
    def holds(book: Book | None) -> None:
        if book is not None:
            for check in laws:
                check(book)

    holds()


# -- what lies where, in the frame of a side ---------------------------------------------


def all_sides(plan: Plan) -> Iterator[tuple[Sheet, str, Side]]:
    for sheet in plan.sheets:
        for name, side in sheet.sides:
            yield sheet, name, side


def placements(plan: Plan) -> Iterator[Placement]:
    return (p for _, _, side in all_sides(plan) for p in side.placements)


def distinct_sides(plan: Plan) -> Iterator[tuple[Sheet, str, Side]]:
    """One side for each arrangement of pages, lines and marks: many sheets differ only in
    what is printed on them."""
    seen = set()
    for sheet, name, side in all_sides(plan):
        key = (
            tuple((placed(p.trim), p.bleed) for p in side.placements),
            tuple(id(group) for group in side.marks),
            tuple((m.x0, m.y0, m.x1, m.y1, len(m.text)) for m in side.own_marks),
            id(sheet.lines),
            tuple(line.x0 for line in sheet.creep_lines),
            name,
        )
        if key not in seen:
            seen.add(key)
            yield sheet, name, side


def marks_of(side: Side) -> tuple[Mark, ...]:
    return (*(mark for group in side.marks for mark in group.marks), *side.own_marks)


def whole(size: Size) -> Box:
    return Box(ZERO, ZERO, size.width, size.height)


def printable(sheet: Sheet, book: Book) -> Box:
    """Without the margins; a press that turns the sheet tail to gripper has its gripper's margin
    at both ends."""
    printer = book.asked.job.guts.printer
    if printer is None:
        return whole(sheet.size)
    margins = printer.margins(sheet.size)
    plan_press = book.plan.press
    if plan_press is not None and plan_press.one_pass:
        both = {edge: max(getattr(margins, edge), printer.lead) for edge in ("top", "right")}
        gripped = "top" if lead_across(printer, sheet.size) else "right"
        margins = replace(margins, **{gripped: both[gripped]})
    return box_inside(whole(sheet.size), margins)


def out_of_gripper(printer: Printer | None, size: Size) -> Box:
    """The side without the strip that a press grips: at its leading edge, which lies at the
    bottom, or at the left when the edge that leads runs upright."""
    if printer is None or not printer.press:
        return whole(size)
    leads_below = (printer.leads is LeadingEdge.LONG) == (size.width > size.height)
    strip = Edges(bottom=printer.lead) if leads_below else Edges(left=printer.lead)
    return box_inside(whole(size), strip)


def tail_bar(printer: Printer, size: Size) -> Edges:
    """The strip at the trailing edge that pages leave free for the colour bar."""
    leads_below = (printer.leads is LeadingEdge.LONG) == (size.width > size.height)
    strip = printer.tail + printer.bar
    return Edges(top=strip) if leads_below else Edges(right=strip)


def lines_on(sheet: Sheet, name: str, kind: LineKind) -> list[Line]:
    """The sheet's lines as seen from a side."""
    return [
        line if name == "front" else over(line, sheet)
        for line in (*sheet.lines, *sheet.creep_lines)
        if line.kind is kind
    ]


def over(line: Line, sheet: Sheet) -> Line:
    box = sheet.turned.over(Box(line.x0, line.y0, line.x1, line.y1), sheet.size)
    return Line(line.kind, line.of, box.x0, box.y0, box.x1, box.y1)


# -- pages -------------------------------------------------------------------------------


@law_of_a_copy
def every_page_stands_where_the_job_says_and_blanks_are_explicit(book: Book) -> None:
    asked, plan = book.asked, book.plan
    given_faces = list(asked.faces)
    missing = plan.faces - len(given_faces)
    before = asked.job.blanks_at.before
    last = max(face for face in given_faces if face is not None)
    at = len(given_faces) if before is None else given_faces.index(last if before < 0 else before)
    expected = [*given_faces[:at], *[None] * missing, *given_faces[at:]]
    assert missing >= 0
    assert plan.reading_order() == tuple(expected)


@law_of_a_copy
def every_face_is_printed_as_often_as_asked(book: Book) -> None:
    asked, plan = book.asked, book.plan
    repeats = plan.scheme == "leaves" and asked.job.guts.order is Order.REPEAT
    times = len(plan.sheets[0].front.placements) if repeats else 1
    assert copies_on(plan.sheets, plan.faces) == times
    counted = Counter(p.position for p in placements(plan))
    assert counted == dict.fromkeys(range(1, plan.faces + 1), times)
    order = plan.reading_order()
    for p in placements(plan):
        assert p.page == order[p.position - 1]
        assert p.leaf == (p.position + 1) // 2


@law_of_a_copy
def no_more_blanks_than_the_sheets_need(book: Book) -> None:
    plan, guts = book.plan, book.asked.job.guts
    added = plan.faces - len(book.asked.faces)
    if plan.scheme == "leaves":
        most = 2
    elif plan.scheme == "sections":
        most = 4 if guts.last_section == "short" else guts.section_pages or 0
    else:
        most = 2 * len(plan.sheets[0].front.placements)  # of one copy
    assert 0 <= added < most
    assert plan.faces % most == 0


@law_of_a_copy
def gathering_names_every_sheet_and_reads_through(book: Book) -> None:
    plan = book.plan
    sheets = {sheet.number: sheet for sheet in plan.sheets}
    assert list(sheets) == list(range(1, len(sheets) + 1))
    named = Counter(number for step in plan.gathering for number in step.sheets)
    assert set(named) == set(sheets)
    if plan.scheme != "leaves":
        assert set(named.values()) == {1}
        firsts = [min(p.position for p in positions(sheets[s.sheets[0]])) for s in plan.gathering]
        assert firsts == sorted(firsts)
        return
    leaves = [
        sheets[n].front.placements[s.cell or 0].leaf for s in plan.gathering for n in s.sheets
    ]
    assert leaves == list(range(1, plan.faces // 2 + 1))


def positions(sheet: Sheet) -> tuple[Placement, ...]:
    return (*sheet.front.placements, *sheet.back.placements)


# -- areas -------------------------------------------------------------------------------


@law
def no_two_trims_on_a_side_overlap_and_no_clip_enters_another(book: Book) -> None:
    for _, _, side in distinct_sides(book.plan):
        clips = [p.clip for p in side.placements]
        trims = [p.trim for p in side.placements]
        for i, clip in enumerate(clips):
            assert clip.contains(trims[i])
            for j in range(len(trims)):
                if i != j:
                    assert not trims[i].overlaps(trims[j])
                    assert not clip.overlaps(trims[j])
                    assert not clip.overlaps(clips[j])


@law
def trims_and_bleed_lie_on_the_sheet_and_out_of_the_gripper(book: Book) -> None:
    printer = book.asked.job.guts.printer
    for sheet, _, side in all_sides(book.plan):
        area = out_of_gripper(printer, sheet.size)
        for p in side.placements:
            assert area.contains(p.trim)
            assert area.contains(p.clip)


@law
def the_art_has_the_size_of_the_leaf_and_the_trim_lies_in_it(book: Book) -> None:
    leaf = book.asked.leaf
    for p in placements(book.plan):
        assert p.art.size == leaf
        assert p.art.contains(p.trim)
        assert p.trim.height == leaf.height
        # only the spine side is ever clipped
        if p.spine_at is Edge.LEFT:
            assert p.trim.x1 == p.art.x1
        else:
            assert p.trim.x0 == p.art.x0
        turned = 90 if p.turn % 180 == 90 else 0
        assert (turned == 90) == (book.asked.job.bound_at.art_turn == 90)
        assert p.upside_down == (p.turn >= 180)


@law
def bleed_is_no_more_than_is_asked_supplied_and_roomy(book: Book) -> None:
    asked = book.asked
    most = asked.supplied
    if asked.job.guts.bleed is not None:
        most = min(most, asked.job.guts.bleed)
    folded = book.plan.scheme != "leaves"
    for p in placements(book.plan):
        used = (p.bleed.head, p.bleed.foot, p.bleed.spine, p.bleed.fore_edge)
        assert all(ZERO <= length <= most for length in used)
        if p.page is None:
            assert p.bleed == PageSides()
        if asked.job.binding is not Binding.LOOSE:
            assert p.bleed.spine <= asked.grind  # none at an unground fold or edge
        if folded and asked.grind <= p.shift:
            assert not p.bleed.spine


@law_of_a_copy
def widths_gutters_and_margins_are_the_sheet_exactly(book: Book) -> None:
    """A folded sheet: leaf widths and the gaps that the rules give, with equal margins."""
    if book.plan.scheme == "leaves" or book.plan.two_up:
        return
    guts, leaf = book.asked.job.guts, book.asked.leaf
    for sheet, _, side in distinct_sides(book.plan):
        across, up = arrangement([unshifted(p, leaf) for p in side.placements])
        spine_gaps, fore_gaps = gaps_across(across)
        assert set(spine_gaps) <= {book.asked.grind * 2}
        assert set(fore_gaps) <= {allowance(book, guts.fore_edge_allowance) * 2}
        heads, feet = gaps_up(up)
        assert set(heads) <= {allowance(book, guts.head_allowance) * 2}
        assert set(feet) <= {allowance(book, guts.foot_allowance) * 2}
        columns, rows = len(across), len(up)
        left, right = across[0][0], sheet.size.width - across[-1][1]
        low, high = up[0][0], sheet.size.height - up[-1][1]
        gaps = total([*spine_gaps, *fore_gaps])
        assert left + leaf.width * columns + gaps + right == sheet.size.width
        assert low + leaf.height * rows + total([*heads, *feet]) + high == sheet.size.height
        printer = guts.printer
        # a gripper, or a bar at the tail, pushes the layout off the middle
        if not (printer and printer.press):
            assert low.near(high, GRAIN)
            if not guts.lip:
                assert left.near(right, GRAIN)


def allowance(book: Book, said: Length | None) -> Length:
    """The usual 1/8 in, at least the bleed."""
    if said is not None:
        return said
    supplied, asked = book.asked.supplied, book.asked.job.guts.bleed
    bleed = asked if asked is not None else min(supplied, Length.mm(3))
    return max(Length.inches("1/8"), bleed)


def unshifted(p: Placement, leaf: Size) -> tuple[Box, Edge, bool]:
    """Where the page lies before creep moves it."""
    back = p.shift if p.spine_at is Edge.LEFT else -p.shift
    return p.art.moved(back, ZERO), p.spine_at, p.upside_down


Span = tuple[Length, Length, object]


def arrangement(boxes: Sequence[tuple[Box, Edge, bool]]) -> tuple[list[Span], list[Span]]:
    """The columns with their spine side and the rows with their direction, in order."""
    across = {(box.x0, box.x1, spine) for box, spine, _ in boxes}
    up = {(box.y0, box.y1, down) for box, _, down in boxes}
    assert len(across) * len(up) == len(boxes)
    return (
        sorted(across, key=lambda span: span[0].grains),
        sorted(up, key=lambda span: span[0].grains),
    )


def gaps_across(spans: Sequence[Span]) -> tuple[list[Length], list[Length]]:
    """Gaps between spines, and between fore-edges."""
    spine, fore = [], []
    for (_, end, side), (start, _, other) in pairwise(spans):
        assert side is not other
        (spine if side is Edge.RIGHT else fore).append(start - end)
    return spine, fore


def gaps_up(spans: Sequence[Span]) -> tuple[list[Length], list[Length]]:
    """Gaps between heads, and between feet."""
    heads, feet = [], []
    for (_, end, down), (start, _, other) in pairwise(spans):
        assert down is not other
        (feet if down else heads).append(start - end)
    return heads, feet


# -- front and back ----------------------------------------------------------------------


@law
def turned_over_each_trim_lies_on_the_trim_of_its_back(book: Book) -> None:
    for sheet in book.plan.sheets:
        backs = {placed(p.trim): p for p in sheet.back.placements}
        assert len(backs) == len(sheet.front.placements) == len(sheet.back.placements)
        for front in sheet.front.placements:
            back = backs[placed(sheet.turned.over(front.trim, sheet.size))]
            assert back.leaf == front.leaf
            assert {front.position % 2, back.position % 2} == {0, 1}
            assert sheet.turned.over(front.art, sheet.size) == back.art
            assert front.shift == back.shift
            same_way_up = sheet.turned is Turnover.ABOUT_VERTICAL
            assert (front.upside_down == back.upside_down) == same_way_up
            assert (front.spine_at is back.spine_at) != same_way_up


def placed(box: Box) -> tuple[Length, Length, Length, Length]:
    return box.x0, box.y0, box.x1, box.y1


@law
def the_spine_lies_where_the_book_is_bound(book: Book) -> None:
    """Read upright, a first page of a leaf has its spine at the bound side, its back opposite."""
    at_left = Edge.RIGHT if book.asked.job.bound_at.mirrored else Edge.LEFT
    for p in placements(book.plan):
        upright = p.spine_at.opposite if p.upside_down else p.spine_at
        assert upright is (at_left if p.position % 2 else at_left.opposite)


@law
def sheets_are_turned_as_the_flip_says(book: Book) -> None:
    guts = book.asked.job.guts
    flip = guts.flip or (guts.printer.flip if guts.printer else None)
    for sheet in book.plan.sheets:
        expected = flip.on(sheet.size) if flip else Turnover.ABOUT_VERTICAL
        if guts.work is None:
            assert sheet.turned is expected


@law
def the_gripper_edge_stays_or_changes_as_the_way_of_printing_says(book: Book) -> None:
    """The sheet in the hand: sheetwise and turned, the same edge goes first for the back;
    tumbled and perfected, the opposite one."""
    guts = book.asked.job.guts
    if guts.work is None:
        return
    leads = guts.printer.leads if guts.printer else LeadingEdge.LONG
    for sheet in book.plan.sheets:
        below = (leads is LeadingEdge.LONG) == (sheet.size.width > sheet.size.height)
        # a point on the leading edge of the back, found again on the front
        at = (sheet.size.width.half, ZERO) if below else (ZERO, sheet.size.height.half)
        x, y = sheet.turned.point(*at, sheet.size)
        same = y == ZERO if below else x == ZERO
        assert same == (guts.work in (Work.SHEETWISE, Work.TURN))
        assert sheet.work == guts.work.value


@law
def pages_leave_the_tail_to_the_colour_bar(book: Book) -> None:
    printer = book.asked.job.guts.printer
    said = {finding.code for finding in book.plan.findings}
    if printer is None or not printer.bar or "bar-no-room" in said:
        return
    for sheet, _, side in distinct_sides(book.plan):
        area = box_inside(whole(sheet.size), tail_bar(printer, sheet.size))
        for p in side.placements:
            assert area.contains(p.clip)


@law
def one_forme_prints_both_sides_and_each_half_is_a_copy(book: Book) -> None:
    """The plate in both passes: the same pages at the same places; cut in two, both halves are
    the same sheet."""
    work = book.asked.job.guts.work
    assert book.plan.halved == (work in (Work.TURN, Work.TUMBLE))
    if not book.plan.halved:
        return
    for sheet in book.plan.sheets:
        assert set(sheet.front.placements) == set(sheet.back.placements)
        assert sheet.front.own_marks == sheet.back.own_marks
        assert sheet.front.marks == sheet.back.marks
    one, other = (half_plan(book.plan, copy) for copy in (1, 2))
    for first, second in zip(one.sheets, other.sheets, strict=True):
        assert first.size == second.size
        assert set(first.front.placements) == set(second.front.placements)
        assert set(first.back.placements) == set(second.back.placements)
        assert set(first.lines) == set(second.lines)
        assert set(first.creep_lines) == set(second.creep_lines)


@law
def two_copies_bound_as_one_keep_both_allowances_at_the_cut_between(book: Book) -> None:
    """Each page ends its own allowance from the cut; beside the first copy lies the page that a
    reader who comes from the other end sees there."""
    plan, asked = book.plan, book.asked
    guts = asked.job.guts
    assert plan.two_up == (guts.two_up.value if guts.two_up else "")
    if guts.two_up is None:
        return
    folded = plan.scheme != "leaves"
    said = (guts.head_allowance, guts.foot_allowance)
    off = allowance(book, None) if guts.trim_off is None else guts.trim_off
    head, foot = (off if one is None or not folded else one for one in said)
    for sheet, name, side in distinct_sides(plan):
        cuts = [line for line in lines_on(sheet, name, LineKind.CUT) if line.of == COPIES]
        for one, two in zip(side.placements[::2], side.placements[1::2], strict=True):
            turned = guts.two_up is not TwoUp.SAME_WAY
            assert (one.upside_down != two.upside_down) == turned
            assert two.position == (plan.faces + 1 - one.position if turned else one.position)
            assert one.spine_at is two.spine_at
            below, above = sorted((one, two), key=lambda p: p.trim.y0.grains)
            inner = [foot if p.upside_down != (p is above) else head for p in (below, above)]
            wanted = {
                TwoUp.HEADS: [head, head],
                TwoUp.FEET: [foot, foot],
                TwoUp.SAME_WAY: inner,
            }[guts.two_up]
            at = below.trim.y1 + wanted[0]
            assert above.trim.y0 == at + wanted[1]
            assert any(cut.y0 == at and cut.x0 <= one.trim.x0 < cut.x1 for cut in cuts)


@law
def both_passes_register_on_the_same_gripper_and_lay(book: Book) -> None:
    """The paper is turned over in the hand: the edge at the side lay is the same edge of the
    paper in both passes, and the gripper edge too where it is to stay."""
    press, work = book.plan.press, book.asked.job.guts.work
    if press is None:
        return
    front, back = press.passes
    for sheet in book.plan.sheets:
        if sheet.size != book.plan.sheets[0].size:
            continue
        for one, edge, paper in (
            (front, front.gripper, front.paper_gripper),
            (back, back.gripper, back.paper_gripper),
            (front, front.lay, front.paper_lay),
            (back, back.lay, back.paper_lay),
        ):
            if edge is None or paper is None:
                continue
            x, y = middle_of(edge, sheet.size)
            if one is back:
                x, y = sheet.turned.point(x, y, sheet.size)
            assert paper in edges_at(x, y, sheet.size)
    assert front.paper_lay is back.paper_lay
    if work is not None:
        assert (front.paper_gripper is back.paper_gripper) == work.keeps_gripper


def middle_of(edge: Edge, size: Size) -> tuple[Length, Length]:
    x = {Edge.LEFT: ZERO, Edge.RIGHT: size.width}.get(edge, size.width.half)
    y = {Edge.BOTTOM: ZERO, Edge.TOP: size.height}.get(edge, size.height.half)
    return x, y


def edges_at(x: Length, y: Length, size: Size) -> set[Edge]:
    places = {Edge.LEFT: x == ZERO, Edge.RIGHT: x == size.width}
    places |= {Edge.BOTTOM: y == ZERO, Edge.TOP: y == size.height}
    return {edge for edge, there in places.items() if there}


@law_of_a_copy
def one_leaf_a_sheet_has_its_spine_on_the_binding_edge(book: Book) -> None:
    guts = book.asked.job.guts
    if book.plan.scheme != "leaves" or guts.up != 1 or guts.centred:
        return
    for sheet, _, side in all_sides(book.plan):
        (p,) = side.placements
        edge = p.trim.x0 if p.spine_at is Edge.LEFT else sheet.size.width - p.trim.x1
        assert edge == book.asked.grind


# -- creep -------------------------------------------------------------------------------


@law_of_a_copy
def shifts_grow_from_outside_to_inside_and_never_exceed_the_total(book: Book) -> None:
    plan, job = book.plan, book.asked.job
    by_leaf = {p.leaf: p.shift for p in placements(plan)}
    assert all(ZERO <= shift <= plan.creep.total for shift in by_leaf.values())
    if plan.scheme == "leaves":
        assert not plan.creep.total
        return
    assert max(by_leaf.values()) == plan.creep.total
    by_depth: dict[int, set[Length]] = defaultdict(set)
    for leaves in sections(plan):
        shifts = [by_leaf[leaf] for leaf in leaves]
        assert shifts == shifts[::-1]
        half = shifts[: len(shifts) // 2]
        assert half == sorted(half, key=lambda n: n.grains)
        for depth, shift in enumerate(half):
            by_depth[depth].add(shift)
    # the same depth lies inside the same paper, in whatever section
    assert all(len(shifts) == 1 for shifts in by_depth.values())
    if job.guts.creep_total is None:
        cover = job.cover.stock if job.cover and job.binding is Binding.SADDLE else None
        outside = cover.caliper if cover else ZERO
        caliper = job.guts.stock.caliper
        assert all(shifts == {outside + caliper * depth} for depth, shifts in by_depth.items())


def sections(plan: Plan) -> list[list[int]]:
    """The leaves of each section, in order."""
    sheets = {sheet.number: sheet for sheet in plan.sheets}
    return [
        sorted({p.leaf for number in step.sheets for p in positions(sheets[number])})
        for step in plan.gathering
    ]


@law
def nested_leaves_are_narrower_by_their_shift(book: Book) -> None:
    if book.plan.scheme == "leaves":
        return
    for p in placements(book.plan):
        lost = max(ZERO, p.shift - book.asked.grind)
        assert p.trim.width == book.asked.leaf.width - lost


@law_of_a_copy
def sections_have_whole_leaves_in_order_and_the_short_one_is_not_last(book: Book) -> None:
    if book.plan.scheme != "sections":
        return
    leaves = sections(book.plan)
    assert [leaf for section in leaves for leaf in section] == list(
        range(1, book.plan.faces // 2 + 1)
    )
    full = (book.asked.job.guts.section_pages or 0) // 2
    counts = [len(section) for section in leaves]
    short = [i for i, count in enumerate(counts) if count != full]
    assert all(count <= full for count in counts)
    assert len(short) <= 1
    if len(counts) > 1 and short:
        assert short == [len(counts) - 2]


# -- cuts and folds ----------------------------------------------------------------------


@law_of_a_copy
def every_cut_line_belongs_to_a_cut_and_every_cut_shows(book: Book) -> None:
    plan = book.plan
    ids = [cut.id for cut in plan.cuts]
    shown = {
        line.of
        for sheet in plan.sheets
        for line in (*sheet.lines, *sheet.creep_lines)
        if line.kind is LineKind.CUT
    }
    assert len(ids) == len(set(ids))
    assert shown == set(ids)


@law
def no_cut_crosses_a_trim(book: Book) -> None:
    """Cuts after folding and binding go through the pile: there each line is one page's own."""
    for sheet, name, side in distinct_sides(book.plan):
        for line in lines_on(sheet, name, LineKind.CUT):
            for p in side.placements:
                assert not crosses(line, p.trim), (line, p)


def crosses(line: Line, box: Box) -> bool:
    if line.upright:
        return box.x0 < line.x0 < box.x1 and line.y0 < box.y1 and box.y0 < line.y1
    return box.y0 < line.y0 < box.y1 and line.x0 < box.x1 and box.x0 < line.x1


@law_of_a_copy
def every_trim_edge_is_a_cut_line_or_an_edge_of_the_paper(book: Book) -> None:
    """The spine is bound, but for a centred or a loose leaf, which is cut there too."""
    asked = book.asked
    loose = asked.job.binding is Binding.LOOSE
    for sheet, name, side in distinct_sides(book.plan):
        cuts = lines_on(sheet, name, LineKind.CUT)
        for p in side.placements:
            spine_left = p.spine_at is Edge.LEFT
            upright = [(p.trim.x1 if spine_left else p.trim.x0, sheet.size.width)]
            if loose:
                upright.append((p.trim.x0 if spine_left else p.trim.x1, sheet.size.width))
            for x, width in upright:
                assert x in (ZERO, width) or any(
                    c.upright and c.x0 == x and c.y0 <= p.trim.y0 and p.trim.y1 <= c.y1
                    for c in cuts
                )
            for y in (p.trim.y0, p.trim.y1):
                assert y in (ZERO, sheet.size.height) or any(
                    not c.upright and c.y0 == y and c.x0 <= p.trim.x0 and p.trim.x1 <= c.x1
                    for c in cuts
                )


@law_of_a_copy
def cuts_before_binding_leave_the_grind_and_the_trim_off(book: Book) -> None:
    """Between the knife's lines (or the paper's edges) lies each leaf with what is cut later."""
    asked, plan = book.asked, book.plan
    guts = asked.job.guts
    several = plan.scheme == "leaves" and guts.up != 1 and plan.cuts[:1]
    if not several or guts.centred or plan.two_up or plan.cuts[0].when is not When.BEFORE_BINDING:
        return
    loose = asked.job.binding is Binding.LOOSE
    early = {cut.id for cut in plan.cuts if cut.when is When.BEFORE_BINDING}
    off = ZERO if loose else allowance(book, None) if guts.trim_off is None else guts.trim_off
    for sheet, name, side in distinct_sides(plan):
        lines = [c for c in lines_on(sheet, name, LineKind.CUT) if c.of in early]
        xs = sorted({c.x0.grains for c in lines if c.upright} | {0, sheet.size.width.grains})
        ys = sorted({c.y0.grains for c in lines if not c.upright} | {0, sheet.size.height.grains})
        for p in side.placements:
            around = PageSides(head=off, foot=off, fore_edge=off, spine=asked.grind)
            paper = p.trim.grown(around.edges(p.spine_at, p.upside_down))
            assert paper.x0.grains == max(x for x in xs if x <= p.trim.x0.grains)
            assert paper.x1.grains == min(x for x in xs if x >= p.trim.x1.grains)
            assert paper.y0.grains == max(y for y in ys if y <= p.trim.y0.grains)
            assert paper.y1.grains == min(y for y in ys if y >= p.trim.y1.grains)


@law_of_a_copy
def folds_lie_in_the_middle_of_gaps_and_cross_no_trim(book: Book) -> None:
    plan = book.plan
    assert all(bool(sheet.folds) == (plan.scheme != "leaves") for sheet in plan.sheets)
    for sheet, name, side in distinct_sides(plan):
        for line in lines_on(sheet, name, LineKind.FOLD):
            for p in side.placements:
                assert not crosses(line, p.trim)
                assert not crosses(line, p.clip)
        ids = {fold.id for fold in sheet.folds}
        assert {line.of for line in lines_on(sheet, name, LineKind.FOLD)} == ids


@law_of_a_copy
def between_any_two_columns_or_rows_lies_a_fold(book: Book) -> None:
    """Also where a later fold goes through what an earlier one has laid there."""
    if book.plan.scheme == "leaves" or book.plan.two_up:
        return
    for sheet, name, side in distinct_sides(book.plan):
        lines = lines_on(sheet, name, LineKind.FOLD)
        upright = {line.x0 for line in lines if line.upright}
        across = {line.y0 for line in lines if not line.upright}
        columns, rows = arrangement([unshifted(p, book.asked.leaf) for p in side.placements])
        for spans, places in ((columns, upright), (rows, across)):
            assert len(places) == len(spans) - 1
            for (_, end, _), (start, _, _) in pairwise(spans):
                assert any(end <= place <= start for place in places)


# -- marks -------------------------------------------------------------------------------


def extent(mark: Mark, most_of_a_character: int = 66) -> Box:
    """The box round a mark; words are taken as wider than any typeface sets them."""
    if mark.shape is not Shape.TEXT:
        return Box(
            min(mark.x0, mark.x1),
            min(mark.y0, mark.y1),
            max(mark.x0, mark.x1),
            max(mark.y0, mark.y1),
        )
    run = Length(mark.weight.grains * most_of_a_character * len(mark.text) // 100)
    if mark.turn == 0:
        return Box(mark.x0, mark.y0, mark.x0 + run, mark.y0 + mark.weight)
    assert mark.turn == 90
    return Box(mark.x0 - mark.weight, mark.y0, mark.x0, mark.y0 + run)


def meets(box: Box, other: Box) -> bool:
    """As `overlaps`, but also for a box without width: a line inside the other."""
    return box.x0 < other.x1 and other.x0 < box.x1 and box.y0 < other.y1 and other.y0 < box.y1


@law
def marks_are_printed_and_stay_out_of_every_page_and_bleed(book: Book) -> None:
    for sheet, name, side in distinct_sides(book.plan):
        area = printable(sheet, book)
        for mark in marks_of(side):
            box = extent(mark)
            if mark.kind == "collation":
                assert name == "front" or sheet.one_forme
                continue
            assert area.contains(box), mark
            for p in side.placements:
                assert not meets(box, p.clip), (mark, p)
                if mark.shape is not Shape.LINE:
                    continue
                # a mark starts clear of bleed, it does not touch it
                if p.clip != p.trim and mark.kind == "crop":
                    assert not touches_bleed(box, p), (mark, p)


def touches_bleed(box: Box, p: Placement) -> bool:
    clip, trim = p.clip, p.trim
    at_end = (
        (box.y0 == clip.y1 != trim.y1 or box.y1 == clip.y0 != trim.y0)
        and clip.x0 < box.x0 < clip.x1
        and box.x0 == box.x1
    )
    at_side = (
        (box.x0 == clip.x1 != trim.x1 or box.x1 == clip.x0 != trim.x0)
        and clip.y0 < box.y0 < clip.y1
        and box.y0 == box.y1
    )
    return at_end or at_side


@law
def patches_are_printed_at_the_tail_and_out_of_every_bleed(book: Book) -> None:
    """In whole sets of the inks, at the edge opposite the gripper."""
    printer, settings = book.asked.job.guts.printer, book.asked.marks
    for sheet, _, side in distinct_sides(book.plan):
        area = printable(sheet, book)
        assert len(side.fills) % (4 * len(settings.tints)) == 0
        if side.fills:
            assert book.plan.press is not None
        leads = printer.leads if printer else LeadingEdge.LONG
        leads_below = (leads is LeadingEdge.LONG) == sheet.size.landscape
        for fill in side.fills:
            assert area.contains(fill.box)
            assert not any(fill.box.overlaps(p.clip) for p in side.placements)
            assert fill.box.y1 == area.y1 if leads_below else fill.box.x1 == area.x1


@law
def marks_of_gripper_and_lay_stand_at_their_edges(book: Book) -> None:
    """On each side at the edges that are there in its pass; on one forme, at those of both."""
    press = book.plan.press
    for sheet, name, side in distinct_sides(book.plan):
        words = [m for m in marks_of(side) if m.shape is Shape.TEXT]
        found = {m.text: nearest_edge(extent(m, 60), sheet.size) for m in words}
        grips = {edge for text, edge in found.items() if text == "GRIPPER"}
        lays = {edge for text, edge in found.items() if text.startswith("SIDE LAY")}
        if press is None or sheet.size != book.plan.sheets[0].size:
            assert press is not None or not (grips or lays)
            continue
        passes = press.passes if sheet.one_forme else press.passes[name == "back" :][:1]
        assert grips <= {one.gripper for one in passes}
        assert lays <= {one.lay for one in passes}
        for m in words:
            if m.text in ("SIDE LAY 1", "SIDE LAY 2"):
                assert found[m.text] is press.passes[int(m.text[-1]) - 1].lay


def nearest_edge(box: Box, size: Size) -> Edge:
    gaps = {Edge.LEFT: box.x0, Edge.BOTTOM: box.y0}
    gaps |= {Edge.RIGHT: size.width - box.x1, Edge.TOP: size.height - box.y1}
    # words that run up stand at an upright edge
    upright = box.height > box.width
    fitting = [e for e in gaps if (e in (Edge.LEFT, Edge.RIGHT)) == upright]
    return min(fitting, key=lambda edge: gaps[edge].grains)


@law
def crop_marks_lie_on_cut_lines_and_fold_marks_on_folds(book: Book) -> None:
    for sheet, name, side in distinct_sides(book.plan):
        places = {
            kind: {(c.upright, c.x0 if c.upright else c.y0) for c in lines_on(sheet, name, lines)}
            for kind, lines in (("crop", LineKind.CUT), ("fold", LineKind.FOLD))
        }
        for mark in marks_of(side):
            if mark.kind in places:
                upright = mark.x0 == mark.x1
                assert upright != (mark.y0 == mark.y1)
                at = mark.x0 if upright else mark.y0
                # an odd grain of the sheet stays at the cut between halves
                slack = GRAIN if sheet.one_forme else ZERO
                near = (there.near(at, slack) for way, there in places[mark.kind] if way == upright)
                assert any(near), mark


@law
def no_two_marks_run_into_each_other(book: Book) -> None:
    """Words and targets are clear of all other marks."""
    for _, _, side in distinct_sides(book.plan):
        marks = marks_of(side)
        words = [extent(m, 60) for m in marks if m.shape is Shape.TEXT and m.kind != "measure"]
        targets = [extent(m) for m in marks if m.shape is Shape.CIRCLE]
        patches = [fill.box for fill in side.fills]
        lays = [m for m in marks if m.kind == "lay" and m.shape is Shape.LINE]
        others = [extent(m) for m in marks if m.kind in ("crop", "fold")]
        others += [extent(m) for m in lays]
        for box in (*words, *targets, *patches):
            assert not any(meets(other, box) for other in others)
        clear = (*words, *targets, *patches)
        for i, box in enumerate(clear):
            assert not any(box.overlaps(other) for other in clear[i + 1 :])


@law
def cut_ends_have_their_mark_wherever_there_is_room(book: Book) -> None:
    """Room is the printable paper outside the bleed, up to the next page."""
    plan, asked = book.plan, book.asked
    if "crop" not in asked.marks.kinds:
        return
    most = most_bleed(plan)
    enough = SHORTEST + asked.marks.weight * 2
    for sheet, name, side in distinct_sides(plan):
        area = printable(sheet, book)
        crops = [extent(mark) for mark in marks_of(side) if mark.kind == "crop"]
        growth = [most.edges(p.spine_at, p.upside_down) for p in side.placements]
        boxes = [p.trim.grown(edges) for p, edges in zip(side.placements, growth, strict=True)]
        # sheets of a layout share marks: what the outermost lacks the room for, none has
        rests = [
            box.join(unshifted(p, asked.leaf)[0].grown(edges))
            for box, p, edges in zip(boxes, side.placements, growth, strict=True)
        ]
        cuts = lines_on(sheet, name, LineKind.CUT)
        for line in cuts:
            for forward in (False, True):
                if continued(line, forward, cuts):
                    continue
                sure, stretch = (free_stretch(line, forward, b, area) for b in (rests, boxes))
                if sure and stretch and sure[1] - sure[0] >= enough:
                    assert any(on_stretch(crop, line, stretch) for crop in crops), (line, forward)


def most_bleed(plan: Plan) -> PageSides:
    bleeds = [p.bleed for p in placements(plan)]
    return PageSides(
        head=max(b.head for b in bleeds),
        foot=max(b.foot for b in bleeds),
        spine=max(b.spine for b in bleeds),
        fore_edge=max(b.fore_edge for b in bleeds),
    )


def ends(line: Line) -> tuple[Length, Length, Length]:
    """Across the line, its lower and its upper end."""
    return (line.x0, line.y0, line.y1) if line.upright else (line.y0, line.x0, line.x1)


def continued(line: Line, forward: bool, cuts: Sequence[Line]) -> bool:
    """Another cut line goes on from this end, or lies over it."""
    at, low, high = ends(line)
    end = high if forward else low
    for other in cuts:
        if other.upright == line.upright:
            there, begin, stop = ends(other)
            if there == at and begin <= end <= stop and (stop > end if forward else begin < end):
                return True
    return False


def free_stretch(
    line: Line, forward: bool, boxes: Sequence[Box], area: Box
) -> tuple[Length, Length] | None:
    """Between the bleed that this end lies in and the next page or the end of the printing."""
    at, low, high = ends(line)
    sign = 1 if forward else -1
    edge = (high if forward else low) * sign
    limits = (area.y0, area.y1) if line.upright else (area.x0, area.x1)
    bounds = (area.x0, area.x1) if line.upright else (area.y0, area.y1)
    if not bounds[0] <= at <= bounds[1]:
        return None
    start, stop = edge, max(limit * sign for limit in limits)
    for box in boxes:
        across, along = ((box.x0, box.x1), (box.y0, box.y1))
        if not line.upright:
            across, along = along, across
        if across[0] <= at <= across[1]:
            near, far = sorted((n * sign for n in along), key=lambda n: n.grains)
            if near <= edge <= far:
                start = max(start, far)
            elif near > edge:
                stop = min(stop, near)
    return (start, stop) if forward else (-stop, -start)


def on_stretch(crop: Box, line: Line, stretch: tuple[Length, Length]) -> bool:
    at, _, _ = ends(line)
    across, along = ((crop.x0, crop.x1), (crop.y0, crop.y1))
    if not line.upright:
        across, along = along, across
    on_line = all(x.near(at, GRAIN) for x in across)  # between halves an odd grain is left
    return on_line and stretch[0] <= along[0] and along[1] <= stretch[1]


@law
def registration_marks_of_both_sides_lie_on_each_other(book: Book) -> None:
    for sheet in book.plan.sheets:
        front, back = (
            {placed(extent(mark)) for mark in marks_of(side) if mark.kind == "registration"}
            for _, side in sheet.sides
        )
        turned = {placed(sheet.turned.over(Box(*box), sheet.size)) for box in back}
        assert front == turned


@law
def collation_marks_straddle_the_outermost_fold_of_each_section(book: Book) -> None:
    if book.plan.scheme != "sections" or len(book.plan.gathering) < 2:
        return
    sheets = {sheet.number: sheet for sheet in book.plan.sheets}
    tops = []
    for step in book.plan.gathering:
        sheet = sheets[step.sheets[0]]
        mark, *others = [m for m in marks_of(sheet.front) if m.kind == "collation"]
        assert not others
        box = extent(mark)
        folds = [line.x0 for line in lines_on(sheet, "front", LineKind.FOLD) if line.upright]
        assert any((box.x0 + box.x1).half.near(fold, GRAIN) for fold in folds)
        inside = [p.trim for p in sheet.front.placements]
        assert any(trim.y0 <= box.y0 and box.y1 <= trim.y1 for trim in inside)
        tops.append(min(trim.y1 - box.y1 for trim in inside if trim.y0 <= box.y0 < trim.y1))
    assert all(a != b for a, b in pairwise(tops))


# -- the plan as a value -----------------------------------------------------------------


def to_text_and_back_is_the_identity(book: Book) -> None:
    assert from_text(to_text(book.plan)) == book.plan


def the_same_job_twice_gives_the_same_plan(book: Book) -> None:
    again = book.asked.planned()
    assert again == book.plan
    assert to_text(again) == to_text(book.plan)


VALUE_LAWS += [to_text_and_back_is_the_identity, the_same_job_twice_gives_the_same_plan]


# -- small laws of their own -------------------------------------------------------------


@settings(deadline=None)
@given(st.data())
def test_a_longer_book_never_has_fewer_sheets(data: st.DataObject) -> None:
    book = data.draw(SCHEMES["saddle"])
    if book is None:
        return
    more = Asked(
        book.asked.job,
        book.asked.trim,
        (*book.asked.faces, *[None] * 4),
        book.asked.supplied,
    )
    assert len(more.planned().sheets) >= len(book.plan.sheets)
