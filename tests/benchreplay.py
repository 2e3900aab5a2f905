"""An operator who reads only the cut list: cuts polygons with shapely, turns piles by the words.

Nothing of the program's own replay is used, and no line of the plan's cuts
where the steps are followed.  Lengths are points.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon, box
from shapely.ops import split, unary_union

from impose.plan.wire import to_data

Data = dict[str, Any]
RING = ("right", "top", "left", "bottom")  # counter-clockwise, seen from the front
BOOK = {"fore-edge": "right", "head": "top", "spine": "left", "foot": "bottom"}
OPPOSITE = {"right": "left", "left": "right", "top": "bottom", "bottom": "top"}


@dataclass
class Pile:
    """Paper on the table: the edge at the back stop, whether it is seen as in a mirror."""

    paper: Polygon
    back: str = ""
    mirrored: bool = False

    def at(self, side: str) -> str:
        """Which edge of its frame lies at the left or right now."""
        step = -1 if side == "right" else 1
        if self.mirrored:
            step = -step
        return RING[(RING.index(self.back) + step) % 4]

    def turn(self, word: str) -> None:
        if word == "quarter turn left":  # what lies at the right comes to the back
            self.back = self.at("right")
        elif word == "quarter turn right":
            self.back = self.at("left")
        elif word == "half turn":
            self.back = OPPOSITE[self.back]
        else:
            assert word == "turned over"
            self.back = OPPOSITE[self.back]
            self.mirrored = not self.mirrored

    def cut(self, gauge: float) -> tuple[Pile, Pile]:
        """What lies between stop and knife, and what falls in front."""
        x0, y0, x1, y1 = self.paper.bounds
        far = 1e5
        if self.back in ("left", "right"):
            at = x0 + gauge if self.back == "left" else x1 - gauge
            knife = LineString([(at, -far), (at, far)])
        else:
            at = y0 + gauge if self.back == "bottom" else y1 - gauge
            knife = LineString([(-far, at), (far, at)])
        one, other = split(self.paper, knife).geoms
        held = {"left": 0, "right": 2, "bottom": 1, "top": 3}[self.back]
        if one.bounds[held] == self.paper.bounds[held]:
            stays, falls = one, other
        else:
            stays, falls = other, one
        return (
            Pile(stays, self.back, self.mirrored),
            Pile(falls, self.back, self.mirrored),
        )


@dataclass
class Operator:
    """Follows the steps of a plan's JSON data."""

    data: Data
    piles: dict[str, Pile] = field(default_factory=dict)
    gauges: list[float] = field(default_factory=list)
    turns: int = 0
    strokes: int = 0
    settings: int = 0
    spine_sides: list[str] = field(default_factory=list)

    def cut_sheets(self) -> dict[str, Polygon]:
        """The piles that are left of the sheets."""
        width, height = next(s["size"] for s in self.data["sheets"] if s["role"] == "guts")
        self.piles["sheets"] = Pile(box(0, 0, width, height))
        for step in self._cuts("sheets"):
            self._follow(step, [step["present"]["at_gauge"]] * len(step["table"]["piles"]))
        return {name: pile.paper for name, pile in self.piles.items()}

    def cut_paper(self, things: str, width: float, height: float) -> dict[str, Polygon]:
        """The piles that are left of other paper: parent sheets, the cover."""
        self.piles = {things: Pile(box(0, 0, width, height))}
        for step in self._cuts(things):
            self._follow(step, [step["present"]["at_gauge"]] * len(step["table"]["piles"]))
        return {name: pile.paper for name, pile in self.piles.items()}

    def cut_gathered(self, outline: Polygon) -> Polygon:
        """What is left of the gathered leaves after the cuts that come before the cover."""
        self.piles["book"] = Pile(outline, mirrored=self.data["bound_at"] == "right")
        for step in self._cuts("book", "before binding"):
            self._follow(step, [BOOK[step["present"]["at_gauge"]]])
        return self.piles["book"].paper

    def trim_book(self, outline: Polygon) -> Polygon:
        """What is left of a bound block of this outline (spine at the left, foot at 0)."""
        self.piles["book"] = Pile(outline)
        right_bound = self.data["bound_at"] == "right"
        for step in self._cuts("book", "after binding"):
            pile = self.piles["book"]
            back_up = step["present"]["face_up"] == "back"
            if not pile.back:
                pile.mirrored = right_bound != back_up
            self._follow(step, [BOOK[step["present"]["at_gauge"]]])
            assert self.piles["book"].mirrored == (right_bound != back_up)
            for side in ("left", "right"):
                if self.piles["book"].at(side) == "left":
                    self.spine_sides.append(side)
        return self.piles["book"].paper

    def _cuts(self, things: str, when: str = "") -> list[Data]:
        return [
            step
            for step in self.data["cut_steps"]
            if step["kind"] == "cut"
            and step["table"]["things"] == things
            and when in ("", step["when"])
        ]

    def _follow(self, step: Data, wanted: list[str]) -> None:
        gauge = float(step["setting"]["gauge"])
        if not self.gauges or self.gauges[-1] != gauge:
            self.settings += 1
        self.gauges.append(gauge)
        for index, (name, back) in enumerate(zip(step["table"]["piles"], wanted, strict=True)):
            pile = self.piles.pop(name)
            if not pile.back:
                assert not step["present"]["turns"]
                pile.back = back
            for word in step["present"]["turns"]:
                pile.turn(word)
                self.turns += 1
            assert pile.back == back, (step["number"], name, pile.back, back)
            stays, falls = pile.cut(gauge)
            self.strokes += 1
            for part, there in (("stays", stays), ("falls", falls)):
                if not step[part]["waste"]:
                    self.piles[step[part]["piles"][index]] = there


def operator_for(plan: Any) -> Operator:
    return Operator(to_data(plan))


# -- the book from the sheets ----------------------------------------------------------


def leaves_in_book(data: Data) -> list[tuple[Polygon, Polygon]]:
    """Paper and trim of each leaf in the book's frame: spine at 0, foot at 0, spine at the left.

    A sheet falls apart along its folds and its cuts before binding; what holds
    the trim is the leaf.
    """
    early = {c["id"] for c in data["cuts"] if c["when"] != "after binding"}
    found, seen = [], set()
    for sheet in data["sheets"]:
        if sheet["role"] != "guts":
            continue
        parts: list[Polygon] | None = None
        for placement in sheet["front"]["placements"]:
            key = (tuple(placement["art"]), placement["spine_at"], len(sheet["folds"]))
            if key in seen:
                continue
            seen.add(key)
            parts = parts or _parts(sheet, early)
            trim = box(*placement["trim"])
            paper = next(p for p in parts if p.buffer(1e-6).contains(trim))
            move = _to_book(placement)
            found.append((affine_transform(paper, move), affine_transform(trim, move)))
    return found


def _parts(sheet: Data, early: set[str]) -> list[Polygon]:
    width, height = sheet["size"]
    parts = [box(0, 0, width, height)]
    far = 1e5
    for line in sheet["lines"]:
        if not (line["kind"] == "fold" or (line["kind"] == "cut" and line["of"] in early)):
            continue
        (x0, y0), (x1, y1) = line["from"], line["to"]
        upright = x0 == x1
        knife = LineString([(x0, -far), (x1, far)] if upright else [(-far, y0), (far, y1)])
        parts = [piece for part in parts for piece in split(part, knife).geoms]
    return parts


def _to_book(placement: Data) -> list[float]:
    x0, y0, x1, y1 = placement["art"]
    a, dx = (1, -x0) if placement["spine_at"] == "left" else (-1, x1)
    d, dy = (-1, y1) if placement["upside_down"] else (1, -y0)
    return [a, 0, 0, d, dx, dy]


def outline(leaves: list[tuple[Polygon, Polygon]], grind: float) -> Polygon:
    """The block's outline: the union of all leaves, the spine ground."""
    whole = unary_union([paper for paper, _ in leaves])
    x0, y0, x1, y1 = whole.bounds
    return box(min(x0, 0) + grind, y0, x1, y1)


def same(one: Polygon, other: Polygon, off: float = 1e-6) -> bool:
    """Equal rectangles."""
    return all(abs(a - b) <= off for a, b in zip(one.bounds, other.bounds, strict=True))
