"""Facts about a written file of sheets that a print room's rules ask for; no PDF object in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from impose.geometry.box import Box

#: The subtype that ISO 15930 has given its output intents (ISO 32000-1 table 365).
PRINT_INTENT: Final = "/GTS_PDFX"


@dataclass(frozen=True, slots=True, kw_only=True)
class InkUse:
    """What the content of a page uses, with everything that it draws.

    `spaces` are names of colour spaces, `ICCBased RGB` for one with a profile;
    `bare_fonts` fonts whose program is not in the file; the others say in words
    what is there: `see_through` transparency, `newer` what PDF 1.4 has not,
    `foreign` what is printed from elsewhere or needs more than a reader of PDF,
    `filters` of streams, `transfer` own transfer curves, `screens` halftones that
    belong to a device, `blends` spaces that transparency groups are blended in,
    `missing` what is named and not there, `layers` optional content.  `unread` is
    content that could not be read to its end.
    """

    spaces: frozenset[str] = frozenset()
    bare_fonts: frozenset[str] = frozenset()
    see_through: frozenset[str] = frozenset()
    newer: frozenset[str] = frozenset()
    foreign: frozenset[str] = frozenset()
    filters: frozenset[str] = frozenset()
    screens: frozenset[str] = frozenset()
    blends: frozenset[str] = frozenset()
    missing: frozenset[str] = frozenset()
    transfer: bool = False
    layers: bool = False
    unread: bool = False

    def join(self, other: InkUse) -> InkUse:
        """Both together."""
        if other is NOTHING_USED or self is other:
            return self
        if self is NOTHING_USED:
            return other
        return InkUse(
            spaces=self.spaces | other.spaces,
            bare_fonts=self.bare_fonts | other.bare_fonts,
            see_through=self.see_through | other.see_through,
            newer=self.newer | other.newer,
            foreign=self.foreign | other.foreign,
            filters=self.filters | other.filters,
            screens=self.screens | other.screens,
            blends=self.blends | other.blends,
            missing=self.missing | other.missing,
            transfer=self.transfer or other.transfer,
            layers=self.layers or other.layers,
            unread=self.unread or other.unread,
        )


#: What most operators add.
NOTHING_USED: Final = InkUse()


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPage:
    """One page of the file.  `boxes` by their names in PDF, as far as the page has them, `no_boxes`
    names of entries that are none; `use` is that of the content and of what annotations draw;
    `notes` are kinds of annotations that lie in what is printed, `marks` what is wrong with those
    for the press, `acts` what could act."""

    boxes: Mapping[str, Box]
    no_boxes: frozenset[str] = frozenset()
    use: InkUse = field(default_factory=InkUse)
    notes: frozenset[str] = frozenset()
    marks: frozenset[str] = frozenset()
    acts: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class IntentFacts:
    """An output intent.  `space` is that of its profile, empty without one; `fault` says why its
    profile is none; `version` is the profile's major version."""

    subtype: str
    condition: str
    space: str = ""
    device: str = ""
    version: int = 0
    fault: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFile:
    """The file.  `packed`: objects lie in object streams, or its cross-reference is a stream.
    `claim` is what part of PDF/X the file says that it follows; `filters` and `foreign` are those
    of all streams that hang on the catalogue, drawn or not.  `areas` are boxes that a reader shall
    show or print; `damaged`: the file had to be mended to be read."""

    name: str
    version: str
    encrypted: bool
    packed: bool
    intents: tuple[IntentFacts, ...]
    acts: frozenset[str]
    attached: bool
    layers: bool
    claim: str
    filters: frozenset[str] = frozenset()
    foreign: frozenset[str] = frozenset()
    areas: frozenset[str] = frozenset()
    damaged: bool = False
    pages: tuple[SheetPage, ...]
