"""PDFs built in code for the tests of the pdf layer, and small plans to place them.

Each page shows its number in large figures, and a bar at its lower left so that
a turned or mirrored page is seen to be one.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Pdf, Stream, String

from impose.geometry.box import Box, Size
from impose.geometry.sides import NO_SIDES, BoundAt, Edge, PageSides
from impose.geometry.turning import Turnover
from impose.model.facts import SourceFacts
from impose.plan.parts import Mark, MarkGroup, Placement, Shape, Sheet, Side
from impose.plan.plan import PageFit, Plan
from impose.units import ZERO, Length

pt = Length.points

#: Size of the sample pages in points, and of the trims they become.
WIDTH, HEIGHT = 200, 300
TRIM = Size(pt(WIDTH), pt(HEIGHT))
SHEET = Size(pt(500), pt(400))


# -- inputs ----------------------------------------------------------------------------


class Sample:
    """A PDF in the making; every page may be changed before `save`."""

    def __init__(self) -> None:
        self.pdf = Pdf.new()
        self.font = self.pdf.make_indirect(
            Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name("/Helvetica-Bold"))
        )
        self.resources = self.pdf.make_indirect(Dictionary(Font=Dictionary(F1=self.font)))

    def stream(self, data: bytes, **entries: Any) -> Stream:
        """Deflated here, so that its bytes can be found again in an output."""
        return Stream(self.pdf, zlib.compress(data), Filter=Name.FlateDecode, **entries)

    def page(self, content: bytes | Object | None = b"", **entries: Any) -> Object:
        """Adds a page; `content` is bytes, a stream, an array of streams, or None for none."""
        page = Dictionary(
            Type=Name.Page,
            MediaBox=Array([0, 0, WIDTH, HEIGHT]),
            Resources=self.resources,
        )
        if isinstance(content, bytes):
            content = self.stream(content)
        if content is not None:
            page.Contents = content
        for key, value in entries.items():
            page[f"/{key}"] = value
        obj = self.pdf.make_indirect(page)
        self.pdf.pages.append(pikepdf.Page(obj))
        return self.pdf.pages[-1].obj

    def numbered(self, number: int, x: float = 0, y: float = 0, **entries: Any) -> Object:
        """A page with its number; `x`, `y` is where its lower left corner lies."""
        return self.page(figure(number, x, y), **entries)

    def save(self, path: Path, **options: Any) -> Path:
        options.setdefault("deterministic_id", "encryption" not in options)
        self.pdf.save(path, **options)
        return path


def figure(number: int, x: float = 0, y: float = 0) -> bytes:
    """Operators that draw a page number and a bar at the lower left of the page."""
    return (
        f"q 1 0 0 1 {x} {y} cm 0 g 10 10 60 12 re f 0.8 0.1 0.1 rg 10 22 12 40 re f "
        f"0 g BT /F1 60 Tf 60 130 Td ({number}) Tj ET Q"
    ).encode()


def raw_pdf(path: Path, *objects: bytes) -> Path:
    """Objects as they are written, numbered from 1; the first is the catalogue."""
    data = b"%PDF-1.4\n"
    offsets = []
    for number, text in enumerate(objects, start=1):
        offsets.append(len(data))
        data += b"%d 0 obj\n%b\nendobj\n" % (number, text)
    rows = b"".join(b"%010d 00000 n \n" % offset for offset in offsets)
    data += b"xref\n0 %d\n0000000000 65535 f \n%b" % (len(objects) + 1, rows)
    start = data.index(b"xref\n0 ")
    data += b"trailer\n<< /Root 1 0 R /Size %d >>\nstartxref\n%d\n%%%%EOF\n" % (
        len(objects) + 1,
        start,
    )
    path.write_bytes(data)
    return path


def indirect(path: Path) -> Path:
    """One page with everything behind references: boxes, numbers in them, the stream's length."""
    content = figure(1)
    return raw_pdf(
        path,
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [ 3 0 R ] /Count 1 /MediaBox 6 0 R >>",
        b"<< /Type /Page /Parent 2 0 R /Resources 4 0 R /Contents 5 0 R /Rotate 8 0 R"
        b" /UserUnit 10 0 R /TrimBox [ 9 0 R 9 0 R 190.5 7 0 R ] /CropBox 11 0 R >>",
        b"<< /Font << /F1 << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>"
        b" /Properties << /P << /Depth 8 0 R /Nothing 11 0 R /Dangling 99 0 R >> >> >>",
        b"<< /Length 12 0 R >>\nstream\n%b\nendstream" % content,
        b"[ 0 0 200.25 7 0 R ]",
        b"300",
        b"-90",
        b"10.5",
        b"1.5",
        b"null",
        b"%d" % len(content),
    )


def numbered(path: Path, pages: int) -> Path:
    """A plain file of numbered pages."""
    sample = Sample()
    for number in range(1, pages + 1):
        sample.numbered(number)
    return sample.save(path)


def scans(path: Path, pages: int) -> Path:
    """As a scanner makes them: every page has the same content and another image."""
    sample = Sample()
    for number in range(pages):
        pixels = bytes([40 * number % 256]) * 16
        image = sample.stream(
            pixels,
            Type=Name.XObject,
            Subtype=Name.Image,
            Width=4,
            Height=4,
            ColorSpace=Name.DeviceGray,
            BitsPerComponent=8,
        )
        content = f"q {WIDTH} 0 0 {HEIGHT} 0 0 cm /Im0 Do Q".encode()
        sample.page(content, Resources=Dictionary(XObject=Dictionary(Im0=image)))
    return sample.save(path)


def spot_colour(pdf: Pdf, name: str = "Deep Red") -> Array:
    """A Separation colour space with a name of its own."""
    tint = Dictionary(
        FunctionType=2,
        Domain=Array([0, 1]),
        C0=Array([0, 0, 0, 0]),
        C1=Array([0, 1, 1, 0]),
        N=1,
    )
    return Array([Name.Separation, Name(f"/{name.replace(' ', '#20')}"), Name.DeviceCMYK, tint])


def output_intents(pdf: Pdf, condition: str, profile: bytes = b"profile") -> Array:
    """One PDF/X output intent."""
    intent = Dictionary(
        Type=Name.OutputIntent,
        S=Name.GTS_PDFX,
        OutputConditionIdentifier=String(condition),
        DestOutputProfile=Stream(pdf, profile, N=4),
    )
    return Array([pdf.make_indirect(intent)])


def layer(sample: Sample, name: str) -> Object:
    """An optional-content group."""
    return sample.pdf.make_indirect(Dictionary(Type=Name.OCG, Name=String(name)))


def layered(path: Path, name: str, number: int, hidden: bool) -> Path:
    """A page whose number is on a layer that starts hidden or shown."""
    sample = Sample()
    group = layer(sample, name)
    resources = Dictionary(Font=Dictionary(F1=sample.font), Properties=Dictionary(L=group))
    sample.page(b"/OC /L BDC " + figure(number) + b" EMC", Resources=resources)
    config = Dictionary(Order=Array([group]), ON=Array([]))
    if hidden:
        config.OFF = Array([group])
    sample.pdf.Root.OCProperties = Dictionary(OCGs=Array([group]), D=config)
    return sample.save(path)


def appearance(sample: Sample, content: bytes, size: float = 40, **entries: Any) -> Stream:
    """An appearance stream of an annotation."""
    return sample.stream(
        content,
        Type=Name.XObject,
        Subtype=Name.Form,
        BBox=Array([0, 0, size, size]),
        Resources=Dictionary(),
        **entries,
    )


def annotation(sample: Sample, subtype: str, rect: Sequence[float], **entries: Any) -> Object:
    """An annotation; give `AP` for one that can be printed."""
    found = Dictionary(Type=Name.Annot, Subtype=Name(f"/{subtype}"), Rect=Array(list(rect)))
    for key, value in entries.items():
        found[f"/{key}"] = value
    return sample.pdf.make_indirect(found)


def armoured(path: Path, pages: int) -> Path:
    """Contents under an ASCII coding, as some drawing libraries write them."""
    from reportlab.pdfgen.canvas import Canvas

    canvas = Canvas(str(path), pagesize=(WIDTH, HEIGHT), invariant=1, pageCompression=1)
    for number in range(1, pages + 1):
        canvas.setFont("Helvetica", 40)
        canvas.drawString(40, 120, str(number))
        canvas.showPage()
    canvas.save()
    return path


# -- plans -----------------------------------------------------------------------------


def fit(facts: SourceFacts, number: int, file: int = 0, scale: Fraction = Fraction(1)) -> PageFit:
    """The page's TrimBox (else its CropBox) becomes the trim."""
    page = facts.pages[number - 1]
    return PageFit(file, number, page.trim or page.crop, page.rotate, scale)


def place(
    page: int | None,
    x: Length,
    y: Length,
    *,
    turn: int = 0,
    size: Size = TRIM,
    bleed: PageSides = NO_SIDES,
    spine_at: Edge = Edge.LEFT,
    position: int = 1,
) -> Placement:
    """A page with its trim's lower left corner at x, y."""
    art = Box.at(x, y, size)
    return Placement(
        page, position, art, art, turn, spine_at, False, bleed, ZERO, (position + 1) // 2
    )


def crop_marks() -> MarkGroup:
    """One of every shape, all outside the trims of `two_up`."""
    weight = pt("0.25")
    return MarkGroup(
        (
            Mark("crop", Shape.LINE, pt(40), pt(5), pt(40), pt(25), weight),
            Mark("fold", Shape.DASHED, pt(250), pt(370), pt(250), pt(390), weight),
            Mark("registration", Shape.CIRCLE, pt(10), pt(200), pt(20), pt(210), weight),
            Mark("collation", Shape.FILLED, pt(470), pt(200), pt(480), pt(230), weight),
            Mark("name", Shape.TEXT, pt(60), pt(380), pt(60), pt(380), pt(8), "Marks", 0),
        )
    )


def slug(text: str, turn: int = 0) -> Mark:
    """A line of words at the foot of the sheet."""
    return Mark("slug", Shape.TEXT, pt(100), pt(8), pt(100), pt(8), pt(7), text, turn)


def two_up(
    facts: Sequence[SourceFacts],
    *,
    ink: str = "black",
    shift: Length = ZERO,
    change: Callable[[Placement], Placement] | None = None,
    marks: MarkGroup | None = None,
    title: str = "Sample",
) -> Plan:
    """Two pages on each side in reading order, all pages of all files; blanks at the end.

    `shift` moves the pages of each sheet further inward than those of the last.
    """
    fits = tuple(
        fit(one, number, file)
        for file, one in enumerate(facts)
        for number in range(1, len(one.pages) + 1)
    )
    group = crop_marks() if marks is None else marks
    sheets = []
    for index in range(0, len(fits), 4):
        moved = shift * (index // 4)
        sides = []
        for name, start in (("front", index), ("back", index + 2)):
            pages = [start + 1 + k if start + k < len(fits) else None for k in (0, 1)]
            placements = (
                place(pages[0], pt(45) + moved, pt(50), position=start + 1),
                place(pages[1], pt(255) - moved, pt(50), position=start + 2),
            )
            if change:
                placements = tuple(change(one) for one in placements)
            words = slug(f"sheet {index // 4 + 1} {name}")
            sides.append(Side(placements, (group,) if group.marks else (), (words,)))
        sheets.append(Sheet(index // 4 + 1, SHEET, Turnover.ABOUT_VERTICAL, *sides))
    return plan_of(fits, sheets, tuple(one.file for one in facts), ink, title)


def plan_of(
    fits: Sequence[PageFit],
    sheets: Sequence[Sheet],
    files: Sequence[str],
    ink: str = "black",
    title: str = "Sample",
) -> Plan:
    """A plan with nothing in it but what the pdf layer reads."""
    return Plan(
        title=title,
        unit="pt",
        scheme="sample",
        binding="loose",
        bound_at=BoundAt.LEFT,
        trim=TRIM,
        pages=tuple(fits),
        files=tuple(files),
        faces=len(fits),
        sheets=tuple(sheets),
        mark_ink=ink,
    )


def with_side(plan: Plan, **changes: Any) -> Plan:
    """The same plan with other values on the first sheet's front."""
    first = plan.sheets[0]
    return replace(
        plan, sheets=(replace(first, front=replace(first.front, **changes)), *plan.sheets[1:])
    )
