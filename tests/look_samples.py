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
from pikepdf import Array, Dictionary, Name
from PIL import Image, ImageDraw
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
    """A scanned page of text at 200 dots to the inch; its last line ends `ink_to` mm
    above the foot.  `strip`: the lid was caught along the fore-edge."""
    dots = 200 / 25.4
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


def _line_art(dots: int) -> Callable[[pikepdf.Pdf], None]:
    """An inch of one bit a dot on page 3; reportlab would store it as RGB."""

    def change(pdf: pikepdf.Pdf) -> None:
        image = pdf.make_stream(bytes(-(-dots // 8) * dots))
        image.Type, image.Subtype = Name.XObject, Name.Image
        image.Width = image.Height = dots
        image.BitsPerComponent, image.ColorSpace = 1, Name.DeviceGray
        page = pdf.pages[2]
        page.obj.Resources.XObject = Dictionary(I=image)
        page.contents_add(b"q 72 0 0 72 150 150 cm /I Do Q")

    return change


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


def _layered(off: bool) -> Callable[[pikepdf.Pdf], None]:
    """All of page 3 goes into a layer, as marked content."""

    def change(pdf: pikepdf.Pdf) -> None:
        group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name="notes"))
        config = Dictionary(OFF=Array([group])) if off else Dictionary()
        pdf.Root.OCProperties = Dictionary(OCGs=Array([group]), D=config)
        page = pdf.pages[2]
        page.obj.Resources.Properties = Dictionary(L=group)
        page.contents_add(b"/OC /L BDC", prepend=True)
        page.contents_add(b"EMC")

    return change


def _layered_form(off: bool) -> Callable[[pikepdf.Pdf], None]:
    """A form that belongs to a membership of one layer crosses the foot trim of page 3."""

    def change(pdf: pikepdf.Pdf) -> None:
        group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name="notes"))
        config = Dictionary(BaseState=Name.OFF, ON=Array([] if off else [group]))
        pdf.Root.OCProperties = Dictionary(OCGs=Array([group]), D=config)
        form = pdf.make_stream(b"0 0 60 60 re f")
        form.Type, form.Subtype, form.BBox = Name.XObject, Name.Form, Array([0, 0, 60, 60])
        form.OC = pdf.make_indirect(Dictionary(Type=Name.OCMD, OCGs=group))
        page = pdf.pages[2]
        page.obj.Resources.XObject = Dictionary(N=form)
        page.contents_add(b"q 1 0 0 1 200 6 cm /N Do Q")

    return change


def _turned(unit: float) -> Callable[[pikepdf.Pdf], None]:
    """Page 3 becomes a page read after a quarter turn, in units of `unit` points; a box ends
    1 mm from its own right trim edge, which is the foot as read."""

    def change(pdf: pikepdf.Pdf) -> None:
        page = pdf.pages[2].obj
        each = MM / unit
        b, width, height = BLEED * each, HEIGHT * each, WIDTH * each
        page.MediaBox = Array([0, 0, width + 2 * b, height + 2 * b])
        page.TrimBox = Array([b, b, b + width, b + height])
        page.Rotate, page.UserUnit = 90, unit
        x = b + width - 31 * each
        content = f"{x} {b + 60 * each} {30 * each} {20 * each} re f"
        page.Contents = pdf.make_stream(content.encode())
        for other in pdf.pages:
            if "/CropBox" in other.obj:
                del other.obj["/CropBox"]

    return change


def _stamped(y: float) -> Callable[[pikepdf.Pdf], None]:
    """Page 3 gets an annotation whose appearance is a box, `y` mm above the foot trim."""

    def change(pdf: pikepdf.Pdf) -> None:
        look = pdf.make_stream(b"0 0 90 60 re f")
        look.Type, look.Subtype, look.BBox = Name.XObject, Name.Form, Array([0, 0, 90, 60])
        low = (BLEED + y) * MM
        stamp = Dictionary(
            Type=Name.Annot, Subtype=Name.Stamp, F=4, Rect=Array([200, low, 290, low + 60]),
            AP=Dictionary(N=look),
        )  # fmt: skip
        pdf.pages[2].obj.Annots = Array([pdf.make_indirect(stamp)])

    return change


def _spot(pdf: pikepdf.Pdf) -> None:
    tint = Dictionary(
        FunctionType=2, Domain=Array([0, 1]), C0=Array([0, 0, 0, 0]), C1=Array([0, 1, 0, 0]), N=1
    )
    space = Array([Name.Separation, Name("/Lighthouse Red"), Name.DeviceCMYK, tint])
    pdf.pages[2].obj.Resources.ColorSpace = Dictionary(S=space)


def _plain_font(s: Sheet) -> None:
    s.c.setFont("Helvetica", 10)
    s.c.drawString(40 * MM, 60 * MM, "from the reader's own store")


def _cmyk(c: float, m: float, y: float, k: float) -> Draw:
    """A field of colour well inside the page."""

    def draw(s: Sheet) -> None:
        s.c.setFillColorCMYK(c, m, y, k)
        s.c.rect(30 * MM, 60 * MM, 40 * MM, 30 * MM, stroke=0, fill=1)

    return draw


def _rgb(r: float, g: float, b: float) -> Draw:
    def draw(s: Sheet) -> None:
        s.c.setFillColorRGB(r, g, b)
        s.c.rect(30 * MM, 60 * MM, 40 * MM, 30 * MM, stroke=0, fill=1)

    return draw


def _white_on_dark(overprint: bool) -> Draw:
    """White over a dark field, set to overprint or not."""

    def draw(s: Sheet) -> None:
        _cmyk(1, 0.5, 0, 0)(s)
        s.c.saveState()
        s.c.setFillOverprint(overprint)
        s.c.setFillColorCMYK(0, 0, 0, 0)
        s.c.rect(40 * MM, 65 * MM, 10 * MM, 10 * MM, stroke=0, fill=1)
        s.c.restoreState()

    return draw


def _dark_overprint(s: Sheet) -> None:
    """Black text set to overprint, as it should be, and white beside it that is not."""
    _cmyk(1, 0.5, 0, 0)(s)
    s.c.saveState()
    s.c.setFillOverprint(True)
    s.c.setFillColorCMYK(0, 0, 0, 1)
    s.c.rect(32 * MM, 65 * MM, 5 * MM, 5 * MM, stroke=0, fill=1)
    s.c.restoreState()
    s.c.setFillColorCMYK(0, 0, 0, 0)
    s.c.rect(40 * MM, 65 * MM, 10 * MM, 10 * MM, stroke=0, fill=1)


def _glass(s: Sheet) -> None:
    """A field that is half see-through."""
    s.c.saveState()
    s.c.setFillAlpha(0.5)
    s.box(30, 60, 70, 90)
    s.c.restoreState()


def _says(standard: str) -> Callable[[pikepdf.Pdf], None]:
    def change(pdf: pikepdf.Pdf) -> None:
        pdf.docinfo["/GTS_PDFXVersion"] = standard

    return change


def _numbers(skip: int) -> dict[int, Draw]:
    """Page numbers at the foot; `skip` of them left out after page 8."""

    def number(page: int) -> Draw:
        return lambda s: s.text(str(page if page <= 8 else page + skip), 72, 12)

    return {page: number(page) for page in range(1, 17)}


#: 200 g/m2, which cracks where it is folded.
HEAVY = {"stock": "200gsm"}

MAY_FOOT = on_page_3((WARNING, "may-be-cut", "foot"))
CUT_FOOT = on_page_3((ERROR, "cut-off", "foot"))
WHITE_FORE = on_page_3((WARNING, "white-edge", "fore-edge"))
LOST = on_page_3((ERROR, "lost-in-spine", "spine"))
#: Half a millimetre thick: the inner sheet's pages move that far toward the fold.
THICK = {"stock": "0.5mm"}

SAMPLES: tuple[Sample, ...] = (
    # text against the knife
    Sample(name="text-near", draw=lambda s: s.text("12", 70, 2), wanted=MAY_FOOT),
    Sample(name="text-far", draw=lambda s: s.text("12", 70, 10)),
    Sample(name="text-crosses", draw=lambda s: s.text("12", 70, -1), wanted=CUT_FOOT),
    Sample(
        name="text-overflows",
        draw=lambda s: s.text("a line much too long for the page it stands on " * 2, 80, 60),
        wanted=on_page_3((ERROR, "cut-off", "fore-edge")),
    ),
    Sample(name="text-spaces", draw=lambda s: s.text("12                    ", 118, 60)),
    Sample(name="text-invisible", draw=lambda s: s.text("12", 70, -1, mode=3)),
    Sample(name="text-in-forms", draw=_in_form(1), wanted=MAY_FOOT),
    Sample(name="text-in-forms-far", draw=_in_form(12)),
    Sample(name="text-white-on-grey", draw=_white_words, wanted=MAY_FOOT),
    Sample(name="text-under-picture", draw=_under_picture),
    Sample(
        name="text-slug",
        draw=lambda s: (s.text("slug: page 3", 40, -2.8, size=4), s.line(-3, 0, -1, 0))[1],
    ),
    Sample(
        name="text-outside-page",
        draw=lambda s: s.text("lost", 40, -2.8, size=4),
        trim_box=False,
        wanted=CUT_FOOT,
    ),
    Sample(
        name="folios",
        draw=lambda s: _folios(s, 3),
        others={n: (lambda s, n=n: _folios(s, n)) for n in (2, 4, 5, 6)},
        wanted=frozenset({(WARNING, "may-be-cut", "foot", (2, 3, 4, 5, 6))}),
    ),
    # art against the knife
    Sample(
        name="picture-stops",
        draw=lambda s: s.picture(photo(1000, 600), 60, 60, 148, 100),
        wanted=WHITE_FORE,
    ),
    Sample(
        name="picture-short",
        draw=lambda s: s.picture(photo(1000, 600), 60, 60, 149.5, 100),
        wanted=WHITE_FORE,
    ),
    Sample(name="picture-bleeds", draw=lambda s: s.picture(photo(1000, 600), 60, 60, 151, 100)),
    Sample(name="picture-clipped", draw=_clipped),
    Sample(name="picture-white-round", draw=lambda s: s.picture(framed(), 100, 60, 148, 108)),
    Sample(
        name="box-near",
        draw=lambda s: s.box(100, 60, 147, 80),
        wanted=on_page_3((WARNING, "may-be-cut", "fore-edge")),
    ),
    Sample(name="box-on-background", draw=_on_background),
    Sample(name="box-white", draw=lambda s: s.box(100, 60, 148, 80, grey=1)),
    Sample(name="box-taken-back", draw=_white_over),
    Sample(
        name="box-small-crosses",
        draw=lambda s: s.box(144, 60, 149.5, 66),
        wanted=on_page_3((WARNING, "part-cut-off", "fore-edge")),
    ),
    Sample(name="tab-bleeds", draw=lambda s: s.box(144, 60, 151, 66)),
    Sample(
        name="background-without-bleed",
        draw=lambda s: s.box(0, 0, 148, 210),
        bleed=0,
        trim_box=False,
        wanted=on_page_3(*((WARNING, "white-edge", s) for s in ("head", "foot", "fore-edge"))),
    ),
    # layers, turned pages, annotations
    Sample(name="layer-off", draw=lambda s: s.text("12", 70, -1), after=_layered(True),
           wanted=on_page_3((NOTE, "blank-page", ""))),
    Sample(name="layer-on", draw=lambda s: s.text("12", 70, -1), after=_layered(False),
           wanted=CUT_FOOT),
    Sample(name="layer-form-off", draw=lambda s: None, after=_layered_form(True)),
    Sample(name="layer-form-on", draw=lambda s: None, after=_layered_form(False),
           wanted=on_page_3((WARNING, "may-be-cut", "foot"))),
    Sample(name="turned", draw=lambda s: None, after=_turned(1), wanted=MAY_FOOT),
    Sample(name="turned-unit", draw=lambda s: None, after=_turned(2), wanted=MAY_FOOT),
    Sample(name="stamp-near", draw=lambda s: None, after=_stamped(1), wanted=MAY_FOOT),
    Sample(name="stamp-far", draw=lambda s: None, after=_stamped(20)),
    # scans
    Sample(name="scan-near", draw=lambda s: s.picture(scan(ink_to=1), -3, -3, 151, 213),
           wanted=MAY_FOOT),
    Sample(name="scan-far",
           draw=lambda s: s.picture(scan(ink_to=15, strip=True), -3, -3, 151, 213)),
    # the spine
    Sample(name="spine-near", draw=lambda s: s.text("lost", 1, 60), wanted=LOST),
    Sample(name="spine-far", draw=lambda s: s.text("lost", 6, 60)),
    Sample(name="first-leaf", draw=lambda s: None, others={1: lambda s: s.text("lost", 4, 60)},
           wanted=frozenset({(ERROR, "lost-in-spine", "spine", (1,))})),
    Sample(name="third-page", draw=lambda s: s.text("lost", 4, 60)),
    Sample(name="stab-lost", draw=lambda s: s.text("lost", 8, 60), binding="stab", wanted=LOST),
    Sample(name="stab-near", draw=lambda s: s.text("lost", 14, 60), binding="stab",
           wanted=on_page_3((WARNING, "near-spine", "spine"))),
    Sample(name="stab-far", draw=lambda s: s.text("lost", 16.5, 60), binding="stab"),
    # The second of four holes lies 12 mm from the spine and 74 mm from the head.
    Sample(name="stab-hole", draw=lambda s: s.text("holed", 10, 135), binding="stab",
           wanted=on_page_3((ERROR, "hole-through-matter", "spine"))),
    Sample(name="stab-hole-shape", draw=lambda s: s.box(11, 128, 51, 142), binding="stab",
           wanted=on_page_3((WARNING, "hole-through-matter", "spine"))),
    Sample(name="stab-hole-verso", draw=lambda s: None, binding="stab",
           others={4: lambda s: s.text("holed", 130, 135)},
           wanted=frozenset({(ERROR, "hole-through-matter", "spine", (4,))})),
    Sample(name="stab-between-holes", draw=lambda s: s.box(11, 90, 51, 120), binding="stab"),
    Sample(name="creep-takes", draw=lambda s: s.text("lost", -0.1, 60), wanted=LOST,
           options=THICK, binding="saddle", pages=8),
    Sample(name="creep-far", draw=lambda s: s.text("lost", 5, 60), options=THICK,
           binding="saddle", pages=8),
    Sample(name="spread", draw=lambda s: None, options=THICK, binding="saddle", pages=8,
           others={4: _spread(True), 5: _spread(False)},
           wanted=frozenset({(NOTE, "spread-bite", "spine", (4, 5))})),
    Sample(name="spread-half", draw=lambda s: None, options=THICK, binding="saddle", pages=8,
           others={4: _spread(True)}),
    # pictures, fonts, inks
    Sample(name="photo-fine", draw=lambda s: s.picture(photo(640, 640), 30, 30, 100, 100)),
    Sample(name="photo-soft", draw=lambda s: s.picture(photo(350, 350), 30, 30, 100, 100),
           wanted=on_page_3((WARNING, "picture-soft", ""))),
    Sample(name="photo-coarse", draw=lambda s: s.picture(photo(200, 200), 30, 30, 100, 100),
           wanted=on_page_3((WARNING, "picture-coarse", ""))),
    Sample(name="line-art", draw=lambda s: None, after=_line_art(300),
           wanted=on_page_3((NOTE, "line-art-coarse", ""))),
    Sample(name="line-art-fine", draw=lambda s: None, after=_line_art(600)),
    Sample(name="rgb-press", draw=lambda s: s.picture(photo(640, 640, "RGB"), 30, 30, 100, 100),
           options={"printer": "small-press"}, wanted=on_page_3((WARNING, "picture-rgb", ""))),
    Sample(name="cmyk-press", draw=lambda s: s.picture(photo(640, 640), 30, 30, 100, 100),
           options={"printer": "small-press"}),
    Sample(name="font-missing", draw=_plain_font,
           wanted=on_page_3((WARNING, "font-not-embedded", ""))),
    Sample(name="spot", draw=lambda s: None, after=_spot,
           wanted=on_page_3((NOTE, "spot-colour", ""))),
    Sample(name="hairline", draw=lambda s: s.line(40, 60, 90, 60, weight=0.1),
           wanted=on_page_3((NOTE, "hairline", ""))),
    Sample(name="thin-line", draw=lambda s: s.line(40, 60, 90, 60, weight=0.3)),
    Sample(name="total-ink", draw=_cmyk(0.9, 0.8, 0.9, 0.7),
           wanted=on_page_3((WARNING, "total-ink", ""))),
    Sample(name="ink-enough", draw=_cmyk(0.7, 0.7, 0.7, 0.8)),
    Sample(name="vector-rgb", draw=_rgb(0.8, 0.2, 0.1), options={"printer": "small-press"},
           wanted=on_page_3((WARNING, "vector-rgb", ""))),
    Sample(name="vector-rgb-grey", draw=_rgb(0.2, 0.2, 0.2), options={"printer": "small-press"}),
    Sample(name="vector-rgb-at-home", draw=_rgb(0.8, 0.2, 0.1)),
    Sample(name="white-overprint", draw=_white_on_dark(True),
           wanted=on_page_3((WARNING, "white-overprint", ""))),
    Sample(name="white-knocks-out", draw=_white_on_dark(False)),
    Sample(name="black-overprint", draw=_dark_overprint),
    Sample(name="glass-old", draw=_glass, after=_says("PDF/X-1a:2003"),
           wanted=on_page_3((WARNING, "transparency", ""))),
    Sample(name="glass-new", draw=_glass, after=_says("PDF/X-4")),
    Sample(name="glass", draw=_glass),
    Sample(name="ink-on-fold", draw=lambda s: s.box(-3, 60, 60, 100), binding="saddle", pages=8,
           options=HEAVY, wanted=on_page_3((WARNING, "ink-on-fold", ""))
           | {(WARNING, "score-needed", "", ())}),
    Sample(name="ink-off-fold", draw=lambda s: s.box(20, 60, 60, 100), binding="saddle", pages=8,
           options=HEAVY, wanted=frozenset({(WARNING, "score-needed", "", ())})),
    Sample(name="ink-on-light-fold", draw=lambda s: s.box(-3, 60, 60, 100), binding="saddle",
           pages=8),
    # whole pages
    Sample(name="numbers-skipped", draw=lambda s: None, pages=16, others=_numbers(2),
           wanted=frozenset({(WARNING, "page-missing", "", (8, 9))})),
    Sample(name="numbers-run-on", draw=lambda s: None, pages=16, others=_numbers(0)),
    Sample(name="numbers-begin-again", draw=lambda s: None, pages=16, others=_numbers(-8)),
    Sample(name="blank", draw=lambda s: None, plain=False,
           others={n: (lambda s, n=n: s.box(30, 30, 60 + n, 90)) for n in (1, 2, 4, 5)}
           | {6: lambda s: s.text("the end", 60, 100)},
           wanted=on_page_3((NOTE, "blank-page", ""))
           | {(NOTE, "near-blank-page", "", (6,))}),
    Sample(name="alike", draw=lambda s: s.box(30, 30, 60, 90), plain=False,
           others={n: (lambda s, n=n: s.box(30, 30, 60 + n, 90)) for n in (1, 2, 4, 6)}
           | {5: lambda s: s.box(30, 30, 60, 90)},
           wanted=frozenset({(WARNING, "pages-alike", "", (3, 5))})),
)  # fmt: skip
