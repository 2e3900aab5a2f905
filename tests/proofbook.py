"""Books for the proof's tests, and the checker that reads a proof page by page.

The pages are built so that nothing passes by luck: each has its number in large
figures, art that runs off all four sides in its own shade, and a wedge and a bar
that differ when the page is turned or mirrored.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pypdfium2
from PIL import Image, ImageChops, ImageFilter
from reportlab.pdfgen.canvas import Canvas

from impose.geometry.box import Box, Size
from impose.geometry.sides import BoundAt
from impose.model.facts import BookPage, PageFacts
from impose.model.job import Job
from impose.model.overrides import Overrides
from impose.model.resolve import job_from_options
from impose.pdf.proof import ProofLook, write_proof
from impose.pdf.read import open_sources
from impose.pdf.write import write_sheets
from impose.plan.plan import Plan
from impose.schemes.leaves import expand_pages
from impose.schemes.planning import plan_sheets
from impose.units import ZERO, Length

TRIM = Size(Length.mm(60), Length.mm(90))
BLEED = Length.mm(3)
DOTS = 100
#: Pixels a page may differ in: corners of strokes, where two renderings round differently.
ALLOWED = 6
#: Levels of 255 by which a pixel must differ to count.
UNLIKE = 48


@dataclass(frozen=True)
class Made:
    """One job carried through to its proof."""

    plan: Plan
    source: Path
    guts: Path
    proof: Path


def draw_page(canvas: Canvas, trim: Size, bleed: Length, number: int, letters: int) -> None:
    """A number and art off all edges, no two sides alike; the next page is not begun."""
    b, w, h = (float(n.as_points) for n in (bleed, trim.width, trim.height))
    canvas.setTrimBox((b, b, b + w, b + h))
    canvas.translate(b, b)
    canvas.setFillGray(0.55 + 0.03 * (number % 13))
    canvas.rect(-b, -b, w + 2 * b, h + 2 * b, stroke=0, fill=1)
    canvas.setFillGray(0)
    wedge = canvas.beginPath()
    wedge.moveTo(-b, h + b)
    wedge.lineTo(w * 0.4, h + b)
    wedge.lineTo(-b, h * 0.75)
    wedge.close()
    canvas.drawPath(wedge, stroke=0, fill=1)
    canvas.rect(w * 0.6, -b, w * 0.1, h * 0.12 + b, stroke=0, fill=1)
    canvas.rect(w * 0.9, h * 0.3, w * 0.1 + b, h * 0.05, stroke=0, fill=1)
    canvas.setFont("Helvetica-Bold", letters)
    canvas.drawCentredString(w / 2, h / 2, str(number))


def make_source(target: Path, pages: int, bleed: Length = BLEED) -> Path:
    """A PDF of numbered pages of TRIM with bleed on all sides."""
    b, w, h = (float(n.as_points) for n in (bleed, TRIM.width, TRIM.height))
    canvas = Canvas(str(target), pagesize=(w + 2 * b, h + 2 * b), invariant=1)
    for number in range(1, pages + 1):
        draw_page(canvas, TRIM, bleed, number, 48)
        canvas.showPage()
    canvas.save()
    return target


def make_job(source: str, guts: dict[str, Any] | None = None, **options: Any) -> Job:
    """A job without collation marks, which are printed inside the trim."""
    options.setdefault("trim", "60mm x 90mm")
    job = job_from_options(Overrides(pages=(source,), **options), Path())
    marks = replace(job.marks, kinds=frozenset({"crop", "fold", "slug"}))
    return replace(job, guts=replace(job.guts, **(guts or {})), marks=marks)


def plan_numbers(pages: int, guts: dict[str, Any] | None = None, **options: Any) -> Plan:
    """A plan of `pages` pages without any file."""
    job = make_job("book.pdf", guts, **options)
    media = Box.at(ZERO, ZERO, Size(TRIM.width + BLEED * 2, TRIM.height + BLEED * 2))
    facts = PageFacts(media, media, Box.at(BLEED, BLEED, TRIM))
    book = [BookPage(0, number, facts) for number in range(1, pages + 1)]
    return plan_sheets(job, book, tuple(range(1, pages + 1)), ("book.pdf",))


def write_book(
    folder: Path,
    pages: int,
    guts: dict[str, Any] | None = None,
    *,
    printed: Any = None,
    bound: Any = None,
    copy: int = 1,
    **options: Any,
) -> Made:
    """Source, sheets and a proof page by page.

    `printed` changes the plan that is printed, `bound` the one that is bound:
    where they differ, paper and lists disagree.  `copy` is which copy the proof is of.
    """
    source = make_source(folder / "source.pdf", pages)
    job = make_job(str(source), guts, **options)
    with open_sources([source]) as sources:
        book, faces = expand_pages(job.pages, [str(source)], sources.facts)
        plan = plan_sheets(job, book, faces, [source.name])
        write_sheets(printed(plan) if printed else plan, sources, folder / "guts.pdf")
    plan = bound(plan) if bound else plan
    made = Made(plan, source, folder / "guts.pdf", folder / "proof.pdf")
    look = ProofLook(swallowed=ZERO, copy=copy)
    write_proof(plan, made.guts, made.proof, spreads=False, look=look)
    return made


# -- the checker ------------------------------------------------------------------------


def check_proof(made: Made, pages: int, *, pixels: bool = True) -> list[str]:
    """What is wrong with the proof as a book of the source's `pages` pages in order.

    It knows the source, the trim and where the book is bound, and nothing of
    sheets.  Blanks must be white.
    """
    faults = []
    with pypdfium2.PdfDocument(made.proof) as proof, pypdfium2.PdfDocument(made.source) as source:
        if len(proof) % 2 or not pages <= len(proof):
            faults.append(f"{len(proof)} pages in the proof")
        for index in range(len(proof)):
            number = index + 1
            said, wanted = _number_on(proof[index]), str(number) if number <= pages else ""
            if said != wanted:
                faults.append(f"page {number} says {said!r}")
            elif pixels:
                art = _inner(_rendered(source[index])) if number <= pages else None
                page = _rendered(proof[index])
                unlike = _unlike(_inner(page), art, _hidden(made.plan, number))
                if unlike > ALLOWED:
                    faults.append(f"page {number} differs in {unlike} pixels")
                if _beyond(page):
                    faults.append(f"page {number} is larger than the trim")
    return faults


def read_numbers(path: Path) -> list[str]:
    """The words within the trim of each page of a PDF."""
    with pypdfium2.PdfDocument(path) as pdf:
        return [_number_on(page) for page in pdf]


def _number_on(page: Any) -> str:
    left, bottom, right, top = page.get_trimbox()
    words = page.get_textpage()
    return str(words.get_text_bounded(left, bottom, right, top)).strip()


def _rendered(page: Any) -> Image.Image:
    """The trim and two pixels round it."""
    scale = DOTS / 72
    image: Image.Image = page.render(scale=scale, grayscale=True).to_pil()
    left, bottom, right, top = (edge * scale for edge in page.get_trimbox())
    x, y = round(left) - 2, image.height - round(top) - 2
    return image.crop((x, y, x + round(right - left) + 4, y + round(top - bottom) + 4))


def _inner(page: Image.Image) -> Image.Image:
    """The trim less a pixel all round, where the edge is half covered."""
    return page.crop((3, 3, page.width - 3, page.height - 3))


def _beyond(page: Image.Image) -> bool:
    """Something is drawn a pixel or two outside the trim."""
    ring = page.copy()
    ring.paste(255, (1, 1, ring.width - 1, ring.height - 1))
    return sum(ring.histogram()[:200]) > ALLOWED


def _hidden(plan: Plan, number: int) -> tuple[str, int]:
    """The side of the spine, and the pixels there that lie in the fold of nested leaves."""
    recto = number % 2 == 1
    sides = {BoundAt.LEFT: ("left", "right"), BoundAt.RIGHT: ("right", "left")}
    spine = sides.get(plan.bound_at, ("top", "bottom"))[0 if recto else 1]
    width = float(plan.creep.total.as_inches) * DOTS
    return spine, round(width) + 1 if width else 0


def _unlike(made: Image.Image, art: Image.Image | None, hidden: tuple[str, int]) -> int:
    """How far the page is from its art, less the strip that is hidden."""
    side, strip = hidden
    width, height = made.size
    art = Image.new("L", made.size, 255) if art is None else art
    width, height = min(width, art.width), min(height, art.height)
    box = {
        "left": (strip, 0, width, height),
        "right": (0, 0, width - strip, height),
        "top": (0, strip, width, height),
        "bottom": (0, 0, width, height - strip),
    }[side]
    return count_unlike(made.crop(box), art.crop(box))


def count_unlike(one: Image.Image, other: Image.Image) -> int:
    """Pixels of either grey image that have no like within a pixel's distance in the other."""
    return max(_without_like(one, other), _without_like(other, one))


def _without_like(one: Image.Image, other: Image.Image) -> int:
    dark, light = other.filter(ImageFilter.MinFilter(3)), other.filter(ImageFilter.MaxFilter(3))
    off = ImageChops.lighter(ImageChops.subtract(dark, one), ImageChops.subtract(one, light))
    return sum(off.histogram()[UNLIKE:])
