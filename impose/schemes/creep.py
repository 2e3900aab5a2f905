"""Creep: how far nested leaves are pushed out, and the shift that corrects it.

Linear model: a leaf lying inside n calipers is pushed out by n calipers (own
arithmetic; the handbook example of 1934, Brossard, Le Correcteur typographe 2,
item 8, also falls by equal steps).  A measured total replaces the model's.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from impose.plan.plan import Creep
from impose.units import ZERO, Length


def shifts(
    levels: int, caliper: Length, outside: Length = ZERO, measured: Length | None = None
) -> tuple[Length, ...]:
    """The shift of each level, outermost first.

    `outside` is paper outside the first level (a separate cover).  With
    `measured`, the innermost level gets exactly that and the others their share.
    """
    model = [outside + caliper * depth for depth in range(levels)]
    if measured is None or not model or not model[-1]:
        return tuple(model)
    return tuple(measured * Fraction(m.grains, model[-1].grains) for m in model)


def creep_of(all_shifts: Sequence[Length], caliper: Length, source: str) -> Creep:
    """The figures for the ticket."""
    return Creep(per_level=caliper, total=max(all_shifts, default=ZERO), source=source)
