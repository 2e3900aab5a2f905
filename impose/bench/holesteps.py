"""Steps for books with holes: what is trimmed before, piercing, sewing or putting the wire in.

Stab sewing goes round head, foot and spine, and wire, coil and comb stand over
the edge: such books are gathered, trimmed on three sides, and only then pierced.
Stitches through the fold and through the side are made first and trimmed after,
as any stitched book (all: common practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace
from typing import Final

from impose.bench.booksteps import BookSteps
from impose.bench.heldwords import held_words
from impose.bench.needlewords import needle_steps
from impose.model.holes import HoleShape, Makes
from impose.plan.cutsteps import CutStep, StepKind
from impose.plan.holes import HolePlan
from impose.plan.parts import When
from impose.plan.plan import Plan
from impose.units import Length

#: More thread than this is hard to handle at once (from memory).
_LONGEST: Final = Length.mm(1500)
#: Before the title of a step that begins with printed sheets.
GATHERED: Final = "Fold and gather; "
_SEWING: Final = {
    Makes.STAB: "Sew round the spine",
    Makes.SIDE: "Sew through the side",
    Makes.FOLD: "Sew through the fold",
    Makes.SEWN: "Sew section to section",
}


def hole_steps(
    maker: BookSteps, order: Sequence[str], done: Set[str], folded: bool
) -> tuple[CutStep, ...]:
    """Gathering, the last cuts, piercing and sewing in their order; sides `done` are cut."""
    plan, holes = maker.plan, maker.plan.holes
    assert holes is not None  # the caller asked
    cuts = tuple(maker.cuts(order, done)) if order else ()
    if holes.makes.trim_first:
        early = (replace(step, when=When.BEFORE_BINDING) for step in cuts)
        gather = _gathered(maker, folded, bool(cuts))
        return (gather, *early, pierce_step(holes, plan.unit), _sew_step(holes, plan))
    bind = maker.bind(folded, bool(done))
    staples = holes.shape is HoleShape.STAPLE
    joined = replace(bind, notes=tuple(_bound(bind)))
    tool = "staple" if staples else "sew"
    if not staples and holes.makes is not Makes.SEWN:  # sections are pierced one by one
        tool = "pierce"
    joined = replace(
        joined,
        notes=tuple(note.replace("before binding", f"before you {tool}") for note in joined.notes),
    )
    by_staples = f"{GATHERED}staple" if folded else "Gather and staple"
    title = by_staples if staples else _SEWING[holes.makes]
    joined = replace(joined, title=title)
    if staples:
        return (_noted(joined, *_stapling(holes, plan.unit)), *cuts)
    pierced = pierce_step(holes, plan.unit, folded, plan.cover is not None)
    if tool == "pierce":
        pierced = replace(pierced, notes=(*joined.notes, *pierced.notes))
        joined = replace(joined, notes=())
    return (pierced, _noted(joined, *_sewing(holes, plan.unit)), *cuts)


def _noted(step: CutStep, *notes: str) -> CutStep:
    """The step with notes after those it has."""
    return replace(step, notes=(*step.notes, *notes))


def _bound(bind: CutStep) -> Iterator[str]:
    """Of the notes of binding, those that hold here."""
    return (note for note in bind.notes if not note.startswith("Nothing is cut"))


def _gathered(maker: BookSteps, folded: bool, cut: bool) -> CutStep:
    """The block before anything holds it; `cut`: it is trimmed like that."""
    plan = maker.plan
    bind = maker.bind(folded, False)
    cover = "lay the cover round them, " if plan.cover is not None else ""
    after = "pierced and sewn" if plan.holes and plan.holes.way else "punched"
    first = (
        f"It is cut to size before it is {after}: afterwards the knife would meet what holds it."
    )
    return replace(
        bind,
        kind=StepKind.GATHER,
        title="Gather the leaves in order",
        notes=(
            "Lay them with page 1 on top.",
            *(note.replace("to the spine before binding", "to the spine") for note in _bound(bind)),
            f"Then {cover}clip or clamp the block between boards, so that nothing moves.",
            *((first,) if cut else ()),
        ),
    )


def pierce_step(holes: HolePlan, unit: str, folded: bool = False, covered: bool = False) -> CutStep:
    """By the guide, with every distance; `covered`: the book has a cover."""
    count = len(holes.holes)
    if holes.makes is Makes.PUNCHED:
        title = f"Punch {count} hole{'s' if count > 1 else ''}"
    else:
        title = f"Pierce {count} holes by the guide"
    if folded:
        title = f"{GATHERED}{title[0].lower()}{title[1:]}"
    return CutStep(
        number=0,
        kind=StepKind.PIERCE,
        when=When.BEFORE_BINDING,
        title=title,
        notes=(*_piercing(holes, unit), *_with_cover(holes, covered)),
    )


def _piercing(holes: HolePlan, unit: str) -> Iterator[str]:
    yield f"{places_words(holes, unit)}."
    yield (
        "Print guide.pdf at actual size and measure its check line; cut the strip out along its "
        "outline."
    )
    yield how_to_lay(holes)
    if holes.makes is Makes.SEWN:
        yield "The first and the last are for the kettle stitches."
    if holes.makes is Makes.SEWN and holes.pieces > 1:
        yield f"The same strip for all {holes.pieces} sections, always from the same head edge."


def _with_cover(holes: HolePlan, covered: bool) -> tuple[str, ...]:
    if covered and holes.makes is Makes.FOLD:
        return ("The cover lies round the section, fold in fold: pierce and sew both together.",)
    return ()


def how_to_lay(holes: HolePlan) -> str:
    """Where the strip of the guide goes, and from which face the holes are made."""
    makes = holes.makes
    if makes.on_fold:
        tool = "staple from the outside" if holes.shape is HoleShape.STAPLE else "pierce outward"
        return (
            "Fold the strip on its long line, lay it into the fold of the opened section, its "
            f"HEAD end at the head edge of the paper, and {tool} at every point, through the fold "
            "itself."
        )
    if makes is Makes.PUNCHED:
        return (
            "Lay the strip on the first leaf, its SPINE edge on the spine edge, its HEAD end at "
            "the head; set the punch's stop by it, try on waste of the same paper, and punch no "
            "more leaves at once than the punch takes."
        )
    if holes.shape is HoleShape.STAPLE:
        return (
            "Lay the block with page 1 up. Lay the strip on it, its SPINE edge on the spine edge, "
            "its HEAD end at the head, mark both ends of every line through it, and staple from "
            "the front on the marks; close the legs at the back."
        )
    return (
        "Lay the block with page 1 up. Lay the strip on it, its SPINE edge on the spine edge, its "
        "HEAD end at the head; clamp it between boards over a piece of waste wood, and pierce "
        "upright, right through."
    )


def _stapling(holes: HolePlan, unit: str) -> Iterator[str]:
    yield f"{places_words(holes, unit)}."
    yield how_to_lay(holes)


def _sew_step(holes: HolePlan, plan: Plan) -> CutStep:
    if holes.makes is Makes.PUNCHED:
        title, *notes = held_words(holes, plan.unit)
    else:
        title, notes = _SEWING[holes.makes], list(_sewing(holes, plan.unit))
    return CutStep(
        number=0, kind=StepKind.SEW, when=When.BEFORE_BINDING, title=title, notes=tuple(notes)
    )


def _sewing(holes: HolePlan, unit: str) -> Iterator[str]:
    if holes.thread is not None:
        yield f"{thread_words(holes, unit)}."
    yield from (f"{words}." for words in needle_steps(holes, unit))


def thread_words(holes: HolePlan, unit: str) -> str:
    """How much thread, and how it was reckoned."""
    thread = holes.thread
    if thread is None:
        return ""
    step = Length.mm(10) if unit == "mm" else Length.inches(1)
    cut = step * -(-thread.length.grains // step.grains)
    more = "; take it in lengths of an arm, joined inside the fold" if cut > _LONGEST else ""
    return (
        f"Thread: cut {cut.text(unit)}, rounded up from {thread.length.text(unit)}: "
        f"{thread.basis}{more}"
    )


def places_words(holes: HolePlan, unit: str) -> str:
    """Every hole from the trimmed head; of many at one pitch the first and the last."""
    count, first, last = len(holes.holes), holes.holes[0], holes.holes[-1]
    word = "staples, to their middles" if holes.shape is HoleShape.STAPLE else "holes"
    spine = f"{holes.from_spine.text(unit)} from the spine"
    where = "on the fold" if holes.makes.on_fold else spine
    if holes.pitch is not None and count > 6:
        places = (
            f"the first {first.from_head.text(unit)}, then every {holes.pitch.text(unit)}, the "
            f"last {last.from_head.text(unit)}"
        )
    else:
        places = ", ".join(hole.from_head.text(unit) for hole in holes.holes)
    more = ""
    if holes.head and not holes.makes.trim_first:
        more = f"; before trimming add {holes.head.text(unit)} to each"
    return f"{count} {word} {where}, from the trimmed head: {places}{more}"
