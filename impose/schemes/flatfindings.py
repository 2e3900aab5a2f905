"""What is said about flat work: amounts and what is made, gutters, items that are too large."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from impose.errors import JobError
from impose.findings import Finding
from impose.geometry.box import Size
from impose.plan.flatfacts import FlatItem
from impose.schemes.draft import Asked
from impose.schemes.flatitems import Item
from impose.schemes.gangs import Layout


def item_facts(items: Sequence[Item], layouts: Sequence[Layout]) -> tuple[FlatItem, ...]:
    found = []
    for index, item in enumerate(items):
        on = tuple(sum(place.want == index for place in layout.laid) for layout in layouts)
        made = sum(count * layout.prints for count, layout in zip(on, layouts, strict=True))
        found.append(
            FlatItem(
                title=item.title,
                trim=item.trim,
                faces=item.faces,
                amount=made if item.amount is None else item.amount,
                made=made,
                on=on,
                head_to_foot=item.head_to_foot,
            )
        )
    return tuple(found)


def amount_note(items: Sequence[Item], facts: Sequence[FlatItem]) -> tuple[Finding, ...]:
    if all(item.amount is not None for item in items):
        return ()
    return (
        Finding.note(
            "amount-assumed",
            f"no amount is named; one sheet is made, {facts[0].made} up",
            hint="name it: copies in [book], or --copies",
        ),
    )


def over_note(facts: Sequence[FlatItem]) -> tuple[Finding, ...]:
    over = [fact for fact in facts if fact.over]
    if not over:
        return ()
    words = "; ".join(
        f"{fact.title} {fact.over} (makes {fact.made}, {fact.amount} wanted)" for fact in over[:8]
    )
    more = f"; and {len(over) - 8} more items" if len(over) > 8 else ""
    return (
        Finding.note(
            "over-run",
            f"whole sheets make more than the amounts: {words}{more}",
            items=len(over),
            over=sum(fact.over for fact in over),
        ),
    )


def one_cut_note(asked: Asked, items: Sequence[Item]) -> tuple[Finding, ...]:
    gutter = asked.job.guts.gutter
    if gutter is None or gutter or not any(item.bleed for item in items):
        return ()
    return (
        Finding.note(
            "one-cut-no-bleed",
            "neighbours share one cut, so there is no bleed between them: a cut that is off shows "
            "the neighbour's edge",
            hint="leave gutter out to have the bleed of both between them, and two cuts",
        ),
    )


#: More pieces than these on one sheet are not cut apart one by one (from memory: labels so small
#: are die-cut); the cut list would have no end.
_MOST: Final = 2000


def check_count(layouts: Sequence[Layout]) -> None:
    """A sheet of confetti is refused."""
    most = max(len(layout.laid) for layout in layouts)
    if most > _MOST:
        raise JobError(
            [
                Finding.error(
                    "too-many-up",
                    f"{most} pieces go on one sheet; {_MOST} are the most that are cut apart",
                    hint="say how many are to stand on it (up), or check the trim's unit",
                    pieces=most,
                    most=_MOST,
                )
            ]
        )


def check_gutter(asked: Asked, items: Sequence[Item]) -> None:
    """A gutter too narrow for a bleed that is asked for; none at all is one shared cut."""
    gutter, unit = asked.job.guts.gutter, asked.job.unit
    said = asked.job.guts.bleed
    if not gutter or not said or gutter >= said * 2:
        return
    raise JobError(
        [
            Finding.error(
                "bleed-gutter",
                f"a bleed of {said.text(unit)} on both sides needs a gutter of "
                f"{(said * 2).text(unit)}; the gutter is {gutter.text(unit)}",
                hint="make the gutter wider or the bleed smaller; a gutter of 0mm is one cut",
            )
        ]
    )


def check_backs(asked: Asked, items: Sequence[Item]) -> None:
    """A pile that is put back for its second side needs something on it."""
    if asked.job.guts.one_side and all(len(item.faces) == 1 for item in items):
        raise JobError(
            [
                Finding.error(
                    "no-backs",
                    "the sheets are to be printed one side at a time, and no item has a back",
                    hint="leave printing out",
                )
            ]
        )


def too_large(asked: Asked, item: Item, sheets: str) -> Finding:
    job, unit = asked.job, asked.job.unit
    more = item.bleed * 2
    whole = Size(item.trim.width + more, item.trim.height + more)
    bled = f", with its bleed {whole.text(unit)}," if more else ""
    if item.grain is not None and job.guts.stock.grain is None:
        return Finding.error(
            "grain-unknown",
            f"{item.title} wants the grain along its {item.grain.value} side, and the grain of "
            f"{job.guts.stock.name} is not known",
            hint='say it: stock = { name = "...", grain = "long" } in [guts]',
        )
    printer = job.guts.printer
    gripper = f", less the gripper of {printer.name}" if printer and printer.plates else ""
    held = " as its grain or turn allows" if item.grain or not item.turn else ", either way round"
    times = f" {item.up} times" if item.up and item.up > 1 else ""
    return Finding.error(
        "item-too-large",
        f"{item.title} ({item.trim.text(unit)}){bled} does not go{times} on {sheets}{gripper}"
        f"{held}",
        hint="choose a larger sheet or a smaller trim"
        + (", or put it fewer times on the sheet (up)" if times else ""),
        item=item.title,
        trim=item.trim.text(unit),
    )
