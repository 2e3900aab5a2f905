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

_DEEPEST: Final = 12
#: Content longer than this is not searched (bytes, inflated).
_LONGEST: Final = 4_000_000
_CMYK: Final = re.compile(rb"(?<=\s)[kK](?=\s|$)")
_RGB: Final = re.compile(rb"(?<=\s)(?:rg|RG)(?=\s|$)")
#: The operands of a colour stand this near before it (bytes).
_BEFORE: Final = 80
_STATE: Final = re.compile(
    rb"/([^\s/<>\[\]()]+)\s+gs\b"
    rb"|(?<![\w./])(?:(0)\s+(0)\s+(0)\s+(0)\s+k|(1)(?:\.0*)?\s+g)(?=\s|$)"
    rb"|(?<![\w./])(?:[-+]?\d*\.?\d+\s+)+(?:k|g|rg)(?=\s|$)|(?:^|\s)(?:cs|sc|scn)(?=\s|$)"
    rb"|(?:^|(?<=\s))(q|Q)(?=\s|$)|(?:^|(?<=\s))(f\*?|F|B\*?|b\*?|Tj|TJ)(?=\s|$)"
)
_PLAIN_BLENDS: Final = {"/Normal", "/Compatible"}


@dataclass(frozen=True, slots=True)
class InkLook:
    """Of one page.  `most` is the largest sum of a CMYK colour, 4.0 being all inks whole."""

    most: float = 0.0
    rgb: bool = False
    white_overprint: bool = False
    transparent: bool = False
    coloured: bool = False

    def join(self, other: InkLook) -> InkLook:
        """Both together."""
        return InkLook(
            max(self.most, other.most),
            self.rgb or other.rgb,
            self.white_overprint or other.white_overprint,
            self.transparent or other.transparent,
            self.coloured or other.coloured,
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
        data = b"\n".join(parts)
        found = _of_content(data, resources)
        if _group(page):
            found = found.join(_of_states(resources))
        for form in _forms_of(resources):
            found = found.join(self._form(form, 0))
        return found

    def _form(self, form: Object, depth: int) -> InkLook:
        key = form.objgen
        known = self._forms.get(key) if key != (0, 0) else None
        if known is not None:
            return known
        if key != (0, 0):
            self._forms[key] = InkLook()  # one that draws itself has nothing to add
        resources = form.get("/Resources")
        found = _of_content(_bytes(form), resources)
        if depth < _DEEPEST:
            for inner in _forms_of(resources):
                found = found.join(self._form(inner, depth + 1))
        if key != (0, 0):
            self._forms[key] = found
        return found


def _bytes(stream: Object) -> bytes:
    try:
        data = stream.read_bytes()
    except (pikepdf.PdfError, RuntimeError):
        return b""
    return data if len(data) <= _LONGEST else b""


def _of_content(data: bytes, resources: Object | None) -> InkLook:
    cmyk = _operands(data, _CMYK, 4)
    most = max((sum(min(max(part, 0.0), 1.0) for part in four) for four in cmyk), default=0.0)
    rgb = any(len(set(three)) > 1 for three in _operands(data, _RGB, 3))
    states = _states(resources)
    over = {name for name, state in states if _true(state, "/OP") or _true(state, "/op")}
    named = {name for name in over if b"/" + name.encode("latin-1", "replace") in data}
    white = bool(named) and _paints_white(data, named)
    coloured = rgb or any(any(four[:3]) for four in cmyk)
    return InkLook(most, rgb, white, any(_see_through(state) for _, state in states), coloured)


def _operands(data: bytes, operator: re.Pattern[bytes], count: int) -> set[tuple[float, ...]]:
    """The numbers before each such operator, each set of them once."""
    found = {data[max(0, m.start() - _BEFORE) : m.start()] for m in operator.finditer(data)}
    known = set()
    for text in found:
        words = text.split()[-count:]
        try:
            numbers = tuple(map(float, words))
        except ValueError:
            continue
        if len(numbers) == count:
            known.add(numbers)
    return known


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
