"""What the pages of sheets use: fonts, colours, transparency, filters.

What each rule rests on stands at its function, as in `impose.checks.ready`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

from impose.checks.readywords import broken, listed, of_pages
from impose.findings import Finding
from impose.model.conditions import Part
from impose.model.sheetfacts import PRINT_INTENT, SheetFile, SheetPage

#: Filters that PDF has (ISO 32000-1 table 6) but two: LZW (barred in all parts, from memory), and
#: encryption stream by stream (7.4.10).
_FILTERS: Final = frozenset({
    "ASCIIHexDecode", "ASCII85Decode", "FlateDecode", "RunLengthDecode", "CCITTFaxDecode",
    "JBIG2Decode", "DCTDecode", "JPXDecode",
})  # fmt: skip
_MEANT: Final = {"RGB": "DeviceRGB", "CMYK": "DeviceCMYK", "GRAY": "DeviceGray"}
_CLEAR_CMYK: Final = frozenset({"DeviceGray", "DeviceCMYK"})


def _check_notes(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Annotations other than for the press lie outside what is printed (from memory)."""
    yield from of_pages(
        "annotation", file, part, lambda page: page.notes,
        "annotations lie in the printed area: {}", "remove them, or flatten them into the page",
    )  # fmt: skip


def _check_fonts(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Every font is in the file, those of marks too (from memory)."""
    yield from of_pages(
        "font", file, part, lambda page: page.use.bare_fonts,
        "not in the file is the font {}", "embed all fonts when the pages are exported",
    )  # fmt: skip


def _check_transparency(file: SheetFile, part: Part) -> Iterator[Finding]:
    """The older parts allow none (from memory); X-4 is the one that does."""
    if part.older:
        yield from of_pages(
            "transparency", file, part, lambda page: page.use.see_through,
            f"there is transparency, which {part.title} does not allow: {{}}",
            'flatten it when the pages are exported, or ask for ready = "X-4"',
        )  # fmt: skip


def _check_newer(file: SheetFile, part: Part) -> Iterator[Finding]:
    """What came with later versions (ISO 32000-1 7.4.9, tables 30, 67, 89 and 126)."""
    if part.older:
        yield from of_pages(
            "newer", file, part, lambda page: page.use.newer,
            f"newer than PDF {part.version}, to which {part.title} goes up: {{}}",
            "export the pages for that version: pictures with 8 bits, as JPEG or without loss",
        )  # fmt: skip


def _check_filters(file: SheetFile, part: Part) -> Iterator[Finding]:
    """What no page draws is in the file all the same (see `_FILTERS`)."""
    words = "data are packed with {}, which no part allows"
    hint = "save the file with Flate instead"

    def drawn(page: SheetPage) -> frozenset[str]:
        return page.use.filters - _FILTERS

    yield from of_pages("filter", file, part, drawn, words, hint)
    rest = file.filters - _FILTERS - _of_all(file, drawn)
    if rest:
        yield broken("filter", file, part, words.format(listed(rest)), hint)


def _check_foreign(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Complete exchange: everything that is printed is in the file (the parts' titles)."""
    words = "not all that is printed lies in the file: {}"
    hint = "put the pictures themselves into the file"
    yield from of_pages("foreign", file, part, lambda page: page.use.foreign, words, hint)
    rest = file.foreign - _of_all(file, lambda page: page.use.foreign)
    if rest:
        yield broken("foreign", file, part, words.format(listed(rest)), hint)


def _check_missing(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Complete exchange again: what the content names is there (ISO 32000-1 7.8.3), each ink with
    the tint transform that it needs (8.6.6.4)."""
    yield from of_pages(
        "missing", file, part, lambda page: page.use.missing,
        "not in the file, or not sound there, is {}", "export the pages again",
    )  # fmt: skip


def _check_screens(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Halftones are of type 1 or 5 and not named by a device (from memory)."""
    yield from of_pages(
        "halftone", file, part, lambda page: page.use.screens,
        "screens are set: {}", "export the pages without halftones; the press has its own",
    )  # fmt: skip


def _check_marks(file: SheetFile, part: Part) -> Iterator[Finding]:
    """ISO 32000-1 14.11.3: a printer's mark has the flags Print and ReadOnly, and no others."""
    yield from of_pages(
        "printer-mark", file, part, lambda page: page.marks,
        "a printer's mark would not be printed as one: {}",
        "draw the marks in the page, or set the flags Print and ReadOnly of their annotations",
    )  # fmt: skip


def _check_transfer(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory."""
    pages = [n for n, page in enumerate(file.pages, start=1) if page.use.transfer]
    if pages:
        yield broken(
            "transfer", file, part, "there are transfer curves of the file's own",
            "export the pages without transfer functions", pages,
        )  # fmt: skip


def _check_spaces(file: SheetFile, part: Part) -> Iterator[Finding]:
    """X-1a is for CMYK and spot colours (its title).  In the others a device's own colours are
    those of the output intent; others carry a profile (from memory)."""
    if part is Part.X1A:
        yield from of_pages(
            "colour", file, part, lambda page: page.use.spaces - _CLEAR_CMYK,
            f"there are colours in {{}}; {part.title} is for CMYK, grey and spot colours",
            "convert the pages to CMYK with the print room's profile when they are exported",
        )  # fmt: skip
        return
    known = _of_intents(file)
    strange = frozenset({"DeviceRGB", "DeviceCMYK"}) - known
    told = ", ".join(sorted(space for space, device in _MEANT.items() if device in known))
    if not _has_profile(file):  # then only that both cannot be right is sure
        yield from _no_goal(file, part)
        if not strange <= _of_all(file, lambda page: page.use.spaces):
            return
    yield from of_pages(
        "colour", file, part, lambda page: page.use.spaces & strange,
        "there are colours in {} without a profile; the output intent is for "
        + (told or "one of RGB and CMYK at most"),
        "export the pages with the profiles of their colours, or in the colours of the intent",
    )  # fmt: skip


def _check_blending(file: SheetFile, part: Part) -> Iterator[Finding]:
    """A group is blended in the intent's device space or one with a profile (from memory); the
    older parts have no groups."""
    strange = frozenset({"DeviceRGB", "DeviceCMYK"}) - _of_intents(file)
    if not part.older and _has_profile(file):
        yield from of_pages(
            "blending", file, part, lambda page: page.use.blends & strange,
            "transparency groups are blended in {}, which the output intent is not for",
            "set the program's space for blending to that of the print room's profile",
        )  # fmt: skip


def _of_intents(file: SheetFile) -> frozenset[str]:
    """The device spaces that the profiles of the print intents are for."""
    spaces = {intent.space for intent in file.intents if intent.subtype == PRINT_INTENT}
    return frozenset(_MEANT[space] for space in spaces if space in _MEANT)


def _has_profile(file: SheetFile) -> bool:
    return any(intent.space for intent in file.intents if intent.subtype == PRINT_INTENT)


def _no_goal(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Colours with profiles need a profile to be turned into (X-3 from memory; X-4 always has
    one)."""
    if part is Part.X3:
        devices = frozenset({"DeviceGray", "DeviceRGB", "DeviceCMYK"})
        yield from of_pages(
            "intent", file, part, lambda page: page.use.spaces - devices,
            "there are colours in {}, and no profile of an output intent to turn them into",
            'name the print room\'s ICC profile: profile = "press.icc" in [print]',
        )  # fmt: skip


def _check_unread(file: SheetFile, part: Part) -> Iterator[Finding]:
    """What cannot be read cannot be checked."""
    pages = [n for n, page in enumerate(file.pages, start=1) if page.use.unread]
    if pages:
        yield broken(
            "unread", file, part, "content that cannot be read to its end was checked in part only",
            "export the pages again", pages,
        )  # fmt: skip


def _of_all(file: SheetFile, of: Callable[[SheetPage], frozenset[str]]) -> frozenset[str]:
    return frozenset().union(*(of(page) for page in file.pages))


#: In the order in which they are told.
PAGE_RULES: Final = (
    _check_notes,
    _check_marks,
    _check_fonts,
    _check_missing,
    _check_transparency,
    _check_blending,
    _check_newer,
    _check_filters,
    _check_foreign,
    _check_transfer,
    _check_screens,
    _check_spaces,
    _check_unread,
)
