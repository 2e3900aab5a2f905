"""What to propose to somebody who has pages and does not know the trade: pure rules with reasons.

Limits of stapling and gluing are those of the binder profiles, which name
their published sources; what a page must lose so that pictures can run off
it is common practice (2 mm of picture beyond the last cut).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from impose.geometry.box import Size
from impose.model.job import Binding
from impose.model.machines import Binder, Printer
from impose.units import ZERO, Length

#: A page this near to what the paper gives is of that size (see `Job.tolerance`).
NEAR: Final = Length.mm(Fraction(1, 2))
#: Shapes this near (per cent) are alike: a page is then scaled to the whole half of a sheet.
_ALIKE: Final = Fraction(3, 100)
#: Picture that is printed beyond the trim where pages run to the edge.
BLEED: Final = Length.mm(2)
#: What a printer that nobody knows leaves white (from memory: 3 to 5 mm).
_UNKNOWN_MARGIN: Final = Length.mm(5)
#: By unit: in which steps a smaller page is high, and how exactly its width is written.
_STEPS: Final = {
    "mm": (Length.mm(1), Length.mm(Fraction(1, 1000))),
    "in": (Length.inches("1/8"), Length.inches(Fraction(1, 10_000))),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BindingAdvice:
    """A binding and why."""

    binding: Binding
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TrimAdvice:
    """The finished page; `scale` of the page supplied, 1 where it stays as it is.

    `panel` is the paper that there is for one page, `bleed` what is to be
    printed beyond the trim (zero: as supplied).
    """

    trim: Size
    scale: Fraction
    panel: Size
    bleed: Length = ZERO


def advise_binding(pages: int, caliper: Length, stapler: Binder, gluer: Binder) -> BindingAdvice:
    """Stapled as long as staplers take it, else glued; too few pages stay loose.

    `stapler` and `gluer` are the profiles whose limits count.
    """
    leaves = -(-pages // 2)
    sheets = -(-pages // 4)
    most = _most_sheets(caliper, stapler)
    if pages <= 2:
        return BindingAdvice(binding=Binding.LOOSE, why="one leaf needs no binding")
    if sheets <= most:
        why = (
            f"{pages} pages are {sheets} folded sheet{'s' if sheets > 1 else ''}; up to {most} "
            "of this paper can be stapled through the fold, and need nothing but a stapler"
        )
        return BindingAdvice(binding=Binding.SADDLE, why=why)
    thick = caliper * leaves
    if gluer.spine_min is not None and thick < gluer.spine_min:
        why = f"{sheets} folded sheets are too many to staple, {leaves} leaves too thin to glue"
        return BindingAdvice(binding=Binding.STAB, why=why)
    why = (
        f"{sheets} folded sheets are more than the {most} that can be stapled through the fold: "
        "the inner pages would stick out; glued at the spine the book opens and stands"
    )
    return BindingAdvice(binding=Binding.PERFECT, why=why)


def _most_sheets(caliper: Length, stapler: Binder) -> int:
    """Folded sheets of this paper that a stapler takes: by pages, and by the opened pile."""
    by_pages = (stapler.pages_max or 64) // 4
    if stapler.pile_max is None or not caliper:
        return by_pages
    return min(by_pages, max(1, stapler.pile_max // caliper))


def advise_trim(page: Size, sheet: Size, binding: Binding) -> TrimAdvice:
    """The page as it is when the paper takes it, else as large as the paper allows.

    A folded book needs two pages beside each other on one side of the sheet.
    """
    return into(page, panels_of(sheet, binding))


def into(page: Size, panels: Sequence[Size]) -> TrimAdvice:
    """The page as it is where a panel takes it, else scaled to the one that lets it be largest."""
    for panel in panels:
        if page.width <= panel.width + NEAR and page.height <= panel.height + NEAR:
            return TrimAdvice(trim=page, scale=Fraction(1), panel=panel)
    panel = max(panels, key=lambda one: _scale(page, one))
    if abs(_shape(page) / _shape(panel) - 1) <= _ALIKE:
        return TrimAdvice(trim=panel, scale=_scale(page, panel), panel=panel)
    return in_shape(page, panels)


def in_shape(page: Size, panels: Sequence[Size]) -> TrimAdvice:
    """Scaled, in its own shape, to the panel that lets it be largest; never made larger."""
    panel = max(panels, key=lambda one: _scale(page, one))
    scale = min(Fraction(1), _scale(page, panel))
    return TrimAdvice(trim=_scaled(page, scale), scale=scale, panel=panel)


def panels_of(sheet: Size, binding: Binding) -> tuple[Size, ...]:
    """The paper for one page, as it may lie: half a sheet of a folded book, else all of it."""
    short, long = sorted((sheet.width, sheet.height), key=lambda n: n.grains)
    if binding.folded:
        return Size(long.half, short), Size(short.half, long)
    return Size(short, long), Size(long, short)


def runs_to_edge(
    page: Size, advice: TrimAdvice, binding: Binding, printer: Printer | None, unit: str
) -> TrimAdvice:
    """A trim so much smaller that pictures can be printed beyond it and cut.

    The page keeps its shape; its height is a whole millimetre (or eighth of an inch).
    """
    panel = advice.panel
    folded = binding.folded
    lying = Size(panel.width * 2, panel.height) if folded else panel
    across, up = white_edges(lying, printer)
    off = Size(across + BLEED, up + BLEED)
    room = Size(
        panel.width - off.width * (1 if folded else 2),
        panel.height - off.height * 2,
    )
    scale = min(advice.scale, _scale(page, room))
    step, fine = _STEPS[unit]
    height = step * (page.height * scale // step)
    width = page.width * height.ratio(page.height)
    return TrimAdvice(
        trim=Size(fine * (width // fine), height),
        scale=height.ratio(page.height),
        panel=panel,
        bleed=BLEED,
    )


def room_to_cut(advice: TrimAdvice, binding: Binding) -> bool:
    """The paper leaves enough beyond the trim for pictures that run off the page."""
    across = advice.panel.width - advice.trim.width
    up = advice.panel.height - advice.trim.height
    both = 1 if binding.folded else 2
    need = _UNKNOWN_MARGIN + BLEED
    return across >= need * both and up >= need * 2


def white_edges(sheet: Size, printer: Printer | None) -> tuple[Length, Length]:
    """What cannot be printed at the sides and at head and foot, the wider of two edges."""
    if printer is None:
        return _UNKNOWN_MARGIN, _UNKNOWN_MARGIN
    margins = printer.margins(sheet)
    return max(margins.left, margins.right), max(margins.bottom, margins.top)


def _scaled(page: Size, scale: Fraction) -> Size:
    return rounded_down(Size(page.width * scale, page.height * scale))


def rounded_down(size: Size, unit: str = "mm") -> Size:
    """To a thousandth of a millimetre, or a ten-thousandth of an inch, so that it still fits."""
    _, step = _STEPS[unit]
    return Size(step * (size.width // step), step * (size.height // step))


def _scale(page: Size, panel: Size) -> Fraction:
    return min(panel.width.ratio(page.width), panel.height.ratio(page.height))


def _shape(size: Size) -> Fraction:
    return size.width.ratio(size.height)


def takes(printer: Printer | None, sheet: Size) -> bool:
    """Whether the printer takes such a sheet, either way round."""
    if printer is None:
        return True
    own = sorted(n.grains for n in (sheet.width, sheet.height))
    for limit, sign in ((printer.sheet_max, 1), (printer.sheet_min, -1)):
        if limit is None:
            continue
        ends = sorted(n.grains for n in (limit.width, limit.height))
        if any(sign * (a - b) > 0 for a, b in zip(own, ends, strict=True)):
            return False
    return True
