"""The output's catalogue, built from a whitelist.

Pages, output intents and optional-content settings, nothing else: an outline, a
named destination or a script that still points at an old page would keep that
whole page alive, and none of them means anything on a press sheet.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, String

from impose.findings import Finding
from impose.model.conditions import Part
from impose.pdf.carry import Carrier
from impose.pdf.out import PdfOut
from impose.pdf.read import Document

PRODUCER: Final = "impose"
#: The version that has everything we write; a higher one of an input is kept.
_OWN_VERSION: Final = "1.7"
#: PDF/X parts that go back to PDF 1.3 and 1.4, which had no object streams (ISO 15930-1, -3).
_OLD_EXCHANGE: Final = ("PDF/X-1", "PDF/X-2", "PDF/X-3")
_OLD_VERSION: Final = "1.4"
#: Lists of a layer configuration that can be joined by putting one after the other.
_JOINED: Final = ("Order", "RBGroups", "Locked", "AS")

Carried = Sequence[tuple[Document, Carrier]]


def catalogue(
    carried: Carried, pages: int, own_intent: bytes = b""
) -> tuple[bytes, tuple[Finding, ...]]:
    """The catalogue's text, with output intents and layers of the inputs, in their order.

    `pages` is the number of the page tree's root.  `own_intent` is the entry of
    an output intent that stands in place of the inputs'.
    """
    intents, findings = (own_intent, ()) if own_intent else _intents(carried)
    return b"<</Type/Catalog/Pages %d 0 R%b%b>>" % (pages, intents, _layers(carried)), findings


def information(title: str) -> bytes:
    """The document information: what it is called and what made it, no dates."""
    return Dictionary(Title=String(title), Producer=String(PRODUCER)).unparse()


def takes_object_streams(documents: Iterable[Document], part: Part | None = None) -> bool:
    """No only for inputs that follow an older part of PDF/X, or a job that asks for one."""
    if part is not None:
        return not part.older
    for document in documents:
        info = document.pdf.trailer.get("/Info")
        told = info.get("/GTS_PDFXVersion", "") if isinstance(info, Dictionary) else ""
        if str(told).startswith(_OLD_EXCHANGE):
            return False
    return True


def version_for(documents: Iterable[Document], packed: bool, part: Part | None = None) -> str:
    """The highest PDF version that an input says it needs, and at least our own; that of the
    part of PDF/X where the job asks for one.

    Programs name a high version whatever they use of it; what a part's version
    really lacks is found by its checks.
    """
    if part is not None:
        return part.version
    versions = [_OWN_VERSION if packed else _OLD_VERSION]
    for document in documents:
        versions.append(document.pdf.pdf_version)
        told = document.pdf.Root.get("/Version")
        if isinstance(told, Name):
            versions.append(str(told)[1:])
    return max(versions, key=_version_number)


def _version_number(version: str) -> tuple[int, ...]:
    parts = version.split(".")
    return tuple(int(part) for part in parts) if all(p.isdigit() for p in parts) else (0,)


def _intents(carried: Carried) -> tuple[bytes, tuple[Finding, ...]]:
    """The first document's that has any; each later one that differs is a finding."""
    entry = b""
    first: Document | None = None
    findings = []
    for document, carrier in carried:
        intents = document.pdf.Root.get("/OutputIntents")
        if not isinstance(intents, Array) or not len(intents):
            continue
        if first is None:
            first = document
            entry = b"/OutputIntents " + carrier.value(intents)
        elif _intent_key(intents) != _intent_key(first.pdf.Root.OutputIntents):
            findings.append(_other_intent(document, first))
    return entry, tuple(findings)


def intents_of_book(documents: Iterable[Document], out: PdfOut) -> bytes:
    """The entry of the first document's output intents: for sheets with no page of any, such as a
    cover of flat colour, which are printed under the same conditions as the rest."""
    for document in documents:
        carrier = Carrier(document, out)
        entry, _ = _intents([(document, carrier)])
        if entry:
            carrier.finish()
            return entry
    return b""


def _other_intent(document: Document, first: Document) -> Finding:
    return Finding.warning(
        "output-intent-differs",
        f"{document.path} is made for other printing conditions than {first.path}; "
        f"the sheets name those of {first.path}",
        hint="export both files for the same printing conditions",
        file=str(document.path),
        kept=_condition(first.pdf.Root.OutputIntents),
        dropped=_condition(document.pdf.Root.OutputIntents),
    )


def _intent_key(intents: Object) -> list[tuple[str, str, int]]:
    key = []
    for intent in _dictionaries(intents):
        profile = intent.get("/DestOutputProfile")
        data = profile.read_bytes() if isinstance(profile, pikepdf.Stream) else b""
        key.append((str(intent.get("/S", "")), _identifier(intent), zlib.crc32(data)))
    return key


def _condition(intents: Object) -> str:
    """The name of the printing condition, as the file gives it."""
    return ", ".join(_identifier(intent) for intent in _dictionaries(intents))


def _identifier(intent: Object) -> str:
    return str(intent.get("/OutputConditionIdentifier", ""))


def _layers(carried: Carried) -> bytes:
    """One document's settings as they are; those of several joined (ISO 32000-1 8.11.4)."""
    found = [
        (layers, carrier)
        for document, carrier in carried
        if isinstance(layers := document.pdf.Root.get("/OCProperties"), Dictionary)
    ]
    if not found:
        return b""
    if len(found) == 1:
        layers, carrier = found[0]
        return b"/OCProperties " + carrier.value(layers)
    return b"/OCProperties " + _joined_layers(found)


def _joined_layers(found: Sequence[tuple[Object, Carrier]]) -> bytes:
    """All groups, each in the state that its own file starts with."""
    groups: list[bytes] = []
    states: dict[str, list[bytes]] = {"ON": [], "OFF": []}
    lists: dict[str, list[bytes]] = {name: [] for name in _JOINED}
    for layers, carrier in found:
        config = layers.get("/D", Dictionary())
        off = {group.objgen for group in _dictionaries(config.get("/OFF"))}
        on = {group.objgen for group in _dictionaries(config.get("/ON"))}
        for group in _dictionaries(layers.get("/OCGs")):
            reference = carrier.value(group)
            groups.append(reference)
            starts_off = config.get("/BaseState") == Name.OFF
            hidden = group.objgen not in on if starts_off else group.objgen in off
            states["OFF" if hidden else "ON"].append(reference)
        for name in _JOINED:
            value = config.get(f"/{name}")
            if isinstance(value, Array):
                lists[name].append(carrier.text(value.unparse(True))[1:-1].strip())
    config_text = b"".join(
        b"/%b[%b]" % (name.encode("ascii"), b" ".join(values))
        for name, values in (*states.items(), *lists.items())
        if values
    )
    return b"<</OCGs[%b]/D<<%b>>>>" % (b" ".join(groups), config_text)


def _dictionaries(array: Object | None) -> list[Object]:
    if not isinstance(array, Array):
        return []
    return [item for item in array if isinstance(item, Dictionary)]
