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
from pathlib import Path
from typing import Final

import impose
from impose.pdf.limits import CHILD_MEMORY, limit_memory

#: Across and up, at the most, in pixels: enough to see what a finding speaks of.
_LARGEST: Final = 480
_PATIENCE_SECONDS: Final = 60
_QUALITY: Final = 72


def page_pictures(
    paths: Sequence[Path], wanted: Sequence[tuple[int, int]], passwords: Sequence[str] = ()
) -> dict[tuple[int, int], str]:
    """A JPEG as a data URI for each (file index, 1-based page) that could be drawn.

    The picture shows the page as a viewer does: its CropBox, turned upright.
    """
    order = {
        "paths": [str(path.resolve()) for path in paths],
        "wanted": [list(one) for one in wanted],
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
            file, number, data = json.loads(line)
        except ValueError:
            continue  # the child ended in the middle of a line
        found[file, number] = f"data:image/jpeg;base64,{data}"
    return found


def child() -> None:
    """Draws what standard input asks for; a line of JSON a page on standard output."""
    import pypdfium2 as pdfium

    limit_memory(CHILD_MEMORY)
    order = json.load(sys.stdin)
    for file, number in order["wanted"]:
        for password in (None, *order["passwords"]):
            try:
                with pdfium.PdfDocument(order["paths"][file], password=password) as document:
                    data = _jpeg(document[number - 1])
            except pdfium.PdfiumError:
                continue
            print(json.dumps([file, number, data]), flush=True)
            break


def _jpeg(page: object) -> str:
    width, height = page.get_size()  # type: ignore[attr-defined]
    scale = min(_LARGEST / max(width, height, 1), 4)
    image = page.render(scale=scale).to_pil().convert("RGB")  # type: ignore[attr-defined]
    out = io.BytesIO()
    image.save(out, "JPEG", quality=_QUALITY, optimize=True)
    return base64.b64encode(out.getvalue()).decode()
