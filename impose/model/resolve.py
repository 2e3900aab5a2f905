"""From a job file and options to a job: profiles looked up, defaults filled in, faults together.

What is not said: no printer means the whole sheet is printable; no stock means
the usual copy paper, its caliper an estimate; no sheet means the sheets of an
office printer.  Each assumption is noted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from pathlib import Path
from typing import Final

from impose.errors import JobError
from impose.findings import Finding, plain
from impose.geometry.sides import BoundAt
from impose.model.asked import Asked
from impose.model.athand import sheets_at_hand
from impose.model.checklimits import USUAL_LIMITS, CheckLimits
from impose.model.combinations import refuse_impossible
from impose.model.conditions import Conditions
from impose.model.covers import cover_of
from impose.model.flatjobs import FlatJob, flat_job, is_flat, item_sizes, with_items_stock
from impose.model.holechoice import holes_of
from impose.model.job import (
    FOLD_OUT_CLEAR,
    Binding,
    BlanksAt,
    FitMode,
    Guts,
    Job,
    MakeBleed,
    MarkSettings,
    NamedSize,
    Order,
    PagesItem,
)
from impose.model.jobfile import JobFile, read_job_file, read_job_values
from impose.model.jobtables import ON_SHEET, PRINTING, PROOFS, JobTables
from impose.model.machines import Bench, Binder, Printer
from impose.model.overrides import Overrides, lay_over
from impose.model.panels import PanelWish
from impose.model.paper import assumed_stock, caliper_text, stock_of
from impose.model.pricing import prices_of
from impose.model.profiles import Library
from impose.model.readers import either
from impose.model.stock import Stock
from impose.units import Length

#: The sheets that an office printer takes (common practice), the smaller first.
HOME_SHEETS: Final = {"mm": ("a4", "a3"), "in": ("letter", "tabloid")}


def job_from_file(path: Path, overrides: Overrides, library: Library | None = None) -> Job:
    """The job of a job file; what an option gives wins over the file.

    Paths in the file start at its folder, those of options at the working
    folder.  Raises `InputError` when the file cannot be read, and `JobError`
    with every fault of file, options and the profiles they name.
    """
    return _from_tables(read_job_file(path), overrides, library)


def job_from_values(
    values: Mapping[str, object], folder: Path, library: Library | None = None
) -> Job:
    """The job of the tables of a job file as values of Python; paths start at `folder`.

    Raises `JobError` with every fault, each named by its key.
    """
    file = read_job_values(values, folder)
    try:
        return _from_tables(file, Overrides(), library)
    except JobError as error:
        no_file = str(file.source.path)
        raise JobError(
            [replace(f, file="", line=0) if f.file == no_file else f for f in error.faults]
        ) from None


def _from_tables(file: JobFile, overrides: Overrides, library: Library | None) -> Job:
    laid = lay_over(file.tables, overrides)
    path = file.source.path
    asked = Asked(
        tables=laid.tables,
        profiles=library or Library(path.parent),
        folder=path.parent,
        here=Path(),
        source=file.source,
        said=laid.said,
        spoiled=frozenset(p for p in file.spoiled if p[:2] not in laid.said) | laid.spoiled,
        faults=[*file.faults, *laid.faults],
    )
    return _resolve(asked, path.stem)


def job_from_options(overrides: Overrides, folder: Path, library: Library | None = None) -> Job:
    """The job of options alone; relative paths start at `folder`.

    Raises `JobError` with every fault.
    """
    laid = lay_over(JobTables(), overrides)
    asked = Asked(
        tables=laid.tables,
        profiles=library or Library(folder),
        folder=folder,
        here=folder,
        source=None,
        said=laid.said,
        spoiled=laid.spoiled,
        faults=list(laid.faults),
    )
    return _resolve(asked, "untitled")


def _resolve(asked: Asked, stem: str) -> Job:
    """Reads on after a fault, so that all of them are found in one run."""
    asked = with_items_stock(asked)
    book = asked.tables.book
    notes: list[Finding] = []
    trim = asked.size(("book", "trim"), book.trim) if book.trim is not None else None
    named = asked.sizes(("guts", "sheet"), asked.tables.guts.sheet)
    unit = book.units or _unit_of(trim, *item_sizes(asked), *named) or "mm"
    sheets = named or _assumed_sheets(asked, unit, notes)
    wish = asked.tables.guts.parent
    parent = asked.size(("guts", "parent"), wish) if wish is not None else None
    pages, binding, flat = _content(asked, stem)
    bench = _bench(asked)
    stock = _stock(asked, unit, notes)
    grind = _grind(asked, binding, bench.binder, notes)
    printer = _printer(asked)
    cover = cover_of(asked)
    holes = holes_of(asked, binding, bench.binder, unit, notes)
    if stock is None or binding is None:
        raise JobError(_in_order(asked.faults))
    job = Job(
        title=plain(book.title or _title(pages, stem)),
        unit=unit,
        pages=pages,
        binding=binding,
        guts=replace(_guts(asked, stock, sheets), printer=printer, grind=grind, parent=parent),
        folder=asked.folder,
        trim=trim,
        bound_at=book.bound_at or BoundAt.LEFT,
        fit=book.fit or FitMode.ASK,
        blanks_at=book.blanks or BlanksAt(),
        date=book.date or "",
        copies=1 if flat.items else book.copies or 1,
        extra_leaves=book.extra_leaves or 0,
        instructions=book.instructions,
        spreads=book.proof != PROOFS[1],
        cover=cover,
        marks=_marks(asked),
        limits=_limits(asked),
        bench=bench,
        holes=holes,
        conditions=_conditions(asked),
        passwords=book.password,
        page_sizes=asked.profiles.page_sizes() if trim is None else (),
        at_hand=sheets_at_hand(asked, named, sheets, printer),
        layout=asked.tables.guts.layout,
        prices=prices_of(asked),
        items=flat.items,
        findings=tuple(notes),
    )
    refuse_impossible(asked, job)
    if asked.faults:
        raise JobError(_in_order(asked.faults))
    return job


def _content(asked: Asked, stem: str) -> tuple[tuple[PagesItem, ...], Binding | None, FlatJob]:
    """The pages, how they are bound, and the items where they are flat work."""
    pages = _pages(asked)
    binding = _binding(asked)
    if not is_flat(asked, binding):
        return pages, binding, FlatJob()
    flat = flat_job(asked, pages, stem)
    return flat.pages, Binding.FLAT, flat


def _in_order(faults: list[Finding]) -> tuple[Finding, ...]:
    """Options first, then by file and line."""
    return tuple(sorted(faults, key=lambda fault: (fault.file, fault.line)))


def _unit_of(*sizes: NamedSize | None) -> str | None:
    """The unit in which the first size was written."""
    return next((size.unit for size in sizes if size is not None), None)


def _assumed_sheets(asked: Asked, unit: str, notes: list[Finding]) -> tuple[NamedSize, ...]:
    """The home sheets, unless a sheet was named that nobody knows."""
    path = ("guts", "sheet")
    if asked.tables.guts.sheet or not asked.sound(path):
        return ()
    sheets = asked.sizes(path, HOME_SHEETS[unit])
    names = either(sheet.name for sheet in sheets)
    notes.append(
        Finding.note(
            "sheet-assumed",
            f"no sheet is named; {names} is assumed, whichever fits best",
            hint='name yours: sheet = "..." in [guts], or --sheet',
        )
    )
    return sheets


def _pages(asked: Asked) -> tuple[PagesItem, ...]:
    path = ("book", "pages")
    tables = asked.tables.book.pages
    if not tables and asked.sound(path) and not asked.tables.items:
        asked.fault(path, "no pages are named", 'for example pages = ["pages.pdf"]')
    return tuple(asked.item((*path, i), table) for i, table in enumerate(tables) if table)


def _title(pages: tuple[PagesItem, ...], stem: str) -> str:
    """The name of the first file, without its ending."""
    return next((item.file.stem for item in pages if item.file is not None), stem)


def _binding(asked: Asked) -> Binding | None:
    path = ("book", "binding")
    binding = asked.tables.book.binding
    if binding is None and asked.sound(path) and not asked.tables.items:
        words = either(member.value for member in Binding)
        asked.fault(
            path,
            "the binding is not said",
            f"it is {words}; impose start PAGES.pdf asks for it in plain words",
        )
    return binding


def _stock(asked: Asked, unit: str, notes: list[Finding]) -> Stock | None:
    path = ("guts", "stock")
    table = asked.tables.guts.stock
    if table is not None:
        stock = asked.look_up(path, lambda: stock_of(table, asked.profiles))
        if stock is not None and stock.estimated:
            notes.append(_estimate_note("caliper-estimated", stock, unit, "the caliper of"))
        return stock
    stock = asked.look_up(path, lambda: assumed_stock(unit, asked.profiles))
    if stock is not None and asked.sound(path):
        notes.append(_estimate_note("stock-assumed", stock, unit, "no stock is named; assumed is"))
    return stock


def _estimate_note(code: str, stock: Stock, unit: str, opening: str) -> Finding:
    return Finding.note(
        code,
        f"{opening} {stock.name}: {caliper_text(stock, unit)}, a table estimate",
        hint="measure a pile of the paper for the spine: stack and leaves in guts.stock",
        caliper=stock.caliper.text(unit),
        off_by=(stock.caliper * stock.spread).text(unit),
    )


def _bench(asked: Asked) -> Bench:
    names, library = asked.tables.bench, asked.profiles
    cutter, creaser, binder = names.cutter, names.creaser, names.binder
    return Bench(
        cutter=asked.look_up(("bench", "cutter"), lambda: library.cutter(cutter))
        if cutter
        else None,
        creaser=asked.look_up(("bench", "creaser"), lambda: library.creaser(creaser))
        if creaser
        else None,
        binder=asked.look_up(("bench", "binder"), lambda: library.binder(binder))
        if binder
        else None,
    )


def _printer(asked: Asked) -> Printer | None:
    name = asked.tables.guts.printer
    if name is None:
        return None
    return asked.look_up(("guts", "printer"), lambda: asked.profiles.printer(name))


def _grind(
    asked: Asked, binding: Binding | None, binder: Binder | None, notes: list[Finding]
) -> Length | None:
    """As said; else the binder's, when it makes this binding."""
    said = asked.tables.guts.grind
    if binder is None or binding is None:
        return said
    if _makes(binder, binding):
        return said if said is not None else binder.grind
    notes.append(
        Finding.warning(
            "binder-binding",
            f"the binder, {binder.name}, makes {binder.binding} bindings; "
            f"the job's binding is {binding.value}",
            hint="name another binder in [bench]; its grind is not used",
        )
    )
    return said


def _makes(binder: Binder, binding: Binding) -> bool:
    """What glues single leaves glues sections too."""
    if binder.binding == Binding.PERFECT.value and binding is Binding.SECTIONS:
        return True
    return binder.binding in ("", binding.value)


def _guts(asked: Asked, stock: Stock, sheets: tuple[NamedSize, ...]) -> Guts:
    table = asked.tables.guts
    return Guts(
        stock=stock,
        sheets=sheets,
        up=table.up,
        flip=table.flip,
        section_pages=table.section_pages,
        last_section=table.last_section or "fill",
        order=table.order or Order.CUT_AND_STACK,
        order_said=table.order is not None,
        centred=table.place == "centred",
        bleed=asked.tables.book.bleed,
        gutter=table.gutter,
        trim_off=table.trim_off,
        head_allowance=table.head_allowance,
        foot_allowance=table.foot_allowance,
        fore_edge_allowance=table.fore_edge_allowance,
        lip=table.lip,
        lip_on=table.lip_on or "front",
        creep_total=table.creep,
        lay=None if table.lay == "centre" else table.lay,
        overs=table.overs or 0,
        fold_out_clear=FOLD_OUT_CLEAR if table.fold_out_clear is None else table.fold_out_clear,
        make_bleed=table.make_bleed or MakeBleed.AS_SUPPLIED,
        french_fold=table.french_fold,
        one_side=table.printing == PRINTING[1],
        clear_of_margins=table.on_sheet == ON_SHEET[1],
        panel=PanelWish(fold=table.fold, panels=table.panels, tab=table.tab, nest=table.nest),
        layouts=table.layouts,
        work=table.work,
        two_up=table.two_up,
    )


def _limits(asked: Asked) -> CheckLimits:
    table, usual = asked.tables.checks, USUAL_LIMITS

    def of(alone: Length | None) -> Length | None:
        return table.safe if alone is None else alone

    return CheckLimits(
        head=of(table.safe_head),
        foot=of(table.safe_foot),
        fore_edge=of(table.safe_fore_edge),
        spine=table.safe_spine,
        soft=table.resolution or usual.soft,
        coarse=table.resolution_least or usual.coarse,
        line_art=table.resolution_line_art or usual.line_art,
        hairline=usual.hairline if table.hairline is None else table.hairline,
        total_ink=table.total_ink or usual.total_ink,
    )


def _conditions(asked: Asked) -> Conditions:
    table = asked.tables.print
    profile = asked.file(("print", "profile"), table.profile) if table.profile else None
    return Conditions(profile=profile, condition=plain(table.condition or ""), ready=table.ready)


def _marks(asked: Asked) -> MarkSettings:
    """What is said, else the usual; `show` is called kinds here."""
    table, usual = asked.tables.marks, MarkSettings()
    said = {item.name: getattr(table, item.name) for item in fields(table) if item.name != "show"}
    given = {name: value for name, value in said.items() if value not in (None, ())}
    kinds = usual.kinds if table.show is None else frozenset(table.show)
    return replace(usual, kinds=kinds, **given)
