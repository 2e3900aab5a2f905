"""Sheets of another stock among those that are folded together.

A folded sheet carries several leaves, so another stock is asked for all pages
of whole sheets, or for none.  How far inner leaves are pushed out depends on
the calipers of the sheets outside them.
"""

from __future__ import annotations

from collections.abc import Sequence

from impose.errors import JobError
from impose.findings import Finding, page_ranges
from impose.model.leafkinds import LeafWish
from impose.model.stock import Stock
from impose.plan.plan import Plan
from impose.schemes.draft import Asked
from impose.units import ZERO, Length


def other_stocks(plan: Plan) -> dict[str, tuple[int, Length]]:
    """Leaves on whole sheets of another stock than the guts': how many, and its caliper, by its
    name."""
    found: dict[str, tuple[int, Length]] = {}
    for sheet in plan.sheets:
        if sheet.role == "guts" and sheet.stock:
            count, _ = found.get(sheet.stock, (0, ZERO))
            found[sheet.stock] = (count + len(sheet.front.placements), sheet.caliper)
    return found


class SheetStocks:
    """The stock of each sheet, from what is asked for each face.

    `faces` are those of `asked` with the blanks added that the binding needs;
    an added blank takes the stock of the sheet it falls on.
    """

    def __init__(self, asked: Asked, faces: Sequence[int | None]) -> None:
        self._guts = asked.job.guts.stock
        self._faces = faces
        self._wishes: Sequence[LeafWish | None] = ()
        if any(wish.stock or wish.sheets for wish in asked.wishes):
            self._wishes = _with_blanks(asked, faces)

    @property
    def mixed(self) -> bool:
        """More than one stock is asked for."""
        return bool(self._wishes)

    def of(self, positions: Sequence[int]) -> Stock | None:
        """Of the sheet with these faces (1-based); None: that of the guts.

        Raises JobError when the pages on it ask for different ones.
        """
        if not self._wishes:
            return None
        wanted = {
            wish.stock: position
            for position in positions
            if (wish := self._wishes[position - 1]) is not None
        }
        if len(wanted) > 1 or any(self._sheets(position) for position in positions):
            raise JobError([self._mixed(positions)])
        return next(iter(wanted), None)

    def _sheets(self, position: int) -> bool:
        wish = self._wishes[position - 1]
        return wish is not None and bool(wish.sheets)

    def _mixed(self, positions: Sequence[int]) -> Finding:
        pages = [page for at in sorted(positions) if (page := self._faces[at - 1]) is not None]
        return Finding.error(
            "stock-sheet",
            f"pages {page_ranges(pages)} lie on one folded sheet, and not all of them ask for the "
            "same stock and sheet",
            hint="ask it of all of them, or make the leaf by itself and glue it in: "
            'leaf = "tipped in"',
            pages=pages,
        )

    def caliper(self, positions: Sequence[int]) -> Length:
        """Of the sheet with these faces."""
        return (self.of(positions) or self._guts).caliper


def _with_blanks(asked: Asked, faces: Sequence[int | None]) -> list[LeafWish | None]:
    """What each face asks for, None for the blanks that were added in one place."""
    added = len(faces) - len(asked.faces)
    before = asked.job.blanks_at.before
    where = len(asked.faces)
    if before is not None and added:
        pages = [face for face in asked.faces if face is not None]
        where = asked.faces.index(pages[-1] if before == -1 else before)
    wishes: list[LeafWish | None] = list(asked.wishes)
    wishes[where:where] = [None] * added
    return wishes
