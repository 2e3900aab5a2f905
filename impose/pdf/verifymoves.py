"""The correction of a side read back: what is drawn through which matrix."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Final

from impose.geometry.moving import STAY, Move
from impose.pdf.verifymarks import Grains
from impose.units import Length

_BEGIN: Final = re.compile(rb"q (\S+) (\S+) (\S+) (\S+) (\S+) (\S+) cm\n")
_END: Final = b"\nQ\n"


def unwrapped(operators: bytes, grains: Grains) -> tuple[bytes, tuple[Move, ...]]:
    """The operators without the corrections they are drawn through, and those corrections.

    STAY stands for what is drawn as it is.  The parts are put together in order.
    """
    inner: list[bytes] = []
    moves: list[Move] = []
    at = 0
    while at < len(operators):
        begin = _BEGIN.match(operators, at)
        if begin is None:
            inner.append(operators[at:])
            moves.append(STAY)
            break
        end = operators.index(_END, begin.end()) + 1
        *factors, e, f = begin.groups()
        a, b, c, d = (Fraction(Decimal(word.decode("ascii"))) for word in factors)
        moves.append(Move(a=a, b=b, c=c, d=d, e=Length(grains[e]), f=Length(grains[f])))
        inner.append(operators[begin.end() : end])
        at = end + len(_END) - 1
    return b"".join(inner), tuple(moves)
