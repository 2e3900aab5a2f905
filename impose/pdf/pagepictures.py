"""Small pictures of pages for the report, drawn by pdfium in a process of its own.

A page that makes the renderer crash or hang costs its picture, not the run.
"""

from __future__ import annotations

import base64
import io
import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

import impose
from impose.pdf.limits import CHILD_MEMORY, limit_memory

#: Across and up, at the most, in pixels: a whole page, and a part of one seen close.
_PAGE_LARGEST: Final = 620
_PART_LARGEST: Final = 380
_PATIENCE_SECONDS: Final = 60
_QUALITY: Final = 74


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the page as it is read, in fractions of it from its lower left."""

    x0: Fraction
    y0: Fraction
    x1: Fraction
    y1: Fraction


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture to take: of the page (1-based) of a file (0-based), or of a part of it."""

    file: int
    number: int
    part: Part | None = None


def page_pictures(
    paths: Sequence[Path], wanted: Sequence[Shot], passwords: Sequence[str] = ()
) -> dict[Shot, str]:
    """A JPEG as a data URI for each shot that could be taken.

    The picture shows the page as a viewer does: its CropBox, turned upright.
    """
    order = {
        "paths": [str(path.resolve()) for path in paths],
        "wanted": [[shot.file, shot.number, _numbers(shot.part)] for shot in wanted],
        "passwords": list(passwords),
    }
    root = str(Path(impose.__file__).parent.parent)
    code = (
        f"import sys; sys.path.insert(0, {root!r}); import impose.pdf.pagepictures as p; p.child()"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    try:
        out, _ = process.communicate(json.dumps(order).encode(), timeout=_PATIENCE_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        out, _ = process.communicate()
    found = {}
    for line in out.splitlines():
        try:
            index, data = json.loads(line)
        except ValueError:
            continue  # the child ended in the middle of a line
        found[wanted[index]] = f"data:image/jpeg;base64,{data}"
    return found


def _numbers(part: Part | None) -> list[float] | None:
    return None if part is None else [float(n) for n in (part.x0, part.y0, part.x1, part.y1)]


def child() -> None:
    """Draws what standard input asks for; a line of JSON a picture on standard output."""
    import pypdfium2 as pdfium

    limit_memory(CHILD_MEMORY)
    order = json.load(sys.stdin)
    opened: dict[int, Any] = {}
    for index, (file, number, part) in enumerate(order["wanted"]):
        try:
            if file not in opened:
                opened[file] = _open(order["paths"][file], order["passwords"])
            data = _jpeg(opened[file][number - 1], part)
        except pdfium.PdfiumError:
            continue
        print(json.dumps([index, data]), flush=True)


def _open(path: str, passwords: Sequence[str]) -> Any:
    """With the first of the passwords that opens it; raises PdfiumError when none does."""
    import pypdfium2 as pdfium

    for password in passwords:
        try:
            return pdfium.PdfDocument(path, password=password)
        except pdfium.PdfiumError:
            continue
    return pdfium.PdfDocument(path)


def _jpeg(page: Any, part: Sequence[float] | None) -> str:
    width, height = page.get_size()
    x0, y0, x1, y1 = part or (0, 0, 1, 1)
    largest = _PART_LARGEST if part else _PAGE_LARGEST
    scale = largest / max(width * (x1 - x0), height * (y1 - y0), 1)
    crop = (width * x0, height * y0, width * (1 - x1), height * (1 - y1))
    image = page.render(scale=scale, crop=crop).to_pil().convert("RGB")
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return base64.b64encode(out.getvalue()).decode()
