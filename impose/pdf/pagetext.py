"""A page dictionary as text: its top-level entries, without a PDF library.

Fetching a value from a PDF object costs about a microsecond each, a page's
whole dictionary as text about two.  So facts are read from that text, and
pages with the same text share one answer.  The text is what qpdf writes: one
space between tokens, keys in order, names and strings escaped.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from typing import Final

#: What stands for a nested dictionary or a string once it is folded away.
FOLDED: Final = b"@"

_LITERAL = re.compile(rb"\((?:[^\\()]|\\.)*\)", re.DOTALL)
_HEX = re.compile(rb"(?<!<)<[0-9A-Fa-f]*>")
_INNERMOST = re.compile(rb"<<[^<>]*>>")
_TOKEN = re.compile(rb"\[|\]|\d+ \d+ R\b|[^\s\[\]]+")
_REFERENCE = re.compile(rb"(\d+) (\d+) R\b")

#: Entries that differ from page to page and say nothing about its boxes.
_PASSING = re.compile(rb"/(?:Contents|Parent) \d+ \d+ R ?|/StructParents \d+ ?")

Resolve = Callable[[bytes], bytes]


def split_contents(text: bytes) -> tuple[bytes, bytes]:
    """Number and generation of the content (`12 0`), and the rest of the page's text.

    Pages with the same rest differ in nothing but their content.  The number
    is empty where the content is not one reference, or other entries come first.
    """
    _, _, tail = text.partition(b"<< /Contents ")
    number, _, rest = tail.partition(b" R ")
    one = number.count(b" ") == 1 and number.replace(b" ", b"").isdigit()
    if not rest or not one or text[:13] != b"<< /Contents ":
        return b"", text
    return number, rest


def fold(text: bytes) -> bytes:
    """The entries up to the final `>>`, nested dictionaries and strings folded away."""
    inner = text[:-3]
    if b"(" in inner or b"<" in inner:
        inner = _HEX.sub(FOLDED, _LITERAL.sub(FOLDED, inner))
        while b"<<" in inner:
            shorter = _INNERMOST.sub(FOLDED, inner)
            if shorter == inner:
                break
            inner = shorter
    return inner


def without_passing(folded: bytes) -> bytes:
    """The folded text without what differs from page to page: equal keys, equal facts."""
    return _PASSING.sub(b"", folded)


def entries(folded: bytes) -> dict[bytes, bytes]:
    """Key (without the slash) to value text of a folded dictionary; arrays stay whole."""
    found: dict[bytes, bytes] = {}
    key = b""
    parts: list[bytes] = []
    depth = 0
    for token in _TOKEN.findall(folded):
        if not key:
            key = token[1:]
            continue
        depth += (token == b"[") - (token == b"]")
        parts.append(token)
        if depth == 0:
            found[key] = b" ".join(parts)
            key = b""
            parts = []
    return found


def settled(value: bytes, resolve: Resolve) -> bytes:
    """`value` with every reference in it replaced by the text of the object it names.

    Two rounds: a reference to an array of references is as deep as boxes go.
    """
    for _ in range(2):
        if b"R" not in value:
            break
        value = _REFERENCE.sub(lambda found: resolve(found[0]), value)
    return value


def numbers(value: bytes) -> tuple[Decimal, ...] | None:
    """The numbers of `[ ... ]` or of a single number; None when anything else is in it."""
    try:
        found = tuple(Decimal(word.decode("ascii")) for word in value.strip(b"[ ]").split())
    except (InvalidOperation, UnicodeDecodeError):
        return None
    return found if all(number.is_finite() for number in found) else None
