"""Which process plates a page may put something on, told from its operators and resources.

CMYK colours and pictures are looked at ink by ink; RGB may come out in any ink.
What cannot be told (lossy pictures, gradients in CMYK, spaces that are not known)
counts as all four: a plate too many in the colour bar is cheaper than one that
is missing.  Black is what everything is drawn in that names no colour (ISO
32000-1 8.4.1).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.model.inks import PROCESS

Plates = frozenset[str]
Colour = tuple[float, ...]
NONE: Final[Plates] = frozenset()
ALL: Final[Plates] = frozenset(PROCESS)
BLACK: Final[Plates] = frozenset(PROCESS[-1:])
_DEEPEST: Final = 8
#: Larger pictures are not looked at ink by ink (bytes, inflated).
_LARGEST: Final = 64 << 20
_LOSSY: Final = {"/DCTDecode", "/JPXDecode", "/DCT"}
_GREY_SPACES: Final = {"/DeviceGray", "/G", "/CalGray"}
_RGB_SPACES: Final = {"/DeviceRGB", "/RGB", "/CalRGB", "/Lab"}
_CMYK_SPACES: Final = {"/DeviceCMYK", "/CMYK"}
#: Any grey but white.
_GREY: Final = re.compile(rb"(?:^|(?<=\s))(?:0(?:\.\d*)?|\.\d+)\s+[gG](?=\s|$)")
RGB: Final = re.compile(rb"(?<=\s)(?:rg|RG)(?=\s|$)")
CMYK: Final = re.compile(rb"(?<=\s)[kK](?=\s|$)")
_ANY: Final = re.compile(rb"(?<=\s)(?:sc|SC|scn|SCN)(?=\s|$)")
_INLINE: Final = re.compile(rb"(?<![\w/])BI\s(.*?)\sID\s", re.DOTALL)
_PAINTING: Final = re.compile(
    rb"(?:^|(?<=\s))(?:(q)|(Q)|(g|rg|k|cs|scn?)|(G|RG|K|CS|SCN?)|(f\*?|F|Tj|TJ|'|\")|(S|s)|"
    rb"(B\*?|b\*?))(?=\s|$)"
)
#: The operands of a colour stand this near before it (bytes).
_BEFORE: Final = 80
_BROKEN: Final = (pikepdf.PdfError, RuntimeError, ValueError, TypeError, AttributeError)


def plates_of(data: bytes, resources: Object | None, colours: Collection[Colour]) -> Plates:
    """Of one content stream, forms, patterns and glyphs not looked into.

    `colours` are those that its RGB and CMYK operators set (`operands`).
    """
    found = NONE.union(*map(_of_numbers, colours))
    if found == ALL:
        return ALL
    if b"sc" in data or b"SC" in data:
        found = found.union(*(_of_numbers(_last_numbers(words)) for words in _texts(data, _ANY)))
    try:
        found |= _of_inline(data, resources) | _of_resources(data, resources)
    except _BROKEN:
        return ALL
    if found >= BLACK or _GREY.search(data) or _unnamed(data):
        found |= BLACK
    return found


def drawn_things(resources: Object | None) -> Iterator[Object]:
    """Streams with operators of their own besides forms: tiling patterns, glyphs of Type 3."""
    for _, pattern in _shelf(resources, "/Pattern"):
        if isinstance(pattern, Stream):
            yield pattern
    for _, font in _shelf(resources, "/Font"):
        if isinstance(font, Dictionary) and font.get("/Subtype") == Name.Type3:
            for glyph in _values(font.get("/CharProcs")):
                if isinstance(glyph, Stream):
                    yield glyph


def appearances(page: Object) -> Iterator[Object]:
    """What annotations and form fields look like, in every state that they have."""
    annotations = page.get("/Annots")
    for annotation in list(annotations) if isinstance(annotations, Array) else ():
        looks = annotation.get("/AP") if isinstance(annotation, Dictionary) else None
        normal = looks.get("/N") if isinstance(looks, Dictionary) else None
        for look in (normal,) if isinstance(normal, Stream) else _values(normal):
            if isinstance(look, Stream):
                yield look


# -- operators -------------------------------------------------------------------------


def _of_numbers(numbers: Colour) -> Plates:
    """What a colour of so many parts needs; of one or two parts its space tells."""
    if len(numbers) == 3:
        if len(set(numbers)) > 1:
            return ALL
        return BLACK if numbers[0] < 1 else NONE
    if len(numbers) == 4:
        return frozenset(ink for ink, part in zip(PROCESS, numbers, strict=True) if part > 0)
    return NONE


def operands(data: bytes, operator: re.Pattern[bytes], count: int) -> Collection[Colour]:
    """The numbers before each such operator, each set of them once."""
    known = set()
    for text in _texts(data, operator):
        try:
            numbers = tuple(map(float, text.split()[-count:]))
        except ValueError:
            continue
        if len(numbers) == count:
            known.add(numbers)
    return known


def _texts(data: bytes, operator: re.Pattern[bytes]) -> set[bytes]:
    return {data[max(0, m.start() - _BEFORE) : m.start()] for m in operator.finditer(data)}


def _last_numbers(text: bytes) -> tuple[float, ...]:
    """As many numbers as stand at the end."""
    numbers: list[float] = []
    for word in reversed(text.split()):
        try:
            numbers.append(float(word))
        except ValueError:
            break
    return tuple(reversed(numbers))


def _unnamed(data: bytes) -> bool:
    """Something is painted while no colour has been set: it comes out black."""
    stack: list[tuple[bool, bool]] = []
    fill = stroke = False
    for found in _PAINTING.finditer(data):
        save, back, filling, stroking, fills, strokes, _ = found.groups()
        if save:
            stack.append((fill, stroke))
        elif back:
            fill, stroke = stack.pop() if stack else (False, False)
        elif filling:
            fill = True
        elif stroking:
            stroke = True
        elif not {bool(fills): fill, bool(strokes): stroke}.get(True, fill and stroke):
            return True
    return False


# -- spaces and pictures ---------------------------------------------------------------


def _of_resources(data: bytes, resources: Object | None) -> Plates:
    """Spaces, gradients and pictures that the operators name."""
    found = NONE
    for name, space in _shelf(resources, "/ColorSpace"):
        if _named(name, data) and _says_inks(space):
            found |= space_plates(space, resources)
    for name, shading in _shelf(resources, "/Shading"):
        if _named(name, data) and isinstance(shading, Dictionary | Stream):
            found |= space_plates(shading.get("/ColorSpace"), resources)
    for name, pattern in _shelf(resources, "/Pattern"):
        inner = pattern.get("/Shading") if isinstance(pattern, Dictionary | Stream) else None
        if _named(name, data) and isinstance(inner, Dictionary | Stream):
            found |= space_plates(inner.get("/ColorSpace"), resources)
    for name, thing in _shelf(resources, "/XObject"):
        drawn = isinstance(thing, Stream) and thing.get("/Subtype") == Name.Image
        if found != ALL and drawn and _named(name, data):
            found |= _of_picture(thing, resources)
    return found


def _says_inks(space: Object) -> bool:
    """Its numbers alone do not say which inks it takes."""
    kinds = ("/Separation", "/DeviceN", "/Indexed", "/I")
    return isinstance(space, Array) and len(space) > 1 and str(space[0]) in kinds


def space_plates(space: object, resources: Object | None, depth: int = 0) -> Plates:
    """Every process ink that colours of this space may need."""
    if depth > _DEEPEST:
        return ALL
    if isinstance(space, Name):
        name = str(space)
        if name in _GREY_SPACES:
            return BLACK
        if name in _RGB_SPACES | _CMYK_SPACES:
            return ALL
        inner = dict(_shelf(resources, "/ColorSpace")).get(name.removeprefix("/"))
        return ALL if inner is None else space_plates(inner, resources, depth + 1)
    if not isinstance(space, Array) or not len(space):
        return ALL
    kind = str(space[0])
    if kind == "/ICCBased" and len(space) > 1 and isinstance(space[1], Stream):
        return BLACK if int(space[1].get("/N", 0)) == 1 else ALL
    if kind in ("/Separation", "/DeviceN") and len(space) > 1:
        return _colorants(space[1])
    if kind in ("/Indexed", "/I") and len(space) > 3:
        return _of_table(space, resources, depth)
    if kind == "/Pattern" and len(space) > 1:
        return space_plates(space[1], resources, depth + 1)
    return space_plates(space[0], resources, depth + 1) if isinstance(space[0], Name) else ALL


def _colorants(names: Object) -> Plates:
    """The process inks among those of a space; All is on the plates that there are."""
    said = {str(n).lower() for n in (list(names) if isinstance(names, Array) else [names])}
    return frozenset(ink for ink in PROCESS if f"/{ink}" in said)


def _of_table(space: Object, resources: Object | None, depth: int) -> Plates:
    """An indexed space holds all its colours in a table."""
    base = space_plates(space[1], resources, depth + 1)
    if not _is_cmyk(space[1], resources):
        return base
    table = space[3]
    held = table.read_bytes() if isinstance(table, Stream) else bytes(table)
    return _of_bytes(held, False)


def _is_cmyk(space: object, resources: Object | None) -> bool:
    if isinstance(space, Name):
        if str(space) in _CMYK_SPACES:
            return True
        space = dict(_shelf(resources, "/ColorSpace")).get(str(space).removeprefix("/"))
    if not isinstance(space, Array) or len(space) < 2 or str(space[0]) != "/ICCBased":
        return isinstance(space, Name) and str(space) in _CMYK_SPACES
    return isinstance(space[1], Stream) and int(space[1].get("/N", 0)) == 4


def _of_picture(picture: Object, resources: Object | None) -> Plates:
    """A stencil is painted in a colour that is told elsewhere."""
    if picture.get("/ImageMask", False):
        return NONE
    space = picture.get("/ColorSpace")
    if not _is_cmyk(space, resources):
        return space_plates(space, resources)
    bits, decode = int(picture.get("/BitsPerComponent", 8)), picture.get("/Decode")
    turned = [float(n) for n in decode] if isinstance(decode, Array) else []
    across, down = int(picture.get("/Width", 0)), int(picture.get("/Height", 0))
    plain = turned in ([], [0.0, 1.0] * 4, [1.0, 0.0] * 4)
    if bits != 8 or not plain or across * down * 4 > _LARGEST or _lossy(picture):
        return ALL
    return _of_bytes(picture.read_bytes(), turned == [1.0, 0.0] * 4)


def _lossy(picture: Object) -> bool:
    told = picture.get("/Filter")
    filters = list(told) if isinstance(told, Array) else [told]
    return any(str(one) in _LOSSY for one in filters)


def _of_bytes(held: bytes, turned: bool) -> Plates:
    """Four bytes a colour; `turned`: 255 is no ink."""
    empty = b"\xff" if turned else b"\x00"
    return frozenset(ink for at, ink in enumerate(PROCESS) if held[at::4].strip(empty))


def _of_inline(data: bytes, resources: Object | None) -> Plates:
    """Pictures in the content itself: grey and stencils are told from all others."""
    found = NONE
    if b"BI" not in data:
        return NONE
    for said in _INLINE.finditer(data):
        words = said[1].split()
        if re.search(rb"/(?:IM|ImageMask)\s+true", said[1]):
            continue
        at = next((n for n, word in enumerate(words) if word in (b"/CS", b"/ColorSpace")), -1)
        space = words[at + 1].decode("latin-1") if 0 <= at < len(words) - 1 else ""
        known = space in _GREY_SPACES or space.removeprefix("/") in dict(
            _shelf(resources, "/ColorSpace")
        )
        found |= space_plates(Name(space), resources) if known else ALL
    return found


def _shelf(resources: Object | None, kind: str) -> list[tuple[str, Object]]:
    group = resources.get(kind) if isinstance(resources, Dictionary) else None
    if not isinstance(group, Dictionary):
        return []
    return [(str(name).removeprefix("/"), value) for name, value in group.items()]


def _values(group: Object | None) -> list[Object]:
    return list(group.values()) if isinstance(group, Dictionary) else []


def _named(name: str, data: bytes) -> bool:
    """The operators name it; a name with letters that may be written otherwise counts as named."""
    return not name.isascii() or not name.isprintable() or b"/" + name.encode() in data
