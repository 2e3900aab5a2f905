"""Several covers on one sheet: where the pieces lie that are cut apart before scoring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from impose.geometry.box import Box, Size
from impose.geometry.sides import Edge
from impose.units import Length, points_text

#: What begins the ids of the cuts that part the covers.
APART: Final = "covers apart "


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverPieces:
    """`boxes` are the pieces on the `sheet`, seen from the outside, row by row from the upper
    left, all of one size.  `gutter` lies between two pieces, 0: they share one cut.  `sheets`
    are to be printed for the copies of the job, `overs` besides.  `lay` are the edges that
    the sheets are jogged to, seen from the outside: the one across, then the upright one."""

    columns: int
    rows: int
    sheet: Size
    boxes: tuple[Box, ...]
    gutter: Length
    sheets: int
    overs: int = 0
    lay: tuple[Edge, Edge] = (Edge.TOP, Edge.LEFT)

    @property
    def up(self) -> int:
        """Covers on a sheet."""
        return len(self.boxes)

    @property
    def block(self) -> Box:
        """The box round all pieces."""
        whole = self.boxes[0]
        for box in self.boxes[1:]:
            whole = whole.join(box)
        return whole

    @property
    def text(self) -> str:
        """`2 up (1 x 2, columns x rows)`."""
        return f"{self.up} up ({self.columns} x {self.rows}, columns x rows)"


def pieces_data(pieces: CoverPieces) -> dict[str, Any]:
    """For `plan.json`, lengths in points."""
    return {
        "columns": pieces.columns,
        "rows": pieces.rows,
        "sheet": [_pt(pieces.sheet.width), _pt(pieces.sheet.height)],
        "boxes": [[_pt(n) for n in (b.x0, b.y0, b.x1, b.y1)] for b in pieces.boxes],
        "gutter": _pt(pieces.gutter),
        "sheets": pieces.sheets,
        "overs": pieces.overs,
        "lay": [edge.value for edge in pieces.lay],
    }


def pieces_of(data: dict[str, Any]) -> CoverPieces:
    """The inverse of `pieces_data`; fractions must have been read as decimals."""
    return CoverPieces(
        columns=data["columns"],
        rows=data["rows"],
        sheet=Size(*map(Length.points, data["sheet"])),
        boxes=tuple(Box(*map(Length.points, box)) for box in data["boxes"]),
        gutter=Length.points(data["gutter"]),
        sheets=data["sheets"],
        overs=data["overs"],
        lay=(Edge(data["lay"][0]), Edge(data["lay"][1])),
    )


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)
