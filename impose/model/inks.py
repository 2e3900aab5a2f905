"""Flat colours that a job names: grey, CMYK or RGB, kept as they are said."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

#: What people write for the whole of a part: per cent of ink, or steps of light.
MOST: Final = {"grey": 100, "cmyk": 100, "rgb": 255}


@dataclass(frozen=True, slots=True)
class Ink:
    """A colour: `space` is "grey", "cmyk" or "rgb"; each of `parts` from 0 to 1.

    Parts of grey and CMYK are how much ink there is, those of RGB how much light.
    """

    space: str
    parts: tuple[Fraction, ...]
