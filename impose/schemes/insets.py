"""Leaves that are put into the book: which they are, their sheets, their places.

They are cut to the same paper beyond head and foot as the guts, so that all is
jogged to the same lay; at the spine they reach as far as the grind.  What ends
inside the fore-edge's knife (fold-outs, narrow leaves, folds of French-folded
ones) is cut to its own width before binding, all others with the book.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from impose.geometry.box import Size
from impose.model.job import Job, Order
from impose.model.leafkinds import LeafKind, LeafWish
from impose.plan.insetfacts import Inset
from impose.plan.insets import INSET, id_in_group, role_of
from impose.plan.parts import Cut, Gather, Line, Sheet, Side, When
from impose.plan.plan import Plan
from impose.schemes.draft import Asked
from impose.schemes.frenchfold import plan_french
from impose.schemes.gutspaper import gathered_block
from impose.schemes.insetpages import Run, in_words
from impose.schemes.insetsheets import Made, flat_leaves


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """All leaves of one kind, stock and size; `faces` two for each leaf."""

    number: int
    wish: LeafWish
    size: Size
    runs: tuple[Run, ...]

    @property
    def faces(self) -> tuple[int | None, ...]:
        return tuple(face for run in self.runs for face in run.faces)


def add_insets(plan: Plan, asked: Asked, runs: Sequence[Run], sizes: dict[int, Size]) -> Plan:
    """The plan of the guts with the leaves of `runs` put in.

    `asked` is what the guts were planned from, `sizes` the size of each page of
    its own width.  Raises JobError when no sheet takes a leaf, or its folds
    have no room.
    """
    if not runs:
        return plan
    groups = _groups(plan, runs, sizes)
    plan = _moved(plan, runs)
    for group in groups:
        plan = _add(plan, asked, group)
    return replace(plan, gathering=_in_order(plan.gathering))


def _groups(plan: Plan, runs: Sequence[Run], sizes: dict[int, Size]) -> list[_Group]:
    found: dict[tuple[LeafWish, Size], list[Run]] = {}
    for run in runs:
        for one in _by_size(run, plan.trim, sizes):
            found.setdefault((run.wish, one[0]), []).append(one[1])
    return [
        _Group(number=number, wish=wish, size=size, runs=tuple(group))
        for number, ((wish, size), group) in enumerate(found.items(), start=1)
    ]


def _by_size(run: Run, trim: Size, sizes: dict[int, Size]) -> list[tuple[Size, Run]]:
    """The run parted where the size of its leaves changes."""
    parts: list[tuple[Size, Run]] = []
    for index in range(0, len(run.faces), 2):
        leaf = run.faces[index : index + 2]
        size = next((sizes[page] for page in leaf if page is not None and page in sizes), trim)
        if parts and parts[-1][0] == size:
            before = parts[-1][1]
            parts[-1] = (size, replace(before, faces=(*before.faces, *leaf)))
        else:
            parts.append((size, replace(run, faces=leaf, after=run.after + index)))
    return parts


def _moved(plan: Plan, runs: Sequence[Run]) -> Plan:
    """Positions of the guts with the pages of the insets counted in."""
    places = sorted((run.before, len(run.faces)) for run in runs)

    def moved(position: int) -> int:
        return position + sum(count for before, count in places if before < position)

    def side(one: Side) -> Side:
        placed = []
        for placement in one.placements:
            at = moved(placement.position)
            placed.append(replace(placement, position=at, leaf=(at + 1) // 2))
        return replace(one, placements=tuple(placed))

    sheets = tuple(
        replace(sheet, front=side(sheet.front), back=side(sheet.back)) for sheet in plan.sheets
    )
    return replace(plan, sheets=sheets, faces=plan.faces + sum(count for _, count in places))


def _in_order(steps: Sequence[Gather]) -> tuple[Gather, ...]:
    """Insets last, in reading order."""
    guts = [step for step in steps if step.kind != INSET]
    put_in = sorted((step for step in steps if step.kind == INSET), key=lambda step: step.after)
    return (*guts, *put_in)


# -- one group -------------------------------------------------------------------------------


def _add(plan: Plan, asked: Asked, group: _Group) -> Plan:
    """With the sheets, cuts, gathering steps and facts of the group."""
    block = gathered_block(plan).paper
    margins = block.y1 - asked.leaf.height, -block.y0
    part = replace(
        asked,
        job=_job_of(asked.job, group.wish),
        trim=group.size,
        faces=group.faces,
        margins=margins,
    )
    made = (
        _french(part) if group.wish.kind is LeafKind.FRENCH else flat_leaves(part, plan, group.wish)
    )
    positions = [run.after + index + 1 for run in group.runs for index in range(len(run.faces))]
    sheets = _named(made.sheets, group.number, positions, _own_cuts(made.cuts))
    facts = Inset(
        number=group.number,
        kind=group.wish.kind,
        size=group.size,
        stock=group.wish.stock.name if group.wish.stock else "",
        caliper=part.job.guts.stock.caliper,
        folds=made.folds,
        places=tuple((run.after, len(run.faces) // 2) for run in group.runs),
    )
    known = {cut.id for cut in plan.cuts}
    own = tuple(replace(cut, id=id_in_group(cut.id, group.number)) for cut in _own_cuts(made.cuts))
    shared = tuple(c for c in made.cuts if c.when is When.AFTER_BINDING and c.id not in known)
    gathering = tuple(
        Gather(INSET, (number,), cell, group.number, positions[2 * leaf] - 1)
        for leaf, (number, cell) in enumerate(made.order)
    )
    return replace(
        plan,
        sheets=(*plan.sheets, *sheets),
        cuts=(*plan.cuts, *own, *shared),
        gathering=(*plan.gathering, *gathering),
        insets=(*plan.insets, facts),
        findings=(*plan.findings, *in_words(facts, plan)),
    )


def _job_of(job: Job, wish: LeafWish) -> Job:
    guts = replace(
        job.guts,
        stock=wish.stock or job.guts.stock,
        sheets=wish.sheets or job.guts.sheets,
        up=None,
        order=Order.CUT_AND_STACK,
        french_fold=wish.kind is LeafKind.FRENCH,
    )
    return replace(job, guts=guts)


def _own_cuts(cuts: Sequence[Cut]) -> tuple[Cut, ...]:
    return tuple(cut for cut in cuts if cut.when is not When.AFTER_BINDING)


def _named(
    sheets: Sequence[Sheet], number: int, positions: Sequence[int], own: Sequence[Cut]
) -> tuple[Sheet, ...]:
    """With the group's role, cut ids and positions in the whole book."""
    ids = {cut.id for cut in own}
    known: dict[int, tuple[Line, ...]] = {}

    def lines(of: tuple[Line, ...]) -> tuple[Line, ...]:
        if id(of) not in known:
            known[id(of)] = tuple(
                replace(line, of=id_in_group(line.of, number)) if line.of in ids else line
                for line in of
            )
        return known[id(of)]

    def side(one: Side) -> Side:
        placed = []
        for placement in one.placements:
            at = positions[placement.position - 1]
            placed.append(replace(placement, position=at, leaf=(at + 1) // 2))
        return replace(one, placements=tuple(placed))

    return tuple(
        replace(
            sheet,
            role=role_of(number),
            lines=lines(sheet.lines),
            front=side(sheet.front),
            back=side(sheet.back),
        )
        for sheet in sheets
    )


def _french(part: Asked) -> Made:
    draft = plan_french(part)
    order = [(number, step.cell or 0) for step in draft.gathering for number in step.sheets]
    return Made(sheets=draft.sheets, cuts=draft.cuts, order=tuple(order))
