"""On which edge a printer turns the sheet: what the register sheet showed, kept in its profile."""

from __future__ import annotations

from typing import Any

import click

from impose.cli.own_profile import keep
from impose.errors import ImposeError
from impose.geometry.turning import Flip
from impose.model.printerfile import with_flip
from impose.model.profiles import Library


def keep_flip(library: Library, name: str, supposed: Flip, options: dict[str, Any]) -> None:
    """`supposed` is how the sheet was made; when the letters lay on others it is the other edge.

    Raises ImposeError when readings are given besides: of a sheet that was turned on the other
    edge they say nothing.
    """
    if options["reads"]:
        raise ImposeError(
            "readings of a sheet whose letters lie on other letters say nothing",
            hint="give --letters others alone; then make and print the sheet again, and read that",
        )
    other = Flip.SHORT_EDGE if supposed is Flip.LONG_EDGE else Flip.LONG_EDGE
    found = supposed if options["letters"] == "same" else other
    target = keep(library, name, options["keep_as"], lambda text: with_flip(text, found))
    click.echo(
        f'kept for the printer "{target.stem}": it turns the sheet on the {found.value}', err=True
    )
    if found is not supposed:
        click.echo(
            "print the register sheet again, it is now made for that edge; jobs that name the "
            "printer follow when they are made again",
            err=True,
        )
    click.echo(str(target))
