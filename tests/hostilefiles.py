"""Broken, odd and hostile PDFs, each made in code; `MADE` says what has to become of it.

Every maker takes the path to write.  The pages are A6 (298 x 420 pt) unless the
fault is the page itself, and show `figure` of `pdf_samples`.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path

import pikepdf
from pdf_samples import Sample, figure, raw_pdf
from pikepdf import Array, Dictionary, Name, Stream, String

Maker = Callable[[Path], Path]
A6 = b"[0 0 298 420]"
FONT = b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica-Bold>>"


def sample(pages: int = 4) -> Sample:
    """Numbered pages of A6."""
    made = Sample()
    for number in range(1, pages + 1):
        made.numbered(number, MediaBox=Array([0, 0, 298, 420]))
    return made


def sound(path: Path) -> Path:
    return sample().save(path)


def _stream(data: bytes, entries: bytes = b"") -> bytes:
    return b"<<%b/Length %d>>\nstream\n%b\nendstream" % (entries, len(data), data)


def _pages(path: Path, *pages: bytes, more: tuple[bytes, ...] = ()) -> Path:
    """Pages as raw dictionaries (objects 3 and on), then other objects."""
    kids = b" ".join(b"%d 0 R" % (3 + n) for n in range(len(pages)))
    return raw_pdf(
        path,
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[%b]/Count %d>>" % (kids, len(pages)),
        *pages,
        *more,
    )


def _page(entries: bytes, media: bytes = A6) -> bytes:
    return b"<</Type/Page/Parent 2 0 R/MediaBox%b%b>>" % (media, entries)


# -- locked ----------------------------------------------------------------------------


def locked(path: Path, user: str = "open", owner: str = "own") -> Path:
    return sample().save(path, encryption=pikepdf.Encryption(user=user, owner=owner, R=6))


def locked_with_nothing(path: Path) -> Path:
    """Opens with the empty password; only changing it wants one."""
    return locked(path, user="", owner="own")


# -- broken structure ------------------------------------------------------------------


def truncated(path: Path) -> Path:
    data = sound(path).read_bytes()
    path.write_bytes(data[: len(data) * 2 // 3])
    return path


def wrong_xref(path: Path) -> Path:
    """Every offset is off by some bytes."""
    made = _pages(path, _page(b"/Contents 4 0 R"), more=(_stream(figure(1)),))
    data = made.read_bytes()
    head, _, tail = data.partition(b"xref\n")
    for row in [line for line in tail.split(b"\n") if line.endswith(b" n ")]:
        tail = tail.replace(row, b"%010d 00000 n " % (int(row[:10]) + 7))
    made.write_bytes(head + b"xref\n" + tail)
    return made


def no_page_tree(path: Path) -> Path:
    return raw_pdf(path, b"<</Type/Catalog>>", b"<</Nothing true>>")


def page_tree_is_a_number(path: Path) -> Path:
    return raw_pdf(path, b"<</Type/Catalog/Pages 2 0 R>>", b"42")


def cyclic_page_tree(path: Path) -> Path:
    return raw_pdf(
        path,
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R 2 0 R]/Count 1>>",
        _page(b"/Contents 4 0 R"),
        _stream(figure(1)),
    )


def other_count(path: Path) -> Path:
    """Two pages, of which the page tree says that they are five."""
    return raw_pdf(
        path,
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R 4 0 R]/Count 5>>",
        _page(b"/Contents 5 0 R"),
        _page(b"/Contents 5 0 R"),
        _stream(figure(1)),
    )


def cyclic_parents(path: Path) -> Path:
    """Nothing is inherited from parents that are each other's."""
    return raw_pdf(
        path,
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[4 0 R]/Count 1/Parent 3 0 R>>",
        b"<</Type/Pages/Kids[2 0 R]/Count 1/Parent 2 0 R>>",
        b"<</Type/Page/Parent 3 0 R/MediaBox%b/Contents 5 0 R>>" % A6,
        _stream(figure(1)),
    )


def deeply_nested(path: Path) -> Path:
    return _pages(path, _page(b"/Resources<</Odd %b%b>>" % (b"[" * 20_000, b"]" * 20_000)))


def nothing_after_the_header(path: Path) -> Path:
    path.write_bytes(b"%PDF-1.7\n%%EOF\n")
    return path


# -- resources and contents ------------------------------------------------------------


def cyclic_form(path: Path) -> Path:
    """A form that draws itself, and two that draw each other."""
    form = b"/Type/XObject/Subtype/Form/BBox[0 0 298 420]/Resources<</XObject<</A %d 0 R>>>>"
    return _pages(
        path,
        _page(b"/Contents 4 0 R/Resources<</XObject<</A 5 0 R/B 6 0 R>>/Font<</F1 8 0 R>>>>"),
        more=(
            _stream(figure(1) + b" /A Do /B Do"),
            _stream(b"0 0 1 rg 10 10 20 20 re f /A Do", form % 5),
            _stream(b"1 0 0 rg 60 10 20 20 re f /A Do", form % 7),
            _stream(b"0 1 0 rg 90 10 20 20 re f /A Do", form % 6),
            FONT,
        ),
    )


def forms_that_share(path: Path) -> Path:
    """Forms whose resources are those of the page, which hold them all: each may draw each, and
    whoever follows every way through them never comes to an end."""
    names = b"".join(b"/X%d %d 0 R" % (n, 6 + n) for n in range(12))
    form = b"/Type/XObject/Subtype/Form/BBox[0 0 298 420]/Resources 5 0 R"
    return _pages(
        path,
        _page(b"/Contents 4 0 R/Resources 5 0 R"),
        more=(
            _stream(b"/X0 Do"),
            b"<</XObject<<%b>>/ColorSpace<</C[/Separation/Gold/DeviceGray 18 0 R]>>>>" % names,
            *(_stream(b"0 g %d 10 10 90 re f" % (20 * n + 9), form) for n in range(12)),
            b"<</FunctionType 2/Domain[0 1]/N 1>>",
        ),
    )


def no_resources(path: Path) -> Path:
    return _pages(path, _page(b"/Contents 4 0 R"), more=(_stream(figure(1)),))


def wrong_resources(path: Path) -> Path:
    """Names that are not there, and resources of the wrong kind."""
    return _pages(
        path,
        _page(b"/Contents 5 0 R/Resources 42"),
        _page(b"/Contents 5 0 R/Resources<</Font[1 2]/XObject(no)/ExtGState 5 0 R/Gone 99 0 R>>"),
        more=(_stream(figure(1) + b" /None Do /None gs"),),
    )


def no_contents(path: Path) -> Path:
    return _pages(path, _page(b""), _page(b"/Contents null"), _page(b"/Contents[]"))


def contents_no_stream(path: Path) -> Path:
    """A number, a dictionary, an array with both, a page, what is not there."""
    return _pages(
        path,
        _page(b"/Contents 42"),
        _page(b"/Contents 8 0 R"),
        _page(b"/Contents[8 0 R 42 9 0 R null 99 0 R]"),
        _page(b"/Contents 3 0 R"),
        _page(b"/Contents 99 0 R"),
        more=(b"<</Nothing true>>", _stream(b"0 g 10 10 60 12 re f")),
    )


def undecodable(path: Path) -> Path:
    """Page 2 is no deflated data at all, page 3 stops in the middle, page 4 names a filter that
    does not exist, page 5 has a part that cannot be decoded."""
    long = b"".join(b"0 g %d 10 2 12 re f\n" % (x % 290) for x in range(2_000))
    half = zlib.compress(long)
    flate = b"/Filter/FlateDecode"
    return _pages(
        path,
        *(_page(b"/Contents %b" % what) for what in (
            b"8 0 R", b"9 0 R", b"10 0 R", b"11 0 R", b"[8 0 R 9 0 R 8 0 R]",
        )),
        more=(
            _stream(b"0 g 10 10 60 12 re f"),
            _stream(b"no such thing", flate),
            _stream(half[: len(half) // 2], flate),
            _stream(b"no such thing", b"/Filter/NoneDecode"),
        ),
    )  # fmt: skip


def stray_hash(path: Path) -> Path:
    """Names with a `#` that no digits follow, as PDF 1.1 allowed."""
    return _pages(
        path,
        _page(b"/Contents 4 0 R/Resources<</XObject<</Im# 5 0 R/Im#1 5 0 R>>>>"),
        more=(
            _stream(b"/Im# Do"),
            _stream(b"0 g 10 10 60 12 re f", b"/Type/XObject/Subtype/Form/BBox[0 0 298 420]"),
        ),
    )


def resources_are_the_catalogue(path: Path) -> Path:
    return _pages(
        path,
        _page(b"/Contents 5 0 R/Resources 1 0 R"),
        _page(b"/Contents 5 0 R/Resources<</XObject 3 0 R>>"),
        more=(_stream(b"0 g 10 10 60 12 re f"),),
    )


def unbalanced(path: Path) -> Path:
    """Too many q, too many Q, a content that ends in the middle of an operator, and sound pages
    after each, which must lie where they would without them."""
    made = sample(8)
    for index, before in ((0, b"q q 2 0 0 2 50 50 cm "), (2, b"Q Q Q "), (4, b"")):
        page = made.pdf.pages[index].obj
        after = b" BT /F1 12 Tf 9 9 Td (open" if index == 4 else b" q 0.5 0 0 0.5 9 9 cm"
        page.Contents = made.stream(before + figure(index + 1) + after)
    return made.save(path)


def in_pieces(path: Path) -> Path:
    """The content cut between two words of an operator, as ISO 32000-1 table 30 allows."""
    made = sample(0)
    whole = figure(1)
    at = whole.index(b" re f")
    made.page(
        Array([made.stream(whole[:at]), made.stream(b""), made.stream(whole[at:])]),
        MediaBox=Array([0, 0, 298, 420]),
    )
    return made.save(path)


# -- boxes -----------------------------------------------------------------------------


def odd_boxes(path: Path) -> Path:
    """Corners in any order, boxes beyond each other, boxes of no size, and turns."""
    made = sample(6)
    pages = [page.obj for page in made.pdf.pages]
    pages[0].MediaBox = Array([298, 420, 0, 0])
    pages[1].CropBox = Array([-100, -100, 900, 900])
    pages[2].TrimBox = Array([50, 50, 50, 50])
    pages[3].CropBox = Array([1000, 1000, 2000, 2000])
    pages[4].BleedBox = Array([0, 0, 1])
    pages[5].TrimBox = Array([String("a"), 0, 1, 2])
    for page, turn in zip(pages, (0, -90, 450, 45, 180, 270), strict=True):
        page.Rotate = turn
    return made.save(path)


def no_area(path: Path) -> Path:
    return _pages(path, _page(b"", b"[0 0 298 0]"))


def no_media_box(path: Path) -> Path:
    return raw_pdf(
        path,
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>",
        b"<</Type/Page/Parent 2 0 R/Contents 4 0 R>>",
        _stream(figure(1)),
    )


def user_unit(path: Path) -> Path:
    made = sample(2)
    for page in made.pdf.pages:
        page.obj.MediaBox = Array([0, 0, 149, 210])
        page.obj.UserUnit = 2
    return made.save(path)


def huge(path: Path) -> Path:
    """Over 200 inches, the largest that some readers show (ISO 32000-1 annex C)."""
    made = sample(1)
    made.pdf.pages[0].obj.MediaBox = Array([0, 0, 29_800, 42_000])
    return made.save(path)


def astronomic(path: Path) -> Path:
    return _pages(path, _page(b"", b"[0 0 99999999999999 99999999999999999999999999]"))


def shared_and_inherited(path: Path) -> Path:
    """Pages that share one content; boxes, turn and resources from the page tree."""
    return raw_pdf(
        path,
        b"<</Type/Catalog/Pages 2 0 R>>",
        b"<</Type/Pages/Kids[3 0 R 4 0 R]/Count 2/MediaBox%b/Rotate 180"
        b"/Resources<</Font<</F1 6 0 R>>>>>>" % A6,
        b"<</Type/Page/Parent 2 0 R/Contents 5 0 R>>",
        b"<</Type/Page/Parent 2 0 R/Contents 5 0 R>>",
        _stream(figure(1)),
        FONT,
    )


# -- hostile ---------------------------------------------------------------------------


def active(path: Path) -> Path:
    """Scripts, a launch, embedded files, names, outlines, wherever a file can have them."""
    made = sample(2)
    pdf = made.pdf
    script = pdf.make_indirect(Dictionary(S=Name.JavaScript, JS=String("app.alert(1)")))
    launch = pdf.make_indirect(Dictionary(S=Name.Launch, F=String("calc.exe")))
    attached = pdf.make_indirect(Stream(pdf, b"EVIL PAYLOAD", Type=Name.EmbeddedFile))
    spec = pdf.make_indirect(
        Dictionary(Type=Name.Filespec, F=String("x.exe"), EF=Dictionary(F=attached))
    )
    pdf.Root.OpenAction = script
    pdf.Root.AA = Dictionary(WC=script, DP=launch)
    pdf.Root.Names = Dictionary(
        JavaScript=Dictionary(Names=Array([String("a"), script])),
        EmbeddedFiles=Dictionary(Names=Array([String("b"), spec])),
    )
    pdf.Root.Outlines = pdf.make_indirect(
        Dictionary(First=pdf.make_indirect(Dictionary(Title=String("TITLE"), A=launch)))
    )
    look = Stream(pdf, b"0 0 1 rg 0 0 50 20 re f", Type=Name.XObject, Subtype=Name.Form)
    look.BBox = Array([0, 0, 50, 20])
    look.AA = Dictionary(D=script)
    look.PieceInfo = Dictionary(Private=Dictionary(Action=launch, File=spec))
    page = pdf.pages[0].obj
    page.AA = Dictionary(O=launch)
    page.Annots = Array(
        [
            pdf.make_indirect(
                Dictionary(
                    Type=Name.Annot, Subtype=Name.Stamp, F=4,
                    Rect=Array([100, 300, 150, 320]), A=script, AA=Dictionary(D=launch),
                    AP=Dictionary(N=pdf.make_indirect(look)),
                )
            )
        ]
    )  # fmt: skip
    page.Resources = Dictionary(Font=page.Resources.Font, Odd=Dictionary(A=script, B=launch))
    page.Resources.Properties = Dictionary(P=Dictionary(Act=script, File=spec))
    return made.save(path)


#: What the bombs inflate to: over the limit.  (Tried by hand with four gigabytes.)
BOMB = 300 << 20


def bomb(path: Path) -> Path:
    """A content that inflates to more than it may."""
    return _pages(
        path, _page(b"/Contents 4 0 R"),
        more=(_stream(_deflated_blanks(), b"/Filter/FlateDecode"),),
    )  # fmt: skip


def bomb_in_an_array(path: Path) -> Path:
    return _pages(
        path, _page(b"/Contents[4 0 R 4 0 R]"),
        more=(_stream(_deflated_blanks(), b"/Filter/FlateDecode"),),
    )  # fmt: skip


def bomb_twice_deflated(path: Path) -> Path:
    """A few kilobytes that are too many when they are inflated twice."""
    twice = zlib.compress(_deflated_blanks(), 9)
    return _pages(
        path, _page(b"/Contents 4 0 R"),
        more=(_stream(twice, b"/Filter[/FlateDecode/FlateDecode]"),),
    )  # fmt: skip


def bomb_in_a_form(path: Path) -> Path:
    form = b"/Type/XObject/Subtype/Form/BBox[0 0 298 420]/Filter/FlateDecode"
    return _pages(
        path, _page(b"/Contents 4 0 R/Resources<</XObject<</A 5 0 R>>>>"),
        more=(_stream(b"/A Do"), _stream(_deflated_blanks(), form)),
    )  # fmt: skip


@lru_cache
def _deflated_blanks(size: int = BOMB) -> bytes:
    """Made without the blanks ever being there."""
    deflating = zlib.compressobj(9)
    piece = b" " * (1 << 24)
    parts = [deflating.compress(piece) for _ in range(size >> 24)]
    return b"".join([*parts, deflating.flush()])


def many_annotations(path: Path, count: int = 200_000) -> Path:
    """So many notes with an appearance, all the same, on the first page."""
    made = sample(2)
    pdf = made.pdf
    look = Stream(pdf, b"0 g 0 0 1 1 re f", Type=Name.XObject, Subtype=Name.Form)
    look.BBox = Array([0, 0, 1, 1])
    note = Dictionary(
        Type=Name.Annot, Subtype=Name.Square, Rect=Array([10, 10, 11, 11]), F=4,
        AP=Dictionary(N=pdf.make_indirect(look)),
    )  # fmt: skip
    pdf.pages[0].obj.Annots = Array([pdf.make_indirect(note)] * count)
    return made.save(path)


#: What `make` has to do with each: the exit codes that are right, and a finding or a part of
#: the message that must be there ("" for none).
MADE: dict[Maker, tuple[tuple[int, ...], str]] = {
    sound: ((0, 1), ""),
    locked: ((3,), "locked with a password"),
    locked_with_nothing: ((0, 1), ""),
    truncated: ((0, 1), "damaged"),
    wrong_xref: ((0, 1), "damaged and was repaired"),
    no_page_tree: ((3,), "damaged beyond repair"),
    page_tree_is_a_number: ((3,), "damaged beyond repair"),
    cyclic_page_tree: ((0, 1), "its repaired copy is used, of 1 page"),
    other_count: ((3,), "one reader counts 2 pages in it, another 5"),
    cyclic_parents: ((0, 1), ""),
    deeply_nested: ((0, 1, 3), ""),
    nothing_after_the_header: ((3,), "damaged beyond repair"),
    cyclic_form: ((0, 1), ""),
    forms_that_share: ((0, 1), ""),
    no_resources: ((0, 1), ""),
    wrong_resources: ((0, 1), ""),
    no_contents: ((0, 1), ""),
    contents_no_stream: ((0, 1), ""),
    undecodable: ((1,), "pages 2, 4: the content is damaged"),
    stray_hash: ((0, 1), ""),
    resources_are_the_catalogue: ((0, 1), ""),
    unbalanced: ((0, 1), ""),
    in_pieces: ((0, 1), ""),
    odd_boxes: ((0, 1), "pages 3, 6: the TrimBox says nothing usable"),
    no_area: ((3,), "page 1: the page has no area"),
    no_media_box: ((0, 1), "no MediaBox"),
    user_unit: ((0, 1), ""),
    huge: ((0, 1), ""),
    astronomic: ((0, 1, 2, 3), "page 1"),
    shared_and_inherited: ((0, 1), ""),
    active: ((0, 1), ""),
    bomb: ((3,), "page 1: the page's content inflates to more than 256 MB"),
    bomb_in_an_array: ((3,), "page 1: the page's content inflates to more than 256 MB"),
    bomb_twice_deflated: ((3,), "page 1: the page's content inflates to more than 256 MB"),
    bomb_in_a_form: ((3,), "inflates to more than 256 MB"),
}
