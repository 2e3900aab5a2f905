"""`impose watch`: a drop folder, jobs in, results out."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from impose.cli.options import choice_options, overrides_from


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@choice_options
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("print"),
    show_default=True,
    help="Folder for the results, one below it for each job.",
)
@click.option("--jobs", type=click.IntRange(1, 256), help="So many at once (as many as cores).")
@click.option("--pdfs", is_flag=True, help="PDFs that no job names are jobs of the options given.")
@click.option("--once", is_flag=True, help="End when all that is there is done.")
@click.option(
    "--settle",
    type=click.FloatRange(0, 3600),
    default=2.0,
    show_default=True,
    help="Seconds for which a job's files must not have changed.",
)
@click.option(
    "--patience",
    type=click.FloatRange(0, 86400),
    default=60.0,
    show_default=True,
    help="Seconds after which a missing file is waited for no longer.",
)
@click.option("--only", help="Only these products, as with make; unchanged jobs are told by plan.")
@click.option("--no-check", is_flag=True, help="Do not look at what is on the pages.")
@click.option("--strict", is_flag=True, help="Warnings count as errors.")
@click.option("--json", "as_json", is_flag=True, help="A line of JSON a job on stdout.")
@click.option("--quiet", is_flag=True, help="No findings and no waiting on stderr.")
def watch(folder: Path, out: Path, **options: Any) -> int:
    """Make every job that is put into a folder, until interrupted.

    Findings are written beside the job they are about.
    """
    from impose.cli.making import products_named
    from impose.cli.watch_teller import WatchTeller
    from impose.printroom.arrivals import DropFolder
    from impose.printroom.watching import WatchSettings, watch_folder
    from impose.wishes import Wish

    speak = {name: options.pop(name) for name in ("strict", "as_json", "quiet")}
    settings = WatchSettings(
        workers=options.pop("jobs"),
        once=options.pop("once"),
        wish=Wish(
            only=tuple(products_named(options.pop("only"))), look=not options.pop("no_check")
        ),
    )
    settle, patience = options.pop("settle"), options.pop("patience")
    drop = DropFolder(
        folder=folder,
        out=out,
        settle=settle,
        patience=max(settle, patience),
        pdfs=options.pop("pdfs"),
        overrides=overrides_from(options),
    )
    teller = WatchTeller(speak)
    if not speak["quiet"]:
        click.echo(f"watching {folder}; results go to {out}; interrupt to stop", err=True)
    watch_folder(drop, settings, teller)
    return int(teller.exit_code)
