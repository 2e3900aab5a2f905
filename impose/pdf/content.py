"""Each source page as one form XObject.

A form has the page's content as it is in the input, the page's resources and
group, and the MediaBox as its BBox, so that bleed is not cut off (ISO 32000-1
8.10.2, table 95; /Type may be left out there, and is: fourteen bytes a page).
It has no /Matrix: the page's turn and unit are settled where it is placed.

A form is a content stream of its own, so unbalanced q and Q or a content that
stops in the middle of an operator cannot hurt what is drawn after it.

A content in several streams is decoded and joined.  The ASCII coding that some
programs put over Flate (a quarter more bytes) is taken off, and a content
without any filter is deflated; nothing is inflated and deflated again.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterable
from typing import Final, NamedTuple

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.errors import InputError
from impose.findings import Finding
from impose.pdf.annotations import flattened
from impose.pdf.carry import FLATE, Carrier, Key, is_carried, stream_parts, with_sound_names
from impose.pdf.damage import damaged_contents
from impose.pdf.decoding import decoded
from impose.pdf.limits import MOST_INFLATED, TooLargeError, inflated, inflates_whole
from impose.pdf.out import PdfOut
from impose.pdf.pagetext import FOLDED
from impose.pdf.read import Document, Kind

#: What the library raises for damaged data, and for objects of another kind than expected.
_UNREADABLE: Final = (pikepdf.PdfError, RuntimeError, TypeError)
_REFERENCE: Final = re.compile(rb"\d+ \d+ R\b")
_ARMOURED: Final = re.compile(rb"/Filter \[ (/ASCII85Decode|/ASCIIHexDecode) /FlateDecode \]")


class Form(NamedTuple):
    """A written form, and by what it is known again.

    `data` is the CRC-32 of its data, `checksum` that of the data and its own
    entries (filters), `shape` that of its resources but for object numbers.
    `drawn` are the XObjects in these, in the order of their names: as they are
    numbered in the input, or the checksum where they are of our own making.
    """

    number: int
    data: int
    checksum: int
    shape: int
    drawn: tuple[Key | int, ...]


class _Resources(NamedTuple):
    """Resources as written (a reference, or the dictionary), and by what they are known again."""

    text: bytes
    shape: int
    drawn: tuple[Key | int, ...]


class _Entries:
    """What forms of pages with the same MediaBox, resources and group are given, as written.

    `forms` are those made so far, by number and generation of their content.
    """

    __slots__ = ("annotated", "box", "forms", "group", "resources", "text")

    def __init__(self, box: bytes, resources: _Resources, group: bytes) -> None:
        self.box = box
        self.resources = resources
        self.group = group
        self.text = b"/Subtype/Form/BBox %b/Resources %b%b" % (box, resources.text, group)
        self.annotated = False
        self.forms: dict[bytes, Form] = {}


class FormMaker:
    """Writes the forms of one document's pages."""

    def __init__(self, document: Document, carrier: Carrier, out: PdfOut) -> None:
        self._document = document
        self._carrier = carrier
        self._out = out
        self._entries_of: dict[Kind, _Entries] = {}
        self._entries: dict[tuple[bytes, bytes, bytes, bool], _Entries] = {}
        self._boxes: dict[bytes, bytes] = {}
        self._unwrapping: Object | None = None
        #: Pages whose content is damaged, and whether what is read of it was put in its place.
        self._damaged: dict[int, bool] = {}
        self._number = 0

    def findings(self) -> tuple[Finding, ...]:
        """What was found while the forms were made."""
        return damaged_contents(self._document.path, self._damaged)

    def make(self, numbers: Iterable[int]) -> list[Form]:
        """The forms of these pages (1-based), in the same order.

        Raises `InputError` naming file and page where the content cannot be read.
        """
        contents, kinds = self._document.contents, self._document.kinds
        forms: list[Form] = []
        number = 0
        try:
            for number in numbers:
                self._number = number
                reference, kind = contents[number - 1], kinds[number - 1]
                entries = self._entries_of.get(kind) or self._entries_for(kind)
                form = entries.forms.get(reference)
                if form is None:
                    form = self._form(number, reference, entries)
                    if reference and not entries.annotated:
                        entries.forms[reference] = form
                forms.append(form)
        except TooLargeError as fault:
            raise InputError(
                f"{self._document.path}, page {number}: the page's content inflates to more than "
                f"{MOST_INFLATED >> 20} MB",
                hint="no page needs that: export or print the file to PDF again, or leave it out",
            ) from fault
        except (*_UNREADABLE, ValueError) as fault:
            raise InputError(
                f"{self._document.path}, page {number}: the page's content cannot be read",
                hint="export or print the file to PDF again",
            ) from fault
        return forms

    def _form(self, number: int, reference: bytes, entries: _Entries) -> Form:
        if not reference or entries.annotated:
            return self._slowly(number, entries)
        object_number, generation = reference.split()
        stream = self._document.pdf.get_object((int(object_number), int(generation)))
        try:
            own, data = stream_parts(stream)
        except (*_UNREADABLE, AttributeError):  # looked into only now: it is nearly always one
            if isinstance(stream, Stream):
                raise
            return self._slowly(number, entries)  # an array behind the reference, or nothing
        if own != FLATE:
            self._check_decodes(stream)
        return self._add(own, data, entries)

    def _check_decodes(self, stream: Object) -> None:
        """For content with other filters than the usual one."""
        _, whole = decoded(stream)
        if not whole:
            self._damaged[self._number] = False

    def _slowly(self, number: int, entries: _Entries) -> Form:
        page = self._document.pages[number - 1]
        if entries.annotated:
            return self._with_annotations(page, self._document.kinds[number - 1], entries)
        return self._plain(page, entries)

    def _add(self, own: bytes, data: bytes, entries: _Entries) -> Form:
        """`own` are the entries of the content's dictionary, in the input's numbers."""
        if own != FLATE:
            own, data = self._without_armour(own, data)
            own = self._carrier.text(own)
        elif not inflates_whole(data):
            data = self._mended(data)
        checksum = zlib.crc32(data)
        number = self._out.add_new_stream(entries.text + own, data, checksum)
        _, shape, drawn = entries.resources
        return Form(number, checksum, checksum_with(own, checksum), shape, drawn)

    def _mended(self, data: bytes) -> bytes:
        """What could be inflated, deflated anew; the data as they are where that is nothing."""
        sound, _ = inflated(data)
        self._damaged[self._number] = bool(sound)
        return zlib.compress(sound) if sound else data

    def _without_armour(self, own: bytes, data: bytes) -> tuple[bytes, bytes]:
        """What Flate made stays as it is under the ASCII coding."""
        found = _ARMOURED.search(own)
        if found is None or b"/DecodeParms" in own:
            return own, data
        if self._unwrapping is None:
            self._unwrapping = Stream(self._document.pdf, b"")
        self._unwrapping.write(data, filter=Name(found[1].decode("ascii")))
        return own.replace(found[0], FLATE), self._unwrapping.read_bytes()

    def _plain(self, page: Object, entries: _Entries) -> Form:
        """The form of the page's content alone, in whatever way the page gives it."""
        streams = _content_streams(page.get("/Contents"))
        if len(streams) == 1:
            own, data = stream_parts(streams[0])
            if own != FLATE:
                self._check_decodes(streams[0])
            return self._add(own, data, entries)
        parts = [decoded(stream) for stream in streams]
        if not all(whole for _, whole in parts):
            self._damaged[self._number] = True
        if sum(len(data) for data, _ in parts) > MOST_INFLATED:
            raise TooLargeError
        return self._add(FLATE, zlib.compress(b"\n".join(data for data, _ in parts)), entries)

    def _with_annotations(self, page: Object, kind: Kind, entries: _Entries) -> Form:
        """A form that draws the page's form and, over it, what its annotations look like."""
        drawn = flattened(page, kind.facts.rotate)
        if drawn is None:
            return self._plain(page, entries)
        # The group goes to the form round both: annotations may blend with the page.
        inner = self._plain(page, _Entries(entries.box, entries.resources, b""))
        value = self._carrier.value
        by_name = sorted(drawn.appearances, key=lambda item: item[0])
        xobjects = [b"/%b %b" % (name, value(look)) for name, look in by_name]
        layers = [b"/%b %b" % (name, value(layer)) for name, layer in drawn.layers]
        resources = b"<</XObject<<%b/P %d 0 R>>/Properties<<%b>>>>" % (
            b"".join(xobjects),
            inner.number,
            b"".join(layers),
        )
        keys: tuple[Key | int, ...] = (*(look.objgen for _, look in by_name), inner.data)
        written = b"%d 0 R" % self._out.add_new(resources)
        named = _Resources(written, shape_of(resources), keys)
        outer = _Entries(entries.box, named, entries.group)
        return self._add(FLATE, zlib.compress(b"/P Do\n" + drawn.content), outer)

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

    def _new_entries(
        self, media: bytes, resources: Object | None, group: Object | None
    ) -> _Entries:
        """All as objects of their own: the dictionaries of streams are never packed."""
        box = self._boxes.get(media)
        if box is None:
            box = self._boxes[media] = b"%d 0 R" % self._out.add_new(media)
        text, whole = b"<<>>", b"<<>>"
        drawn: tuple[Key, ...] = ()
        if isinstance(resources, Dictionary) and is_carried(resources, resources.unparse(True)):
            text, whole = self._carrier.value(resources), resources.unparse(True)
            drawn = _xobjects(resources)
            if not resources.is_indirect:
                text = b"%d 0 R" % self._out.add_new(text)
        group_entry = b""
        if isinstance(group, Dictionary):
            of_form = self._carrier.text(_as_form_group(group).unparse())
            group_entry = b"/Group %d 0 R" % self._out.add_new(of_form)
        return _Entries(box, _Resources(text, shape_of(whole), drawn), group_entry)


def checksum_with(own: bytes, checksum: int) -> int:
    """Of a form's data and of what its dictionary has for itself, but for object numbers."""
    return zlib.crc32(own if own == FLATE else _REFERENCE.sub(b"R", own), checksum)


def shape_of(resources: bytes) -> int:
    """CRC-32 of a dictionary's text, whatever the numbers of the objects it names."""
    return zlib.crc32(_REFERENCE.sub(b"R", with_sound_names(resources)))


def _content_streams(contents: Object | None) -> list[Object]:
    """ISO 32000-1 table 30: a stream or an array of streams; anything else draws nothing."""
    if isinstance(contents, Stream):
        return [contents]
    if isinstance(contents, Array):
        return [part for part in contents if isinstance(part, Stream)]
    return []


def _xobjects(resources: Object) -> tuple[Key, ...]:
    """In the order of their names."""
    xobjects = resources.get("/XObject")
    if not isinstance(xobjects, Dictionary) or not is_carried(xobjects, xobjects.unparse(True)):
        return ()
    found = [xobjects[name] for name in sorted(xobjects.keys())]
    return tuple(xobject.objgen for xobject in found if isinstance(xobject, Stream))


def _as_form_group(group: Object) -> Object:
    """A page's group is isolated whatever it says (ISO 32000-1 11.4.7); a form's only if told."""
    own = group.copy()
    if own.get("/S") == Name.Transparency:
        own.I = True
    return own
