"""Whether a font's program is in the file (ISO 32000-1 9.9)."""

from __future__ import annotations

from typing import Final

from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.model.sheetfacts import NOTHING_USED, InkUse

_PROGRAMS: Final = ("/FontFile", "/FontFile2", "/FontFile3")


def font_use(font: Object) -> InkUse:
    """Any font but one of Type 3, whose glyphs are content.  Embedded: the descriptor (of a Type 0
    font, that of the font below it) holds a program that is not empty."""
    holder = font
    below = font.get("/DescendantFonts")
    if isinstance(below, Array) and len(below) and isinstance(below[0], Dictionary):
        holder = below[0]
    descriptor = holder.get("/FontDescriptor")
    programs = []
    if isinstance(descriptor, Dictionary):
        found = [descriptor.get(name) for name in _PROGRAMS]
        programs = [program for program in found if isinstance(program, Stream)]
    if not any(int(program.get("/Length", 0)) for program in programs):
        return InkUse(bare_fonts=frozenset([font_name(font)]))
    if any(program.get("/Subtype") == Name.OpenType for program in programs):
        return InkUse(newer=frozenset(["OpenType fonts (PDF 1.6)"]))  # table 126
    return NOTHING_USED


def font_name(font: Object) -> str:
    """As the file calls it."""
    return str(font.get("/BaseFont", "/?"))[1:]
