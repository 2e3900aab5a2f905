"""The cover of a job, from its table."""

from __future__ import annotations

from impose.model.asked import Asked
from impose.model.job import Cover, CoverArt, PagesItem
from impose.model.jobtables import ArtTable, CoverTable, PagesTable
from impose.model.keylines import KeyPath
from impose.model.paper import stock_of
from impose.model.stock import Stock
from impose.units import ZERO


def cover_of(asked: Asked) -> Cover | None:
    """None where the job has no cover of its own."""
    table = asked.tables.cover
    if table is None:
        return None
    return Cover(
        stock=_stock(asked, table),
        art=_art(asked, ("cover", "art"), table.art),
        inside=_art(asked, ("cover", "inside"), table.inside),
        sheets=asked.sizes(("cover", "sheet"), table.sheet),
        spine=table.spine,
        hinge=table.hinge,
        flap_front=table.flaps.front if table.flaps else None,
        flap_back=table.flaps.back if table.flaps else None,
        allowance=table.allowance,
        lay=table.lay,
        spine_text_clear=table.spine_text_clear,
        fill=table.fill,
        score_from=table.score_from,
        thin_spine=table.thin_spine,
        up=table.up if table.up and table.up.count > 1 else None,
        piece=table.piece.size if table.piece else None,
        gutter=table.gutter or ZERO,
    )


def _stock(asked: Asked, table: CoverTable) -> Stock | None:
    stock = table.stock
    if stock is None:
        return None
    return asked.look_up(("cover", "stock"), lambda: stock_of(stock, asked.profiles))


def _art(asked: Asked, path: KeyPath, table: ArtTable | None) -> CoverArt | None:
    if table is None:
        return None

    def item(part: PagesTable | None, key: str) -> PagesItem | None:
        return asked.item((*path, key), part) if part is not None else None

    return CoverArt(
        wide=item(table.wide, "wide"),
        back=item(table.back, "back"),
        spine=item(table.spine, "spine"),
        front=item(table.front, "front"),
    )
