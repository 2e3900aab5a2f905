"""The ticket's rows about book, cover, scores and last cuts, as words.

The job's unit first, the other beside it.  A figure that a ruler cannot show
exactly says what its reading is off by.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from impose.findings import page_ranges
from impose.geometry.box import Size
from impose.geometry.sides import BoundAt
from impose.geometry.turning import Flip
from impose.model.job import Job
from impose.model.papernames import paper_name, paper_words
from impose.model.stock import Stock
from impose.plan.coverfacts import CoverFacts, SpineFacts
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.insetfacts import Inset
from impose.plan.insets import file_name
from impose.plan.parts import COPIES, Sheet, When
from impose.plan.plan import FLAT, Plan
from impose.plan.scoresteps import ScoreKind, ScoreStep
from impose.reports.flat_rows import flat_sheets, flip_words, item_rows, runs_words
from impose.reports.panel_rows import panel_rows
from impose.reports.press_rows import press_rows, two_up_words
from impose.schemes.gutspaper import blocks_of, guts_paper
from impose.schemes.halves import half_plan
from impose.schemes.insetpages import inset_name
from impose.schemes.pressroom import copies_on
from impose.schemes.sheetstocks import other_stocks
from impose.units import Length, both_units, reading_text, total


@dataclass(frozen=True, slots=True)
class Row:
    """A label and what stands behind it."""

    label: str
    words: str


@dataclass(frozen=True, slots=True)
class ScoreRow:
    """A line of the score list, and the move before it.

    `reading` is what to set on the ruler, `exact` the figure in both units, `off`
    what the reading is off by (empty when it is exact).
    """

    number: str
    title: str
    face_up: str
    at_stop: str
    reading: str
    exact: str
    off: str
    folds: str
    turn: str
    note: str


def ruler_words(length: Length, unit: str) -> str:
    """`8 13/16 in (223.838 mm)`; where the ruler is off, the exact figure stands beside."""
    reading, exact = reading_text(length, unit), both_units(length, unit)
    if " (" in reading:
        return f"{exact}, ruler {reading}"
    other = "in" if unit == "mm" else "mm"
    return f"{reading} ({length.text(other)})"


def short_words(length: Length, unit: str) -> str:
    """The ruler reading where it is exact, else the exact figure."""
    reading = reading_text(length, unit)
    return length.text(unit) if " (" in reading else reading


def size_words(size: Size, unit: str) -> str:
    """Both measures, both units."""
    return f"{size.text(unit)} ({size.text('in' if unit == 'mm' else 'mm')})"


def paper_size(job: Job, size: Size, unit: str) -> str:
    """A sheet's size with the name of the paper, where it has one."""
    return paper_words(paper_name(job, size), size_words(size, unit))


def book_rows(plan: Plan, job: Job, spine: SpineFacts | None) -> Iterator[Row]:
    """Format, leaves, paper and binding of the guts."""
    if plan.flat:
        yield from _flat_rows(plan, job)
        return
    unit = plan.unit
    sheets = [sheet for sheet in plan.sheets if sheet.role == "guts"]
    leaves = plan.faces // 2
    leaves_words = "" if plan.panelled else f", {leaves} leaves"
    yield Row("Pages" if plan.panelled else "Pages, leaves", f"{plan.faces} pages{leaves_words}")
    if job.extra_leaves:
        yield Row(
            "Bound in besides",
            f"{job.extra_leaves} leaves (end papers, plates), counted in the spine",
        )
    if plan.french:
        yield Row(
            "French fold",
            f"every leaf is printed on one face and folded at the fore-edge, the print outside; "
            f"jogged to the folds, cut at the spine side to "
            f"{both_units(plan.leaf.width + plan.grind, unit)} from the fold; the folds are "
            "never cut",
        )
    bound = {BoundAt.LEFT: "left", BoundAt.RIGHT: "right", BoundAt.HEAD: "head"}[plan.bound_at]
    held = "reads from the" if plan.panelled else "bound at the"
    yield Row("Binding", f"{plan.binding}, {held} {bound}")
    for label, words in panel_rows(plan):
        yield Row(label, words)
    yield Row("Guts stock", _stock_words(job.guts.stock, unit))
    first = sheets[0]
    turned = f"turned over on the {Flip.that_gives(first.turned, first.size).value}"
    if job.guts.one_side:
        turned = "printed one side at a time"
    yield Row(
        "Guts sheets",
        f"{len(sheets)} for {_copies_of(sheets, plan)}, {paper_size(job, first.size, unit)}, "
        + ("printed on one side" if plan.one_sided("guts") else turned),
    )
    for label, words in press_rows(plan):
        yield Row(label, words)
    if plan.press is None and plan.two_up:
        yield Row("Two copies", two_up_words(plan))
    for name, (count, caliper) in other_stocks(plan).items():
        numbers = [sheet.number for sheet in sheets if sheet.stock == name]
        yield Row(
            "Other stock",
            f"{'sheet' if len(numbers) == 1 else 'sheets'} {page_ranges(numbers)} on {name}, "
            f"caliper {both_units(caliper, unit)}: {count} leaves",
        )
    for inset in plan.insets:
        yield _inset_row(inset, plan)
    if not job.binding.unbound:
        yield Row("Guts untrimmed", _untrimmed(plan))
    if plan.creep.total:
        per = plan.creep.per_level.text(unit)
        yield Row(
            "Creep",
            f"{both_units(plan.creep.total, unit)} at the innermost leaf, {per} a leaf "
            f"({plan.creep.source})",
        )
    if plan.grind:
        yield Row(
            "Grind",
            f"{both_units(plan.grind, unit)}: fore-edge gauge {plan.leaf.width.text(unit)} from "
            f"the ground spine, its mark {(plan.leaf.width + plan.grind).text(unit)} from the "
            "unground edge",
        )
    if plan.cover is None and spine is not None and spine.width:
        yield Row("Guts thick", f"{ruler_words(spine.width, unit)}: {spine.source}")


def _untrimmed(plan: Plan) -> str:
    """The guts as they are gathered: two copies bound as one together, then each by itself."""
    unit = plan.unit
    if not plan.two_up:
        paper = guts_paper(plan) if plan.cover is None else plan.cover.guts
        return size_words(
            Size(
                paper.spine + plan.leaf.width + paper.fore_edge,
                paper.head + plan.leaf.height + paper.foot,
            ),
            unit,
        )
    copies = [block.paper.size for block in blocks_of(half_plan(plan))]
    width = max(size.width for size in copies)
    whole = size_words(Size(width, total(size.height for size in copies)), unit)
    heights = [size.height.text(unit) for size in copies]
    apart = " and ".join(dict.fromkeys(heights))
    return f"{whole}, two copies as one; apart {apart}{' each' if heights[0] == apart else ''} high"


def _inset_row(inset: Inset, plan: Plan) -> Row:
    """`a fold-out, 400 x 210 mm, after page 20; on ...; folds at ...`."""
    unit = plan.unit
    places = ", ".join(
        (f"after page {after}" if after else "before page 1")
        + (f" ({leaves} leaves)" if leaves > 1 else "")
        for after, leaves in inset.places
    )
    words = [f"{inset_name(inset)}, {size_words(inset.size, unit)}, {places}"]
    if inset.stock:
        words.append(f"on {inset.stock}, caliper {both_units(inset.caliper, unit)}")
    if inset.folds:
        folds = ", ".join(both_units(fold + plan.grind, unit) for fold in inset.folds)
        words.append(f"folded at {folds} from the paper's edge at the spine")
    words.append(f"printed from {file_name(inset.number)}")
    return Row(f"Inset {inset.number}", "; ".join(words))


def _copies_of(sheets: Sequence[Sheet], plan: Plan) -> str:
    """What one set of sheets gives."""
    per = copies_on(sheets, plan.faces)
    return "a copy" if per == 1 else f"{per} copies"


def _flat_rows(plan: Plan, job: Job) -> Iterator[Row]:
    """Paper, prints and items of flat work."""
    first = flat_sheets(plan)[0]
    yield Row("Stock", _stock_words(job.guts.stock, plan.unit))
    size = paper_size(job, first.size, plan.unit)
    yield Row("Sheets", f"{size}, printed {flip_words(plan)}")
    overs = f", and {job.guts.overs} more of each for spoilage" if job.guts.overs else ""
    yield Row("Print", f"{runs_words(plan)}{overs}")
    for label, words in press_rows(plan):
        yield Row(label, words)
    for row in item_rows(plan):
        over = f", {row.over} over" if row.over != "0" else ""
        yield Row(
            f"{row.number} {row.title}",
            f"{row.amount} wanted, {row.made} made{over}: {row.size}, {row.sides}; {row.where}, "
            f"pile{'s' if not row.piles.isdecimal() else ''} {row.piles}",
        )


def cover_rows(cover: CoverFacts, unit: str, name: str = "") -> Iterator[Row]:
    """Paper and place of the cover; `name`: what its paper is called."""
    stock = cover.stock
    grain = {
        True: "grain along the spine",
        False: "GRAIN ACROSS THE SPINE",
        None: "grain not known",
    }[stock.along]
    sure = ", an estimate" if stock.estimated else ""
    caliper = both_units(stock.caliper, unit)
    yield Row("Cover stock", f"{stock.name}, caliper {caliper}{sure}; {grain}")
    yield from _sheet_rows(cover, unit, name)
    yield Row("Open cover", size_words(cover.trim.size, unit))
    if cover.hinge:
        yield Row("Hinge", ruler_words(cover.hinge, unit))
    for name, flap in (("Front flap", cover.flap_front), ("Back flap", cover.flap_back)):
        if flap:
            yield Row(name, ruler_words(flap, unit))
    if cover.spine.width:
        yield Row("Spine from", cover.spine.source)
        if not cover.spine.allowance:
            yield Row("Allowance for cover, glue", "none")
        reading = reading_text(cover.spine.width, unit)
        if " (" in reading:
            yield Row("Spine on the ruler", reading)
        yield _place_row(cover, unit)
        band = cover.spine.width + cover.glue_strip * 2
        yield Row("Glue band inside, no ink", both_units(band, unit))
    else:
        yield Row("Fold", cover.why_scored)
        if cover.guts_down:
            yield _place_row(cover, unit)
    if cover.channel is not None:
        yield Row("Channel", f"{both_units(cover.channel, unit)} = {cover.channel_rule}")


def _sheet_rows(cover: CoverFacts, unit: str, name: str) -> Iterator[Row]:
    """The paper of one cover (`name`: what it is called), and the sheets that several are
    printed on."""
    size, pieces = size_words(cover.paper, unit), cover.pieces
    if pieces is None:
        yield Row("Cover sheet", f"{paper_words(name, size)}, stays oversize")
        return
    overs = f", and {pieces.overs} for spoilage" if pieces.overs else ""
    sheets = f"{pieces.sheets} sheet{'' if pieces.sheets == 1 else 's'}"
    yield Row(
        "Cover sheets", f"{pieces.text} on {size_words(pieces.sheet, unit)}: print {sheets}{overs}"
    )
    yield Row("Each cover, cut apart", f"{size}, stays oversize")
    verb = "score" if cover.scored else "fold"
    yield Row("Order", f"cut the covers apart, then {verb}, then bind, then trim")


def _place_row(cover: CoverFacts, unit: str) -> Row:
    """How the guts sit on the cover between head and foot, from the edge that they are laid at."""
    if cover.lay == "foot":
        edge, way, inward = "foot", cover.guts_up, ("above", "BELOW")
    else:
        edge, way, inward = "head", cover.guts_down, ("below", "ABOVE")
    where = inward[0] if way.grains >= 0 else inward[1]
    return Row(f"Guts' {edge}", f"{ruler_words(abs(way), unit)} {where} the cover's")


def _stock_words(stock: Stock, unit: str) -> str:
    """`55 lb cream book, caliper 0.0056 in (0.142 mm); grain long`."""
    sure = f", an estimate, +-{float(stock.spread):.0%}" if stock.estimated else ""
    grain = f"grain {stock.grain.value}" if stock.grain else "grain not known"
    return f"{stock.name}, caliper {both_units(stock.caliper, unit)}{sure}; {grain}"


# -- bench ----------------------------------------------------------------------------------

#: What a row of the score list says of the paper edge at the stop.
_ENDS: Final = {"front": "FRONT at stop", "back": "BACK at stop"}


def score_rows(steps: tuple[ScoreStep, ...], unit: str) -> Iterator[ScoreRow]:
    """The score list; the measuring is not among them."""
    for step in steps:
        if step.kind is ScoreKind.SCORE:
            mark, _, off = step.reading.partition(" (")
            up = "UP" if step.face_up is step.inside_fold else "DOWN"
            yield ScoreRow(
                number=str(step.number),
                title=step.title,
                face_up=f"{step.face_up.value.upper()} up",
                at_stop=_ENDS[step.at_stop.value],
                reading=mark,
                exact=both_units(step.distance, unit),
                off=f"exactly {off.rstrip(')')} than the reading" if off else "",
                folds=f"folds {up}",
                turn=step.turn.value if step.turn else "",
                note=step.note,
            )


def early_cut_rows(plan: Plan) -> Iterator[Row]:
    """What must be cut before the cover goes on: several covers apart, and what cannot be cut
    after, the fore-edges of a cover with flaps."""
    unit, cover = plan.unit, plan.cover
    if cover is not None and cover.pieces is not None:
        yield Row(
            f"FIRST, {cover.before_next}",
            f"cut the covers apart: each {size_words(cover.paper, unit)}",
        )
    if cover is None or not cover.cut_first:
        return
    ends = ruler_words(cover.width, unit)
    yield Row("BEFORE scoring", f"cut the cover's two ends: {ends} from end to end")
    for step in plan.cut_steps:
        if step.when is When.BEFORE_BINDING and "fore-edge" in step.cuts and step.setting:
            gauge = ruler_words(step.setting.gauge, unit)
            yield Row(
                "BEFORE the cover goes on", f"cut the guts' fore-edge: {gauge} from the spine"
            )


def _is_last(plan: Plan, step: CutStep) -> bool:
    """One of the cuts that make the trim: after binding, or before the holes are made."""
    if step.when is When.AFTER_BINDING:
        return True
    first = plan.holes is not None and plan.holes.makes.trim_first
    flaps = plan.cover is not None and plan.cover.cut_first and "fore-edge" in step.cuts
    return first and not flaps and step.table is not None and step.table.piles == ("book",)


def last_cut_rows(plan: Plan) -> Iterator[Row]:
    """The cuts after binding in their order, numbered as in the cut list, each with its gauge."""
    unit = plan.unit
    cuts = [
        step
        for step in plan.cut_steps
        if step.kind is StepKind.CUT and step.setting and _is_last(plan, step)
    ]
    for step in cuts:
        setting = step.setting
        assert setting is not None
        how = "near, the crop mark decides" if setting.on_marks else f"from {setting.reckoned_from}"
        side = step.cuts[0] if step.cuts else step.title
        if plan.two_up and step.table is not None and step.cuts != (COPIES,):
            side += f" of {' and '.join(step.table.piles)}"
        gauge = ruler_words(setting.gauge, unit)
        name = "Last cut" if step.when is When.AFTER_BINDING else "Cut before the holes"
        yield Row(f"{name}, step {step.number}, {side}", f"{gauge}, {how}")
    if cuts:
        return
    sizes = {"head": plan.leaf.height, "foot": plan.leaf.height, "fore-edge": plan.leaf.width}
    for cut in plan.cuts:
        if cut.when is When.AFTER_BINDING and cut.side in sizes:
            left = "leaves" if cut.side == "fore-edge" else "at last"
            size = ruler_words(sizes[cut.side], unit)
            yield Row(f"Last cuts, {cut.side}", f"on the crop mark; {left} {size}")


def measured_rows(plan: Plan, spine: SpineFacts | None) -> Iterator[Row]:
    """What the bench measures, with what was planned."""
    unit, cover = plan.unit, plan.cover
    if plan.flat:
        yield from (
            Row(f"{n} {item.title}", f"{item.amount} pieces")
            for n, item in enumerate(plan.items, start=1)
        )
        return
    if spine is not None and spine.width:
        yield Row("Guts thick", short_words(spine.width - spine.allowance, unit))
    if cover is not None:
        yield Row("Cover width", short_words(cover.width, unit))
        if cover.spine.width:
            yield Row("Spine to FRONT edge", short_words(cover.front_distance, unit))
            yield Row("Spine to BACK edge", short_words(cover.back_distance, unit))
    made = ("Open" if plan.scheme in FLAT else "Folded") if plan.panelled else "Trimmed"
    yield Row(f"{made} width", short_words(plan.leaf.width, unit))
    yield Row(f"{made} height", short_words(plan.leaf.height, unit))
