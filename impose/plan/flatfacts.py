"""Flat work in a plan: the items, how often each stands on which sheet, and what is made of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from impose.geometry.box import Size
from impose.units import Length, points_text

#: Flat work printed on both sides, and on one.
FLAT = "flat"
FLAT_ONE_SIDED = "flat, one side"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatItem:
    """One item of flat work: a card, a label, a cover without folds.

    `trim` is its size as it is read; `faces` are the source pages of its front
    and, where it has one, its back (None: blank).  `on` says how often it stands
    on each sheet of the plan, in their order.  `amount` is what is wanted, `made`
    what the sheets give, spoilage not reckoned.  `head_to_foot`: the head of the
    back lies at the foot of the front.
    """

    title: str
    trim: Size
    faces: tuple[int | None, ...]
    amount: int
    made: int
    on: tuple[int, ...]
    head_to_foot: bool = False

    @property
    def over(self) -> int:
        """Made beyond the amount."""
        return self.made - self.amount


#: The sides of an item that have no name in a book: its left is where a page has its spine.
SIDE_WORDS: Final = {"spine": "left", "fore-edge": "right"}

Data = dict[str, Any]


def items_data(items: tuple[FlatItem, ...]) -> Data:
    """The key of `plan.json`; a plan without flat work has none."""
    return {"items": [_item_data(item) for item in items]} if items else {}


def items_of(data: Data) -> tuple[FlatItem, ...]:
    """The inverse of `items_data`."""
    return tuple(map(_item_of, data.get("items", ())))


def _item_data(item: FlatItem) -> Data:
    return {
        "title": item.title,
        "trim_size": [_pt(item.trim.width), _pt(item.trim.height)],
        "faces": list(item.faces),
        "amount": item.amount,
        "made": item.made,
        "on": list(item.on),
        "head_to_foot": item.head_to_foot,
    }


def _item_of(data: Data) -> FlatItem:
    width, height = map(Length.points, data["trim_size"])
    return FlatItem(
        title=data["title"],
        trim=Size(width, height),
        faces=tuple(data["faces"]),
        amount=data["amount"],
        made=data["made"],
        on=tuple(data["on"]),
        head_to_foot=data["head_to_foot"],
    )


def _pt(length: Length) -> float | int:
    text = points_text(length)
    return float(text) if "." in text else int(text)
