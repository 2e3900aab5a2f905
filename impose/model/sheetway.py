"""One of the ways in which a sheet may be laid out, when it was chosen among those compared."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWay:
    """Binds the schemes to one way; what it leaves open they choose as ever.

    `landscape`: how the sheet lies in the file.  `columns` and `rows` are those of the
    leaves on a flat sheet, 0 where `up` says it (folded sheets).
    """

    landscape: bool
    columns: int = 0
    rows: int = 0
