"""Heights: how high a pile is, and in how many lifts it goes under the clamp."""

from __future__ import annotations

from dataclasses import dataclass

from impose.model.machines import Cutter
from impose.units import Length


@dataclass(frozen=True, slots=True, kw_only=True)
class Pile:
    """`count` equal things of this thickness each."""

    count: int
    each: Length

    @property
    def height(self) -> Length:
        return self.each * self.count

    def in_a_lift(self, cutter: Cutter) -> int:
        """How many go under the clamp at once; 0 when not even one does."""
        return cutter.clamp_opening // self.each

    def lifts(self, cutter: Cutter) -> int:
        """At least one: a pile too high for the clamp even singly is a finding elsewhere."""
        fits = self.in_a_lift(cutter)
        return -(-self.count // fits) if fits else self.count
