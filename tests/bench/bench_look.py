"""Looking at pages: processor time and wall time a page, on text, on pictures, on scans.

Run by hand:  python tests/bench/bench_look.py [FILE.pdf ...]

Without files it makes three books of its own.  Processor time is that of the
children, starting and opening included, so it is what a page costs a core.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
import time
from pathlib import Path

import pikepdf
from bench_make import write_text_pages
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from impose.pdf.look import look_at

A5 = (420, 595)


def write_picture_pages(path: Path, pages: int) -> None:
    """A photo that bleeds and a caption on each page."""
    rng = random.Random(pages)
    canvas = Canvas(str(path), pagesize=A5)
    for number in range(pages):
        noise = Image.frombytes("RGB", (60, 40), rng.randbytes(60 * 40 * 3))
        photo = noise.resize((900, 600), Image.Resampling.BICUBIC)
        canvas.drawImage(ImageReader(photo), 0, 315, 420, 280)
        canvas.drawString(60, 280, f"picture {number}")
        canvas.showPage()
    canvas.save()


def write_scan_pages(path: Path, pages: int) -> None:
    """Each page is one grey picture of 200 dots to the inch with rows of words."""
    rng = random.Random(pages)
    canvas = Canvas(str(path), pagesize=A5)
    for _ in range(pages):
        image = Image.new("L", (1166, 1652), 248)
        for row in range(40):
            for word in range(12):
                box = (120 + word * 80, 120 + row * 34, 120 + word * 80 + rng.randrange(30, 70))
                image.paste(30, (box[0], box[1], box[2], box[1] + 14))
        canvas.drawImage(ImageReader(image), 0, 0, *A5)
        canvas.showPage()
    canvas.save()


def measure(path: Path) -> None:
    """One line of figures."""
    with pikepdf.open(path) as pdf:
        pages = len(pdf.pages)
    wanted = [(0, number) for number in range(1, pages + 1)]
    before, start = os.times(), time.perf_counter()
    looks = look_at([path], wanted)
    wall, after = time.perf_counter() - start, os.times()
    children = (
        after.children_user - before.children_user
        + after.children_system - before.children_system
    )  # fmt: skip
    here = after.user - before.user + after.system - before.system
    missed = sum(not look.looked for look in looks)
    print(
        f"{path.name}: {pages} pages; children {children / pages * 1000:.2f}, parent "
        f"{here / pages * 1000:.2f}, wall {wall / pages * 1000:.2f} ms a page; missed {missed}"
    )


def main() -> None:
    files = [Path(name) for name in sys.argv[1:]]
    if files:
        for file in files:
            measure(file)
        return
    with tempfile.TemporaryDirectory() as folder:
        for name, write, pages in (
            ("text", write_text_pages, 2000),
            ("pictures", write_picture_pages, 100),
            ("scans", write_scan_pages, 100),
        ):
            path = Path(folder) / f"{name}.pdf"
            write(path, pages)
            measure(path)


if __name__ == "__main__":
    main()
