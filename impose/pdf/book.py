"""Page objects of the sheets, and what they share.

Page dictionaries and their operators are handed to qpdf as one JSON text (its
"qpdf JSON", version 2): an object put together call by call costs twice as much.
"""

from __future__ import annotations

from base64 import b64encode
from collections import Counter
from collections.abc import Mapping, Sequence
from io import BytesIO
from typing import Final, NamedTuple

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.pdf.operators import ALL_INKS, FONT, Numbers, Pen
from impose.pdf.placed import Grains4
from impose.plan.parts import MarkGroup, Shape

#: Kids of one node of the page tree: short paths without long arrays.
_KIDS: Final = 64
#: From this many uses on, something is worth an object of its own.
_WORTH_SHARING: Final = 3


class SidePage(NamedTuple):
    """One side as it will be written.

    `shared` are operators that other sides may have too, `own` those of its own
    marks.  Names in them count the `pages` (P1, P2, source pages in reading
    order) and the mark `groups` (M1, M2).  `boxes`: MediaBox, TrimBox, BleedBox.
    """

    shared: bytes
    own: bytes
    pages: tuple[int, ...]
    groups: tuple[MarkGroup, ...]
    boxes: tuple[Grains4, Grains4, Grains4]


class Book:
    """Makes the page tree of one file in `host`; `forms` has the page forms, all in `host`.

    `font` and `inks` are the resources of marks, None when there is no text or
    when marks are black.
    """

    def __init__(
        self, host: pikepdf.Pdf, forms: Mapping[int, Object], pen: Pen, font: Object | None
    ) -> None:
        self._host = host
        self._forms = {page: _reference(form) for page, form in forms.items()}
        self._pen = pen
        self._numbers = Numbers()
        self._fonts = font and host.make_indirect(Dictionary({f"/{FONT.decode()}": font}))
        self._inks = (
            host.make_indirect(Dictionary({f"/{ALL_INKS.decode()}": _all_inks()}))
            if pen.all_inks
            else None
        )
        self._boxes: dict[Grains4, str] = {}
        self._groups: dict[tuple[MarkGroup, Grains4], str] = {}
        self._group_of: dict[tuple[int, Grains4], str] = {}
        self._streams: dict[bytes, str] = {}
        self._objects: list[str] = []
        self._last = 0

    def pages(self, sides: Sequence[SidePage]) -> Object:
        """The root of the page tree, over nodes of 64 pages or over the pages if they are few."""
        uses = Counter(side.shared for side in sides)
        box_uses = Counter(box for side in sides for box in side.boxes)
        for box, count in box_uses.items():
            if count >= _WORTH_SHARING:
                self._boxes[box] = f'"{_reference(self._box(box))}"'
        groups = [[self._group(g, side.boxes[0]) for g in side.groups] for side in sides]
        root = self._host.make_indirect(Dictionary())
        # From here on objects are numbered here; nothing else may be made until they are in.
        self._last = root.objgen[0]
        self._tree(_reference(root), [*zip(sides, groups, strict=True)], uses)
        self._host.update_from_qpdf_json(BytesIO(self._json()))
        return root

    def _tree(
        self,
        root: str,
        sides: Sequence[tuple[SidePage, list[str]]],
        uses: Counter[bytes],
    ) -> None:
        if len(sides) <= _KIDS:
            kids = [self._page(side, groups, root, uses) for side, groups in sides]
            self._add(root, _node(kids, len(sides)))
            return
        nodes = []
        for start in range(0, len(sides), _KIDS):
            node = self._next()
            part = sides[start : start + _KIDS]
            kids = [self._page(side, groups, node, uses) for side, groups in part]
            self._add(node, _node(kids, len(part), f',"/Parent":"{root}"'))
            nodes.append(node)
        self._add(root, _node(nodes, len(sides)))

    def _page(
        self, side: SidePage, groups: Sequence[str], parent: str, uses: Counter[bytes]
    ) -> str:
        media, trim, bleed = (self._boxes.get(box) or self._box_text(box) for box in side.boxes)
        forms = self._forms
        drawn = [f'"/P{i}":"{forms[page]}"' for i, page in enumerate(side.pages, start=1)]
        drawn += [f'"/M{i}":"{group}"' for i, group in enumerate(groups, start=1)]
        resources = f'"/XObject":{{{",".join(drawn)}}}'
        if side.own:
            if self._inks is not None:
                resources += f',"/ColorSpace":"{_reference(self._inks)}"'
            if self._fonts is not None:
                resources += f',"/Font":"{_reference(self._fonts)}"'
        if side.own and side.shared and uses[side.shared] >= _WORTH_SHARING:
            contents = f'["{self._stream(side.shared)}","{self._stream(side.own)}"]'
        else:
            contents = f'"{self._stream(side.shared + side.own)}"'
        page = self._next()
        self._add(
            page,
            f'{{"value":{{"/Type":"/Page","/Parent":"{parent}","/MediaBox":{media},'
            f'"/TrimBox":{trim},"/BleedBox":{bleed},"/Contents":{contents},'
            f'"/Resources":{{{resources}}}}}}}',
        )
        return page

    def _stream(self, operators: bytes) -> str:
        stream = self._streams.get(operators)
        if stream is None:
            stream = self._streams[operators] = self._next()
            data = b64encode(operators).decode("ascii")
            self._add(stream, f'{{"stream":{{"dict":{{}},"data":"{data}"}}}}')
        return stream

    def _group(self, group: MarkGroup, media: Grains4) -> str:
        """By identity first: comparing all the marks of a group costs more than drawing them."""
        key = (id(group), media)
        form = self._group_of.get(key)
        if form is None:
            form = self._groups.get((group, media))
            if form is None:
                form = self._groups[group, media] = _reference(self._new_group(group, media))
            self._group_of[key] = form
        return form

    def _new_group(self, group: MarkGroup, media: Grains4) -> Object:
        form = Stream(self._host, self._pen.choose_ink() + self._pen.draw(group.marks))
        form.update(
            {"/Type": Name.XObject, "/Subtype": Name.Form, "/BBox": self._box(media)}
        )
        resources = Dictionary()
        if self._inks is not None:
            resources.ColorSpace = self._inks
        if self._fonts is not None and any(mark.shape is Shape.TEXT for mark in group.marks):
            resources.Font = self._fonts
        form.Resources = resources
        return form

    def _box(self, grains: Grains4) -> Object:
        text = self._box_text(grains).replace(",", "")
        return self._host.make_indirect(Object.parse(text.encode("ascii")))

    def _box_text(self, grains: Grains4) -> str:
        """An array of JSON; without the commas it is one of PDF."""
        return f"[{', '.join(self._numbers[value].decode('ascii') for value in grains)}]"

    def _next(self) -> str:
        self._last += 1
        return f"{self._last} 0 R"

    def _add(self, reference: str, value: str) -> None:
        self._objects.append(f'"obj:{reference}":{value}')

    def _json(self) -> bytes:
        head = (
            '{"qpdf":[{"jsonversion":2,"pushedinheritedpageresources":false,'
            f'"calledgetallpages":false,"maxobjectid":{self._last}}},{{'
        )
        return (head + ",".join(self._objects) + "}]}").encode("ascii")


def _node(kids: Sequence[str], count: int, more: str = "") -> str:
    listed = '","'.join(kids)
    return f'{{"value":{{"/Type":"/Pages","/Count":{count},"/Kids":["{listed}"]{more}}}}}'


def _reference(obj: Object) -> str:
    number, generation = obj.objgen
    return f"{number} {generation} R"


def _all_inks() -> Object:
    """Registration colour: the same tint of every ink (ISO 32000-1 8.6.6.4)."""
    tint = Dictionary(
        FunctionType=2,
        Domain=Array([0, 1]),
        C0=Array([0, 0, 0, 0]),
        C1=Array([1, 1, 1, 1]),
        N=1,
    )
    return Array([Name.Separation, Name.All, Name.DeviceCMYK, tint])
