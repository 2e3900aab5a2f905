"""A written file of sheets read for what a print room's rules ask; nothing is judged here."""

from __future__ import annotations

import mmap
import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from pathlib import Path
from typing import Final

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Stream

from impose.errors import InputError
from impose.findings import plain
from impose.geometry.box import Box
from impose.model.sheetfacts import InkUse, IntentFacts, SheetFile, SheetPage
from impose.pdf.iccprofile import ProfileFault, parse_profile
from impose.pdf.inkuse import UseReader
from impose.pdf.intents import intents_of, profile_data
from impose.pdf.reach import PAGES, Reached, reach_all
from impose.pdf.sheetnotes import read_notes
from impose.pdf.useshelves import Shelves
from impose.units import Length

BOXES: Final = ("MediaBox", "CropBox", "BleedBox", "TrimBox", "ArtBox")
_IN_STREAMS: Final = re.compile(rb"/Type\s*/(?:ObjStm|XRef)\b")
#: What `_acts_of` tells.
_TOLD_ENTRIES: Final = ("/OpenAction", "/AA")
_BROKEN: Final = (pikepdf.PdfError, RuntimeError)


def read_sheets(path: Path, password: str = "") -> SheetFile:
    """The facts.  Raises `InputError` when the file cannot be read."""
    try:
        with pikepdf.Pdf.open(path, password=password) as pdf:
            return _read(path, pdf)
    except pikepdf.PasswordError as fault:
        raise InputError(
            f"{path} is locked with a password", hint="sheets for a print room are never locked"
        ) from fault
    except FileNotFoundError as fault:
        raise InputError(f"{path} does not exist", hint="check the name and the folder") from fault
    except OSError as fault:
        raise InputError(f"{path} cannot be read: {fault.strerror or fault}") from fault
    except _BROKEN as fault:
        raise InputError(f"{path} is no PDF, or damaged", hint="make the sheets again") from fault


def _read(path: Path, pdf: pikepdf.Pdf) -> SheetFile:
    root, reader = pdf.Root, UseReader(pdf)
    info = pdf.trailer.get("/Info")
    claim = info.get("/GTS_PDFXVersion", "") if isinstance(info, Dictionary) else ""
    reached = reach_all(pdf)
    damaged = bool(pdf.get_warnings())  # those of content come later and are told of pages
    pages = tuple(_page(page.obj, reader) for page in pdf.pages)
    return SheetFile(
        name=path.name,
        version=_version(pdf),
        encrypted=pdf.is_encrypted,
        packed=_is_packed(path, pdf),
        intents=tuple(map(_intent, intents_of(pdf))),
        acts=frozenset((*_acts_of(root), *_hidden_acts(reached, pages))),
        attached=reached.attached or _names(root, "/EmbeddedFiles") or "/Collection" in root,
        layers="/OCProperties" in root or any(page.use.layers for page in pages),
        claim=plain(str(claim)),
        filters=frozenset(reached.filters),
        foreign=frozenset(reached.foreign),
        areas=frozenset(_areas(root)),
        damaged=damaged,
        pages=pages,
    )


def _areas(root: Object) -> Iterator[str]:
    """Which boxes a reader shall show and print, as `PrintArea TrimBox` (table 150)."""
    wishes = root.get("/ViewerPreferences")
    if isinstance(wishes, Dictionary):
        for key in ("/ViewArea", "/ViewClip", "/PrintArea", "/PrintClip"):
            if key in wishes:
                yield plain(f"{key[1:]} {str(wishes[key]).removeprefix('/')}")


def _hidden_acts(reached: Reached, pages: Sequence[SheetPage]) -> Iterator[str]:
    """What could act anywhere; what hangs on pages only where none of them tells it itself."""
    told = any(page.acts for page in pages)
    for entry, acts in reached.acts.items():
        if entry not in _TOLD_ENTRIES and (entry != PAGES or not told):
            yield from acts


def _version(pdf: pikepdf.Pdf) -> str:
    """The higher one of header and catalogue (ISO 32000-1 7.5.2)."""
    told = pdf.Root.get("/Version")
    versions = [pdf.pdf_version, *([str(told)[1:]] if isinstance(told, Name) else [])]
    return max(versions, key=version_number)


def version_number(version: str) -> tuple[int, ...]:
    """For comparing; what is no version is lower than all."""
    parts = version.split(".")
    return tuple(map(int, parts)) if all(part.isdigit() for part in parts) else (0,)


def _is_packed(path: Path, pdf: pikepdf.Pdf) -> bool:
    if pdf.trailer.get("/Type") == Name.XRef or "/XRefStm" in pdf.trailer:
        return True
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
        return _IN_STREAMS.search(data) is not None


def _intent(intent: Object) -> IntentFacts:
    subtype = str(intent.get("/S", ""))
    condition = plain(str(intent.get("/OutputConditionIdentifier", "")))
    data = profile_data(intent)
    if data is None:
        fault = "cannot be read" if "/DestOutputProfile" in intent else ""
        return IntentFacts(subtype=subtype, condition=condition, fault=fault)
    try:
        profile = parse_profile(data)
    except ProfileFault as wrong:
        return IntentFacts(subtype=subtype, condition=condition, fault=str(wrong))
    channels = intent.DestOutputProfile.get("/N", profile.components)
    if channels != profile.components:
        fault_words = f"is said to have {channels} components; {profile.space} has "
        return IntentFacts(
            subtype=subtype, condition=condition, fault=f"{fault_words}{profile.components}"
        )
    return IntentFacts(
        subtype=subtype,
        condition=condition,
        space=profile.space,
        device=profile.device,
        version=profile.version[0],
    )


def _acts_of(root: Object) -> Iterator[str]:
    """What the catalogue could do."""
    action = root.get("/OpenAction")
    if isinstance(action, Dictionary):
        yield "an action when it is opened"
    if "/AA" in root:
        yield "actions of the document"
    if _names(root, "/JavaScript"):
        yield "JavaScript"
    form = root.get("/AcroForm")
    if isinstance(form, Dictionary):
        fields = form.get("/Fields")
        if "/XFA" in form or (isinstance(fields, Array) and len(fields)):
            yield "a form to fill in"


def _names(root: Object, which: str) -> bool:
    names = root.get("/Names")
    return isinstance(names, Dictionary) and which in names


def _page(page: Object, reader: UseReader) -> SheetPage:
    unit = _unit(page)
    boxes, no_boxes = {}, set()
    for name in BOXES:
        told = _inherited(page, f"/{name}")
        box = _box(told, unit)
        if box is not None:
            boxes[name] = box
        elif told is not None:
            no_boxes.add(name)
    printed = boxes.get("BleedBox") or boxes.get("TrimBox") or boxes.get("ArtBox")
    shelves = Shelves(_inherited(page, "/Resources"))
    notes = read_notes(page, reader, shelves, lambda rect: _overlaps(_box(rect, unit), printed))
    use = reader.page(page, shelves).join(notes.use)
    if unit != 1:
        use = use.join(InkUse(newer=frozenset(["units other than points (PDF 1.6)"])))
    acts = {"actions of a page"} if "/AA" in page else set()
    return SheetPage(
        boxes=boxes,
        no_boxes=frozenset(no_boxes),
        use=use,
        notes=notes.printed,
        marks=notes.marks,
        acts=frozenset(acts) | notes.acts,
    )


def _overlaps(rect: Box | None, printed: Box | None) -> bool:
    """Where that cannot be told, it is so; a rectangle without area may lie round a line."""
    if rect is None or printed is None:
        return True
    return (
        rect.x0 <= printed.x1
        and rect.x1 >= printed.x0
        and rect.y0 <= printed.y1
        and rect.y1 >= printed.y0
        and (rect.empty or rect.overlaps(printed))
    )


def _unit(page: Object) -> Decimal:
    """Points to one unit of the page (ISO 32000-1 14.11.2); 1 where it says nothing sound."""
    try:
        told = Decimal(str(page.get("/UserUnit", 1)))
    except ArithmeticError:
        return Decimal(1)
    return told if told > 0 else Decimal(1)


def _inherited(page: Object, key: str) -> Object | None:
    """MediaBox, CropBox and Resources come from above where a page has none (table 30)."""
    holder: Object | None = page
    for _ in range(64):
        if not isinstance(holder, Dictionary) or isinstance(holder, Stream):
            return None
        if key in holder:
            return holder[key]
        if key not in ("/MediaBox", "/CropBox", "/Resources"):
            return None
        holder = holder.get("/Parent")
    return None


def _box(value: Object | None, unit: Decimal) -> Box | None:
    """None where there is none that is one; corners put in order."""
    if not isinstance(value, Array) or len(value) != 4:
        return None
    return _box_of(tuple(str(item) for item in value), unit)


@lru_cache(maxsize=4096)
def _box_of(corners: tuple[str, ...], unit: Decimal) -> Box | None:
    try:
        numbers = [Length.points(Decimal(corner) * unit) for corner in corners]
    except (ArithmeticError, ValueError):
        return None
    (x0, x1), (y0, y1) = sorted(numbers[::2]), sorted(numbers[1::2])
    return Box(x0, y0, x1, y1)
