"""How findings name things and measures."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from impose.findings import page_ranges
from impose.geometry.box import Size
from impose.model.looks import Matter, Outline
from impose.plan.insets import is_cover
from impose.plan.plan import Plan
from impose.units import Length

_LONGEST: Final = 40
#: So many faces of items are named at the most.
_NAMED: Final = 4
_STEP: Final = {"mm": Length.mm("0.1"), "in": Length.inches("0.01")}


def measured(length: Length, unit: str) -> str:
    """What was read off a page, to 0.1 mm or 0.01 in: `2.1 mm`, `about 2.1 mm` when rounded."""
    step = _STEP.get(unit, _STEP["mm"])
    rounded = step * round(length.ratio(step))
    about = "" if length.near(rounded, Length(step.grains // 100)) else "about "
    return f"{about}{rounded.text(unit)}"


def stated(length: Length, unit: str) -> str:
    """A setting or a limit, as exact as can be written: `3.175 mm`."""
    text = length.text(unit)
    return f"about {text[1:]}" if text.startswith("~") else text


def measured_size(width: Length, height: Length, unit: str) -> str:
    """`38 x 52 mm`, each to the whole millimetre (0.1 in)."""
    step = Length.mm(1) if unit == "mm" else Length.inches("0.1")
    return Size(step * round(width.ratio(step)), step * round(height.ratio(step))).text(unit)


def quoted(words: str) -> str:
    """The words, shortened."""
    short = words if len(words) <= _LONGEST else f"{words[: _LONGEST - 3].rstrip()}..."
    return f'"{short}"'


def thing_name(outline: Outline, unit: str) -> str:
    """`"12"`, `picture 38 x 52 mm`, `line`, `shape 10 x 4 mm`."""
    if outline.matter is Matter.TEXT:
        return quoted(outline.words) if outline.words else "text"
    if outline.matter in (Matter.PICTURE, Matter.SHAPE):
        box = outline.box
        return f"{outline.matter.value} {measured_size(box.width, box.height, unit)}"
    return str(outline.matter.value)


def things_name(outlines: Sequence[Outline], unit: str) -> str:
    """One name for things that belong together, the nearest first."""
    first = outlines[0]
    names = {thing_name(outline, unit) for outline in outlines}
    if len(names) == 1:
        return names.pop()
    if first.matter is Matter.TEXT:
        if all(is_number(outline.words) for outline in outlines):
            return "page numbers"
        return f"lines of text (nearest {thing_name(first, unit)})" if first.words else "text"
    plural = {Matter.PICTURE: "pictures", Matter.LINE: "lines", Matter.SHAPE: "shapes"}
    word = plural.get(first.matter, first.matter.value)
    return f"{word} (nearest {thing_name(first, unit)})" if word != first.matter.value else word


def is_number(words: str) -> bool:
    """A page number: arabic or roman, with at most signs round it."""
    core = words.strip(" -–—.·|[]()")
    return core.isdecimal() or (bool(core) and not core.lower().strip("ivxlc"))


def pages_text(pages: Iterable[int]) -> str:
    """`page 9`, `pages 3-6, 9`."""
    listed = sorted(set(pages))
    return f"{'page' if len(listed) == 1 else 'pages'} {page_ranges(listed)}"


def cover_pages(plan: Plan) -> frozenset[int]:
    """Numbers in `plan.pages` of the cover's art, which follows the pages of the book."""
    return frozenset(
        placement.page
        for sheet in plan.sheets
        if is_cover(sheet.role)
        for _, side in sheet.sides
        for placement in side.placements
        if placement.page is not None
    )


def book_pages(pages: Iterable[int], plan: Plan) -> tuple[int, ...]:
    """Without those of the cover's art."""
    cover = cover_pages(plan)
    return tuple(page for page in pages if page not in cover)


def where_text(pages: Sequence[int], plan: Plan) -> str:
    """`pages 3-6, 9`, `the cover`, `page 2 and the cover`; `Card (back)` of flat work."""
    if plan.flat:
        return _faces_text(pages, plan)
    book = book_pages(pages, plan)
    if len(book) == len(pages):
        return pages_text(pages)
    return f"{pages_text(book)} and the cover" if book else "the cover"


def face_name(page: int, plan: Plan) -> str:
    """Which face of which item of flat work a source page is."""
    for item in plan.items:
        for name, face in zip(("front", "back"), item.faces, strict=False):
            if face == page:
                return f"{item.title} ({name})"
    return f"page {page}"


def _faces_text(pages: Sequence[int], plan: Plan) -> str:
    names = list(dict.fromkeys(face_name(page, plan) for page in pages))
    more = f" and {len(names) - _NAMED} more faces" if len(names) > _NAMED else ""
    return ", ".join(names[:_NAMED]) + more


def file_of(plan: Plan, pages: Iterable[int]) -> str:
    """The file that all these source pages come from; empty when there are several."""
    files = {plan.files[plan.pages[page - 1].file] for page in pages}
    return files.pop() if len(files) == 1 else ""
