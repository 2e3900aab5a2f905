"""On which line each key of a TOML text stands; the standard reader does not tell.

The text has already been read by `tomllib`, so only well-formed TOML comes
here and nothing is checked.  Grammar: TOML 1.0.0, toml.io/en/v1.0.0.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from typing import Final

#: From the root: names of tables and keys, and 0-based places in arrays.
KeyPath = tuple[str | int, ...]

_BLANK: Final = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_STRING: Final = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}(?!")'
    + r"|'''.*?'{3,5}(?!')"
    + r'|"(?:[^"\\\n]|\\.)*"'
    + r"|'[^'\n]*'",
    re.DOTALL,
)
_PLAIN: Final = re.compile(r"[^,\]}\n#]+")


def key_lines(text: str) -> dict[KeyPath, int]:
    """The 1-based line of every table, key and array item.

    A table made by a dotted key or a header stands on the line that first names it.
    """
    scanner = _Scanner(text)
    scanner.document()
    return scanner.lines


def line_of(lines: Mapping[KeyPath, int], path: KeyPath) -> int:
    """The line of `path`, or of the nearest table around it; 1 for the file itself."""
    for end in range(len(path), 0, -1):
        if path[:end] in lines:
            return lines[path[:end]]
    return 1


class _Scanner:
    """Walks the text once; `at` is the offset of the next character."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.lines: dict[KeyPath, int] = {}
        self.counts: dict[KeyPath, int] = {}
        self.starts = [0, *(m.end() for m in re.finditer("\n", text))]

    def document(self) -> None:
        table: KeyPath = ()
        self.skip(_BLANK)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.skip(_BLANK)

    def header(self) -> KeyPath:
        """`[a.b]` or `[[a.b]]`; inside an array of tables the last one is meant."""
        line = self.line()
        array = self.text.startswith("[[", self.at)
        self.at += 2 if array else 1
        path: KeyPath = ()
        names = self.names()
        for i, name in enumerate(names):
            path = (*path, name)
            self.lines.setdefault(path, line)
            if array and i == len(names) - 1:
                self.counts[path] = self.counts.get(path, -1) + 1
            if path in self.counts:
                path = (*path, self.counts[path])
                self.lines.setdefault(path, line)
        self.at += 2 if array else 1
        return path

    def pair(self, table: KeyPath) -> None:
        """`key = value`, the key dotted or not."""
        line = self.line()
        path = table
        for name in self.names():
            path = (*path, name)
            self.lines.setdefault(path, line)
        self.at += 1  # the equals sign
        self.skip(_SPACE)
        self.value(path)

    def names(self) -> list[str]:
        """The parts of a key, up to the character after it."""
        found: list[str] = []
        while True:
            self.skip(_SPACE)
            quoted = _STRING.match(self.text, self.at)
            match = quoted or _BARE.match(self.text, self.at)
            assert match is not None, "tomllib has accepted the key"
            found.append(str(tomllib.loads(f"k={match[0]}")["k"]) if quoted else match[0])
            self.at = match.end()
            self.skip(_SPACE)
            if self.text[self.at] != ".":
                return found
            self.at += 1

    def value(self, path: KeyPath) -> None:
        first = self.text[self.at]
        if first == "[":
            self.array(path)
        elif first == "{":
            self.inline_table(path)
        elif first in "\"'":
            self.skip(_STRING)
        else:
            self.skip(_PLAIN)

    def array(self, path: KeyPath) -> None:
        self.at += 1
        index = 0
        while True:
            self.skip(_BLANK)
            if self.text[self.at] == "]":
                break
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self.lines[(*path, index)] = self.line()
            self.value((*path, index))
            index += 1
        self.at += 1

    def inline_table(self, path: KeyPath) -> None:
        self.at += 1
        while True:
            self.skip(_BLANK)
            if self.text[self.at] == "}":
                break
            if self.text[self.at] == ",":
                self.at += 1
                continue
            self.pair(path)
        self.at += 1

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        if match is not None:
            self.at = match.end()

    def line(self) -> int:
        return bisect_right(self.starts, self.at)
