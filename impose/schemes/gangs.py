"""How often each item stands on which sheet, so that the amounts are met with the fewest sheets.

On one layout printed N times an item is wanted ceil(amount / N) times; the
smallest N for which all of these could be packed is looked for.  Items whose
amounts lie far apart waste paper on one layout, so they are shared out, in the
order of their amounts, over several; another layout is another set of plates
and another make-ready, so it must save one sheet in ten, those for spoilage reckoned
in (a choice of this program), unless the job says how many layouts there may be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from impose.schemes.packing import Laid, Want, most_of_one, pack, packings

#: A further layout must save this part of the sheets.
_WORTH: Final = 10
#: How full sheets of several items become, reckoned beforehand: parts of a hundred (measured).
_FULL: Final = 85
#: More layouts beyond those needed are not tried.
_MORE: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """An item with the room round it: its measures in grains, which ways it may lie.

    `amount` None: as many as one sheet holds; `up`: exactly so often on its sheet.
    """

    width: int
    height: int
    ways: tuple[bool, ...]
    amount: int | None
    up: int | None

    def on_sheet(self, prints: int) -> int:
        """How often it must stand on a sheet printed so many times."""
        return self.up or -(-(self.amount or 1) // prints)

    def want(self, count: int) -> Want:
        return Want(self.width, self.height, count, self.ways)


@dataclass(frozen=True, slots=True)
class Layout:
    """One arrangement: `laid` name items by their index; printed `prints` times."""

    laid: tuple[Laid, ...]
    prints: int


@dataclass(frozen=True, slots=True)
class Area:
    """Where blocks may lie: measures in grains."""

    width: int
    height: int

    @property
    def size(self) -> int:
        return self.width * self.height


def lay_out(
    area: Area, wanted: Sequence[Wanted], most: int | None, overs: int = 0
) -> tuple[Layout, ...] | None:
    """The layouts, the one printed most first; None when no way was found.

    `most`: no more layouts than these, and every one that saves a sheet is worth it.
    `overs` are printed of every layout besides.
    """
    order = sorted(range(len(wanted)), key=lambda i: (-(wanted[i].amount or 1), i))
    ordered = [wanted[i] for i in order]
    best: tuple[Layout, ...] | None = None
    known: dict[tuple[int, int], Layout | None] = {}
    limit = min(most or len(ordered), len(ordered))
    shares = _Shares(area, ordered)
    tried = 0
    for count in range(1, limit + 1):
        parts = shares.parted(count)
        if parts is None:
            continue
        found = []
        for part in parts:
            if part not in known:
                known[part] = _fewest(area, ordered[part[0] : part[1]])
            found.append((part, known[part]))
        layouts = [_renamed(one, order[a:b]) for (a, b), one in found if one is not None]
        if len(layouts) == count and (
            best is None or _better(layouts, best, most is not None, overs)
        ):
            best = tuple(layouts)
        tried += best is not None
        if tried > _MORE:
            break
    return best if best is None else tuple(sorted(best, key=lambda one: -one.prints))


def _better(
    layouts: Sequence[Layout], best: Sequence[Layout], any_saving: bool, overs: int
) -> bool:
    now, before = (sum(one.prints + overs for one in some) for some in (layouts, best))
    if any_saving:
        return now < before
    return (before - now) * _WORTH >= before * (len(layouts) - len(best))


def _renamed(layout: Layout, order: Sequence[int]) -> Layout:
    laid = tuple(Laid(order[p.want], p.x, p.y, p.turned) for p in layout.laid)
    return Layout(laid, layout.prints)


def _fewest(area: Area, group: Sequence[Wanted]) -> Layout | None:
    """One layout of these items, printed as few times as was found possible."""
    if len(group) == 1 and group[0].up is None:
        laid = most_of_one(area.width, area.height, group[0].want(1))
        if not laid:
            return None
        return Layout(laid, -(-(group[0].amount or len(laid)) // len(laid)))
    runs = [n for n in _runs(area, group) if _used(group, n) <= area.size]
    low, high = 0, len(runs) - 1
    found: Layout | None = None
    while low <= high:
        middle = (low + high) // 2
        wants = [w.want(w.on_sheet(runs[middle])) for w in group]
        packed = pack(area.width, area.height, wants)
        if packed is None:
            low = middle + 1
        else:
            found, high = Layout(packed, runs[middle]), middle - 1
    return found


def _runs(area: Area, group: Sequence[Wanted]) -> list[int]:
    """Run lengths at which an item needs one place less, rising."""
    least = max((-(-(w.amount or 1) // w.up) for w in group if w.up), default=1)
    found = {least}
    for item in group:
        amount = item.amount or 1
        most = min(amount, area.size // (item.width * item.height))
        found |= {-(-amount // places) for places in range(1, most + 1)}
    return sorted(run for run in found if run >= least)


def _used(group: Sequence[Wanted], prints: int) -> int:
    return sum(w.on_sheet(prints) * w.width * w.height for w in group)


class _Shares:
    """Items in falling order of their amounts shared out over layouts, by area alone."""

    def __init__(self, area: Area, items: Sequence[Wanted]) -> None:
        self._area, self._items = area, items
        self._prints = cache(self._reckon)
        self._best = cache(self._search)

    def parted(self, count: int) -> tuple[tuple[int, int], ...] | None:
        """From where to where each part goes; None when so few layouts cannot hold them."""
        found = self._best(0, count)
        return None if found is None else found[1]

    def _search(self, start: int, count: int) -> tuple[int, tuple[tuple[int, int], ...]] | None:
        whole = len(self._items)
        if count == 1:
            prints = self._prints(start, whole)
            return None if prints is None else (prints, ((start, whole),))
        best: tuple[int, tuple[tuple[int, int], ...]] | None = None
        for end in range(start + 1, whole - count + 2):
            prints, rest = self._prints(start, end), self._best(end, count - 1)
            if prints is None or rest is None:
                continue
            if best is None or prints + rest[0] < best[0]:
                best = (prints + rest[0], ((start, end), *rest[1]))
        return best

    def _reckon(self, start: int, end: int) -> int | None:
        """Prints of one layout of these, if sheets become as full as they usually do; fuller
        where they must."""
        group = self._items[start:end]
        runs, room = _runs(self._area, group), self._area.size
        if not runs or _used(group, runs[-1]) > room:
            return None
        if len(group) > 1:
            room = max(room * _FULL // 100, _used(group, runs[-1]))
        low, high = 0, len(runs) - 1
        while low < high:
            middle = (low + high) // 2
            if _used(group, runs[middle]) <= room:
                high = middle
            else:
                low = middle + 1
        return runs[low]


def same_in_other_ways(
    area: Area, wanted: Sequence[Wanted], layout: Layout
) -> tuple[tuple[Laid, ...], ...]:
    """Other arrangements of the same counts, the given one first, to choose the handiest."""
    counts: dict[int, int] = {}
    for place in layout.laid:
        counts[place.want] = counts.get(place.want, 0) + 1
    if len(counts) == 1 and wanted[layout.laid[0].want].up is None:
        return (layout.laid,)
    order = sorted(counts)
    wants = [wanted[i].want(counts[i]) for i in order]
    others = packings(area.width, area.height, wants)
    return (
        layout.laid,
        *(tuple(Laid(order[p.want], p.x, p.y, p.turned) for p in found) for found in others),
    )
