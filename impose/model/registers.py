"""How a printer's two sides fall: the correction that was found with a trial sheet.

It holds for one size of sheet, as it lies in the file, and one way of turning
it over: how the paper runs through the machine decides how it slips.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from impose.geometry.box import Size
from impose.geometry.moving import STAY, Move
from impose.geometry.turning import Flip
from impose.units import Length

#: Sheets this near to the size that was read have the same correction.
_SAME: Final = Length.mm(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Register:
    """The corrections of both sides, each in the side's own frame (see `plan.parts`).

    `by_hand`: read from a sheet that was put back by hand for its second side, which lies
    otherwise in the machine than one that the printer turns itself.  `read_on` is a date
    as the user wrote it.
    """

    sheet: Size
    flip: Flip
    front: Move = STAY
    back: Move = STAY
    by_hand: bool = False
    read_on: str = ""

    def fits(self, sheet: Size, flip: Flip, by_hand: bool) -> bool:
        """Whether it was read on sheets like this, lying the same way and turned the same way."""
        own = self.sheet
        near = own.width.near(sheet.width, _SAME) and own.height.near(sheet.height, _SAME)
        return near and flip is self.flip and by_hand is self.by_hand


def register_for(
    registers: Iterable[Register], sheet: Size, flip: Flip, by_hand: bool
) -> Register | None:
    """The one that was read on such a sheet."""
    return next((one for one in registers if one.fits(sheet, flip, by_hand)), None)
