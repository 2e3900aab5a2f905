"""Annotations of a page of sheets, and what their appearances draw (ISO 32000-1 12.5)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from pikepdf import Array, Dictionary, Object, Stream

from impose.findings import plain
from impose.model.sheetfacts import NOTHING_USED, InkUse
from impose.pdf.inkuse import UseReader
from impose.pdf.usefonts import font_name
from impose.pdf.useshelves import Shelves

#: Annotations that belong to the press (14.11.3, 14.11.6).
_PRESS_NOTES: Final = ("/PrinterMark", "/TrapNet")
#: Flags of a printer's mark: Print and ReadOnly and no others (14.11.3, table 165).
_MARK_FLAGS: Final = 4 | 64


@dataclass(frozen=True, slots=True, kw_only=True)
class NotesRead:
    """`printed` are kinds that lie in what is printed, those of the press apart; `marks` what is
    wrong with these; `acts` what could act."""

    printed: frozenset[str]
    marks: frozenset[str]
    acts: frozenset[str]
    use: InkUse


def read_notes(
    page: Object, reader: UseReader, shelves: Shelves, in_print: Callable[[Object | None], bool]
) -> NotesRead:
    """`in_print` tells of an annotation's rectangle whether any of it is printed."""
    printed, marks, acts = set(), set(), set()
    use = NOTHING_USED
    for note in _annotations(page):
        kind = str(note.get("/Subtype", "/?"))
        if "/A" in note or "/AA" in note or "/PA" in note:
            acts.add("actions of links or fields")
        if kind not in _PRESS_NOTES and in_print(note.get("/Rect")):
            printed.add(plain(kind[1:]))
        if kind == "/PrinterMark" and note.get("/F", 0) != _MARK_FLAGS:
            marks.add(f"flags {plain(str(note.get('/F', 0)))} in place of {_MARK_FLAGS}")
        if "/OC" in note:
            use = use.join(InkUse(layers=True))
        for drawn in _appearances(note):
            use = use.join(reader.appearance(drawn, shelves))
        use = use.join(_replaced_fonts(note))
    return NotesRead(
        printed=frozenset(printed), marks=frozenset(marks), acts=frozenset(acts), use=use
    )


def _annotations(page: Object) -> Iterator[Object]:
    listed = page.get("/Annots")
    if isinstance(listed, Array):
        yield from (note for note in listed if isinstance(note, Dictionary))


def _appearances(note: Object) -> Iterator[Object]:
    """The normal ones, of all states: only these are printed (12.5.5)."""
    looks = note.get("/AP")
    normal = looks.get("/N") if isinstance(looks, Dictionary) else None
    if isinstance(normal, Stream):
        yield normal
    elif isinstance(normal, Dictionary):
        yield from (look for look in normal.values() if isinstance(look, Stream))


def _replaced_fonts(note: Object) -> InkUse:
    """Fonts that others stood in for when traps were made (table 366, FontFauxing)."""
    looks = note.get("/FontFauxing")
    if not isinstance(looks, Array):
        return NOTHING_USED
    names = [font_name(font) for font in looks if isinstance(font, Dictionary)]
    return InkUse(bare_fonts=frozenset(names))
