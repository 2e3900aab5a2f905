"""What a page may need is carried into the output; what a file may do is not.

Actions, scripts, attached and outside files and programs' private data can hang on
any dictionary that a page's resources reach.  None of it draws anything.  Kinds of
actions: ISO 32000-1 table 198; file specifications: 7.11; streams whose data lie in
another file: table 5; private data: 14.5.
"""

from __future__ import annotations

import re
from contextlib import suppress
from typing import Final

from pikepdf import Array, Dictionary, Name, Object, Stream

ACTIONS: Final = (
    "GoTo", "GoToR", "GoToE", "Launch", "Thread", "URI", "Sound", "Movie", "Hide", "Named",
    "SubmitForm", "ResetForm", "ImportData", "JavaScript", "SetOCGState", "Rendition", "Trans",
    "GoTo3DView", "RichMediaExecute", "GoToDp",
)  # fmt: skip
_KINDS: Final = ("Action", "Filespec", "F", "EmbeddedFile", "Annot", "Sig")
_KEYS: Final = ("AA", "JS", "EF", "RF", "PieceInfo", "OPI", "FFilter", "FDecodeParms", "FileSpec")
_SUSPECT: Final = re.compile(
    rb"/(?:%b)\b|/S /(?:%b)\b|/Type /(?:%b)\b|/F (?:\(|<|\d+ \d+ R)"
    % tuple("|".join(names).encode("ascii") for names in (_KEYS, ACTIONS, _KINDS))
)
_DROPPED: Final = frozenset(f"/{name}" for name in _KEYS)
_ACTION_NAMES: Final = frozenset(Name(f"/{name}") for name in ACTIONS)
_KIND_NAMES: Final = frozenset(Name(f"/{name}") for name in _KINDS)
_DEEPEST: Final = 64


def is_suspect(text: bytes) -> bool:
    """Whether an object of this text may hold any of it; cheap, and seldom true."""
    return _SUSPECT.search(text) is not None


def scrubbed(obj: Object) -> bool:
    """Takes all of it out of what lies directly in the object, in memory only.

    False when the object itself is such a thing and nothing is to be carried.
    """
    if _is_active(obj):
        return False
    _scrub(obj, 0)
    return True


def _scrub(obj: object, depth: int) -> None:
    if depth > _DEEPEST:
        return
    if isinstance(obj, Array):
        for item in list(obj):
            _scrub_value(item, depth)
    elif isinstance(obj, Dictionary | Stream):
        for key, value in list(obj.items()):
            outside = key == "/F" and isinstance(obj, Stream)
            if key in _DROPPED or outside:
                del obj[key]
            else:
                _scrub_value(value, depth)


def _scrub_value(value: object, depth: int) -> None:
    if isinstance(value, Dictionary) and not value.is_indirect and _is_active(value):
        for key in list(value.keys()):
            with suppress(TypeError, ValueError):  # a key that is no text says nothing either
                del value[key]
    elif _is_direct(value):
        _scrub(value, depth + 1)


def _is_direct(value: object) -> bool:
    """What lies behind a reference is looked at when it is carried."""
    return isinstance(value, Array | Dictionary) and not value.is_indirect


def _is_active(obj: object) -> bool:
    if not isinstance(obj, Dictionary | Stream):
        return False
    kind, action = obj.get("/Type"), obj.get("/S")
    return (isinstance(kind, Name) and kind in _KIND_NAMES) or (
        isinstance(action, Name) and action in _ACTION_NAMES
    )
