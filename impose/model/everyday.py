"""Everyday words for things that have a word of the trade: only to say which one is meant."""

from __future__ import annotations

import re
from typing import Final

from impose.model.fields import ValueFault
from impose.model.job import Binding
from impose.model.readers import fold, member_of

#: What people call bindings, and the word of a job file.
_BINDINGS: Final = {
    "booklet": "saddle", "fold": "saddle", "folded": "saddle", "saddle stitch": "saddle",
    "saddle stitched": "saddle", "staple": "saddle", "stapled": "saddle", "staples": "saddle",
    "stitched": "saddle", "zine": "saddle", "magazine": "saddle",
    "adhesive": "perfect", "glue": "perfect", "glued": "perfect", "paperback": "perfect",
    "softcover": "perfect",
    "sewing": "sections", "sewn": "sections", "signatures": "sections", "smyth": "sections",
    "japanese": "stab", "japanese stab": "stab", "side stitch": "stab", "stab sewn": "stab",
    "coil": "punched", "comb": "punched", "ring": "punched", "spiral": "punched",
    "wire": "punched", "holes": "punched",
    "none": "loose", "single": "loose", "unbound": "loose", "leaves": "loose",
}  # fmt: skip
_BARE_SIZE: Final = re.compile(r"[\d.]+(\s*(x|by|\N{MULTIPLICATION SIGN})\s*[\d.]+)?")


def binding(value: object) -> Binding:
    """A binding by its word; for an everyday word the fault names the word that is meant."""
    try:
        return member_of(Binding)(value)
    except ValueFault as fault:
        meant = _BINDINGS.get(fold(value)) if isinstance(value, str) else None
        if meant is None:
            raise ValueFault(
                fault.message, f"{fault.hint}; impose start asks for it in plain words"
            ) from fault
        raise ValueFault(fault.message, f"that is called {meant} here; {fault.hint}") from fault


def missing_unit(kind: str, name: str) -> str:
    """What to write when a name that nobody knows is a bare number; empty when it is none."""
    if not _BARE_SIZE.fullmatch(name.strip()):
        return ""
    if kind == "size":
        return "measures need their unit, width first: 148mm x 210mm, 5.5in x 8.5in"
    if kind == "stock":
        return 'a weight or a thickness needs its unit: "80gsm", "20 lb bond", "0.1mm"'
    return ""
