"""Findings: what is wrong or worth a look, as values; speaking them is another module's job."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import Enum


class Severity(Enum):
    """How bad a finding is; the value is its name in JSON."""

    ERROR = "error"  #: the book is spoiled
    WARNING = "warning"  #: look at it
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for the worst."""
        return _RANK[self]


#: Unicode categories: control, surrogate, line and paragraph separator.
_NO_TEXT = frozenset({"Cc", "Cs", "Zl", "Zp"})
#: Unicode Standard Annex 9, table "Bidirectional Formatting Characters".
_TURNING = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_RANK = {Severity.ERROR: 0, Severity.WARNING: 1, Severity.NOTE: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One judgement.

    `code` is stable and machine-readable.  `pages` are source page numbers,
    1-based in reading order, empty when the finding is about the whole.
    `side` names a side of the page (head, foot, spine, fore-edge) or is empty.
    `message` and `hint` are made `plain`.  `numbers` holds the figures of the
    message, lengths already written with their unit.  `line` is the line of the job file,
    0 when there is none.
    """

    severity: Severity
    code: str
    message: str
    hint: str = ""
    file: str = ""
    pages: tuple[int, ...] = ()
    side: str = ""
    line: int = 0
    numbers: Mapping[str, str | int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "message", plain(self.message))
        object.__setattr__(self, "hint", plain(self.hint))

    @property
    def sentence(self) -> str:
        """The message with the line of the job file and the pages, where it does not name them."""
        where = f"line {self.line}: " if self.line else ""
        pages = ""
        if self.pages and "page" not in self.message:
            word = "page" if len(self.pages) == 1 else "pages"
            pages = f" ({word} {page_ranges(self.pages)})"
        return f"{where}{self.message}{pages}"

    @classmethod
    def error(
        cls,
        code: str,
        message: str,
        *,
        hint: str = "",
        file: str = "",
        pages: Iterable[int] = (),
        **numbers: str | int,
    ) -> Finding:
        """A finding that spoils the book or stops the run."""
        return cls(
            severity=Severity.ERROR,
            code=code,
            message=message,
            hint=hint,
            file=file,
            pages=tuple(pages),
            numbers=numbers,
        )

    @classmethod
    def warning(
        cls,
        code: str,
        message: str,
        *,
        hint: str = "",
        file: str = "",
        pages: Iterable[int] = (),
        **numbers: str | int,
    ) -> Finding:
        """A finding to look at before printing."""
        return cls(
            severity=Severity.WARNING,
            code=code,
            message=message,
            hint=hint,
            file=file,
            pages=tuple(pages),
            numbers=numbers,
        )

    @classmethod
    def note(
        cls,
        code: str,
        message: str,
        *,
        hint: str = "",
        file: str = "",
        pages: Iterable[int] = (),
        **numbers: str | int,
    ) -> Finding:
        """Something that was done and must be said."""
        return cls(
            severity=Severity.NOTE,
            code=code,
            message=message,
            hint=hint,
            file=file,
            pages=tuple(pages),
            numbers=numbers,
        )


def plain(text: str) -> str:
    """Text that is shown as it reads: control characters, what turns the direction of writing
    (Unicode's bidirectional controls), line separators and what is no text become `?`.

    Names of files come from strangers, and could otherwise forge a message.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join("?" if _is_forging(character) else character for character in text)


def _is_forging(character: str) -> bool:
    if character in _TURNING:
        return True
    return character != "\n" and unicodedata.category(character) in _NO_TEXT


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Sorted by severity, then by first page; the order within is kept."""
    return tuple(sorted(findings, key=lambda f: (f.severity.rank, f.pages[:1])))


def page_ranges(pages: Iterable[int]) -> str:
    """`3-6, 9` for 3, 4, 5, 6, 9; pages in rising order, each once."""
    runs: list[tuple[int, int]] = []
    for page in sorted(set(pages)):
        if runs and page == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], page)
        else:
            runs.append((page, page))
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in runs)
