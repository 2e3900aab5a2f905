"""Words from files and job files, made harmless to look at.

Escaping is the template's; this takes what would break the page or deceive the
eye: control characters, and those that turn the direction of writing (Unicode
Standard Annex 9, explicit formatting characters), each shown as U+FFFD, so that
it is seen that something was there.
"""

from __future__ import annotations

from html import escape
from typing import Final

_STAND_IN: Final = "\ufffd"
#: Marks, embeddings, overrides and isolates of UAX 9; line and paragraph separators.
_TURNING: Final = frozenset(
    "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
_BLANKS: Final = frozenset("\t\n\r\u2028\u2029")


def seen_words(text: str) -> str:
    """As it may be written into a page; still to be escaped."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_seen(letter) for letter in text)


def _seen(letter: str) -> str:
    code = ord(letter)
    if letter in _BLANKS:
        return " "
    if code < 0x20 or 0x7F <= code < 0xA0 or letter in _TURNING:
        return _STAND_IN
    # Halves of pairs stand for bytes of a file name that are no text; the last two of each
    # plane are no characters (Unicode Standard, 23.7).
    if 0xD800 <= code <= 0xDFFF or code & 0xFFFE == 0xFFFE:
        return _STAND_IN
    return letter


def escaped_words(text: str) -> str:
    """For drawings, which write their own markup."""
    return escape(seen_words(text))
