"""Flat colours that a job names: grey, CMYK or RGB, kept as they are said; and tints of inks."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

#: What people write for the whole of a part: per cent of ink, or steps of light.
MOST: Final = {"grey": 100, "cmyk": 100, "rgb": 255}


@dataclass(frozen=True, slots=True)
class Ink:
    """A colour: `space` is "grey", "cmyk", "rgb" or "spot"; each of `parts` from 0 to 1.

    Parts of grey and CMYK are how much ink there is, those of RGB how much light;
    a spot colour has one part, how much there is of the ink `name`.
    """

    space: str
    parts: tuple[Fraction, ...]
    name: str = ""


#: The process inks in the order of their parts.
PROCESS: Final = ("cyan", "magenta", "yellow", "black")


def named_ink(name: str, tint: Fraction) -> Ink:
    """That much of one ink: a process ink, else a spot colour."""
    if name.lower() in PROCESS:
        at = PROCESS.index(name.lower())
        return Ink("cmyk", tuple(tint if n == at else Fraction(0) for n in range(len(PROCESS))))
    return Ink("spot", (tint,), name)
