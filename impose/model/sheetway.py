"""One of the ways in which a sheet may be laid out, when it was chosen among those compared."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetWay:
    """Binds the schemes to one way; what it leaves open they choose as ever.

    `landscape`: how the sheet lies in the file.  `columns` and `rows` are those of the
    leaves on a flat sheet, 0 where `up` says it (folded sheets).  In a mixed layout they
    are those of the upright part, `turned_columns` and `turned_rows` those of the part
    whose leaves lie a quarter turn round; one cut parts the two, `split_across` the sheet
    or up it.
    """

    landscape: bool
    columns: int = 0
    rows: int = 0
    turned_columns: int = 0
    turned_rows: int = 0
    split_across: bool = False

    @property
    def mixed(self) -> bool:
        """Some leaves lie a quarter turn round."""
        return self.turned_columns > 0
