"""The options that `make` and `check` share, and how they become a job."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from impose.model.job import Job

Command = TypeVar("Command", bound=Callable[..., Any])

_TEXT_OPTIONS = (
    ("--binding", "How it is bound: saddle, perfect, sections, stab, punched, loose."),
    ("--trim", "Finished page: a5, 'half letter', '5.5in x 8.5in'."),
    ("--sheet", "Sheet by name or size, either way round; several with commas between."),
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
    ("--cover", "The cover's art, a PDF."),
    ("--printing", "How the printer prints: 'both sides' or 'one side at a time'."),
    (
        "--work",
        "How a press prints the back: sheetwise, 'work and turn', 'work and tumble', perfecting.",
    ),
    ("--two-up", "Two copies bound as one: 'head to head', 'foot to foot', 'head to foot'."),
    ("--proof", "The proof in 'spreads' or 'single pages'."),
    ("--date", "A date for the slug; without it no clock is read."),
)


def job_options(command: Command) -> Command:
    """Adds PAGES and every option that describes a job."""
    for name, words in reversed(_TEXT_OPTIONS):
        command = click.option(name, help=words)(command)
    command = click.option("--up", type=int, help="Pages on a side of the sheet.")(command)
    command = click.option("--section-pages", type=int, help="Pages of a folded section.")(command)
    command = click.option(
        "--french-fold", is_flag=True, default=None, help="Leaves folded at the fore-edge."
    )(command)
    command = click.option(
        "--password", multiple=True, help="Password of an input; may be given several times."
    )(command)
    return click.argument("inputs", nargs=-1, required=True, metavar="JOB.toml|PAGES.pdf...")(
        command
    )


def job_from(inputs: tuple[str, ...], options: dict[str, Any]) -> Job:
    """The job of a job file or of pages with options.  Raises ImposeError."""
    # Imported here so that --help does not wait for the model.
    from impose.model.overrides import Overrides
    from impose.model.resolve import job_from_file, job_from_options

    passwords = tuple(options.pop("password"))
    if len(inputs) == 1 and inputs[0].lower().endswith(".toml"):
        return job_from_file(Path(inputs[0]), Overrides(**options, passwords=passwords))
    return job_from_options(Overrides(pages=inputs, **options, passwords=passwords), Path())
