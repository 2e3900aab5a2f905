"""Page objects of the sheets, and what they share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from impose.pdf.operators import ALL_INKS, FONT, Numbers, Pen
from impose.pdf.out import PdfOut
from impose.pdf.placed import Grains4
from impose.plan.parts import MarkGroup, Shape

#: Kids of one node of the page tree: short paths without long arrays.
_KIDS: Final = 64
#: From this many uses on, something is worth an object of its own.
_WORTH_SHARING: Final = 2
#: Registration colour: the same tint of every ink (ISO 32000-1 8.6.6.4).
_ALL_INKS: Final = (
    b"[/Separation/All/DeviceCMYK<</FunctionType 2/Domain[0 1]/C0[0 0 0 0]/C1[1 1 1 1]/N 1>>]"
)


class Layout:
    """What sides have in common that differ only in the pages and the words on them.

    Names in `operators` count the pages (P1, P2) and the mark `groups` (M1, M2).
    `boxes`: MediaBox, TrimBox, BleedBox.  `uses` counts sides.
    """

    __slots__ = ("boxes", "groups", "operators", "template", "uses")

    def __init__(
        self,
        operators: bytes,
        groups: tuple[MarkGroup, ...],
        boxes: tuple[Grains4, Grains4, Grains4],
    ) -> None:
        self.operators = operators
        self.groups = groups
        self.boxes = boxes
        self.uses = 0
        #: Text of the page, with places for its parent, its content and its forms.
        self.template = b""


class SidePage(NamedTuple):
    """One side as it will be written: the words of its own marks, and its source pages."""

    layout: Layout
    words: bytes
    pages: tuple[int, ...]


class Book:
    """Writes the page tree; `forms` has the object numbers of the pages' forms.

    `font` is that of the font of marks, 0 when there is no text; `spots` are the
    colour spaces of spot colours by their names in the resources.
    """

    def __init__(
        self,
        out: PdfOut,
        forms: Mapping[int, int],
        pen: Pen,
        font: int,
        spots: Mapping[bytes, bytes],
    ) -> None:
        self._out = out
        self._forms = forms
        self._pen = pen
        self._numbers = Numbers()
        self._fonts = out.add_new(b"<</%b %d 0 R>>" % (FONT, font)) if font else 0
        self._inks = 0
        if pen.all_inks or spots:
            named = b"".join(b"/%b %b" % item for item in spots.items())
            self._inks = out.add_new(b"<</%b %b%b>>" % (ALL_INKS, _ALL_INKS, named))
        self._boxes: dict[Grains4, bytes] = {}
        self._groups: dict[tuple[int, Grains4], int] = {}
        self._streams: dict[bytes, int] = {}

    def write(self, sides: Sequence[SidePage]) -> int:
        """The number of the tree's root: over nodes of 64 pages, or over the pages if few."""
        uses: Counter[Grains4] = Counter()
        for layout in dict.fromkeys(side.layout for side in sides):
            for box in layout.boxes:
                uses[box] += layout.uses
        for box, count in uses.items():
            if count >= _WORTH_SHARING:
                self._boxes[box] = b"%d 0 R" % self._out.add_new(self._box(box))
        root = self._out.number()
        if len(sides) <= _KIDS:
            self._node(root, [self._page(side, root) for side in sides], len(sides))
            return root
        nodes = []
        for start in range(0, len(sides), _KIDS):
            node = self._out.number()
            part = sides[start : start + _KIDS]
            kids = [self._page(side, node) for side in part]
            self._node(node, kids, len(part), b"/Parent %d 0 R" % root)
            nodes.append(node)
        self._node(root, nodes, len(sides))
        return root

    def _node(self, number: int, kids: Sequence[int], count: int, more: bytes = b"") -> None:
        listed = b" ".join([b"%d 0 R" % kid for kid in kids])
        self._out.add(number, b"<</Type/Pages/Count %d%b/Kids[%b]>>" % (count, more, listed))

    def _page(self, side: SidePage, parent: int) -> int:
        layout, words, pages = side
        template = layout.template
        if not template:
            template = layout.template = self._template(side)
        if not words:
            content = self._stream(layout.operators)
        elif layout.uses >= _WORTH_SHARING:
            content = self._stream(words)
        else:
            content = self._stream(layout.operators + words)
        return self._out.add_new(
            template % (parent, content, *[self._forms[page] for page in pages])
        )

    def _template(self, side: SidePage) -> bytes:
        """The page's text; operators that many sides share are a content stream before its own."""
        layout = side.layout
        media, trim, bleed = (self._boxes.get(box) or self._box(box) for box in layout.boxes)
        contents = b"/Contents %d 0 R"
        if side.words and layout.operators and layout.uses >= _WORTH_SHARING:
            contents = b"/Contents[%d 0 R %%d 0 R]" % self._stream(layout.operators)
        drawn = [b"/P%d %%d 0 R" % count for count in range(1, len(side.pages) + 1)]
        for count, group in enumerate(layout.groups, start=1):
            drawn.append(b"/M%d %d 0 R" % (count, self._group(group, layout.boxes[0])))
        ink_and_font = self._ink_and_font(bool(side.words))
        return (
            b"<</Type/Page/Parent %%d 0 R/MediaBox %b/TrimBox %b/BleedBox %b%b"
            b"/Resources<</XObject<<%b>>%b>>>>"
            % (media, trim, bleed, contents, b"".join(drawn), ink_and_font)
        )

    def _stream(self, operators: bytes) -> int:
        stream = self._streams.get(operators)
        if stream is None:
            stream = self._streams[operators] = self._out.add_own_stream(b"", operators)
        return stream

    def _group(self, group: MarkGroup, media: Grains4) -> int:
        """By identity: equal groups are one object here."""
        form = self._groups.get((id(group), media))
        if form is None:
            form = self._groups[id(group), media] = self._new_group(group, media)
        return form

    def _new_group(self, group: MarkGroup, media: Grains4) -> int:
        has_text = any(mark.shape is Shape.TEXT for mark in group.marks)
        return self._out.add_own_stream(
            b"/Subtype/Form/BBox %b/Resources<<%b>>"
            % (self._boxes.get(media) or self._box(media), self._ink_and_font(has_text)),
            self._pen.all(group.marks),
        )

    def _ink_and_font(self, has_text: bool) -> bytes:
        entries = b"/ColorSpace %d 0 R" % self._inks if self._inks else b""
        if self._fonts and has_text:
            entries += b"/Font %d 0 R" % self._fonts
        return entries

    def _box(self, grains: Grains4) -> bytes:
        n = self._numbers
        x0, y0, x1, y1 = grains
        return b"[%b %b %b %b]" % (n[x0], n[y0], n[x1], n[y1])
