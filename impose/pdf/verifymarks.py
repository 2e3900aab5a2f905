"""Marks read back from their operators, and the same told from the plan."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Final

from impose.pdf.lettering import clean
from impose.plan.parts import Mark, Shape
from impose.units import Length

#: Kind of stroke, then its numbers in grains.
Stroke = tuple[str | int, ...]

_INK: Final = b"/K CS 1 SCN/K cs 1 scn"
_TEXT: Final = re.compile(
    rb"BT/F (\S+) Tf (?:(\S+ \S+ \S+ \S+) )?(\S+) (\S+) T[dm]\(((?:[^\\()]|\\.)*)\)Tj ET", re.DOTALL
)
_ESCAPE: Final = re.compile(rb"\\(.)", re.DOTALL)
_TURNS: Final = {None: 0, b"0 1 -1 0": 90, b"-1 0 0 -1": 180, b"0 -1 1 0": 270}


#: Members of an enumeration are slow to look up.
_WORDS, _FILLED, _CIRCLE, _DASHED = Shape.TEXT, Shape.FILLED, Shape.CIRCLE, Shape.DASHED
#: Grains in a point (a seventh decimal is less than half a grain).
_POINT: Final = Length.points(1).grains


class Grains(dict[bytes, int]):
    """The text of a PDF number in points to grains, as a whole number; each worked out once.

    The text is a decimal to the last digit, as `Length.points` takes it: this is
    that in whole numbers, eight times as fast.  Raises ValueError for anything else.
    """

    def __missing__(self, text: bytes) -> int:
        whole, _, places = text.partition(b".")
        scale: int = 10 ** len(places)
        grains = (2 * int(whole + places) * _POINT + scale) // (2 * scale)
        self[text] = grains
        return grains


def read_marks(operators: bytes, grains: Grains) -> list[Stroke]:
    """The strokes, sorted; a line that says nothing known is told as it stands."""
    strokes: list[Stroke] = []
    weight, dashed = 0, False
    for line in operators.rstrip(b"\n").split(b"\n") if operators else ():
        words = line.split()
        if line.startswith(b"BT"):
            strokes.append(_read_text(line, grains))
        elif line == _INK:
            strokes.append(("all inks",))
        elif words[-1:] == [b"w"]:
            weight = grains[words[0]]
        elif words[-1:] == [b"d"]:
            dashed = line != b"[] 0 d"
        elif words[-1:] != [b"c"] and line != b"s":  # the rest of a circle
            try:
                strokes.append(_read_stroke(words, weight, dashed, grains))
            except ValueError:
                strokes.append(("unknown", line.decode("latin-1")))
    return sorted(strokes)


def ink_once(strokes: Sequence[Stroke]) -> list[Stroke]:
    """The strokes, the choice of ink not more than once."""
    ink: Stroke = ("all inks",)
    others = [stroke for stroke in strokes if stroke != ink]
    return [ink, *others] if len(others) < len(strokes) else others


def told_marks(marks: Iterable[Mark], ink: str) -> list[Stroke]:
    """What `read_marks` must find."""
    strokes: list[Stroke] = [("all inks",)] if ink == "registration" else []
    for mark in marks:
        weight, x0, y0 = mark.weight.grains, mark.x0.grains, mark.y0.grains
        if mark.shape is _WORDS:
            words = _plain(clean(mark.text))
            strokes.append(("text", weight, x0, y0, mark.turn % 360, words))
            continue
        x1, y1 = mark.x1.grains, mark.y1.grains
        if mark.shape is _FILLED:
            strokes.append(("filled", x0, y0, x1 - x0, y1 - y0))
        elif mark.shape is _CIRCLE:
            strokes.append(("circle", weight, x1, y0 + (y1 - y0) // 2))
        else:
            kind = "dashed" if mark.shape is _DASHED else "line"
            strokes.append((kind, weight, x0, y0, x1, y1))
    return sorted(strokes)


def _read_stroke(words: Sequence[bytes], weight: int, dashed: bool, grains: Grains) -> Stroke:
    match words:
        case [x0, y0, b"m", x1, y1, b"l", b"S"]:
            kind = "dashed" if dashed else "line"
            return (kind, weight, grains[x0], grains[y0], grains[x1], grains[y1])
        case [x, y, width, height, b"re", b"f"]:
            return ("filled", grains[x], grains[y], grains[width], grains[height])
        case [x, y, b"m"]:  # a circle starts at its right
            return ("circle", weight, grains[x], grains[y])
    return ("unknown", b" ".join(words).decode("latin-1"))


def _read_text(line: bytes, grains: Grains) -> Stroke:
    found = _TEXT.fullmatch(line)
    if found is None:
        return ("unknown", line.decode("latin-1"))
    size, turned, x, y, string = found.groups()
    words = _ESCAPE.sub(rb"\1", string).decode("latin-1")
    return ("text", grains[size], grains[x], grains[y], _TURNS.get(turned, -1), _plain(words))


def _plain(words: str) -> str:
    """What is not printable ASCII stands in codes of the font, or not at all: a "?" for each."""
    if words.isascii() and words.isprintable():
        return words
    return "".join(c if c.isascii() and c.isprintable() else "?" for c in words)
