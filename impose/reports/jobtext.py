"""A job file in words: the choices made with somebody who has never done it, each with its reason.

Terms are explained in a comment where they first stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from impose.reports.glossary import Explainer, term_line

_WIDTH: Final = 88


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of a table: key, value as TOML, and why."""

    key: str
    value: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Section:
    """A table of the job file."""

    name: str
    entries: tuple[Entry, ...]


def job_text(opening: Sequence[str], sections: Sequence[Section]) -> str:
    """The whole file, with a line end at its end."""
    words = Explainer()
    lines = [line for text in opening for line in _comment(text)]
    for section in sections:
        if not section.entries:
            continue
        lines += ["", f"[{section.name}]"]
        for entry in section.entries:
            lines.extend(_entry(entry, words))
    return "\n".join(lines) + "\n"


def _entry(entry: Entry, words: Explainer) -> Iterator[str]:
    yield from _comment(entry.why)
    said = f"{entry.key}; {entry.value}; {entry.why}".replace("_", " ")
    for term in words.new_in(said):
        yield from _comment(f"({term_line(term)})")
    yield f"{entry.key} = {entry.value}"


def _comment(text: str) -> Iterator[str]:
    """Broken to lines; an empty line of a text stays a line of its own."""
    line = "#"
    for word in text.split():
        if len(line) + 1 + len(word) > _WIDTH and line != "#":
            yield line
            line = "#"
        line = f"{line} {word}"
    if line != "#":
        yield line


#: TOML 1.0.0, basic strings: what must be escaped.
_ESCAPES: Final = {'"': '\\"', "\\": "\\\\", "\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f",
                   "\r": "\\r"}  # fmt: skip


def toml_string(text: str) -> str:
    """The text as a TOML string."""
    return f'"{"".join(_escaped(letter) for letter in text)}"'


def _escaped(letter: str) -> str:
    if letter in _ESCAPES:
        return _ESCAPES[letter]
    control = ord(letter) < 0x20 or ord(letter) == 0x7F
    return f"\\u{ord(letter):04X}" if control else letter
