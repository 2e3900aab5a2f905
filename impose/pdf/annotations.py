"""Annotations and form fields that have an appearance become part of the page.

ISO 32000-1 12.5.5: the appearance's box, as its own matrix turns it, is laid on
the annotation's rectangle.  12.5.3 has the flags: a hidden annotation is never
drawn, one that is not for viewing only if it is for printing.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import Final

import pikepdf
from pikepdf import Annotation, Array, Dictionary, Name, Object, Stream

_HIDDEN: Final = 2
_PRINT: Final = 4
_NO_VIEW: Final = 32
#: Nothing of these is ever on paper: a link is a place to click, a popup a window.
_NEVER_ON_PAPER: Final = (Name.Link, Name.Popup)


@dataclass(frozen=True, slots=True)
class Flattened:
    """Operators that draw the appearances; appearances and layers by the names in them."""

    content: bytes
    appearances: tuple[tuple[bytes, Object], ...]
    layers: tuple[tuple[bytes, Object], ...]


def generate_missing(pdf: pikepdf.Pdf) -> None:
    """Appearances of form fields, where the form asks its reader to make them."""
    form = pdf.Root.get("/AcroForm")
    if isinstance(form, Dictionary) and bool(form.get("/NeedAppearances")):
        with suppress(pikepdf.PdfError):  # a broken form: what has an appearance is still drawn
            pdf.generate_appearance_streams()


def has_lost(page: Object) -> bool:
    """Whether the page shows an annotation that has no appearance and so cannot be printed."""
    return any(
        annotation.get("/Subtype") not in _NEVER_ON_PAPER
        and not _has_appearance(annotation)
        and _seen(annotation)
        and _has_area(annotation)
        and not _is_empty_field(annotation)
        for annotation in _annotations(page)
    )


def flattened(page: Object, rotate: int) -> Flattened | None:
    """What draws the page's annotations after its content; None when nothing does.

    `rotate` is the page's clockwise turn, for annotations that stay upright.
    """
    appearances: list[tuple[bytes, Object]] = []
    layers: list[tuple[bytes, Object]] = []
    content: list[bytes] = []
    for count, annotation in enumerate(_annotations(page), start=1):
        appearance = _appearance(annotation)
        if appearance is None:
            continue
        name = b"A%d" % count
        drawn = Annotation(annotation).get_page_content_for_appearance(
            Name(f"/A{count}"), rotate, 0, _HIDDEN
        )
        if not drawn:
            continue
        if "/Subtype" not in appearance:
            appearance.Subtype = Name.Form
        appearances.append((name, appearance))
        layer = annotation.get("/OC")
        if isinstance(layer, Dictionary):
            layers.append((name, layer))
            drawn = b"/OC /%b BDC\n%bEMC\n" % (name, drawn)
        content.append(drawn)
    if not content:
        return None
    return Flattened(b"".join(content), tuple(appearances), tuple(layers))


def _annotations(page: Object) -> list[Object]:
    found = page.get("/Annots")
    if not isinstance(found, Array):
        return []
    return [annotation for annotation in found if isinstance(annotation, Dictionary)]


def _appearance(annotation: Object) -> Object | None:
    """The normal appearance in the annotation's present state, if it is to be drawn."""
    if not _seen(annotation) or annotation.get("/Subtype") == Name.Popup:
        return None
    found = Annotation(annotation).get_appearance_stream(Name.N)
    return found if isinstance(found, Stream) else None


def _seen(annotation: Object) -> bool:
    flags: object = annotation.get("/F", 0)
    if not isinstance(flags, int):
        return True
    if flags & _HIDDEN:
        return False
    return bool(flags & _PRINT) or not flags & _NO_VIEW


def _has_appearance(annotation: Object) -> bool:
    looks = annotation.get("/AP")
    return isinstance(looks, Dictionary) and "/N" in looks


def _is_empty_field(annotation: Object) -> bool:
    """A form field without value, border or background: there is nothing to lose."""
    if annotation.get("/Subtype") != Name.Widget:
        return False
    fields = [annotation, annotation.get("/Parent")]
    return not any(
        "/V" in field or "/MK" in field for field in fields if isinstance(field, Dictionary)
    )


def _has_area(annotation: Object) -> bool:
    try:
        box = Annotation(annotation).rect
    except (TypeError, ValueError, pikepdf.PdfError):
        return False
    return box.width != 0 and box.height != 0
