"""`python -m tests.corpus.comparing OUT SOURCE [PASSWORD]`: are the written sheets right?

Prints one line of JSON: `faults`, a list of words, and `compared`, how many pages
were held to their source.  A few pages are drawn by pdfium twice, once from the
source and once from the sheet they were placed on, and the pictures compared.
Where a page lies is reckoned here from the plan's numbers, in plain arithmetic.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pikepdf
import pypdf
import pypdfium2 as pdfium
import pypdfium2.raw as raw
from PIL import Image, ImageChops, ImageFilter

#: Pages of one file that are drawn and compared, spread evenly.
PAGES = 4
#: The longer side of a compared picture, in pixels.
PIXELS = 420
#: After both are blurred: a pixel differs when its grey is this far off (of 255) ...
STEP = 64
#: ... and the pictures differ when more than this share of pixels does.
SHARE = 0.01
BLUR = 2.0


class Rect(NamedTuple):
    x0: float
    y0: float
    x1: float
    y1: float

    def meet(self, other: Rect) -> Rect:
        return Rect(
            max(self.x0, other.x0), max(self.y0, other.y0),
            min(self.x1, other.x1), min(self.y1, other.y1),
        )  # fmt: skip

    def times(self, by: float) -> Rect:
        return Rect(*(n * by for n in self))

    @property
    def empty(self) -> bool:
        return self.x1 - self.x0 < 1 or self.y1 - self.y0 < 1


class Spot(NamedTuple):
    """One placement: the side's number in the file, its values in the plan, the page's."""

    side: int
    placement: dict[str, Any]
    page: dict[str, Any]


def main() -> None:
    """Says what is wrong as one line of JSON."""
    out, *given = sys.argv[1:]
    faults = readers(Path(out) / "guts.pdf", given[0] if given else None)
    compared, differing = compare(Path(out), *given) if given else (0, [])
    print(json.dumps({"faults": faults + differing, "compared": compared}))


# -- other readers ---------------------------------------------------------------------


def complaints(path: str | Path) -> list[str]:
    """What qpdf's own check says is wrong with a file, without names and numbers."""
    done = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, check=False)
    if not done.returncode:
        return []
    lines = (done.stdout + done.stderr).decode("utf-8", "replace").splitlines()
    told = [line.split(": ", 1)[1] for line in lines if line.startswith("WARNING: ")]
    told = [words.removeprefix(f"{path} ").removeprefix(f"{path}: ") for words in told]
    told = [re.sub(r"^\(.*?\): ", "", re.sub(r"object \d+ \d+", "object", w)) for w in told]
    told = [words for words in told if "re-processed without filtering" not in words]
    return told or [" ".join(lines)[-160:]]


def readers(sheets: Path, source: str | None) -> list[str]:
    """qpdf's own check, pdfium, poppler and pypdf; what each complains of.

    A stream that is damaged in the source is carried as it is and damaged in the
    output: a complaint of data that cannot be decoded counts only when qpdf has
    not the same about the source.
    """
    plan = json.loads((sheets.parent / "plan.json").read_text("utf-8"))
    wanted = 2 * sum(sheet["role"] == "guts" for sheet in plan["sheets"])
    faults = []
    if shutil.which("qpdf"):
        told = complaints(sheets)
        if told and source is not None:
            known = set(complaints(source))
            told = [words for words in told if not ("decoding stream" in words and words in known)]
        faults += [f"qpdf: {words[-160:]}" for words in told[:1]]
    with pdfium.PdfDocument(sheets) as document:
        if len(document) != wanted:
            faults.append(f"pdfium counts {len(document)} sides, the plan {wanted}")
    counted = len(pypdf.PdfReader(sheets).pages)
    if counted != wanted:
        faults.append(f"pypdf counts {counted} sides, the plan {wanted}")
    if shutil.which("pdfinfo"):
        done = subprocess.run(["pdfinfo", str(sheets)], capture_output=True, check=False)
        if done.returncode or b"Pages:" not in done.stdout:
            faults.append(f"poppler: {done.stderr.decode('utf-8', 'replace')[-160:]}")
        drawn = subprocess.run(
            ["pdftoppm", "-r", "20", "-l", "1", str(sheets)], capture_output=True, check=False
        )
        if drawn.returncode or not drawn.stdout.startswith(b"P"):
            faults.append(f"poppler does not draw it: {drawn.stderr[-160:]!r}")
    return faults


# -- the pictures ----------------------------------------------------------------------


def compare(out: Path, source: str, password: str | None = None) -> tuple[int, list[str]]:
    """How many pages were compared, and which differ.  A source that pdfium cannot open, or
    whose pages it counts otherwise, is not compared."""
    plan = json.loads((out / "plan.json").read_text("utf-8"))
    spots = list(chosen(plan))
    try:
        original = pdfium.PdfDocument(source, password=password)
    except pdfium.PdfiumError:
        return 0, []
    units = user_units(Path(source), password or "")
    if units is None or len(units) != len(original):
        return 0, []
    compared, faults = 0, []
    lost = {n for f in plan["findings"] if f["code"] == "annotation-lost" for n in f["pages"]}
    with pdfium.PdfDocument(out / "guts.pdf") as sheets:
        for spot in spots:
            number = spot.page["number"]
            if number in lost:  # said: what pdfium draws of its own is not on the sheet
                continue
            share = difference(original, sheets, spot, units[number - 1])
            if share is None:
                continue
            compared += 1
            if share > SHARE:
                faults.append(f"page {number} differs on {share:.1%} of its area")
    return compared, faults


def chosen(plan: dict[str, Any]) -> Iterator[Spot]:
    """A few placements, spread evenly over the pages of the book."""
    count = len(plan["pages"])
    wanted = {round(n * (count - 1) / max(PAGES - 1, 1)) + 1 for n in range(PAGES)}
    side = 0
    for sheet in plan["sheets"]:
        if sheet["role"] != "guts":
            continue
        for name in ("front", "back"):
            for placement in sheet[name]["placements"]:
                if placement["page"] in wanted:
                    wanted.discard(placement["page"])
                    yield Spot(side, placement, plan["pages"][placement["page"] - 1])
            side += 1


def user_units(source: Path, password: str) -> list[float] | None:
    """Of every page, as pikepdf counts them; None when it cannot."""
    try:
        with pikepdf.open(source, password=password) as pdf:
            return [_unit(page.obj.get("/UserUnit", 1)) for page in pdf.pages]
    except (pikepdf.PdfError, pikepdf.PasswordError, RuntimeError):
        return None


def _unit(value: Any) -> float:
    try:
        return float(value) if float(value) > 0 else 1.0
    except (TypeError, ValueError):
        return 1.0


def difference(original: Any, sheets: Any, spot: Spot, unit: float) -> float | None:
    """The share of the page's area that differs; None when there is nothing to compare."""
    box, scale = Rect(*spot.page["box"]), _fraction(spot.page["scale"])
    turn = (spot.placement["turn"] - spot.page["rotate"]) % 360
    art, trim = Rect(*spot.placement["art"]), Rect(*spot.placement["trim"])
    page = flat_page(original, spot.page["number"])
    if page is None:
        return None
    media = Rect(*page.get_mediabox())
    shown = media.meet(Rect(*page.get_cropbox()))
    shown = (media if shown.empty else shown).times(unit)  # a CropBox apart says nothing
    seen = box.meet(shown)
    seen = back_from_sheet(
        onto_sheet(seen, box, art, turn, scale).meet(trim), box, art, turn, scale
    )
    on_sheet = onto_sheet(seen, box, art, turn, scale)
    if seen.empty or on_sheet.empty:
        return None
    page.set_cropbox(*seen.times(1 / unit))
    side = sheets[spot.side]
    side.set_cropbox(*on_sheet)
    one = picture(page)
    # The page is shown turned by its /Rotate, the side by nothing.
    other = picture(side).rotate(-spot.placement["turn"], expand=True).resize(one.size)
    apart = ImageChops.difference(_soft(one), _soft(other))
    return sum(apart.histogram()[STEP:]) / (one.width * one.height)


def flat_page(document: Any, number: int) -> Any:
    """A page with annotations and form fields made part of it; None where it cannot be opened."""
    try:
        raw.FPDFPage_Flatten(document[number - 1], raw.FLAT_NORMALDISPLAY)
        return document[number - 1]
    except pdfium.PdfiumError:
        return None


def picture(page: Any) -> Image.Image:
    """Drawn by pdfium, as for printing, in grey."""
    width, height = page.get_size()
    drawn = page.render(scale=PIXELS / max(width, height, 1), grayscale=True)
    found: Image.Image = drawn.to_pil().convert("L")
    return found


def _soft(image: Image.Image) -> Image.Image:
    return image.filter(ImageFilter.GaussianBlur(BLUR))


def _fraction(text: str) -> float:
    over, _, under = str(text).partition("/")
    return float(over) / float(under or 1)


def onto_sheet(part: Rect, box: Rect, art: Rect, turn: int, scale: float) -> Rect:
    """Where a part of the page lies on the side of the sheet; `turn` counter-clockwise."""
    corners = [(part.x0 - box.x0, part.y0 - box.y0), (part.x1 - box.x0, part.y1 - box.y0)]
    wide, high = (box.x1 - box.x0) * scale, (box.y1 - box.y0) * scale
    placed = []
    for x, y in ((x * scale, y * scale) for x, y in corners):
        placed.append(
            {0: (x, y), 90: (high - y, x), 180: (wide - x, high - y), 270: (y, wide - x)}[turn]
        )
    xs, ys = [x for x, _ in placed], [y for _, y in placed]
    return Rect(art.x0 + min(xs), art.y0 + min(ys), art.x0 + max(xs), art.y0 + max(ys))


def back_from_sheet(part: Rect, box: Rect, art: Rect, turn: int, scale: float) -> Rect:
    """The part of the page that lies there."""
    wide, high = (box.x1 - box.x0) * scale, (box.y1 - box.y0) * scale
    found = []
    for x, y in ((part.x0 - art.x0, part.y0 - art.y0), (part.x1 - art.x0, part.y1 - art.y0)):
        found.append(
            {0: (x, y), 90: (y, high - x), 180: (wide - x, high - y), 270: (wide - y, x)}[turn]
        )
    xs, ys = [x / scale + box.x0 for x, _ in found], [y / scale + box.y0 for _, y in found]
    return Rect(min(xs), min(ys), max(xs), max(ys))


if __name__ == "__main__":
    main()
