"""What can go wrong with a cover that fits its sheet: binder, lay, paper, glue, grain."""

from __future__ import annotations

from collections.abc import Iterator

from impose.findings import Finding
from impose.geometry.box import Box, Edges, box_inside
from impose.model.job import Binding, Job
from impose.plan.coverfacts import CoverFacts
from impose.plan.plan import Plan
from impose.schemes.coverlayout import CoverLayout
from impose.schemes.coverrules import CoverRules
from impose.schemes.draft import USUAL_TRIM_OFF
from impose.schemes.gutspaper import untrimmed_length
from impose.units import ZERO


def check_cover(
    plan: Plan, job: Job, facts: CoverFacts, layout: CoverLayout, rules: CoverRules
) -> tuple[Finding, ...]:
    """Findings about a cover that has been laid out."""
    return (
        *_stock(job, facts),
        *_binder(plan, job, facts),
        *_length(plan, job, facts),
        *_lay(job, facts),
        *_ends(job, facts),
        *_thin(job, facts, rules),
        *_glue(job, facts),
        *_grain(facts),
        *_margins(job, layout),
        *_place(job, layout),
    )


def _stock(job: Job, facts: CoverFacts) -> Iterator[Finding]:
    if job.cover and job.cover.stock is None:
        yield Finding.note(
            "cover-stock-assumed",
            f"no stock is named for the cover; that of the guts, {facts.stock.name}, is taken",
            hint='name it: stock = "..." in [cover]',
        )


def _binder(plan: Plan, job: Job, facts: CoverFacts) -> Iterator[Finding]:
    """Thickness between the clamps and length along the spine."""
    binder, unit = job.bench.binder, job.unit
    if binder is None:
        return
    block = facts.spine.width - facts.spine.allowance
    length = untrimmed_length(plan, facts.guts)
    pairs = [
        ("spine-binder-length", "the untrimmed guts are", length, "along the spine",
         binder.spine_length_min, binder.spine_length_max),
    ]  # fmt: skip
    if job.binding is not Binding.SADDLE:
        pairs.append(
            ("spine-binder", "the guts are", block, "thick", binder.spine_min, binder.spine_max)
        )
    for code, opening, value, how, least, most in pairs:
        limit = least if least is not None and value < least else None
        word = "at least"
        if limit is None and most is not None and value > most:
            limit, word = most, "at most"
        if limit is not None:
            yield Finding.error(
                code,
                f"{opening} {value.text(unit)} {how}; {binder.name} takes {word} "
                f"{limit.text(unit)}",
                hint="use another binder or binding, or change the paper or the sheet",
                is_=value.text(unit),
                limit=limit.text(unit),
            )


def _length(plan: Plan, job: Job, facts: CoverFacts) -> Iterator[Finding]:
    """Glue runs out where the cover does not reach beyond the guts."""
    if job.binding is Binding.SADDLE:
        return
    unit, guts = job.unit, untrimmed_length(plan, facts.guts)
    if facts.paper.height <= guts:
        yield Finding.warning(
            "cover-length",
            f"the cover is {facts.paper.height.text(unit)} from head to foot, the untrimmed guts "
            f"are {guts.text(unit)}: glue runs out where the cover does not reach beyond them",
            hint="use a cover sheet that is longer than the guts, or cut the guts shorter first",
            cover=facts.paper.height.text(unit),
            guts=guts.text(unit),
        )
        return
    for side, more, trap in (
        ("head", facts.guts_down, facts.glue_trap_head),
        ("foot", facts.guts_up, facts.glue_trap_foot),
    ):
        if more < trap:
            yield Finding.warning(
                "cover-glue-trap",
                f"the cover reaches {_beyond(more.text(unit), more < ZERO)} the untrimmed guts at "
                f"the {side}; {trap.text(unit)} keeps the glue in",
                hint="use a larger cover sheet or less paper round the guts",
                has=more.text(unit),
                needs=trap.text(unit),
            )


def _beyond(text: str, short: bool) -> str:
    return f"{text.removeprefix('-')} less far than" if short else f"{text} beyond"


def _lay(job: Job, facts: CoverFacts) -> Iterator[Finding]:
    unit, down = job.unit, facts.guts_down
    at_foot = facts.lay == "foot" and facts.guts_up == facts.glue_trap_foot
    if at_foot or down == facts.glue_trap_head:
        return
    where = "below" if down >= ZERO else "above"
    if job.binding is Binding.SADDLE:
        yield Finding.note(
            "cover-lay",
            f"the guts must sit {abs(down).text(unit)} {where} the cover's head edge when they "
            "are put into it: their heads do not lie on each other",
            hint="jog the guts and the cover apart, or use a cover sheet as high as theirs",
            down=down.text(unit),
        )
        return
    yield Finding.note(
        "cover-lay",
        f"the guts must sit {abs(down).text(unit)} {where} the cover's head edge "
        f"({facts.glue_trap_head.text(unit)} is what the binder's head lay gives)",
        hint="set a stop for that distance, or mark it on the inside of the cover",
        down=down.text(unit),
    )


def _ends(job: Job, facts: CoverFacts) -> Iterator[Finding]:
    """The cover stays oversize until it is trimmed with the guts."""
    unit, trim, paper = job.unit, facts.trim, facts.paper
    binder = job.bench.binder
    off = binder.trim_off if binder else USUAL_TRIM_OFF
    sides = {
        "head": paper.height - trim.y1,
        "foot": trim.y0,
        "left end": trim.x0,
        "right end": paper.width - trim.x1,
    }
    if job.binding is Binding.SADDLE:  # no cut where neither guts nor cover have paper for one
        for side, beyond in (("head", facts.guts.head), ("foot", facts.guts.foot)):
            if beyond == sides[side] == ZERO:
                del sides[side]
    short = {name: left for name, left in sides.items() if left < off}
    if short:
        least = min(short.values())
        yield Finding.warning(
            "cover-oversize",
            f"only {least.text(unit)} of the cover's paper is left beyond the trim at "
            f"{', '.join(short)}; the last cuts want {off.text(unit)}",
            hint="use a larger cover sheet",
            least=least.text(unit),
            needs=off.text(unit),
        )


def _thin(job: Job, facts: CoverFacts, rules: CoverRules) -> Iterator[Finding]:
    """Separate spine art says that something stands on the spine."""
    art, unit = job.cover.art if job.cover else None, job.unit
    if art is None or art.spine is None:
        return
    clear = rules.spine_text_clear
    room = facts.spine.width - clear * 2
    if facts.spine.width < rules.thin_spine or room <= ZERO:
        yield Finding.warning(
            "spine-thin",
            f"there is art for the spine, which is {facts.spine.width.text(unit)} wide; under "
            f"{rules.thin_spine.text(unit)} words on it wander onto the panels, and "
            f"{clear.text(unit)} clear at each side leaves {max(room, ZERO).text(unit)}",
            hint="leave the spine without words",
            spine=facts.spine.width.text(unit),
            limit=rules.thin_spine.text(unit),
        )


def _glue(job: Job, facts: CoverFacts) -> Iterator[Finding]:
    """Glue holds on bare paper (ISO 16763:2016, 4.5.1: no ink in the glued area); what is inked
    there is found by looking (checks.coverart)."""
    if not facts.glue_strip or not (job.cover and job.cover.inside):
        return
    unit, strip = job.unit, facts.glue_strip
    band = facts.spine.width + strip * 2
    yield Finding.note(
        "cover-glue-band",
        f"the inside of the cover has art; the glue wants {band.text(unit)} of bare paper there: "
        f"the spine and {strip.text(unit)} beside it on each panel",
        hint="leave that band white, varnish included",
        band=band.text(unit),
        strip=strip.text(unit),
    )


def _grain(facts: CoverFacts) -> Iterator[Finding]:
    if facts.stock.along is not False:
        return
    what = "scores run" if facts.scored else "fold runs"
    yield Finding.warning(
        "score-grain",
        f"the {what} against the grain: that of {facts.stock.name} is {facts.stock.grain} and "
        "lies across the spine on this sheet; the fold cracks and the cover springs open",
        hint="use paper whose grain runs along the spine",
        grain=facts.stock.grain,
    )


def _margins(job: Job, layout: CoverLayout) -> Iterator[Finding]:
    ink, trim = layout.room.ink, layout.trim
    if ink.contains(trim):
        return
    white = Edges(
        left=max(ZERO, ink.x0 - trim.x0),
        right=max(ZERO, trim.x1 - ink.x1),
        bottom=max(ZERO, ink.y0 - trim.y0),
        top=max(ZERO, trim.y1 - ink.y1),
    )
    most = max(white.left, white.right, white.bottom, white.top).text(job.unit)
    yield Finding.warning(
        "cover-unprintable",
        f"the printer leaves up to {most} of the trimmed cover white",
        hint="use a larger sheet, or a printer that prints nearer to the edge",
        most=most,
    )


def _place(job: Job, layout: CoverLayout) -> Iterator[Finding]:
    if not layout.spine_centred:
        yield Finding.note(
            "cover-off-centre",
            f"the spine is not in the middle of the cover's sheet of "
            f"{layout.room.sheet.text(job.unit)}: only so is there room for the open cover of "
            f"{layout.trim.size.text(job.unit)}",
        )


def glue_band(facts: CoverFacts) -> Box:
    """The band kept free of ink, as it lies on the sheet seen from the outside."""
    margin = facts.panel.width - facts.glue_strip
    flaps = (facts.flap_back, facts.flap_front)
    left, right = flaps if facts.front_at_right else (flaps[1], flaps[0])
    return box_inside(facts.trim, Edges(left=left + margin, right=right + margin))
