"""Optional content that is not printed, told to pdfium by marks of our own.

pdfium lists objects of hidden layers like any other.  So, only where a file has
layers that are off, its group dictionaries get a private key that pdfium hands
on with the marked content, pictures and forms of such layers are emptied, and
pdfium reads that copy (in memory; the file itself is never touched).
ISO 32000-1 8.11: groups, membership (policy P, expression VE), configuration D,
usage application for printing.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

HIDDEN_KEY: Final = b"ImposeHidden"
_KEY: Final = "/ImposeHidden"
_DEEPEST: Final = 32
_ANNOTATION_HIDDEN: Final = 2


def without_hidden_layers(pdf: pikepdf.Pdf) -> bytes | None:
    """The file with hidden layers marked and emptied; None where nothing is hidden.

    Changes `pdf`, which must not be written anywhere else.
    """
    layers = pdf.Root.get("/OCProperties")
    if not isinstance(layers, Dictionary):
        return None
    groups = list(_hidden_groups(layers))
    if not groups:
        return None
    hidden = pikepdf.ObjectSet(groups)
    for group in groups:
        group[_KEY] = 1
    for obj in list(pdf.objects):
        if isinstance(obj, (Dictionary, Stream)):
            _mark(pdf, obj, hidden)
    out = io.BytesIO()
    pdf.save(out)
    return out.getvalue()


def _mark(pdf: pikepdf.Pdf, obj: Object, hidden: pikepdf.ObjectSet) -> None:
    if isinstance(obj, Dictionary) and obj.get("/Type") == Name.OCMD and _off(obj, hidden):
        obj[_KEY] = 1
    layer = obj.get("/OC")
    if not isinstance(layer, Dictionary) or not _off(layer, hidden):
        return
    if isinstance(obj, Dictionary):  # an annotation
        obj["/F"] = obj.get_int("/F", 0) | _ANNOTATION_HIDDEN
        return
    for key in list(obj.keys()):
        if key not in ("/Length",):
            del obj[key]
    obj.write(b"")
    obj["/Type"] = Name.XObject
    obj["/Subtype"] = Name.Form
    obj["/BBox"] = Array([0, 0, 0, 0])


def _hidden_groups(layers: Object) -> Iterator[Object]:
    config = layers.get("/D", Dictionary())
    on = pikepdf.ObjectSet(_dictionaries(config.get("/ON")))
    off = pikepdf.ObjectSet(_dictionaries(config.get("/OFF")))
    starts_off = config.get("/BaseState") == Name.OFF
    printing = pikepdf.ObjectSet(_set_by_printing(config))
    for group in _dictionaries(layers.get("/OCGs")):
        hidden = group not in on if starts_off else group in off
        if group in printing:
            state = _print_state(group)
            hidden = state == Name.OFF if state is not None else hidden
        if hidden:
            yield group


def _set_by_printing(config: Object) -> Iterator[Object]:
    """Groups whose state is theirs when the file is printed (8.11.4.5)."""
    for usage in _dictionaries(config.get("/AS")):
        if usage.get("/Event") == Name.Print:
            yield from _dictionaries(usage.get("/OCGs"))


def _print_state(group: Object) -> Object | None:
    usage = group.get("/Usage")
    printing = usage.get("/Print") if isinstance(usage, Dictionary) else None
    return printing.get("/PrintState") if isinstance(printing, Dictionary) else None


def _off(layer: Object, hidden: pikepdf.ObjectSet) -> bool:
    """A group that is off, or a membership that comes out as off."""
    if layer.get("/Type") != Name.OCMD:
        return layer in hidden
    expression = layer.get("/VE")
    if isinstance(expression, Array):
        return not _true(expression, hidden, 0)
    groups = layer.get("/OCGs")
    members = [groups] if isinstance(groups, Dictionary) else list(_dictionaries(groups))
    if not members:
        return False
    off = [group in hidden for group in members]
    policy = layer.get("/P", Name.AnyOn)
    if policy == Name.AllOn:
        return any(off)
    if policy == Name.AnyOff:
        return not any(off)
    if policy == Name.AllOff:
        return not all(off)
    return all(off)


def _true(expression: Object, hidden: pikepdf.ObjectSet, depth: int) -> bool:
    """A visibility expression; one that is malformed or too deep is visible."""
    if isinstance(expression, Dictionary):
        return expression not in hidden
    if not isinstance(expression, Array) or not len(expression) or depth > _DEEPEST:
        return True
    values = [_true(part, hidden, depth + 1) for part in list(expression)[1:]]
    if expression[0] == Name.Not:
        return not all(values)
    return any(values) if expression[0] == Name.Or else all(values)


def _dictionaries(found: Object | None) -> Iterable[Object]:
    if not isinstance(found, Array):
        return ()
    return [item for item in found if isinstance(item, Dictionary)]
