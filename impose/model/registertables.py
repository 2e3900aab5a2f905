"""[[register]] and refeed in a printer's file: how `impose register` keeps what it found."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Annotated, Any, Final

from impose.geometry.box import Size
from impose.geometry.moving import Move
from impose.geometry.turning import Flip
from impose.model import readers as read
from impose.model.fields import Reads, ValueFault, build, table
from impose.model.job import NamedSize
from impose.model.refeeding import Refeed
from impose.model.registers import Register
from impose.units import ZERO, Length, parse_length, points_text

#: More than this is no register error: a wrong sheet, or a print dialog that scales.
MOST_SHIFT: Final = Length.mm(20)
#: The same for turn (a slope) and scale.
MOST_FACTOR: Final = Fraction(1, 20)
_FACTOR: Final = re.compile(r"-?\d+(?:\.\d+)?")
_ONE: Final = Fraction(1)
_NONE: Final = Fraction(0)


def shift(value: object) -> Length:
    """A reader: a length right or up, negative to the left or down."""
    length = parse_length(read.text(value))
    if abs(length) > MOST_SHIFT:
        raise ValueFault(f"{length.text('mm')} is more than {MOST_SHIFT.text('mm')}")
    return length


def factors(value: object) -> tuple[Fraction, ...]:
    """A reader: the four factors a, b, c, d of a `Move`, in quotes with blanks between.

    They must be near 1, 0, 0, 1: a printer turns and scales by little.
    """
    words = read.text(value).split()
    if len(words) != 4 or not all(_FACTOR.fullmatch(word) for word in words):
        raise ValueFault(f"'{value}' is not four factors", hint='for example "1.001 0 0 1.001"')
    found = tuple(Fraction(word) for word in words)
    if any(abs(f - i) > MOST_FACTOR for f, i in zip(found, (1, 0, 0, 1), strict=True)):
        raise ValueFault(f"'{value}' turns or scales the sheet by too much")
    return found


@table
class MoveTable:
    """Right and up at the middle of the sheet, and the factors a, b, c, d."""

    right: Annotated[Length, Reads(shift)] = ZERO
    up: Annotated[Length, Reads(shift)] = ZERO
    factors: Annotated[tuple[Fraction, ...], Reads(factors)] = (_ONE, _NONE, _NONE, _ONE)

    def value(self, sheet: Size) -> Move:
        """Taken round the middle of the sheet."""
        a, b, c, d = self.factors
        middle = (sheet.width.half, sheet.height.half)
        return Move(a=a, b=b, c=c, d=d, e=self.right, f=self.up).about(middle)


@table
class RegisterTable:
    """One correction: for sheets of this size as they lie, turned over on this edge."""

    sheet: Annotated[NamedSize, Reads(read.plain_size)]
    flips: Annotated[Flip, Reads(read.member_of(Flip))]
    front: MoveTable = MoveTable()
    back: MoveTable = MoveTable()
    by_hand: Annotated[bool, Reads(read.truth)] = False
    read_on: Annotated[str, Reads(read.day)] = ""

    def value(self) -> Register:
        size = self.sheet.size
        return Register(
            sheet=size,
            flip=self.flips,
            front=self.front.value(size),
            back=self.back.value(size),
            by_hand=self.by_hand,
            read_on=self.read_on,
        )


def read_registers(value: object) -> tuple[Register, ...]:
    """A reader of [[register]]."""
    items: list[Any] = value if isinstance(value, list) else [value]
    if not all(isinstance(item, dict) for item in items):
        raise ValueFault("these are tables", hint="written by impose register")
    return tuple(build(RegisterTable, item).value() for item in items)


@table
class RefeedTable:
    """`refeed` in a printer's file."""

    turn_over: Annotated[bool, Reads(read.truth)] = False
    last_first: Annotated[bool, Reads(read.truth)] = False
    same_edge: Annotated[bool, Reads(read.truth)] = True


def read_refeed(value: object) -> Refeed:
    """A reader of the table."""
    if not isinstance(value, dict):
        raise ValueFault("this is a table", hint="written by impose register --one-side")
    made = build(RefeedTable, value)
    return Refeed(turn_over=made.turn_over, last_first=made.last_first, same_edge=made.same_edge)


def register_text(register: Register) -> str:
    """As it stands in a printer's file."""
    size = register.sheet
    rows = [
        "[[register]]",
        f'sheet = "{_exact(size.width)} x {_exact(size.height)}"',
        f'flips = "{register.flip.value}"',
    ]
    middle = (size.width.half, size.height.half)
    for name, move in (("front", register.front), ("back", register.back)):
        if not move.idle:
            right, up = move.shift_at(middle)
            four = " ".join(_decimal(factor) for factor in (move.a, move.b, move.c, move.d))
            rows.append(
                f'{name} = {{ right = "{_exact(right)}", up = "{_exact(up)}", factors = "{four}" }}'
            )
    if register.by_hand:
        rows.append("by_hand = true")
    if register.read_on:
        rows.append(f'read_on = "{register.read_on}"')
    return "\n".join(rows) + "\n"


def _exact(length: Length) -> str:
    """In millimetres where those say it exactly."""
    in_mm = length.text("mm")
    return in_mm.replace(" ", "") if in_mm[0] != "~" else f"{points_text(length)}pt"


def _decimal(factor: Fraction) -> str:
    return f"{Decimal(round(factor * 10**10)).scaleb(-10):f}".rstrip("0").rstrip(".")
