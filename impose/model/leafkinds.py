"""Pages that are not like the others: how they fit the trim, and leaves of another kind."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from impose.model.sizes import FitMode, NamedSize
from impose.model.stock import Stock


class LeafKind(Enum):
    """What a leaf is among the others; the value is its word in a job file.

    A fold-out is wider than the trim and folded in, a narrow leaf ends inside
    the trim; a French-folded one has both pages on one face of the paper; one
    that is tipped in is a single leaf in a book of folded sheets.
    """

    AS_THE_REST = "as the rest"
    FOLD_OUT = "fold-out"
    NARROW = "narrow"
    FRENCH = "french fold"
    TIPPED_IN = "tipped in"

    @property
    def own_width(self) -> bool:
        """Its pages are as wide as they are, whatever the trim."""
        return self in (LeafKind.FOLD_OUT, LeafKind.NARROW, LeafKind.FRENCH)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeafWish:
    """How the leaves of some pages are made; without a stock or sheets as the guts."""

    kind: LeafKind = LeafKind.AS_THE_REST
    stock: Stock | None = None
    sheets: tuple[NamedSize, ...] = ()

    @property
    def plain(self) -> bool:
        """Nothing is asked for."""
        return self.kind is LeafKind.AS_THE_REST and self.stock is None and not self.sheets


#: Leaves like all the others.
AS_THE_REST: Final = LeafWish()


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeRule:
    """What to do with pages that are not of trim size; `mode` None: as the job says.

    `align` names sides of the page (spine, fore-edge, head, foot) at which it
    is set; where neither of two opposite sides is named it is centred.
    """

    mode: FitMode | None = None
    align: frozenset[str] = field(default_factory=frozenset)


#: As the job says.
NO_RULE: Final = SizeRule()
