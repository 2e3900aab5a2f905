"""What to do now: glued books, single leaves or sections, and sewn sections; the cover on them."""

from __future__ import annotations

from collections.abc import Iterator

from impose.reports.cautions import GLUE
from impose.reports.guide_block import leaves_or_sections, scoring
from impose.reports.guide_copies import marked_end, stations
from impose.reports.guide_folding import before_cover, trimming
from impose.reports.guide_parts import Book, Task
from impose.reports.guide_told import holes_of
from impose.reports.hand_cautions import AWL, COLD_GLUE
from impose.units import Length


def perfect(book: Book) -> Iterator[Task]:
    """Glued at the spine, in single leaves or in sections."""
    yield from leaves_or_sections(book)
    yield from before_cover(book)
    yield from scoring(book)
    yield glue(book)
    yield trimming(book)


def sections(book: Book) -> Iterator[Task]:
    """Sewn through the folds."""
    yield from leaves_or_sections(book)
    yield holes_of(book) if book.plan.holes is not None else _sew(book)
    yield from before_cover(book)
    yield from scoring(book)
    if book.plan.cover is not None:
        yield cover_on(book)
    yield trimming(book)


def _sew(book: Book) -> Task:
    """Where the plan has no stations their places are common practice."""
    folds = len([gather for gather in book.plan.gathering if gather.kind == "section"])
    inside = Length.mm(15)
    each = " Sew each copy by itself: no thread runs across the cut." if book.plan.two_up else ""
    end = "the marked end" if book.plan.two_up else "head"
    return Task(
        title="Sew",
        steps=(
            f"Mark the stations on the spines of all {folds} sections at once, held together: "
            f"{_stations(book, inside)}. Pierce each fold there.",
            "Sew section after section along the fold, in at one station and out at the next; at "
            f"the end of each section tie it to the one before with a kettle stitch.{each}",
            f"Knock {end} and spine even, brush a thin coat of glue over the spine, let it dry.",
        ),
        cautions=(AWL, COLD_GLUE),
    )


def _stations(book: Book, inside: Length) -> str:
    if book.plan.two_up:
        return stations(book, inside)
    far = book.about(inside)
    return (
        f"one about {far} from the head, one about {far} from the foot, an even number between them"
    )


def glue(book: Book) -> Task:
    """Glue on the spine, and the cover where there is one."""
    plan = book.plan
    lay = plan.cut_facts.lay if plan.cut_facts else "head"
    end = marked_end(book) if plan.two_up else f"the {lay}"
    steps = [
        f"Knock the pile even at the spine and at {end}: the spine side is the edge that is "
        "glued. Do not cut anything first."
        if not plan.french
        else "Knock the pile even at the spine side: that is the edge that is glued, not the folds."
    ]
    if plan.grind:
        steps.append(
            f"Mill or roughen {book.length(plan.grind)} off the spine: the pages allow for it."
        )
    steps.append(
        "By hand: clamp the pile between two boards, the spine just standing out; brush on white "
        "bookbinding glue, bend the pile a little to one side, brush, to the other side, brush. A "
        "binder's machine does this with hot glue: hand over guts, cover and this ticket."
    )
    if plan.cover is not None:
        steps.extend(cover_steps(book))
    else:
        steps.append("Let it dry for some hours under weight before you open or cut it.")
    return Task(title="Glue", steps=tuple(steps), cautions=(COLD_GLUE, *GLUE[:2]))


def cover_on(book: Book) -> Task:
    """The cover of a sewn book, as a task of its own."""
    return Task(
        title="Put the cover on",
        steps=tuple(cover_steps(book)),
        cautions=(COLD_GLUE, GLUE[1]),
    )


def cover_steps(book: Book) -> Iterator[str]:
    """How far the guts sit from the cover's edge, and drying."""
    cover = book.plan.cover
    assert cover is not None
    from_edge, edge = (cover.guts_up, "foot") if cover.lay == "foot" else (cover.guts_down, "head")
    yield (
        f"Lay the glued spine on the inside of the cover, between the two spine scores, the guts' "
        f"{edge} {book.length(abs(from_edge))} inside the cover's {edge} edge; press the spine "
        "down, fold the cover up at both sides."
    )
    yield "Let it dry under weight, the spine flat, before you cut it."
