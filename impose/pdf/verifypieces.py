"""Several covers on one sheet, as they were written: each draws the same at the same place."""

from __future__ import annotations

from collections.abc import Sequence

from impose.errors import PlanMismatchError
from impose.pdf.placed import Grains4
from impose.plan.coverpieces import CoverPieces
from impose.plan.parts import Sheet

#: The number of a form, with its clip, its factors and its move on the sheet.
Drawn = tuple[bytes, tuple[Grains4, bytes, int, int]]


def piece_boxes(sheet: Sheet, pieces: CoverPieces, side: str) -> list[Grains4]:
    """The pieces as they lie on that side."""
    boxes = pieces.boxes
    if side == "back":
        boxes = tuple(sheet.turned.over(box, sheet.size) for box in boxes)
    return [(b.x0.grains, b.y0.grains, b.x1.grains, b.y1.grains) for b in boxes]


def check_alike(drawn: Sequence[Drawn], boxes: Sequence[Grains4], where: str) -> None:
    """Raises PlanMismatchError when a form lies on no piece, or a piece shows anything else than
    the first.  Only what was read back is looked at, and where the cuts are."""
    found = [[_moved(one, box) for one in drawn if _on(one, box)] for box in boxes]
    if sum(map(len, found)) != len(drawn):
        raise PlanMismatchError(f"{where}: art lies on none of the covers of the sheet")
    for number, piece in enumerate(found, start=1):
        if piece != found[0]:
            raise PlanMismatchError(f"{where}: cover {number} is another than cover 1")


def _on(one: Drawn, box: Grains4) -> bool:
    (x0, y0, x1, y1), *_ = one[1]
    return box[0] <= x0 and box[1] <= y0 and x1 <= box[2] and y1 <= box[3]


def _moved(one: Drawn, box: Grains4) -> Drawn:
    """In the piece's own frame."""
    form, (clip, factors, e, f) = one
    x, y = box[0], box[1]
    return form, ((clip[0] - x, clip[1] - y, clip[2] - x, clip[3] - y), factors, e - x, f - y)
