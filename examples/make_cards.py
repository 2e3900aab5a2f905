"""Make ``flat.pdf``: cards, bookmarks, a label and a postcard that go with the example book.

Pages 1 and 2 are front and back of a card (3.5 x 2 in), 3 and 4 of a bookmark
(2 x 7 in), 5 is a label without a back (2.5 x 2.5 in), 6 and 7 are a postcard
(6 x 4 in).  Each page carries 1/8 in of bleed, as the pages of the book do
(see ``make_book.py`` beside this file), and nothing on them is at fault.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path

from make_book import (
    BLEED,
    CREAM,
    FOG,
    HERE,
    INCH,
    INK,
    LAMP,
    LIGHTS,
    NAVY,
    PRESS,
    SEA,
    TITLE,
    boat,
    box,
    disc,
    flash_strip,
    gull,
    halo,
    hills,
    lighthouse,
    line,
    mix,
    new_canvas,
    profile,
    ripples,
    rock,
    set_up,
    sky,
    stars,
    start_page,
    waves,
)
from reportlab.pdfgen.canvas import Canvas

CARD = (3.5 * INCH, 2 * INCH)
MARK = (2 * INCH, 7 * INCH)
LABEL = (2.5 * INCH, 2.5 * INCH)
POST = (6 * INCH, 4 * INCH)
NIGHT = mix(NAVY, INK, 0.4)


def night(c: Canvas, width: float, height: float, sea: float) -> None:
    """Sky, stars and water out to the bleed."""
    sky(c, -BLEED, sea, width + BLEED, height + BLEED, (NAVY, NIGHT))
    stars(c, 4, sea + 20, width - 4, height - 4, round(width * height / 600), 7, CREAM)
    box(c, -BLEED, -BLEED, width + BLEED, sea, mix(SEA, NAVY, 0.7))
    waves(c, (-BLEED, width + BLEED), -BLEED, sea, (3, 26, 8), mix(SEA, NAVY, 0.55))


def card_front(c: Canvas, width: float, height: float) -> None:
    """A lighthouse by night and the name of the guide."""
    night(c, width, height, 34)
    halo(c, (62, 117), (26, 17, 9), NIGHT, LAMP)
    rock(c, 62, 38, 70, INK)
    lighthouse(c, LIGHTS[0], 62, 36, 92, CREAM)
    line(c, "The Lights of", (238, 84), 12, "VeraIt", CREAM, "right")
    line(c, "Pellantine", (238, 64), 19, "VeraBd", LAMP, "right")


def card_back(c: Canvas, width: float, height: float) -> None:
    """Where to ask for the guide."""
    box(c, -BLEED, -BLEED, width + BLEED, height + BLEED, CREAM)
    line(c, PRESS, (width / 2, 92), 14, "VeraBd", NAVY, "middle")
    line(c, "guides to lights, near and far", (width / 2, 74), 8, "VeraIt", INK, "middle")
    line(c, "at the third door, Lugworm Lane", (width / 2, 50), 8, "Vera", INK, "middle")
    line(c, "open while the lamp is lit", (width / 2, 38), 8, "Vera", INK, "middle")


def mark_front(c: Canvas, width: float, height: float) -> None:
    """A tall light."""
    night(c, width, height, 90)
    halo(c, (72, 420), (50, 34, 18), NIGHT, LAMP)
    rock(c, 72, 96, 110, INK)
    lighthouse(c, LIGHTS[6], 72, 94, 380, CREAM)
    line(c, TITLE, (width / 2, 30), 9, "VeraBd", CREAM, "middle")


def mark_back(c: Canvas, width: float, height: float) -> None:
    """The lights and their signals."""
    box(c, -BLEED, -BLEED, width + BLEED, height + BLEED, FOG)
    line(c, "Signals", (width / 2, height - 40), 15, "VeraBd", NAVY, "middle")
    for place, light in enumerate(LIGHTS[:8]):
        y = height - 84 - place * 48
        line(c, light.name, (18, y + 12), 8, "VeraBd")
        flash_strip(c, light, 18, y, width - 36)


def label_front(c: Canvas, width: float, height: float) -> None:
    """A round lamp for a jar or a parcel."""
    box(c, -BLEED, -BLEED, width + BLEED, height + BLEED, LAMP)
    disc(c, (width / 2, height / 2), 72, NAVY)
    disc(c, (width / 2, height / 2), 68, CREAM)
    lighthouse(c, LIGHTS[4], width / 2, 54, 78)
    line(c, "from Butterlight", (width / 2, 40), 8, "VeraBd", NAVY, "middle")


def post_front(c: Canvas, width: float, height: float) -> None:
    """A harbour in the morning."""
    sky(c, -BLEED, 70, width + BLEED, height + BLEED, (CREAM, SEA))
    profile(c, -BLEED, width + BLEED, 60, hills(120, 22, 40), mix(SEA, NAVY, 0.35))
    box(c, -BLEED, -BLEED, width + BLEED, 96, mix(SEA, NAVY, 0.2))
    waves(c, (-BLEED, width + BLEED), -BLEED, 96, (4, 32, 12), SEA)
    rock(c, 330, 100, 130, INK)
    lighthouse(c, LIGHTS[7], 330, 96, 165)
    boat(c, 110, 66, 34, NAVY, CREAM)
    ripples(c, 110, 56, 60, CREAM)
    for x, y in ((90, 210), (130, 232), (190, 206)):
        gull(c, x, y, 12)


def post_back(c: Canvas, width: float, height: float) -> None:
    """Room for a letter and an address."""
    box(c, -BLEED, -BLEED, width + BLEED, height + BLEED, CREAM)
    line(c, "Mussel Quay, at the turn of the tide", (24, height - 30), 8, "VeraIt", NAVY)
    c.setStrokeColor(NAVY)
    c.setLineWidth(0.6)
    c.line(width / 2, 30, width / 2, height - 44)
    for row in range(4):
        y = 120 - row * 24
        c.line(width / 2 + 24, y, width - 28, y)
    c.rect(width - 84, height - 100, 56, 68, stroke=1, fill=0)


Face = tuple[tuple[float, float], Callable[[Canvas, float, float], None]]
FACES: tuple[Face, ...] = (
    (CARD, card_front),
    (CARD, card_back),
    (MARK, mark_front),
    (MARK, mark_back),
    (LABEL, label_front),
    (POST, post_front),
    (POST, post_back),
)


def make_flat(target: Path) -> None:
    """Write the seven pages."""
    c = new_canvas(target, f"{TITLE}: cards and labels")
    for (width, height), draw in FACES:
        start_page(c, width, height)
        draw(c, width, height)
        c.showPage()
    c.save()


def main(argv: Sequence[str] | None = None) -> None:
    """Write the file and say how large it is."""
    parser = argparse.ArgumentParser(description="Make the example's flat work.")
    parser.add_argument("--out", type=Path, default=HERE, help="folder to write to")
    options = parser.parse_args(argv)
    options.out.mkdir(parents=True, exist_ok=True)
    set_up()
    make_flat(options.out / "flat.pdf")
    print(f"flat.pdf: {(options.out / 'flat.pdf').stat().st_size} bytes")


if __name__ == "__main__":
    main()
