"""What to do now: books held through holes beside the spine.

Where the plan has no holes, their places are common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from impose.checks.safe import safe_distances
from impose.plan.parts import When
from impose.reports.guide_block import leaves_or_sections
from impose.reports.guide_folding import trimming
from impose.reports.guide_parts import Book, Task
from impose.reports.guide_told import told
from impose.reports.hand_cautions import AWL, PUNCH
from impose.schemes.gutspaper import guts_paper
from impose.units import Length

#: Holes of a stab binding from head and foot (from memory: 10 to 20 mm).
_STAB_END: Final = Length.mm(15)


def stab(book: Book) -> Iterator[Task]:
    """A thread through the whole block beside the spine."""
    if book.plan.holes is not None:
        yield from told(book)
        return
    yield from leaves_or_sections(book)
    line = safe_distances(book.job.limits).stab.lost
    height = book.plan.leaf.height
    paper = guts_paper(book.plan)
    inner = (height - _STAB_END * 2) * Fraction(1, 3)
    head = paper.head + _STAB_END
    yield Task(
        title="Pierce and sew",
        steps=(
            "Hold the pile together with clips, with card under them.",
            f"Mark four holes on a line {book.about(line)} from the spine edge: the first "
            f"{book.about(head)} from the head of the paper ({book.about(_STAB_END)} from that of "
            f"the finished page), the others {book.about(inner)} apart. "
            "Mark them on a strip of paper first and use it as a guide for every copy.",
            "Pierce all leaves upright, then sew through each hole: round the spine, and on to "
            "the next, there and back; end where you began, knot.",
        ),
        cautions=(AWL,),
    )
    yield trimming(book)


def punched(book: Book) -> Iterator[Task]:
    """Holes for wire, coil or comb."""
    if book.plan.holes is not None:
        yield from told(book)
        return
    yield from leaves_or_sections(book)
    reach = safe_distances(book.job.limits).punched.lost
    if any(step.when is When.AFTER_BINDING for step in book.steps):
        yield trimming(book)
    yield Task(
        title="Punch and close",
        steps=(
            "Set the punch so that no hole is cut in half at head or foot; try it on one waste "
            f"leaf. The pages keep {book.about(reach)} at the spine free for the holes.",
            "Punch a few leaves at a time, the spine edge at the stop, always the same edge to "
            "the side guide. Keep the order.",
            "Put wire, coil or comb through and close it.",
        ),
        cautions=(PUNCH,),
    )
