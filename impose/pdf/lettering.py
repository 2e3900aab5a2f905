"""Text of marks in the shipped font, embedded as a subset.

All sheets share one simple font.  Printable ASCII keeps its codes, so that the
operators stay readable and short; other characters get the free ones.  What the
font lacks is drawn as "?" and reported, never as a silent box.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import Final

from impose.findings import Finding
from impose.pdf.out import PdfOut
from impose.pdf.truetype import TrueType

FONTS: Final = Path(__file__).parent / "fonts"
REGULAR: Final = FONTS / "DejaVuSans.ttf"
BOLD: Final = FONTS / "DejaVuSans-Bold.ttf"
STAND_IN: Final = "?"
_ASCII: Final = range(0x20, 0x7F)
#: Outside ASCII; 0x0A and 0x0D are left out because they end lines in a PDF string.
_FREE_CODES: Final = tuple(range(0x80, 0x100)) + tuple(
    code for code in range(1, 0x20) if code not in (0x0A, 0x0D)
)
#: Flag of a font with a character map of its own (ISO 32000-1 table 123).
_SYMBOLIC: Final = 4
#: Thickness of upright stems in thousandths; readers use it only for a stand-in font.
_STEM: Final = 80
#: In this order: the backslash first, for it also stands before the others.
_ESCAPED: Final = (b"\\", b"(", b")")


def clean(text: str) -> str:
    """Composed (NFC), white space as blanks, control and format characters stripped.

    Format characters are what overrides the direction of writing, among others.
    """
    if text.isascii() and text.isprintable():
        return text
    composed = unicodedata.normalize("NFC", text)
    blanks = "".join(" " if c.isspace() else c for c in composed)
    return "".join(c for c in blanks if unicodedata.category(c) not in ("Cc", "Cf"))


class Lettering:
    """One font for all the texts of a file."""

    def __init__(self, texts: Iterable[str]) -> None:
        self._font = _regular()
        self._codes: dict[str, int] = {}
        self._cache: dict[str, bytes] = {}
        #: Characters that are drawn as "?".
        self.lacking: tuple[str, ...] = self._assign(set(map(clean, texts)))

    def _assign(self, texts: set[str]) -> tuple[str, ...]:
        lacking = []
        free = iter(_FREE_CODES)
        for character in sorted(set().union(*texts) | {STAND_IN}):
            code = ord(character) if ord(character) in _ASCII else None
            if self._font.glyph(character):
                code = code or next(free, None)
            if code is None or not self._font.glyph(character):
                lacking.append(character)
            else:
                self._codes[character] = code
        return tuple(lacking)

    def string(self, text: str) -> bytes:
        """The text as a PDF string of this font's codes, parentheses included."""
        found = self._cache.get(text)
        if found is None:
            cleaned = clean(text)
            if cleaned.isascii():  # printable by now, and the font has all of it
                body = cleaned.encode("ascii")
            else:
                stand_in = self._codes[STAND_IN]
                body = bytes(self._codes.get(character, stand_in) for character in cleaned)
            for byte in _ESCAPED:
                body = body.replace(byte, b"\\" + byte)
            found = self._cache[text] = b"(%b)" % body
        return found

    def embed(self, out: PdfOut) -> int:
        """Writes the font (ISO 32000-1 9.6.3, 9.8.1); gives its object number."""
        glyphs = {code: self._font.glyph(c) for c, code in self._codes.items()}
        first, last = min(glyphs), max(glyphs)
        program = self._font.subset(glyphs)
        file = out.add_own_stream(b"/Length1 %d" % len(program), program)
        to_unicode = out.add_own_stream(b"", _to_unicode(self._codes))
        name = f"{_tag(glyphs.values())}+DejaVuSans"
        box = " ".join(str(value) for value in self._font.box)
        descriptor = (
            f"<</Type/FontDescriptor/FontName/{name}/Flags {_SYMBOLIC}/FontBBox[{box}]"
            f"/ItalicAngle 0/Ascent {self._font.ascent}/Descent {self._font.descent}"
            f"/CapHeight {self._font.ascent}/StemV {_STEM}/FontFile2 {file} 0 R>>"
        )
        widths = " ".join(
            str(self._font.width(glyphs[code]) if code in glyphs else 0)
            for code in range(first, last + 1)
        )
        font = (
            f"<</Type/Font/Subtype/TrueType/BaseFont/{name}/FirstChar {first}/LastChar {last}"
            f"/Widths[{widths}]/FontDescriptor {out.add_new(descriptor.encode('ascii'))} 0 R"
            f"/ToUnicode {to_unicode} 0 R>>"
        )
        return out.add_new(font.encode("ascii"))

    def finding(self) -> Finding | None:
        """A note about the characters that were replaced, if any."""
        if not self.lacking:
            return None
        named = ", ".join(f"U+{ord(c):04X}" for c in self.lacking)
        return Finding.note(
            "slug-character",
            f"the font of the marks cannot show {named}; {STAND_IN} is printed instead",
            hint="leave these characters out of the title",
            characters="".join(self.lacking),
        )


@lru_cache(maxsize=1)
def _regular() -> TrueType:
    return TrueType(REGULAR)


def _tag(glyphs: Iterable[int]) -> str:
    """Six letters that differ with the choice of glyphs (ISO 32000-1 9.6.4)."""
    value = 0
    for glyph in sorted(set(glyphs)):
        value = (value * 65537 + glyph) % 26**6
    letters = ""
    for _ in range(6):
        value, rest = divmod(value, 26)
        letters += chr(ord("A") + rest)
    return letters


def _to_unicode(codes: dict[str, int]) -> bytes:
    """For searching and copying (ISO 32000-1 9.10.3); at most 100 lines to a block."""
    rows = [
        f"<{code:02X}> <{character.encode('utf-16-be').hex().upper()}>"
        for character, code in sorted(codes.items(), key=lambda item: item[1])
    ]
    blocks = [
        f"{len(rows[i : i + 100])} beginbfchar\n" + "\n".join(rows[i : i + 100]) + "\nendbfchar\n"
        for i in range(0, len(rows), 100)
    ]
    return (
        "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
        "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
        "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
        "1 begincodespacerange\n<00> <FF>\nendcodespacerange\n" + "".join(blocks) + "endcmap\n"
        "CMapName currentdict /CMap defineresource pop\nend\nend\n"
    ).encode("ascii")
