"""What the plan knows about the cover besides its sheet: the figures that the ticket carries.

Front and back are the panels of the closed book.  Distances at the bench are
measured as the bench measures: from the front edge of the spine to the front
edge of the paper, from the back edge of the spine to the back edge of the paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Any

from impose.geometry.box import Box, Size
from impose.plan.coverpieces import CoverPieces, pieces_data, pieces_of
from impose.units import ZERO, Length, points_text

Data = dict[str, Any]


class SpineFrom(Enum):
    """Where the spine's width comes from, the surest first."""

    MEASURED = "measured"
    STACK = "leaves x caliper of a measured stack"
    STATED = "leaves x stated caliper"
    BULK = "leaves x bulk x grammage"
    ESTIMATE = "leaves x caliper estimated from a table"
    FOLD = "no spine: the cover folds"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpineFacts:
    """The spine's width and where it comes from.

    `width` is that of the cover's spine, `allowance` included where it is
    reckoned; a measured width is taken as it is.  `thicknesses` counts single
    thicknesses of paper: a French-fold leaf is two.  `reckoned` is thicknesses
    x caliper without allowance, also where the measured width won; `spread` is
    how far it may be off.
    """

    width: Length
    origin: SpineFrom
    source: str
    leaves: int
    thicknesses: int
    caliper: Length
    reckoned: Length
    spread: Length = ZERO
    allowance: Length = ZERO
    measured: Length | None = None

    @property
    def estimated(self) -> bool:
        return self.origin is SpineFrom.ESTIMATE

    @property
    def off(self) -> Length | None:
        """Measured minus reckoned; None when there are not both."""
        if self.measured is None or not self.thicknesses:
            return None
        return self.measured - self.reckoned


@dataclass(frozen=True, slots=True, kw_only=True)
class GutsPaper:
    """How far the untrimmed guts reach beyond the trim (`spine`: the grind)."""

    head: Length
    foot: Length
    fore_edge: Length
    spine: Length = ZERO


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverStock:
    """The cover's paper.  `grain` is long, short or empty: as the sheet's edge it runs along.

    `along` says whether the grain runs along the scores; None when it is not known.
    """

    name: str
    caliper: Length
    estimated: bool
    grammage: Fraction | None = None
    grain: str = ""
    along: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverFacts:
    """The cover of the job.

    `sheet` is the number of its sheet in the plan.  `trim` is the open trimmed
    cover on that sheet and `paper` the sheet, both seen from the outside;
    `panel` is one panel, hinge strip included.  `front_distance` is from the
    front spine edge to the front paper edge, `back_distance` from the back
    spine edge to the back paper edge.  `head` and `foot` are the paper beyond
    the trim.  With `cut_first` the two ends of the cover are cut to size before
    scoring, and the paper edges are these cuts.  `guts_down`: how far below the
    cover's head edge the guts' head edge must sit.  With `pieces` several covers lie
    on that sheet and are cut apart first: `paper`, `trim` and every distance are then
    those of one piece.
    """

    sheet: int
    stock: CoverStock
    spine: SpineFacts
    panel: Size
    paper: Size
    trim: Box
    front_at_right: bool
    hinge: Length
    front_distance: Length
    back_distance: Length
    head: Length
    foot: Length
    lay: str
    guts: GutsPaper
    glue_trap_head: Length
    glue_trap_foot: Length
    glue_strip: Length
    flap_front: Length = ZERO
    flap_back: Length = ZERO
    cut_first: bool = False
    scored: bool = True
    why_scored: str = ""
    creaser: str = ""
    channel: Length | None = None
    channel_rule: str = ""
    pieces: CoverPieces | None = None

    @property
    def next(self) -> str:
        """What is done to a cover before it is put round the guts: `scored` or `folded`."""
        return "scored" if self.scored else "folded"

    @property
    def before_next(self) -> str:
        """When several covers on one sheet are cut apart."""
        return "before scoring" if self.scored else "before folding the cover"

    @property
    def width(self) -> Length:
        """The paper that lies at the creaser, edge to edge."""
        return self.front_distance + self.spine.width + self.back_distance

    @property
    def guts_down(self) -> Length:
        return self.head - self.guts.head

    @property
    def guts_up(self) -> Length:
        """How far above the cover's foot edge the guts' foot edge sits."""
        return self.foot - self.guts.foot


# -- wire ------------------------------------------------------------------------------


def cover_data(facts: CoverFacts | None) -> Data | None:
    """The facts for `plan.json`, lengths in points; null when there is no cover."""
    if facts is None:
        return None
    stock, guts = facts.stock, facts.guts
    return {
        "sheet": facts.sheet,
        "stock": {
            "name": stock.name,
            "caliper": _pt(stock.caliper),
            "estimated": stock.estimated,
            "grammage": None if stock.grammage is None else str(stock.grammage),
            "grain": stock.grain,
            "grain_along_scores": stock.along,
        },
        "spine": _spine_data(facts.spine),
        "panel": [_pt(facts.panel.width), _pt(facts.panel.height)],
        "paper": [_pt(facts.paper.width), _pt(facts.paper.height)],
        "trim": [_pt(n) for n in (facts.trim.x0, facts.trim.y0, facts.trim.x1, facts.trim.y1)],
        "front_at": "right" if facts.front_at_right else "left",
        "guts": {
            "head": _pt(guts.head),
            "foot": _pt(guts.foot),
            "fore_edge": _pt(guts.fore_edge),
            "spine": _pt(guts.spine),
        },
        **{name: _pt(getattr(facts, name)) for name in _LENGTHS},
        "guts_below_cover_head": _pt(facts.guts_down),
        "lay": facts.lay,
        "cut_first": facts.cut_first,
        "scored": facts.scored,
        "why_scored": facts.why_scored,
        "creaser": facts.creaser,
        "channel": None if facts.channel is None else _pt(facts.channel),
        "channel_rule": facts.channel_rule,
        **({"pieces": pieces_data(facts.pieces)} if facts.pieces else {}),
    }


_LENGTHS = (
    "hinge",
    "front_distance",
    "back_distance",
    "head",
    "foot",
    "glue_trap_head",
    "glue_trap_foot",
    "glue_strip",
    "flap_front",
    "flap_back",
)


def cover_of(data: Data | None) -> CoverFacts | None:
    """The inverse of `cover_data`; fractions must have been read as decimals."""
    if data is None:
        return None
    stock, grammage = data["stock"], data["stock"]["grammage"]
    lengths = {name: _len(data[name]) for name in _LENGTHS}
    return CoverFacts(
        sheet=data["sheet"],
        stock=CoverStock(
            name=stock["name"],
            caliper=_len(stock["caliper"]),
            estimated=stock["estimated"],
            grammage=None if grammage is None else Fraction(grammage),
            grain=stock["grain"],
            along=stock["grain_along_scores"],
        ),
        spine=_spine_of(data["spine"]),
        panel=Size(*map(_len, data["panel"])),
        paper=Size(*map(_len, data["paper"])),
        trim=Box(*map(_len, data["trim"])),
        front_at_right=data["front_at"] == "right",
        guts=GutsPaper(**{side: _len(value) for side, value in data["guts"].items()}),
        lay=data["lay"],
        cut_first=data["cut_first"],
        scored=data["scored"],
        why_scored=data["why_scored"],
        creaser=data["creaser"],
        channel=None if data["channel"] is None else _len(data["channel"]),
        channel_rule=data["channel_rule"],
        pieces=pieces_of(data["pieces"]) if "pieces" in data else None,
        **lengths,
    )


def _spine_data(spine: SpineFacts) -> Data:
    return {
        "width": _pt(spine.width),
        "origin": spine.origin.value,
        "source": spine.source,
        "leaves": spine.leaves,
        "thicknesses": spine.thicknesses,
        "caliper": _pt(spine.caliper),
        "reckoned": _pt(spine.reckoned),
        "spread": _pt(spine.spread),
        "allowance": _pt(spine.allowance),
        "measured": None if spine.measured is None else _pt(spine.measured),
    }


def _spine_of(data: Data) -> SpineFacts:
    measured = data["measured"]
    return SpineFacts(
        width=_len(data["width"]),
        origin=SpineFrom(data["origin"]),
        source=data["source"],
        leaves=data["leaves"],
        thicknesses=data["thicknesses"],
        caliper=_len(data["caliper"]),
        reckoned=_len(data["reckoned"]),
        spread=_len(data["spread"]),
        allowance=_len(data["allowance"]),
        measured=None if measured is None else _len(measured),
    )


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)


def _len(number: Any) -> Length:
    return Length.points(number)
