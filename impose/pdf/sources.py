"""The opened inputs: page objects, and beside them what their dictionaries say.

No PDF object leaves the pdf layer except inside `Sources`, which everybody
else takes for a closed box with facts on it.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

import pikepdf

from impose.model.facts import PageFacts, SourceFacts
from impose.pdf.facts import Told
from impose.pdf.placed import Places
from impose.plan.plan import Plan

if TYPE_CHECKING:
    from impose.pdf.intents import Press


class Kind:
    """What pages whose dictionaries differ in nothing but their content have in common.

    `own` are the top-level entries as text, nested dictionaries folded away;
    `example` is the index of one such page.
    """

    __slots__ = ("example", "facts", "own", "told")

    def __init__(self, told: Told, facts: PageFacts, own: dict[bytes, bytes], example: int) -> None:
        self.told = told
        self.facts = facts
        self.own = own
        self.example = example


class Document:
    """One opened input: page objects, and beside them what their text says.

    `contents` holds object and generation number (`12 0`) where a page's
    content is one reference, else nothing.  `copy` is the repaired copy that is
    read instead of `path`, in a folder of its own that goes with it.  `faults` is
    how many were mended while it was read.
    """

    __slots__ = ("contents", "copy", "faults", "kinds", "pages", "path", "pdf")

    def __init__(self, path: Path, pdf: pikepdf.Pdf, copy: Path | None = None) -> None:
        self.path = path
        self.pdf = pdf
        self.copy = copy
        self.faults = 0
        self.pages: list[pikepdf.Object] = []
        self.contents: list[bytes] = []
        self.kinds: list[Kind] = []

    def close(self) -> None:
        """Lets the file go; harmless when done twice."""
        self.pages.clear()
        self.pdf.close()
        if self.copy is not None:
            shutil.rmtree(self.copy.parent, ignore_errors=True)

    def resolve(self, reference: bytes) -> bytes:
        """The text of the object that `12 0 R` names."""
        number, generation, _ = reference.split()
        return object_text(self.pdf.get_object((int(number), int(generation))))


def object_text(obj: object) -> bytes:
    """An object's text; the library gives numbers, truth values and null as values of Python."""
    if isinstance(obj, pikepdf.Object):
        return obj.unparse(True)
    return pikepdf.Array([obj]).unparse()[1:-1].strip()


class Sources:
    """The opened inputs.  Only the pdf layer looks inside; everybody may read `facts`.

    A context manager; pages cannot be placed once it is closed.  `places` and
    `prints` are kept from writing a plan to reading it back: where placements
    lie, and by file and page number the checksums of a page's content and of
    the XObjects that it can draw, in the order of their names.  `press` is what
    the job says that the written sheets name as their printing condition.
    """

    __slots__ = ("documents", "facts", "places", "press", "prints")

    def __init__(self, documents: list[Document], facts: tuple[SourceFacts, ...]) -> None:
        self.documents = documents
        self.facts = facts
        self.places: Places | None = None
        self.prints: dict[tuple[int, int], tuple[int, ...]] = {}
        self.press: Press | None = None

    @property
    def paths(self) -> tuple[Path, ...]:
        """The input files in order."""
        return tuple(document.path for document in self.documents)

    @property
    def readable(self) -> tuple[Path, ...]:
        """Where other readers find the inputs: the repaired copy where there is one."""
        return tuple(document.copy or document.path for document in self.documents)

    def places_of(self, plan: Plan) -> Places:
        """Where the plan's placements lie; kept for plans with the same sheets and pages."""
        places = self.places
        if (
            places is None
            or places.plan.sheets is not plan.sheets
            or places.plan.pages is not plan.pages
        ):
            places = self.places = Places(plan, self.facts)
        return places

    def close(self) -> None:
        """Lets the files go; harmless when done twice."""
        self.places = None
        for document in self.documents:
            document.close()
        self.documents.clear()

    def __enter__(self) -> Sources:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()
