"""Whether written sheets keep the rules of a part of ISO 15930 that can be told without its text.

This is no certification and says so.  What each rule rests on stands at its
function: the standard's published titles (see `impose.model.conditions`), ISO
32000-1, a published note on PDF/X-3:2002 (page boxes; quoted on the list
ntg-pdftex, November 2005), or "from memory", which is common knowledge of the
trade about the parts and has not been held against their text.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from impose.checks.readyboxes import check_boxes
from impose.checks.readypages import PAGE_RULES
from impose.checks.readywords import broken, listed, of_pages
from impose.findings import Finding
from impose.model.conditions import Part
from impose.model.sheetfacts import PRINT_INTENT, IntentFacts, SheetFile


def check_ready(file: SheetFile, part: Part, unit: str) -> tuple[Finding, ...]:
    """Every rule that the file breaks, each once with its pages (of the file, from 1)."""
    rules: tuple[Callable[[SheetFile, Part], Iterator[Finding]], ...] = (
        _check_damage,
        _check_version,
        _check_encryption,
        _check_packed,
        _check_layers,
        _check_intent,
        _check_intent_version,
        _check_acts,
        _check_attached,
        _check_areas,
        *PAGE_RULES,
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


def _check_damage(file: SheetFile, part: Part) -> Iterator[Finding]:
    """A PDF is what ISO 32000-1 7.5 says: what readers mend, each mends in its own way."""
    if file.damaged:
        yield broken(
            "damaged", file, part, "the file is damaged and had to be mended to be read",
            "make or save it again",
        )  # fmt: skip


def _check_version(file: SheetFile, part: Part) -> Iterator[Finding]:
    """The version is in the parts' titles."""
    told = tuple(int(n) for n in file.version.split(".") if n.isdigit())
    most = tuple(int(n) for n in part.version.split("."))
    if told > most:
        yield broken(
            "version", file, part,
            f"the file is PDF {file.version}; {part.title} goes up to PDF {part.version}",
            f'make the sheets with ready = "{part.value}" in [print]',
            version=file.version, most=part.version,
        )  # fmt: skip


def _check_encryption(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory."""
    if file.encrypted:
        yield broken(
            "encrypted", file, part, "the file is encrypted",
            "save it without a password and without restrictions",
        )  # fmt: skip


def _check_packed(file: SheetFile, part: Part) -> Iterator[Finding]:
    """PDF 1.4 has neither object streams nor cross-reference streams (ISO 32000-1 7.5.7)."""
    if part.older and file.packed:
        yield broken(
            "object-streams", file, part,
            f"objects or cross-references lie in streams, which came with PDF 1.5; {part.title} "
            f"goes up to PDF {part.version}",
            f'make the sheets with ready = "{part.value}" in [print]',
        )  # fmt: skip


def _check_layers(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Optional content came with PDF 1.5 (ISO 32000-1 8.11)."""
    if part.older and file.layers:
        yield broken(
            "layers", file, part,
            f"there are layers, which came with PDF 1.5; {part.title} goes up to "
            f"PDF {part.version}",
            "export the pages without layers",
        )  # fmt: skip


def _check_intent(file: SheetFile, part: Part) -> Iterator[Finding]:
    """One intent for print, with a profile of an output device or a named condition
    (ISO 32000-1 14.11.5; that X-1a is for CMYK is in its title; the rest from memory)."""
    hint = 'name the print room\'s ICC profile: profile = "press.icc" in [print]'
    intents = [intent for intent in file.intents if intent.subtype == PRINT_INTENT]
    if len(intents) != 1:
        many = "no output intent" if not intents else f"{len(intents)} output intents"
        yield broken(
            "intent", file, part, f"there is {many} for print; one is wanted", hint,
            intents=len(intents),
        )  # fmt: skip
        return
    words = _intent_fault(intents[0], part)
    if words:
        yield broken("intent", file, part, words, hint)


def _intent_fault(intent: IntentFacts, part: Part) -> str:
    """What is wrong with it, or nothing.  That X-4 has the profile itself is in its title: with
    a reference to one elsewhere it is X-4p, for partial exchange."""
    if intent.fault:
        return f"the profile of the output intent {intent.fault}"
    if not intent.space and not intent.condition:
        return "the output intent names neither a condition nor a profile"
    if not intent.condition:
        return "the output intent names no condition (OutputConditionIdentifier)"  # table 365
    if not intent.space and part is Part.X4:
        return f"the output intent has no profile; {part.title} has it in the file"
    if intent.space and intent.device != "prtr":
        return f"the output intent's profile is of class {intent.device}, not of a press (prtr)"
    if part is Part.X1A and intent.space == "RGB":
        return f"the output intent is for RGB; {part.title} is for CMYK and spot colours"
    return ""


def _check_intent_version(file: SheetFile, part: Part) -> Iterator[Finding]:
    """Profiles of version 4 came with PDF 1.5 (ISO 32000-1 table 67)."""
    if part.older and any(intent.version > 2 for intent in file.intents):
        yield broken(
            "intent-version", file, part,
            f"the output intent's profile is of ICC version 4, which came with PDF 1.5; "
            f"{part.title} goes up to PDF {part.version}",
            "ask the print room for the profile in ICC version 2",
        )  # fmt: skip


def _check_acts(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory."""
    hint = "remove actions, scripts and forms"
    if file.acts:
        yield broken("action", file, part, f"it could act: {listed(file.acts)}", hint)
    yield from of_pages("action", file, part, lambda page: page.acts, "it could act: {}", hint)


def _check_attached(file: SheetFile, part: Part) -> Iterator[Finding]:
    """From memory: nothing that is not printed travels with the sheets."""
    if file.attached:
        yield broken("attached", file, part, "files are attached", "remove the attached files")


def _check_areas(file: SheetFile, part: Part) -> Iterator[Finding]:
    """What shall be shown and printed is all of the page, or its bleed (from memory; the entries
    are in ISO 32000-1 table 150)."""
    areas = frozenset(a for a in file.areas if not a.endswith((" MediaBox", " BleedBox")))
    if areas:
        yield broken(
            "print-area", file, part, f"less than the bleed is to be shown or printed: "
            f"{listed(areas)}", "leave these wishes for a reader out of the file",
        )  # fmt: skip
