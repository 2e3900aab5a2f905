"""Places of a page of sheets where a thing can hide, and makers of such things.

Where things can lie is ISO 32000-1 (the numbers beside the places are its sections and tables).
"""

from __future__ import annotations

from collections.abc import Callable

import pikepdf
from pdf_samples import Sample, annotation, appearance
from pikepdf import Array, Dictionary, Name, Stream
from readysamples import Change

from impose.model.conditions import Part

OLD, ALL = (Part.X1A, Part.X3), tuple(Part)
BOX = Array([0, 0, 9, 9])
#: Draws with content and resources somewhere on the page.
Place = Callable[[Sample, pikepdf.Object, bytes, Dictionary], None]
#: Such content, with its resources.
Thing = Callable[[Sample], tuple[bytes, Dictionary]]


# -- places ----------------------------------------------------------------------------


def drawn(sample: Sample, data: bytes, resources: object = None, **entries: object) -> Stream:
    """A form."""
    if resources is not None:
        entries["Resources"] = resources
    return sample.stream(
        data, Type=Name.XObject, Subtype=Name.Form, BBox=Array([0, 0, 9, 9]), **entries
    )


def on_the_page(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    page.Resources, page.Contents = r, s.stream(data)


def inherited(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    """Resources of the page tree (table 30)."""
    page.Contents = s.stream(data)
    del page["/Resources"]
    page.Parent.Resources = r


def in_several_streams(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    page.Resources = r
    page.Contents = Array([s.pdf.make_indirect(s.stream(b"q")), s.stream(data), s.stream(b"Q")])


def in_a_form(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    page.Resources = Dictionary(XObject=Dictionary(X=drawn(s, data, r)))
    page.Contents = s.stream(b"/X Do")


def in_a_form_without_resources(s: Sample, page: pikepdf.Object, d: bytes, r: Dictionary) -> None:
    """It takes the page's (7.8.3)."""
    r.XObject = Dictionary({**dict(r.get("/XObject", {})), "/Bare": drawn(s, d)})
    page.Resources, page.Contents = r, s.stream(b"/Bare Do")


def in_tiles(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    tile = s.stream(
        data, PatternType=1, PaintType=1, TilingType=1, BBox=BOX, XStep=9, YStep=9, Resources=r
    )
    page.Resources = Dictionary(Pattern=Dictionary(P=tile))
    page.Contents = s.stream(b"/Pattern cs /P scn 1 1 2 2 re f")


def in_strokes_of_tiles(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    in_tiles(s, page, data, r)
    page.Contents = s.stream(b"/Pattern CS /P SCN 1 1 2 2 re S")


def glyphs(s: Sample, data: bytes, **entries: object) -> Dictionary:
    return Dictionary(
        Type=Name.Font, Subtype=Name.Type3, CharProcs=Dictionary(a=s.stream(data)), **entries
    )


def in_a_glyph(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    page.Resources = Dictionary(Font=Dictionary(T=glyphs(s, data, Resources=r)))
    page.Contents = s.stream(b"BT /T 9 Tf (a) Tj ET")


def in_a_glyph_without_resources(s: Sample, page: pikepdf.Object, d: bytes, r: Dictionary) -> None:
    """It takes the page's (table 112)."""
    r.Font = Dictionary({**dict(r.get("/Font", {})), "/T": glyphs(s, d)})
    page.Resources, page.Contents = r, s.stream(b"BT /T 9 Tf (a) Tj ET")


def in_a_glyph_set_by_a_state(s: Sample, page: pikepdf.Object, d: bytes, r: Dictionary) -> None:
    """Table 58, Font."""
    font = s.pdf.make_indirect(glyphs(s, d, Resources=r))
    page.Resources = Dictionary(ExtGState=Dictionary(S=Dictionary(Font=Array([font, 9]))))
    page.Contents = s.stream(b"/S gs BT (a) Tj ET")


def in_a_mark(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    """A printer's mark (14.11.3)."""
    look = drawn(s, data, r)
    page.Annots = Array([annotation(s, "PrinterMark", (0, 0, 4, 4), F=68, AP=Dictionary(N=look))])


def in_a_state_of_a_note(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    """An appearance of one of its states, outside what is printed (12.5.5)."""
    states = Dictionary(Off=appearance(s, b"0 g"), On=drawn(s, data, r))
    page.Annots = Array(
        [annotation(s, "Square", (0, 0, 4, 4), AP=Dictionary(N=states), AS=Name.Off)]
    )


def in_traps(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    """A trap network (14.11.6)."""
    look = drawn(s, data, r)
    page.Annots = Array([annotation(s, "TrapNet", (0, 0, 200, 300), AP=Dictionary(N=look))])


def in_all_at_once(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    """In tiles of a glyph of a form."""
    tile = s.stream(
        data, PatternType=1, PaintType=1, TilingType=1, BBox=BOX, XStep=9, YStep=9, Resources=r
    )
    font = glyphs(
        s, b"/Pattern cs /P scn 1 1 2 2 re f", Resources=Dictionary(Pattern=Dictionary(P=tile))
    )
    shown = drawn(s, b"BT /T 9 Tf (a) Tj ET", Dictionary(Font=Dictionary(T=font)))
    page.Resources = Dictionary(XObject=Dictionary(X=shown))
    page.Contents = s.stream(b"/X Do")


def in_a_soft_mask(s: Sample, page: pikepdf.Object, data: bytes, r: Dictionary) -> None:
    """The group of a soft mask in a graphics state (11.6.5.2)."""
    mask = Dictionary(S=Name.Luminosity, G=drawn(s, data, r))
    page.Resources = Dictionary(ExtGState=Dictionary(S=Dictionary(SMask=mask)))
    page.Contents = s.stream(b"/S gs 1 1 2 2 re f")


PLACES: list[Place] = [
    on_the_page, inherited, in_several_streams, in_a_form, in_a_form_without_resources, in_tiles,
    in_strokes_of_tiles, in_a_glyph, in_a_glyph_without_resources, in_a_glyph_set_by_a_state,
    in_a_mark, in_a_state_of_a_note, in_traps, in_all_at_once, in_a_soft_mask,
]  # fmt: skip


def bare_font(name: str = "/Lamp") -> Dictionary:
    return Dictionary(Type=Name.Font, Subtype=Name.Type1, BaseFont=Name(name))


def picture(s: Sample, **entries: object) -> Dictionary:
    """Resources with a picture called I."""
    given = {"ColorSpace": Name.DeviceGray, "BitsPerComponent": 8, "Width": 1, "Height": 1}
    made = Stream(s.pdf, b"\0", Type=Name.XObject, Subtype=Name.Image, **{**given, **entries})
    return Dictionary(XObject=Dictionary(I=made))


def mask(s: Sample, **entries: object) -> Stream:
    return picture(s, **entries).XObject.I


def set_space(make: Callable[[Sample], object], operators: bytes = b"/C cs") -> Thing:
    return lambda s: (operators, Dictionary(ColorSpace=Dictionary(C=make(s))))


def icc(data: bytes, channels: int = 3) -> Callable[[Sample], object]:
    return lambda s: Array([Name.ICCBased, Stream(s.pdf, data, N=channels)])


def hidden(place: Place, what: Thing) -> Change:
    def change(sample: Sample, page: pikepdf.Object) -> None:
        place(sample, page, *what(sample))

    return change
