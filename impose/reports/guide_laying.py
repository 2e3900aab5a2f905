"""What to do now: which face of every sheet lies up in the pile that is folded as one."""

from __future__ import annotations

from collections.abc import Sequence

from impose.plan.parts import Placement, Sheet, Side
from impose.reports.guide_parts import positions


def laid_words(sheets: Sequence[Sheet]) -> str:
    """From the bottom of the pile up, each sheet by the pages that then show on it.

    `sheets` are those of a section, the outermost first, each folded once.  Up lies the face
    that is inside after the fold; sheets carry no number that could be looked for, pages do.
    """
    inner = [_inner(sheet) for sheet in sheets]
    names = {name for name, _ in inner}
    alike = f"all with the {names.pop()} up" if len(names) == 1 else "the face named here up"
    shown = []
    for sheet, (name, side) in zip(sheets, inner, strict=True):
        up = f", {name} up," if alike.startswith("the") else ""
        shown.append(f"sheet {sheet.number}{up} shows {_pages(side)}")
    return f"{alike}, from the bottom to the top: {'; '.join(shown)}."


def _inner(sheet: Sheet) -> tuple[str, Side]:
    """The side without the outermost page of the sheet, and its name."""
    outermost = min(positions(sheet.front) + positions(sheet.back))
    if outermost in positions(sheet.front):
        return "back", sheet.back
    return "front", sheet.front


def _pages(side: Side) -> str:
    """The pages of a side in the order in which they stand there, blanks said."""
    across = sorted(side.placements, key=_from_left)
    pages = [f"{one.position}{' (blank)' if one.page is None else ''}" for one in across]
    return " and ".join(dict.fromkeys(pages))


def _from_left(one: Placement) -> int:
    """Rises from left to right for a reader who holds the page upright."""
    x, y = one.trim.x0.grains, one.trim.y0.grains
    return {0: x, 90: y, 180: -x, 270: -y}[one.turn]
