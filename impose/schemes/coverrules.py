"""Settings of the cover that sources disagree about; each default names its source."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from impose.model.job import Cover
from impose.model.stock import Stock
from impose.units import Length


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverRules:
    """`score_from`: g/m2 from which the fold of a saddle cover is scored (150: paper mill's
    advice, condat-pap.com; 135: pugetbindery.com).  `thin_spine`: below it words on the spine
    are a risk (about 1/8 in, common practice).  `spine_text_clear`: how far they keep from the
    spine's edges (1/16 in, common practice)."""

    score_from: Fraction = Fraction(150)
    score_source: str = "condat-pap.com"
    thin_spine: Length = Length.inches("1/8")
    spine_text_clear: Length = Length.inches("1/16")

    def scores_fold(self, stock: Stock) -> tuple[bool, str]:
        """Whether the fold of a saddle cover is scored, and why, in words."""
        limit = f"{float(self.score_from):g} g/m2 (a setting; {self.score_source})"
        if stock.grammage is None:
            return True, f"scored: its weight is not known; stock is scored from {limit}"
        weight = f"{float(stock.grammage):g} g/m2"
        if stock.grammage >= self.score_from:
            return True, f"scored: {weight}, stock is scored from {limit}"
        return False, f"not scored: {weight}, stock is scored from {limit}"


USUAL: Final = CoverRules()


def cover_rules(cover: Cover | None) -> CoverRules:
    """The usual ones, with what the job says otherwise."""
    if cover is None:
        return USUAL
    rules = USUAL
    if cover.score_from is not None:
        rules = replace(rules, score_from=cover.score_from, score_source="the job")
    if cover.thin_spine is not None:
        rules = replace(rules, thin_spine=cover.thin_spine)
    if cover.spine_text_clear is not None:
        rules = replace(rules, spine_text_clear=cover.spine_text_clear)
    return rules
