"""What the operators of a page say of its inks: most ink, RGB, white overprint, transparency.

Read from the content streams of the page and of the forms it can draw, without
drawing it: colours set are taken for colours used.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.pdf.lookplates import (
    ALL,
    CMYK,
    NONE,
    RGB,
    Plates,
    appearances,
    drawn_things,
    operands,
    plates_of,
)

_DEEPEST: Final = 12
#: Content longer than this is not searched (bytes, inflated).
_LONGEST: Final = 4_000_000
_STATE: Final = re.compile(
    rb"/([^\s/<>\[\]()]+)\s+gs\b"
    rb"|(?<![\w./])(?:(0)\s+(0)\s+(0)\s+(0)\s+k|(1)(?:\.0*)?\s+g)(?=\s|$)"
    rb"|(?<![\w./])(?:[-+]?\d*\.?\d+\s+)+(?:k|g|rg)(?=\s|$)|(?:^|\s)(?:cs|sc|scn)(?=\s|$)"
    rb"|(?:^|(?<=\s))(q|Q)(?=\s|$)|(?:^|(?<=\s))(f\*?|F|B\*?|b\*?|Tj|TJ)(?=\s|$)"
)
_PLAIN_BLENDS: Final = {"/Normal", "/Compatible"}


@dataclass(frozen=True, slots=True)
class InkLook:
    """Of one page.  `most` is the largest sum of a CMYK colour, 4.0 being all inks whole;
    `plates` are the process inks that something may need."""

    most: float = 0.0
    rgb: bool = False
    white_overprint: bool = False
    transparent: bool = False
    plates: Plates = NONE

    def join(self, other: InkLook) -> InkLook:
        """Both together."""
        return InkLook(
            max(self.most, other.most),
            self.rgb or other.rgb,
            self.white_overprint or other.white_overprint,
            self.transparent or other.transparent,
            self.plates | other.plates,
        )


class InkReader:
    """Reads pages of one file; forms are remembered."""

    def __init__(self) -> None:
        self._forms: dict[tuple[int, int], InkLook] = {}

    def page(self, page: Object, resources: Object | None) -> InkLook:
        """What page and forms say; nothing of what cannot be read."""
        contents = page.get("/Contents")
        streams = list(contents) if isinstance(contents, Array) else [contents]
        parts = [_bytes(one) for one in streams if isinstance(one, Stream)]
        data = b"\n".join(part or b"" for part in parts)
        found = _of_content(data, resources)
        if None in parts:
            found = found.join(InkLook(plates=ALL))
        if _group(page):
            found = found.join(_of_states(resources))
        for form in _forms_of(resources):
            found = found.join(self._form(form, 0))
        for drawn in (*appearances(page), *drawn_things(resources)):
            found = found.join(InkLook(plates=self._form(drawn, 0).plates))
        return found

    def _form(self, form: Object, depth: int) -> InkLook:
        key = form.objgen
        known = self._forms.get(key) if key != (0, 0) else None
        if known is not None:
            return known
        if key != (0, 0):
            self._forms[key] = InkLook()  # one that draws itself has nothing to add
        resources = form.get("/Resources")
        data = _bytes(form)
        found = InkLook(plates=ALL) if data is None else _of_content(data, resources)
        if depth < _DEEPEST:
            for inner in _forms_of(resources):
                found = found.join(self._form(inner, depth + 1))
            for drawn in drawn_things(resources):
                found = found.join(InkLook(plates=self._form(drawn, depth + 1).plates))
        else:
            found = found.join(InkLook(plates=ALL))
        if key != (0, 0):
            self._forms[key] = found
        return found


def _bytes(stream: Object) -> bytes | None:
    """None where it cannot be read, or is too long."""
    try:
        data: bytes = stream.read_bytes()
    except (pikepdf.PdfError, RuntimeError):
        return None
    return data if len(data) <= _LONGEST else None


def _of_content(data: bytes, resources: Object | None) -> InkLook:
    cmyk = operands(data, CMYK, 4)
    most = max((sum(min(max(part, 0.0), 1.0) for part in four) for four in cmyk), default=0.0)
    colours = operands(data, RGB, 3)
    rgb = any(len(set(three)) > 1 for three in colours)
    states = _states(resources)
    over = {name for name, state in states if _true(state, "/OP") or _true(state, "/op")}
    named = {name for name in over if b"/" + name.encode("latin-1", "replace") in data}
    white = bool(named) and _paints_white(data, named)
    plates = plates_of(data, resources, {*cmyk, *colours})
    see_through = any(_see_through(state) for _, state in states)
    return InkLook(most, rgb, white, see_through, plates)


def _paints_white(data: bytes, over: set[str]) -> bool:
    """Follows which graphics state is in force, and whether white is painted in it."""
    stack: list[tuple[bool, bool]] = []
    overprint = white = False
    for found in _STATE.finditer(data):
        state, a, *_, grey, mark, paint = found.groups()
        if state is not None:
            overprint = state.decode("latin-1") in over
        elif a is not None or grey is not None:
            white = True
        elif mark == b"q":
            stack.append((overprint, white))
        elif mark == b"Q":
            overprint, white = stack.pop() if stack else (False, False)
        elif paint is not None:
            if overprint and white:
                return True
        else:
            white = False
    return False


def _of_states(resources: Object | None) -> InkLook:
    return InkLook(transparent=any(_see_through(state) for _, state in _states(resources)))


def _states(resources: Object | None) -> list[tuple[str, Object]]:
    group = resources.get("/ExtGState") if isinstance(resources, Dictionary) else None
    if not isinstance(group, Dictionary):
        return []
    found = [(str(name).removeprefix("/"), value) for name, value in group.items()]
    return [(name, value) for name, value in found if isinstance(value, Dictionary)]


def _see_through(state: Object) -> bool:
    for key in ("/ca", "/CA"):
        value = state.get(key)
        try:
            if value is not None and float(value) < 1:
                return True
        except (TypeError, ValueError):
            continue
    blend = state.get("/BM")
    if isinstance(blend, Array) and len(blend):
        blend = blend[0]
    if isinstance(blend, Name) and str(blend) not in _PLAIN_BLENDS:
        return True
    return isinstance(state.get("/SMask"), Dictionary)


def _true(state: Object, key: str) -> bool:
    return bool(state.get(key, False))


def _group(page: Object) -> bool:
    return isinstance(page.get("/Group"), Dictionary)


def _forms_of(resources: Object | None) -> Iterator[Object]:
    group = resources.get("/XObject") if isinstance(resources, Dictionary) else None
    if not isinstance(group, Dictionary):
        return
    for value in dict(group.items()).values():
        if isinstance(value, Stream) and value.get("/Subtype") == Name.Form:
            yield value


def old_workflow(pdf: pikepdf.Pdf) -> str:
    """The part of ISO 15930 the file says it keeps, where that part knows no transparency
    (PDF/X-1a: ISO 15930-1 and -4; PDF/X-3: -3 and -6); empty for any other file."""
    info = pdf.trailer.get("/Info")
    said = info.get("/GTS_PDFXVersion") if isinstance(info, Dictionary) else None
    words = str(said) if said is not None else ""
    return words if words.startswith(("PDF/X-1", "PDF/X-3")) else ""
