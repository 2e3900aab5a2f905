"""Reading flat colours from job files."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from impose.model.fields import ValueFault
from impose.model.inks import MOST, Ink
from impose.model.readers import NUMBER, text, texts

HELP: Final = 'for example "cmyk 0 20 80 0", "grey 30", "rgb 200 40 40" or "#c82828"'
_NUMBERS: Final = {"grey": 1, "gray": 1, "cmyk": 4, "rgb": 3}
_HEX: Final = re.compile(r"#([0-9a-f]{2})([0-9a-f]{2})([0-9a-f]{2})")


def ink(value: object) -> Ink | None:
    """A reader: a colour; `white` is none.  CMYK and grey in per cent of ink, RGB from 0 to 255."""
    written = text(value).strip().lower()
    if written == "white":
        return None
    if hexed := _HEX.fullmatch(written):
        return Ink("rgb", tuple(Fraction(int(part, 16), 255) for part in hexed.groups()))
    space, *numbers = written.replace("%", " ").replace(",", " ").split() or [""]
    count = _NUMBERS.get(space)
    if count is None or len(numbers) != count:
        raise ValueFault(f"'{value}' is not a colour", hint=HELP)
    if not all(re.fullmatch(NUMBER, number) for number in numbers):
        raise ValueFault(f"'{value}' has something that is not a number", hint=HELP)
    most = MOST["grey" if space == "gray" else space]
    if most == MOST["cmyk"] and 0 < max(map(Fraction, numbers)) <= 1:
        raise ValueFault(
            f"'{value}' is hardly any ink: {space} goes from 0 to {most}", hint="50 is half"
        )
    parts = tuple(Fraction(number) / most for number in numbers)
    if any(part > 1 for part in parts):
        raise ValueFault(f"'{value}': {space} goes from 0 to {most}", hint=HELP)
    return Ink("grey" if space == "gray" else space, parts)


def tint_shares(value: object) -> tuple[Fraction, ...]:
    """A reader: shares of an ink, `["100%", "50%"]`."""
    found = []
    for written in texts(value):
        if not re.fullmatch(NUMBER + r"\s*%", written.strip()):
            raise ValueFault(f"'{written}' is not a tint", hint='for example ["100%", "50%"]')
        share = Fraction(written.rstrip("% ")) / 100
        if not 0 < share <= 1:
            raise ValueFault(f"'{written}': a tint is more than 0 % and at most 100 %")
        found.append(share)
    if not found:
        raise ValueFault("no tint is named", hint='for example ["100%", "50%"]')
    return tuple(found)
