"""The output's catalogue, built from a whitelist.

Pages, output intents and optional-content settings, nothing else: an outline, a
named destination or a script that still points at an old page would keep that
whole page alive, and none of them means anything on a press sheet.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, String

from impose.findings import Finding
from impose.pdf.read import Document

PRODUCER: Final = "impose"
#: What the writer itself makes or needs of the trailer; anything else is left out.
_TRAILER_KEPT: Final = frozenset(
    ("/Root", "/Info", "/ID", "/Size", "/Encrypt", "/Prev", "/XRefStm")
    + ("/Type", "/W", "/Index", "/Length", "/Filter", "/DecodeParms")
)
_LISTS: Final = ("/ON", "/OFF", "/Order", "/RBGroups", "/Locked", "/AS")
#: PDF/X parts that go back to PDF 1.3 and 1.4, which had no object streams (ISO 15930-1, -3).
_OLD_EXCHANGE: Final = ("PDF/X-1", "PDF/X-2", "PDF/X-3")


@contextmanager
def fresh_catalogue(host: pikepdf.Pdf, entries: Object, title: str) -> Iterator[None]:
    """Inside the block the host's catalogue has only these entries; restored after it."""
    trailer = host.trailer
    kept = {key: trailer[key] for key in trailer.keys() if key not in _TRAILER_KEPT}
    root, info = trailer.Root, trailer.get("/Info")
    try:
        for key in kept:
            del trailer[key]
        trailer.Root = host.make_indirect(entries)
        trailer.Info = host.make_indirect(
            Dictionary(Title=String(title), Producer=String(PRODUCER))
        )
        yield
    finally:
        trailer.Root = root
        if info is None:
            del trailer["/Info"]
        else:
            trailer.Info = info
        for key, value in kept.items():
            trailer[key] = value


def carried_entries(
    host: pikepdf.Pdf, documents: Sequence[Document]
) -> tuple[Object, tuple[Finding, ...]]:
    """A catalogue without pages: output intents and layers of the documents, in their order."""
    entries = Dictionary(Type=Name.Catalog)
    findings = _carry_intents(host, documents, entries)
    _carry_layers(host, documents, entries)
    return entries, findings


def least_version(documents: Sequence[Document]) -> str:
    """The highest PDF version that any document says it needs; object streams need 1.5."""
    versions = ["1.5"]
    for document in documents:
        versions.append(document.pdf.pdf_version)
        told = document.pdf.Root.get("/Version")
        if isinstance(told, Name):
            versions.append(str(told)[1:])
    return max(versions, key=_version_number)


def _version_number(version: str) -> tuple[int, ...]:
    parts = version.split(".")
    return tuple(int(part) for part in parts) if all(p.isdigit() for p in parts) else (0,)


def takes_object_streams(documents: Sequence[Document]) -> bool:
    """No only for inputs that follow an older part of PDF/X."""
    for document in documents:
        info = document.pdf.trailer.get("/Info")
        told = info.get_str("/GTS_PDFXVersion", "") if isinstance(info, Dictionary) else ""
        if told.startswith(_OLD_EXCHANGE):
            return False
    return True


def _carry_intents(
    host: pikepdf.Pdf, documents: Sequence[Document], entries: Object
) -> tuple[Finding, ...]:
    """The first document's that has any; each later one that differs is a finding."""
    first: Document | None = None
    findings = []
    for document in documents:
        intents = document.pdf.Root.get("/OutputIntents")
        if not isinstance(intents, Array) or not len(intents):
            continue
        if first is None:
            first = document
            entries.OutputIntents = _brought(host, document, intents)
        elif _intent_key(intents) != _intent_key(first.pdf.Root.OutputIntents):
            findings.append(
                Finding.warning(
                    "output-intent-differs",
                    f"{document.path} is made for other printing conditions than {first.path}; "
                    f"the sheets name those of {first.path}",
                    hint="export both files for the same printing conditions",
                    file=str(document.path),
                    kept=_condition(first.pdf.Root.OutputIntents),
                    dropped=_condition(intents),
                )
            )
    return tuple(findings)


def _intent_key(intents: Object) -> list[tuple[str, str, int]]:
    key = []
    for intent in intents:
        if isinstance(intent, Dictionary):
            profile = intent.get("/DestOutputProfile")
            checksum = (
                zlib.crc32(profile.read_bytes()) if isinstance(profile, pikepdf.Stream) else 0
            )
            key.append((str(intent.get("/S", "")), _condition([intent]), checksum))
    return key


def _condition(intents: Object | list[Object]) -> str:
    """The name of the printing condition, as the file gives it."""
    for intent in intents:
        if isinstance(intent, Dictionary):
            return intent.get_str("/OutputConditionIdentifier", "")
    return ""


def _carry_layers(host: pikepdf.Pdf, documents: Sequence[Document], entries: Object) -> None:
    """One document's settings as they are; those of several joined (ISO 32000-1 8.11.4)."""
    found = [
        _brought(host, document, layers)
        for document in documents
        if isinstance(layers := document.pdf.Root.get("/OCProperties"), Dictionary)
    ]
    if len(found) == 1:
        entries.OCProperties = found[0]
    elif found:
        entries.OCProperties = _joined_layers(found)


def _joined_layers(found: Sequence[Object]) -> Object:
    """All groups, each in the state that its own file starts with."""
    groups = Array()
    lists = {name: Array() for name in _LISTS}
    for layers in found:
        own = layers.get("/OCGs", Array())
        groups.extend(own)
        config = layers.get("/D", Dictionary())
        on, off = _states(own, config)
        lists["/ON"].extend(on)
        lists["/OFF"].extend(off)
        for name in _LISTS[2:]:
            value = config.get(name)
            if isinstance(value, Array):
                lists[name].extend(value)
    joined = Dictionary(Name=String("All"))
    for name, value in lists.items():
        if len(value):
            joined[name] = value
    return Dictionary(OCGs=groups, D=joined)


def _states(groups: Object, config: Object) -> tuple[list[Object], list[Object]]:
    """Which groups start shown and which hidden, said for each of them (table 101)."""
    off = pikepdf.ObjectSet(_dictionaries(config.get("/OFF")))
    on = pikepdf.ObjectSet(_dictionaries(config.get("/ON")))
    hidden_unless_on = config.get("/BaseState") == Name.OFF
    shown, hidden = [], []
    for group in _dictionaries(groups):
        is_hidden = group not in on if hidden_unless_on else group in off
        (hidden if is_hidden else shown).append(group)
    return shown, hidden


def _dictionaries(array: Object | None) -> list[Object]:
    if not isinstance(array, Array):
        return []
    return [item for item in array if isinstance(item, Dictionary)]


def _brought(host: pikepdf.Pdf, document: Document, value: Object) -> Object:
    """The value as an object of the host; groups stay the same objects as in copied pages."""
    if document.pdf is host:
        return value
    if not value.is_indirect:
        value = document.pdf.make_indirect(value)
    return host.copy_foreign(value)
