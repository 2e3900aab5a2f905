"""Every word of the trade that this program uses, explained in one line.

The words and their meanings are those of this project; each report explains a
word where it first uses it, and only words that it does use.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Term:
    """A word, its meaning in one line, and how it is told from other words that look like it.

    `pattern` is a regular expression, empty for the word itself with a plural.
    """

    word: str
    meaning: str
    pattern: str = ""

    def found_in(self, text: str) -> int | None:
        """Where the word is first used; None where it is not."""
        pattern = self.pattern or rf"\b{re.escape(self.word)}(?:s|es)?\b"
        match = re.search(pattern, text, re.IGNORECASE)
        return None if match is None else match.start()


GLOSSARY: Final = (
    Term("guts", "all the inside leaves of a book together, without the cover"),
    Term("leaf", "one piece of paper in the book: two pages, back to back", r"\blea(?:f|ves)\b"),
    Term(
        "sheet",
        "the paper that goes through the printer; it has a front and a back",
        r"\bsheets?\b(?! metal)",
    ),
    Term("section", "leaves that come from folding one or more sheets laid inside each other"),
    Term(
        "trim",
        "the finished page: what is left after the last cut; to trim: to make that cut",
        r"\btrim(?:s|med|ming)?\b(?! pad)",
    ),
    Term("bleed", "picture that runs on beyond the trim, so that no white edge is left"),
    Term(
        "crop mark",
        "short lines outside the page that show where the knife goes",
        r"\bcrop\b(?: or fold)? marks?\b",
    ),
    Term("fold mark", "a short dashed line at the edge of the sheet that shows where it is folded"),
    Term("live area", "the part of a page where nothing is lost to a knife or a fold"),
    Term("head", "the upper side of a page", r"\bheads?\b(?! of the pile)"),
    Term("foot", "the lower side of a page", r"\b(?:foot|feet)\b"),
    Term("spine", "the side of a page or book where it is bound"),
    Term(
        "fore-edge",
        "the side of a page opposite the spine, where a book opens",
        r"\bfore-edges?\b",
    ),
    Term("gutter", "the space between two pages on a sheet"),
    Term("creep", "how far the inner leaves of a folded book stick out beyond the outer ones"),
    Term("grind", "paper that is milled or roughened off at the spine before gluing"),
    Term(
        "lay edge",
        "the edge that paper is pushed against, and that all is measured from",
        r"\blay edges?\b|\b(?:one|the) lay\b(?! them)",
    ),
    Term("gripper", "the edge that a press holds the sheet by, where it cannot print"),
    Term("score", "a line pressed into board so that it folds there", r"\bscor(?:e|es|ed|ing)\b"),
    Term("hinge", "the score beside the spine at which a cover opens"),
    Term("flap", "a part of the cover that is folded in at the fore-edge"),
    Term("stop", "the bar that the paper is pushed against", r"\b(?:at|the) (?:back )?stop\b"),
    Term("gauge", "how far the knife is from the bar behind it that the paper lies against"),
    Term("lift", "as much of a pile as is cut at once", r"\b(?:\d+|of|in|all|both|one) lifts?\b"),
    Term("caliper", "the thickness of one leaf of a paper"),
    Term("stock", "the paper: its kind, weight and thickness", r"\bstock\b"),
    Term("grain", "the way in which the fibres of the paper run; it folds easily along them"),
    Term(
        "to jog",
        "to knock a pile against the table until its edges are even",
        r"\bjog(?:s|ged|ging)?\b",
    ),
    Term("to gather", "to lay sheets or sections on each other in order", r"\bgather\w*\b"),
    Term(
        "saddle",
        "folded sheets laid inside each other and stapled or sewn through the fold",
        r"\bsaddle\b",
    ),
    Term("perfect", "single leaves glued together at the spine", r"\bperfect\b(?!ly)"),
    Term(
        "stab",
        "holes through the whole book beside the spine, and a thread through them",
        r"\bstab\b",
    ),
    Term("punched", "holes along the spine for a wire, coil or comb", r"\bpunched\b"),
    Term("loose", "leaves cut to size that are not bound", r"\bloose\b"),
    Term(
        "French fold",
        "a leaf printed on one face and folded at the fore-edge, the print outside",
        r"\bFrench[- ]fold\w*\b",
    ),
    Term(
        "cut and stack",
        "piles that are cut apart and laid on each other, and then read through",
        r"\bcut and stack\b",
    ),
    Term("up", "how many pages lie on one side of a sheet", r"\b\d+-up\b"),
    Term("lip", "a strip by which one half of a folded section is wider, to open it by"),
    Term("collation mark", "a black step on each spine that shows a missing section"),
    Term("slug", "the line of words at the edge of a sheet: title, number, side"),
    Term(
        "register",
        "how well front and back of a sheet fall on each other",
        r"(?<!impose )\bregister\b",
    ),
    Term(
        "long edge, short edge",
        "the sides of the paper; about one of them a printer turns it over",
        r"\b(?:long|short)[- ]edge\b",
    ),
    Term(
        "actual size",
        "100 %: the print dialog makes nothing larger or smaller",
        r"\bactual size\b",
    ),
    Term("proof", "the book as it will come out, to read on the screen first", r"\bproofs?\b"),
    Term("overs", "sheets printed more than are needed, because some are spoiled", r"\bovers\b"),
    Term("kettle stitch", "the knot at each end of a sewn section that ties it to the one before"),
    Term("station", "a place on the fold where the needle goes through", r"\bstations\b"),
    Term("bone folder", "a smooth flat stick to press a fold down with"),
    Term("awl", "a thick needle in a handle, for making holes"),
    Term("glue trap", "how far a cover is longer than the book inside before it is trimmed"),
    Term(
        "trim pad",
        "cardboard on top of a book, so that the clamp leaves no mark",
        r"\btrim pads?\b",
    ),
    Term(
        "true edge",
        "an edge that has been cut straight and square",
        r"\b(?:cut, true|true edge)\b",
    ),
    Term("inset", "a leaf that is made by itself and put into the book between the others"),
    Term("fold-out", "a leaf wider than the book, folded in so that it can be opened out"),
    Term("ticket", "the sheet of paper that travels with the job"),
    Term("blank", "a page with nothing on it", r"\bblank pages?\b|\bblanks\b|\b\d+ blank\b"),
)  # fmt: skip


class Explainer:
    """Gives each term once: where it first appears."""

    def __init__(self, known: Iterable[Term] = ()) -> None:
        told = frozenset(known)
        self._left = [term for term in GLOSSARY if term not in told]

    def new_in(self, *texts: str) -> tuple[Term, ...]:
        """Terms in the texts that were not told before, in the order in which they appear."""
        text = "\n".join(texts)
        found = []
        for term in self._left:
            place = term.found_in(text)
            if place is not None:
                found.append((place, term))
        told = [term for _, term in sorted(found, key=lambda pair: pair[0])]
        self._left = [term for term in self._left if term not in told]
        return tuple(told)


def term_line(term: Term) -> str:
    """`creep: how far ...`."""
    return f"{term.word}: {term.meaning}"
