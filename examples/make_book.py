"""Make the example book: ``pages.pdf`` (24 single pages) and ``cover.pdf`` (its wraparound).

The book is an invented pocket guide, "The Lights of Pellantine" by Odda Farnwhistle,
from the invented Lugworm Lane Press.  It is left-bound, so odd pages are rectos with the
spine at their left.  Each page is 5.5 x 8.5 in after trimming and carries 1/8 in of bleed
on all four sides: the MediaBox is trim plus bleed, with a TrimBox and a BleedBox.

Pages 2, 6, 12, 13 and 20 are painted to the bleed all round; 7, 9, 14, 18 and 21 open a
chapter with a picture that bleeds at head, fore-edge and spine (the one on page 18 is a
CMYK JPEG); 12 and 13 are one picture across the middle spread.

Exactly two faults are planted, for a checker to find.  Everything else is clean:

* page 9: the page number stands 2 mm above the foot trim (1/8 in, 3.175 mm, is safe);
* page 14: the photograph stops exactly at the fore-edge trim (the left edge of this
  verso) and does not run into the bleed, so a careless cut would show a white edge.

Words are read from ``manuscript.txt`` beside this file.  The output has the same bytes in
each run: no clock is read, and the only random numbers have a fixed seed.
"""

from __future__ import annotations

import argparse
import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from functools import cache
from io import BytesIO
from pathlib import Path

import reportlab
from PIL import Image, ImageDraw, ImageFilter, ImageOps
from reportlab import rl_config
from reportlab.lib.colors import CMYKColor
from reportlab.lib.enums import TA_CENTER, TA_LEFT
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject
from reportlab.platypus import Paragraph

HERE = Path(__file__).resolve().parent
TITLE = "The Lights of Pellantine"
AUTHOR = "Odda Farnwhistle"
PRESS = "Lugworm Lane Press"

# Sizes in points.  Drawing is done from the bottom left corner of the trim.
INCH = 72.0
MM = INCH / 25.4
TRIM_W, TRIM_H = 5.5 * INCH, 8.5 * INCH
BLEED = INCH / 8
INNER, OUTER = 0.75 * INCH, 0.625 * INCH
TEXT_W = TRIM_W - INNER - OUTER
TEXT_TOP, TEXT_FOOT = 552.0, 66.0
BAND_FOOT = 462.0
FOLIO_Y = 40.0
FOLIO_Y_FAULT = 2 * MM
SPINE_DEFAULT = "0.0672"
SPINE_TEXT_MIN = Decimal("0.125")

INK = CMYKColor(0, 0, 0, 1)
PAPER = CMYKColor(0, 0, 0, 0)
GREY = CMYKColor(0, 0, 0, 0.55)
NAVY = CMYKColor(0.95, 0.68, 0.25, 0.35)
DUSK = CMYKColor(0.72, 0.42, 0.22, 0.08)
SEA = CMYKColor(0.58, 0.16, 0.26, 0)
FOG = CMYKColor(0.16, 0.04, 0.08, 0)
CREAM = CMYKColor(0.01, 0.03, 0.13, 0)
LAMP = CMYKColor(0, 0.22, 0.82, 0)
BRICK = CMYKColor(0.08, 0.75, 0.72, 0.05)
DEEP = CMYKColor(1, 0.72, 0.35, 0.55)
MOSS = CMYKColor(0.48, 0.18, 0.68, 0.10)

Point = tuple[float, float]


@dataclass(frozen=True)
class Light:
    """One lighthouse: how it is painted, how it flashes and where it stands on the map."""

    number: int
    name: str
    ells: int
    paint: str
    style: str
    colour: CMYKColor
    girth: float
    turn: tuple[int, ...]
    spot: Point

    @property
    def signal(self) -> str:
        """The flashing in words, counted in herrings (one herring is about a second)."""
        flashes = len(self.turn) // 2
        plural = "flash" if flashes == 1 else "flashes"
        return f"{flashes} {plural} in {sum(self.turn)} herrings"


LIGHTS = (
    Light(1, "Gannock Head", 38, "red hoops", "hoops", BRICK, 1.0, (3, 2, 3, 7), (-16, 168)),
    Light(2, "The Stub", 11, "blue half", "split", DUSK, 1.75, (2, 10), (-72, 88)),
    Light(3, "Saint Obble’s Lamp", 19, "green all over", "plain", MOSS, 1.25, (6, 6), (-88, -8)),
    Light(4, "The Needle", 33, "black twist", "twist", INK, 0.68, (1, 1, 1, 8), (-68, -90)),
    Light(5, "Butterlight", 24, "gold hoops", "hoops", LAMP, 1.3, (9, 3), (62, 96)),
    Light(6, "Pigeon Stair", 28, "grey twist", "twist", GREY, 1.05, (1, 2, 4, 6), (90, 2)),
    Light(7, "The Long Aunt", 47, "black checks", "checks", INK, 0.85, (2, 14), (74, -78)),
    Light(8, "Mussel Quay", 16, "red half", "split", BRICK, 1.2, (1, 1, 1, 1, 1, 9), (6, -150)),
    Light(9, "Never Point", 0, "not known", "none", FOG, 1.0, (4, 3, 4, 19), (122, -176)),
)

COAST: tuple[Point, ...] = (
    (-20, 190), (30, 172), (62, 150), (66, 112), (104, 82), (92, 40), (113, 0), (90, -40),
    (98, -84), (60, -108), (50, -150), (10, -176), (-30, -160), (-44, -120), (-86, -100),
    (-76, -55), (-110, -18), (-94, 30), (-112, 72), (-74, 104), (-72, 146), (-46, 164),
)  # fmt: skip


# ---------------------------------------------------------------- words and type


def set_up() -> None:
    """Register the Vera fonts that come with reportlab, and ask for plain binary streams."""
    rl_config.useA85 = 0
    rl_config.canvas_basefontname = "Vera"  # else each page names an unembedded font
    folder = Path(reportlab.__file__).parent / "fonts"
    for name in ("Vera", "VeraBd", "VeraIt", "VeraBI"):
        pdfmetrics.registerFont(TTFont(name, str(folder / f"{name}.ttf")))
    pdfmetrics.registerFontFamily(
        "Vera", normal="Vera", bold="VeraBd", italic="VeraIt", boldItalic="VeraBI"
    )


@cache
def manuscript() -> dict[str, list[str]]:
    """Read the manuscript: sections begin with ``@@ key``, paragraphs end at blank lines."""
    sections: dict[str, list[str]] = {}
    for chunk in (HERE / "manuscript.txt").read_text(encoding="utf-8").split("@@ ")[1:]:
        key, _, body = chunk.partition("\n")
        sections[key.strip()] = [text.strip() for text in body.split("\n\n") if text.strip()]
    return sections


def style(
    size: float, lead: float, font: str = "Vera", colour: CMYKColor = INK, *, centred: bool = False
) -> ParagraphStyle:
    """Make a paragraph style, ragged right unless it is centred."""
    return ParagraphStyle(
        "text",
        fontName=font,
        bulletFontName=font,
        fontSize=size,
        leading=lead,
        textColor=colour,
        alignment=TA_CENTER if centred else TA_LEFT,
    )


def flow(
    c: Canvas,
    texts: Sequence[str],
    at: Point,
    width: float,
    kind: ParagraphStyle,
    *,
    indent: float = 12,
    gap: float = 0,
    floor: float = TEXT_FOOT,
) -> float:
    """Set paragraphs downwards from the point ``at`` and return the height reached."""
    x, y = at
    for index, text in enumerate(texts):
        paragraph = Paragraph(text, kind.clone("line", firstLineIndent=indent if index else 0))
        height = paragraph.wrap(width, TRIM_H)[1]
        y -= height + (gap if index else 0)
        if y < floor:
            raise ValueError(f"text runs over the foot: {text[:40]!r}")
        paragraph.drawOn(c, x, y)
    return y


def line(
    c: Canvas,
    text: str,
    at: Point,
    size: float,
    font: str = "Vera",
    colour: CMYKColor = INK,
    align: str = "left",
    track: float = 0,
) -> None:
    """Set one line of text; ``at`` is its left end, middle or right end on the baseline."""
    x, y = at
    wide = pdfmetrics.stringWidth(text, font, size) + track * (len(text) - 1)
    x -= {"left": 0.0, "middle": wide / 2, "right": wide}[align]
    c.setFillColor(colour)
    c.setFont(font, size)
    c.drawString(x, y, text, charSpace=track)


# ---------------------------------------------------------------- shapes


def mix(a: CMYKColor, b: CMYKColor, t: float) -> CMYKColor:
    """The colour a part ``t`` of the way from a to b."""
    pairs = zip(a.cmyk(), b.cmyk(), strict=True)
    cyan, magenta, yellow, black = (round(p + (q - p) * t, 4) for p, q in pairs)
    return CMYKColor(cyan, magenta, yellow, black)


def polygon(
    c: Canvas, points: Sequence[Point], fill: CMYKColor | None, stroke: CMYKColor | None = None
) -> None:
    """A closed shape with straight sides."""
    path = c.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    paint(c, path, fill, stroke)


def blob(
    c: Canvas, points: Sequence[Point], fill: CMYKColor | None, stroke: CMYKColor | None = None
) -> None:
    """A closed smooth shape through the points."""
    n = len(points)
    path = c.beginPath()
    path.moveTo(*points[0])
    for i in range(n):
        (ax, ay), (bx, by) = points[i - 1], points[i]
        (px, py), (qx, qy) = points[(i + 1) % n], points[(i + 2) % n]
        path.curveTo(
            bx + (px - ax) / 6, by + (py - ay) / 6, px - (qx - bx) / 6, py - (qy - by) / 6, px, py
        )
    path.close()
    paint(c, path, fill, stroke)


def paint(c: Canvas, path: PDFPathObject, fill: CMYKColor | None, stroke: CMYKColor | None) -> None:
    """Fill and/or stroke a path."""
    if fill is not None:
        c.setFillColor(fill)
    if stroke is not None:
        c.setStrokeColor(stroke)
    c.drawPath(path, fill=int(fill is not None), stroke=int(stroke is not None))


def disc(c: Canvas, at: Point, radius: float, fill: CMYKColor) -> None:
    """A filled circle."""
    c.setFillColor(fill)
    c.circle(*at, radius, stroke=0, fill=1)


def box(c: Canvas, x0: float, y0: float, x1: float, y1: float, fill: CMYKColor) -> None:
    """A filled rectangle given by two corners."""
    c.setFillColor(fill)
    c.rect(x0, y0, x1 - x0, y1 - y0, stroke=0, fill=1)


def sky(
    c: Canvas, x0: float, y0: float, x1: float, y1: float, colours: Sequence[CMYKColor]
) -> None:
    """A rectangle shaded from foot to head; its edges are the edges of the clip."""
    c.saveState()
    path = c.beginPath()
    path.rect(x0, y0, x1 - x0, y1 - y0)
    c.clipPath(path, stroke=0, fill=0)
    c.linearGradient(x0, y0, x0, y1, list(colours), extend=True)
    c.restoreState()


def profile(
    c: Canvas,
    x0: float,
    x1: float,
    foot: float,
    height: Callable[[float], float],
    fill: CMYKColor,
    step: float = 6,
) -> None:
    """Land from x0 to x1 whose skyline is a function of x, filled to ``foot``."""
    count = math.ceil((x1 - x0) / step)
    xs = [min(x0 + i * step, x1) for i in range(count + 1)]
    polygon(c, [(x0, foot), *((round(x, 2), round(height(x), 2)) for x in xs), (x1, foot)], fill)


def waves(
    c: Canvas,
    across: tuple[float, float],
    foot: float,
    y: float,
    shape: tuple[float, float, float],
    fill: CMYKColor,
) -> None:
    """Scalloped waves round the height y; the shape is their size, length and shift."""
    x0, x1 = across
    size, length, shift = shape
    crest, dip = y + size, y - size * 5 / 3
    path = c.beginPath()
    x = (x0 + shift) // length * length - shift
    path.moveTo(x, foot)
    path.lineTo(x, crest)
    while x < x1:
        path.curveTo(x + length * 0.3, dip, x + length * 0.7, dip, x + length, crest)
        x += length
    path.lineTo(x, foot)
    path.close()
    paint(c, path, fill, None)


def hills(y: float, size: float, shift: float) -> Callable[[float], float]:
    """A skyline of slow hills."""
    return lambda x: (
        y + size * (math.sin((x + shift) / 83) + 0.45 * math.sin((x + 2 * shift) / 31 + 1.3))
    )


def stars(
    c: Canvas, x0: float, y0: float, x1: float, y1: float, count: int, seed: int, colour: CMYKColor
) -> None:
    """Scatter small stars inside a rectangle, the same way each time."""
    dice = random.Random(seed)
    for _ in range(count):
        at = (round(dice.uniform(x0, x1), 1), round(dice.uniform(y0, y1), 1))
        disc(c, at, dice.choice((0.5, 0.7, 0.7, 1.1)), colour)


def gull(c: Canvas, x: float, y: float, size: float, colour: CMYKColor = INK) -> None:
    """A gull, far off."""
    c.setStrokeColor(colour)
    c.setLineWidth(max(0.7, size / 9))
    c.setLineCap(1)
    c.bezier(x - size, y + size * 0.2, x - size * 0.6, y + size * 0.6, x, y + size * 0.5, x, y)
    c.bezier(x, y, x, y + size * 0.5, x + size * 0.6, y + size * 0.6, x + size, y + size * 0.2)


def ripples(c: Canvas, x: float, y: float, width: float, colour: CMYKColor) -> None:
    """Three short lines of water, centred at x."""
    c.setStrokeColor(colour)
    c.setLineWidth(0.9)
    c.setLineCap(1)
    for row, part in enumerate((1.0, 0.72, 0.4)):
        half = width * part / 2
        path = c.beginPath()
        left, level, bump = x - half, y - row * 5, half / 4
        path.moveTo(left, level)
        for i in range(4):
            a = left + i * half / 2
            path.curveTo(a + bump / 2, level - 3, a + 1.5 * bump, level - 3, a + half / 2, level)
        c.drawPath(path, stroke=1, fill=0)


def boat(c: Canvas, x: float, y: float, size: float, hull: CMYKColor, sail: CMYKColor) -> None:
    """A small boat with one sail; (x, y) is the middle of its waterline."""
    polygon(
        c,
        [(x - size, y + size * 0.35), (x + size * 1.1, y + size * 0.35),
         (x + size * 0.7, y), (x - size * 0.7, y)],
        hull,
    )  # fmt: skip
    polygon(c, [(x, y + size * 0.45), (x, y + size * 1.9), (x + size * 0.9, y + size * 0.45)], sail)
    polygon(
        c, [(x - 3, y + size * 0.45), (x - 3, y + size * 1.6), (x - size * 0.6, y + size * 0.45)],
        sail,
    )  # fmt: skip


# ---------------------------------------------------------------- lighthouses


@dataclass(frozen=True)
class Tower:
    """The outline of a tower: half-widths at the foot and at the gallery, and its height."""

    x: float
    y: float
    rise: float
    foot: float
    top: float

    def at(self, side: float, t: float) -> Point:
        """A point on the wall: side runs from -1 to 1, t from 0 (foot) to 1 (gallery)."""
        t = min(max(t, 0), 1)
        half = self.foot + (self.top - self.foot) * t
        return (self.x + side * half, self.y + self.rise * t)

    def patch(self, s0: float, s1: float, t0: float, t1: float) -> list[Point]:
        """A four-sided piece of wall."""
        return [self.at(s0, t0), self.at(s1, t0), self.at(s1, t1), self.at(s0, t1)]


def wall_paint(c: Canvas, wall: Tower, pattern: str, colour: CMYKColor) -> None:
    """Paint the daymark on a wall."""
    if pattern == "hoops":
        for i in range(3):
            polygon(c, wall.patch(-1, 1, i / 3 + 0.04, i / 3 + 0.2), colour)
    elif pattern == "split":
        polygon(c, wall.patch(-1, 0, 0, 1), colour)
    elif pattern == "plain":
        polygon(c, wall.patch(-1, 1, 0, 1), colour)
    elif pattern == "checks":
        for row in range(7):
            for side in (-1.0, 0.0) if row % 2 else (-0.5, 0.5):
                polygon(c, wall.patch(side, side + 0.5, row / 7, (row + 1) / 7), colour)
    elif pattern == "twist":
        for i in range(4):
            t = i / 4 + 0.02
            low, high = (wall.at(-1, t), wall.at(1, t + 0.14)), (wall.at(1, t + 0.25),)
            polygon(c, [*low, *high, wall.at(-1, t + 0.11)], colour)


def lighthouse(
    c: Canvas, light: Light, x: float, y: float, height: float, edge: CMYKColor = INK
) -> Point:
    """Draw a lighthouse standing at (x, y) and return the middle of its lamp."""
    girth = height * light.girth
    wall = Tower(x, y, height * 0.72, girth * 0.135, girth * 0.085)
    c.setLineWidth(max(0.5, height / 130))
    c.setLineJoin(1)
    polygon(c, wall.patch(-1, 1, 0, 1), CREAM)
    wall_paint(c, wall, light.style, light.colour)
    polygon(c, wall.patch(-1, 1, 0, 1), None, edge)
    polygon(c, wall.patch(-0.22, 0.22, 0, 0.12), edge)
    top, deck = wall.top, y + wall.rise
    glass = height * 0.115
    polygon(
        c,
        [(x - top * 1.4, deck), (x + top * 1.4, deck),
         (x + top * 1.4, deck + height * 0.03), (x - top * 1.4, deck + height * 0.03)],
        edge,
    )  # fmt: skip
    low = deck + height * 0.03
    lens = [(x - top * 0.72, low), (x + top * 0.72, low)]
    polygon(c, [*lens, *((px, low + glass) for px, _ in reversed(lens))], LAMP, edge)
    roof = low + glass
    dome = [(x - top, roof), (x + top, roof), (x + top * 0.35, roof + height * 0.075)]
    polygon(c, [*dome, (x - top * 0.35, roof + height * 0.075)], light_roof(light), edge)
    disc(c, (x, roof + height * 0.095), height * 0.02, edge)
    return (x, low + glass / 2)


def light_roof(light: Light) -> CMYKColor:
    """Roofs are the colour of the daymark, or brick where that would be too dull."""
    return BRICK if light.colour in (INK, GREY) else light.colour


def rock(c: Canvas, x: float, y: float, width: float, fill: CMYKColor) -> None:
    """A rock under a lighthouse: (x, y) is the middle of its top."""
    w = width / 2
    polygon(
        c,
        [(x - w * 0.62, y), (x + w * 0.55, y), (x + w * 0.72, y - w * 0.16),
         (x + w * 0.86, y - w * 0.18), (x + w, y - w * 0.42), (x - w, y - w * 0.42),
         (x - w * 0.9, y - w * 0.2), (x - w * 0.7, y - w * 0.14)],
        fill,
    )  # fmt: skip


def halo(c: Canvas, at: Point, radii: Sequence[float], dark: CMYKColor, bright: CMYKColor) -> None:
    """Flat rings of brightness round a lamp, like a screen print."""
    for index, radius in enumerate(radii):
        disc(c, at, radius, mix(dark, bright, (index + 1) / (len(radii) + 1)))


def flash_strip(c: Canvas, light: Light, x: float, y: float, width: float) -> None:
    """One full turn of a light as bars: yellow is lit, navy is dark."""
    unit = width / sum(light.turn)
    left = x
    for index, length in enumerate(light.turn):
        fill = NAVY if index % 2 else LAMP
        box(c, left, y, left + length * unit, y + 7, fill)
        left += length * unit
    c.setStrokeColor(INK)
    c.setLineWidth(0.6)
    c.rect(x, y, width, 7, stroke=1, fill=0)


# ---------------------------------------------------------------- photographs


Inks = tuple[tuple[float, float], ...]
COOL: Inks = ((0.96, 0.03), (0.62, 0.03), (0.30, 0.12), (0.40, 0.0))
WARM: Inks = ((0.98, 0.0), (0.70, 0.10), (0.34, 0.42), (0.45, 0.0))


def toned(tones: Image.Image, inks: Inks) -> bytes:
    """Print a grey picture in tinted inks and return it as a small CMYK JPEG."""
    grey = ImageOps.autocontrast(tones.convert("L"), cutoff=0.5)
    plates = []
    for index, (dark, bright) in enumerate(inks):
        power = 2.6 if index == 3 else 1.0
        table = [
            round(255 * (bright + (dark - bright) * (1 - v / 255) ** power)) for v in range(256)
        ]
        plates.append(grey.point(table))
    out = BytesIO()
    Image.merge("CMYK", plates).save(
        out, "JPEG", quality=45, optimize=True, progressive=True, dpi=(300, 300)
    )
    return out.getvalue()


def fog(size: tuple[int, int], seed: int, cells: tuple[int, int]) -> Image.Image:
    """Soft banks of fog: a little noise from a fixed seed, made large."""
    noise = random.Random(seed).randbytes(cells[0] * cells[1])
    bank = Image.frombytes("L", cells, noise).resize(size, Image.Resampling.BICUBIC)
    return bank.filter(ImageFilter.GaussianBlur(size[0] / 40))


def shade(size: tuple[int, int], head: int, foot: int) -> Image.Image:
    """A grey picture that goes evenly from ``head`` to ``foot``."""
    table = [round(head + (foot - head) * v / 255) for v in range(256)]
    return Image.linear_gradient("L").point(table).resize(size, Image.Resampling.BICUBIC)


@cache
def never_point_photo() -> bytes:
    """The empty sea off Never Point, in fog, 300 dots to the inch over 5.75 x 3.5 in."""
    w, h = size = (1725, 1050)
    picture = shade(size, 128, 238)
    water = shade((w, h * 2 // 5), 205, 70)
    picture.paste(water, (0, h * 3 // 5))
    pen = ImageDraw.Draw(picture)
    dice = random.Random(9)
    for _ in range(60):
        y = h * 0.64 + h * 0.36 * dice.random() ** 1.3
        near = (y - h * 0.6) / (h * 0.4)
        x, half = dice.uniform(0, w), 30 + 190 * near
        tone = int(215 - 95 * near)
        pen.ellipse((x - half, y, x + half, y + 2 + 8 * near), fill=tone)
    picture = picture.filter(ImageFilter.GaussianBlur(3))
    return toned(Image.blend(picture, fog(size, 31, (4, 11)), 0.25), COOL)


@cache
def butterlight_photo() -> bytes:
    """Butterlight on its hill at evening, 300 dots to the inch over 4.75 x 2.5 in."""
    w, h = size = (1425, 750)
    picture = Image.blend(shade(size, 80, 235), fog(size, 5, (4, 9)), 0.25)
    glow = Image.new("L", size, 0)
    lamp = (930, 205)
    for radius, tone in ((230, 60), (140, 110), (70, 190), (28, 255)):
        x, y = lamp
        ImageDraw.Draw(glow).ellipse((x - radius, y - radius, x + radius, y + radius), fill=tone)
    white = Image.new("L", size, 255)
    picture = Image.composite(white, picture, glow.filter(ImageFilter.GaussianBlur(28)))
    pen = ImageDraw.Draw(picture)
    along = range(0, w, 5)
    ridge = [(x, 590 - 70 * math.sin(x / 330 - 1.4) - 12 * math.sin(x / 61)) for x in along]
    pen.polygon([(0, h), *ridge, (w, ridge[-1][1]), (w, h)], fill=55)
    pen.polygon([(880, 560), (902, 240), (958, 240), (980, 560)], fill=38)
    pen.rectangle((886, 230, 974, 244), fill=30)
    pen.polygon([(900, 182), (960, 182), (944, 150), (916, 150)], fill=30)
    pen.rectangle((908, 182, 952, 230), fill=250)
    for top in (300, 400, 500):
        pen.polygon([(897, top), (963, top), (966, top + 45), (893, top + 45)], fill=120)
    near = [(x, 690 + 24 * math.sin(x / 210)) for x in along]
    pen.polygon([(0, h), *near, (w, near[-1][1]), (w, h)], fill=25)
    return toned(picture.filter(ImageFilter.GaussianBlur(2)), WARM)


def photo(c: Canvas, data: bytes, x: float, y: float, w: float, h: float) -> None:
    """Place a JPEG as it is, without packing it again."""
    c.drawImage(ImageReader(BytesIO(data)), x, y, w, h)


# ---------------------------------------------------------------- page furniture


@dataclass(frozen=True)
class Page:
    """Where things go on a page, seen from its trim corner."""

    number: int

    @property
    def recto(self) -> bool:
        """Odd pages are rectos: the spine is at their left."""
        return self.number % 2 == 1

    @property
    def left(self) -> float:
        """The left edge of the text."""
        return INNER if self.recto else OUTER

    @property
    def right(self) -> float:
        """The right edge of the text."""
        return self.left + TEXT_W

    @property
    def middle(self) -> float:
        """The middle of the text."""
        return self.left + TEXT_W / 2

    @property
    def outside(self) -> Point:
        """The outer end of a line at the height of the page number."""
        return (self.right if self.recto else self.left, FOLIO_Y)


BODY_SIZE, BODY_LEAD = 9.5, 14.0
EDGE = (-BLEED, -BLEED, TRIM_W + BLEED, TRIM_H + BLEED)


def folio(c: Canvas, page: Page, y: float = FOLIO_Y) -> None:
    """Set the page number at the outer side of the foot."""
    align = "right" if page.recto else "left"
    line(c, str(page.number), (page.outside[0], y), 8.5, "VeraBd", NAVY, align)


def running_head(c: Canvas, page: Page, chapter: str) -> None:
    """Set the book's name on versos and the chapter's on rectos, with a fine rule."""
    text = chapter if page.recto else TITLE
    align = "right" if page.recto else "left"
    line(c, text, (page.outside[0], 571), 7, "VeraIt", NAVY, align)
    c.setStrokeColor(SEA)
    c.setLineWidth(0.6)
    c.line(page.left, 565.5, page.right, 565.5)


def opener(c: Canvas, page: Page, number: str, title: str) -> None:
    """Paint a band of night and sea to the bleed at the head, with the chapter's name."""
    x0, _, x1, y1 = EDGE
    sky(c, x0, BAND_FOOT, x1, y1, (DUSK, NAVY))
    stars(c, page.left, 554, page.right, 588, 26, page.number, CREAM)
    waves(c, (x0, x1), BAND_FOOT, 486, (3.5, 23, 0), mix(DUSK, SEA, 0.5))
    waves(c, (x0, x1), BAND_FOOT, 475, (3.5, 23, 11.5), SEA)
    line(c, number, (page.left, 536), 8, "VeraBd", LAMP, track=1.6)
    line(c, title, (page.left, 511), 18, "VeraBd", CREAM)


def caption(c: Canvas, text: str, at: Point, align: str = "left") -> None:
    """Set a small caption."""
    line(c, text, at, 7, "VeraIt", GREY, align)


# ---------------------------------------------------------------- front matter


def page_half_title(c: Canvas, page: Page) -> None:
    """Page 1: the title, small, with one light."""
    x = page.middle
    line(c, "The Lights", (x, 392), 20, "VeraBd", NAVY, "middle")
    line(c, "of Pellantine", (x, 368), 20, "VeraBd", NAVY, "middle")
    rock(c, x, 262, 62, NAVY)
    lighthouse(c, LIGHTS[0], x, 262, 76)
    ripples(c, x, 240, 76, SEA)
    gull(c, x + 44, 326, 8)
    gull(c, x + 60, 312, 5)


def page_frontispiece(c: Canvas, _page: Page) -> None:
    """Page 2: a lighthouse at night, painted to the bleed all round."""
    x0, y0, x1, y1 = EDGE
    sky(c, x0, y0, x1, y1, (DUSK, NAVY, NAVY))
    stars(c, 22, 380, 350, 590, 90, 2, CREAM)
    lamp = (206.0, 381.0)
    beam = mix(DUSK, FOG, 0.35)
    polygon(c, [lamp, (x0, 330), (x0, 250)], beam)
    polygon(c, [lamp, (x1, 540), (x1, 450)], beam)
    halo(c, lamp, (104, 78, 54, 34), mix(NAVY, DUSK, 0.4), LAMP)
    profile(c, x0, x1, y0, hills(150, 9, 40), mix(NAVY, SEA, 0.28))
    rock(c, 206, 156, 250, DEEP)
    lighthouse(c, LIGHTS[0], 206, 155, 286)
    for row in range(7):
        tone = mix(SEA, NAVY, row / 7)
        waves(c, (x0, x1), y0, 112 - 18 * row, (5, 30 + row * 2, row * 13), tone)
    boat(c, 82, 82, 15, CREAM, BRICK)
    for at in ((80, 470), (104, 452), (318, 330)):
        gull(c, *at, 9, CREAM)


def page_title(c: Canvas, page: Page) -> None:
    """Page 3: the title page."""
    x = page.left
    line(c, "The", (x, 500), 26, "VeraBd", NAVY)
    line(c, "Lights of", (x, 466), 34, "VeraBd", NAVY)
    line(c, "Pellantine", (x, 428), 34, "VeraBd", BRICK)
    line(c, "A pocket guide to the nine lighthouses", (x, 398), 9.5, "VeraIt")
    line(c, "of a small wet island", (x, 384), 9.5, "VeraIt")
    line(c, AUTHOR, (x, 344), 12, "VeraBd")
    line(c, "with drawings, a chart, a table and a soup", (x, 329), 8, "Vera", GREY)
    for index, light in enumerate(LIGHTS[:8]):
        lighthouse(c, light, x + 18 + index * 36.5, 168, 26 + light.ells * 1.6)
    box(c, x, 165.5, page.right, 168, NAVY)
    ripples(c, page.middle, 155, 210, SEA)
    line(c, PRESS.upper(), (x, 84), 7.5, "VeraBd", NAVY, track=1.4)
    line(c, "Mussel Quay, Isle of Pellantine", (x, 72), 7.5, "Vera", GREY)


def page_imprint(c: Canvas, page: Page) -> None:
    """Page 4: who made this and what may be done with it."""
    texts = manuscript()["imprint"]
    flow(c, texts, (page.left, 318), 232, style(7.6, 11.2), indent=0, gap=8)
    worm(c, page.left + 21, 352, 1)


def worm(c: Canvas, x: float, y: float, scale: float) -> None:
    """The mark of the press: a patient worm in a lamp."""
    disc(c, (x, y), 21 * scale, CREAM)
    disc(c, (x, y), 20 * scale, NAVY)
    disc(c, (x, y), 17.5 * scale, LAMP)
    c.setStrokeColor(BRICK)
    c.setLineCap(1)
    c.setLineWidth(4.2 * scale)
    s = scale
    c.bezier(x - 10 * s, y - 6 * s, x - 8 * s, y + 12 * s, x - 1 * s, y + 8 * s, x, y - 1 * s)
    c.bezier(x, y - 1 * s, x + 1 * s, y - 10 * s, x + 9 * s, y - 10 * s, x + 9 * s, y + 5 * s)
    disc(c, (x + 9.6 * s, y + 6 * s), 0.8 * s, INK)


CONTENTS = (
    ("The chart", "6"), ("How to look at a light", "7"), ("The cold side", "9"),
    ("The whole coast, from the mail boat", "12"), ("The warm side", "14"),
    ("All nine at a glance", "17"), ("The light that is not there", "18"),
    ("Keepers and their habits", "21"), ("Night-watch soup", "22"), ("Lights I have seen", "23"),
)  # fmt: skip


def page_contents(c: Canvas, page: Page) -> None:
    """Page 5: the contents, with leaders of dots."""
    line(c, "What is in it", (page.left, 506), 18, "VeraBd", NAVY)
    box(c, page.left, 494, page.left + 46, 496.5, LAMP)
    for index, (name, number) in enumerate(CONTENTS):
        y = 460 - index * 24
        line(c, name, (page.left, y), 9.5)
        line(c, number, (page.right, y), 9.5, "VeraBd", BRICK, "right")
        c.setStrokeColor(SEA)
        c.setLineWidth(1.1)
        c.setLineCap(1)
        c.setDash(0.01, 4)
        start = page.left + pdfmetrics.stringWidth(name, "Vera", 9.5) + 7
        c.line(start, y + 1.5, page.right - 19, y + 1.5)
        c.setDash()
    boat(c, page.middle, 122, 24, NAVY, LAMP)
    ripples(c, page.middle, 116, 124, SEA)
    gull(c, page.middle + 70, 164, 8)
    gull(c, page.middle - 66, 150, 6)
    folio(c, page)


# ---------------------------------------------------------------- the chart


def page_chart(c: Canvas, page: Page) -> None:
    """Page 6: the chart of the island, sea to the bleed all round."""
    box(c, *EDGE, SEA)
    cx, cy = 186.0, 292.0
    for scale, tone in ((1.24, 0.25), (1.15, 0.5), (1.07, 0.78)):
        blob(c, [(cx + x * scale, cy + y * scale) for x, y in COAST], mix(SEA, FOG, tone))
    c.setLineWidth(1.2)
    blob(c, [(cx + x, cy + y) for x, y in COAST], CREAM, NAVY)
    chart_inland(c, cx, cy)
    for light in LIGHTS:
        chart_light(c, light, cx + light.spot[0], cy + light.spot[1])
    line(c, "PELLANTINE", (page.left, 562), 17, "VeraBd", NAVY, track=2)
    line(c, "and its nine lights, by lead and by guess", (page.left, 548), 8, "VeraIt", NAVY)
    compass(c, 318, 512, 26)
    chart_scale(c, page.left, 62)
    boat(c, 72, 128, 11, NAVY, CREAM)
    ripples(c, 72, 124, 40, NAVY)
    line(c, "mail boat", (72, 100), 7, "VeraIt", NAVY, "middle")


def chart_inland(c: Canvas, cx: float, cy: float) -> None:
    """Hills, the road and the villages."""
    c.setStrokeColor(BRICK)
    c.setLineWidth(1.3)
    c.setDash(3, 2.5)
    c.bezier(cx - 6, cy + 158, cx - 66, cy + 70, cx - 40, cy - 20, cx - 22, cy - 70)
    c.bezier(cx - 22, cy - 70, cx - 14, cy - 100, cx, cy - 120, cx + 6, cy - 140)
    c.bezier(cx - 6, cy + 158, cx + 70, cy + 70, cx + 66, cy + 30, cx + 60, cy - 20)
    c.bezier(cx + 60, cy - 20, cx + 56, cy - 90, cx + 20, cy - 110, cx + 6, cy - 140)
    c.setDash()
    tufts = ((6, 92, 17), (26, 78, 13), (-8, 70, 12), (8, 14, 15), (-14, 4, 11), (24, -34, 12))
    for x, y, size in tufts:
        peak = [(cx + x - size, cy + y), (cx + x, cy + y + size), (cx + x + size, cy + y)]
        polygon(c, peak, MOSS)
        polygon(c, [peak[1], peak[2], (cx + x + size * 0.1, cy + y)], mix(MOSS, NAVY, 0.35))
    line(c, "Turnip Hill", (cx + 10, cy + 56), 6.5, "VeraIt", INK, "middle")
    line(c, "the Lid", (cx + 4, cy - 9), 6.5, "VeraIt", INK, "middle")
    line(c, "Dray", (cx + 26, cy - 46), 6.5, "VeraIt", INK, "middle")


def chart_light(c: Canvas, light: Light, x: float, y: float) -> None:
    """A numbered spot with rays; the ninth has a dashed ring, since it is not there."""
    if light.style == "none":
        c.setStrokeColor(NAVY)
        c.setLineWidth(0.9)
        c.setDash(2, 2)
        c.circle(x, y, 8, stroke=1, fill=0)
        c.setDash()
        line(c, "9", (x, y - 2.7), 7.5, "VeraBd", NAVY, "middle")
        line(c, "Never Point", (x, y - 18), 7, "VeraIt", NAVY, "middle")
        return
    for i in range(8):
        a = math.pi * i / 4
        tip = (x + 13 * math.cos(a), y + 13 * math.sin(a))
        b, d = a + 0.32, a - 0.32
        ray = [(x + 7 * math.cos(b), y + 7 * math.sin(b)), tip]
        polygon(c, [*ray, (x + 7 * math.cos(d), y + 7 * math.sin(d))], LAMP)
    disc(c, (x, y), 7.4, NAVY)
    line(c, str(light.number), (x, y - 2.7), 7.5, "VeraBd", CREAM, "middle")


def compass(c: Canvas, x: float, y: float, size: float) -> None:
    """A compass rose."""
    for i in range(4):
        a = math.pi * i / 2
        tip = (x + size * math.cos(a), y + size * math.sin(a))
        for turn, fill in ((math.pi / 4, NAVY), (-math.pi / 4, CREAM)):
            side = (x + size * 0.25 * math.cos(a + turn), y + size * 0.25 * math.sin(a + turn))
            polygon(c, [(x, y), tip, side], fill)
    line(c, "N", (x, y + size + 4), 8, "VeraBd", NAVY, "middle")


def chart_scale(c: Canvas, x: float, y: float) -> None:
    """The scale of the chart, in walking time."""
    for i in range(4):
        box(c, x + i * 22, y, x + i * 22 + 22, y + 4, CREAM if i % 2 else NAVY)
    line(c, "one hour’s walk, or two in fog", (x, y - 11), 7, "VeraIt", NAVY)


# ---------------------------------------------------------------- chapters


def page_look_1(c: Canvas, page: Page) -> None:
    """Page 7: how to look at a light."""
    opener(c, page, "ONE", "How to look at a light")
    text_from(c, page, "look-1", 438)
    folio(c, page)


def text_from(c: Canvas, page: Page, key: str, top: float) -> float:
    """Set a section of the manuscript across the page in the body type."""
    return flow(c, manuscript()[key], (page.left, top), TEXT_W, style(BODY_SIZE, BODY_LEAD))


PARTS = (
    (247.0, 264.0, "finial", "do not touch"), (231.0, 240.0, "dome", "do not paint blue"),
    (209.0, 216.0, "lamp room", "do not sneeze"), (189.0, 190.0, "gallery", "not a balcony"),
    (148.0, 148.0, "daymark", "the paint you know it by"),
    (84.0, 84.0, "tower", "stairs inside, usually"), (14.0, 28.0, "door", "knock low down"),
)  # fmt: skip


def page_look_2(c: Canvas, page: Page) -> None:
    """Page 8: the parts of a lighthouse."""
    running_head(c, page, "")
    text_from(c, page, "look-2", TEXT_TOP)
    x, foot = page.left + 92, 124.0
    rock(c, x, foot, 176, NAVY)
    lighthouse(c, LIGHTS[0], x, foot, 258)
    ripples(c, x, foot - 46, 168, SEA)
    gull(c, x - 60, foot + 214, 9)
    gull(c, x - 74, foot + 196, 6)
    for height, label, name, note in PARTS:
        start, end = foot + height, foot + label
        c.setStrokeColor(NAVY)
        c.setLineWidth(0.7)
        c.line(x + 4, start, x + 60, end)
        c.line(x + 60, end, x + 92, end)
        disc(c, (x + 4, start), 2.2, NAVY)
        disc(c, (x + 4, start), 1.2, CREAM)
        line(c, name, (x + 97, end - 2.5), 9, "VeraBd", NAVY)
        caption(c, note, (x + 97, end - 12))
    folio(c, page)


def page_cold(c: Canvas, page: Page) -> None:
    """Page 9: the cold side.  PLANTED FAULT: the page number is 2 mm above the trim."""
    opener(c, page, "TWO", "The cold side")
    end = text_from(c, page, "cold", 438)
    x = page.middle
    for at in ((x - 60, end - 50, 9), (x - 20, end - 34, 12), (x + 26, end - 54, 8)):
        gull(c, *at)
    ripples(c, x, end - 78, 150, SEA)
    folio(c, page, FOLIO_Y_FAULT)


def entry(c: Canvas, page: Page, light: Light, top: float, *, tower_left: bool) -> None:
    """One light: its tower at one side; name, figures, flashes and words at the other."""
    x = page.left + (102 if tower_left else 0)
    width = TEXT_W - 102
    tower_x = page.left + 42 if tower_left else page.right - 42
    foot = top - 186
    disc(c, (tower_x, foot + 78), 40, FOG)
    rock(c, tower_x, foot, 78, NAVY)
    lighthouse(c, light, tower_x, foot, 62 + light.ells * 2.2)
    ripples(c, tower_x, foot - 21, 78, SEA)
    disc(c, (x + 9, top - 11), 9, NAVY)
    line(c, str(light.number), (x + 9, top - 14), 8.5, "VeraBd", CREAM, "middle")
    line(c, light.name, (x + 24, top - 15.5), 13, "VeraBd", NAVY)
    line(c, f"{light.ells} ells high; {light.paint}", (x, top - 34), 7.6, "VeraIt", GREY)
    flash_strip(c, light, x, top - 51, width)
    line(c, light.signal, (x, top - 62), 7, "Vera", GREY)
    texts = manuscript()[f"light-{light.number}"]
    flow(c, texts, (x, top - 72), width, style(9, 13), floor=top - 226)


def entries(first: int, chapter: str) -> Callable[[Canvas, Page], None]:
    """A page with two lights."""

    def draw(c: Canvas, page: Page) -> None:
        running_head(c, page, chapter)
        entry(c, page, LIGHTS[first - 1], 544, tower_left=True)
        entry(c, page, LIGHTS[first], 300, tower_left=False)
        folio(c, page)

    return draw


COAST_VIEW = (
    (1, 70, 84), (2, 150, 58), (3, 238, 64), (4, 322, 84),
    (5, 482, 76), (6, 560, 80), (7, 648, 118), (8, 728, 62),
)  # fmt: skip


def page_spread(c: Canvas, page: Page) -> None:
    """Pages 12 and 13: one picture across the fold; each page paints its own part."""
    shift = TRIM_W if page.recto else 0.0
    x0, x1 = shift - BLEED, shift + TRIM_W + BLEED
    y0, y1 = EDGE[1], EDGE[3]
    c.saveState()
    c.translate(-shift, 0)
    dawn = mix(LAMP, BRICK, 0.35)
    sky(c, x0, 250, x1, y1, (mix(dawn, CREAM, 0.3), mix(dawn, FOG, 0.6), DUSK, NAVY))
    halo(c, (TRIM_W, 330), (150, 122, 96), mix(dawn, FOG, 0.6), LAMP)
    disc(c, (TRIM_W, 330), 72, CREAM)
    far, near = hills(322, 20, 60), hills(282, 16, 300)
    profile(c, x0, x1, y0, far, mix(DUSK, FOG, 0.35))
    profile(c, x0, x1, y0, near, mix(MOSS, NAVY, 0.45))
    for number, x, height in COAST_VIEW:
        if x0 < x < x1:
            lighthouse(c, LIGHTS[number - 1], x, near(x) - 3, height)
    profile(c, x0, x1, y0, hills(236, 7, 510), mix(NAVY, DEEP, 0.6))
    for row in range(9):
        tone = mix(SEA, NAVY, row / 9)
        waves(c, (x0, x1), y0, 216 - 26 * row, (5, 34 + 2 * row, 17 * row), tone)
    spread_side(c, page)
    c.restoreState()


def spread_side(c: Canvas, page: Page) -> None:
    """The small things on one side of the spread, all well away from the fold."""
    if page.recto:
        boat(c, 610, 128, 26, NAVY, CREAM)
        for at in ((640, 520, 12), (668, 500, 8), (560, 470, 7)):
            gull(c, *at, CREAM)
        return
    stars(c, 30, 500, 340, 585, 40, 12, CREAM)
    line(c, "The whole coast,", (OUTER, 92), 15, "VeraBd", CREAM)
    line(c, "from the mail boat, a little before breakfast", (OUTER, 77), 8.5, "VeraIt", CREAM)


def page_warm(c: Canvas, page: Page) -> None:
    """Page 14: the warm side.  PLANTED FAULT: the photograph stops at the fore-edge trim."""
    opener(c, page, "THREE", "The warm side")
    photo(c, butterlight_photo(), 0, 262, page.right, 180)
    caption(c, "Butterlight on its hill, one evening in the toast season", (page.left, 250))
    text_from(c, page, "warm", 236)
    folio(c, page)


COLUMNS = (
    ("No.", 8.0, "left"), ("Light", 30.0, "left"), ("Ells", 152.0, "right"),
    ("Paint", 162.0, "left"), ("Turn", 289.0, "right"),
)  # fmt: skip


def page_table(c: Canvas, page: Page) -> None:
    """Page 17: the table of all nine lights."""
    running_head(c, page, "All nine at a glance")
    x = page.left
    line(c, "All nine at a glance", (x, 524), 18, "VeraBd", NAVY)
    line(c, "One herring is about a second. Count fairly.", (x, 508), 8, "VeraIt", GREY)
    box(c, x, 470, page.right, 490, NAVY)
    for name, dx, align in COLUMNS:
        line(c, name, (x + dx, 477), 7.5, "VeraBd", CREAM, align)
    for row, light in enumerate(LIGHTS):
        table_row(c, page, light, 470 - 24 * (row + 1), shaded=row % 2 == 0)
    foot = 470 - 24 * len(LIGHTS)
    box(c, x, foot - 1.5, page.right, foot, NAVY)
    for row, light in enumerate(LIGHTS[:8]):
        lighthouse(c, light, x + 18 + row * 37.3, 124, 20 + light.ells * 1.6)
    box(c, x, 121.5, page.right, 124, NAVY)
    ripples(c, page.middle, 112, 210, SEA)
    caption(c, "The eight that can be visited, to one scale", (page.middle, 82), "middle")
    folio(c, page)


def table_row(c: Canvas, page: Page, light: Light, y: float, *, shaded: bool) -> None:
    """One row of the table, 24 points high with its foot at y."""
    x = page.left
    if shaded:
        box(c, x, y, page.right, y + 24, FOG)
    ells = str(light.ells) if light.ells else "–"
    flashes = f"{len(light.turn) // 2} in {sum(light.turn)}"
    cells = (str(light.number), light.name, ells, "", flashes)
    for (_, dx, align), text in zip(COLUMNS, cells, strict=True):
        line(c, text, (x + dx, y + 9), 8, "VeraBd" if dx == 30 else "Vera", INK, align)
    c.setStrokeColor(INK)
    c.setLineWidth(0.5)
    c.setFillColor(light.colour if light.style != "none" else PAPER)
    c.rect(x + 162, y + 8, 8, 8, stroke=1, fill=1)
    line(c, light.paint, (x + 175, y + 9), 8)


def page_never_1(c: Canvas, page: Page) -> None:
    """Page 18: the light that is not there, under a photograph that runs to the bleed."""
    x0, _, x1, y1 = EDGE
    photo(c, never_point_photo(), x0, y1 - 252, x1 - x0, 252)
    caption(c, "Never Point, looking out. There is nothing in this picture.", (page.left, 357))
    line(c, "FOUR", (page.left, 325), 8, "VeraBd", BRICK, track=1.6)
    line(c, "The light that is not there", (page.left, 302), 18, "VeraBd", NAVY)
    text_from(c, page, "never-1", 284)
    folio(c, page)


def page_never_2(c: Canvas, page: Page) -> None:
    """Page 19: six nights on the bench."""
    running_head(c, page, "The light that is not there")
    end = text_from(c, page, "never-2", TEXT_TOP)
    x, y = page.middle, end - 84
    box(c, x - 32, y, x + 32, y + 4, NAVY)
    box(c, x - 32, y + 14, x + 32, y + 17, NAVY)
    for dx in (-26, 23):
        box(c, x + dx, y - 14, x + dx + 3, y + 17, NAVY)
    box(c, x - 120, y - 16, x + 120, y - 14, SEA)
    disc(c, (x + 108, y + 12), 5, LAMP)
    folio(c, page)


def page_fog(c: Canvas, page: Page) -> None:
    """Page 20: fog and water to the bleed all round, with a few words."""
    x0, y0, x1, y1 = EDGE
    box(c, x0, y0, x1, y1, FOG)
    for row in range(15):
        tone = mix(mix(FOG, CREAM, 0.4), DUSK, row / 14)
        waves(c, (x0, x1), y0, 412 - 30 * row, (7, 44, 22 * (row % 2)), tone)
    words = ("Some things", "are quite safe", "being looked at", "only once.")
    for row, words_line in enumerate(words):
        line(c, words_line, (page.left, 536 - 28 * row), 22, "VeraBd", NAVY)
    disc(c, (322, 471), 11, LAMP)
    disc(c, (322, 471), 6, CREAM)


def page_keepers(c: Canvas, page: Page) -> None:
    """Page 21: keepers and their habits."""
    opener(c, page, "FIVE", "Keepers and their habits")
    text_from(c, page, "keepers", 438)
    folio(c, page)


def page_soup(c: Canvas, page: Page) -> None:
    """Page 22: the soup."""
    running_head(c, page, "")
    line(c, "Night-watch soup", (page.left, 524), 18, "VeraBd", NAVY)
    words = style(BODY_SIZE, BODY_LEAD)
    y = flow(c, manuscript()["soup"], (page.left, 508), TEXT_W, words) - 14
    height = 118
    box(c, page.left, y - height, page.right, y, FOG)
    for index, text in enumerate(manuscript()["soup-list"]):
        base = y - 24 - index * 19.5
        disc(c, (page.left + 15, base + 3), 2.2, BRICK)
        line(c, text, (page.left + 25, base), 9)
    flow(c, manuscript()["soup-method"], (page.left, y - height - 14), TEXT_W, words)
    pot(c, page.middle, 82)
    folio(c, page)


def pot(c: Canvas, x: float, y: float) -> None:
    """A soup pot with its steam; (x, y) is the middle of its foot."""
    polygon(c, [(x - 36, y + 40), (x + 36, y + 40), (x + 29, y), (x - 29, y)], NAVY)
    box(c, x - 41, y + 40, x + 41, y + 45, BRICK)
    box(c, x - 48, y + 28, x - 34, y + 32, NAVY)
    box(c, x + 34, y + 28, x + 48, y + 32, NAVY)
    c.setStrokeColor(SEA)
    c.setLineWidth(2)
    c.setLineCap(1)
    for dx in (-18, 0, 18):
        a, b = x + dx, y + 53
        c.bezier(a, b, a + 9, b + 9, a - 9, b + 17, a, b + 26)


def page_log(c: Canvas, page: Page) -> None:
    """Page 23: a log to fill in."""
    running_head(c, page, "Lights I have seen")
    x = page.left
    line(c, "Lights I have seen", (x, 524), 18, "VeraBd", NAVY)
    note = "Tick the box. Write down the weather, and who made the tea."
    line(c, note, (x, 508), 8, "VeraIt", GREY)
    for row, light in enumerate(LIGHTS):
        y = 462 - row * 42
        c.setStrokeColor(NAVY)
        c.setLineWidth(1)
        c.rect(x, y, 11, 11, stroke=1, fill=0)
        line(c, light.name, (x + 20, y + 2), 9, "VeraBd", NAVY)
        c.setLineWidth(0.6)
        c.setStrokeColor(SEA)
        c.line(x + 150, y, page.right, y)
        c.line(x + 20, y - 19, page.right, y - 19)
    folio(c, page)


def page_colophon(c: Canvas, page: Page) -> None:
    """Page 24: the colophon and the mark of the press."""
    width = 196.0
    worm(c, page.middle, 210, 1.5)
    kind = style(7.8, 12, "VeraIt", centred=True)
    flow(c, manuscript()["colophon"], (page.middle - width / 2, 160), width, kind)
    line(c, PRESS.upper(), (page.middle, 84), 7.5, "VeraBd", NAVY, "middle", track=1.4)


PAGES: tuple[Callable[[Canvas, Page], None], ...] = (
    page_half_title, page_frontispiece, page_title, page_imprint, page_contents, page_chart,
    page_look_1, page_look_2, page_cold, entries(1, "The cold side"), entries(3, "The cold side"),
    page_spread, page_spread, page_warm, entries(5, "The warm side"), entries(7, "The warm side"),
    page_table, page_never_1, page_never_2, page_fog, page_keepers, page_soup, page_log,
    page_colophon,
)  # fmt: skip


# ---------------------------------------------------------------- cover


def cover_art(c: Canvas, width: float, front: float) -> None:
    """Night over the whole open cover: one lamp on the front lights the back as well."""
    x0, y0, x1, y1 = -BLEED, -BLEED, width + BLEED, TRIM_H + BLEED
    sky(c, x0, y0, x1, y1, (DUSK, NAVY, NAVY))
    middle = front + 222
    lamp = (middle, 276.0)
    stars(c, 24, 562, TRIM_W - 40, 592, 30, 3, CREAM)
    stars(c, 24, 318, TRIM_W - 40, 384, 44, 5, CREAM)
    stars(c, front + 116, 548, width - 24, 592, 36, 4, CREAM)
    beam = mix(DUSK, FOG, 0.3)
    polygon(c, [lamp, (x0, 208), (x0, 296)], beam)
    polygon(c, [lamp, (x1, 268), (x1, 338)], beam)
    halo(c, lamp, (92, 70, 50, 32), mix(NAVY, DUSK, 0.4), LAMP)
    profile(c, x0, x1, y0, hills(116, 8, 120), mix(NAVY, SEA, 0.28))
    rock(c, middle, 118, 170, DEEP)
    lighthouse(c, LIGHTS[0], middle, 117, 198)
    for row in range(6):
        tone = mix(SEA, NAVY, row / 6)
        waves(c, (x0, x1), y0, 88 - 17 * row, (4.5, 30 + row * 2, row * 13), tone)
    boat(c, front + 92, 66, 13, CREAM, BRICK)
    for x, y, size in ((92, 380, 11), (122, 362, 8), (320, 372, 7)):
        gull(c, front + x, y, size, CREAM)


def cover_words(c: Canvas, front: float) -> None:
    """The front and back panels' words."""
    x = front + INNER
    line(c, "The", (x, 538), 24, "VeraBd", CREAM)
    line(c, "Lights of", (x, 499), 38, "VeraBd", CREAM)
    line(c, "Pellantine", (x, 457), 38, "VeraBd", LAMP)
    line(c, AUTHOR, (x, 424), 12, "VeraBd", CREAM)
    line(c, "Nine lighthouses,", (OUTER, 534), 17, "VeraBd", LAMP)
    line(c, "eight keepers, one goose.", (OUTER, 512), 17, "VeraBd", LAMP)
    texts = manuscript()["blurb"]
    y = flow(c, texts[:1], (OUTER, 494), 276, style(10.5, 16, colour=CREAM))
    flow(c, texts[1:], (OUTER, y - 14), 276, style(10.5, 16, "VeraIt", CREAM))
    worm(c, OUTER + 21, 160, 1)
    line(c, PRESS, (OUTER + 52, 164), 8.5, "VeraBd", CREAM)
    line(c, "Two herrings, or a button", (OUTER + 52, 151), 7.8, "VeraIt", CREAM)


def cover_spine(c: Canvas, left: float, width: float) -> None:
    """The words on the spine, read from head to foot."""
    size = min(12.0, width * 0.62)
    c.saveState()
    c.translate(left + width / 2, TRIM_H)
    c.rotate(-90)
    drop = -size * 0.36
    line(c, TITLE, (INNER, drop), size, "VeraBd", CREAM)
    line(c, AUTHOR, (TRIM_H - 120, drop), size * 0.85, "Vera", CREAM, "right")
    c.restoreState()


# ---------------------------------------------------------------- files


def new_canvas(target: Path, title: str) -> Canvas:
    """A canvas whose file has the same bytes each time."""
    c = Canvas(str(target), invariant=1, pageCompression=1)
    c.setTitle(title)
    c.setAuthor(AUTHOR)
    c.setSubject("Example book")
    c.setCreator(Path(__file__).name)
    c.setProducer(Path(__file__).name)
    return c


def start_page(c: Canvas, width: float, height: float) -> None:
    """Set the boxes of a page, move the origin to the trim's corner and clip to the bleed."""
    sheet = (width + 2 * BLEED, height + 2 * BLEED)
    c.setPageSize(sheet)
    c.setTrimBox((BLEED, BLEED, BLEED + width, BLEED + height))
    c.setBleedBox((0, 0, *sheet))
    c.translate(BLEED, BLEED)
    path = c.beginPath()
    path.rect(-BLEED, -BLEED, *sheet)
    c.clipPath(path, stroke=0, fill=0)


def make_pages(target: Path) -> None:
    """Write the 24 single pages."""
    c = new_canvas(target, TITLE)
    for number, draw in enumerate(PAGES, start=1):
        start_page(c, TRIM_W, TRIM_H)
        draw(c, Page(number))
        c.showPage()
    c.save()


def make_cover(target: Path, spine: Decimal) -> None:
    """Write the open cover: back, spine, front."""
    thick = float(spine) * INCH
    width, front = 2 * TRIM_W + thick, TRIM_W + thick
    c = new_canvas(target, f"{TITLE}: cover")
    start_page(c, width, TRIM_H)
    cover_art(c, width, front)
    cover_words(c, front)
    if spine >= SPINE_TEXT_MIN:
        cover_spine(c, TRIM_W, thick)
    c.showPage()
    c.save()


def spine_width(text: str) -> Decimal:
    """Read a spine width in inches."""
    try:
        value = Decimal(text)
    except InvalidOperation:
        raise argparse.ArgumentTypeError(f"not a decimal number: {text!r}") from None
    if not value.is_finite() or not 0 <= value <= 3:
        raise argparse.ArgumentTypeError("the spine must be from 0 to 3 in")
    return value


def main(argv: Sequence[str] | None = None) -> None:
    """Write both files and say how large they are."""
    parser = argparse.ArgumentParser(description="Make the example book and its cover.")
    parser.add_argument(
        "--spine",
        type=spine_width,
        default=SPINE_DEFAULT,
        metavar="INCHES",
        help="spine width of the cover (default %(default)s: 12 leaves of 0.0056 in)",
    )
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to")
    options = parser.parse_args(argv)
    options.out.mkdir(parents=True, exist_ok=True)
    set_up()
    make_pages(options.out / "pages.pdf")
    make_cover(options.out / "cover.pdf", options.spine)
    for name in ("pages.pdf", "cover.pdf"):
        print(f"{name}: {(options.out / name).stat().st_size} bytes")


if __name__ == "__main__":
    main()
