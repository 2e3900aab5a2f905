"""Where the open cover lies on its sheet, seen from the outside.

From left, left-bound: flap, back panel, spine, front panel, flap; right-bound
is the mirror.  Open cover = panels + spine + flaps exactly; hinges lie inside
the panels and add nothing.  The spine is centred on the sheet unless only the
whole fits.  Head to foot the cover is placed from the lay edge of the guts:
its head (or foot) margin is theirs plus the glue trap.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from impose.geometry.box import Box, Size
from impose.geometry.turning import Flip
from impose.model.job import NamedSize
from impose.model.machines import Printer
from impose.schemes.rooms import Room, room_on
from impose.units import ZERO, Length, total


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverMeasures:
    """The parts of the open cover; `hinge` of 0: no hinge scores."""

    panel: Size
    spine: Length
    hinge: Length = ZERO
    flap_front: Length = ZERO
    flap_back: Length = ZERO

    @property
    def flaps(self) -> bool:
        return bool(self.flap_front or self.flap_back)

    @property
    def size(self) -> Size:
        """The open cover."""
        widths = (self.flap_back, self.panel.width, self.spine, self.panel.width, self.flap_front)
        return Size(total(widths), self.panel.height)

    def boxes(self, x: Length, y: Length) -> dict[str, Box]:
        """The parts of a left-bound cover whose lower left corner is at x, y; none empty."""
        widths = {
            "flap-back": self.flap_back,
            "back": self.panel.width,
            "spine": self.spine,
            "front": self.panel.width,
            "flap-front": self.flap_front,
        }
        found = {}
        for name, width in widths.items():
            if width:
                found[name] = Box(x, y, x + width, y + self.panel.height)
            x = x + width
        return found

    def scores(self, x: Length) -> dict[str, Length]:
        """The x of every score of a left-bound cover that begins at x, from left to right."""
        back = x + self.flap_back
        spine = back + self.panel.width
        front = spine + self.spine
        if not self.spine:
            found = {"fold": spine}
        elif self.hinge:
            found = {
                "hinge-back": spine - self.hinge,
                "spine-back": spine,
                "spine-front": front,
                "hinge-front": front + self.hinge,
            }
        else:
            found = {"spine-back": spine, "spine-front": front}
        if self.flap_back:
            found = {"flap-back": back, **found}
        if self.flap_front:
            found["flap-front"] = front + self.panel.width
        return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Upright:
    """How the cover lies between head and foot.

    `head` and `foot` are the margins wanted; `lay` is the edge (head, foot or
    centre) that decides.  `longer_than` is the length of the untrimmed guts.
    """

    lay: str
    head: Length
    foot: Length
    longer_than: Length

    def bottom(self, room: Room, height: Length) -> tuple[Length | None, bool]:
        """Where the trim's foot lies, and whether that is where the lay wants it."""
        hold = room.hold
        if self.lay != "centre":
            low = self.foot if self.lay == "foot" else room.sheet.height - self.head - height
            if low >= hold.y0 and low + height <= hold.y1:
                return low, True
        return room.start(height, across=False), self.lay == "centre"


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverLayout:
    """The cover on a sheet, seen from the outside, right-bound ones mirrored."""

    room: Room
    trim: Box
    parts: Mapping[str, Box]
    scores: Mapping[str, Length]
    spine_centred: bool
    at_lay: bool
    roomy: bool  #: paper is left on every side, and the cover is longer than the guts


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWish:
    """What sheets there are, and how much paper should be left round the trim."""

    sheets: Sequence[NamedSize]
    printer: Printer | None
    flip: Flip | None
    beyond: Length


def best_layout(
    measures: CoverMeasures, upright: Upright, wish: SheetWish, mirrored: bool
) -> CoverLayout | None:
    """The first sheet that leaves paper all round, else the first that takes the open cover.

    None when none does.
    """
    found = list(_candidates(measures, upright, wish, mirrored))
    if not found:
        return None
    best = next((one for one in found if one.roomy and one.at_lay), None)
    best = best or next((one for one in found if one.roomy), found[0])
    return _mirror(best) if mirrored else best


def layout_on(
    measures: CoverMeasures, upright: Upright, room: Room, beyond: Length, mirrored: bool
) -> CoverLayout | None:
    """The cover on paper of one size that is not turned; None when it does not fit."""
    if mirrored:
        room = replace(room, hold=_over(room.hold, room.sheet))
    layout = _on(measures, upright, room, beyond)
    return _mirror(layout) if layout and mirrored else layout


def _candidates(
    measures: CoverMeasures, upright: Upright, wish: SheetWish, mirrored: bool
) -> Iterator[CoverLayout]:
    """Left-bound layouts; for a right-bound cover on a sheet whose gripper is mirrored too."""
    for named in wish.sheets:
        wide = named.size if named.size.landscape else named.size.turned
        for size in dict.fromkeys((wide, wide.turned)):
            room = room_on(named, size, wish.printer, wish.flip)
            if mirrored:
                room = replace(room, hold=_over(room.hold, size))
            layout = _on(measures, upright, room, wish.beyond)
            if layout:
                yield layout


def _on(
    measures: CoverMeasures, upright: Upright, room: Room, beyond: Length
) -> CoverLayout | None:
    size, hold = measures.size, room.hold
    y, at_lay = upright.bottom(room, size.height)
    if y is None or size.width > hold.width:
        return None
    spine = (room.sheet.width - measures.spine).half
    wanted = spine - measures.panel.width - measures.flap_back
    x = min(max(wanted, hold.x0), hold.x1 - size.width)
    trim = Box.at(x, y, size)
    margins = (trim.x0, room.sheet.width - trim.x1, trim.y0, room.sheet.height - trim.y1)
    return CoverLayout(
        room=room,
        trim=trim,
        parts=measures.boxes(x, y),
        scores=measures.scores(x),
        spine_centred=x == wanted,
        at_lay=at_lay,
        roomy=min(margins) >= beyond and room.sheet.height > upright.longer_than,
    )


def _over(box: Box, sheet: Size) -> Box:
    """Left and right of the sheet exchanged."""
    return Box(sheet.width - box.x1, box.y0, sheet.width - box.x0, box.y1)


def _mirror(layout: CoverLayout) -> CoverLayout:
    sheet = layout.room.sheet
    return replace(
        layout,
        room=replace(layout.room, hold=_over(layout.room.hold, sheet)),
        trim=_over(layout.trim, sheet),
        parts={name: _over(box, sheet) for name, box in layout.parts.items()},
        scores={name: sheet.width - x for name, x in layout.scores.items()},
    )
