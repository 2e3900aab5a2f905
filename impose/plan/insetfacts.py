"""What a plan says of one group of insets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from impose.geometry.box import Size
from impose.model.leafkinds import LeafKind
from impose.plan.parts import Gather
from impose.units import Length, points_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Inset:
    """Leaves of one kind, size and stock that are put into the gathered guts.

    `size` is their page as it is read, a fold-out laid open.  `places` are
    pairs: how many pages of the finished book lie before it, and how many
    leaves come there.  `folds` of a fold-out are distances from the spine edge
    of its trim, the nearest first; the first folds over the recto, the next
    back, and so on.  `stock` is empty when it is that of the guts.
    """

    number: int
    kind: LeafKind
    size: Size
    caliper: Length
    places: tuple[tuple[int, int], ...]
    stock: str = ""
    folds: tuple[Length, ...] = ()

    @property
    def leaves(self) -> int:
        """In one book."""
        return sum(leaves for _, leaves in self.places)

    @property
    def thicknesses(self) -> int:
        """Of paper at the spine; the panels of a fold-out keep clear of it."""
        return self.leaves * (2 if self.kind is LeafKind.FRENCH else 1)


def inset_data(inset: Inset) -> dict[str, Any]:
    """For JSON; lengths are numbers in points."""
    return {
        "number": inset.number,
        "kind": inset.kind.value,
        "size": [_pt(inset.size.width), _pt(inset.size.height)],
        "stock": inset.stock,
        "caliper": _pt(inset.caliper),
        "folds": [_pt(fold) for fold in inset.folds],
        "places": [{"after": after, "leaves": leaves} for after, leaves in inset.places],
    }


def inset_of(data: dict[str, Any]) -> Inset:
    """The inverse; fractions were read as decimals."""
    width, height = map(Length.points, data["size"])
    return Inset(
        number=data["number"],
        kind=LeafKind(data["kind"]),
        size=Size(width, height),
        stock=data["stock"],
        caliper=Length.points(data["caliper"]),
        folds=tuple(map(Length.points, data["folds"])),
        places=tuple((place["after"], place["leaves"]) for place in data["places"]),
    )


def gather_data(step: Gather) -> dict[str, Any]:
    """For JSON; the keys of an inset are there for insets alone, an item for flat work alone."""
    data: dict[str, Any] = {"kind": step.kind, "sheets": list(step.sheets), "cell": step.cell}
    if step.inset:
        data |= {"inset": step.inset, "after": step.after}
    if step.turn:
        data["turn"] = step.turn
    if step.item:
        data["item"] = step.item
    return data


def gather_of(data: dict[str, Any]) -> Gather:
    """The inverse."""
    inset, after = data.get("inset", 0), data.get("after", 0)
    return Gather(
        data["kind"],
        tuple(data["sheets"]),
        data["cell"],
        inset,
        after,
        turn=data.get("turn", 0),
        item=data.get("item", 0),
    )


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)
