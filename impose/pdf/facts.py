"""From the text of a page dictionary to facts: boxes, turn and unit settled.

ISO 32000-1 7.7.3.3 (page boxes), 7.9.5 (corners in any order), 14.11.2 (other
boxes count only within the MediaBox; a box that is missing falls back to the
next larger one).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from impose.geometry.box import Box
from impose.geometry.placing import ONE
from impose.model.facts import PageFacts
from impose.pdf.pagetext import numbers
from impose.units import Length

#: Entries of a page that facts are made from.
TOLD: Final = (b"MediaBox", b"CropBox", b"TrimBox", b"BleedBox", b"Rotate", b"UserUnit")
#: What readers take where the MediaBox is missing.
LETTER: Final = b"[ 0 0 612 792 ]"


@dataclass(frozen=True, slots=True)
class Told:
    """The facts of a page and what had to be ignored to get them.

    `media` is the MediaBox in the page's own units, lower left corner first,
    for the form's BBox; as written when it has no area.  `ignored` names
    entries that say nothing usable.  `facts` is None when the MediaBox itself
    has no area.
    """

    facts: PageFacts | None
    media: bytes
    ignored: tuple[str, ...] = ()


def tell(entries: Mapping[bytes, bytes]) -> Told:
    """Facts from entries whose references are settled."""
    ignored: list[str] = []
    unit = _user_unit(entries, ignored)
    media_text = entries.get(b"MediaBox", LETTER)
    media = _box(media_text, unit)
    if media is None:
        return Told(None, media_text)

    def within_media(name: bytes) -> Box | None:
        if name not in entries:
            return None
        box = _box(entries[name], unit)
        if box is not None:
            box = box.meet(media)
        if box is None or box.empty:
            ignored.append(name.decode())
            return None
        return box

    crop = within_media(b"CropBox")
    facts = PageFacts(
        media=media,
        crop=crop or media,
        trim=within_media(b"TrimBox"),
        bleed=within_media(b"BleedBox"),
        rotate=_rotate(entries, ignored),
        user_unit=unit,
    )
    return Told(facts, _in_order(media_text), tuple(ignored))


def _box(text: bytes, unit: Fraction) -> Box | None:
    """None for anything that is not four numbers with an area."""
    corners = numbers(text) if text.startswith(b"[") else None
    if corners is None or len(corners) != 4:
        return None
    x0, x1 = sorted((corners[0], corners[2]))
    y0, y1 = sorted((corners[1], corners[3]))
    box = Box(_length(x0, unit), _length(y0, unit), _length(x1, unit), _length(y1, unit))
    return None if box.empty else box


def _in_order(text: bytes) -> bytes:
    x0, y0, x1, y1 = numbers(text) or ()
    corners = (*sorted((x0, x1)), *sorted((y0, y1)))
    return "[{0:f} {2:f} {1:f} {3:f}]".format(*corners).encode("ascii")


def _length(value: Decimal, unit: Fraction) -> Length:
    """Rounded to the nearest grain, a third of a nanometre."""
    return Length.points(Fraction(value) * unit)


def _user_unit(entries: Mapping[bytes, bytes], ignored: list[str]) -> Fraction:
    """Points in one unit of the page's own coordinates (ISO 32000-1 table 30)."""
    found = numbers(entries.get(b"UserUnit", b"1"))
    if found is None or len(found) != 1 or found[0] <= 0:
        ignored.append("UserUnit")
        return ONE
    return Fraction(found[0])


def _rotate(entries: Mapping[bytes, bytes], ignored: list[str]) -> int:
    """Clockwise degrees: 0, 90, 180 or 270."""
    found = numbers(entries.get(b"Rotate", b"0"))
    if found is None or len(found) != 1 or found[0] % 90:
        ignored.append("Rotate")
        return 0
    return int(found[0]) % 360
