"""Several covers on one sheet: how many, in which columns and rows."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from impose.model.fields import ValueFault

#: More covers than these no press sheet takes: a guard against a slip of the pen.
MOST: Final = 64
UP_HELP: Final = 'a number, or columns x rows: up = 2, up = "2 x 1"'
_GRID: Final = re.compile(r"(\d+)(?:\s*[x\xd7]\s*(\d+))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoversUp:
    """`columns` and `rows` are None where only the number is asked for."""

    count: int
    columns: int | None = None
    rows: int | None = None

    @property
    def grids(self) -> tuple[tuple[int, int], ...]:
        """The (columns, rows) that it may be; the fewest rows first."""
        if self.columns is not None and self.rows is not None:
            return ((self.columns, self.rows),)
        return tuple(
            (self.count // rows, rows)
            for rows in range(1, self.count + 1)
            if self.count % rows == 0
        )

    @property
    def text(self) -> str:
        """As it was written: `2`, `2 x 1`."""
        return str(self.count) if self.columns is None else f"{self.columns} x {self.rows}"


def covers_up(value: object) -> CoversUp:
    """`2`, or `"2 x 1"`: columns x rows."""
    match = None
    if not isinstance(value, bool):
        match = _GRID.fullmatch(str(value).strip())
    if match is None:
        raise ValueFault(f"'{value}' is no number of covers", hint=UP_HELP)
    first, second = int(match[1]), int(match[2]) if match[2] else None
    count = first * (1 if second is None else second)
    if count < 1:
        raise ValueFault("a sheet carries at least one cover", hint=UP_HELP)
    if count > MOST:
        raise ValueFault(f"{count} covers on a sheet are too many; the most is {MOST}")
    if second is None:
        return CoversUp(count=count)
    return CoversUp(count=count, columns=first, rows=second)
