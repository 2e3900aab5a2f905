"""The options that `make` and `check` share, and how they become a job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from impose.errors import ImposeError

if TYPE_CHECKING:
    from impose.model.job import Job
    from impose.model.overrides import Overrides

Command = TypeVar("Command", bound=Callable[..., Any])

_TEXT_OPTIONS = (
    (
        "--binding",
        "How it is bound: saddle, perfect, sections, stab, punched, loose, 'one sheet', "
        "concertina, leaflet; or flat work: flat.",
    ),
    ("--trim", "Finished page: a5, 'half letter', '5.5in x 8.5in'."),
    (
        "--stock",
        "Paper: a profile, '80gsm', '80gsm bulk 1.25', '50 lb book', caliper '0.1mm'.",
    ),
    ("--bound-at", "Bound at left, right or head."),
    ("--bleed", "Bleed to use, such as 3mm or 1/8in."),
    ("--make-bleed", "Where art ends at the trim: 'as supplied', 'mirror' or 'stretch'."),
    ("--printer", "Printer or press profile (see: impose profiles list printers)."),
    ("--spine", "Spine: 'measured 3/8in' or 'from stock'."),
    ("--units", "Units for people: mm or in."),
    ("--fit", "Pages that are not of trim size: scale or centre."),
    ("--flip", "How the sheet is turned for its back: 'long edge' or 'short edge'."),
    ("--title", "Title for slug and ticket."),
    ("--order", "Several leaves on a sheet: 'cut and stack' or 'repeat'."),
    ("--grind", "Paper the binder mills off at the spine."),
    ("--cutter", "Cutter profile."),
    ("--creaser", "Creaser profile."),
    ("--binder", "Binder profile."),
    ("--holes", "Pattern of holes: stab-4, wire-3-1, pamphlet-3 (impose profiles list patterns)."),
    ("--cover", "The cover's art, a PDF."),
    ("--printing", "How the printer prints: 'both sides' or 'one side at a time'."),
    ("--on-sheet", "Pages on the sheet: 'centred' or 'clear of margins' of the printer."),
    (
        "--work",
        "How a press prints the back: sheetwise, 'work and turn', 'work and tumble', perfecting.",
    ),
    ("--two-up", "Two copies bound as one: 'head to head', 'foot to foot', 'head to foot'."),
    ("--proof", "The proof in 'spreads' or 'single pages'."),
    ("--profile", "ICC profile that the sheets name as their output intent."),
    ("--ready", "Hold the sheets to a part of ISO 15930: X-1a, X-3 or X-4."),
    ("--layout", "One of those that `impose layouts` lists, by its number or its name."),
    (
        "--fold",
        "A leaflet's fold: half, letter, roll, z, gate, 'double gate', 'double parallel', tent.",
    ),
    ("--tab", "The strip that joins two sheets of a concertina, such as 10mm."),
    ("--nest", "How much narrower a leaflet's inner panel is, such as 2mm."),
    ("--date", "A date for the slug; without it no clock is read."),
)


def job_options(command: Command) -> Command:
    """Adds PAGES and every option that describes a job."""
    return click.argument("inputs", nargs=-1, required=True, metavar="JOB.toml|PAGES.pdf...")(
        choice_options(command)
    )


def choice_options(command: Command) -> Command:
    """Adds every option that describes a job, and no input."""
    for name, words in reversed(_TEXT_OPTIONS):
        command = click.option(name, help=words)(command)
    command = click.option(
        "--sheet",
        multiple=True,
        help="Sheet by name or size, either way round; several with commas between, or again.",
    )(command)
    command = click.option("--up", type=int, help="Pages on a side of the sheet.")(command)
    command = click.option("--panels", type=int, help="Panels of a concertina.")(command)
    command = click.option("--copies", type=int, help="Copies wanted, of flat work too.")(command)
    command = click.option("--section-pages", type=int, help="Pages of a folded section.")(command)
    command = click.option(
        "--french-fold", is_flag=True, default=None, help="Leaves folded at the fore-edge."
    )(command)
    return click.option(
        "--password", multiple=True, help="Password of an input; may be given several times."
    )(command)


def overrides_from(options: dict[str, Any]) -> Overrides:
    """The options as they are laid over a job file."""
    from impose.model.overrides import Overrides

    passwords = tuple(options.pop("password"))
    options["sheet"] = ",".join(options["sheet"]) or None
    return Overrides(**options, passwords=passwords)


def job_from(inputs: tuple[str, ...], options: dict[str, Any]) -> Job:
    """The job of a job file or of pages with options.  Raises ImposeError."""
    # Imported here so that --help does not wait for the model.
    from impose.model.resolve import job_from_file, job_from_options

    overrides = overrides_from(options)
    if len(inputs) > 1:
        _refuse_mixed(inputs)
    if len(inputs) == 1 and inputs[0].lower().endswith(".toml"):
        return job_from_file(Path(inputs[0]), overrides)
    return job_from_options(replace(overrides, pages=inputs), Path())


def _refuse_mixed(inputs: tuple[str, ...]) -> None:
    """A job file names its own pages."""
    for name in inputs:
        if name.lower().endswith(".toml"):
            raise ImposeError(
                f"{name} is a job file, and {len(inputs) - 1} more input is named beside it"
                if len(inputs) == 2
                else f"{name} is a job file, and {len(inputs) - 1} more inputs are named beside it",
                hint="name the job file alone; what it is made of stands in it, under pages; "
                "several job files are for make",
            )
