"""Each source page as one form XObject, made in place on the opened document.

A page whose content is one stream becomes a form by giving that very stream a
BBox, the page's resources and its group (ISO 32000-1 8.10.2, table 95); its
bytes stay as they are.  /Type may be left out there, and is: fourteen bytes a
page.  The BBox is the MediaBox, so that bleed is not cut off, and no /Matrix is
set: the page's turn and unit are settled where it is placed.

A form is a content stream of its own, so unbalanced q and Q or a content that
stops in the middle of an operator cannot hurt what is drawn after it.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable
from dataclasses import dataclass

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.errors import InputError
from impose.pdf.annotations import flattened
from impose.pdf.pagetext import FOLDED
from impose.pdf.read import Document, Kind


@dataclass(frozen=True, slots=True)
class Prints:
    """Checksums by which a page is known again in the written file.

    `content` is of the raw bytes of the form's stream, `drawn` of those of the
    XObjects in its resources, in the order of their names: on scans every page
    has the same content and differs only in these.
    """

    content: int
    drawn: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Form:
    """A page's form; the stream never leaves the pdf layer."""

    stream: Object
    prints: Prints


class _Entries:
    """What forms of pages with the same MediaBox, resources and group are given.

    `forms` are those made so far, by number and generation of their content.
    """

    __slots__ = ("drawn", "forms", "update")

    def __init__(self, update: dict[str, Object], drawn: tuple[int, ...]) -> None:
        self.update = update
        self.drawn = drawn
        self.forms: dict[bytes, Form] = {}


class FormMaker:
    """Makes the forms of one document, each once; `forms` has them by page number."""

    def __init__(self, document: Document) -> None:
        self.forms: dict[int, Form] = {}
        self._document = document
        self._taken: set[bytes] = set()
        self._entries_of: dict[Kind, _Entries] = {}
        self._entries: dict[tuple[bytes, bytes, bytes], _Entries] = {}
        self._boxes: dict[bytes, Object] = {}
        self._checksums: dict[tuple[int, int], int] = {}

    def make(self, numbers: Iterable[int]) -> None:
        """The forms of these pages (1-based) that there are not yet.

        Raises `InputError` naming file and page where the content cannot be read.
        """
        number = 0
        wanted = (number for number in numbers if number not in self.forms)
        try:
            for number in wanted:
                self.forms[number] = self._quickly(number) or self._slowly(number)
        except (pikepdf.PdfError, TypeError, ValueError) as fault:
            raise InputError(
                f"{self._document.path}, page {number}: the page's content cannot be read",
                hint="export or print the file to PDF again",
            ) from fault

    def _quickly(self, number: int) -> Form | None:
        """The common page: one content stream of its own, no annotations."""
        reference = self._document.contents[number - 1]
        kind = self._document.kinds[number - 1]
        entries = self._entries_of.get(kind) or self._entries_for(kind)
        if not reference or reference in self._taken or b"Annots" in kind.own:
            return None
        object_number, _, generation = reference.partition(b" ")
        stream = self._document.pdf.get_object((int(object_number), int(generation)))
        try:
            raw = stream.read_raw_bytes()
        except pikepdf.PdfError:
            return None  # an array behind a reference, or damage: found out slowly
        stream.update(entries.update)
        self._taken.add(reference)
        form = entries.forms[reference] = Form(stream, Prints(zlib.crc32(raw), entries.drawn))
        return form

    def _slowly(self, number: int) -> Form:
        """Contents arrays, contents shared by pages, none at all, and annotations."""
        kind = self._document.kinds[number - 1]
        page = self._document.pages[number - 1]
        entries = self._entries_of[kind]
        if b"Annots" not in kind.own:
            return self._plain(page, entries)
        pdf = self._document.pdf
        bare = _Entries({k: v for k, v in entries.update.items() if k != "/Group"}, entries.drawn)
        drawn = flattened(pdf, page, kind.facts.rotate)
        if drawn is None:
            return self._plain(page, entries)
        drawn.resources.XObject["/P"] = self._plain(page, bare).stream
        resources = pdf.make_indirect(drawn.resources)
        outer = _Entries({**entries.update, "/Resources": resources}, self._drawn_by(resources))
        return self._new(b"/P Do\n" + drawn.content, outer)

    def _plain(self, page: Object, entries: _Entries) -> Form:
        """The form of the page's content alone."""
        streams = _content_streams(page.get("/Contents"))
        if len(streams) == 1:
            return self._single(streams[0], entries)
        return self._new(b"\n".join(stream.read_bytes() for stream in streams), entries)

    def _single(self, stream: Object, entries: _Entries) -> Form:
        """The stream itself the first time, a copy of it with the same bytes after that."""
        reference = b"%d %d" % stream.objgen
        form = entries.forms.get(reference)
        if form is not None:
            return form
        raw = stream.read_raw_bytes()
        if reference in self._taken or "/Subtype" in stream:
            copy = Stream(self._document.pdf, raw)
            for key in ("/Filter", "/DecodeParms"):
                if key in stream:
                    copy[key] = stream[key]
            stream = copy
        self._taken.add(reference)
        stream.update(entries.update)
        form = entries.forms[reference] = Form(stream, Prints(zlib.crc32(raw), entries.drawn))
        return form

    def _new(self, data: bytes, entries: _Entries) -> Form:
        """A stream of our own, deflated here so that its checksum is that of the written bytes."""
        deflated = zlib.compress(data)
        stream = Stream(self._document.pdf, deflated)
        stream.update({**entries.update, "/Filter": Name.FlateDecode})
        return Form(stream, Prints(zlib.crc32(deflated), entries.drawn))

    def _entries_for(self, kind: Kind) -> _Entries:
        """Shared by all kinds with the same MediaBox, resources and group."""
        page = self._document.pages[kind.example]
        resources = page.get("/Resources")
        resources_key = kind.own.get(b"Resources", b"")
        if resources_key == FOLDED and resources is not None:
            resources_key = resources.unparse()
        group = page.get("/Group")
        group_key = group.unparse(True) if isinstance(group, Dictionary) else b""
        key = (kind.told.media, resources_key, group_key)
        entries = self._entries.get(key)
        if entries is None:
            entries = self._entries[key] = self._new_entries(kind.told.media, resources, group)
        self._entries_of[kind] = entries
        return entries

    def _new_entries(
        self, media: bytes, resources: Object | None, group: Object | None
    ) -> _Entries:
        pdf = self._document.pdf
        if not isinstance(resources, Dictionary):
            resources = Dictionary()
        if not resources.is_indirect:
            resources = pdf.make_indirect(resources)
        box = self._boxes.get(media)
        if box is None:
            box = self._boxes[media] = pdf.make_indirect(Object.parse(media))
        update: dict[str, Object] = {
            "/Subtype": Name.Form,
            "/BBox": box,
            "/Resources": resources,
        }
        if isinstance(group, Dictionary):
            update["/Group"] = pdf.make_indirect(_as_form_group(group))
        return _Entries(update, self._drawn_by(resources))

    def _drawn_by(self, resources: Object) -> tuple[int, ...]:
        """Checksums of the XObjects, in the order of their names."""
        xobjects = resources.get("/XObject")
        if not isinstance(xobjects, Dictionary):
            return ()
        found = []
        for name in sorted(xobjects.keys()):
            xobject = xobjects[name]
            if isinstance(xobject, Stream):
                checksum = self._checksums.get(xobject.objgen)
                if checksum is None:
                    checksum = zlib.crc32(xobject.get_raw_stream_buffer())
                    self._checksums[xobject.objgen] = checksum
                found.append(checksum)
        return tuple(found)


def maker_of(document: Document) -> FormMaker:
    """The document's form maker, kept with it so that a second write finds the forms."""
    maker = document.workshop
    if not isinstance(maker, FormMaker):
        maker = document.workshop = FormMaker(document)
    return maker


def _content_streams(contents: Object | None) -> list[Object]:
    """ISO 32000-1 table 30: a stream or an array of streams; anything else draws nothing."""
    if isinstance(contents, Stream):
        return [contents]
    if isinstance(contents, Array):
        return [part for part in contents if isinstance(part, Stream)]
    return []


def _as_form_group(group: Object) -> Object:
    """A page's group is isolated whatever it says (ISO 32000-1 11.4.7); a form's only if told."""
    own = Dictionary(group)
    if own.get("/S") == Name.Transparency:
        own.I = True
    return own
