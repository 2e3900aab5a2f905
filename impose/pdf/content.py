"""Each source page as one form XObject.

A form has the page's content as it is in the input, the page's resources and
group, and the MediaBox as its BBox, so that bleed is not cut off (ISO 32000-1
8.10.2, table 95; /Type may be left out there, and is: fourteen bytes a page).
It has no /Matrix: the page's turn and unit are settled where it is placed.

A form is a content stream of its own, so unbalanced q and Q or a content that
stops in the middle of an operator cannot hurt what is drawn after it.

Two codings are taken off: a content in several streams is decoded and joined,
and the ASCII armour of a content (ASCII85, hexadecimal) goes, what is in it
stays.  A content without any filter is deflated.
"""

from __future__ import annotations

import zlib
from typing import Final, NamedTuple

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.errors import InputError
from impose.pdf.annotations import flattened
from impose.pdf.carry import Carrier, Key, stream_parts
from impose.pdf.out import PdfOut
from impose.pdf.pagetext import FOLDED
from impose.pdf.read import Document, Kind

_FORM: Final = b"/Subtype/Form"
_ARMOUR: Final = ("/ASCII85Decode", "/ASCIIHexDecode")


class Form(NamedTuple):
    """A written form: its number, the CRC-32 of its data, and the XObjects it can draw.

    `drawn` are those of its resources, in the order of their names, as they
    are numbered in the input.
    """

    number: int
    checksum: int
    drawn: tuple[Key, ...]


class _Entries:
    """What forms of pages with the same MediaBox, resources and group are given, as written.

    `forms` are those made so far, by number and generation of their content.
    """

    __slots__ = ("annotated", "box", "drawn", "forms", "group", "text")

    def __init__(self, box: bytes, resources: bytes, group: bytes, drawn: tuple[Key, ...]) -> None:
        self.box = box
        self.group = group
        self.drawn = drawn
        self.text = b"%b%b%b/Resources %b" % (_FORM, box, group, resources)
        self.annotated = False
        self.forms: dict[bytes, Form] = {}

    def with_group(self, group: bytes, resources: bytes, drawn: tuple[Key, ...]) -> _Entries:
        """The same box with another group and other resources."""
        return _Entries(self.box, resources, group, drawn)


class FormMaker:
    """Writes the forms of one document's pages."""

    def __init__(self, document: Document, carrier: Carrier, out: PdfOut) -> None:
        self._document = document
        self._carrier = carrier
        self._out = out
        self._entries_of: dict[Kind, _Entries] = {}
        self._entries: dict[tuple[bytes, bytes, bytes, bool], _Entries] = {}
        self._boxes: dict[bytes, bytes] = {}

    def make(self, number: int) -> Form:
        """The form of a page (1-based).

        Raises `InputError` naming file and page where the content cannot be read.
        """
        document = self._document
        reference, kind = document.contents[number - 1], document.kinds[number - 1]
        try:
            entries = self._entries_of.get(kind) or self._entries_for(kind)
            if entries.annotated:
                return self._with_annotations(document.pages[number - 1], kind, entries)
            if not reference:
                return self._plain(document.pages[number - 1], entries)
            form = entries.forms.get(reference)
            if form is None:
                object_number, generation = reference.split()
                stream = document.pdf.get_object((int(object_number), int(generation)))
                form = self._written(reference, stream, entries, number)
            return form
        except (pikepdf.PdfError, TypeError, ValueError) as fault:
            raise InputError(
                f"{document.path}, page {number}: the page's content cannot be read",
                hint="export or print the file to PDF again",
            ) from fault

    def _written(self, reference: bytes, stream: Object, entries: _Entries, number: int) -> Form:
        """The common page: one stream.  Behind a reference there may still be an array."""
        try:
            own, data = stream_parts(stream)
        except (pikepdf.PdfError, TypeError):
            if isinstance(stream, Stream):
                raise
            return self._plain(self._document.pages[number - 1], entries)
        if b"/Filter /FlateDecode" not in own:
            own, data = _without_armour(self._document.pdf, stream, own, data)
        form = self._add(own, data, entries)
        entries.forms[reference] = form
        return form

    def _add(self, own: bytes, data: bytes, entries: _Entries) -> Form:
        checksum = zlib.crc32(data)
        number = self._out.number()
        if b" R" in own:
            own = self._carrier.text(own)
        self._out.add_stream(number, entries.text + own, data, checksum)
        return Form(number, checksum, entries.drawn)

    def _plain(self, page: Object, entries: _Entries) -> Form:
        """The form of the page's content alone, in whatever way the page gives it."""
        streams = _content_streams(page.get("/Contents"))
        if len(streams) == 1:
            own, data = stream_parts(streams[0])
            own, data = _without_armour(self._document.pdf, streams[0], own, data)
            return self._add(own, data, entries)
        data = b"\n".join(stream.read_bytes() for stream in streams)
        return self._add(b"/Filter/FlateDecode", zlib.compress(data), entries)

    def _with_annotations(self, page: Object, kind: Kind, entries: _Entries) -> Form:
        """A form that draws the page's form and, over it, what its annotations look like."""
        drawn = flattened(page, kind.facts.rotate)
        if drawn is None:
            return self._plain(page, entries)
        bare = self._bare(kind, entries)
        inner = self._plain(page, bare)
        value = self._carrier.value
        xobjects = b"/P %d 0 R" % inner.number + b"".join(
            b"/%b %b" % (name, value(appearance)) for name, appearance in drawn.appearances
        )
        layers = b"".join(b"/%b %b" % (name, value(layer)) for name, layer in drawn.layers)
        resources = b"<</XObject<<%b>>/Properties<<%b>>>>" % (xobjects, layers)
        keys = tuple(appearance.objgen for _, appearance in drawn.appearances)
        outer = entries.with_group(entries.group, resources, keys)
        data = zlib.compress(b"/P Do\n" + drawn.content)
        return self._add(b"/Filter/FlateDecode", data, outer)

    def _bare(self, kind: Kind, entries: _Entries) -> _Entries:
        """Without the group, which the form round it has."""
        resources = entries.text.partition(b"/Resources ")[2]
        return entries.with_group(b"", resources, entries.drawn)

    def _entries_for(self, kind: Kind) -> _Entries:
        """Shared by all kinds with the same MediaBox, resources and group."""
        page = self._document.pages[kind.example]
        resources = page.get("/Resources")
        resources_key = kind.own.get(b"Resources", b"")
        if resources_key == FOLDED and resources is not None:
            resources_key = resources.unparse()
        group = page.get("/Group")
        group_key = group.unparse(True) if isinstance(group, Dictionary) else b""
        annotated = b"Annots" in kind.own
        key = (kind.told.media, resources_key, group_key, annotated)
        entries = self._entries.get(key)
        if entries is None:
            entries = self._new_entries(kind.told.media, resources, group)
            entries.annotated = annotated
            self._entries[key] = entries
        self._entries_of[kind] = entries
        return entries

    def _new_entries(self, media: bytes, resources: Object | None, group: Object | None) -> _Entries:
        """Resources and group as objects of their own: forms' dictionaries are never packed."""
        box = self._boxes.get(media)
        if box is None:
            box = self._boxes[media] = b"/BBox %d 0 R" % self._out.add_new(media)
        text, drawn = b"<<>>", ()
        if isinstance(resources, Dictionary):
            text, drawn = self._carrier.value(resources), _xobjects(resources)
            if not resources.is_indirect:
                text = b"%d 0 R" % self._out.add_new(text)
        group_text = b""
        if isinstance(group, Dictionary):
            of_form = self._carrier.text(_as_form_group(group).unparse())
            group_text = b"/Group %d 0 R" % self._out.add_new(of_form)
        return _Entries(box, text, group_text, drawn)


def _content_streams(contents: Object | None) -> list[Object]:
    """ISO 32000-1 table 30: a stream or an array of streams; anything else draws nothing."""
    if isinstance(contents, Stream):
        return [contents]
    if isinstance(contents, Array):
        return [part for part in contents if isinstance(part, Stream)]
    return []


def _without_armour(
    pdf: pikepdf.Pdf, stream: Object, own: bytes, data: bytes
) -> tuple[bytes, bytes]:
    """Entries and data with the ASCII armour off; as they came when there is none."""
    filters = stream.get("/Filter")
    names = [str(name) for name in filters] if isinstance(filters, Array) else [str(filters)]
    if names[0] not in _ARMOUR:
        return own, data
    inner = Stream(pdf, data, Filter=Name(names[0])).read_bytes()
    parms = stream.get("/DecodeParms")
    rest = Stream(pdf, b"")
    if len(names) > 1:
        rest.Filter = Array([Name(name) for name in names[1:]])
        if isinstance(parms, Array):
            rest.DecodeParms = Array(list(parms)[1:])
    else:
        rest.Filter = Name.FlateDecode
        inner = zlib.compress(inner)
    return stream_entries(rest), inner
