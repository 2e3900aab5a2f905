"""Output intents: the source's are kept; a job may name a profile in their place.

ISO 32000-1 14.11.5 says what an output intent is.  Nothing is converted: the
entry only says for which printing condition the colours are meant.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream, String

from impose.errors import PlanMismatchError
from impose.findings import Finding
from impose.model.conditions import Conditions, Part
from impose.model.sheetfacts import PRINT_INTENT
from impose.pdf.decoding import decoded
from impose.pdf.iccprofile import IccProfile, ProfileFault, parse_profile, read_press_profile
from impose.pdf.limits import TooLargeError
from impose.pdf.out import PdfOut
from impose.pdf.sources import Document, Sources

#: The identifier where no standard condition is named (ISO 32000-1 table 365).
_CUSTOM: Final = "Custom"


@dataclass(frozen=True, slots=True)
class Press:
    """What the written sheets name: a profile and its condition, and the part of the standard
    whose version of PDF they are written in."""

    profile: IccProfile | None
    condition: str
    part: Part | None

    @property
    def words(self) -> str:
        """The condition, for people."""
        named = self.profile.description if self.profile else ""
        return self.condition or named or "a profile without a name"


def press_of(conditions: Conditions) -> Press | None:
    """None where the job says nothing.  Raises `InputError` for a profile that is none."""
    if conditions.profile is None and conditions.ready is None:
        return None
    path = conditions.profile
    profile = read_press_profile(path) if path is not None else None
    return Press(profile, conditions.condition, conditions.ready)


def intent_findings(sources: Sources, conditions: Conditions) -> tuple[Finding, ...]:
    """What the job's profile stands in place of; nothing where the job names none."""
    press = sources.press
    if press is None or press.profile is None or conditions.profile is None:
        return ()
    said = Finding.note(
        "output-intent-named",
        f"the sheets name {press.words} ({press.profile.space}) as their output intent, as the "
        f"job asks; no colour is converted",
        profile=conditions.profile.name,
        space=press.profile.space,
    )
    return (said, *_replaced(sources.documents, press))


def not_looked_at(conditions: Conditions) -> tuple[Finding, ...]:
    """Where no sheets are written, none can be held to a part of the standard."""
    if conditions.ready is None:
        return ()
    return (
        Finding.note(
            "ready-not-looked-at",
            f"the rules of {conditions.ready.title} are for written sheets, and none are written",
            hint="make the job: its findings say what the sheets break",
        ),
    )


def _replaced(documents: Sequence[Document], press: Press) -> Iterator[Finding]:
    profile = press.profile
    assert profile is not None
    for document in documents:
        for intent in intents_of(document.pdf):
            data = profile_data(intent)
            if data == profile.data:
                continue
            kept = _named(intent, data)
            yield Finding.warning(
                "output-intent-replaced",
                f"{document.path} is made for {kept}; the sheets name {press.words} "
                f"({profile.space}), and no colour is converted",
                hint="export the pages for the printing condition of the job, or leave out "
                "profile in [print]",
                file=str(document.path),
                source=kept,
                job=f"{press.words} ({profile.space})",
            )


def intents_of(pdf: pikepdf.Pdf) -> list[Object]:
    """The output intents of a file; what is none is passed over."""
    listed = pdf.Root.get("/OutputIntents")
    if not isinstance(listed, Array):
        return []
    return [item for item in listed if isinstance(item, Dictionary)]


def profile_data(intent: Object) -> bytes | None:
    """The profile in an intent; None where there is none that can be read."""
    stream = intent.get("/DestOutputProfile")
    if not isinstance(stream, Stream):
        return None
    try:
        data, whole = decoded(stream)
    except TooLargeError:
        return None
    return data if whole else None


def _named(intent: Object, data: bytes | None) -> str:
    """Its condition and colour space, for people."""
    words = str(intent.get("/OutputConditionIdentifier", "")) or "a condition without a name"
    if words == _CUSTOM:
        words = str(intent.get("/Info", "")) or words
    if data is None:
        return words
    try:
        return f"{words} ({parse_profile(data).space})"
    except ProfileFault:
        return f"{words} (with a damaged profile)"


def write_intent(out: PdfOut, press: Press | None) -> bytes:
    """The catalogue's entry for the job's profile; nothing where it names none."""
    if press is None or press.profile is None:
        return b""
    entries = b"/N %d" % press.profile.components
    number = out.add_own_stream(entries, press.profile.data)
    intent = Dictionary(
        Type=Name.OutputIntent,
        S=Name(PRINT_INTENT),
        OutputConditionIdentifier=String(press.condition or _CUSTOM),
        Info=String(press.words),
    )
    text = intent.unparse()
    return b"/OutputIntents[%b/DestOutputProfile %d 0 R>>]" % (text[:-2].rstrip(), number)


def verify_intent(target: Path, press: Press | None) -> None:
    """Reads the written intent again.  Raises `PlanMismatchError` when it is another."""
    if press is None or press.profile is None:
        return
    with pikepdf.Pdf.open(target, inherit_page_attributes=False) as pdf:
        found = intents_of(pdf)
        if len(found) != 1 or profile_data(found[0]) != press.profile.data:
            told = zlib.crc32(press.profile.data)
            raise PlanMismatchError(f"{target} does not carry the job's profile (CRC {told:08x})")
