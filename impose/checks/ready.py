"""Whether written sheets keep the rules of a part of ISO 15930 that can be told without its text.

This is no certification and says so.  What each rule rests on stands at its
function: the standard's published titles (see `impose.model.conditions`), ISO
32000-1, a published note on PDF/X-3:2002 (page boxes; quoted on the list
ntg-pdftex, November 2005), or "from memory", which is common knowledge of the
trade about the parts and has not been held against their text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from impose.findings import Finding, page_ranges
from impose.geometry.box import Box
from impose.model.conditions import Part
from impose.model.sheetfacts import SheetFile, SheetPage
from impose.units import Length

#: What a box must lie in, the nearest first.
_AROUND: Final = {
    "TrimBox": ("BleedBox", "CropBox", "MediaBox"),
    "ArtBox": ("BleedBox", "CropBox", "MediaBox"),
    "BleedBox": ("CropBox", "MediaBox"),
}
#: Boxes written by other programs are rounded (0.001 pt is what readers of 32-bit floats keep).
_SLACK: Final = Length.points("0.001")
#: A message names no more ranges of pages.
_MOST_RANGES: Final = 6
_PRINT_INTENT: Final = "/GTS_PDFX"
_CLEAR_CMYK: Final = frozenset({"DeviceGray", "DeviceCMYK"})


def check_ready(file: SheetFile, part: Part, unit: str) -> tuple[Finding, ...]:
    """Every rule that the file breaks, each once with its pages (of the file, from 1)."""
    rules: tuple[Callable[[SheetFile, Part], Iterator[Finding]], ...] = (
        _check_version,
        _check_encryption,
        _check_packed,
        _check_layers,
        _check_intent,
        _check_intent_version,
        _check_acts,
        _check_attached,
        _check_notes,
        _check_fonts,
        _check_transparency,
        _check_newer,
        _check_filters,
        _check_foreign,
        _check_transfer,
        _check_spaces,
        _check_unread,
    )
    found = [finding for rule in rules for finding in rule(file, part)]
    return (*check_boxes(file, part, unit), *found)


def not_a_claim(file: SheetFile, part: Part) -> Finding:
    """What the check is, and is not."""
    claims = f"it calls itself {file.claim}" if file.claim else "it does not call itself PDF/X"
    return Finding.note(
        "ready-no-certificate",
        f"{file.name} was held to rules of {part.title} that can be told without the standard's "
        f"text; this is no certificate, and {claims}",
        hint="a print room that wants certified files makes or checks them with its own tools",
        file=file.name,
    )


def _broken(
    code: str, file: SheetFile, part: Part, words: str, hint: str, pages: Sequence[int] = (),
    **numbers: str | int,
) -> Finding:  # fmt: skip
    where = file.name
    if pages:
        where += f", page{'s' if len(pages) != 1 else ''} {_short_ranges(pages)}"
    return Finding.warning(
        f"ready-{code}",
        f"{where}: {words}",
        hint=hint,
        file=file.name,
        pages=pages,
        part=part.value,
        **numbers,
    )


def _short_ranges(pages: Sequence[int]) -> str:
    """The first few ranges; all pages stand in the finding."""
    ranges = page_ranges(pages).split(", ")
    if len(ranges) <= _MOST_RANGES:
        return ", ".join(ranges)
    return f"{', '.join(ranges[:_MOST_RANGES])} and others, {len(pages)} in all"


def check_boxes(file: SheetFile, part: Part, unit: str) -> Iterator[Finding]:
    """TrimBox or ArtBox, not both; nested (note on PDF/X-3:2002; ISO 32000-1 14.11.2)."""
    faults: dict[tuple[str, str, str], list[int]] = {}
    for number, page in enumerate(file.pages, start=1):
        for fault in _box_faults(page, unit):
            faults.setdefault(fault, []).append(number)
    for (code, words, hint), pages in faults.items():
        yield _broken(code, file, part, words, hint, pages)


def _box_faults(page: SheetPage, unit: str) -> Iterator[tuple[str, str, str]]:
    boxes = page.boxes
    if "TrimBox" not in boxes and "ArtBox" not in boxes:
        yield (
            "box-missing",
            "there is neither a TrimBox nor an ArtBox; one of them is wanted",
            "export with the page's trim as TrimBox",
        )
    if "TrimBox" in boxes and "ArtBox" in boxes:
        yield (
            "box-both",
            "there are a TrimBox and an ArtBox; one of the two is wanted",
            "leave the ArtBox out",
        )
    for inner, names in _AROUND.items():
        for outer in names:
            if inner in boxes and outer in boxes and not _within(boxes[inner], boxes[outer]):
                yield (
                    "box-nesting",
                    f"the {inner} ({boxes[inner].text(unit)}) reaches beyond the {outer} "
                    f"({boxes[outer].text(unit)})",
                    f"make the {outer} larger, or the {inner} smaller",
                )


def _within(inner: Box, outer: Box) -> bool:
    return (
        inner.x0 >= outer.x0 - _SLACK
        and inner.y0 >= outer.y0 - _SLACK
        and inner.x1 <= outer.x1 + _SLACK
        and inner.y1 <= outer.y1 + _SLACK
    )


def _check_version(file: SheetFile, part: Part) -> Iterator[Finding]:
    """The version is in the parts' titles."""
    told = tuple(int(n) for n in file.version.split(".") if n.isdigit())
    most = tuple(int(n) for n in part.version.split("."))
    if told > most:
        yield _broken(
            "version", file, part,
            f"the file is PDF {file.version}; {part.title} goes up to PDF {part.version}",
            f'make the sheets with ready = "{part.value}" in [print]',
            version=file.version, most=part.version,
        )  # fmt: skip


def _check_encryption(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory."""
    if file.encrypted:
        yield _broken(
            "encrypted", file, part, "the file is encrypted",
            "save it without a password and without restrictions",
        )  # fmt: skip


def _check_packed(file: SheetFile, part: Part) -> Iterator[Finding]:
    """PDF 1.4 has neither object streams nor cross-reference streams (ISO 32000-1 7.5.7)."""
    if part.older and file.packed:
        yield _broken(
            "object-streams", file, part,
            f"objects or cross-references lie in streams, which came with PDF 1.5; {part.title} "
            f"goes up to PDF {part.version}",
            f'make the sheets with ready = "{part.value}" in [print]',
        )  # fmt: skip


def _check_layers(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Optional content came with PDF 1.5 (ISO 32000-1 8.11)."""
    if part.older and file.layers:
        yield _broken(
            "layers", file, part,
            f"there are layers, which came with PDF 1.5; {part.title} goes up to "
            f"PDF {part.version}",
            "export the pages without layers",
        )  # fmt: skip


def _check_intent(file: SheetFile, part: Part) -> Iterator[Finding]:
    """One intent for print, with a profile of an output device or a named condition
    (ISO 32000-1 14.11.5; that X-1a is for CMYK is in its title; the rest from memory)."""
    hint = 'name the print room\'s ICC profile: profile = "press.icc" in [print]'
    intents = [intent for intent in file.intents if intent.subtype == _PRINT_INTENT]
    if len(intents) != 1:
        many = "no output intent" if not intents else f"{len(intents)} output intents"
        yield _broken(
            "intent", file, part, f"there is {many} for print; one is wanted", hint,
            intents=len(intents),
        )  # fmt: skip
        return
    intent = intents[0]
    if intent.fault:
        words = f"the profile of the output intent {intent.fault}"
    elif not intent.space and not intent.condition:
        words = "the output intent names neither a condition nor a profile"
    elif intent.space and intent.device != "prtr":
        words = f"the output intent's profile is of class {intent.device}, not of a press (prtr)"
    elif part is Part.X1A and intent.space == "RGB":
        words = f"the output intent is for RGB; {part.title} is for CMYK and spot colours"
    else:
        return
    yield _broken("intent", file, part, words, hint)


def _check_intent_version(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Profiles of version 4 came with PDF 1.5 (ISO 32000-1 table 67)."""
    if part.older and any(intent.version > 2 for intent in file.intents):
        yield _broken(
            "intent-version", file, part,
            f"the output intent's profile is of ICC version 4, which came with PDF 1.5; "
            f"{part.title} goes up to PDF {part.version}",
            "ask the print room for the profile in ICC version 2",
        )  # fmt: skip


def _check_acts(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory."""
    hint = "remove actions, scripts and forms"
    if file.acts:
        yield _broken("action", file, part, f"it could act: {_listed(file.acts)}", hint)
    yield from _of_pages("action", file, part, lambda page: page.acts, "it could act: {}", hint)


def _check_attached(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory: nothing that is not printed travels with the sheets."""
    if file.attached:
        yield _broken("attached", file, part, "files are attached", "remove the attached files")


def _check_notes(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Annotations other than for the press lie outside what is printed (from memory)."""
    yield from _of_pages(
        "annotation", file, part, lambda page: page.notes,
        "annotations lie in the printed area: {}", "remove them, or flatten them into the page",
    )  # fmt: skip


def _check_fonts(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Every font is in the file, those of marks too (from memory)."""
    yield from _of_pages(
        "font", file, part, lambda page: page.use.bare_fonts,
        "not in the file is the font {}", "embed all fonts when the pages are exported",
    )  # fmt: skip


def _check_transparency(file: SheetFile, part: Part) -> Iterator[Finding]:
    """The older parts allow none (from memory); X-4 is the one that does."""
    if part.older:
        yield from _of_pages(
            "transparency", file, part, lambda page: page.use.see_through,
            f"there is transparency, which {part.title} does not allow: {{}}",
            'flatten it when the pages are exported, or ask for ready = "X-4"',
        )  # fmt: skip


def _check_newer(file: SheetFile, part: Part) -> Iterator[Finding]:
    """What came with PDF 1.5 (ISO 32000-1 7.4.9, table 89)."""
    if part.older:
        yield from _of_pages(
            "newer", file, part, lambda page: page.use.newer,
            f"{{}} came with PDF 1.5; {part.title} goes up to PDF {part.version}",
            "save the pictures with 8 bits, as JPEG or without loss",
        )  # fmt: skip


def _check_filters(file: SheetFile, part: Part) -> Iterator[Finding]:
    """LZW (from memory); encryption stream by stream (ISO 32000-1 7.4.10)."""
    barred = frozenset({"LZWDecode", "Crypt"})
    yield from _of_pages(
        "filter", file, part, lambda page: page.use.filters & barred,
        "data are packed with {}, which no part allows", "save the file with Flate instead",
    )  # fmt: skip


def _check_foreign(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Complete exchange: everything that is printed is in the file (the parts' titles)."""
    yield from _of_pages(
        "foreign", file, part, lambda page: page.use.foreign,
        "not all that is printed lies in the file: {}", "put the pictures themselves into the file",
    )  # fmt: skip


def _check_transfer(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory."""
    pages = [n for n, page in enumerate(file.pages, start=1) if page.use.transfer]
    if pages:
        yield _broken(
            "transfer", file, part, "there are transfer curves of the file's own",
            "export the pages without transfer functions", pages,
        )  # fmt: skip


def _check_spaces(file: SheetFile, part: Part) -> Iterator[Finding]:
    """X-1a is for CMYK and spot colours (its title).  In the others a device's own colours are
    those of the output intent; others carry a profile (from memory)."""
    if part is Part.X1A:
        yield from _of_pages(
            "colour", file, part, lambda page: page.use.spaces - _CLEAR_CMYK,
            f"there are colours in {{}}; {part.title} is for CMYK, grey and spot colours",
            "convert the pages to CMYK with the print room's profile when they are exported",
        )  # fmt: skip
        return
    spaces = {intent.space for intent in file.intents if intent.subtype == _PRINT_INTENT}
    meant = {"RGB": "DeviceRGB", "CMYK": "DeviceCMYK"}
    known = {meant[space] for space in spaces if space in meant}
    if not known:
        return  # without a profile nobody can tell; that it lacks is told
    strange = frozenset(meant.values()) - known
    yield from _of_pages(
        "colour", file, part, lambda page: page.use.spaces & strange,
        f"there are colours in {{}} without a profile; the output intent is for "
        f"{', '.join(sorted(spaces))}",
        "export the pages with the profiles of their colours, or in the colours of the intent",
    )  # fmt: skip


def _check_unread(file: SheetFile, part: Part) -> Iterator[Finding]:
    """What cannot be read cannot be checked."""
    pages = [n for n, page in enumerate(file.pages, start=1) if page.use.unread]
    if pages:
        yield _broken(
            "unread", file, part, "content that cannot be read to its end was checked in part only",
            "export the pages again", pages,
        )  # fmt: skip


def _of_pages(
    code: str, file: SheetFile, part: Part, of: Callable[[SheetPage], frozenset[str]],
    words: str, hint: str,
) -> Iterator[Finding]:  # fmt: skip
    """One finding for each set of things, with the pages that have it."""
    seen: dict[frozenset[str], list[int]] = {}
    for number, page in enumerate(file.pages, start=1):
        if things := of(page):
            seen.setdefault(things, []).append(number)
    for things, pages in seen.items():
        yield _broken(code, file, part, words.format(_listed(things)), hint, pages)


def _listed(things: frozenset[str]) -> str:
    return ", ".join(sorted(things))
