"""What to propose of folded panels to somebody who does not know the trade: which pieces suit the
pages, which fold, and how large a panel is on the paper there is.

Which counts suit is that of the panels; beyond some thirty panels a strip no
longer holds together in the hand (from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.geometry.box import Size
from impose.model.job import Binding
from impose.model.machines import Printer
from impose.model.panels import LeafletFold
from impose.schemes.concertina import USUAL_TAB
from impose.schemes.leafletfolds import USUAL_NEST, front_width, leaflet_strip, panels_of
from impose.schemes.panelgrid import BOOKLET
from impose.schemes.proposal import (
    BLEED,
    NEAR,
    TrimAdvice,
    in_shape,
    into,
    rounded_down,
    white_edges,
)
from impose.units import ZERO, Length

_MOST_PANELS: Final = 32
#: Folds whose panels are all alike, so that pages of one size fill them.
EVEN: Final = frozenset({LeafletFold.HALF, LeafletFold.Z, LeafletFold.TENT})
_NO_EDGE: Final = Size(ZERO, ZERO)


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """What is folded: of how many pages, by which fold or of how many panels, for people who
    count in `unit`; `head_bound`: it is turned up."""

    binding: Binding
    pages: int
    unit: str
    fold: LeafletFold | None = None
    panels: int | None = None
    head_bound: bool = False


def suits(binding: Binding, pages: int, page: Size, sheet: Size, unit: str) -> bool:
    """Whether a piece of folded panels is worth offering for these pages on this paper."""
    if binding is Binding.ONE_SHEET:
        side = BOOKLET.columns * BOOKLET.rows
        return side // 2 < pages <= side * 2
    if binding is Binding.LEAFLET:
        return bool(folds_for(pages))
    two = Size(page.width * 2 + USUAL_TAB[unit], page.height)
    return 2 < pages <= _MOST_PANELS and any(_takes(way, two) for way in _ways(sheet))


def folds_for(pages: int) -> tuple[LeafletFold, ...]:
    """The folds that have a panel for every page."""
    return tuple(fold for fold in LeafletFold if panels_of(fold) * 2 >= pages)


def advise_fold(pages: int, alike: bool) -> LeafletFold:
    """As few panels as hold the pages; with pages all alike one of even panels, if there is."""
    if pages <= 2:
        return LeafletFold.LETTER
    if pages <= 4:
        return LeafletFold.HALF
    if pages <= 6:
        return LeafletFold.Z if alike else LeafletFold.LETTER
    return LeafletFold.DOUBLE_PARALLEL


def advise_panel(page: Size, sheet: Size, piece: Piece, off: Size = _NO_EDGE) -> TrimAdvice:
    """The page as it is when the paper takes the piece, else the panel that it is scaled to.

    `off` is what is left round the open piece on each side.
    """
    leaf = page.turned if piece.head_bound else page
    whole = is_whole(leaf, sheet, piece)
    ways = [Size(w.width - off.width * 2, w.height - off.height * 2) for w in _ways(sheet)]
    for room in (one for way in ways for one in _rooms(way, piece, whole, scaled=False)):
        if _takes(room, leaf):
            return TrimAdvice(trim=page, scale=Fraction(1), panel=room)
    rooms = [one for way in ways for one in _rooms(way, piece, whole, scaled=True)]
    advice = into(leaf, rooms) if off == _NO_EDGE else in_shape(leaf, rooms)
    trim = rounded_down(_front(advice.trim, piece) if whole else advice.trim, piece.unit)
    trim = trim.turned if piece.head_bound else trim
    return TrimAdvice(trim=trim, scale=advice.scale, panel=advice.panel)


def white_off(sheet: Size, printer: Printer | None) -> Size:
    """What is left round the open piece, so that pictures run off it and are cut."""
    across, up = white_edges(sheet, printer)
    return Size(across + BLEED, up + BLEED)


def is_whole(leaf: Size, sheet: Size, piece: Piece) -> bool:
    """The pages are the two flat sides of a leaflet, not its panels."""
    if piece.binding is not Binding.LEAFLET or piece.pages > 2:
        return False
    single = piece.fold in (LeafletFold.HALF, LeafletFold.TENT)
    return not single or any(leaf.near(way, NEAR) for way in _ways(sheet))


def is_open_size(page: Size, trim: Size, piece: Piece) -> bool:
    """The page is the open piece whose folded size is `trim`."""
    assert piece.fold is not None
    leaf, front = (one.turned if piece.head_bound else one for one in (page, trim))
    if piece.fold is LeafletFold.TENT:
        return leaf.near(Size(front.width, front.height * 2), NEAR * 2)
    nest = USUAL_NEST[piece.unit]
    width = leaflet_strip(piece.fold, front.width, nest, False).width
    return leaf.near(Size(width, front.height), NEAR * panels_of(piece.fold))


def _ways(sheet: Size) -> tuple[Size, Size]:
    """Both ways round, lying first."""
    lying = sheet if sheet.landscape else sheet.turned
    return lying, lying.turned


def _takes(room: Size, page: Size) -> bool:
    return page.width <= room.width + NEAR and page.height <= room.height + NEAR


def _rooms(way: Size, piece: Piece, whole: bool, scaled: bool) -> Iterator[Size]:
    """What a page may fill on a sheet that lies so: as it is, or `scaled` to it."""
    if whole:
        yield way
    elif piece.binding is Binding.ONE_SHEET:
        yield Size(
            Length(way.width.grains // BOOKLET.columns), Length(way.height.grains // BOOKLET.rows)
        )
    elif piece.binding is Binding.LEAFLET:
        front = _front(way, piece)
        # Pages all alike of a gate fold are its flaps.
        flap = piece.fold is LeafletFold.GATE and not scaled
        yield Size(front.width.half, front.height) if flap else front
    else:
        tab = USUAL_TAB[piece.unit]
        yield Size((way.width - tab).half if scaled else way.width - tab, way.height)


def _front(flat: Size, piece: Piece) -> Size:
    """The front panel of an open piece."""
    assert piece.fold is not None
    if piece.fold is LeafletFold.TENT:
        return Size(flat.width, flat.height.half)
    return Size(front_width(piece.fold, flat.width, USUAL_NEST[piece.unit]), flat.height)
