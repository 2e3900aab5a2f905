"""The press in the plan: how the sheets are printed, counted, and what the press cannot do."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Box, Size, box_inside
from impose.geometry.sides import Edge
from impose.model.job import Job
from impose.model.machines import Printer
from impose.model.presswork import Work, edge_over, held_in, lead_across, work_on
from impose.plan.parts import Sheet, Side
from impose.plan.plan import ONE_SIDED
from impose.plan.pressfacts import Pass, PressFacts
from impose.schemes.draft import Asked, Draft, refuse
from impose.schemes.halves import joined
from impose.units import ZERO


def printed_draft(asked: Asked, draft_of: Callable[[Asked], Draft]) -> Draft:
    """The draft on whole sheets as they are printed.  Raises what `draft_of` raises."""
    return as_printed(asked, laid_draft(asked, draft_of))


def laid_draft(asked: Asked, draft_of: Callable[[Asked], Draft]) -> Draft:
    """The draft as it is laid out: on halves where one forme prints both sides.

    Paper that the press keeps for its colour bar is given up where there is no
    other room, and that is said.  Raises what `draft_of` raises.
    """
    guts = asked.job.guts
    try:
        draft = draft_of(asked)
    except JobError as error:
        printer = guts.printer
        if printer is None or not printer.bar or _codes(error) != {"sheet-too-small"}:
            raise
        bare = replace(guts, printer=replace(printer, bar=ZERO))
        draft = draft_of(replace(asked, job=replace(asked.job, guts=bare)))
        draft = replace(draft, findings=(*draft.findings, _no_bar(asked.job, printer)))
    return draft


def as_printed(asked: Asked, draft: Draft) -> Draft:
    """The same on whole sheets."""
    guts = asked.job.guts
    if guts.work is None:
        return draft
    if guts.work.one_forme:
        return joined(draft, guts.work, guts.sheets, asked.job.bound_at.mirrored)
    sheets = tuple(replace(sheet, work=guts.work.value) for sheet in draft.sheets)
    return replace(draft, sheets=sheets)


def refuse_with_insets(job: Job) -> None:
    """Raises JobError for ways of printing that give several copies, with leaves put in."""
    guts = job.guts
    if guts.work is not None and guts.work.one_forme:
        said = f"work is {guts.work.value}"
    elif guts.two_up is not None:
        said = f"two_up is {guts.two_up.value}"
    else:
        return
    raise refuse(
        "insets-copies",
        f"{said}, and some leaves are put in from sheets of their own, one copy a sheet",
        "print the leaves that are put in by a job of their own, or leave the other out",
    )


def _codes(error: JobError) -> set[str]:
    return {fault.code for fault in error.faults}


def _no_bar(job: Job, printer: Printer) -> Finding:
    bar = printer.bar.text(job.unit)
    return Finding.note(
        "bar-no-room",
        f"{printer.name} keeps {bar} of the tail for its colour bar; the pages need it, and the "
        "bar may be left out",
        hint="a larger sheet has room for it",
        bar=bar,
    )


def work_of(sheet: Sheet, job: Job) -> Work | None:
    """As the job says; else what the press does that turns the sheet this way.  None for a
    printer without plates of which nothing is said."""
    return work_on(job.guts.work, job.guts.printer, sheet.size, sheet.turned)


def printable(sheet: Sheet, job: Job) -> Box:
    """What can be printed of either side, as that side lies: without the printer's margins, and
    without the gripper's at the tail, too, where both sides are printed in one pass."""
    whole, printer = Box(ZERO, ZERO, sheet.size.width, sheet.size.height), job.guts.printer
    if printer is None:
        return whole
    return box_inside(whole, held_in(work_of(sheet, job), printer).margins(sheet.size))


def passes_of(sheet: Sheet, job: Job) -> tuple[Pass, ...]:
    """Which edges lie at the grippers and at the side lay, pass by pass.

    The leading edge lies at the bottom, or at the left, of either side in the
    file.  The side lay stays at the same edge of the paper, so that both sides
    register from it: where that edge comes to the other side of the press, the
    press works with its other side guide.
    """
    printer, turned = job.guts.printer, sheet.turned
    across = lead_across(printer, sheet.size)
    gripper = Edge.BOTTOM if across else Edge.LEFT
    lay = side_lay(printer, across)
    back_lay = edge_over(lay, turned) if lay else None
    return (
        Pass(
            number=1, side="front", gripper=gripper, paper_gripper=gripper, lay=lay, paper_lay=lay
        ),
        Pass(
            number=2,
            side="back",
            gripper=gripper,
            paper_gripper=edge_over(gripper, turned),
            lay=back_lay,
            paper_lay=lay,
        ),
    )


def side_lay(printer: Printer | None, across: bool) -> Edge | None:
    """The edge of the front at the side lay; `across`: the leading edge lies at the bottom."""
    if printer is None or not printer.side_lay:
        return None
    edge = Edge(printer.side_lay)
    return edge if across else edge.turned(-90)


def press_facts(job: Job, draft: Draft) -> PressFacts | None:
    """None where neither a press nor a way of printing the back is named."""
    if not draft.sheets:
        return None
    first = draft.sheets[0]
    work = work_of(first, job)
    if work is None or job.guts.french_fold:
        return None
    formes = 1 if first.one_forme or draft.scheme in ONE_SIDED else 2
    per = 1 if draft.items else copies_on(draft.sheets, draft.faces)  # items have runs of their own
    times = 1 if draft.items else -(-job.copies // per)
    return PressFacts(
        name=job.guts.printer.name if job.guts.printer else "a press that is not named",
        work=work.value,
        passes=passes_of(first, job),
        formes=formes * len(draft.sheets),
        copies=per,
        sheets=sum(sheet.copies for sheet in draft.sheets) * times,
        overs=len(draft.sheets) * job.guts.overs,
    )


def copies_on(sheets: Sequence[Sheet], faces: int) -> int:
    """Copies of the book out of one set of sheets: its pages are on them that often."""
    placed = sum(len(side.placements) for sheet in sheets for _, side in sheet.sides)
    return max(1, placed // faces)


def other_copies(job: Job) -> tuple[str, ...]:
    """The proofs of the copies after the first that every set of sheets gives."""
    work, two_up = job.guts.work, job.guts.two_up
    per = (2 if work is not None and work.one_forme else 1) * (1 if two_up is None else 2)
    return tuple(f"proof-copy-{copy}.pdf" for copy in range(2, per + 1))


def press_findings(job: Job, draft: Draft, per: int) -> Iterator[Finding]:
    """What the press cannot do, with both numbers, and what must be known at it; `per` copies
    come out of one set of sheets."""
    printer, work = job.guts.printer, job.guts.work
    if not draft.sheets:
        return
    first = draft.sheets[0]
    if printer is not None and printer.image_max is not None:
        yield from _image(job, printer, first)
    if work is None:
        return
    if printer is None:
        yield Finding.note(
            "gripper-assumed",
            f"{work.value} without a press: the long edge is taken to go first, and no gripper "
            "margin is kept",
            hint="name the press: printer in [guts], with its gripper and side lay",
        )
    if work is Work.PERFECTING and (printer is None or not printer.perfects):
        name = printer.name if printer else "the press"
        yield Finding.warning(
            "press-perfecting",
            f"perfecting is asked for, and {name} is not said to print both sides in one pass",
            hint="choose sheetwise, or say perfects = true in the press's profile",
        )
    if work in (Work.TUMBLE, Work.PERFECTING):
        yield Finding.note(
            "paper-squared",
            f"{work.value}: the tail of the first side is the gripper edge of the second, so "
            "sheets of different lengths do not register",
            hint="have the paper cut square and to one length before it is printed",
        )
    if work.one_forme and job.copies % per:
        made = -(-job.copies // per) * per
        yield Finding.note(
            "copies-made",
            f"each set of sheets gives {per} copies: {made} are made, {job.copies} asked for",
            asked=job.copies,
            made=made,
        )


def _image(job: Job, printer: Printer, sheet: Sheet) -> Iterator[Finding]:
    """The box round all that the pages of a side may ink, against the largest image: each side
    is an image of its own."""
    assert printer.image_max is not None
    along, away = printer.image(printer.image_max)
    most = Size(along, away) if lead_across(printer, sheet.size) else Size(away, along)
    for name, side in sheet.sides[:1] if sheet.one_forme else sheet.sides:
        size = _inked(side, sheet.size)
        if size.width <= most.width and size.height <= most.height:
            continue
        has, limit = size.text(job.unit), most.text(job.unit)
        where = "sheet" if sheet.one_forme else f"{name} of the sheet"
        yield Finding.error(
            "image-too-large",
            f"the pages with their bleed are {has} as they lie on the {where}; the largest image "
            f"of {printer.name} is {limit} that way round",
            hint="put fewer pages on a side, use a smaller bleed, or another press",
            has=has,
            limit=limit,
        )
        return


def _inked(side: Side, sheet: Size) -> Size:
    """The box round all that the pages of one side may ink."""
    clips = [placement.clip for placement in side.placements]
    if not clips:
        return Size(ZERO, ZERO)
    around = clips[0]
    for clip in clips[1:]:
        around = around.join(clip)
    return around.meet(Box(ZERO, ZERO, sheet.width, sheet.height)).size
