"""Boxes of the pages of sheets.

What this rests on: a published note on PDF/X-3:2002 (quoted on the list
ntg-pdftex, November 2005) and ISO 32000-1 14.11.2 and 7.9.5.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from impose.checks.readywords import broken
from impose.findings import Finding
from impose.geometry.box import Box
from impose.model.conditions import Part
from impose.model.sheetfacts import SheetFile, SheetPage
from impose.units import Length

#: What a box must lie in, the nearest first.
_AROUND: Final = {
    "TrimBox": ("BleedBox", "CropBox", "MediaBox"),
    "ArtBox": ("BleedBox", "CropBox", "MediaBox"),
    "BleedBox": ("CropBox", "MediaBox"),
    "CropBox": ("MediaBox",),
}
#: Boxes written by other programs are rounded (0.001 pt is what readers of 32-bit floats keep).
_SLACK: Final = Length.points("0.001")


def check_boxes(file: SheetFile, part: Part, unit: str) -> Iterator[Finding]:
    """TrimBox or ArtBox, not both; nested (note on PDF/X-3:2002; ISO 32000-1 14.11.2)."""
    faults: dict[tuple[str, str, str], list[int]] = {}
    for number, page in enumerate(file.pages, start=1):
        for fault in _box_faults(page, unit):
            faults.setdefault(fault, []).append(number)
    for (code, words, hint), pages in faults.items():
        yield broken(code, file, part, words, hint, pages)


def _box_faults(page: SheetPage, unit: str) -> Iterator[tuple[str, str, str]]:
    boxes = page.boxes
    yield from _no_areas(page, unit)
    if not {"TrimBox", "ArtBox"} & {*boxes, *page.no_boxes}:
        yield (
            "box-missing",
            "there is neither a TrimBox nor an ArtBox; one of them is wanted",
            "export with the page's trim as TrimBox",
        )
    if "TrimBox" in boxes and "ArtBox" in boxes:
        yield (
            "box-both",
            "there are a TrimBox and an ArtBox; one of the two is wanted",
            "leave the ArtBox out",
        )
    for inner, names in _AROUND.items():
        for outer in names:
            if inner in boxes and outer in boxes and not _within(boxes[inner], boxes[outer]):
                yield (
                    "box-nesting",
                    f"the {inner} ({boxes[inner].text(unit)}) reaches beyond the {outer} "
                    f"({boxes[outer].text(unit)})",
                    f"make the {outer} larger, or the {inner} smaller",
                )


def _no_areas(page: SheetPage, unit: str) -> Iterator[tuple[str, str, str]]:
    """A box is four numbers (7.9.5) and has an area."""
    hint = "export the pages again, with the boxes that the program offers"
    for name in sorted(page.no_boxes):
        yield "box-unsound", f"the {name} is not made of four numbers", hint
    for name, box in page.boxes.items():
        if box.width <= _SLACK or box.height <= _SLACK:
            yield "box-empty", f"the {name} ({box.text(unit)}) has no area", hint


def _within(inner: Box, outer: Box) -> bool:
    return (
        inner.x0 >= outer.x0 - _SLACK
        and inner.y0 >= outer.y0 - _SLACK
        and inner.x1 <= outer.x1 + _SLACK
        and inner.y1 <= outer.y1 + _SLACK
    )
