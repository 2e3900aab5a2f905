"""Two-page scans and spreads cut into single pages: the same content under two windows."""

from __future__ import annotations

from pathlib import Path

import pikepdf
from pikepdf import Array, Dictionary, Object

from impose.errors import InputError

_BOXES = ("/CropBox", "/BleedBox", "/TrimBox", "/ArtBox")


def write_halves(source: Path, target: Path, password: str, right_first: bool) -> int:
    """Each page that is wider than high becomes two; others stay.  The number of pages cut.

    Streams are carried as they are.  Raises InputError for a file that cannot be read.
    """
    try:
        with pikepdf.open(source, password=password) as pdf:
            count, pages = 0, []
            for page in list(pdf.pages):
                halves = _halves(page, right_first)
                count += len(halves) > 1
                pages.extend(halves)
            root = pdf.Root.Pages
            made = [pdf.make_indirect(half) for half in pages]
            for half in made:
                half.Parent = root
            root.Kids, root.Count = Array(made), len(made)
            pdf.save(target, deterministic_id=True)
            return count
    except pikepdf.PdfError as fault:
        raise InputError(f"{source}: its pages cannot be cut in two: {fault}") from fault


def _halves(page: pikepdf.Page, right_first: bool) -> list[Dictionary]:
    """Inherited entries are put on each half, because the tree above is replaced."""
    base = Dictionary(dict(page.obj.items()))
    for name in ("/Resources", "/MediaBox", "/CropBox", "/Rotate"):
        value = _inherited(page.obj, name)
        if value is not None:
            base[name] = value
    shown = [float(n) for n in page.trimbox]
    x0, x1 = sorted((shown[0], shown[2]))
    y0, y1 = sorted((shown[1], shown[3]))
    turn = int(base.get("/Rotate", 0)) % 360
    wide, high = (y1 - y0, x1 - x0) if turn in (90, 270) else (x1 - x0, y1 - y0)
    if wide <= high:
        return [base]
    middle_x, middle_y = (x0 + x1) / 2, (y0 + y1) / 2
    # From the left as the page is read; /Rotate turns clockwise.
    windows = {
        0: ((x0, y0, middle_x, y1), (middle_x, y0, x1, y1)),
        180: ((middle_x, y0, x1, y1), (x0, y0, middle_x, y1)),
        90: ((x0, y0, x1, middle_y), (x0, middle_y, x1, y1)),
        270: ((x0, middle_y, x1, y1), (x0, y0, x1, middle_y)),
    }[turn]
    ordered = windows[::-1] if right_first else windows
    return [_windowed(base, window) for window in ordered]


def _windowed(base: Dictionary, window: tuple[float, float, float, float]) -> Dictionary:
    half = Dictionary(dict(base.items()))
    for name in _BOXES:
        if name in half:
            del half[name]
    half.MediaBox = Array(list(window))
    half.TrimBox = Array(list(window))
    return half


def _inherited(page: Object, name: str) -> Object | None:
    node: Object | None = page
    for _ in range(32):
        if not isinstance(node, Dictionary):
            return None
        if name in node:
            return node[name]
        node = node.get("/Parent")
    return None
