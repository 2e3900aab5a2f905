"""What images, and streams of any kind, use (ISO 32000-1 7.3.8, 7.4, 8.9)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from pikepdf import Array, Name, Object, Stream

from impose.model.sheetfacts import NOTHING_USED, InkUse
from impose.pdf.useshelves import Shelves
from impose.pdf.usespaces import SpaceReader

#: Filters that no rule asks after.
_USUAL_FILTERS: Final = frozenset({"FlateDecode", "DCTDecode", "CCITTFaxDecode"})
_JPEG2000: Final = "JPXDecode"
#: Enumerated colour spaces of JPEG 2000 files (ISO 32000-1 7.4.9; ISO 15444-1 and -2) and what
#: they are in PDF; others carry a profile.
_ENUMERATED: Final = {12: "DeviceCMYK", 14: "Lab", 16: "CalRGB", 17: "CalGray", 18: "CalRGB"}
#: The colour specification stands in the head of the file, long before the picture.
_HEAD: Final = 1 << 16


def image_use(image: Object, shelves: Shelves, spaces: SpaceReader) -> InkUse:
    """An image XObject with its masks; not its stream (see `stream_use`)."""
    told, newer, foreign = set(), set(), set()
    if isinstance(image.get("/SMask"), Stream) or int(image.get("/SMaskInData", 0)):
        told.add("soft masks")
    if int(image.get("/BitsPerComponent", 8)) > 8:
        newer.add("pictures of 16 bits (PDF 1.5)")
    if "/Alternates" in image:
        foreign.add("pictures with alternates")
    use = InkUse(
        see_through=frozenset(told),
        newer=frozenset(newer),
        foreign=frozenset(foreign),
        layers="/OC" in image,
    )
    for key in ("/SMask", "/Mask"):
        mask = image.get(key)
        if isinstance(mask, Stream):
            use = use.join(stream_use(mask)).join(_mask_use(mask))
    return use.join(_colours(image, shelves, spaces))


def _mask_use(mask: Object) -> InkUse:
    """A mask has no colours, but depth and alternates."""
    newer = int(mask.get("/BitsPerComponent", 1)) > 8
    return InkUse(
        newer=frozenset(["pictures of 16 bits (PDF 1.5)"] if newer else []),
        foreign=frozenset(["pictures with alternates"] if "/Alternates" in mask else []),
    )


def _colours(image: Object, shelves: Shelves, spaces: SpaceReader) -> InkUse:
    if image.get("/ImageMask", False):
        return NOTHING_USED
    space = image.get("/ColorSpace")
    if space is not None:
        return spaces.use(space, shelves)
    if _JPEG2000 in filters_of(image):
        return _own_colours(image)
    return InkUse(missing=frozenset(["the colour space of a picture"]))


def _own_colours(image: Object) -> InkUse:
    """Of a JPEG 2000 picture that says itself in which colours it is (ISO 15444-1 I.5.3.3)."""
    head = image.read_raw_bytes()[:_HEAD]
    start = head.find(b"colr")
    method = head[start + 4 : start + 5]
    if start < 0 or method not in (b"\1", b"\2"):
        return InkUse(unread=True)
    if method == b"\2":
        return InkUse(spaces=frozenset(["ICCBased"]))
    number = int.from_bytes(head[start + 7 : start + 11], "big")
    known = _ENUMERATED.get(number)
    return InkUse(spaces=frozenset([known])) if known else InkUse(unread=True)


def inline_use(image: Object, shelves: Shelves, spaces: SpaceReader) -> InkUse:
    """An inline image, by its dictionary with the names in full."""
    use = _packing(frozenset(filters_of(image)), frozenset())
    if image.get("/ImageMask", image.get("/IM", False)):
        return use
    return use.join(spaces.use(image.get("/ColorSpace", image.get("/CS")), shelves))


def stream_use(stream: Object) -> InkUse:
    """Filters, and data that lie in another file."""
    foreign = set()
    if "/F" in stream:
        foreign.add("data in another file")
    if "/OPI" in stream:
        foreign.add("pictures to be exchanged (OPI)")
    return _packing(frozenset(filters_of(stream)), frozenset(foreign))


def _packing(filters: frozenset[str], foreign: frozenset[str]) -> InkUse:
    if not foreign and filters <= _USUAL_FILTERS:
        return NOTHING_USED
    newer = ["JPEG 2000 pictures (PDF 1.5)"] if _JPEG2000 in filters else []
    return InkUse(foreign=foreign, filters=filters, newer=frozenset(newer))


def filters_of(stream: Object) -> Iterator[str]:
    """Names without their slash, in their order."""
    told = stream.get("/Filter")
    if isinstance(told, Name):
        yield str(told)[1:]
    elif isinstance(told, Array):
        yield from (str(name)[1:] for name in told)
