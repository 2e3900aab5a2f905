"""Small books made in code, each with the findings it must have: a fault, and its harmless twin.

Every sample is a book of A5 pages with 3 mm of bleed (unless it says otherwise)
whose page 3 is the page in question; the others carry a line of text each.
Places are in millimetres from the trim's lower left.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import pikepdf
import reportlab
from PIL import Image, ImageDraw
from pikepdf import Array, Dictionary, Name
from reportlab import rl_config
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

MM = 72 / 25.4
WIDTH, HEIGHT, BLEED = 148.0, 210.0, 3.0
WARNING, ERROR, NOTE = "warning", "error", "note"

Draw = Callable[["Sheet"], None]
Wanted = tuple[str, str, str, tuple[int, ...]]  # severity, code, side, pages


class Sheet:
    """A canvas in millimetres from the trim's corner."""

    def __init__(self, canvas: Canvas) -> None:
        self.c = canvas

    def text(self, words: str, x: float, y: float, size: float = 10, mode: int = 0) -> None:
        """One line; x, y is the left end of its baseline."""
        line = self.c.beginText(x * MM, y * MM)
        line.setFont("Vera", size)
        line.setTextRenderMode(mode)
        line.textOut(words)
        self.c.drawText(line)

    def box(self, x0: float, y0: float, x1: float, y1: float, grey: float = 0.5) -> None:
        """A filled rectangle."""
        self.c.setFillGray(grey)
        self.c.rect(x0 * MM, y0 * MM, (x1 - x0) * MM, (y1 - y0) * MM, stroke=0, fill=1)
        self.c.setFillGray(0)

    def line(self, x0: float, y0: float, x1: float, y1: float, weight: float = 1) -> None:
        """A stroke; its weight is in points."""
        self.c.setLineWidth(weight)
        self.c.line(x0 * MM, y0 * MM, x1 * MM, y1 * MM)

    def picture(self, image: Image.Image, x0: float, y0: float, x1: float, y1: float) -> None:
        """An image stretched into a box."""
        size = (x1 - x0) * MM, (y1 - y0) * MM
        self.c.drawImage(ImageReader(image), x0 * MM, y0 * MM, *size)

    def clip(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """From now on only this box shows."""
        path = self.c.beginPath()
        path.rect(x0 * MM, y0 * MM, (x1 - x0) * MM, (y1 - y0) * MM)
        self.c.clipPath(path, stroke=0, fill=0)


@dataclass(frozen=True, kw_only=True)
class Sample:
    """A book and what must be found in it, nothing else.

    `others` are further pages to draw on, by number.  `after` changes the file
    once it is written.
    """

    name: str
    draw: Draw
    wanted: frozenset[Wanted] = frozenset()
    binding: str = "perfect"
    pages: int = 6
    bleed: float = BLEED
    trim_box: bool = True
    options: dict[str, str] = field(default_factory=dict)
    others: dict[int, Draw] = field(default_factory=dict)
    after: Callable[[pikepdf.Pdf], None] | None = None
    plain: bool = True  #: the other pages carry a line of text

    def write(self, path: Path) -> None:
        """The book as a PDF."""
        _fonts()
        canvas = Canvas(str(path), invariant=1, pageCompression=0, initialFontName="Vera")
        for number in range(1, self.pages + 1):
            self._page(canvas, number)
        canvas.save()
        if self.after is not None:
            with pikepdf.open(path, allow_overwriting_input=True) as pdf:
                self.after(pdf)
                pdf.save(path)

    def _page(self, canvas: Canvas, number: int) -> None:
        b = self.bleed * MM
        canvas.setPageSize((WIDTH * MM + 2 * b, HEIGHT * MM + 2 * b))
        if self.trim_box:
            canvas.setTrimBox((b, b, b + WIDTH * MM, b + HEIGHT * MM))
        canvas.translate(b, b)
        sheet = Sheet(canvas)
        if self.plain:
            for row in range(3):
                sheet.text(f"Page {number}: the keepers count herrings", 40, 120 - 8 * row)
        if number == 3:
            self.draw(sheet)
        if number in self.others:
            self.others[number](sheet)
        canvas.showPage()


def _fonts() -> None:
    rl_config.canvas_basefontname = "Vera"
    folder = Path(reportlab.__file__).parent / "fonts"
    pdfmetrics.registerFont(TTFont("Vera", str(folder / "Vera.ttf")))


def on_page_3(*found: tuple[str, str, str]) -> frozenset[Wanted]:
    """Findings that are all about page 3."""
    return frozenset((severity, code, side, (3,)) for severity, code, side in found)


# -- pictures --------------------------------------------------------------------------


def photo(across: int, down: int, mode: str = "CMYK") -> Image.Image:
    """Nothing white in it."""
    grey = Image.linear_gradient("L").resize((across, down)).point(lambda v: 40 + v // 2)
    return Image.merge("CMYK", [grey] * 4) if mode == "CMYK" else grey.convert(mode)


def framed() -> Image.Image:
    """A dark disc on white: the picture's own edges are white."""
    image = Image.new("L", (500, 500), 255)
    ImageDraw.Draw(image).ellipse((100, 100, 400, 400), fill=30)
    return image


def scan(*, ink_to: float, strip: bool = False, ground: int = 250) -> Image.Image:
    """A scanned page of text at 150 dots to the inch; its last line ends `ink_to` mm
    above the foot.  `strip`: the lid was caught along the fore-edge."""
    dots = 150 / 25.4
    size = round((WIDTH + 2 * BLEED) * dots), round((HEIGHT + 2 * BLEED) * dots)
    image = Image.new("L", size, ground)
    pen = ImageDraw.Draw(image)
    foot = size[1] - (BLEED + ink_to) * dots
    for row in range(20):
        y = foot - row * 8 * dots
        for word in range(12):
            x = (20 + word * 8) * dots
            pen.rectangle((x, y - 2 * dots, x + 5 * dots, y), fill=20)
    if strip:
        pen.rectangle((size[0] - 4 * dots, 0, size[0], size[1]), fill=70)
        for place in range(40):  # and some dust
            pen.point((size[0] - 5 * dots - place % 7, place * 31), fill=0)
    return image


def line_art(across: int, down: int) -> Image.Image:
    """One bit a dot."""
    image = Image.new("1", (across, down), 1)
    ImageDraw.Draw(image).ellipse((5, 5, across - 5, down - 5), outline=0, width=4)
    return image


# -- drawings --------------------------------------------------------------------------


def _in_form(y: float) -> Draw:
    """Text in a form in a form, each scaled by two."""

    def draw(s: Sheet) -> None:
        s.c.beginForm(f"inner{y:g}")
        s.c.setFont("Vera", 2.5)
        s.c.drawString(0, 0, "42")
        s.c.endForm()
        s.c.beginForm(f"outer{y:g}")
        s.c.scale(2, 2)
        s.c.translate(5 * MM, 0)
        s.c.doForm(f"inner{y:g}")
        s.c.endForm()
        s.c.saveState()
        s.c.translate(60 * MM, y * MM)
        s.c.scale(2, 2)
        s.c.doForm(f"outer{y:g}")
        s.c.restoreState()

    return draw


def _clipped(s: Sheet) -> None:
    s.c.saveState()
    s.clip(30, 30, 100, 100)
    s.picture(photo(2000, 2000), 20, 20, 148, 100)
    s.c.restoreState()


def _on_background(s: Sheet) -> None:
    s.box(-3, -3, 80, 213)
    s.box(80, -3, 151, 213, grey=0.6)
    s.box(100, 50, 147, 60, grey=0.2)
    s.box(40, 209, 90, 209.5, grey=0.2)


def _white_over(s: Sheet) -> None:
    """Art that a white box takes back from the trim."""
    s.box(30, 30, 148, 60)
    s.box(130, 20, 149, 70, grey=1)


def _white_words(s: Sheet) -> None:
    s.box(-3, -3, 151, 40)
    s.c.setFillGray(1)
    s.text("white on grey", 40, 1)


def _under_picture(s: Sheet) -> None:
    s.text("under a picture", 60, 1)
    s.picture(photo(1200, 600), -3, -3, 151, 60)


def _spread(left: bool) -> Draw:
    return lambda s: s.box(*((100, 60, 151, 120) if left else (-3, 60, 50, 120)))


def _folios(s: Sheet, number: int) -> None:
    s.text(str(number), 130 if number % 2 else 15, 2)


def _layered(pdf: pikepdf.Pdf, *, off: bool) -> None:
    """Page 3's own drawing goes into a layer, as marked content."""
    group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name="notes"))
    config = Dictionary(OFF=Array([group])) if off else Dictionary()
    pdf.Root.OCProperties = Dictionary(OCGs=Array([group]), D=config)
    page = pdf.pages[2]
    page.obj.Resources.Properties = Dictionary(L=group)
    page.contents_add(b"/OC /L BDC BT /F1 0 Tf ET", prepend=True)
    page.contents_add(b"EMC")


def _layered_form(pdf: pikepdf.Pdf) -> None:
    group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name="notes"))
    pdf.Root.OCProperties = Dictionary(
        OCGs=Array([group]), D=Dictionary(BaseState=Name.OFF, ON=Array([]))
    )
    form = pdf.make_stream(b"0 0 40 40 re f")
    form.update if False else None
    form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array([0, 0, 40, 40])
    form.OC = Dictionary(Type=Name.OCMD, OCGs=group)
    page = pdf.pages[2]
    page.obj.Resources.XObject = Dictionary(N=form)
    page.contents_add(b"q 1 0 0 1 200 0 cm /N Do Q")
