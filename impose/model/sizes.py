"""Sizes with names, and what is done with a page of another size."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from impose.geometry.box import Size


class FitMode(Enum):
    """What to do with a page that is not of trim size."""

    ASK = "as is"  #: an error that names the choices
    REFUSE = "refuse"  #: an error, also where the overhang could be bleed
    SCALE = "scale"
    CENTRE = "centre"


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedSize:
    """A size with the name by which it was asked for."""

    size: Size
    name: str
    unit: str = "mm"
