"""Fronts and backs as files of their own, for printers that print one side at a time."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import pikepdf

from impose.errors import OutputError, PlanMismatchError
from impose.pdf.files import replacing

_BOXES: Final = ("/TrimBox", "/BleedBox")


def write_one_side(
    sheets: Path, fronts: Path, backs: Path, *, last_first: bool, half_turn: bool
) -> None:
    """Parts the written sheets (front, back, front, back, ...) into two files.

    `last_first`: the backs in reverse.  `half_turn`: each back turned half round
    on its sheet.  Raises OutputError when a file cannot be read or written.
    """
    try:
        with pikepdf.open(sheets) as pdf:
            pages = [page.obj for page in pdf.pages]
            _save(pdf, pages[0::2], fronts)
        with pikepdf.open(sheets) as pdf:
            pages = [page.obj for page in pdf.pages]
            behind = pages[1::2]
            if half_turn:
                for page in behind:
                    _turn(pdf, page)
            _save(pdf, behind[::-1] if last_first else behind, backs)
    except pikepdf.PdfError as fault:
        raise OutputError(f"{sheets} cannot be read back: {fault}") from fault


def _save(pdf: pikepdf.Pdf, pages: Sequence[pikepdf.Object], target: Path) -> None:
    """The page tree is replaced whole: deleting pages one by one is slow."""
    root = pdf.Root.Pages
    root.Kids = pikepdf.Array(list(pages))
    root.Count = len(pages)
    for page in pages:
        page.Parent = root
    with replacing(target) as part:
        pdf.save(
            part,
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.preserve,
            compress_streams=False,
        )
        with pikepdf.open(part) as again:
            if len(again.pages) != len(pages):
                found = len(again.pages)
                raise PlanMismatchError(f"{target} has {found} pages, not {len(pages)}")


def _turn(pdf: pikepdf.Pdf, page: pikepdf.Object) -> None:
    """Half a turn about the middle of the MediaBox, boxes too."""
    width, height = page.MediaBox[2], page.MediaBox[3]
    before = pikepdf.Stream(pdf, f"q -1 0 0 -1 {width} {height} cm\n".encode())
    after = pikepdf.Stream(pdf, b"\nQ\n")
    contents = page.get("/Contents", pikepdf.Array())
    parts = list(contents) if isinstance(contents, pikepdf.Array) else [contents]
    page.Contents = pikepdf.Array([before, *parts, after])
    for name in _BOXES:
        if name in page:
            x0, y0, x1, y1 = page[name]
            page[name] = pikepdf.Array([width - x1, height - y1, width - x0, height - y0])
