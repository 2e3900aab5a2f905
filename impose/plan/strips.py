"""Bleed that is made from the page itself: where a page's edge is drawn again outside its trim."""

from __future__ import annotations

from dataclasses import dataclass

from impose.geometry.box import Box
from impose.geometry.moving import Move


@dataclass(frozen=True, slots=True)
class Strip:
    """The page of a placement drawn once more through `move`, clipped to `clip`.

    `placement` is the place of its placement on the side, from 0; `move` is
    applied after the page has been laid on the side.  A strip lies outside
    every trim.
    """

    placement: int
    clip: Box
    move: Move
